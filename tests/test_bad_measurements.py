"""Dials, bores and what goes with them, entered wrong: a clear sentence, nothing guessed, nothing fine by it."""

from __future__ import annotations

from typing import Any

import pytest

from conftest import bases, examined, laid_over
from wheeltapper.flow import Examination

pytestmark = pytest.mark.reasoned
GAUGES = [
    {"id": "G3", "kind": "dial", "u": "0.0005 in"},
    {"id": "G6", "kind": "bore gauge", "u": "0.0003 in"},
]


def visit(unit: dict[str, Any] | None = None, *readings: dict[str, Any], **rest: Any) -> Examination:
    """A tandem whose front road-side wheel has these readings."""
    corner = {"position": "1-road", "rest_fine": "T1", "reading": list(readings)}
    whole = {"unit": unit or {}, "corner": [corner], "gauge": GAUGES, **rest}
    return examined(laid_over(bases()["tandem-12-6"], whole))


def said(ex: Examination) -> str:
    """All problems as one text."""
    return " | ".join(f"{p.where}: {p.what} {p.do}" for p in ex.problems)


def call(ex: Examination, part: str = "hub-drum") -> str:
    """What is called on a part of the front road-side wheel."""
    return next(c.call for c in ex.calls if c.place == ("1-road", part))


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("stud_grade", "grade 9", "did you mean 'grade 8'"),
        ("nut", "conical", "did you mean 'cone'"),
        ("wheel", "aluminum", "did you mean 'aluminium'"),
        ("tire_radius", "14 mph", "is not a length"),
        ("tire_radius", "-14 in", "is not a length"),
        ("magnet_amps", "3 V", "is not a current"),
        ("magnet_amps", "lots", "is not a current"),
        ("magnet_amps", "30 A", "cannot be one magnet's rated current"),
        ("studs", "7/16-20", "is no stud thread known here"),
        ("wire_awg", 14, "says nothing without wire_feet"),
        ("wire_feet", 60, "says nothing without wire_awg"),
    ],
)
def test_a_field_of_the_unit_that_cannot_be_read(field: str, text: str, words: str) -> None:
    """It is named with the nearest known word or the form to write it in, and the trailer is held by it."""
    ex = visit({field: text})

    assert f"unit, {field}" in said(ex)
    assert words in said(ex)
    assert ex.release.state == "held"


@pytest.mark.parametrize(
    ("field", "value"), [("wire_feet", -60), ("wire_feet", 0), ("wire_awg", 60), ("wire_awg", "thick")]
)
def test_a_wire_that_cannot_be(field: str, value: Any) -> None:
    """A length under zero or a gauge number that no brake wire has is asked about when the file is read."""
    data = laid_over(bases()["tandem-12-6"], {"unit": {"wire_awg": 14, "wire_feet": 60, field: value}})

    assert any(field in p.where and p.do for p in examined(data).problems)


def test_magnet_wire_on_a_trailer_without_magnets() -> None:
    """It is not passed over: the trailer may have been entered with the wrong brakes."""
    ex = examined(
        laid_over(
            bases()["hydraulic-10-5"], {"unit": {"wire_awg": 14, "wire_feet": 60, "magnet_amps": "3 A"}}
        )
    )

    assert [p.where for p in ex.problems] == ["unit, magnet_amps", "unit, wire_awg", "unit, wire_feet"]


def test_amounts_of_the_return_sheet_that_cannot_be_read() -> None:
    """They are asked about by name; 'not measured' alone would hide what was typed."""
    wheel = {
        "position": "1-road",
        "magnet_volts": "11.9",
        "end_play": "3 thou deep",
        "torque": {"value": "110"},
    }
    ex = visit(return_sheet={"wheel": [wheel], "plug_volts": "12.4 A", "total_amps": "-15 A"})

    for field in ("1-road, magnet_volts", "1-road, end_play", "1-road, torque", "plug_volts", "total_amps"):
        assert f"return_sheet, {field}" in said(ex)


def test_a_return_sheet_with_a_weak_plug_or_a_magnet_above_it_fails() -> None:
    """11.0 V at the plug cannot judge 10.6 V at a magnet; 13.5 V at a magnet behind 12.5 V cannot be."""
    for plug, magnet, words in (
        ("11.0 V", "10.6 V", "only 11.0 V at the plug"),
        ("12.5 V", "13.5 V", "contradict"),
    ):
        sheet = {
            "wheel": [{"position": "1-road", "magnet_volts": magnet}],
            "plug_volts": plug,
            "total_amps": "15 A",
        }
        because = visit(return_sheet=sheet).release.because

        assert any(words in why for why in because)


