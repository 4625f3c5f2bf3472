"""Circle, trace, diameters and flatness as a person asks for them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from asking import asked, never_crashes, refused
from wheeltapper.workout.form import FORMULAS
from wheeltapper.workout.formula import Ask, Formula

pytestmark = pytest.mark.reasoned
BY_NAME = {f.name: f for f in FORMULAS}
CIRCLE, TRACE, DIAMETERS, FLATNESS = (BY_NAME[name] for name in ("circle", "trace", "diameters", "flatness"))
TWELVE = ".1120 .1528 .1475 .1056 .0468 -.0045 -.0224 -.0068 .0089 .0048 .0072 .0481"


def test_circle_through_six_points() -> None:
    """Every number of a textbook's answer, in the unit asked, with the residuals in the order given."""
    shown, said = asked(CIRCLE, x="1 2 5 7 9 3 in", y="7 6 8 7 5 7 in", doubt="0.001 in")

    assert (shown["centre_x"], shown["centre_y"], shown["radius"]) == pytest.approx((4.7398, 2.9835, 4.7142), abs=5e-5)  # fmt: skip
    assert shown["diameter"] == pytest.approx(2 * shown["radius"])
    assert shown["sum_of_squares"] == pytest.approx(1.2275991, abs=5e-8)
    assert shown["scatter"] == pytest.approx((1.2275991 / 3) ** 0.5, rel=1e-7)
    assert len(shown["residuals"]) == 6
    assert shown["residuals"][shown["high_point"] - 1] == max(shown["residuals"])
    assert shown["peak_to_valley"] == pytest.approx(max(shown["residuals"]) - min(shown["residuals"]))
    assert shown["zone_width"] <= shown["peak_to_valley"]
    assert [text.split()[1] for text in shown["zone_contacts"]] in (["in", "out"] * 2, ["out", "in"] * 2)
    assert shown["diameter_doubt"] == pytest.approx(2 * shown["radius_doubt"])
    assert "108 degrees" in said


def test_three_points_are_round_and_prove_nothing() -> None:
    """The circle is given; its roundness is not, and the sentence says why."""
    shown, said = asked(CIRCLE, x="1 2 5 mm", y="7 6 8 mm")

    assert "peak_to_valley" not in shown
    assert "zone_width" not in shown
    assert "Three points always lie on a circle" in said


def test_a_bore_by_eight_points() -> None:
    """A full circle has a plug and a ring gauge too, and no doubt is told where none was given."""
    shown, said = asked(CIRCLE, x="6 4.2426 0 -4.2426 -6 -4.2426 0 4.2426 in", y="0 4.2426 6.002 4.2426 0 -4.2426 -6 -4.2426 in")  # fmt: skip

    assert shown["inscribed_diameter"] <= shown["diameter"] <= shown["circumscribed_diameter"]
    assert shown["high_point"] == 3
    assert shown["zone_proven"] is True
    assert "diameter_doubt" not in shown
    assert "degrees" not in said


def test_trace_of_three_waves() -> None:
    """Eccentricity, oval, lobes and phases as the readings were made, and where to touch."""
    shown, said = asked(TRACE, readings=f"{TWELVE} in", doubt="0.001 in")

    assert shown["amplitudes"][:3] == pytest.approx((0.08001, 0.03001, 0.00599), abs=5e-6)
    assert shown["phases"][:3] == pytest.approx((40.01, 99.98, 9.93), abs=0.01)
    assert shown["total"] == pytest.approx(0.1752)
    assert shown["mean"] == pytest.approx(0.05, abs=5e-6)
    assert shown["eccentric_run_out"] == pytest.approx(2 * shown["eccentricity"])
    assert shown["ovality"] == pytest.approx(4 * shown["amplitudes"][1])
    assert shown["highest"] == 5
    assert shown["blind_lobes"] == (11, 12)
    assert shown["amplitude_doubts"][0] == pytest.approx(0.001 * (2 / 12) ** 0.5)
    assert shown["zone"] <= shown["roundness"]
    assert shown["long_axis"] == "1:40 to 7:40"
    assert "oval" in said
    assert "8:00 and 1:00" in said
    assert "play" in said.lower()


def test_a_dial_that_grows_inward() -> None:
    """The sign turns high places into low ones and nothing else."""
    outward, _ = asked(TRACE, readings="0 1 3 1 0 1 2 1 mm")
    inward, _ = asked(TRACE, readings="0 1 3 1 0 1 2 1 mm", grows="inward")

    assert outward["high_places"] == inward["low_places"]
    assert outward["roundness"] == pytest.approx(inward["roundness"])
    assert outward["mean"] == pytest.approx(-inward["mean"])


def test_trace_knows_its_diameter_where_the_nominal_is_told() -> None:
    """Mean reading and nominal make the diameter; angles may come in any order and any turn."""
    shown, said = asked(
        TRACE, readings="1 2 1 2 1 2 mm", angles="300 0 60 120 180 -120 deg", nominal="254 mm"
    )

    assert shown["diameter"] == pytest.approx(257, rel=1e-6)
    assert shown["places"] == 6
    assert shown["chance_lobes"] == (3, 9)
    assert "two-point gauge shows less" in said


def test_a_trace_that_proves_nothing_says_so() -> None:
    """Readings inside the gauge's doubt, few places, an open side, and a dial that moved: each has its sentence."""
    _, few = asked(TRACE, readings="0 .001 0 .001 in", angles="0 20 40 100 deg", doubt=".001 in")
    _, moved = asked(TRACE, readings="0 1 2 1 0 1 2 1 8 mm", angles="0 45 90 135 180 225 270 315 360 deg", doubt=".1 mm")  # fmt: skip

    assert "proves no fault of form" in few
    assert "260 degrees" in few
    assert "Readings at one place differ by" in moved


