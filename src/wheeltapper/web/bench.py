"""The readings of one wheel: which are owed, which numbers are possible, in the unit that the gauge shows.

The page's keypad stops a number that cannot be right at the key. What is kept is the text that stood on the screen.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_safe

from wheeltapper.findings.reading import ALONE, WINDOWS, drum_window
from wheeltapper.findings.sweep import checks_here
from wheeltapper.records import Gauge, Visit
from wheeltapper.reference.tables import Check
from wheeltapper.store.models import KeptVisit
from wheeltapper.units import UNITS, from_si
from wheeltapper.web import live
from wheeltapper.web.live import Live
from wheeltapper.web.who import Asked, needs
from wheeltapper.words import TRAILER, positions

UNREAD: tuple[str, str, str, tuple[str, ...]] = ("", "", "", ())
OWED: dict[str, tuple[str, ...]] = {  # places that a full reading has; a check not named here is read at its first place
    "friction diameter": ("mid 0", "mid 45", "mid 90", "mid 135", "open", "closed"), "lining thickness": ("primary", "secondary"),
    "rotor thickness": ("0", "90", "180", "270"), "pad thickness": ("inner", "outer"), "cup bore": ("inner", "outer"),
    "cup diameter": ("inner", "outer"), "seal bore diameter": ("bore", "seal"), "cap bore diameter": ("bore", "cap"),
    "volts at magnet": ("full apply", "released"),
}  # fmt: skip
ROUND = tuple(str(a) for a in range(0, 360, 45))  # a dial, from stud 1
AFTER_POINT = {"in": 3, "mm": 2}
USUAL: dict[str, tuple[tuple[str, str], ...]] = {  # gauges a shop is likely to hold, with a doubt that is assumed until it writes its own
    "length": (("drum gauge", "0.003 in"), ("micrometer", "0.001 in"), ("depth gauge", "0.002 in"), ("calliper", "0.002 in"),
               ("dial indicator", "0.001 in"), ("feeler gauge", "0.001 in")),
    "resistance": (("meter", "0.1 ohm"),), "voltage": (("meter", "0.1 V"),), "current": (("meter", "0.2 A"),),
    "temperature": (("thermometer", "4 F"),), "share": (("by eye", "10 %"),),
}  # fmt: skip
Window = tuple[float, float]


@dataclass(frozen=True)
class Slot:
    """One number: where it belongs, what is possible, and what was read."""

    check: str
    at: str
    group: str  # one gauge and unit for all of a group
    dimension: str
    windows: tuple[
        tuple[str, float, float, tuple[str, ...], int], ...
    ]  # unit, lowest, highest, what stands before, digits after
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
        windows = tuple(_windows(check, visit, now))
        if check.check == "friction diameter" and windows:
            yield _limit(now, position, check, windows)
        for at in ROUND if check.dial else OWED.get(check.check, check.at[:1]):
            value, unit, gauge, ids = read.get((check.check, at), UNREAD)
            yield Slot(
                check.check,
                at,
                check.window,
                check.dimension,
                windows,
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
    windows: tuple[tuple[str, float, float, tuple[str, ...], int], ...],
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
                    windows,
                    limit["value"],
                    limit["unit"],
                    "",
                    (entry.id,),
                    True,
                )
    return Slot(check.check, "drum", check.window, check.dimension, windows, limit=True, owed=False)


def _windows(
    check: Check, visit: Visit, now: Live
) -> Iterator[tuple[str, float, float, tuple[str, ...], int]]:
    """What is possible, in each unit that a gauge may show."""
    window = drum_window(visit, now.tables) if check.window == "drum" else WINDOWS[check.window]
    if window is None:
        return
    for unit in (u for u, row in UNITS.items() if row.dimension == check.dimension):
        low, high = (from_si(edge, unit) for edge in window)
        yield unit, round(low, 4), round(high, 4), _before(check, unit, low, high), AFTER_POINT.get(unit, 0)


def _before(check: Check, unit: str, low: float, high: float) -> tuple[str, ...]:
    """What may stand before the typed digits, the likeliest first: '12.' for a 12 in drum, so that 055 is 12.055."""
    if unit != "in" or check.dial or high - low > 1.5:
        return ()
    wholes = range(floor(low + 1e-6), floor(high) + 1)
    likely = floor(low + 0.011) if check.window == "drum" else wholes[0]
    return tuple(f"{w}." for w in sorted(wholes, key=lambda w: w != likely))


PATHS = [path("visit/<str:number>/bench/<str:position>", bench, name="bench")]
