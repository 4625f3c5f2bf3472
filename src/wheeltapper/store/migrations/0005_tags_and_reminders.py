"""Tags on tongues, and who was reminded of what."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("store", "0004_owner_links"),
    ]

    operations = [
        migrations.CreateModel(
            name="UnitTag",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("unit", models.CharField(db_index=True, max_length=80)),
                ("key", models.CharField(max_length=64, unique=True)),
                ("seed", models.CharField(max_length=64)),
                ("made_by", models.CharField(max_length=8)),
                ("made", models.DateTimeField(auto_now_add=True)),
                ("revoked", models.DateTimeField(null=True)),
                ("revoked_by", models.CharField(blank=True, max_length=8)),
                ("scanned", models.DateTimeField(null=True)),
            ],
        ),
        migrations.AddField(
            model_name="mail",
            name="reminds",
            field=models.JSONField(default=list),
        ),
        migrations.CreateModel(
            name="Reminded",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("to", models.CharField(max_length=254)),
                ("item", models.CharField(max_length=80)),
                ("mail", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to="store.mail")),
                (
                    "visit",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to="store.keptvisit"),
                ),
            ],
            options={
                "unique_together": {("visit", "to", "item")},
            },
        ),
    ]
