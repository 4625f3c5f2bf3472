"""Units as people write them, answers in the units of who asked, and inputs that cannot be."""

from __future__ import annotations

import pytest

from asking import answered, names, shown, slipped
from conftest import priced
from wheeltapper.problems import NoAnswerError
from wheeltapper.units import WORKOUT_UNITS, from_si
from wheeltapper.workout.amounts import amounts, gauge
from wheeltapper.workout.book import BY_NAME, work_out

pytestmark = pytest.mark.reasoned
ALL = tuple(WORKOUT_UNITS)
STUD = {"stud": "9/16-18"}
RING = {"joint": "50 mm", "rim": "80 mm", "bore": "20 mm", "diametral": "0.05 mm"}


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("1 in, 2 mm", [(1, "in"), (2, "mm")]),
        ("0.1 0.2 in", [(0.1, "in"), (0.2, "in")]),
        ("12 1/4 in", [(12.25, "in")]),
        ("1 1/2 2 1/2 in", [(1.5, "in"), (2.5, "in")]),
        ("110 lbf ft", [(110, "ft-lb")]),
        ("110 Nm; 80 ft lb", [(110, "N m"), (80, "ft-lb")]),
        ("5in", [(5, "in")]),
        ("10. mm", [(10, "mm")]),
        ("1,5 mm", [(1.5, "mm")]),
        ("1e-3 m", [(1e-3, "m")]),
        ("7", [(7, "")]),
        ("", []),
    ],
)
def test_amounts_as_written(text: str, found: list[tuple[float, str]]) -> None:
    """Each number has the unit that follows it, or the one behind the next numbers."""
    assert amounts(text, ALL, "") == found


@pytest.mark.parametrize(
    "text", ["12,000 lb", "5-10 mm", "1..2 in", "nan mm", "1e999 mm", "ten mm", "1 furlong"]
)
def test_what_is_no_amount(text: str) -> None:
    """Thousands or a decimal mark, a dash, a word: asked about."""
    with pytest.raises(NoAnswerError):
        amounts(text, ALL, "write it so.")


@pytest.mark.parametrize(
    ("text", "number"),
    [("14", 14), ("14 AWG", 14), ("1/0", 0), ("4/0 AWG", -3), ("5/0", None), ("thick", None)],
)
def test_wire_gauges(text: str, number: float | None) -> None:
    """Gauges over zero are counted in noughts."""
    assert gauge(text) == number


@pytest.mark.parametrize(
    ("stud", "diameter", "pitch"), [("M16x2", 16, 2), ("m16X2", None, 0), ("9/16-18 UNF", 14.2875, 25.4 / 18), ("1 1/8-7", 28.575, 25.4 / 7)]
)  # fmt: skip
def test_any_thread_by_its_mark(stud: str, diameter: float | None, pitch: float) -> None:
    """Diameter and pitch are in the mark, in the table or not."""
    if diameter is None:
        assert "is not a thread" in slipped("stress-area", stud=stud).what
        return
    answer = answered("stress-area", stud=stud)
    assert shown(answer, "pitch", "mm") == pytest.approx(pitch)


