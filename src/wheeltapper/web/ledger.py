"""The Ledger: everything that is known of one trailer over its visits, for whoever has the table.

A page is remembered as it was made until anything of the unit moves on, or the shop's records were pooled anew (store/outlook.py).
"""

from __future__ import annotations

import secrets
import threading
from collections import OrderedDict
from datetime import date as Date
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods, require_safe

from wheeltapper.fleet.swaps import Swap
from wheeltapper.fleet.what_if import SOLD
from wheeltapper.problems import Problem
from wheeltapper.records import RingHeard
from wheeltapper.report import ledger as words
from wheeltapper.report import ring_figure, wording
from wheeltapper.report.came import Came
from wheeltapper.report.drawing_ring import ringing, told
from wheeltapper.store import keep, ledger, outlook
from wheeltapper.store.entries import Entry
from wheeltapper.store.unit_names import plain
from wheeltapper.web import live
from wheeltapper.web.who import Asked, device_key, needs

REMEMBERED = 32  # units
SHOWN = 8  # visits in the list before the rest is folded away
Stamp = tuple[object, ...]

_lock = threading.Lock()
_pages: OrderedDict[Stamp, words.Page] = OrderedDict()


@needs("table")
@require_safe
def unit(request: Asked, unit: str) -> HttpResponse:
    """All of a unit."""
    return _shown(request, unit)


def _shown(request: Asked, unit: str, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    page = _page(unit, Date.today())
    context = {
        "page": page, "key": plain(unit), "first": page.visits[:SHOWN], "rest": page.visits[SHOWN:], "problems": problems,
        "swaps": [(s, said, _key(s), SOLD[s.what]) for s, said in page.swaps],
        "shown": (("Photos", page.photos), ("Rings", page.rings)),
    }  # fmt: skip
    return render(request, "ledger/ledger.html", context, status=422 if problems else 200)


def _page(unit: str, on: Date) -> words.Page:
    tables, stamp = live.tables(), ledger.stamp(unit)
    if not stamp:
        raise Http404(f"No visit of a trailer “{unit[:80]}” is kept here. Look for it at the gate.")
    pooled = next(iter(outlook.pools()), None)
    key = (plain(unit), stamp, tables.fingerprint, on, pooled.fingerprint if pooled else "")
    with _lock:
        if key in _pages:
            _pages.move_to_end(key)
            return _pages[key]
    made = words.page(_rows(unit), tables, on, pooled)
    with _lock:
        _pages[key] = made
        while len(_pages) > REMEMBERED:
            _pages.popitem(last=False)
    return made


def _rows(unit: str) -> tuple[Came, ...]:
    rows = ledger.came(unit, live.tables())
    if not rows:
        raise Http404(f"No visit of a trailer “{unit[:80]}” can be read here. Look for it at the gate.")
    return rows


@needs("table")
@require_safe
def beside(request: Asked, unit: str) -> HttpResponse:
    """Two photos, or two rings, of one place: any two of its visits, the last two where none were picked."""
    place, check = request.GET.get("position", "")[:20], request.GET.get("check", "")[:80]
    rows = _rows(unit)
    of_ring = check == "ring"
    found: list[tuple[Came, Any]] = list(_rung(rows, place) if of_ring else words.beside(rows, place, check))
    if len(found) < 2:
        raise Http404(f"No two visits have a picture of {place} {check}. Go back to the ledger and pick one.")
    then = _picked(found, request.GET.get("then"), len(found) - 2)
    now = _picked(found, request.GET.get("now"), len(found) - 1)
    context: dict[str, Any] = {
        "key": plain(unit), "unit": rows[-1].visit.unit.id, "position": place, "check": check, "found": [c for c, _ in found],
        "then": then[0], "now": now[0], "was": then[1], "is": now[1],
        "between": words.fitted_between([c.visit for c in rows], live.tables(), place, then[0].visit.date, now[0].visit.date),
    }  # fmt: skip
    if of_ring:
        return render(request, "ledger/rings.html", context | _two_rings(place, then[0], now[0]))
    return render(request, "ledger/beside.html", context)


def _picked(found: list[tuple[Came, Any]], number: str | None, otherwise: int) -> tuple[Came, Any]:
    return next((row for row in found if row[0].number == number), found[otherwise])


def _rung(rows: tuple[Came, ...], place: str) -> list[tuple[Came, str]]:
    return [(c, verdict) for c in rows for position, verdict in c.rung if position == place]


def _two_rings(place: str, then: Came, now: Came) -> dict[str, str]:
    """Both rings in one picture and in words, from the visits themselves: an extract keeps only what was heard."""
    one, two = _heard(then, place), _heard(now, place)
    if one is None or two is None:
        return {}
    both = ring_figure.then_and_now(one, wording.day(then.visit.date), two, wording.day(now.visit.date))
    return {} if both is None else {"figure": ringing(both), "told": told(both)}


def _heard(came: Came, place: str) -> RingHeard | None:
    visit = live.live(live.named(came.number)).folded.visit
    rings = [r for c in visit.corner if c.position == place for r in c.ring] if visit else []
    return next((r for r in reversed(rings) if r.drawn is not None), None)


@needs("table")
@require_http_methods(["POST"])
def swapped(request: Asked, unit: str) -> HttpResponse:
    """Somebody says whether two parts changed places: kept on the last visit, as parts that were fitted on that day."""
    page = _page(unit, Date.today())
    asked = next((s for s, _ in page.swaps if _key(s) == request.POST.get("swap")), None)
    said = request.POST.get("said")
    if asked is None or said not in {"yes", "no"}:
        slip = Problem(
            "changed places",
            "that was not asked here, or is answered already",
            "look at what is asked now, and tap again.",
        )
        return _shown(request, unit, (slip,))
    places = [asked.position, asked.other] if said == "yes" else [asked.position]
    fitted = [{"position": p, "part": SOLD[asked.what], "date": asked.date.isoformat()} for p in places]
    kept = ledger.visits_of(unit)[-1]
    entry = Entry(
        id=secrets.token_hex(16), at=keep.now(), by=request.user.short, kind="piece", body={"fitted": fitted}
    )
    keep.add(kept, [entry], device_key(request))
    live.told(kept)
    return redirect("ledger", plain(unit))


def _key(s: Swap) -> str:
    return f"{s.date} {s.position} {s.what}"


PATHS = [
    path("ledger/<str:unit>", unit, name="ledger"),
    path("ledger/<str:unit>/beside", beside, name="beside"),
    path("ledger/<str:unit>/swapped", swapped, name="swapped"),
]
