"""The board: a line for each unit and for each thing due on it, and addresses for calendars."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("store", "0006_ledger"),
    ]

    operations = [
        migrations.CreateModel(
            name="CalendarKey",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.CharField(max_length=64, unique=True)),
                ("seed", models.CharField(max_length=64)),
                ("made_by", models.CharField(max_length=8)),
                ("made", models.DateTimeField(auto_now_add=True)),
                ("revoked", models.DateTimeField(null=True)),
                ("revoked_by", models.CharField(blank=True, max_length=8)),
                ("fetched", models.DateTimeField(null=True)),
            ],
        ),
        migrations.CreateModel(
            name="UnitLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("tag", models.CharField(max_length=80, unique=True)),
                ("unit", models.CharField(max_length=80)),
                ("told", models.JSONField(default=dict)),
                ("here", models.BooleanField(default=False)),
                ("worst", models.PositiveSmallIntegerField(db_index=True, default=0)),
                ("on", models.DateField(db_index=True, null=True)),
                ("come_in", models.BooleanField(default=False)),
                ("seen", models.JSONField(default=list)),
                ("seen_on", models.DateField(null=True)),
                ("slack", models.BooleanField(db_index=True, default=False)),
                ("side", models.CharField(blank=True, db_index=True, max_length=8)),
                ("alarms", models.JSONField(default=list)),
                (
                    "visit",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.SET_NULL, to="store.keptvisit"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="DueLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("what", models.CharField(max_length=40)),
                ("position", models.CharField(blank=True, max_length=20)),
                ("part", models.CharField(blank=True, max_length=40)),
                ("miles", models.PositiveIntegerField(null=True)),
                ("at", models.PositiveIntegerField(null=True)),
                ("by", models.DateField(null=True)),
                ("on", models.DateField(db_index=True, null=True)),
                ("by_miles", models.BooleanField(default=False)),
                ("pace", models.PositiveIntegerField()),
                ("assumed", models.BooleanField(default=False)),
                ("basis", models.TextField(blank=True)),
                ("come_in", models.BooleanField(default=False)),
                (
                    "visit",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to="store.keptvisit"),
                ),
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="due", to="store.unitline"
                    ),
                ),
            ],
        ),
    ]
