"""What a life's own records say alone (C7, C8), and whether it wore faster lately than a pooled line would have it."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from wheeltapper.fleet.groups import Goal, goal_m
from wheeltapper.fleet.lives import Life
from wheeltapper.measure import wear
from wheeltapper.measure.margin import COVERAGE
from wheeltapper.reference.tables import Tables
from wheeltapper.units import above

WITH_DOUBT = {
    "friction diameter",
    "rotor thickness",
}  # the gauge's doubt is taken off what is left (C8); not of linings (C9)
BEYOND = (
    2.0  # standard doubts by which a late interval must be faster than the pooled line to count against it
)


@dataclass(frozen=True)
class Slope:
    """Wear for each metre between two records, with its standard doubt."""

    rate_share: float
    doubt_share: float


def own_rate(life: Life, tables: Tables) -> wear.Rate | None:
    """The faster of the slope through all records and the last one (C7), or None: not enough to say."""
    rows = life.records
    return wear.rate(
        [r.at_m for r in rows],
        [life.sign * r.size_m for r in rows],
        max(r.doubt_m for r in rows),
        tables.number("rate_least_miles"),
        tables.number("faster_share"),
    )


def left_m(life: Life, goal: Goal) -> float:
    """Allowance left at the last record, as C8 and C9 have it [m]."""
    last = life.records[-1]
    doubt = last.doubt_m if life.what in WITH_DOUBT else 0.0
    return goal_m(life, goal) - life.sign * last.size_m - doubt


def lately(life: Life, tables: Tables, visit_m: float) -> tuple[Slope, ...]:
    """The last interval and the last two together, where each can tell a rate by itself.

    Args:
        life: with its records.
        tables: for the least distance.
        visit_m: standard deviation of one visit's reading [m].

    Returns:
        Their slopes; none where they are too short or changed less than twice the doubt.
    """
    out = []
    for back in (2, 3):
        if len(life.records) < back:
            break
        first, last = life.records[-back], life.records[-1]
        gap, change = last.at_m - first.at_m, life.sign * (last.size_m - first.size_m)
        doubt = max(first.doubt_m, last.doubt_m)
        if gap < tables.number("rate_least_miles") * (1 - 1e-12) or not above(change, 2 * doubt):
            continue
        size = hypot(first.doubt_m / COVERAGE, last.doubt_m / COVERAGE, visit_m, visit_m)
        share = life.way.doubt_m(first.at_m, last.at_m) / gap
        out.append(Slope(change / gap, hypot(size / gap, share * change / gap)))
    return tuple(out)


def faster_than(slopes: tuple[Slope, ...], rate_share: float, doubt_share: float) -> Slope | None:
    """The fastest late slope that is faster than a pooled rate by more than both doubts, or None."""
    fast = [s for s in slopes if s.rate_share - rate_share > BEYOND * hypot(s.doubt_share, doubt_share)]
    return max(fast, key=lambda s: s.rate_share, default=None)
