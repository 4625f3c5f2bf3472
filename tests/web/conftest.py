"""A shop folder of its own for every run, made before Django reads its settings."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile

import django

if "WHEELTAPPER_FOLDER" not in os.environ:
    os.environ["WHEELTAPPER_FOLDER"] = tempfile.mkdtemp(prefix="shop-")
    atexit.register(shutil.rmtree, os.environ["WHEELTAPPER_FOLDER"], ignore_errors=True)
os.environ.setdefault("WHEELTAPPER_ARGON2_KIB", "64")  # a guess may be cheap here
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "wheeltapper.web.settings")
django.setup()

from web.phone import browser, phone, server  # noqa: E402, F401
