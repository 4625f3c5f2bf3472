"""What the server calls. A process that answers ends with the one that started it, however that ended."""

from __future__ import annotations

import os
import time
from threading import Thread

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "wheeltapper.web.settings")
application = get_wsgi_application()


def _end_with(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(0.5)
    os._exit(1)  # an orphan would keep the port, and nobody could start the server again


STARTER = os.environ.get("WHEELTAPPER_STARTER", "")
if str(os.getppid()) == STARTER:  # not in the starter itself, which answers at the door
    Thread(target=_end_with, args=(int(STARTER),), daemon=True).start()


def _ready() -> None:
    """Tables and pages are read before the first request, so that it is answered as fast as the others."""
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
