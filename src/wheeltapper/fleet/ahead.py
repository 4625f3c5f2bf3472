"""What is ahead of one part life, as a distance and as a date, and where that comes from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date as Date
from datetime import timedelta
from math import erfc, floor, hypot, isnan, sqrt
from typing import Literal

from wheeltapper.fleet.groups import Goal, goal_m
from wheeltapper.fleet.lives import Life
from wheeltapper.fleet.recent import Slope, faster_than, lately, left_m, own_rate
from wheeltapper.measure import wear
from wheeltapper.measure.margin import COVERAGE
from wheeltapper.measure.wear_path import Scatter
from wheeltapper.plan.schedule import MONTH_DAYS, months_on
from wheeltapper.reference.tables import Interval, Tables
from wheeltapper.units import MILE_M

How = Literal["pooled", "faster lately", "own records", "not enough to say", "no limit known"]
LONG_MONTHS = 240  # a date further off than twenty years says nothing
SURE_PACE = 1.645  # the pace that 19 in 20 stay under


@dataclass(frozen=True)
class Told:
    """What the pool says of one life: rate (5, 50, 95 %), miles from the last visit on (5, 50, 95 %), chance asked for."""

    slow_share: float
    rate_share: float
    fast_share: float
    doubt_share: float
    near_mi: float
    middle_mi: float
    far_mi: float
    chance: float | None


@dataclass(frozen=True)
class Ahead:
    """One part life and what is ahead of it. Distances count from the unit's last visit."""

    unit: str
    position: str
    what: str
    how: How
    why: str
    records: int
    last: Date  # the unit's last visit
    size_m: float  # as read last
    goal: Goal | None
    quality: str  # how well its miles are known
    pace_mi: float  # a month
    pace_assumed: bool
    stood_months: float
    service_mi: int | None
    rate_share: float | None = None
    slow_share: float | None = None
    fast_share: float | None = None
    near_mi: float | None = None
    middle_mi: float | None = None
    far_mi: float | None = None
    near_date: Date | None = None
    middle_date: Date | None = None
    far_date: Date | None = None
    check_mi: int | None = None
    check_date: Date | None = None
    at_mi: int | None = None  # on the unit's own count
    late: bool = False
    chance: float | None = None  # of reaching its limit before the miles that were asked for


def by_own_records(
    life: Life, goal: Goal | None, tables: Tables, on: Date, ask_mi: float | None, why: str
) -> Ahead:
    """A life by its own records alone (C7, C8), where the pooled model is not used: `why` says why not."""
    bare = _bare(life, goal, tables, why)
    rate = own_rate(life, tables)
    if goal is None:
        return _dated(replace(bare, how="no limit known"), life, tables, on)
    if rate is None:
        return _dated(bare, life, tables, on)
    since = -life.records[-1].at_m
    remaining = max(0.0, wear.remaining_m(left_m(life, goal), rate.share) - since) / MILE_M
    check = wear.interim(remaining, tables.number("interim_share"), _step_mi(tables))
    found = replace(
        bare, how="own records", rate_share=rate.share, middle_mi=remaining, check_mi=_soonest(check, bare)
    )
    return _dated(found, life, tables, on)


def by_pool(
    life: Life,
    goal: Goal | None,
    told: Told,
    scatter: Scatter,
    tables: Tables,
    on: Date,
    ask_mi: float | None,
) -> Ahead:
    """A life by the pooled model, and by its late wear where that is faster beyond doubt."""
    bare = _bare(life, goal, tables, "the model has shown itself on this shop's records")
    bare = replace(bare, rate_share=told.rate_share, slow_share=told.slow_share, fast_share=told.fast_share)
    if goal is None or isnan(goal_m(life, goal)):
        return _dated(replace(bare, how="no limit known"), life, tables, on)
    check = int(floor(told.near_mi / _step_mi(tables) + 1e-9) * _step_mi(tables))
    found = replace(
        bare, how="pooled", near_mi=told.near_mi, middle_mi=told.middle_mi, far_mi=told.far_mi,
        check_mi=_soonest(check, bare), chance=told.chance,
    )  # fmt: skip
    fast = faster_than(lately(life, tables, scatter.visit_m), told.rate_share, told.doubt_share)
    if fast is not None:
        found = _faster(found, life, goal, fast, tables, ask_mi)
    return _dated(found, life, tables, on)


