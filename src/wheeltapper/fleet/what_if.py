"""What if: an axle's worn parts now or later. What it costs, the distance gained by waiting, and the chance that waiting is too long."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from wheeltapper.fleet.ahead import Ahead
from wheeltapper.flow import Examination
from wheeltapper.plan.quote import Line, replaced_now_and_later, total
from wheeltapper.plan.work import Planner
from wheeltapper.words import Part, axle_of, positions

SOLD: dict[str, Part] = {  # what is replaced when this is worn
    "friction diameter": "hub-drum", "lining thickness": "brake-assembly", "rotor thickness": "rotor", "pad thickness": "pads",
}  # fmt: skip


@dataclass(frozen=True)
class NowOrLater:
    """Both ends of one axle, one kind of part, now against so many miles on."""

    unit: str
    axle: str
    what: str
    part: Part
    miles: float
    now: tuple[Line, ...]
    now_cents: int | None
    later: tuple[Line, ...]
    later_cents: int | None  # at today's prices
    gained_mi: float  # more distance out of the parts that are on
    worst_end: float | None  # chance that the worse end reaches its limit before; None where nobody can say
    at_most: float | None  # that one end or the other does: no more than both together


def now_or_later(
    examination: Examination, ahead: Iterable[Ahead], axle: str, what: str, miles: float
) -> NowOrLater:
    """Both ends of an axle now, or so many miles after the unit's last visit.

    Args:
        examination: of the unit's last visit.
        ahead: of this unit, asked for the same miles.
        axle: its number, '1'.
        what: the size that wears, 'friction diameter'.
        miles: how long it would wait [mi].

    Returns:
        Costs, distance gained and chances.
    """
    part = SOLD[what]
    wheels = [w for w in positions(examination.visit.unit.axles) if axle_of(w) == axle]
    planner = Planner(examination.visit, examination.findings, examination.tables)
    now, later = replaced_now_and_later(
        planner, examination.calls, examination.causes, [(w, part) for w in wheels]
    )
    chances = [a.chance for a in ahead if a.position in wheels and a.what == what]
    known = [c for c in chances if c is not None] if len(chances) == len(wheels) else []
    sure = len(known) == len(wheels)
    return NowOrLater(
        examination.visit.unit.id, axle, what, part, miles, now, total(now), later, total(later), miles,
        max(known) if sure else None, min(1.0, sum(known)) if sure else None,
    )  # fmt: skip
