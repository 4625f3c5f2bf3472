"""How a phone of this shop comes to trust the shop's own server: the certificate to fetch, and the steps."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from wheeltapper.problems import Problem
from wheeltapper.web.certificate import as_phones_take_it
from wheeltapper.web.who import open_to_all

PAGE = "/phones"
FILE = "/phones/shop.crt"
SECURE_AT = "wheeltapper.secure"  # where the door tells its page the secure address
STEPS: tuple[
    tuple[str, tuple[str, ...]], ...
] = (  # as the makers' settings were worded when this was written, from memory
    (
        "Android",
        (
            "Tap the link: the file shop.crt is saved.",
            "Open Settings and search for: CA certificate.",
            "Choose CA certificate, Install anyway, then the file shop.crt.",
        ),
    ),
    (
        "iPhone and iPad",
        (
            "Open this page in the browser that came with the phone, tap the link, then Allow.",
            "Open Settings, tap Profile Downloaded, then Install.",
            "Settings, General, About, Certificate Trust Settings: switch this shop's certificate on.",
        ),
    ),
    (
        "PC",
        (
            "Save the file, open it, and install it among the trusted root certificates, for this account only.",
        ),
    ),
)
Wsgi = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]


def authority() -> Path:
    """Where the authority's certificate lies, made or not."""
    return Path(settings.SHOP_FOLDER) / "certificate" / "authority.crt"


@open_to_all
@never_cache
@require_safe
def phones(request: HttpRequest) -> HttpResponse:
    """The steps, and the link to the certificate."""
    if not authority().exists():
        return _none_yet(request)
    context = {"steps": STEPS, "file": FILE, "secure": request.META.get(SECURE_AT)}
    return render(request, "who/phones.html", context)


@open_to_all
@never_cache
@require_safe
def certificate(request: HttpRequest) -> HttpResponse:
    """The authority's certificate; it is no secret."""
    if not authority().exists():
        return _none_yet(request)
    return HttpResponse(as_phones_take_it(authority()), content_type="application/x-x509-ca-cert")


def _none_yet(request: HttpRequest) -> HttpResponse:
    slip = Problem("certificate", "this shop has none yet", "run on the shop's PC: wheeltapper phones.")
    return render(request, "who/phones.html", {"problems": [slip]}, status=404)


def door(pages: Wsgi, port: int) -> Wsgi:
    """The plain-http door beside a secure server: the certificate and its steps; everything else is sent to the secure address."""

    def answer(environ: dict[str, Any], start: Callable[..., Any]) -> Iterable[bytes]:
        asked = environ.get("PATH_INFO", "/")
        host = environ.get("HTTP_HOST", "localhost").rsplit(":", 1)[0]
        secure = f"https://{host}:{port}/"
        if asked in (PAGE, FILE) or asked.startswith(settings.STATIC_URL):
            return pages({**environ, SECURE_AT: secure}, start)
        start("302 Found", [("Location", PAGE if asked == "/" else secure), ("Content-Length", "0")])
        return [b""]

    return answer


PATHS = [path(PAGE[1:], phones, name="phones"), path(FILE[1:], certificate, name="certificate")]
