"""The Yard: every trailer that is here, what holds it, and the way to each."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_safe

from wheeltapper.plan.due import from_plain
from wheeltapper.report import due_words
from wheeltapper.store.models import KeptVisit
from wheeltapper.web.who import Asked, needs
from wheeltapper.words import CALLS

SHOWN = 60
SETTLED = 12  # and so many of those that have left


@needs("yard")
@require_safe
def yard(request: Asked) -> HttpResponse:
    """Open work first, oldest first; then what left lately."""
    here = list(KeptVisit.objects.filter(open=True).order_by("opened")[:SHOWN])
    gone = list(KeptVisit.objects.filter(open=False).order_by("-opened")[:SETTLED])
    waiting = KeptVisit.objects.filter(open=True).count() - len(here)
    return render(
        request,
        "yard/yard.html",
        {"here": [line(v) for v in here], "gone": [line(v) for v in gone], "more": waiting},
    )


def line(visit: KeptVisit) -> dict[str, object]:
    """What the Yard says of a visit."""
    said = visit.summary
    wheels = [
        (
            position,
            next((c for c in reversed(CALLS) if counts.get(c)), ""),
            said.get("gaps", {}).get(position, 0),
        )
        for position, counts in said.get("wheels", {}).items()
    ]
    return {
        "visit": visit,
        "wheels": wheels,
        "because": said.get("because", ()),
        "asked": said.get("asked", 0),
        "due": next((due_words.short(from_plain(d)) for d in said.get("due", ()) if not d["done"]), ""),
        "come_in": any(d["come_in"] for d in said.get("due", ())),
    }


PATHS = [path("", yard, name="yard")]
