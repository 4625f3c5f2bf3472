"""What the server calls. Tables and pages are read before the first request, so that it is answered as fast as the others."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "wheeltapper.web.settings")
application = get_wsgi_application()


def _ready() -> None:
    from django.template.loader import get_template
    from django.urls import resolve

    from wheeltapper.web.live import tables

    resolve("/")  # imports every screen
    tables()
    for page in (
        "corner/corner.html",
        "corner/row.html",
        "bench/bench.html",
        "table/table.html",
        "yard/yard.html",
    ):
        get_template(page)


_ready()
