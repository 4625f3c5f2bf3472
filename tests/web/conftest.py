"""A shop folder of its own for every run, made before Django reads its settings."""

from __future__ import annotations

import os
import tempfile

os.environ.setdefault("WHEELTAPPER_FOLDER", tempfile.mkdtemp(prefix="shop-"))
os.environ.setdefault("WHEELTAPPER_ARGON2_KIB", "64")  # a guess may be cheap here
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "wheeltapper.web.settings")
