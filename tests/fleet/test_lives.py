"""Part lives from visits: what starts one, what belongs to it, and what is asked about."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from conftest import priced
from made_fleet import visit
from wheeltapper.fleet.groups import goal_of, group_of
from wheeltapper.fleet.lives import Life, UnitLives, lives, unit_lives
from wheeltapper.fleet.swaps import Swap, swaps
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


def whole(*rows: Visit) -> UnitLives:
    """Everything of one unit."""
    return unit_lives(rows, priced())


def ended(found: UnitLives) -> dict[str, list[tuple[str, list[float]]]]:
    """Why each life ended, and its sizes, by position."""
    out: dict[str, list[tuple[str, list[float]]]] = {}
    for life in found.ended:
        assert life.ended is not None
        out.setdefault(life.position, []).append((f"{life.ended.how} {life.ended.date}", sizes(life)))
    return out


def changed(*rows: Visit) -> list[tuple[str, str, str]]:
    """Exchanges: position, other, day."""
    found = whole(*rows)
    return [(s.position, s.other, str(s.date)) for s in swaps((*found.ended, *found.lives))]


def test_a_replaced_drum_is_an_ended_life_and_the_new_one_its_own() -> None:
    """The day's own reading is the old one's last; a third drum ends the second's life."""
    new = [{"position": "1-road", "part": "hub-drum", "action": "replaced", "by": "T1"}]
    found = whole(
        drum(0, {"1-road": "12.060"}), drum(1, {"1-road": "12.080"}, done=new),
        drum(2, {"1-road": "12.006"}, done=new), drum(3, {"1-road": "12.002"}),
    )  # fmt: skip

    assert ended(found) == {
        "1-road": [("replaced 2024-07-10", [12.060, 12.080]), ("replaced 2025-01-10", [12.006])]
    }
    assert [(sizes(x), x.ended) for x in found.lives] == [([12.002], None)]
    assert len({s.records for s in (*found.ended, *found.lives)}) == 3
    assert found.problems == ()


def test_a_new_wheel_bearing_or_seal_leaves_the_drums_life_alone() -> None:
    """Rotated or new wheels, bearings and seals are not the drum: its life goes on."""
    work = [
        {"position": at, "part": part, "action": action, "by": "T1"}
        for at, part, action in (("1-road", "wheel", "rotated"), ("1-road", "wheel", "replaced"), ("1-road", "bearing-set", "replaced"), ("1-curb", "hub-drum", "scuffed"))
    ]  # fmt: skip
    found = whole(
        drum(0, {"1-road": "12.010", "1-curb": "12.012"}),
        drum(1, {"1-road": "12.020", "1-curb": "12.024"}, done=work),
        drum(2, {"1-road": "12.030", "1-curb": "12.036"}),
    )

    assert found.ended == ()
    assert {x.position: sizes(x) for x in found.lives} == {
        "1-road": [12.010, 12.020, 12.030],
        "1-curb": [12.012, 12.024, 12.036],
    }


def test_two_drums_that_changed_places_are_asked_about_and_not_mended() -> None:
    """Each now what the other was, worn on: recognised; the records stay where they were read."""
    rows = (
        drum(0, {"1-road": "12.060", "1-curb": "12.020", "2-road": "12.040"}),
        drum(1, {"1-road": "12.024", "1-curb": "12.065", "2-road": "12.045"}),
    )
    found = whole(*rows)

    assert changed(*rows) == [("1-road", "1-curb", "2024-07-10")]
    assert ended(found) == {"1-road": [("grown back 2024-07-10", [12.060])]}
    assert {x.position: sizes(x) for x in found.lives}["1-curb"] == [12.020, 12.065]


def test_a_smaller_drum_from_elsewhere_is_no_exchange() -> None:
    """New drums at one or both ends, or the other end unread: nothing on the unit became what was there."""
    before = {"1-road": "12.060", "1-curb": "12.020"}
    for now in (
        {"1-road": "12.001", "1-curb": "12.024"},
        {"1-road": "12.001", "1-curb": "12.002"},
        {"1-road": "12.024"},
    ):
        assert changed(drum(0, before), drum(1, now)) == []


def test_like_drums_that_change_places_cannot_be_told() -> None:
    """Within the doubts of each other nothing grew back: nobody is asked."""
    assert (
        changed(
            drum(0, {"1-road": "12.030", "1-curb": "12.033"}),
            drum(1, {"1-road": "12.035", "1-curb": "12.036"}),
        )
        == []
    )