@pytest.mark.parametrize(
    ("name", "texts", "what"),
    [
        ("stress-area", {"stud": "M16x20"}, "does not go with"),
        ("stress-area", {"stud": "9/16-18", "grade": "grade 9"}, "no grade 'grade 9'"),
        ("stress-area", {"stud": "2-8", "grade": "grade 5"}, "is not made for a thread of"),
        ("cooling", {"start": "-500 F", "ball": "2 in", "time": "60 s"}, "absolute zero"),
        ("cooling", {"start": "-500 C", "ball": "2 in", "time": "60 s"}, "absolute zero"),
        ("press-fit", {"joint": "2 in", "rim": "3 in", "diametral": "3 in"}, "no press fit does"),
        ("press-fit", {**RING, "outer_poisson": "0.5"}, "more than 0.4999"),
        ("flatness", {"readings": "0 1 2 3 thou", "radius": "290 in"}, "the most it can be"),
        ("circle", {"x": "1e200 1 2 3 in", "y": "0 1 2 3 in"}, "the most it can be"),
        ("stop-heat", {"mass": "7000 lb", "from_speed": "60 mph", "brakes": "2.5"}, "not a whole number"),
        ("stop-heat", {"mass": "7000 lb"}, "the speed is not known"),
        ("wheel-slip", {"studs": "5.5", "circle": "4.5 in", "preload": "10 kip"}, "not a whole number"),
        ("surface-heat", {"energy": "100 kJ", "stop_time": "6 s", "area": "75 in2", "wall": "1 um"}, "so thin"),
        ("surface-heat", {"energy": "100 kJ", "stop_time": "6 s", "area": "75 in2", "wall": "1e-300 mm"}, "nearer to nothing"),
        ("trace", {"readings": "0 1 2 3 4 5 6 7 thou", "angles": "9 9 9 9 9 9 9 9 deg"}, "all 8 readings were taken at one same place"),
        ("circle", {"x": "1 1 1 1 in", "y": "2 2 2 2 in"}, "all 4 readings were taken at one same place"),
        ("circle", {"x": "900 900 900 ft", "y": "2 2 2 in"}, "2 more of this list cannot be either"),
        ("circle", {"x": "1 a b c in", "y": "2 2 2 in"}, "'a' is not a number"),
        ("circle", {"x": "1 in, 2", "y": "2 2 2 in"}, "'2' has no unit, and others have one"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_once(name: str, texts: dict[str, str], what: str) -> None:
    """One sentence for an input, with what to do, however many of its numbers are wrong."""
    assert what in slipped(name, **texts).what


def test_another_size_is_never_offered() -> None:
    """A grade or a stud beside the one meant is listed with the rest; a slip of a letter is offered."""
    assert slipped("wheel-torque", stud="9/16-20").do.startswith("write one of")
    assert slipped("stress-area", stud="1/2-20", grade="grade 7").do.startswith("write one of")
    assert slipped("cooling", start="200 F", ball="2 in", time="60 s", material="alumnium").do == "did you mean 'aluminium'?"  # fmt: skip


def test_words_of_the_trade_name_a_row_and_say_so() -> None:
    """Cast iron is grey iron here, and the answer says that it was taken so; brass and bronze have rows."""
    answer = answered("press-fit", **RING, outer="cast iron")
    grey = answered("press-fit", **RING, outer="grey iron")

    assert shown(answer, "pressure") == shown(grey, "pressure")
    assert "outer: 'cast iron' is taken as grey iron." in answer.says
    for material in ("brass", "bronze", "cast steel"):
        assert answered("press-fit", **RING, outer=material)


@pytest.mark.parametrize(
    ("texts", "units"),
    [
        (RING, {"pressure": "MPa", "rim_growth": "mm", "fitting_rise": "K"}),
        ({"joint": "2 in", "rim": "3 in", "diametral": "0.002 in"}, {"pressure": "ksi", "rim_growth": "in", "fitting_rise": "F deg"}),
        ({**RING, "outer_modulus": "14 Mpsi"}, {"pressure": "ksi", "rim_growth": "mm", "fitting_rise": "K"}),
    ],
)  # fmt: skip
def test_answers_come_in_the_units_of_the_question(texts: dict[str, str], units: dict[str, str]) -> None:
    """Millimetres in, millimetres out; a kind not given follows the rest where that is of one system."""
    found = {r.name: r.unit for r in answered("press-fit", **texts).results}

    assert {name: found[name] for name in units} == units


def test_sentences_come_in_the_same_units() -> None:
    """Torque in newton metres, clamp in kilonewtons; temperatures in Celsius for who wrote Celsius, and so in words."""
    clamp = answered("torque-preload", stud="1/2-20", torque="150 N m")
    hot = answered("hot-fit", **RING, temperature="20 150 C", outer="aluminium")
    trade = answered("torque-preload", stud="1/2-20", torque="110 lbf ft")

    assert "59.1 to 78.7 kN" in clamp.says[0]
    assert any("°C" in said for said in hot.says)
    assert "lbf" in trade.says[0]


def test_rounding_shows_as_nothing() -> None:
    """Four points of a true circle: what is left of them is nothing, not 1e-17."""
    answer = answered("circle", x="3 0 -3 0 in", y="0.1 3.1 0.1 -2.9 in")

    assert shown(answer, "centre_x") == 0
    assert shown(answer, "centre_y") == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("stud", "grade", "torque", "said"),
    [
        ("1/2-20", "grade 5", "70 ft-lb", ""),
        ("1/2-20", "grade 2", "200 ft-lb", "The stud breaks: this is past its tensile strength"),
        ("1/2-20", "grade 5", "110 ft-lb", "past its yield strength"),
    ],
)
def test_a_stud_past_its_strength_breaks(stud: str, grade: str, torque: str, said: str) -> None:
    """Past proof it may stretch, past yield it does, past its tensile strength it breaks."""
    says = " ".join(answered("torque-preload", stud=stud, grade=grade, torque=torque).says)

    assert (said in says) if said else ("past its" not in says)


def test_a_grade_is_of_its_size() -> None:
    """Class 8.8 is 580 MPa up to M16 and 600 over it, on the stress area (ISO 898-1)."""
    small, large = (answered("stress-area", stud=stud, grade="8.8") for stud in ("M16x2", "M20x2.5"))

    assert shown(small, "proof_load", "N") / shown(small, "area", "mm2") == pytest.approx(580)
    assert shown(large, "proof_load", "N") / shown(large, "area", "mm2") == pytest.approx(600)


def test_no_stud_loses_more_clamp_than_it_had() -> None:
    """A nut that went far lost all of it."""
    answer = answered("lost-clamp", stud="1/2-20", grip="0.75 in", nut_moved="200 deg", preload="10000 lbf")

    assert shown(answer, "lost", "lbf") == pytest.approx(10000)
    assert "all of it" in answer.says[0]


def test_volts_over_ohms_say_whether_the_wire_is_in() -> None:
    """With gauge and length the wire counts; without, the coils alone."""
    texts = {"volts": "12 V", "coils": "3.2 3.2 ohm"}
    said = [
        next(r.say for r in answered("magnet-current", **texts, **more).results if r.name == "expected")
        for more in ({}, {"awg": "12", "length": "20 ft"})
    ]

    assert "no wire was given" in said[0]
    assert "the wire is included" in said[1]


@pytest.mark.published("ugural-8-3")
def test_stress_at_a_radius_and_a_compound_cylinder() -> None:
    """Ugural and Fenster, example 8.3: 56.0 and 43.7 MPa in the outer ring; pressure inside adds Lame of the whole."""
    ring = {"joint": "400 mm", "bore": "300 mm", "rim": "500 mm", "radial": "0.1 mm", "inner_modulus": "200 GPa", "outer_modulus": "200 GPa"}  # fmt: skip
    fit = answered("press-fit", **ring, at="400 500 mm")
    loaded = answered("press-fit", **ring, at="300 500 mm", inside_pressure="10 MPa")

    assert shown(fit, "hoop_at", "MPa") == pytest.approx((56.05, 43.75), abs=0.1)
    whole = 10 * 300**2 / (500**2 - 300**2)
    assert shown(loaded, "hoop_at", "MPa")[1] == pytest.approx(shown(fit, "hoop_at", "MPa")[1] + 2 * whole)
    assert shown(loaded, "radial_at", "MPa") == pytest.approx((-10, 0), abs=1e-9)
    assert "hoop_at" not in names(answered("press-fit", **ring))


def test_a_stop_by_time_and_distance() -> None:
    """An even stop of 88 ft in 2 s began at 88 ft/s, which is 60 mph; a speed beside both says the same twice."""
    answer = answered("stop-heat", mass="7000 lb", stop_time="2 s", stop_distance="88 ft")
    texts = {"mass": "7000 lb", "from_speed": "60 mph", "stop_time": "2 s", "stop_distance": "88 ft"}

    assert shown(answer, "from_speed", "mph") == pytest.approx(60)
    assert "twice" in slipped("stop-heat", **texts).what
    assert work_out(BY_NAME["stop-heat"], texts, priced())[0] is None


def test_new_units_are_what_they_say() -> None:
    """Mpsi is 6.89 GPa, a kip 4.45 kN, a thou 25.4 um, a day 24 h."""
    steel = from_si(30 * WORKOUT_UNITS["Mpsi"].scale, "GPa")

    assert steel == pytest.approx(206.84, abs=0.01)
    assert WORKOUT_UNITS["kip"].scale == pytest.approx(4448.22, abs=0.01)
    assert WORKOUT_UNITS["thou"].scale == pytest.approx(25.4e-6)
    assert WORKOUT_UNITS["day"].scale == 24 * WORKOUT_UNITS["h"].scale
