"""Every computation with numbers that cannot be: an answer of finite numbers or a plain refusal, and never a hang."""

from __future__ import annotations

from math import isfinite

import pytest

from conftest import priced
from wheeltapper.report.answer import answer_json, answer_text
from wheeltapper.workout.book import BY_NAME, FORMULAS, work_out
from wheeltapper.workout.formula import Ask, Formula
from wheeltapper.workout.reading import units_of

pytestmark = pytest.mark.reasoned

STUD = {"stud": "1/2-20"}
STOP = {
    "mass": "3500 lb",
    "from_speed": "60 mph",
    "slowing": "0.4 g",
    "rolling": "1 %",
    "drag_area": "2 m2",
    "grade": "2 %",
}
PAIR = {"joint": "2.75 in", "bore": "2.4 in", "rim": "3.6 in", "diametral": "0.002 in"}
GRIP = {
    **STUD,
    "grip": "20 mm",
    "shank_length": "5 mm",
    "shank_diameter": "12 mm",
    "layers": "10 10 mm",
    "layer_moduli": "200 GPa",
}
SENSIBLE: dict[str, tuple[dict[str, str], ...]] = {
    "limit": ({"size": "12.05 in", "doubt": "0.003 in", "limit": "12.09 in"},),
    "conformance": (
        {"reading": "12.05 in", "doubt": "0.01 in", "lower": "12 in", "upper": "12.06 in", "prior_mean": "12.04 in", "prior_deviation": "0.02 in"},
        {"reading": "0.02 in", "doubt": "0.01 in", "upper": "0.03 in", "least": "0 in", "prior_mean": "0.02 in", "prior_deviation": "0.01 in"},
    ),
    "gauge-risk": (
        {"doubt": "0.01", "lower": "11.9", "upper": "12.1", "mean": "12", "deviation": "0.05", "guard": "0.01"},
        {"doubt": "0.01", "lower": "11.9", "upper": "12.1", "in_limits": "95 %", "wanted": "1 %"},
    ),
    "guard-band": ({"doubt": "0.01", "lower": "11.9", "upper": "12.1", "distance": "0.01"}, {"ratio": "4", "risk": "2 %"}),
    "combine-doubts": ({"doubts": "1 2 3 mm", "sensitivities": "1 1 2", "divide": "2 2 1"},),
    "repeat-readings": ({"readings": "12.01 12.02 12.015 in", "doubt": "0.003 in", "wanted": "0.004 in"}, {"scatter": "0.01 in", "wanted": "0.005 in"}),
    "wear-rate": ({"distance": "0 10000 20000 mi", "size": "12 12.01 12.03 in", "doubt": "0.003 in", "limit": "12.09 in", "new": "12 in", "service": "12000 mi"},),
    "wear-line": ({"distance": "0 5000 10000 20000 mi", "size": "12 12.006 12.01 12.03 in", "at": "15000 mi", "limit": "12.09 in"},),
    "groove-bottom": ({"surface": "12.05 in", "depth": "0.01 in", "surface_doubt": "0.003 in", "depth_doubt": "0.002 in", "limit": "12.09 in"},),
    "circle": ({"x": "6 0 -6 0 4.2 in", "y": "0 6.01 0 -6 4.3 in", "doubt": "0.001 in"},),
    "trace": ({"readings": "0 1 3 2 0 1 3 2 thou", "angles": "0 45 90 135 180 225 270 315 deg", "doubt": "0.5 thou", "nominal": "12 in"},),
    "diameters": ({"diameters": "12.01 12.02 12.03 12.02 in", "directions": "0 45 90 135 deg", "doubt": "0.003 in"},),
    "flatness": (
        {"x": "0 1 1 0 0.5 in", "y": "0 0 1 1 0.5 in", "z": "0 0.001 0 0.002 0.001 in", "doubt": "0.0005 in"},
        {"readings": "0 1 3 2 0 1 thou", "angles": "0 60 120 180 240 300 deg", "radius": "3 in", "doubt": "0.5 thou"},
    ),
    "press-fit": ({**PAIR, "length": "0.75 in", "outer_yield": "250 MPa", "fitting_clearance": "0.001 in"},),
    "fit-limits": ({"nominal": "25 mm", "hole_low": "0 mm", "hole_high": "0.021 mm", "shaft_low": "0.028 mm", "shaft_high": "0.041 mm"},),
    "hot-fit": (PAIR,),
    "cup-fit": ({"bore": "3.2637 in", "bearing": "25580/25520"}, {"bore": "3.2637 in", "cup_od": "3.2655 in", "cup_width": "0.75 in", "hub_outside": "4.2 in"}),
    "seal-fit": ({"nominal": "2.5 in", "bore": "2.5005 in", "seal_od": "2.504 in"},),
    "stress-area": ({"diameter": "12 mm", "pitch": "1.5 mm", "proof": "600 MPa", "tensile": "800 MPa"}, {"diameter": "0.5 in", "threads": "20 tpi"}),
    "torque-preload": ({"diameter": "0.5 in", "threads": "20 tpi", "torque": "90 ft-lb", "proof": "85 ksi", "area": "0.16 in2"}, {**STUD, "preload": "10000 lbf"}),
    "torque-for-proof": ({"diameter": "12 mm", "pitch": "1.5 mm", "proof": "600 MPa"},),
    "nut-factor": ({**STUD, "thread_friction": "0.1 0.2", "seat_friction": "0.15", "torque": "90 ft-lb", "preload": "10000 lbf", "lead": "1.27 mm"},),
    "assembly-torque": (
        {"diameter": "12 mm", "pitch": "1.5 mm", "yield": "640 MPa", "thread_friction": "0.12", "seat_friction": "0.12", "head": "17 mm", "hole": "13 mm"},
        {**STUD, "preload": "10000 lbf", "thread_friction": "0.12", "seat_friction": "0.12", "seat_diameter": "15 mm"},
    ),
    "nut-turn": ({**GRIP, "turn": "60 deg", "proof": "85 ksi"}, {**STUD, "stud_stiffness": "400 kN/mm", "joint_stiffness": "800 kN/mm", "preload": "40 kN"}),
    "lost-clamp": (
        {**GRIP, "settled": "0.002 in", "preload": "10000 lbf", "warmer": "50 F", "joint_expansion": "10 ppm/K"},
        {**GRIP, "nut_moved": "15 deg", "preload": "10000 lbf"},
    ),
    "wheel-slip": (
        {"studs": "5", "circle": "4.5 in", "stud": "1/2-20", "torque": "90 ft-lb", "brake_torque": "500 ft-lb", "wheel_load": "1750 lbf", "offset": "0.5 in",
         "side_load": "400 lbf", "tyre_radius": "13 in"},
    ),
    "wheel-torque": (STUD,),
    "ring-tone": ({"across": "12.4 in", "height": "0.4 in", "width": "2.75 in"},),
    "ring-damping": ({"first": "10", "later": "5", "swings": "100", "tone": "480 Hz"},),
    "bearing-life": (
        {"bearing": "25580/25520", "radial": "1750 lbf", "thrust": "300 lbf", "rolling_radius": "13 in", "wanted_distance": "100000 mi"},
    ),
    "bearing-by-size": ({"bore": "1.75 in", "cup_od": "3.265 in", "width": "0.94 in"},),
    "corner-load": (
        {"wheel_load": "1750 lbf", "inner": "25580/25520", "outer": "15123/15245", "spread": "3 in", "load_at": "1 in", "rolling_radius": "13 in"},
    ),
    "end-play": ({"bearing": "25580/25520", "radial": "1750 lbf"},),
    "hub-heat": ({"hub": "150 F", "mate": "110 F"},),
    "shoe-contact": ({"drum": "12.05 in", "shoe": "12 in", "thickness": "0.2 in", "angles": "0 30 deg"},),
    "lining-life": (
        {"now": "0.1 in", "new": "0.2 in", "distance": "20000 mi", "doubt": "0.01 in"},
        {"distances": "0 10000 20000 mi", "thicknesses": "0.2 0.17 0.12 in"},
    ),
    "stop-heat": ({**STOP, "drum_mass": "25 lb"}, {"weight": "3500 lbf", "from_speed": "60 mph", "stop_time": "6 s", "drum_mass": "25 lb"}),
    "descent-heat": ({"mass": "7000 lb", "speed": "40 mph", "length": "5 mi", "grade": "6 %", "brakes": "4", "drum_mass": "25 lb", "area": "0.3 m2"},),
    "surface-heat": (
        {"energy": "100 kJ", "stop_time": "6 s", "area": "75 in2", "wall": "0.4 in", "depth": "0.1 in", "time": "3 s"},
        {"flux": "500000 W/m2", "stop_time": "6 s", "lining": "1500", "depth": "0.1 in"},
    ),
    "half-space": (
        {"start": "70 F", "surface": "400 F", "depth": "0.1 0.2 in", "time": "5 s"},
        {"case": "moving fluid", "start": "70 F", "fluid": "400 F", "film": "100 W/m2K", "depth": "0.1 in", "time": "5 s", "target": "75 F"},
        {"case": "steady flux", "start": "70 F", "flux": "50000 W/m2", "depth": "0.1 in", "time": "5 s", "target": "90 F"},
    ),
    "heat-colour": ({"temperature": "550 F"},),
    "colour-against-braking": ({**STOP, "colour": "blue", "drum_mass": "20 25 lb", "stops": "3", "gap": "60 s", "area": "0.3 m2", "rubbed": "75 in2"},),
    "repeated-stops": ({"rise": "60 F", "gap": "60 s", "stops": "5", "drum_mass": "25 lb", "area": "0.3 m2"}, {"energy": "100 kJ", "gap": "60 s", "drum_mass": "25 lb", "area": "0.3 m2"}),
    "cooling": ({"start": "400 F", "time": "600 s", "target": "200 F", "drum_mass": "25 lb", "area": "0.3 m2"}, {"start": "450 C", "ball": "50 mm", "time": "60 s"}),
    "drag-heat": ({"speed": "55 mph", "drag": "10 lbf", "bearing_load": "1750 lbf", "bore": "1.75 in", "tyre": "13 in", "area": "0.3 m2", "held": "200 F"},),
    "wire": (
        {"awg": "12", "length": "20 ft", "coils": "3.2 3.2 ohm", "drop": "0.5 V"}, {"awg": "12", "length": "20 ft", "current": "6 A", "drop_share": "5 %"},
    ),
    "magnet-current": ({"volts": "12 V", "coils": "3.2 3.2 ohm", "awg": "12", "length": "20 ft", "amps": "6 A"},),
    "leg-resistance": ({"plug": "12 V", "coils": "3.2 3.2 ohm", "magnets": "11 10.8 V", "awg": "12", "length": "20 ft", "lead_length": "5 ft"},),
    "dead-leg": ({"amps": "3.4 A", "plug": "12 V", "coils": "3.2 3.3 3.2 3.1 ohm", "awg": "12", "length": "20 ft"},),
}  # fmt: skip
AMOUNTS = ("1e300", "1e-300", "0", "-1", "1e9", "1e-9", "nan", "inf")
EACH = pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f.name)


