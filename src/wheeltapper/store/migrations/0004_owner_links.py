"""Links of owners, and e-mails with them."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("store", "0003_one_after_the_other"),
    ]

    operations = [
        migrations.CreateModel(
            name="OwnerLink",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.CharField(max_length=64, unique=True)),
                ("seed", models.CharField(max_length=64)),
                ("to", models.CharField(max_length=80)),
                ("made_by", models.CharField(max_length=8)),
                ("made", models.DateTimeField(auto_now_add=True)),
                ("until", models.DateTimeField()),
                ("revoked", models.DateTimeField(null=True)),
                ("revoked_by", models.CharField(blank=True, max_length=8)),
                ("opened", models.DateTimeField(null=True)),
                (
                    "visit",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to="store.keptvisit"),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Mail",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("to", models.CharField(max_length=254)),
                ("at", models.CharField(max_length=200)),
                ("by", models.CharField(max_length=8)),
                ("state", models.CharField(db_index=True, default="waiting", max_length=8)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("due", models.DateTimeField()),
                ("said", models.CharField(blank=True, max_length=400)),
                ("made", models.DateTimeField(auto_now_add=True)),
                ("ended", models.DateTimeField(null=True)),
                (
                    "link",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to="store.ownerlink"),
                ),
            ],
        ),
    ]
