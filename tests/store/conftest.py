"""A shop folder of its own for every run, made before Django reads its settings."""

from __future__ import annotations

import os
import tempfile

import django

os.environ.setdefault("WHEELTAPPER_FOLDER", tempfile.mkdtemp(prefix="shop-"))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "wheeltapper.web.settings")
django.setup()