@pytest.mark.parametrize(
    ("item", "words"),
    [
        ({"what": "adjust", "moved": True}, "only a retorque has nuts that moved"),
        ({"what": "retorque", "moved": True, "turned": "0 deg"}, "turned by nothing"),
        ({"what": "retorque", "moved": False, "turned": "40 deg"}, "no nut moved"),
        ({"what": "retorque", "moved": True, "turned": "-20 deg"}, "cannot turn '-20 deg'"),
        ({"what": "retorque", "moved": True, "turned": "1500 deg"}, "more than three turns"),
        ({"what": "retorque", "moved": True, "turned": "1/4 turn"}, ""),
        ({"what": "retorque", "moved": True}, ""),
        ({"what": "retorque", "moved": False}, ""),
    ],
)
def test_a_turn_that_cannot_be(item: dict[str, Any], words: str) -> None:
    """Asked about, and never dropped; what can be is not."""
    told = said(visit(follow_up=[{"due": 10, "done": 12, **item}]))

    assert words in told
    assert bool(words) == bool(told)


def test_a_turn_without_its_unit() -> None:
    """'20' may be degrees or flats of the nut: asked about."""
    item = {"what": "retorque", "due": 10, "done": 12, "moved": True, "turned": "20"}

    ex = visit({}, follow_up=[item])

    assert "is not an angle" in said(ex)
    assert call(ex, "nuts") == "recheck"


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        ("82.87", "in", "was it read in mm?"),
        ("3.2626", "mm", "was it read in in?"),
        ("326.26", "in", "Was it 3.263?"),
        ("3,2626,1", "in", "is not a number"),
        ("-3.2626", "in", "cannot be right"),
    ],
)
def test_a_bore_that_cannot_be_right(value: str, unit: str, words: str) -> None:
    """The other unit or a slipped decimal mark is offered as a question; the hub is not called on it, nor fine by it."""
    reading = {"what": "cup bore", "at": "inner", "value": value, "unit": unit, "gauge": "G6"}
    ex = visit({"inner_bearing": "25580/25520"}, reading)

    assert words in said(ex)
    assert call(ex) == "recheck"


def test_a_bore_of_another_bearing() -> None:
    """A bore that suits another bearing, or none, is asked about: a good hub is not condemned by a wrong number."""
    other = {"what": "cup bore", "at": "inner", "value": "3.8100", "unit": "in", "gauge": "G6"}
    near = {"what": "cup bore", "at": "inner", "value": "2.3600", "unit": "in", "gauge": "G6"}
    small = {"what": "cup bore", "at": "inner", "value": "3.2000", "unit": "in", "gauge": "G6"}
    worn = {"what": "cup bore", "at": "inner", "value": "3.2800", "unit": "in", "gauge": "G6"}
    unit = {"inner_bearing": "25580/25520"}

    assert "it would suit 387A/382A" in said(visit(unit, other))
    assert "it would suit L68149/L68111" in said(visit({"inner_bearing": "L68149/L68110"}, near))
    assert "is no bore for the cup" in said(visit(unit, small))
    assert [call(visit(unit, r)) for r in (other, small, worn)] == ["recheck", "recheck", "replace"]


def test_a_cone_that_goes_with_two_cups() -> None:
    """L68149 runs in L68111 and in L68110, which is 0.033 in smaller: the cup must be named."""
    reading = {"what": "cup bore", "at": "inner", "value": "2.3600", "unit": "in", "gauge": "G6"}
    ex = visit({"inner_bearing": "L68149"}, reading)
    named = visit({"inner_bearing": "L68149/L68111"}, reading)

    assert "goes with more than one cup" in said(ex)
    assert call(ex) == "recheck"
    assert (said(named), call(named)) == ("", "keep")


def test_a_hub_makers_own_bore_goes_first() -> None:
    """The maker allows 3.2650: a bore that the published table would refuse stays."""
    reading = {"what": "cup bore", "at": "inner", "value": "3.2645", "unit": "in", "gauge": "G6"}
    maker = {
        "what": "cup bore",
        "value": "3.2648",
        "unit": "in",
        "grade": "maker sheet",
        "source": "hub sheet",
    }
    drum = {"what": "friction diameter", "value": "12.090", "unit": "in", "grade": "on the part"}
    unit = {"inner_bearing": "25580/25520"}

    assert call(visit(unit, reading)) == "replace"
    assert call(visit(unit, reading, limit=[drum, maker])) == "keep"


