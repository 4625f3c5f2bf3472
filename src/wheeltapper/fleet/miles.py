"""How far a unit went between its visits, and how well that is known. Nothing is converted or mended on a guess.

Most trailers have no odometer. A distance nobody can vouch for is left out; where the unit's own pace is known it is told
from the calendar, with a wide doubt. Only dates count, never hours: neither leap days nor clock changes matter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, log, sqrt

from wheeltapper.plan.schedule import LONG_ENOUGH_DAYS, MONTH_DAYS
from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.units import MILE_M
from wheeltapper.words import MileageQuality

# Standard doubt of a distance between two visits, as a share of it. Assumed: no study of them is known to us.
SHARES: dict[MileageQuality, float] = {
    "hubometer": 0.02, "owner's figure": 0.10, "trips": 0.15, "guess": 0.30, "unknown": 0.40,
}  # fmt: skip
BY_CALENDAR = 0.60  # where only the unit's pace and the calendar tell
MOST_A_DAY_MI = 1000  # more miles a day than this on average are a slip
KM_PER_MILE = MILE_M / 1000
LIKE_KM = 0.03  # so near to the ratio of mile and kilometre, one of the two was likely the other unit
STANDING_MI = 50  # a month with less is a month stood
PACE_ALONE = 0.40  # doubt of a pace from one interval: assumed
NO_PACE = (
    1000.0,
    0.60,
)  # miles a month, and its doubt, for a unit that nothing is known of: the private rhythm


@dataclass(frozen=True)
class Pace:
    """Miles a month."""

    miles: float
    doubt_share: float
    assumed: bool


@dataclass(frozen=True)
class Way:
    """The visits of one unit along one count of its own that never goes back; the last visit is 0."""

    at_m: tuple[float | None, ...]  # of each visit; None: not joined to the last one by any known distance
    shares: tuple[float, ...]  # doubt of the distance that led to each visit
    pace: Pace
    stood_months: float
    problems: tuple[Problem, ...]

    def doubt_m(self, start_m: float, end_m: float) -> float:
        """Standard doubt of the distance between two places on the way [m]."""
        bounds = [(a, s) for a, s in zip(self.at_m, self.shares, strict=True) if a is not None]
        parts, low = [], -float("inf")
        for high, share in bounds:
            over = max(0.0, min(end_m, high) - max(start_m, low))
            parts.append(share * over)
            low = high
        return sqrt(sum(p * p for p in parts))


def way(visits: Sequence[Visit]) -> Way:
    """The way of one unit through its visits, which are in order of their dates."""
    problems: list[Problem] = []
    steps = [_step(a, b, problems) for a, b in pairwise(visits)]
    pace = _pace(visits, steps)
    filled = [_by_calendar(a, b, s, pace) for a, b, s in zip(visits, visits[1:], steps, strict=False)]
    at: list[float | None] = [0.0]
    for step in reversed(filled):  # from the last visit backwards: what is not joined to it does not count
        before = at[-1]
        at.append(None if step is None or before is None else before - step[0])
    first = SHARES[visits[0].mileage.quality]
    shares = (first, *(s[1] if s else BY_CALENDAR for s in filled))
    return Way(tuple(reversed(at)), shares, pace, _stood(visits, steps), tuple(problems))


def _step(before: Visit, now: Visit, problems: list[Problem]) -> tuple[float, float] | None:
    """Distance from visit to visit [m] and its doubt as a share, or None where nobody can vouch for one."""
    where = f"{now.unit.id}, {now.date}, mileage"
    share = SHARES[now.mileage.quality]
    said = now.mileage.since_last
    counted = None
    if now.mileage.now is not None and before.mileage.now is not None:
        counted = now.mileage.now - before.mileage.now
    if counted is not None and counted < 0:
        what = f"the count went back from {before.mileage.now:,.0f} to {now.mileage.now:,.0f} miles"
        problems.append(
            Problem(where, what, "see whether the counter was changed; write mileage.since_last.")
        )
        counted = None
    if counted and said:
        share = _agreed(counted, said, share, where, problems)
    if counted is None and now.date == before.date and said == before.mileage.since_last:
        said = 0.0 if said is not None else None  # the same figure on the same day: driven once
    miles = counted if counted is not None else said
    if miles is None or share == float("inf"):
        return None
    days = (now.date - before.date).days
    if miles > MOST_A_DAY_MI * (days + 1):
        what = f"{miles:,.0f} miles in {days} days"
        problems.append(Problem(where, what, "see whether the count and its unit are right."))
        return None
    return miles * MILE_M, share


def _agreed(counted: float, said: float, share: float, where: str, problems: list[Problem]) -> float:
    """The doubt where a count and a figure stand side by side; infinite where one may be in kilometres."""
    ratio = counted / said
    if any(abs(ratio / r - 1) < LIKE_KM for r in (KM_PER_MILE, 1 / KM_PER_MILE)):
        what = f"{counted:,.0f} miles by the count and {said:,.0f} by the figure: one may be kilometres"
        problems.append(Problem(where, what, "write both in miles; until then neither counts."))
        return float("inf")
    if abs(log(ratio)) > 2 * hypot(share, SHARES["owner's figure"]):
        what = f"{counted:,.0f} miles by the count and {said:,.0f} by the figure"
        problems.append(
            Problem(where, what, "mend the wrong one; until then the count stands, with a wide doubt.")
        )
        return max(share, min(1.0, abs(log(ratio))))
    return share


def _pace(visits: Sequence[Visit], steps: Sequence[tuple[float, float] | None]) -> Pace:
    """Miles a month over all known intervals; the doubt from how they differ."""
    rows = [
        (s[0] / MILE_M, (b.date - a.date).days / MONTH_DAYS)
        for a, b, s in zip(visits, visits[1:], steps, strict=False)
        if s and (b.date - a.date).days >= LONG_ENOUGH_DAYS
    ]
    if not rows:
        return Pace(*NO_PACE, True)
    months = sum(m for _, m in rows)
    mean = sum(d for d, _ in rows) / months
    if len(rows) == 1 or mean == 0:
        return Pace(mean, PACE_ALONE, False)
    apart = sum(m * (d / m - mean) ** 2 for d, m in rows) / months * len(rows) / (len(rows) - 1)
    return Pace(mean, min(1.0, max(0.1, sqrt(apart) / mean)), False)


def _by_calendar(
    before: Visit, now: Visit, step: tuple[float, float] | None, pace: Pace
) -> tuple[float, float] | None:
    """A distance that nobody wrote, by the unit's own pace."""
    if step is not None or pace.assumed:
        return step
    return pace.miles * (now.date - before.date).days / MONTH_DAYS * MILE_M, BY_CALENDAR


def _stood(visits: Sequence[Visit], steps: Sequence[tuple[float, float] | None]) -> float:
    """Months in intervals in which it hardly rolled."""
    months = 0.0
    for a, b, s in zip(visits, visits[1:], steps, strict=False):
        span = (b.date - a.date).days / MONTH_DAYS
        if s is not None and s[0] / MILE_M < STANDING_MI * span:
            months += span
    return months
