"""Whatever a person writes: a Problem that says where, what and what to do; the rest is examined; nothing gets fine by it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from spoiled import (
    OTHERS,
    Change,
    add,
    add_here,
    assert_only_here,
    calls,
    changed,
    fine_now,
    gauge,
    mentions,
    of,
    reading,
    road,
    spoken,
)

pytestmark = pytest.mark.reasoned


# ---------------------------------------------------------------- readings that cannot be right
SIZES: dict[str, tuple[Any, str, str]] = {
    "a digit slipped": (["10.020", "10.021", "10.220", "10.020"], "in", "repeat that reading first"),
    "the point slipped": (["10.020", "10.021", "100.22", "10.020"], "in", "Was it 10.02"),
    "inches for millimetres": (["254.5", "254.6", "254.5", "254.5"], "in", "was it read in mm?"),
    "millimetres for inches": (["10.020", "10.021", "10.022", "10.020"], "mm", "was it read in in?"),
    "impossible": (["3.020"], "in", "cannot be right"),
    "negative": (["-10.020"], "in", "cannot be right"),
    "huge": (["99999999999999999999"], "in", "cannot be right"),
    "longer than any number": (["9" * 5000], "in", "not a number"),
    "a long fraction": (["9" * 400 + "/1"], "in", "not a number"),
    "a longer fraction": (["1/" + "9" * 5000], "in", "not a number"),
    "not a number, nan": (["nan"], "in", "not a number"),
    "endless": (["inf"], "in", "no value for it"),
    "past every number": (["1e999"], "in", "not a number"),
    "empty": ([""], "in", "not a number"),
    "words": (["about ten"], "in", "not a number"),
    "a list without anything": ([], "in", "friction diameter"),
    "a unit of another kind": (["10.020"], "ohm", "'ohm' is not a unit for it"),
    "an unknown unit": (["10.020"], "inch", "did you mean 'in'?"),
    "no unit": (["10.020"], "", "'' is not a unit for it"),
}  # fmt: skip


@pytest.mark.parametrize("name", SIZES)
def test_sizes_that_cannot_be_right(name: str, tmp_path: Path) -> None:
    """Asked about, never converted, never averaged in, never fine."""
    value, unit, piece = SIZES[name]
    said = assert_only_here(tmp_path, reading(value=value, unit=unit), piece)

    assert calls(said, "1-road")["1-road hub-drum"] == "recheck"


def test_mixed_units_in_one_set(tmp_path: Path) -> None:
    """Inches and millimetres side by side are both possible, so both are read, and a person is asked."""
    row = {"what": "friction diameter", "at": "open", "value": "254.51", "unit": "mm", "gauge": "G1"}

    assert_only_here(tmp_path, add_here("reading", row), "in and mm side by side")


@pytest.mark.parametrize(
    "value",
    [float("nan"), float("inf"), -1, 1e308, 10**50, True, None, {"a": 1}, [[1]], [None], ["10.020", None]],
)
def test_values_of_the_wrong_kind(value: Any, tmp_path: Path) -> None:
    """A value that is no text and no sensible number."""
    said = assert_only_here(tmp_path, reading(value=value), "1-road")

    assert calls(said, "1-road")["1-road hub-drum"] == "recheck"


# ---------------------------------------------------------------- gauges
@pytest.mark.parametrize(("change", "piece"), [
    (reading(gauge="G7"), "gauge 'G7' is not on the visit"),
    (gauge(u=["0 in"]), "uncertainty '0 in' cannot be used"),
    (gauge(u=["-0.003 in"]), "uncertainty '-0.003 in' cannot be used"),
    (gauge(u=["0.003"]), "uncertainty '0.003' cannot be used"),
    (gauge(u=["nan in"]), "uncertainty 'nan in' cannot be used"),
    (gauge(u=["open in"]), "no gauge is that good"),
    (gauge(u=[]), "G1"),
    (gauge(u=""), "cannot be used"),
    (gauge(kind="tape"), "is a tape"),
    (lambda v: v["gauge"][0].pop("u"), "'u' is missing"),
    (lambda v: v.pop("gauge"), "list it under [[gauge]]"),
], ids=range(11))  # fmt: skip
def test_gauges(change: Change, piece: str, tmp_path: Path) -> None:
    """A reading without a gauge that states its uncertainty is not used."""
    visit = changed(change)
    said = of(tmp_path, visit)

    assert mentions(said, piece), said["problems"]
    assert calls(said, "1-road")["1-road hub-drum"] == "recheck"
    assert calls(said, "1-curb")["1-curb hub-drum"] == "replace"
    assert said["release"]["state"] == "held"


def test_a_gauge_listed_twice(tmp_path: Path) -> None:
    """Two gauges of one name with different uncertainties: which one read is not known."""
    said = of(
        tmp_path,
        changed(
            add(
                "gauge",
                {"id": "G1", "kind": "gauge", "u": ["0.080 in", "0.1 ohm", "0.1 V", "0.2 A", "2 F", "1 %"]},
            )
        ),
    )

    assert mentions(said, "G1")


# ---------------------------------------------------------------- words that are not known: the nearest one is named
MISSPELT: dict[str, tuple[Change, str]] = {
    "position of a corner": (lambda v: road(v).update(position="1-raod"), "did you mean '1-road'?"),
    "check beside rest_fine": (lambda v: road(v)["feel"][0].update(check="cupps"), "did you mean 'cups'?"),
    "check with a finding": (add_here("look", {"check": "huub", "found": "cracked"}), "did you mean 'hub'?"),
    "answer": (lambda v: road(v)["feel"][0].update(found="moves by hnd"), "did you mean 'moves by hand'?"),
    "fine": (lambda v: road(v)["feel"][0].update(found="fien"), "did you mean 'fine'?"),
    "place of a check": (lambda v: road(v)["feel"][0].update(place="inmer"), "did you mean 'inner'?"),
    "reading": (reading(what="friction diametre"), "did you mean 'friction diameter'?"),
    "place of a reading": (reading(at="mid 54"), "did you mean 'mid 45'?"),
    "check not made": (add_here("not_checked", {"check": "whel", "why": "no time"}), "did you mean 'wheel'?"),
    "field of a look": (lambda v: road(v)["look"][0].update(fuond="cracked"), "did you mean 'found'?"),
    "field of a corner": (lambda v: road(v).update(loook=[{"check": "hub", "found": "cracked"}]), "did you mean 'look'?"),
    "field of a reading": (reading(vlaue="10.2"), "did you mean 'value'?"),
    "field of the visit": (lambda v: v.update(corners=[]), "did you mean 'corner'?"),
    "field of the unit": (lambda v: v["unit"].update(axels=2), "did you mean 'axles'?"),
    "field of a gauge": (gauge(calibrate="2026-01-01"), "did you mean 'calibrated'?"),
    "field of the mileage": (lambda v: v.update(mileage={"nwo": 3}), "did you mean 'now'?"),
    "part of a call": (add("call", {"position": "1-road", "part": "hub-durm", "call": "replace", "by": "T2"}), "hub-drum"),
    "call": (add("call", {"position": "1-road", "part": "hub-drum", "call": "repalce", "by": "T2"}), "replace"),
    "position of a call": (add("call", {"position": "1-raod", "part": "hub-drum", "call": "keep", "by": "T2"}), "did you mean '1-road'?"),
    "part fitted": (add("fitted", {"position": "1-road", "part": "hub-durm"}), "hub-drum"),
    "position of a part fitted": (add("fitted", {"position": "1-raod", "part": "hub-drum"}), "did you mean '1-road'?"),
    "position in the history": (add("history", {"position": "1-raod", "what": "friction diameter", "value": "10.01", "unit": "in"}), "did you mean '1-road'?"),
    "reading in the history": (add("history", {"position": "1-road", "what": "friction diametre", "value": "10.01", "unit": "in"}), "did you mean 'friction diameter'?"),
    "reading of a limit": (add("limit", {"what": "friction diametre", "value": "10.09", "unit": "in", "grade": "on the part"}), "did you mean 'friction diameter'?"),
    "grade of a limit": (add("limit", {"what": "friction diameter", "value": "10.09", "unit": "in", "grade": "on the prat"}), "on the part"),
    "unit of a limit": (add("limit", {"what": "friction diameter", "value": "10.09", "unit": "inn", "grade": "on the part"}), "cannot be the limit"),
    "drum size": (lambda v: v["unit"].update(drum="10in"), "did you mean '10 in'?"),
    "use": (lambda v: v["unit"].update(use="privat"), "private"),
    "scope": (lambda v: v.update(scope="hub servce"), "hub service"),
    "service booked": (lambda v: v.update(booked=["hub servce"]), "hub service"),
    "way out": (lambda v: v.update(exit={"how": "on a haulr", "by": "T1"}), "on a hauler"),
    "answer of the owner": (add("answer", {"position": "1-road", "part": "hub-drum", "answer": "nto now", "by": "owner"}), "not now"),
    "item that fell due": (add("follow_up", {"what": "retork", "due": 10, "done": 10}), "retorque"),
    "wheel of the return sheet": (lambda v: v.update(return_sheet={"wheel": [{"position": "1-raod"}]}), "did you mean '1-road'?"),
}  # fmt: skip
NOT_LOCAL = {
    "drum size",
    "use",
    "scope",
    "field of the unit",
    "grade of a limit",
    "unit of a limit",
}  # they concern every wheel


@pytest.mark.parametrize("name", [n for n in MISSPELT if n not in NOT_LOCAL])
def test_misspelt_words(name: str, tmp_path: Path) -> None:
    """The Problem names the nearest known word; the other wheels keep their calls; nothing becomes fine."""
    change, nearest = MISSPELT[name]

    assert_only_here(tmp_path, change, nearest)


@pytest.mark.parametrize("name", sorted(NOT_LOCAL))
def test_misspelt_words_of_the_trailer(name: str, tmp_path: Path) -> None:
    """The same for words that concern every wheel: what is condemned stays condemned."""
    change, nearest = MISSPELT[name]
    said = of(tmp_path, changed(change))

    assert mentions(said, nearest), said["problems"]
    assert calls(said, "1-curb")["1-curb hub-drum"] == "replace"
    assert said["release"]["state"] == "held"


@pytest.mark.parametrize(
    "name",
    ["check beside rest_fine", "check with a finding", "check not made", "field of a corner", "reading"],
)
def test_a_word_that_could_mean_anything_undoes_rest_fine(name: str, tmp_path: Path) -> None:
    """Which check was meant is not known, so nobody vouches for the rest of that corner."""
    said = of(tmp_path, changed(MISSPELT[name][0]))
    keeps = [part for part, call in calls(said, "1-road").items() if call == "keep"]

    assert keeps == ["1-road wheel"]  # it was answered by itself


@pytest.mark.parametrize(
    "found",
    ["moves by hnd", "fien", "", [], [""], ["fine", "moves by hnd"], None, True, 7, {}, {"fine": True}, [[]]],
)
def test_an_answer_that_is_not_known(found: Any, tmp_path: Path) -> None:
    """A known check with an answer that cannot be read is not fine, whoever vouches for the rest."""
    said = assert_only_here(tmp_path, lambda v: road(v)["feel"][0].update(found=found), "1-road")

    assert calls(said, "1-road")["1-road hub-drum"] == "recheck"
    assert calls(said, "1-road")["1-road spindle"] == "keep"


# ---------------------------------------------------------------- corners and time
def test_a_corner_twice(tmp_path: Path) -> None:
    """A wheel that stands twice: both blocks count, nobody vouches for its rest."""
    said = assert_only_here(
        tmp_path,
        add("corner", {"position": "1-road", "look": [{"check": "hub", "found": "cracked"}]}),
        "stands twice",
    )

    assert calls(said, "1-road")["1-road hub-drum"] == "replace"
    assert [part for part, call in calls(said, "1-road").items() if call == "keep"] == ["1-road wheel"]


TIMES: dict[str, tuple[Change, str]] = {
    "visit in the future": (lambda v: v.update(date="2027-01-01"), "in the future"),
    "record of the future": (lambda v: v["history"][0].update(date="2026-08-01"), "after this visit"),
    "fitted in the future": (add("fitted", {"position": "2-curb", "part": "hub-drum", "date": "2026-08-01"}), "after this visit"),
    "fitted at more miles than the trailer has": (
        lambda v: v.update(mileage={"now": 20000}, fitted=[{"position": "2-road", "part": "hub-drum", "miles": 99000}]), "99000"),
    "record at more miles than the trailer has": (
        lambda v: (v.update(mileage={"now": 20000}), v["history"][0].pop("miles_ago"), v["history"][0].update(miles=99000)), "99000"),
    "measured before it was fitted": (
        lambda v: (v.update(fitted=[{"position": "2-road", "part": "hub-drum", "id": "D2", "date": "2025-08-01"}]), v["history"][0].update(fitted="D2")),
        "before that part was fitted"),
    "a part that was never fitted": (lambda v: v["history"][0].update(fitted="D9"), "no fitted part 'D9'"),
    "miles from an unknown count": (lambda v: (v["history"][0].pop("miles_ago"), v["history"][0].update(miles=9000)), "unknown reading"),
    "record that cannot be right": (lambda v: v["history"][0].update(value="100.15"), "cannot be right"),
    "record in the wrong unit": (lambda v: v["history"][0].update(unit="mm"), "was it read in in?"),
    "negative miles": (lambda v: v["history"][0].update(miles_ago=-5), "miles_ago"),
    "no-number miles": (lambda v: v["history"][0].update(miles_ago=float("nan")), "miles_ago"),
}  # fmt: skip


@pytest.mark.parametrize("name", TIMES)
def test_time_that_does_not_hold_together(name: str, tmp_path: Path) -> None:
    """Dates and miles that contradict each other are asked about; the trailer is held."""
    change, piece = TIMES[name]
    said = of(tmp_path, changed(change))

    assert mentions(said, piece), said["problems"]
    assert said["release"]["state"] == "held"
    assert calls(said, "1-curb") == calls(fine_now(tmp_path), "1-curb")


def test_a_drum_that_has_grown_back(tmp_path: Path) -> None:
    """Smaller than last time without a replacement: measure again before anything is fine."""
    said = of(tmp_path, changed(lambda v: v["history"][0].update(value="10.050")))

    assert mentions(said, "smaller than at an earlier visit")
    assert calls(said, "2-road")["2-road hub-drum"] == "recheck"


def test_a_stricter_limit_that_cannot_be_read(tmp_path: Path) -> None:
    """A number on the part that cannot be read is not quietly replaced by a milder one of ours."""
    small = {"what": "friction diameter", "value": "10.010", "unit": "in", "grade": "on the part"}
    for spoil in (
        {"value": "1O.O10"},
        {"unit": "mm"},
        {"value": "100.10"},
        {"grade": "on the prat"},
        {"value": {}},
    ):
        said = of(tmp_path, spoken() | {"limit": [small | spoil]})

        assert calls(said, "2-road")["2-road hub-drum"] != "keep", spoil
        assert said["release"]["state"] == "held"


# ---------------------------------------------------------------- wrong kinds everywhere
def test_two_faults_in_one_entry_take_no_other_entry_with_them(tmp_path: Path) -> None:
    """The entry with two faults is left out; the finding after it still condemns the hub."""
    bad = {"check": "wheel", "found": "fine", "count": "x", "clock": {}}
    said = of(tmp_path, changed(lambda v: road(v).update(look=[bad, {"check": "hub", "found": "cracked"}])))

    assert calls(said, "1-road")["1-road hub-drum"] == "replace"


def test_two_faults_in_one_corner_take_no_other_corner_with_them(tmp_path: Path) -> None:
    """A corner that cannot be read at all; the next one is called as before."""
    before = fine_now(tmp_path)
    said = of(tmp_path, changed(lambda v: road(v).update(look=5, feel=6)))

    assert calls(said, *OTHERS) == calls(before, *OTHERS)


def test_the_problem_names_the_right_corner(tmp_path: Path) -> None:
    """A fault of 1-road is said to be at 1-road, also when the whole corner is left out."""
    said = of(tmp_path, changed(lambda v: road(v).update(look=5)))

    assert [p["where"] for p in said["problems"] if p["where"].startswith("1-curb")] == []
    assert mentions(said, "1-road")


def test_an_unknown_field_beside_another_fault(tmp_path: Path) -> None:
    """Both are named; nothing breaks, also where it is the only entry."""
    said = of(
        tmp_path,
        changed(
            lambda v: road(v).update(look=[{"check": "wheel", "found": "fine", "count": "x", "bogus": 1}])
        ),
    )

    assert mentions(said, "'bogus' is not a field here")
    assert mentions(said, "'count'")
