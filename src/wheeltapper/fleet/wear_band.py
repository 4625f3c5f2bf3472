"""The line through a life's own records with its band of doubt, for a picture: what they say, and how sure that is.

From three records on the band is the limits of prediction of the straight line, never narrower than one reading's own
doubt; from two it is what their gauges leave open. Ahead of the last record the line runs at the rate that counts (C7),
and the doubt of the miles still to be counted widens it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from wheeltapper.fleet.lives import Life
from wheeltapper.measure import wear
from wheeltapper.measure.margin import COVERAGE
from wheeltapper.measure.number import Floats
from wheeltapper.measure.student import coverage_factor
from wheeltapper.measure.wear_line import error_at_m, size_at_m
from wheeltapper.units import MILE_M

SURE = 0.90  # share of readings that the band is to hold
REACH = 1.645  # standard doubts to either side for it, where the doubt is known
STEPS = 24
FAR, FINE = 4.0, 2001  # the window is looked for so many times as far as the line goes, at so many places


@dataclass(frozen=True)
class Place:
    """The line at one place: size as it is read, and the band about it; distance as a Record's."""

    at_m: float
    low_m: float
    middle_m: float
    high_m: float


def band(life: Life) -> tuple[Place, ...]:
    """The line through the records, from the first to the last of them; empty where there are not two places."""
    rows = life.records
    if rows[-1].at_m <= rows[0].at_m:
        return ()
    line = _line(life)
    at = np.linspace(rows[0].at_m, rows[-1].at_m, STEPS + 1)
    return _places(at, size_at_m(line, at), _reach_m(life, line, at))


def ahead(life: Life, rate_share: float, to_m: float) -> tuple[Place, ...]:
    """The line from the last record on, at the rate that counts.

    Args:
        life: with records at two places or more.
        rate_share: wear for each metre driven, more than zero.
        to_m: up to here; distance as a Record's [m].

    Returns:
        Places on it; empty where it leads nowhere.
    """
    last = life.records[-1]
    if to_m <= last.at_m or last.at_m <= life.records[0].at_m:
        return ()
    at = np.linspace(last.at_m, to_m, STEPS + 1)
    gone = at - last.at_m
    counted = (
        REACH * life.way.shares[-1] * rate_share * gone
    )  # miles to come are counted as the last ones were
    return _places(
        at, last.size_m + life.sign * rate_share * gone, np.hypot(_reach_m(life, _line(life), at), counted)
    )


def fan(life: Life, rates: tuple[float, float, float], to_m: float) -> tuple[Place, ...]:
    """The line from the last record on at a rate that is known with its doubt, as a shop's records together tell it.

    Args:
        life: with one record or more.
        rates: wear for each metre driven: slow, middle and fast, with 90 % between the outer two.
        to_m: up to here; distance as a Record's [m].

    Returns:
        Places on it; empty where it leads nowhere.
    """
    last = life.records[-1]
    if to_m <= last.at_m:
        return ()
    slow, middle, fast = rates
    at = np.linspace(last.at_m, to_m, STEPS + 1)
    gone = at - last.at_m
    always = np.hypot(REACH * last.doubt_m / COVERAGE, REACH * life.way.shares[-1] * middle * gone)
    less, more = np.hypot(always, (middle - slow) * gone), np.hypot(always, (fast - middle) * gone)
    line = last.size_m + life.sign * middle * gone
    down, up = (less, more) if life.sign > 0 else (more, less)
    return tuple(Place(*map(float, row)) for row in zip(at, line - down, line, line + up, strict=True))


def window(life: Life, rate_share: float, goal: float) -> tuple[float, float | None]:
    """From where to where the band ahead reaches a limit.

    Args:
        life: with records at two places or more.
        rate_share: wear for each metre driven, more than zero.
        goal: the limit in the sense in which the size grows, as `goal_m` has it [m].

    Returns:
        Distances as a Record's, never before the last record [m]; None where the far end lies beyond what can be told.
    """
    last = life.records[-1]
    left = max(0.0, goal - life.sign * last.size_m) / rate_share
    at = np.linspace(last.at_m, last.at_m + max(FAR * left, MILE_M), FINE)
    reach, middle = _ahead_m(life, rate_share, at), life.sign * last.size_m + rate_share * (at - last.at_m)
    early, late = np.flatnonzero(middle + reach >= goal), np.flatnonzero(middle - reach >= goal)
    return float(at[early[0]]), float(at[late[0]]) if len(late) else None


def _places(at: Floats, middle: Floats, reach: Floats) -> tuple[Place, ...]:
    rows = zip(at, middle - reach, middle, middle + reach, strict=True)
    return tuple(Place(*map(float, row)) for row in rows)


def _ahead_m(life: Life, rate_share: float, at: Floats) -> Floats:
    """Half the band's height ahead: miles to come are counted as the last ones were."""
    counted = REACH * life.way.shares[-1] * rate_share * (at - life.records[-1].at_m)
    out: Floats = np.hypot(_reach_m(life, _line(life), at), counted)
    return out


def _line(life: Life) -> wear.Line:
    return wear.line([r.at_m for r in life.records], [r.size_m for r in life.records])


def _reach_m(life: Life, line: wear.Line, at: Floats) -> Floats:
    """Half the band's height: how far a reading may lie from the line."""
    reading = REACH * max(r.doubt_m for r in life.records) / COVERAGE
    if line.records == 2:
        return np.hypot(reading, REACH * _two_m(life, line, at))
    out: Floats = np.maximum(reading, _factor(line.records - 2) * error_at_m(line, at, "reading"))
    return out


@cache
def _factor(freedom: int) -> float:
    return float(coverage_factor(SURE, freedom))


def _two_m(life: Life, line: wear.Line, at: Floats) -> Floats:
    """Standard doubt of a line through two records: of their gauges, and of the miles between them."""
    one, two = life.records[0], life.records[-1]
    share = (at - one.at_m) / (two.at_m - one.at_m)
    sizes = np.hypot((1 - share) * one.doubt_m / COVERAGE, share * two.doubt_m / COVERAGE)
    out: Floats = np.hypot(sizes, line.slope * life.shares[-1] * (at - two.at_m))
    return out