def _finite(formula: Formula, texts: dict[str, str]) -> None:
    """An answer of finite numbers, in text and JSON, or refusals that say where, what and what to do."""
    answer, slips = work_out(formula, texts, priced())
    assert (answer is None) == bool(slips)
    for slip in slips:
        assert slip.where
        assert slip.what
        assert slip.do.endswith((".", "?"))
    if answer is not None:
        values = [v for r in answer.results for v in (r.value if isinstance(r.value, tuple) else (r.value,))]
        assert all(isfinite(v) for v in values if isinstance(v, float))
        assert answer_text(formula, answer)
        assert "Infinity" not in answer_json(formula, texts, answer, slips)


def _spelled(ask: Ask, amount: str) -> str:
    units = units_of(ask.dimension)
    return f"{amount} {units[0]}" if units else amount


@EACH
def test_sensible_numbers_answer(formula: Formula) -> None:
    """What the extremes start from has an answer."""
    for texts in SENSIBLE[formula.name]:
        answer, slips = work_out(formula, texts, priced())
        assert (slips, answer is None) == ((), False)


@EACH
def test_any_one_number_may_be_anything(formula: Formula) -> None:
    """Each number in turn far too large, far too small, nothing, negative or none: never an exception."""
    for texts in SENSIBLE[formula.name]:
        for ask in formula.asks:
            for amount in AMOUNTS if ask.dimension != "word" else ():
                _finite(formula, {**texts, ask.name: _spelled(ask, amount)})


def test_every_computation_is_tried() -> None:
    """A new computation needs its sensible numbers here."""
    assert set(SENSIBLE) == set(BY_NAME)
