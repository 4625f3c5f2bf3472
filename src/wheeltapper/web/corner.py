"""One wheel end in the bay: every check in sweep order with three honest answers, nothing answered beforehand."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from functools import lru_cache

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_safe

from wheeltapper.findings.numbered import WHY_NOT
from wheeltapper.findings.sweep import FINE, checks_here
from wheeltapper.records import MarkSeen, RingHeard
from wheeltapper.reference.tables import Check
from wheeltapper.report import drawing
from wheeltapper.report.drawing_ink import INK, PAPER, words
from wheeltapper.report.sheet import Corner as Drawn
from wheeltapper.web import live
from wheeltapper.web.bench import slots_of
from wheeltapper.web.live import Answers, Live
from wheeltapper.web.mark import ON
from wheeltapper.web.who import Asked, needs
from wheeltapper.words import positions

AREAS: tuple[tuple[str, int, int, int, int], ...] = (  # station, and where it lies on the drawn wheel end: x, y, width, height
    ("outside", 0, 34, 240, 200), ("bores", 240, 134, 92, 100), ("bearings and seal", 240, 34, 92, 70),
    ("hub face and studs", 332, 34, 60, 200), ("drum", 392, 34, 150, 200), ("disc", 392, 34, 250, 200), ("brake", 542, 34, 100, 200),
    ("spindle", 642, 34, 140, 200), ("brake", 790, 34, 206, 200),
)  # fmt: skip


@dataclass(frozen=True)
class Row:
    """A check at one place, with what was answered. Rows that say the same are equal, whatever tables their check is from."""

    check: Check = field(compare=False)
    name: str
    place: str
    how: str
    ids: tuple[str, ...]  # of the entries that answer it
    found: tuple[str, ...]
    by: tuple[str, ...]
    why_not: str
    photos: tuple[str, ...]
    vouched: str  # who says that the rest of this wheel is fine, where nobody answered this

    @property
    def key(self) -> str:
        """Names it on the page."""
        return f"{self.name}, {self.place}" if self.place else self.name

    @property
    def state(self) -> str:
        """open, fine, finding or not checked."""
        if self.why_not and not self.found:
            return "not checked"
        if not self.found:
            return "fine" if self.vouched else "open"
        return "fine" if set(self.found) == {FINE} else "finding"


@dataclass(frozen=True)
class Station:
    """A stop on the way round the wheel."""

    name: str
    number: int
    rows: tuple[Row, ...]
    also: tuple[Row, ...]  # not made is no gap

    @property
    def open(self) -> int:
        """How many of its rows are still to be answered."""
        return sum(1 for r in self.rows if r.state == "open")

    @property
    def anchor(self) -> str:
        """Where it lies on the page."""
        return "at-" + self.name.replace(" ", "-")


@needs("corner")
@require_safe
def corner(request: Asked, number: str, position: str) -> HttpResponse:
    """The page of a wheel; with ?part only what changes when an answer comes."""
    now = live.told(live.named(number))
    if now.folded.visit is None:
        raise Http404("The gate comes first: say which trailer it is.")
    if position not in positions(now.folded.visit.unit.axles):
        raise Http404(f"This trailer has no wheel {position}.")
    template = "corner/stations.html" if "part" in request.GET else "corner/corner.html"
    return render(request, template, shown(now, position))


def shown(now: Live, position: str) -> dict[str, object]:
    """What the page needs of a wheel."""
    visit, ex = now.folded.visit, now.examination
    assert visit is not None
    assert ex is not None
    stops = stations(now, position)
    calls = [c for c in ex.calls if c.position == position]
    drawn = Drawn(position, tuple((c.part, c.call) for c in calls))
    here = positions(visit.unit.axles)
    after = here[(here.index(position) + 1) % len(here)]
    return {
        "kept": now.kept, "visit": visit, "position": position, "stations": stops, "after": after, "now": now,
        "wheels": [(p, *missing(now, p)) for p in here], "missing": missing(now, position),
        "problems": [p for p in ex.problems if p.where.startswith(position)],
        "map": touchable(drawn, visit.unit.brake, tuple((s.name, s.number, s.anchor) for s in stops)),
        "reasons": WHY_NOT, "heard": heard(now, position), "seen": seen(now, position), "lines": ON, "second": second_look_due(now, position), "calls": calls,
        "readings": sum(len(c.reading) for c in visit.corner if c.position == position),
    }  # fmt: skip


def heard(now: Live, position: str) -> list[RingHeard]:
    """What the ring test said of this drum."""
    visit = now.folded.visit
    return [r for c in visit.corner if c.position == position for r in c.ring] if visit else []


def seen(now: Live, position: str) -> list[tuple[str, MarkSeen, str]]:
    """Each measured line: its entry, what was seen, and all of it as JSON for an answer with the fingernail."""
    out = []
    for entry in now.folded.standing:
        for corner in entry.body.get("corner", ()) if entry.kind == "piece" else ():
            if corner["position"] == position:
                out += [(entry.id, MarkSeen.model_validate(m), json.dumps(m)) for m in corner.get("mark", ())]
    return out


def second_look_due(now: Live, position: str) -> tuple[str, ...]:
    """Who is still learning and answered here without somebody's second look since."""
    visit = now.folded.visit
    assert visit is not None
    answered = {a.by for row in now.answers.get(position, {}).values() for a in row}
    seen = {look.by for look in visit.second_look if look.position == position and look.agrees}
    return tuple(sorted(answered & set(visit.learning))) if not seen - set(visit.learning) else ()


