"""Fits by name: what a person types, what comes back, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asking import asked, never_crashes, refused, spoilt
from conftest import priced
from wheeltapper.units import INCH_M
from wheeltapper.workout import cup, fits
from wheeltapper.workout.cup import window_m
from wheeltapper.workout.formula import Formula
from wheeltapper.workout.named import bearing_named

NAMED: dict[str, Formula] = {f.name: f for f in (*fits.FORMULAS, *cup.FORMULAS)}
RINGS = {
    "joint": "400 mm",
    "bore": "300 mm",
    "rim": "500 mm",
    "inner_modulus": "200 GPa",
    "outer_modulus": "200 GPa",
}


@pytest.mark.reasoned
def test_three_ways_to_say_how_tight() -> None:
    """Interference on the diameter, half of it on the radius, or the pressure it makes: one and the same fit."""
    by_diameter, _ = asked(NAMED["press-fit"], **RINGS, diametral="0.2 mm")
    by_radius, _ = asked(NAMED["press-fit"], **RINGS, radial="0.1 mm")
    by_pressure, _ = asked(NAMED["press-fit"], **RINGS, pressure=f"{by_diameter['pressure']} MPa")

    assert by_radius == pytest.approx(by_diameter)
    assert by_pressure == pytest.approx(by_diameter)
    assert by_diameter["radial_stress_at_joint"] == pytest.approx(-by_diameter["pressure"])


@pytest.mark.reasoned
def test_one_way_only() -> None:
    """None, or two of the three ways, is refused, and the answer says which three there are."""
    assert "give one" in refused(NAMED["press-fit"], **RINGS).do
    assert "2 of" in refused(NAMED["press-fit"], **RINGS, diametral="0.2 mm", pressure="3 MPa").what


@pytest.mark.reasoned
def test_a_loose_fit_presses_nothing() -> None:
    """A clearance in place of an interference is refused in plain words."""
    assert "loose" in refused(NAMED["press-fit"], **RINGS, diametral="-0.2 mm").do
    assert "pressure is negative" in refused(NAMED["press-fit"], **RINGS, pressure="-3 MPa").what
    assert "poisson" in refused(NAMED["press-fit"], **RINGS, diametral="0.2 mm", inner_poisson="5").what


@pytest.mark.reasoned
def test_a_part_that_yields_is_said() -> None:
    """Past the yield the elastic pressure is more than there is; short of it nothing is said."""
    _, much = asked(NAMED["press-fit"], **RINGS, diametral="0.2 mm", outer_yield="50 MPa")
    _, little = asked(NAMED["press-fit"], **RINGS, diametral="0.2 mm", outer_yield="250 MPa")

    assert "yields" in much
    assert little == ""


@pytest.mark.reasoned
def test_force_and_torque_over_friction() -> None:
    """Two friction coefficients give a range, torque is force times half the joint; a length is needed for them."""
    shown, _ = asked(
        NAMED["press-fit"],
        **RINGS,
        diametral="0.2 mm",
        length="50 mm",
        friction="0.1 0.2",
        outer_yield="250 MPa",
    )
    bare, _ = asked(NAMED["press-fit"], **RINGS, diametral="0.2 mm")
    low, high = shown["push_out"]

    assert high == pytest.approx(2 * low)
    assert shown["holding_torque"][0] == pytest.approx(low * 1e3 * 0.2)
    assert shown["yield_margin"] == pytest.approx(250 / shown["outer_von_mises"])
    assert "push_out" not in bare


@pytest.mark.reasoned
def test_a_metal_by_name_or_by_number() -> None:
    """The tables' modulus and a modulus typed give the same; an unknown metal is refused with the known ones."""
    named, _ = asked(NAMED["press-fit"], joint="80 mm", rim="100 mm", diametral="0.05 mm", outer="grey iron")
    iron = priced().materials["grey iron"]
    typed, _ = asked(NAMED["press-fit"], joint="80 mm", rim="100 mm", diametral="0.05 mm",
        outer_modulus=f"{iron.modulus_pa / 1e9} GPa", outer_poisson=str(iron.poisson_share), outer_expansion=f"{iron.expansion_per_k} 1/K",
    )  # fmt: skip

    assert typed == pytest.approx(named)
    assert "grey iron" in refused(NAMED["press-fit"], **RINGS, diametral="0.2 mm", outer="grey irno").do


