"""What is to be fitted before the trailer goes: the parts of the agreed work place by place, beside what was fitted.

Seals and pins are asked for on each wheel's return sheet and are left out here. Small material (joints, cleaner, grease) is
no part that has a life of its own: it is named and not ticked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import get_args

from wheeltapper.disposition.decide import Call, Place
from wheeltapper.disposition.release import is_replaced
from wheeltapper.plan.quote import Line
from wheeltapper.records import Done, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import Part, positions

NAMED = {
    "cones": "bearing-set",
    "stud": "studs",
    "nut": "nuts",
}  # a part of the price book that is a piece of another
ON_THE_WHEEL = {"seal", "pin"}  # asked for on the wheel's own sheet


@dataclass(frozen=True)
class Fit:
    """One part at one place."""

    position: str
    part: str
    say: str  # as quoted; empty: fitted and not quoted
    fitted: bool


def fits(visit: Visit, lines: Iterable[Line], calls: Iterable[Call], tables: Tables) -> tuple[Fit, ...]:
    """Every part to fit, in the order of the wheels, then whatever was fitted besides."""
    quoted: dict[Place, list[str]] = {}
    for line in lines:
        for place in _places(line, visit, tables):
            quoted.setdefault(place, []).append(line.say)
    whole = visit.model_copy(update={"done": tuple(_new(place) for place in quoted)})
    for call in calls:  # what is called replace and brought by none of those
        if call.call == "replace" and call.part not in ON_THE_WHEEL and not is_replaced(call.place, whole):
            quoted.setdefault(call.place, []).append(call.part)
    done = {(d.position, d.part) for d in visit.done if is_replaced((d.position, d.part), visit)}
    more: dict[Place, list[str]] = {place: [] for place in done if place not in quoted}
    order = positions(visit.unit.axles)
    rows = [Fit(p, part, ", ".join(say), (p, part) in done) for (p, part), say in (quoted | more).items()]
    return tuple(sorted(rows, key=lambda f: order.index(f.position) if f.position in order else len(order)))


def small_material(lines: Iterable[Line], tables: Tables) -> tuple[Line, ...]:
    """Quoted parts that are named and not ticked."""
    return tuple(
        x
        for x in lines
        if x.qty and (part := _part(x, tables)) and _word(part) is None and part not in ON_THE_WHEEL
    )


def _places(line: Line, visit: Visit, tables: Tables) -> Iterator[Place]:
    """Where a line's part goes, wheel by wheel; a line of an axle names both its ends."""
    part = _part(line, tables)
    word = _word(part) if part else None
    if word is None or part in ON_THE_WHEEL or not line.qty:
        return
    for spot in line.places:
        axle = spot.removeprefix("axle ")
        wheels = positions(visit.unit.axles)
        yield from ((w, word) for w in wheels if w == spot or (axle != spot and w.startswith(f"{axle}-")))


def _part(line: Line, tables: Tables) -> str | None:
    """The price book's part of a line; None for labour."""
    if line.hours is not None:
        return None
    price = tables.price_of.get(line.code)
    return price.part if price else line.say


def _word(part: str) -> Part | None:
    """Its word among the parts that a mark of work done names."""
    name = NAMED.get(part, part)
    return next((p for p in get_args(Part) if p == name), None)


def _new(place: Place) -> Done:
    return Done(position=place[0], part=place[1], action="replaced", by="")