def missing(now: Live, position: str) -> tuple[int, int]:
    """How many checks nobody made yet, and how many numbers are owed, while the wheel is still off."""
    open_ = sum(r.state in {"open", "not checked"} for s in stations(now, position) for r in s.rows)
    return open_, sum(1 for s in slots_of(now, position) if s.owed and not s.value)


@lru_cache(256)
def touchable(drawn: Drawn, brake: str, stops: tuple[tuple[str, int, str], ...]) -> str:
    """The drawn wheel end with the stations (name, number, where on the page) as numbered places to touch."""
    numbers = {name: (number, anchor) for name, number, anchor in stops}
    links = "".join(_area(name, *numbers[name], *box) for name, *box in AREAS if name in numbers)
    svg = drawing.wheel_end(drawn, brake, lettered=False).replace('role="img"', 'role="group"')
    return svg.replace('viewBox="0 0 1000 264"', 'viewBox="0 0 1000 236"').replace("</svg>", f"{links}</svg>")


def _area(name: str, number: int, anchor: str, x: int, y: int, width: int, height: int) -> str:
    middle = x + width / 2
    return (
        f'<a href="#{anchor}" aria-label="{number} {name}">'
        f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill-opacity="0"/>'
        f'<circle cx="{middle}" cy="{y - 14}" r="14" fill="{PAPER}" stroke="{INK}" stroke-width="1.5"/>'
        + words(middle, y - 6.5, str(number), 23, "middle") + "</a>"
    )  # fmt: skip


def stations(now: Live, position: str) -> tuple[Station, ...]:
    """The stops of a wheel in sweep order, each with its checks as answered."""
    visit = now.folded.visit
    assert visit is not None
    answers = now.answers.get(position, {})
    vouched = next((c.rest_fine for c in visit.corner if c.position == position and c.rest_fine), "")
    out: dict[str, list[Row]] = {}
    for check in checks_here(visit, now.tables):
        if check.found:
            places = check.places or ("",)
            shown = tuple(
                f.sha256
                for e, f in now.folded.files
                if e.kind == "photo" and (f.position, f.check) == (position, check.check)
            )
            out.setdefault(check.station, []).extend(
                _row(check, place, answers, vouched, shown if i == 0 else ())
                for i, place in enumerate(places)
            )
    return tuple(
        Station(
            name,
            i,
            tuple(r for r in rows if not r.check.optional),
            tuple(r for r in rows if r.check.optional),
        )
        for i, (name, rows) in enumerate(out.items(), 1)
    )


def _row(check: Check, place: str, answers: Answers, vouched: str, photos: tuple[str, ...]) -> Row:
    mine = answers.get((check.check, place), []) + (answers.get((check.check, ""), []) if place else [])
    found = tuple(dict.fromkeys(word for a in mine for word in a.found))
    by = tuple(dict.fromkeys(a.by for a in mine if a.found))
    why_not = "; ".join(dict.fromkeys(a.why_not for a in mine if a.why_not))
    ids = tuple(dict.fromkeys(a.entry for a in mine if a.alone))
    return Row(
        check,
        check.check,
        place,
        check.how[0],
        ids,
        found,
        by,
        why_not,
        photos,
        "" if check.optional else vouched,
    )


PATHS = [path("visit/<str:number>/wheel/<str:position>", corner, name="corner")]