@pytest.mark.reasoned
@pytest.mark.parametrize(
    "shaft, kind, most_clearance",
    [
        (("28 um", "41 um"), "interference", 0.0),
        (("-20 um", "-7 um"), "clearance", 0.041),
        (("2 um", "15 um"), "transition", 0.019),
    ],
)
def test_kinds_of_fit(shaft: tuple[str, str], kind: str, most_clearance: float) -> None:
    """One hole and three shafts: tight, loose, and either; the most clearance is hole high less shaft low."""
    shown, _ = asked(
        NAMED["fit-limits"],
        nominal="25 mm",
        hole_low="0 um",
        hole_high="21 um",
        shaft_low=shaft[0],
        shaft_high=shaft[1],
    )

    assert shown["kind"] == kind
    assert shown["most_clearance"] == pytest.approx(most_clearance, abs=1e-9)


@pytest.mark.reasoned
def test_an_aluminium_hub_lets_go_and_an_iron_one_does_not() -> None:
    """80 mm, 0.05 mm tight, +100 K: 0.0904 mm lost in aluminium of 23 ppm, 0.0096 mm gained in iron of 10.5 ppm."""
    hot = {"joint": "80 mm", "diametral": "0.05 mm", "temperature": "20 120 C"}
    aluminium, said = asked(NAMED["hot-fit"], **hot, outer="aluminium")
    iron, said_of_iron = asked(NAMED["hot-fit"], **hot)

    assert aluminium["gained"] == pytest.approx((0.0, -0.0904), abs=1e-9)
    assert aluminium["loose_at"] == pytest.approx(20 + 0.05 / 80 / (23e-6 - 11.7e-6))
    assert aluminium["pressure"][1] == 0.0
    assert "free to turn" in said
    assert iron["gained"][1] == pytest.approx(0.0096, abs=1e-9)
    assert "loose_at" not in iron
    assert "does not loosen" in said_of_iron


USUAL = {
    "press-fit": {**RINGS, "diametral": "0.2 mm", "length": "50 mm", "outer_yield": "250 MPa"},
    "fit-limits": {
        "nominal": "25 mm",
        "hole_low": "0 um",
        "hole_high": "21 um",
        "shaft_low": "28 um",
        "shaft_high": "41 um",
    },
    "hot-fit": {"joint": "80 mm", "diametral": "0.05 mm"},
    "cup-fit": {"bearing": "25520", "bore": "3.2630 in"},
    "seal-fit": {"nominal": "2.565 in", "bore": "2.565 in"},
}
WINDOWS = {
    "L44610": (1.9780, 1.9795),
    "LM67010": (2.3260, 2.3275),
    "L68111": (2.3592, 2.3607),
    "15245": (2.4389, 2.4404),
    "02420": (2.6855, 2.6870),
    "14276": (2.7150, 2.7165),
    "25520": (3.2620, 3.2640),
    "382A": (3.8095, 3.8115),
}


@pytest.mark.reasoned
@pytest.mark.parametrize("name", WINDOWS)
def test_bore_windows(name: str) -> None:
    """The bore of a new hub for each cup: its nominal outside less the manual's two numbers, worked by hand."""
    cup_od = bearing_named(priced(), name).cup_od_m

    assert window_m(priced(), "hub bore", cup_od) == pytest.approx(
        tuple(v * INCH_M for v in WINDOWS[name]), abs=1e-9
    )


@pytest.mark.reasoned
@pytest.mark.parametrize(
    "bore, where, said",
    [
        ("3.2630 in", "inside the window", "is 0.0025 in tight"),
        ("3.2641 in", "at the edge of the window, inside the gauge's doubt", "tight"),
        ("3.2648 in", "over the window", "has worn"),
        ("3.2655 in", "over the window", "cannot show this cup to be tight"),
        ("3.2665 in", "over the window", "loose and turns in the hub. Replace the hub"),
        ("3.2600 in", "under the window", "is it the right cup"),
    ],
)
def test_a_cup_by_its_bore(bore: str, where: str, said: str) -> None:
    """25520, 3.2650 to 3.2660 in, in bores from too small to a worn-out one: where it stands and what to do."""
    shown, says = asked(NAMED["cup-fit"], bearing="25520", bore=bore)

    assert shown["bore"] == where
    assert said in says


@pytest.mark.reasoned
def test_a_measured_cup_is_surer_than_a_named_one() -> None:
    """The named cup carries its tolerance as doubt; measured it carries the micrometer's. Nominal size stays the table's."""
    named, _ = asked(NAMED["cup-fit"], bearing="25520", bore="3.2630 in")
    measured, _ = asked(
        NAMED["cup-fit"], cup_od="3.2655 in", bore="3.2630 in", cup_width="0.75 in", raceway="75.2 mm"
    )

    assert named["interference"] == pytest.approx(measured["interference"]) == pytest.approx(0.0025)
    assert named["interference_doubt"] == pytest.approx((0.0005**2 + 0.0003**2) ** 0.5)
    assert measured["interference_doubt"] == pytest.approx((0.0002**2 + 0.0003**2) ** 0.5)
    assert measured["window"] == pytest.approx(named["window"])


