"""Part lives from visits: what starts one, what belongs to it, and what is asked about."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from conftest import priced
from made_fleet import visit
from wheeltapper.fleet.groups import goal_of, group_of
from wheeltapper.fleet.lives import Life, lives
from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.units import INCH_M, MILE_M

pytestmark = pytest.mark.reasoned
DAYS = (date(2024, 1, 10), date(2024, 7, 10), date(2025, 1, 10), date(2025, 7, 10))


def told(visits: list[Visit]) -> tuple[dict[str, Life], tuple[Problem, ...]]:
    """Lives by position, and problems."""
    found, problems = lives(visits, priced())
    return {life.position: life for life in found}, problems


def drum(k: int, sizes: dict[str, str], **more: Any) -> Visit:
    """The k-th visit, 6,000 miles after the one before."""
    return visit("T-1", DAYS[k], sizes, mileage={"now": 1000 + 6000 * k, "quality": "hubometer"}, **more)


def sizes(life: Life) -> list[float]:
    """Sizes in inches."""
    return [round(r.size_m / INCH_M, 3) for r in life.records]


def test_visits_in_any_order_make_a_life() -> None:
    """Sizes in order of their miles, however the files lie; the unit's name in any case and spacing."""
    rows = [drum(k, {"1-road": s}) for k, s in enumerate(("12.010", "12.020", "12.031"))]
    rows[1] = rows[1].model_copy(update={"unit": rows[1].unit.model_copy(update={"id": " t-1"})})
    found, problems = told(rows[::-1])

    assert sizes(found["1-road"]) == [12.010, 12.020, 12.031]
    assert [round(r.at_m / MILE_M) for r in found["1-road"].records] == [-12000, -6000, 0]
    assert problems == ()


def test_one_visit_is_a_life_of_one_record() -> None:
    """Nothing more is made of it."""
    found, problems = told([drum(0, {"1-road": "12.010"})])

    assert (sizes(found["1-road"]), found["1-road"].shares, problems) == ([12.010], (0.0,), ())


def test_the_worst_reading_counts_and_repeats_do_not() -> None:
    """C1: the largest of several; a repeat is for the limit."""
    reading = [
        {"what": "friction diameter", "value": ["12.010", "12.014", "12.011", "12.012"], "unit": "in", "gauge": "G1"},
        {"what": "friction diameter", "at": "repeat", "value": "12.016", "unit": "in", "gauge": "G1"},
    ]  # fmt: skip
    found, _ = told([drum(0, {}, corner=[{"position": "1-road", "reading": reading}])])

    assert sizes(found["1-road"]) == [12.014]


def test_what_a_later_visit_tells_again_counts_once() -> None:
    """History rows of readings that their own visit has; one of before the first visit is added."""
    past = [
        {"position": "1-road", "what": "friction diameter", "value": v, "unit": "in", "gauge": "G1", "miles": m, "date": d}
        for v, m, d in (("12.004", 200, "2023-06-01"), ("12.010", 1000, "2024-01-10"))
    ]  # fmt: skip
    found, _ = told([drum(0, {"1-road": "12.010"}), drum(1, {"1-road": "12.020"}, history=past)])

    assert sizes(found["1-road"]) == [12.004, 12.010, 12.020]


def test_a_new_drum_starts_a_life() -> None:
    """The day's own reading was of the old one; told again as fitted later, it cuts no second time."""
    new = [{"position": "1-road", "part": "hub-drum", "action": "Replaced", "by": "T1"}]
    again = [{"position": "1-road", "part": "hub-drum", "date": "2024-07-10", "miles": 7000}]
    rows = [
        drum(0, {"1-road": "12.060", "1-curb": "12.050"}),
        drum(1, {"1-road": "12.080", "1-curb": "12.060"}, done=new),
        drum(2, {"1-road": "12.006", "1-curb": "12.070"}, fitted=again),
    ]
    found, problems = told(rows)

    assert sizes(found["1-road"]) == [12.006]
    assert sizes(found["1-curb"]) == [12.050, 12.060, 12.070]
    assert problems == ()


def test_a_new_axle_brings_both_drums() -> None:
    """Done at one end, new at both; not measured since, they are taken as new."""
    new = [{"position": "1-road", "part": "axle", "action": "fitted", "by": "T1"}]
    found, _ = told(
        [
            drum(0, {"1-road": "12.060", "1-curb": "12.050", "2-road": "12.050"}, done=new),
            drum(1, {"2-road": "12.060"}),
        ]
    )

    assert {at: life.as_new for at, life in found.items()} == {
        "1-road": True,
        "1-curb": True,
        "2-road": False,
    }
    assert sizes(found["1-curb"]) == [12.0]
    assert round(found["1-curb"].records[0].at_m / MILE_M) == -6000


