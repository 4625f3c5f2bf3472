"""What is due after the gate, and what closes it."""

from __future__ import annotations

import tomllib
from datetime import date as Date
from datetime import timedelta
from typing import Any

import pytest

from conftest import CASES, bases, examined, laid_over
from wheeltapper.plan.due import Due, as_plain, due_items

pytestmark = pytest.mark.reasoned
OUT = tomllib.loads((CASES / "settled-after-three-retorques.toml").read_text("utf-8"))["visit"][
    "return_sheet"
]


def of(*told: dict[str, Any], **more: Any) -> tuple[Due, ...]:
    """What is due of a fine tandem that has left, after what was told since."""
    day = Date(2026, 3, 14)
    more = {"date": day.isoformat(), "return_sheet": OUT, "follow_up": list(told)} | more
    ex = examined(laid_over(bases()["tandem-10-5"], more))
    return due_items(ex.visit, ex.next, ex.release.state, ex.tables)


def one(items: tuple[Due, ...], what: str, miles: int) -> Due:
    """The one item of a kind at a distance."""
    (item,) = [d for d in items if d.what == what and d.miles == miles]
    return item


def turned(miles: int, moved: bool | None = False, **more: Any) -> dict[str, Any]:
    """A re-torque as told."""
    return (
        {"what": "retorque", "due": miles, "done": miles} | ({} if moved is None else {"moved": moved}) | more
    )


def test_nothing_is_due_before_it_is_out() -> None:
    assert of(return_sheet={**OUT, "out": False}) == ()
    assert of(return_sheet=None) == ()


def test_everything_has_a_distance_or_a_day_and_a_basis() -> None:
    items = of()
    assert {("retorque", 10), ("retorque", 25), ("retorque", 50), ("adjust", 3000)} <= {
        (d.what, d.miles) for d in items
    }
    assert any(d.what == "hubs off" for d in items)
    assert all(d.by is not None and d.basis for d in items)
    assert [d.by for d in items] == sorted(d.by for d in items if d.by)


def test_a_retorque_is_dated_by_the_pace_or_a_week() -> None:
    unknown = one(of(), "retorque", 50)
    assert unknown.by == Date(2026, 3, 21)
    assert "a week, assumed" in unknown.basis
    past = {"position": "1-road", "what": "friction diameter", "value": "10.01", "unit": "in", "gauge": "G1", "date": "2025-03-14", "miles_ago": 3652.425}  # fmt: skip
    known = one(of(history=[past]), "retorque", 50)
    assert known.by == Date(2026, 3, 19)  # 10.0067 miles a day (3652.425 in 365 days): not quite five days
    assert "305 miles a month" in known.basis
    slow = one(of(history=[past | {"miles_ago": 36}]), "retorque", 50)
    assert slow.by == Date(2026, 4, 14)  # never later than the table's month


@pytest.mark.parametrize(
    ("told", "closed", "come_in"),
    [
        ([turned(25)], True, False), ([turned(25, None)], False, False), ([turned(25, True)], False, True),
        ([turned(10, True)], True, False), ([turned(25, None, turned="20 deg")], False, True),
        ([turned(25), turned(25, True)], False, True), ([turned(25, True), turned(25)], False, True),
        ([{"what": "retorque", "due": 25, "moved": False}], False, False),
        ([{"what": "retorque", "due": 25, "date": "2026-03-15", "moved": False}], True, False),
        ([{"what": "retorque", "due": 25, "date": "2026-03-13", "moved": False}], False, False),
    ],
    ids=["no", "nobody-said", "second", "first", "angle", "no-then-yes", "yes-then-no", "not-done", "by-day", "before"],
)  # fmt: skip
def test_what_closes_a_retorque(told: list[dict[str, Any]], closed: bool, come_in: bool) -> None:
    item = one(of(*told), "retorque", int(told[0]["due"]))
    assert (item.closed, item.come_in) == (closed, come_in)
    assert ("come in" in item.basis) == come_in


def test_a_nut_that_went_far_at_the_first_comes_in() -> None:
    item = one(of(turned(10, True, turned="90 deg")), "retorque", 10)
    assert item.come_in
    assert not item.closed


def test_an_adjustment_opens_the_next() -> None:
    items = of({"what": "adjust", "due": 3000, "done": 3200, "date": "2026-06-10"})
    assert one(items, "adjust", 3000).closed
    after = one(items, "adjust", 6200)
    assert (after.closed, after.by) == (False, Date(2026, 9, 10))
    third = of(
        {"what": "adjust", "due": 3000, "date": "2026-06-10"},
        {"what": "adjust", "due": 6000, "date": "2026-09-01"},
    )
    assert one(third, "adjust", 9000).by == Date(2026, 12, 1)


def test_an_adjustment_done_at_once_still_opens_a_later_one() -> None:
    items = of({"what": "adjust", "due": 3000, "done": 0, "date": "2026-03-14"})
    assert [d.miles for d in items if d.what == "adjust" and not d.closed] == [3001]


@pytest.mark.parametrize(
    ("day", "quarter", "year"),
    [("2028-02-29", "2028-05-29", "2029-02-28"), ("2025-11-30", "2026-02-28", "2026-11-30"), ("2026-01-31", "2026-04-30", "2027-01-31")],
)  # fmt: skip
def test_leap_days_and_month_ends(day: str, quarter: str, year: str) -> None:
    items = of(date=day, unit={"use": "private"})
    assert one(items, "adjust", 3000).by == Date.fromisoformat(quarter)
    assert one(items, "hubs off", 12000).by == Date.fromisoformat(year)
    assert one(items, "retorque", 10).by == Date.fromisoformat(day) + timedelta(days=7)


def test_the_count_and_plain_form() -> None:
    item = one(of(mileage={"now": 12_000, "quality": "hubometer"}), "retorque", 25)
    assert as_plain(item) == {
        "what": "retorque", "miles": 25, "by": "2026-03-21", "at": 12_025, "position": None, "part": None,
        "basis": item.basis, "done": False, "come_in": False,
    }  # fmt: skip


def test_against_advice_is_on_its_wheels_and_on_a_hauler_is_not() -> None:
    assert one(of(return_sheet=None, exit={"how": "against advice", "by": "L1"}), "retorque", 10)
    assert of(return_sheet=None, exit={"how": "on a hauler", "by": "L1"}) == ()
