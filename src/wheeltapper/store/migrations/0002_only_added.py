"""The database itself refuses to change or take out an entry.

SQLite drops a table's triggers when a later migration rebuilds the table: such a migration must make them again.
"""

from django.db import migrations

SAID = "entries are only ever added"
MAKE = (
    f"CREATE TRIGGER keptentry_never_changed BEFORE UPDATE ON store_keptentry BEGIN SELECT RAISE(ABORT, '{SAID}'); END;",
    f"CREATE TRIGGER keptentry_never_deleted BEFORE DELETE ON store_keptentry BEGIN SELECT RAISE(ABORT, '{SAID}'); END;",
)
DROP = ("DROP TRIGGER keptentry_never_changed;", "DROP TRIGGER keptentry_never_deleted;")


class Migration(migrations.Migration):
    """Two triggers."""

    dependencies = (("store", "0001_initial"),)
    operations = (migrations.RunSQL(MAKE, DROP),)