def test_a_drum_fitted_elsewhere_by_miles_alone() -> None:
    """No date, only the count: records of before do not count."""
    told_of = [{"position": "1-road", "part": "hub-drum", "miles": 5000}]
    found, problems = told([drum(0, {"1-road": "12.060"}), drum(1, {"1-road": "12.006"}, fitted=told_of)])

    assert (sizes(found["1-road"]), problems) == ([12.006], ())


def test_a_part_that_grew_back_is_asked_about_and_starts_anew() -> None:
    """Wheels that changed places: the smaller one is noticed, with where it may come from; inside the doubt nothing is."""
    rows = [
        drum(0, {"1-road": "12.060", "1-curb": "12.020"}),
        drum(1, {"1-road": "12.021", "1-curb": "12.062"}),
        drum(2, {"1-road": "12.018", "1-curb": "12.066"}),
    ]
    found, problems = told(rows)

    assert sizes(found["1-road"]) == [12.021, 12.018]
    assert [p.where for p in problems] == ["T-1, 2024-07-10, 1-road, friction diameter"]
    assert "near what 1-curb had" in problems[0].what


def test_linings_shrink() -> None:
    """A lining that is thicker than before grew back; one that is thinner is worn."""

    def lining(k: int, value: str) -> Visit:
        reading = [{"what": "lining thickness", "value": value, "unit": "in", "gauge": "G1"}]
        return drum(k, {}, corner=[{"position": "1-road", "reading": reading}])

    found, problems = told([lining(0, "0.180"), lining(1, "0.150"), lining(2, "0.190"), lining(3, "0.170")])

    assert sizes(found["1-road"]) == [0.190, 0.170]
    assert "thicker" in problems[0].what


def test_a_unit_with_other_drums_starts_anew() -> None:
    """10 in drums, then 12 in: another trailer under the same tag, or other axles; earlier records do not count."""
    old = visit("T-1", DAYS[0], {"1-road": "10.020"}, unit={"drum": "10 in"}, limit=[])
    found, problems = told([old, drum(1, {"1-road": "12.010"})])
    left_out = told(
        [drum(0, {"1-road": "12.010"}), drum(1, {}, unit={"drum": None}), drum(2, {"1-road": "12.020"})]
    )

    assert sizes(found["1-road"]) == [12.010]
    assert ["other axles, brakes or drums" in p.what for p in problems] == [True]
    assert (sizes(left_out[0]["1-road"]), left_out[1]) == ([12.010, 12.020], ())


def test_a_reading_that_cannot_be_right_is_said_and_left_out() -> None:
    """Millimetres for inches: never converted, never dropped without a word."""
    found, problems = told([drum(0, {"1-road": "12.010"}), drum(1, {"1-road": "305.3"})])

    assert sizes(found["1-road"]) == [12.010]
    assert problems[0].where.startswith("T-1, 2024-07-10, 1-road")


def test_group_and_goal() -> None:
    """Rating, drum, use and whether adjusting falls due and is done; the number cast on the part is the limit."""
    kept = [{"what": "adjust", "due": 3000, "done": 3200}, {"what": "adjust", "due": 3000, "done": 2900}]
    let_go = [{"what": "adjust", "due": 3000}, {"what": "adjust", "due": 3000, "done": 9000}]
    grooved = [
        {"what": "friction diameter", "value": "12.050", "unit": "in", "gauge": "G1"},
        {"what": "groove depth", "value": "0.006", "unit": "in", "gauge": "G1"},
    ]  # fmt: skip
    for rows, said in ((kept, "kept adjusted"), (let_go, "adjusting let go"), ([], "adjusting not known")):
        found, _ = told([drum(0, {}, follow_up=rows, corner=[{"position": "1-road", "reading": grooved}])])
        assert group_of(found["1-road"]) == ("5200 lb", "12 in", "fleet", said)
    goal = goal_of(found["1-road"], priced())

    assert goal is not None
    assert (goal.grade, round(goal.limit_m / INCH_M, 3), round(goal.bottom_m / INCH_M, 3)) == (
        "on the part",
        12.090,
        0.012,
    )


def test_copies_count_once() -> None:
    """The same file twice, and two visits of one day that tell the same figure: driven once."""
    first, second = (
        visit("T-1", day, {"1-road": s}, mileage={"since_last": 6000, "quality": "trips"})
        for day, s in ((DAYS[0], "12.010"), (DAYS[1], "12.020"))
    )
    adjusted = second.model_copy(update={"corner": (), "scope": "adjust"})
    found, problems = told([first, second, second, adjusted])

    assert [round(r.at_m / MILE_M) for r in found["1-road"].records] == [-6000, 0]
    assert problems == ()
