"""What the ledger needs of a visit, and the unit's tag as it is compared."""

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

from wheeltapper.store.unit_names import plain


def tagged(apps: Any, schema_editor: Any) -> None:
    """The tag of every visit that is kept already."""
    visits = apps.get_model("store", "KeptVisit")
    rows = list(visits.objects.exclude(unit="").only("unit", "tag"))
    for row in rows:
        row.tag = plain(row.unit)
    visits.objects.bulk_update(rows, ["tag"], batch_size=500)


class Migration(migrations.Migration):
    dependencies = [
        ("store", "0005_tags_and_reminders"),
    ]

    operations = [
        migrations.AddField(
            model_name="keptvisit",
            name="tag",
            field=models.CharField(blank=True, db_index=True, default="", max_length=80),
            preserve_default=False,
        ),
        migrations.RunPython(tagged, migrations.RunPython.noop),
        migrations.CreateModel(
            name="Extract",
            fields=[
                (
                    "visit",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="extract",
                        serialize=False,
                        to="store.keptvisit",
                    ),
                ),
                ("tail", models.CharField(max_length=64)),
                ("form", models.PositiveSmallIntegerField()),
                ("body", models.JSONField()),
            ],
        ),
    ]