def _bare(life: Life, goal: Goal | None, tables: Tables, why: str) -> Ahead:
    return Ahead(
        life.unit, life.position, life.what, "not enough to say", why, 0 if life.as_new else len(life.records), life.now.date,
        life.records[-1].size_m, goal, life.now.mileage.quality, life.way.pace.miles, life.way.pace.assumed,
        life.way.stood_months, _service(life, tables).miles,
    )  # fmt: skip


def _service(life: Life, tables: Tables) -> Interval:
    """When the hubs come off by the calendar or the count, for this use."""
    use = life.now.unit.use or "no history"
    return next(i for i in tables.intervals if i.what == "hubs off" and use in i.use)


def _step_mi(tables: Tables) -> int:
    return round(tables.number("interim_step") / MILE_M)


def _soonest(check: int, bare: Ahead) -> int:
    """A part that lasts longer is still looked at when the hubs come off."""
    return check if bare.service_mi is None else min(check, bare.service_mi)


def _faster(found: Ahead, life: Life, goal: Goal, fast: Slope, tables: Tables, ask_mi: float | None) -> Ahead:
    """The late rate stands as a floor: nothing is farther off than it says, with 80 % of it to the check (C8)."""
    since = -life.records[-1].at_m
    remaining = max(0.0, wear.remaining_m(left_m(life, goal), fast.rate_share) - since) / MILE_M
    check = wear.interim(remaining, tables.number("interim_share"), _step_mi(tables))
    near, middle, far = (min(remaining, m or 0.0) for m in (found.near_mi, found.middle_mi, found.far_mi))
    chance = found.chance
    if ask_mi is not None and chance is not None:
        chance = max(chance, _late_chance(life, goal, fast, ask_mi * MILE_M + since))
    return replace(
        found, how="faster lately", why="its last records wear faster than the shop's would have it, by more than the doubt",
        rate_share=fast.rate_share, fast_share=max(fast.rate_share, found.fast_share or 0.0), near_mi=near, middle_mi=middle,
        far_mi=far, check_mi=min(check, found.check_mi or 0), chance=chance,
    )  # fmt: skip


def _late_chance(life: Life, goal: Goal, fast: Slope, ahead_m: float) -> float:
    """Chance that the late rate, as sure as it is, reaches the limit."""
    last = life.records[-1]
    over = life.sign * last.size_m + fast.rate_share * ahead_m - goal_m(life, goal)
    doubt = hypot(last.doubt_m / COVERAGE, fast.doubt_share * ahead_m)
    return 0.5 * erfc(-over / doubt / sqrt(2))


def _dated(found: Ahead, life: Life, tables: Tables, on: Date) -> Ahead:
    """Dates beside the distances: by the unit's pace and its doubt, and never past the service that the calendar asks for."""
    pace = life.way.pace
    quick, slow = (
        pace.miles * (1 + SURE_PACE * pace.doubt_share),
        pace.miles / (1 + SURE_PACE * pace.doubt_share),
    )
    row = _service(life, tables)
    by_service = months_on(life.now.date, row.months) if row.months else None
    by_miles = _date(life.now.date, found.check_mi if found.check_mi is not None else row.miles, quick)
    check = min((d for d in (by_service, by_miles) if d), default=None)
    now = life.now.mileage.now
    return replace(
        found, near_date=_date(life.now.date, found.near_mi, quick), middle_date=_date(life.now.date, found.middle_mi, pace.miles),
        far_date=_date(life.now.date, found.far_mi, slow), check_date=check, late=check is not None and check < on,
        at_mi=None if now is None or found.check_mi is None else round(now) + found.check_mi,
    )  # fmt: skip


def _date(start: Date, miles: float | None, pace_mi: float) -> Date | None:
    """The day so many miles on, or None where that is too far off to say."""
    if miles is None or miles >= pace_mi * LONG_MONTHS:
        return None if miles is None or miles > 0 else start
    days = int(miles / pace_mi * MONTH_DAYS)
    return start + timedelta(days=days) if start.year + days // 365 + 1 < 9999 else None
