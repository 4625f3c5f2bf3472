"""The database itself refuses an entry that does not follow the last one of its visit.

`INSERT OR REPLACE` takes rows out without asking the trigger that refuses to delete; here it meets one that asks first.
SQLite drops a table's triggers when a later migration rebuilds the table: such a migration must make them again.
"""

from typing import Any

from django.db import migrations

LAST = "(SELECT {what} FROM store_keptentry WHERE visit_id = NEW.visit_id ORDER BY seq DESC LIMIT 1)"
MAKE: list[Any] = [
    "CREATE TRIGGER keptentry_never_replaced BEFORE INSERT ON store_keptentry WHEN EXISTS "
    "(SELECT 1 FROM store_keptentry WHERE id = NEW.id OR entry_id = NEW.entry_id) "
    "BEGIN SELECT RAISE(ABORT, 'entries are only ever added'); END;",
    "CREATE TRIGGER keptentry_follows BEFORE INSERT ON store_keptentry WHEN "
    f"NEW.seq <> 1 + COALESCE({LAST.format(what='seq')}, 0) "
    f"OR NEW.before <> COALESCE({LAST.format(what='hash')}, NEW.before) "
    "BEGIN SELECT RAISE(ABORT, 'an entry follows the last one of its visit'); END;",
]
DROP: list[Any] = ["DROP TRIGGER keptentry_never_replaced;", "DROP TRIGGER keptentry_follows;"]


class Migration(migrations.Migration):
    """Two triggers."""

    dependencies = (("store", "0002_only_added"),)
    operations = (migrations.RunSQL(MAKE, DROP),)
