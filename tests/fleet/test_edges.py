"""What a visit is foretold at the edges: leap days, a count that went back, kilometres, another body, one day, a day to come."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from conftest import priced
from made_fleet import visit, yard
from wheeltapper.fleet.foretell import Pooled, foretold_of
from wheeltapper.fleet.outlook import look_ahead
from wheeltapper.flow import examine
from wheeltapper.plan.foresight import Foreseen
from wheeltapper.plan.schedule import months_on
from wheeltapper.records import Visit

pytestmark = pytest.mark.reasoned
DAY = date(2024, 6, 1)
FIRST, SECOND = date(2023, 6, 1), date(2024, 5, 1)


@cache
def pool() -> Pooled:
    """Of thirty made-up trailers."""
    return Pooled(look_ahead(yard(1, 30), priced(), DAY).families, DAY, 150, "", "", "pool")


def drum(day: date, size: str, mileage: dict[str, Any], **more: Any) -> Visit:
    """One drum of one trailer."""
    return visit("T-1", day, {"1-road": size}, mileage=mileage, scope="hub service", **more)


def told(now: Visit, *before: Visit) -> Foreseen:
    """What is foretold of its only drum."""
    (part,) = foretold_of(now, before, pool(), priced()).parts
    return part


BEFORE = drum(FIRST, "12.012", {"now": 1000, "quality": "hubometer"})
PLAIN = drum(SECOND, "12.041", {"now": 15000, "quality": "hubometer"})


@pytest.mark.parametrize(
    "day, months, then",
    [
        (date(2024, 2, 29), 12, date(2025, 2, 28)), (date(2024, 2, 29), 48, date(2028, 2, 29)), (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2023, 1, 31), 1, date(2023, 2, 28)), (date(2096, 2, 29), 48, date(2100, 2, 28)), (date(2023, 8, 31), 6, date(2024, 2, 29)),
        (date(2023, 12, 31), 2, date(2024, 2, 29)), (date(2024, 5, 15), 12, date(2025, 5, 15)),
    ],
)  # fmt: skip
def test_months_end_where_the_month_ends(day: date, months: int, then: date) -> None:
    """The 29th of February has no day of its name a year on; 2100 is no leap year."""
    assert months_on(day, months) == then


@given(day=st.dates(date(1999, 1, 1), date(2110, 1, 1)), months=st.integers(1, 240))
def test_months_on_never_runs_into_another_month(day: date, months: int) -> None:
    """The month is the right one, the day is the same or the month's last, and a later start is never due sooner."""
    then, next_day = months_on(day, months), months_on(day + timedelta(days=1), months)

    assert (then.year * 12 + then.month) - (day.year * 12 + day.month) == months
    assert then.day == day.day or (then + timedelta(days=1)).day == 1
    assert then <= next_day


def test_a_visit_on_a_leap_day_has_dates() -> None:
    """Examined and foretold on 29 February: the hubs come off by 28 February, and no check is later."""
    leap = drum(date(2024, 2, 29), "12.041", {"now": 15000, "quality": "hubometer"}, unit={"use": "private"})
    seen = foretold_of(leap, (BEFORE,), pool(), priced())
    due = examine(leap, priced(), leap.date, (), seen).next

    assert [n.date for n in due if n.what == "hubs off"] == [date(2025, 2, 28)]
    assert all(p.check_date is not None and p.check_date <= date(2025, 2, 28) for p in seen.parts)


def test_a_count_that_went_back_is_no_distance() -> None:
    """A new hubometer: the reading before does not count, and the window is no narrower for it; a figure joins it again."""
    back = drum(SECOND, "12.041", {"now": 200, "quality": "hubometer"})
    figure = drum(SECOND, "12.041", {"now": 200, "since_last": 14000, "quality": "owner's figure"})

    assert told(PLAIN, BEFORE).records == told(figure, BEFORE).records == 2
    assert told(back, BEFORE).records == 1
    assert (
        told(back, BEFORE).near_mi < told(back).near_mi
    )  # a count that slipped is believed less for the miles ahead too
    assert told(back).far_mi / told(back).near_mi > told(figure, BEFORE).far_mi / told(figure, BEFORE).near_mi
    assert told(figure, BEFORE).near_mi < told(PLAIN, BEFORE).near_mi  # a figure is less sure than a count


@pytest.mark.parametrize("km", [round(14000 * 1.609344), round(14000 / 1.609344)])
def test_kilometres_beside_miles_are_no_distance(km: int) -> None:
    """The ratio of a mile and a kilometre between count and figure: neither is believed, nothing is converted."""
    mixed = drum(SECOND, "12.041", {"now": 15000, "since_last": km, "quality": "hubometer"})

    assert told(mixed, BEFORE).records == 1


@pytest.mark.parametrize(
    "other", [{"drum": "10 in"}, {"axles": 1}, {"axles": 3}, {"brake": "hydraulic drum"}]
)
def test_another_body_under_the_same_name_starts_anew(other: dict[str, Any]) -> None:
    """Other axles, brakes or drums than last time: what was read then says nothing of what is on now."""
    old = drum(FIRST, "12.012", {"now": 1000, "quality": "hubometer"}, unit=other)

    assert told(PLAIN, old).records == 1
    assert told(PLAIN, old) == told(PLAIN)


def test_another_use_is_the_same_body() -> None:
    """From fleet to salt water: the drum on it is the same, and is told from both readings."""
    wet = drum(SECOND, "12.041", {"now": 15000, "quality": "hubometer"}, unit={"use": "salt water"})

    assert told(wet, BEFORE).records == 2


def test_two_visits_on_one_day_are_one_reading_each_and_no_distance() -> None:
    """Read twice on a day: no rate comes of it, and what is foretold stays sane."""
    morning = drum(SECOND, "12.040", {"now": 15000, "quality": "hubometer"})
    twice, once = told(PLAIN, BEFORE, morning), told(PLAIN, BEFORE)

    assert twice.records == 3
    assert twice.middle_mi == pytest.approx(once.middle_mi, rel=0.10)
    assert 0 < twice.near_mi <= twice.middle_mi <= twice.far_mi


def test_a_visit_of_a_later_day_says_nothing_of_an_earlier_one() -> None:
    """Entered later or with a slip of the year: what a visit was told stays the same."""
    later = drum(date(2026, 5, 1), "12.080", {"now": 40000, "quality": "hubometer"})

    assert told(PLAIN, BEFORE, later) == told(PLAIN, BEFORE)


def test_a_visit_far_in_the_past_or_to_come_has_dates_all_the_same() -> None:
    """Year one and year 9999 are slips; they are told as such, and nothing falls over."""
    for day in (date(1, 1, 1), date(9998, 12, 31)):
        odd = drum(day, "12.041", {"now": 15000, "quality": "hubometer"})
        seen = foretold_of(odd, (), pool(), priced())
        found = examine(odd, priced(), DAY, (), seen)

        assert found.visit == odd
        assert [n.what for n in found.next].count("hubs off") == 1
        assert any("in the future" in p.what for p in found.problems) == (day > DAY)