def test_the_other_end_is_the_one_that_fits_best() -> None:
    """Two places could be it: the nearer in size is asked about."""
    rows = (
        drum(0, {"1-road": "12.060", "1-curb": "12.020", "2-road": "12.026"}),
        drum(1, {"1-road": "12.027", "1-curb": "12.064", "2-road": "12.063"}),
    )
    assert changed(*rows) == [("1-road", "2-road", "2024-07-10")]


def test_linings_that_changed_places() -> None:
    """They shrink: the thicker one grew back."""

    def lined(k: int, road: str, curb: str) -> Visit:
        corner = [
            {
                "position": at,
                "reading": [{"what": "lining thickness", "value": [v], "unit": "in", "gauge": "G1"}],
            }
            for at, v in (("1-road", road), ("1-curb", curb))
        ]
        return drum(k, {}, corner=corner)

    assert changed(lined(0, "0.100", "0.180"), lined(1, "0.170", "0.092")) == [
        ("1-road", "1-curb", "2024-07-10")
    ]


def test_an_exchange_names_its_readings() -> None:
    """What the question is made of."""
    found = whole(
        drum(0, {"1-road": "12.060", "1-curb": "12.020"}), drum(1, {"1-road": "12.024", "1-curb": "12.065"})
    )
    (s,) = swaps((*found.ended, *found.lives))
    assert isinstance(s, Swap)
    said = [round(r.size_m / INCH_M, 3) for r in (s.before, s.other_before, s.now, s.other_now)]
    assert (s.unit, s.what, said) == ("T-1", "friction diameter", [12.060, 12.020, 12.024, 12.065])


def test_said_to_have_changed_places_both_start_anew() -> None:
    """Once somebody writes that they were fitted there that day, nothing is asked, and each life starts with that reading."""
    told_of = [{"position": at, "part": "hub-drum", "date": "2024-07-10"} for at in ("1-road", "1-curb")]
    rows = (
        drum(0, {"1-road": "12.060", "1-curb": "12.020"}),
        drum(1, {"1-road": "12.024", "1-curb": "12.065"}, fitted=told_of),
        drum(2, {"1-road": "12.030", "1-curb": "12.071"}),
    )
    found = whole(*rows)

    assert changed(*rows) == []
    assert {x.position: sizes(x) for x in found.lives} == {
        "1-road": [12.024, 12.030],
        "1-curb": [12.065, 12.071],
    }
    assert found.problems == ()


def test_visits_of_another_body_are_kept_apart() -> None:
    """Three axles, then two: the first visits are told as before, and are in no life."""
    old = drum(0, {"1-road": "12.060", "3-road": "12.050"}, unit={"axles": 3})
    found = whole(old, drum(1, {"1-road": "12.010"}), drum(2, {"1-road": "12.020"}))

    assert found.before == (old,)
    assert [sizes(x) for x in found.lives] == [[12.010, 12.020]]
    assert found.ended == ()


def test_a_drum_measured_on_a_leap_day_and_after() -> None:
    """29 February is a day like any other; dates never become hours."""
    days = (date(2024, 2, 28), date(2024, 2, 29), date(2024, 3, 1))
    found = whole(
        *(
            visit("T-1", day, {"1-road": s}, mileage={"now": 1000 + 500 * k, "quality": "hubometer"})
            for k, (day, s) in enumerate(zip(days, ("12.010", "12.012", "12.014"), strict=True))
        )
    )
    assert [(str(r.date), round(r.at_m / MILE_M)) for r in found.lives[0].records] == [
        ("2024-02-28", -1000),
        ("2024-02-29", -500),
        ("2024-03-01", 0),
    ]


def test_an_odometer_that_went_back_joins_nothing_and_is_asked_about() -> None:
    """Told from the calendar where the unit's pace is known, with a wide doubt; never a negative distance."""
    rows = (
        visit("T-1", DAYS[0], {"1-road": "12.010"}, mileage={"now": 10_000, "quality": "hubometer"}),
        visit("T-1", DAYS[1], {"1-road": "12.020"}, mileage={"now": 16_000, "quality": "hubometer"}),
        visit("T-1", DAYS[2], {"1-road": "12.030"}, mileage={"now": 500, "quality": "hubometer"}),
    )
    found = whole(*rows)
    at = [r.at_m / MILE_M for r in found.lives[0].records]

    assert ["went back from 16,000 to 500" in p.what for p in found.problems] == [True]
    assert at == sorted(at)
    assert found.way.shares[-1] > 0.5
