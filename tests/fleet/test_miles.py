"""How far a unit went: counts, figures, the calendar, and the slips that people make with them."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from typing import Any

import pytest

from made_fleet import visit
from wheeltapper.fleet.miles import BY_CALENDAR, NO_PACE, SHARES, way
from wheeltapper.records import Visit
from wheeltapper.units import MILE_M

pytestmark = pytest.mark.reasoned
DAYS = (date(2024, 1, 10), date(2024, 7, 10), date(2025, 1, 10))


def visits(*mileage: dict[str, Any], days: tuple[date, ...] = DAYS) -> list[Visit]:
    """One unit's visits with these mileages."""
    return [visit("T-1", day, {}, mileage=m) for day, m in zip(days, mileage, strict=False)]


def miles(found: tuple[float | None, ...]) -> list[int | None]:
    """Places on the way in whole miles."""
    return [None if at is None else round(at / MILE_M) for at in found]


def test_a_count_is_joined_from_the_last_visit_back() -> None:
    """Miles behind the last visit, each interval with the doubt of its quality; a figure fills in where there is no count."""
    road = way(
        visits({"now": 1000}, {"now": 7000, "quality": "hubometer"}, {"since_last": 5000, "quality": "guess"})
    )

    assert miles(road.at_m) == [-11000, -5000, 0]
    assert road.shares[1:] == (SHARES["hubometer"], SHARES["guess"])
    assert road.doubt_m(-5000 * MILE_M, 0) == pytest.approx(1500 * MILE_M)
    assert road.doubt_m(-11000 * MILE_M, 0) == pytest.approx((1500**2 + 120**2) ** 0.5 * MILE_M)
    assert road.problems == ()


@pytest.mark.parametrize(
    "worse, better", [*pairwise(["unknown", "guess", "trips", "owner's figure", "hubometer"])]
)
def test_better_miles_have_less_doubt(worse: Any, better: Any) -> None:
    """The order of the qualities is the order of the doubts."""
    assert SHARES[worse] > SHARES[better] > 0


def test_a_count_that_went_back_is_asked_about() -> None:
    """A changed counter: the figure stands in where there is one; without one the earlier visits are not joined."""
    road = way(visits({"now": 50000}, {"now": 200, "since_last": 6000, "quality": "owner's figure"}))
    alone = way(visits({"now": 50000}, {"now": 200}))

    assert miles(road.at_m) == [-6000, 0]
    assert miles(alone.at_m) == [None, 0]
    for found in (road, alone):
        assert ["went back" in p.what for p in found.problems] == [True]


@pytest.mark.parametrize("said", [9656, 3728])
def test_kilometres_for_miles_are_never_converted(said: float) -> None:
    """6,000 by the count and 9,656, or 3,728, by the figure: one is in kilometres, nobody knows which; neither counts."""
    road = way(visits({"now": 1000}, {"now": 7000, "since_last": said}))

    assert miles(road.at_m) == [None, 0]
    assert "kilometres" in road.problems[0].what


def test_a_figure_far_from_the_count_widens_it() -> None:
    """The count stands, with a doubt as wide as the two are apart."""
    road = way(visits({"now": 1000}, {"now": 7000, "since_last": 3000, "quality": "hubometer"}))

    assert miles(road.at_m) == [-6000, 0]
    assert road.shares[1] == pytest.approx(0.693, abs=0.001)
    assert len(road.problems) == 1


def test_more_miles_than_a_day_has_are_a_slip() -> None:
    """300,000 miles in half a year."""
    road = way(visits({"now": 1000}, {"now": 301_000, "quality": "hubometer"}))

    assert miles(road.at_m) == [None, 0]
    assert "300,000 miles" in road.problems[0].what


def test_a_distance_nobody_wrote_is_told_from_the_units_own_pace() -> None:
    """A thousand miles a month before: half a year without a figure is six thousand, give or take more than half."""
    road = way(visits({"now": 1000}, {"now": 7000, "quality": "hubometer"}, {}))

    assert miles(road.at_m)[1] == pytest.approx(-6066, abs=60)
    assert road.shares[2] == BY_CALENDAR
    assert not road.pace.assumed


def test_nothing_known_is_assumed_and_says_so() -> None:
    """One visit, or none with a figure."""
    for road in (way(visits({})), way(visits({}, {}))):
        assert (road.pace.miles, road.pace.doubt_share, road.pace.assumed) == (*NO_PACE, True)
    assert miles(way(visits({}, {})).at_m) == [None, 0]


def test_a_unit_that_stood() -> None:
    """A year with 100 miles counts as months stood, and its pace is next to nothing."""
    road = way(
        visits({"now": 1000}, {"now": 1060, "quality": "hubometer"}, {"now": 1100, "quality": "hubometer"})
    )

    assert road.stood_months == pytest.approx(12, abs=0.1)
    assert road.pace.miles == pytest.approx(8.3, abs=0.1)


def test_the_pace_knows_leap_days_and_no_hours() -> None:
    """29 February is a day like any other, and two visits on one day are no distance and no pace."""
    days = date(2024, 2, 29), date(2024, 2, 29), date(2025, 2, 28)
    road = way(visits({"now": 1000}, {"now": 1000}, {"now": 13000, "quality": "hubometer"}, days=days))

    assert miles(road.at_m) == [-12000, -12000, 0]
    assert road.pace.miles == pytest.approx(12000 / (365 / 30.436875), rel=1e-9)