@pytest.mark.reasoned
def test_wear_takes_pressure_and_torque_to_nothing() -> None:
    """Each thousandth worn takes the same pressure, until at the whole interference nothing is left."""
    shown, _ = asked(NAMED["cup-fit"], bearing="25520", bore="3.2635 in", wear="0 0.001 0.002 0.003 in")
    first, second, third, fourth = shown["worn_pressure"]

    assert first == shown["pressure"] == pytest.approx(2 * second)
    assert third == fourth == 0.0
    assert shown["worn_torque"][2] == 0.0
    assert shown["wear_to_loose"] == pytest.approx(0.002)


@pytest.mark.reasoned
def test_an_aluminium_hub_is_told_its_own_least_fit() -> None:
    """The manual asks a thousandth for each inch of cup in aluminium: 0.0033 in on 3.2655 in."""
    _, said = asked(NAMED["cup-fit"], bearing="25520", bore="3.2630 in", outer="aluminium")

    assert "at least 0.0033 in of fit on this cup, and this one may have less" in said


@pytest.mark.reasoned
@pytest.mark.parametrize("bore, hot", [
    ("3.2600 in", ""), ("3.2625 in", "At 225 °F the gauges cannot show"), ("3.2640 in", "At 225 °F nothing is left"),
])  # fmt: skip
def test_an_aluminium_hub_that_lets_go_when_hot(bore: str, hot: str) -> None:
    """225 F takes 0.0032 in off 3.2655 in in aluminium of 23 ppm: a cup tight cold may turn hot, and that is said."""
    _, said = asked(NAMED["cup-fit"], bearing="25520", bore=bore, outer="aluminium")

    assert "tight, give or take" in said
    assert (hot in said) if hot else ("At 225 °F" not in said)


@pytest.mark.reasoned
def test_a_measured_cup_of_another_size_is_asked_about() -> None:
    """A cup that measures a sixteenth more than its number says is another cup."""
    _, other = asked(NAMED["cup-fit"], bearing="25520", cup_od="3.3275 in", bore="3.3250 in")
    _, same = asked(NAMED["cup-fit"], bearing="25520", cup_od="3.2658 in", bore="3.2630 in")

    assert "is it that cup" in other
    assert "is it that cup" not in same


@pytest.mark.reasoned
def test_cups_that_cannot_be_told() -> None:
    """No cup at all, a cone with two cups, a number that is in no table: each is refused with what to do."""
    assert "name the cup" in refused(NAMED["cup-fit"], bore="3.2630 in").do
    assert "L68149/L68110" in refused(NAMED["cup-fit"], bore="2.3600 in", bearing="L68149").do
    assert "25520" in refused(NAMED["cup-fit"], bore="3.2630 in", bearing="25521").do
    assert "ask the part maker" in refused(NAMED["cup-fit"], bore="6.0 in", cup_od="6.002 in").do


@pytest.mark.reasoned
@pytest.mark.parametrize(
    "bore, said",
    [
        ("2.5640 in", "as the tables print it"),
        ("2.5655 in", "may be under"),
        ("2.5690 in", "must need the driver"),
        ("2.5550 in", "is it the right seal"),
    ],
)
def test_a_seal_bore(bore: str, said: str) -> None:
    """A nominal bore of 2.565 in, from new to worn: the least press the tables promise, against the gauge's doubt."""
    shown, says = asked(NAMED["seal-fit"], nominal="2.565 in", bore=bore)

    assert shown["press"] == pytest.approx((2.567 - float(bore[:6]), 2.571 - float(bore[:6])))
    assert said in says


@pytest.mark.reasoned
def test_a_measured_seal_that_falls_in() -> None:
    """A bore larger than the seal holds none: replace the hub."""
    shown, says = asked(NAMED["seal-fit"], nominal="2.565 in", bore="2.5750 in", seal_od="2.5690 in")

    assert shown["press"] == pytest.approx(-0.006)
    assert "does not hold one. Replace the hub" in says


@pytest.mark.reasoned
@pytest.mark.parametrize("name", NAMED)
@given(data=st.data())
def test_any_numbers_answer_or_are_refused(name: str, data: st.DataObject) -> None:
    """Whatever is typed, there is an answer or a plain refusal: no crash and no number that is none."""
    never_crashes(NAMED[name], data.draw(spoilt(NAMED[name], **USUAL[name])))
