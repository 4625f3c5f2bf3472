"""Makes the small picture of every photo before a sheet asks for it: forty of them would keep whoever prints waiting."""

from __future__ import annotations

from threading import Event

from wheeltapper.store.models import Original
from wheeltapper.store.outward import outward

PAUSE_S = 2.0
NEWEST = 400  # of what was there before the server started; older ones are made when they are asked for


def make_ahead(stop: Event) -> None:
    """Until the server ends; a shop that was just restored is not kept busy for hours."""
    newest = Original.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    last = max(0, newest - NEWEST)
    while not stop.is_set():
        last = made_after(last, stop)
        stop.wait(PAUSE_S)


def made_after(last: int, stop: Event) -> int:
    """The pictures of all photos that came after one; gives the last of them. One that cannot be read is passed over."""
    for original in Original.objects.filter(kind="photo", pk__gt=last).order_by("pk").iterator():
        if stop.is_set():
            break
        outward(original, "sheet")
        last = original.pk
    return last