def test_a_limit_of_the_inner_bore_says_nothing_of_the_outer() -> None:
    """The maker's 3.2648 belongs to the cup it is near; the outer bore keeps its published one. A limit that is no size is asked about."""
    reading = {
        "what": "cup bore",
        "at": ["inner", "outer"],
        "value": ["3.2645", "2.4395"],
        "unit": "in",
        "gauge": "G6",
    }
    maker = {"what": "cup bore", "value": "3.2648", "unit": "in", "grade": "maker sheet"}
    unit = {"inner_bearing": "25580/25520", "outer_bearing": "15123/15245"}

    assert call(visit(unit, reading, limit=[maker])) == "keep"
    assert said(visit(unit, reading, limit=[maker])) == ""
    assert "cannot be the limit of a bore" in said(visit(unit, reading, limit=[maker | {"value": "about 3"}]))


def test_one_cup_for_two_cones() -> None:
    """L44610 takes two cones: the cup alone is enough for its bore."""
    reading = {"what": "cup bore", "at": "outer", "value": "1.9788", "unit": "in", "gauge": "G6"}

    assert call(visit({"outer_bearing": "L44610"}, reading)) == "keep"


def test_a_dial_past_its_travel() -> None:
    """Half an inch on a band is no run-out: asked about, and the seven other readings do not clear the drum."""
    values = ["0.001", "0.000", "0.500", "0.000", "0.001", "0.000", "0.001", "0.000"]
    ex = visit({}, {"what": "band dial", "value": values, "unit": "in", "gauge": "G3"})

    assert "1-road, band dial, 90" in said(ex)
    assert call(ex) == "recheck"


def test_places_in_any_order_say_the_same() -> None:
    """A trace read backwards, with its places, is the same trace."""
    places = ["0", "45", "90", "135", "180", "225", "270", "315"]
    values = ["0.004", "0.001", "-0.004", "0.000", "0.005", "0.000", "-0.004", "0.002"]
    forth = visit({}, {"what": "band dial", "at": places, "value": values, "unit": "in", "gauge": "G3"})
    back = visit(
        {}, {"what": "band dial", "at": places[::-1], "value": values[::-1], "unit": "in", "gauge": "G3"}
    )
    one, two = (next(w.result for w in ex.findings.worked if w.kind == "band") for ex in (forth, back))

    assert one.zone_m == pytest.approx(two.zone_m, rel=1e-12)
    assert one.eccentricity.amplitude_m == pytest.approx(two.eccentricity.amplitude_m, rel=1e-9)


def test_a_seal_without_its_bore() -> None:
    """The new seal's size alone says nothing of the bore."""
    reading = {"what": "seal bore diameter", "at": "seal", "value": "3.3800", "unit": "in", "gauge": "G6"}

    assert call(visit({}, reading)) == "recheck"


@pytest.mark.parametrize(
    "braking", [{"from_mph": 60}, {"stops": 5}, {"grade_percent": 6}, {"grade_miles": 3}]
)
def test_half_a_story_about_braking(braking: dict[str, Any]) -> None:
    """A story that says too little explains nothing; one stop from a speed is a story."""
    look = [
        {
            "position": "1-road",
            "rest_fine": "T1",
            "look": [{"check": "heat colour", "found": "blue on the band"}],
        }
    ]
    whole = {"corner": look, "braking": braking, "unit": {"loaded_lb": 3000}}
    ex = examined(laid_over(bases()["tandem-12-6"], whole))
    explained = ex.findings.fact("1-road", "heat.braking_explains")

    assert explained.answer is (False if "from_mph" in braking else None)


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([("cup bore", None, "3.2630")], "does not say where: inner or outer"),
        (
            [("cup bore", "inner", "3.2630"), ("cup diameter", "inner", "3.2800")],
            "is not the size of cup 25520",
        ),
        (
            [("seal bore diameter", "bore", "3.376"), ("seal bore diameter", "seal", "3.480")],
            "a seal of 3.480 in does not belong",
        ),
        (
            [("cap bore diameter", "bore", "2.440"), ("cap bore diameter", "cap", "2.620")],
            "a cap of 2.620 in does not belong",
        ),
    ],
)
def test_numbers_of_another_part(readings: list[tuple[str, str | None, str]], words: str) -> None:
    """A cup, seal or cap that cannot belong to its bore is asked about, and the hub stays open."""
    rows = [
        {"what": what, "value": value, "unit": "in", "gauge": "G6"} | ({"at": at} if at else {})
        for what, at, value in readings
    ]
    ex = visit({"inner_bearing": "25580/25520"}, *rows)

    assert words in said(ex)
    assert call(ex) == "recheck"