def test_four_diameters() -> None:
    """Out-of-round as read, the oval as fitted, and the gauge's blindness named."""
    shown, said = asked(DIAMETERS, diameters="12.010 12.003 11.990 12.005 in", doubt="0.001 in")

    assert shown["out_of_round"] == pytest.approx(0.020)
    assert shown["ovality"] == pytest.approx(2 * (0.010**2 + 0.001**2) ** 0.5)
    assert shown["long_axis"] == "5:55 to 11:55"
    assert 3 in shown["blind_lobes"]
    assert shown["chance_lobes"] == (4, 12)
    assert "odd number of lobes" in said


def test_two_diameters() -> None:
    """Their difference, and that two cannot place an oval."""
    shown, said = asked(DIAMETERS, diameters="12.010 12.003 in", directions="10 100 deg")

    assert "ovality" not in shown
    assert shown["long_axis_at"] == pytest.approx(10)
    assert "at least three" in said


def test_a_face_by_points() -> None:
    """x, y, z of a public thread: 0.072097 and 0.067262 mm, held two and two."""
    shown, said = asked(FLATNESS, x="11.5 18.5 4.5 25.5 11.5 mm", y="7 6.9 13 30 37.5 mm", z="1.1 1.03 1.02 1.03 1.02 mm")  # fmt: skip

    assert shown["least_squares"] == pytest.approx(0.072097, abs=1e-6)
    assert shown["zone"] == pytest.approx(0.067262, abs=1e-6)
    assert [text.split()[1] for text in shown["zone_contacts"]].count("up") == 2
    assert "5 points show little" in said


def test_a_face_by_dial() -> None:
    """One circle: tilt and warp apart, high at the clock, a dish unseen, the doubt named."""
    readings = "0 .002 .004 .002 0 -.002 -.004 -.003 in"
    shown, said = asked(FLATNESS, readings=readings, radius="4 in", doubt="0.0005 in")
    bare, asks = asked(FLATNESS, readings=readings)

    assert shown["total"] == pytest.approx(0.008)
    assert shown["wobble_high"] == "3:05"
    assert shown["warp"] == pytest.approx(shown["least_squares"], rel=1e-5)
    assert shown["run_out_tilt"] == pytest.approx(shown["tilt"], rel=1e-5)
    assert shown["may_be_less"] > shown["zone"]
    assert "cannot see a dish" in said
    assert bare["warp"] == shown["warp"]
    assert "Give the radius" in asks


def test_two_circles_see_a_dish() -> None:
    """Readings on two radii: the dish counts, and no circle is taken apart."""
    shown, said = asked(
        FLATNESS,
        readings="0 0 0 0 .003 .003 .003 .003 in",
        angles="0 90 180 270 0 90 180 270 deg",
        radius="2 2 2 2 4 4 4 4 in",
        grows="inward",
    )

    assert shown["zone"] == pytest.approx(0.003)
    assert set(shown["high_places"]) == {"12:00", "3:00", "6:00", "9:00"}
    assert "total" not in shown
    assert "dish" not in said


@pytest.mark.parametrize(("formula", "texts", "what"), [
    (CIRCLE, {"x": "0 1 2 3 in", "y": "0 1 2 3 in"}, "straight line"),
    (CIRCLE, {"x": "0 1 2 in", "y": "0 1 in"}, "not equally long"),
    (CIRCLE, {"x": "0 1 2 0 in", "y": "0 1 0 2 in", "doubt": "-1 in"}, "doubt is negative"),
    (TRACE, {"readings": "0 1 2 in"}, "three places"),
    (TRACE, {"readings": "0 1 2 1 in", "nominal": "-3 in"}, "nominal diameter"),
    (TRACE, {"readings": "0 1 2 1 in", "angles": "0 90 180 deg"}, "not equally long"),
    (DIAMETERS, {"diameters": "12 in"}, "one direction"),
    (FLATNESS, {"x": "0 1 2 in", "readings": "1 2 3 4 in"}, "either as x, y, z"),
    (FLATNESS, {}, "either as x, y, z"),
    (FLATNESS, {"x": "0 1 2 3 in", "y": "0 1 2 3 in", "z": "0 1 2 3 in"}, "straight line"),
    (FLATNESS, {"readings": "0 1 2 1 in", "radius": "0 in"}, "radius is zero"),
])  # fmt: skip
def test_refused(formula: Formula, texts: dict[str, str], what: str) -> None:
    """What cannot be worked out is refused in two plain sentences."""
    slip = refused(formula, **texts)

    assert what in slip.what
    assert slip.do.endswith(".")


AMOUNTS = st.sampled_from([-1.0, 0.0, 1e-4, 0.05, 0.3, 1.0, 2.0])


def anything(ask: Ask) -> st.SearchStrategy[Any]:
    """An input of any size, a list of any length, or nothing where that is allowed."""
    value: Any = AMOUNTS
    if ask.dimension == "word":
        value = st.sampled_from(ask.words)
    elif ask.many:
        value = st.lists(AMOUNTS, max_size=3).map(tuple) | st.lists(AMOUNTS, min_size=6, max_size=6).map(
            tuple
        )
    return st.none() | value if ask.default == "" else value


@settings(max_examples=30, deadline=None)
@pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f.name)
@given(data=st.data())
def test_anything_at_all(formula: Formula, data: st.DataObject) -> None:
    """Whatever is put in: an answer or a refusal, never an error of ours."""
    never_crashes(formula, {ask.name: data.draw(anything(ask)) for ask in formula.asks})
