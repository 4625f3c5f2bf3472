"""The readings of one wheel: which are owed, which numbers are possible, in the unit that the gauge shows.

The page's keypad stops a number that cannot be right at the key. What is kept is the text that stood on the screen.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_safe

from wheeltapper.findings.numbered import CAST, Window, read_at, windows
from wheeltapper.findings.reading import ALONE
from wheeltapper.findings.sweep import checks_here
from wheeltapper.records import Gauge, Visit
from wheeltapper.reference.tables import Check
from wheeltapper.store.models import KeptVisit
from wheeltapper.units import UNITS
from wheeltapper.web import live
from wheeltapper.web.live import Live
from wheeltapper.web.who import Asked, needs
from wheeltapper.words import TRAILER, positions

UNREAD: tuple[str, str, str, tuple[str, ...]] = ("", "", "", ())
USUAL: dict[str, tuple[tuple[str, str], ...]] = {  # gauges a shop is likely to hold, with a doubt that is assumed until it writes its own
    "length": (("drum gauge", "0.003 in"), ("micrometer", "0.001 in"), ("depth gauge", "0.002 in"), ("calliper", "0.002 in"),
               ("dial indicator", "0.001 in"), ("feeler gauge", "0.001 in")),
    "resistance": (("meter", "0.1 ohm"),), "voltage": (("meter", "0.1 V"),), "current": (("meter", "0.2 A"),),
    "temperature": (("thermometer", "4 F"),), "share": (("by eye", "10 %"),),
}  # fmt: skip


@dataclass(frozen=True)
class Slot:
    """One number: where it belongs, what is possible, and what was read."""

    check: str
    at: str
    group: str  # one gauge and unit for all of a group
    dimension: str
    windows: tuple[Window, ...]
    value: str = ""
    unit: str = ""
    gauge: str = ""
    ids: tuple[str, ...] = ()
    limit: bool = False
    owed: bool = True  # not read is a gap

    @property
    def said(self) -> str:
        """Its name on the list."""
        return f"most allowed, cast in the {self.at}" if self.limit else f"{self.check}, {self.at}"


@needs("bench")
@require_safe
def bench(request: Asked, number: str, position: str) -> HttpResponse:
    """The list of numbers with the keypad under it."""
    now = live.told(live.named(number))
    visit = now.folded.visit
    if visit is None:
        raise Http404("The gate comes first: say which trailer it is.")
    here = positions(visit.unit.axles)
    if position not in (*here, TRAILER):
        raise Http404(f"This trailer has no wheel {position}.")
    slots = list(slots_of(now, position))
    groups = {s.group: s for s in reversed(slots)}
    back = position if position in here else here[0]
    return render(request, "bench/bench.html", {
        "kept": now.kept, "visit": visit, "position": position, "slots": slots, "back": back, "now": now,
        "groups": [(g, s.check, [w[0] for w in s.windows], gauges(visit, s.dimension)) for g, s in groups.items()],
    })  # fmt: skip


def gauges(visit: Visit, dimension: str) -> list[tuple[Gauge, bool]]:
    """The gauges to pick from, those of this visit and of the shop's last ones first; True where its doubt is assumed."""
    recent = KeptVisit.objects.exclude(summary={}).values_list("summary", flat=True)[:30]
    used = [*visit.gauge, *(Gauge.model_validate(g) for s in recent for g in s.get("gauges", ()))]
    fitting = {
        g.id: g
        for g in reversed(used)
        if any(UNITS[u.rpartition(" ")[2]].dimension == dimension for u in g.u)
    }
    usual = [Gauge(id=kind, kind=kind, u=(u,)) for kind, u in USUAL.get(dimension, ()) if kind not in fitting]
    return [(g, False) for g in reversed(fitting.values())] + [(g, True) for g in usual]


def slots_of(now: Live, position: str) -> Iterator[Slot]:
    """Every number that this wheel may have, those owed first in sweep order."""
    visit = now.folded.visit
    assert visit is not None
    checks = (
        [c for c in now.tables.checks.values() if c.of_trailer]
        if position == TRAILER
        else checks_here(visit, now.tables)
    )
    measured = [c for c in checks if c.dimension and _wanted(c, now, position)]
    read = now.readings.get(position, {})
    for check in sorted(measured, key=lambda c: c.optional):
        possible = tuple(windows(check, visit, now.tables))
        if check.check == CAST and possible:
            yield _limit(now, position, check, possible)
        for at in read_at(check):
            value, unit, gauge, ids = read.get((check.check, at), UNREAD)
            yield Slot(
                check.check,
                at,
                check.window,
                check.dimension,
                possible,
                value,
                unit,
                gauge,
                ids,
                owed=not check.optional and (check.check, ALONE.get(check.check, "")) not in read,
            )


def _wanted(check: Check, now: Live, position: str) -> bool:
    return not check.only_if or (
        now.examination is not None and now.examination.findings.yes(position, check.only_if)
    )


def _limit(
    now: Live,
    position: str,
    check: Check,
    possible: tuple[Window, ...],
) -> Slot:
    """The number cast in the part: without it the limit is only assumed."""
    for entry in now.folded.standing:
        for limit in entry.body.get("limit", ()) if entry.kind == "piece" else ():
            if limit["what"] == check.check and limit.get("position") in (None, position):
                return Slot(
                    check.check,
                    "drum",
                    check.window,
                    check.dimension,
                    possible,
                    limit["value"],
                    limit["unit"],
                    "",
                    (entry.id,),
                    True,
                )
    return Slot(check.check, "drum", check.window, check.dimension, possible, limit=True, owed=False)


PATHS = [path("visit/<str:number>/bench/<str:position>", bench, name="bench")]
