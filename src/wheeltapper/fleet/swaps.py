"""Did two hubs change places? Told from sizes alone, and only ever asked: nothing is mended on it.

At one place the part seems to have grown back; if each place now reads what the other read before, worn on, the two
drums (or brakes) look swapped. A smaller or thicker part that came from nowhere on the unit is no swap.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date as Date

from wheeltapper.fleet.lives import GROWS, Life, Record
from wheeltapper.units import above, at_most


@dataclass(frozen=True)
class Swap:
    """Two places that seem to have exchanged a part between two visits, with the readings that say so."""

    unit: str
    date: Date  # of the visit that shows it
    what: str
    position: str  # the one that grew back
    other: str
    before: Record
    now: Record
    other_before: Record
    other_now: Record


def swaps(everything: Iterable[Life]) -> tuple[Swap, ...]:
    """The exchanges that a unit's part lives show.

    Args:
        everything: all lives of one unit, the ended ones too.

    Returns:
        One for each pair of places and visit; at most one for each place that grew back, the nearest in size.
    """
    rows = list(everything)
    at: dict[tuple[str, str], list[Record]] = {}
    for life in rows:
        at.setdefault((life.position, life.what), []).extend(life.records)
    found = [
        s for life in rows if life.ended and life.ended.how == "grown back" if (s := _at_end_of(life, at))
    ]
    return tuple(sorted(found, key=lambda s: (s.date, s.what, s.position)))


def _at_end_of(life: Life, at: dict[tuple[str, str], list[Record]]) -> Swap | None:
    assert life.ended is not None
    day = life.ended.date
    if day is None:
        return None
    mine = _around(at[life.position, life.what], day)
    others = [
        (place, pair)
        for (place, what), records in sorted(at.items())
        if what == life.what and place != life.position and (pair := _around(records, day))
    ]
    like = [(place, pair) for place, pair in others if mine and _exchanged(mine, pair, GROWS[life.what])]
    if mine is None or not like:
        return None
    place, pair = min(like, key=lambda row: abs(mine[1].size_m - row[1][0].size_m))
    return Swap(life.unit, day, life.what, life.position, place, *mine, *pair)


def _around(records: Sequence[Record], day: Date) -> tuple[Record, Record] | None:
    """The last record before a day and the first one on it."""
    before = [r for r in records if r.date is not None and r.date < day]
    on = [r for r in records if r.date == day]
    return (max(before, key=lambda r: r.at_m), on[0]) if before and on else None


def _exchanged(mine: tuple[Record, Record], other: tuple[Record, Record], sign: float) -> bool:
    """Is each now what the other was, worn on within the doubts, and more evenly so than if both had stayed?"""
    doubt = 2 * max(r.doubt_m for r in (*mine, *other))
    crossed = [sign * (mine[1].size_m - other[0].size_m), sign * (other[1].size_m - mine[0].size_m)]
    stayed = [sign * (pair[1].size_m - pair[0].size_m) for pair in (mine, other)]
    even = above(abs(stayed[0] - stayed[1]), abs(crossed[0] - crossed[1]))
    return even and all(at_most(-grown, doubt) for grown in crossed)
