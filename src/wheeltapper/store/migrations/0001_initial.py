"""All tables, as makemigrations wrote them."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Person",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("last_login", models.DateTimeField(blank=True, null=True, verbose_name="last login")),
                ("login", models.CharField(max_length=40, unique=True)),
                ("name", models.CharField(max_length=80)),
                ("short", models.CharField(max_length=8, unique=True)),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("owner", "owner"),
                            ("lead", "lead"),
                            ("technician", "technician"),
                            ("counter", "counter"),
                            ("apprentice", "apprentice"),
                        ],
                        max_length=12,
                    ),
                ),
                ("is_active", models.BooleanField(default=True)),
                ("first_password", models.BooleanField(default=False)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Device",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.CharField(max_length=43, unique=True)),
                ("said", models.CharField(max_length=120)),
                ("first_seen", models.DateTimeField(auto_now_add=True)),
                ("last_seen", models.DateTimeField(auto_now=True)),
                ("revoked", models.BooleanField(default=False)),
            ],
        ),
        migrations.CreateModel(
            name="KeptVisit",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("number", models.CharField(max_length=12, unique=True)),
                ("unit", models.CharField(blank=True, db_index=True, max_length=80)),
                ("opened", models.DateTimeField(db_index=True)),
                ("entries", models.PositiveIntegerField(default=0)),
                ("tail", models.CharField(blank=True, max_length=64)),
                ("summarised", models.PositiveIntegerField(default=0)),
                ("state", models.CharField(blank=True, db_index=True, max_length=40)),
                ("open", models.BooleanField(db_index=True, default=True)),
                ("summary", models.JSONField(default=dict)),
            ],
            options={
                "ordering": ("-opened",),
            },
        ),
        migrations.CreateModel(
            name="Original",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("sha256", models.CharField(max_length=64, unique=True)),
                ("kind", models.CharField(max_length=8)),
                ("ending", models.CharField(max_length=8)),
                ("size", models.PositiveBigIntegerField()),
                ("received", models.DateTimeField(auto_now_add=True)),
            ],
        ),
        migrations.CreateModel(
            name="SignedIn",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("session_key", models.CharField(max_length=40, unique=True)),
                ("by_pin", models.BooleanField(default=False)),
                ("began", models.DateTimeField(auto_now_add=True)),
                ("last_seen", models.DateTimeField(auto_now_add=True)),
                ("until", models.DateTimeField()),
                ("device", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to="store.device")),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Task",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("kind", models.CharField(max_length=8)),
                ("asked", models.JSONField()),
                ("state", models.CharField(db_index=True, default="waiting", max_length=8)),
                ("share", models.FloatField(default=0.0)),
                ("said", models.CharField(blank=True, max_length=400)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("made", models.DateTimeField(auto_now_add=True)),
                ("ended", models.DateTimeField(null=True)),
                (
                    "visit",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to="store.keptvisit"),
                ),
            ],
        ),
        migrations.CreateModel(
            name="BayPin",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("pin", models.CharField(blank=True, max_length=200)),
                ("full_at", models.DateTimeField(null=True)),
                ("wrong", models.PositiveSmallIntegerField(default=0)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, to=settings.AUTH_USER_MODEL
                    ),
                ),
                ("device", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, to="store.device")),
            ],
            options={
                "unique_together": {("person", "device")},
            },
        ),
        migrations.CreateModel(
            name="KeptEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("seq", models.PositiveIntegerField()),
                ("entry_id", models.CharField(max_length=36, unique=True)),
                ("at", models.CharField(max_length=30)),
                ("received", models.CharField(max_length=30)),
                ("by", models.CharField(max_length=8)),
                ("device", models.CharField(max_length=43)),
                ("kind", models.CharField(max_length=12)),
                ("instead_of", models.JSONField(default=list)),
                ("body", models.TextField()),
                ("before", models.CharField(max_length=64)),
                ("hash", models.CharField(max_length=64)),
                (
                    "visit",
                    models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, to="store.keptvisit"),
                ),
            ],
            options={
                "ordering": ("visit", "seq"),
                "unique_together": {("visit", "seq")},
            },
        ),
    ]
