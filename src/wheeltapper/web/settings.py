"""How the shop's server runs. One folder holds everything it keeps: database, originals, certificate, key."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from csp.constants import NONE, SELF
from tzlocal import get_localzone_name

SHOP_FOLDER = Path(os.environ.get("WHEELTAPPER_FOLDER", "shop")).resolve()
SHOP_FOLDER.mkdir(parents=True, exist_ok=True)
HOUSE_FOLDER = SHOP_FOLDER / "house"
HERE = Path(__file__).parent


def _secret() -> str:
    """The key that signs cookies, made once for this shop and readable by nobody else."""
    path = SHOP_FOLDER / "secret.key"
    if not path.exists():
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        os.write(handle, secrets.token_urlsafe(48).encode())
        os.close(handle)
    return path.read_text("ascii")


SECRET_KEY = _secret()
DEBUG = False
SECURE = os.environ.get("WHEELTAPPER_TLS") == "yes"  # pages come over HTTPS
ALLOWED_HOSTS = ["*"]  # the shop's own network calls this machine by any of its names and addresses
ROOT_URLCONF = "wheeltapper.web.urls"
WSGI_APPLICATION = "wheeltapper.web.wsgi.application"
INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "wheeltapper.store",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "wheeltapper.web.who.WhoMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "axes.middleware.AxesMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [HERE / "templates"],
        "OPTIONS": {
            "libraries": {"bay": "wheeltapper.web.marks"},
            "context_processors": [
                "django.template.context_processors.request",
                "wheeltapper.web.who.on_every_page",
            ],
        },
    }
]
DATABASES = {
    "default": {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": SHOP_FOLDER / "shop.sqlite3",
        "CONN_MAX_AGE": None,
        # IMMEDIATE: a transaction that reads and then writes must not lose its place. FULL: what was confirmed survives
        # a power cut. 20 s: SQLite's waiting is not fair, and a writer may be passed over many times.
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL;PRAGMA synchronous=FULL;",
        },
    }
}
AUTH_USER_MODEL = "store.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
    "wheeltapper.web.who.PinBackend",
]
PASSWORD_HASHERS = ["wheeltapper.web.who.Argon2"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "/sign-in"
AXES_LOCKOUT_CALLABLE = "wheeltapper.web.who.locked_out"
AXES_USERNAME_FORM_FIELD = (
    "username"  # as sign_in.py hands it to authenticate(); otherwise failures count for nobody
)
AXES_FAILURE_LIMIT = 6
AXES_COOLOFF_TIME = 0.25  # hours
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_ENABLE_ACCESS_FAILURE_LOG = False
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE], "script-src": [SELF], "style-src": [SELF], "img-src": [SELF, "data:", "blob:"], "font-src": [SELF],
        "connect-src": [SELF], "media-src": [SELF, "blob:"], "form-action": [SELF], "base-uri": [NONE], "frame-ancestors": [NONE],
        "manifest-src": [SELF],
    }
}  # fmt: skip
SESSION_ENGINE = "django.contrib.sessions.backends.db"
SESSION_COOKIE_AGE = 14 * 24 * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
STATIC_URL = "/static/"
STATICFILES_DIRS = [HERE / "static"]
WHITENOISE_USE_FINDERS = True
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_000_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 1_000_000
FILE_UPLOAD_HANDLERS = [
    "wheeltapper.web.uploads.OnlySoMuch",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]
USE_TZ = True
TIME_ZONE = get_localzone_name()  # of this machine: a day and an hour on a page are the shop's own
USE_I18N = False
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
