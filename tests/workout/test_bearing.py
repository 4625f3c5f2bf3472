"""Bearings by name: life, loads of a wheel, end play, sizes that are easily mixed up, and a hub that runs hot."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from asking import asked, never_crashes, refused, spoilt
from wheeltapper.workout import bearing, hub
from wheeltapper.workout.formula import Formula

NAMED: dict[str, Formula] = {f.name: f for f in (*bearing.FORMULAS, *hub.FORMULAS)}
LIFE, SIZE, CORNER, PLAY, HEAT = (
    NAMED[n] for n in ("bearing-life", "bearing-by-size", "corner-load", "end-play", "hub-heat")
)
WHEEL = {"wheel_load": "2600 lbf", "inner": "25580", "outer": "15123", "spread": "4 in", "load_at": "1.2 in", "rolling_radius": "14 in"}  # fmt: skip

USUAL = {
    "bearing-life": {"bearing": "25580", "radial": "10 kN", "thrust": "3 kN", "road_speed": "60 mph", "rolling_radius": "14 in", "wanted_distance": "50000 mi"},
    "bearing-by-size": {"bore": "1.2502 in", "cup_od": "2.7175 in"},
    "corner-load": WHEEL,
    "end-play": {"bearing": "25580", "radial": "2000 lbf"},
    "hub-heat": {"hub": "190 F", "mate": "130 F"},
}  # fmt: skip


@pytest.mark.reasoned
def test_a_bearing_by_name_or_by_its_rating() -> None:
    """The tables' rating and the same typed on 1 or on 90 million revolutions give one life."""
    named, _ = asked(LIFE, bearing="25580/25520", radial="3500 lbf")
    typed, _ = asked(LIFE, rating="76 kN", radial="3500 lbf")
    on_90, _ = asked(LIFE, rating=f"{76 / 90**0.3} kN", rating_basis="90 Mrev", radial="3500 lbf")

    assert named["l10"] == pytest.approx(typed["l10"]) == pytest.approx(on_90["l10"])
    assert named["l10"] == pytest.approx(197, abs=0.5)


@pytest.mark.reasoned
def test_life_in_hours_and_miles() -> None:
    """Hours times speed is the distance: at 60 mph each hour is sixty miles."""
    shown, _ = asked(LIFE, bearing="25580", radial="3500 lbf", road_speed="60 mph", rolling_radius="14 in")

    assert shown["l10_distance"] == pytest.approx(60 * shown["l10_time"])


@pytest.mark.reasoned
def test_both_reliability_tables_stand_side_by_side() -> None:
    """At 95 % the standard of 2007 gives 0.64 of the rating life, older books 0.62; at 90 % both give all of it."""
    most, _ = asked(LIFE, bearing="25580", radial="3500 lbf", reliability="95 %")
    usual, _ = asked(LIFE, bearing="25580", radial="3500 lbf")

    assert most["life_a1_iso_2007"] == pytest.approx(0.638 * most["l10"], rel=2e-3)
    assert most["life_a1_older"] == pytest.approx(0.619 * most["l10"], rel=2e-3)
    assert usual["life_a1_iso_2007"] == pytest.approx(usual["life_a1_older"]) == pytest.approx(usual["l10"])


@pytest.mark.reasoned
@pytest.mark.parametrize(
    "wanted", [{"wanted_life": "100 Mrev"}, {"wanted_time": "2000 h", "turning": f"{1e8 / 2000 / 60} rpm"},
               {"wanted_distance": f"{1e8 * 2 * 3.141592653589793 * 0.35 / 1e3} km", "rolling_radius": "0.35 m"}],
)  # fmt: skip
def test_three_ways_to_want_a_life(wanted: dict[str, str]) -> None:
    """Revolutions, hours at a speed or distance on a tyre: the same hundred million, the same rating needed."""
    shown, _ = asked(LIFE, radial="10 kN", **wanted)

    assert shown["wanted"] == pytest.approx(100)
    assert shown["needed_rating_a1_older"] == pytest.approx(10 * 100**0.3)
    assert "l10" not in shown


@pytest.mark.reasoned
def test_duty_that_takes_turns() -> None:
    """Two loads by their shares of the turns; a share that is missing is refused."""
    shown, _ = asked(LIFE, rating="76 kN", loads="5 10 kN", shares="80 20 %")

    assert shown["equivalent_load"] == pytest.approx((0.8 * 5e3 ** (10 / 3) + 0.2 * 1e4 ** (10 / 3)) ** 0.3)
    assert "one share for each load" in refused(LIFE, rating="76 kN", loads="5 10 kN", shares="100 %").do


@pytest.mark.reasoned
def test_thrust_on_a_tapered_bearing_uses_its_factor() -> None:
    """25580 has Y = 1.79: 10 kN with 5 kN of thrust is 12.95 kN, with 1 kN it stays 10 kN; ring and load factor multiply."""
    much, _ = asked(LIFE, bearing="25580", radial="10 kN", thrust="5 kN")
    little, _ = asked(LIFE, bearing="25580", radial="10 kN", thrust="1 kN")
    rough, _ = asked(LIFE, bearing="25580", radial="10 kN", ring_factor="1.2", load_factor="1.5")

    assert much["equivalent_load"] == pytest.approx(12950)
    assert little["equivalent_load"] == pytest.approx(10000)
    assert rough["equivalent_load"] == pytest.approx(18000)


@pytest.mark.reasoned
def test_thrust_never_eases_a_bearing() -> None:
    """X of 0.56 with a little thrust is less than the radial load alone: the radial load counts."""
    shown, _ = asked(
        LIFE, radial="10 kN", thrust="1 kN", kind="ball", radial_factor="0.56", thrust_factor="1.5"
    )

    assert shown["equivalent_load"] == pytest.approx(10000)


@pytest.mark.reasoned
@pytest.mark.parametrize(
    "given, what",
    [
        ({"rating": "76 kN"}, "no load"),
        ({"radial": "1 kN", "thrust": "1 kN"}, "thrust_factor"),
        ({"radial": "1 kN", "thrust": "1 kN", "kind": "ball"}, "ball bearing"),
        ({"radial": "1 kN", "thrust": "1 kN", "radial_factor": "0.56"}, "thrust_factor"),
        ({"rating": "76 kN", "radial": "1 kN", "turning": "0 rpm"}, "turning"),
        ({"rating": "76 kN", "radial": "1 kN", "thrust": "-1 kN", "thrust_factor": "1.5"}, "thrust"),
        ({"rating": "76 kN", "radial": "1 kN", "thrust": "1 kN", "thrust_factor": "-1.5"}, "thrust factor"),
        ({"rating": "76 kN", "radial": "1 kN", "reliability": "100 %"}, "reliability"),
        ({"rating": "76 kN", "radial": "1 kN", "weibull": "1 2"}, "weibull"),
        ({"radial": "1 kN", "wanted_time": "100 h"}, "wanted_time"),
        ({"radial": "1 kN", "wanted_distance": "100 mi"}, "wanted_distance"),
    ],
)
def test_lives_that_cannot_be_told(given: dict[str, str], what: str) -> None:
    """What is missing or cannot be is named."""
    assert what in refused(LIFE, **given).what


@pytest.mark.reasoned
@pytest.mark.parametrize(
    "sizes, fits, near",
    [
        ({"bore": "1.3775 in"}, ("L68149/L68111", "L68149/L68110"), ("LM48548/LM48510",)),
        ({"bore": "1.3752 in"}, ("LM48548/LM48510",), ("L68149/L68111", "L68149/L68110")),
        ({"bore": "1.3775 in", "cup_od": "2.3615 in"}, ("L68149/L68111",), ("L68149/L68110",)),
        ({"cup_od": "1.9805 in"}, ("L44643/L44610", "L44649/L44610"), ()),
        ({"bore": "1.0000 in", "cup_od": "1.9805 in"}, ("L44643/L44610",), ("L44649/L44610",)),
        ({"bore": "1.2502 in", "cup_od": "2.7175 in"}, ("14125A/14276",), ("02475/02420",)),
        ({"bore": "1.2502 in", "cup_od": "2.4415 in"}, ("15123/15245",), ()),
        ({"bore": "1.5000 in"}, (), ()),
    ],
)
def test_bearings_that_are_easily_mixed_up(
    sizes: dict[str, str], fits: tuple[str, ...], near: tuple[str, ...]
) -> None:
    """1.3775 is not 1.3750; 2.3612 is not 2.3280; 2.7170 is not 2.6875; one cup takes two cones a sixteenth apart."""
    shown, said = asked(SIZE, **sizes)

    assert set(shown["fits"]) == set(fits)
    assert set(near) <= set(shown["near"])
    assert all(f"{name} is a near miss" in said for name in near)
    assert ("sets have these sizes" in said) == (len(fits) > 1)
    assert ("No bearing of the tables" in said) == (not fits)


@pytest.mark.reasoned
def test_what_tells_sets_apart() -> None:
    """One bore, four cups: the cup's outside is named, with each one's size."""
    _, said = asked(SIZE, bore="1.2502 in")

    assert "the cup od" in said
    assert "14125A/14276 2.7170 in" in said


@pytest.mark.reasoned
def test_a_worse_gauge_cannot_tell() -> None:
    """With a caliper of 0.003 in both 1.3750 and 1.3775 fit a reading between them; without any size there is no answer."""
    shown, _ = asked(SIZE, bore="1.3765 in", doubt="0.003 in")

    assert {"LM48548/LM48510", "L68149/L68111"} <= set(shown["fits"])
    assert "no size" in refused(SIZE).what


@pytest.mark.reasoned
def test_a_wheel_straight_on_and_in_a_bend() -> None:
    """Straight on the split is by lever arms; in the bend load moves out, and the side force loads the inner bearing."""
    shown, said = asked(CORNER, **WHEEL)
    moved = 2 * 2600 * 0.2 * 40 / 74
    outside = (2600 + moved) * (1.2 - 0.2 * 14) / 4

    assert shown["straight_inner"] == pytest.approx(2600 * 2.8 / 4, rel=1e-6)
    assert shown["outside_outer"] == pytest.approx(outside, rel=1e-6)
    assert shown["outside_inner"] + shown["outside_outer"] == pytest.approx(2600 + moved, rel=1e-6)
    assert shown["outside_inner_equivalent"] > shown["straight_inner_equivalent"]
    assert "upward" in said


@pytest.mark.reasoned
def test_bends_shorten_life() -> None:
    """No bends, some, many: the inner bearing lives ever shorter, and the hub shorter than either bearing."""
    none, some, many = (asked(CORNER, **WHEEL, bends=f"{share} %")[0] for share in (0, 5, 30))

    assert none["inner_mean_load"] == pytest.approx(none["straight_inner_equivalent"])
    assert none["inner_l10"] > some["inner_l10"] > many["inner_l10"]
    assert some["pair_l10_distance"] < min(some["inner_l10_distance"], some["outer_l10_distance"])


@pytest.mark.reasoned
def test_corners_that_cannot_be() -> None:
    """A wheel that lifts, more bends than road, a bearing without its factor: each is refused."""
    assert "lifts" in refused(CORNER, **WHEEL, lateral="1 g").what
    assert "share of bends" in refused(CORNER, **WHEEL, bends="130 %").what
    assert "inner_factor" in refused(CORNER, **WHEEL | {"inner": ""}).what


@pytest.mark.reasoned
@pytest.mark.parametrize(
    "play, heavy, light",
    [
        ("0.0000 in", "too tight by 0.0010 in", "too tight by 0.0010 in"),
        ("0.0030 in", "inside", "inside"),
        ("0.0052 in", "at the edge", "inside"),
        ("0.0070 in", "too loose by 0.0020 in", "inside"),
        ("0.0120 in", "too loose by 0.0070 in", "too loose by 0.0020 in"),
    ],
)
def test_end_play_in_both_published_ranges(play: str, heavy: str, light: str) -> None:
    """Ranges differ in print, so both are told: 0.001 to 0.005 in for heavy wheel ends, 0.001 to 0.010 in for light axles."""
    _, said = asked(PLAY, bearing="25580", radial="2000 lbf", end_play=play)

    assert f"heavy wheel ends): {heavy}" in said
    assert f"the shop's row): {light}" in said


@pytest.mark.reasoned
def test_end_play_over_a_row_of_settings() -> None:
    """Zero play is the reference; from there on the top roller carries more and life falls; no verdict on a list."""
    shown, said = asked(PLAY, bearing="25580", radial="2000 lbf", end_play="0 0.002 0.005 0.010 in")

    assert shown["load_zone"][0] == pytest.approx(0.5)
    assert shown["zone_angle"][0] == pytest.approx(180)
    assert shown["life_share"][0] == pytest.approx(100)
    assert list(shown["life_share"]) == sorted(shown["life_share"], reverse=True)
    assert list(shown["top_roller"]) == sorted(shown["top_roller"])
    assert "heavy wheel ends" not in said
    assert "Rigid rings" in said


@pytest.mark.reasoned
def test_preload_is_named_as_what_it_is() -> None:
    """A negative end play is preload: its danger is told; a bearing without a name needs angle and roller."""
    _, said = asked(
        PLAY, radial="2000 lbf", cup_angle="12.6 deg", roller_length="14 mm", end_play="-0.001 in"
    )

    assert "Preload" in said
    assert "roller_length" in refused(PLAY, radial="2000 lbf", cup_angle="12.6 deg").what


@pytest.mark.reasoned
@pytest.mark.parametrize(
    "hub, mate, said",
    [
        ("150 F", "130 F", "within the 30 °F"),
        ("161 F", "130 F", "inside the gauge's doubt"),
        ("190 F", "130 F", "The hub is 60 °F hotter"),
        ("130 F", "190 F", "The mate is 60 °F hotter"),
        ("230 F", "220 F", "stop, do not drive on"),
    ],
)
def test_a_hub_against_its_mate(hub: str, mate: str, said: str) -> None:
    """Against the shop's row of 30 F with the doubt of both readings, and the temperature at which to stop."""
    assert said in asked(HEAT, hub=hub, mate=mate)[1]


@pytest.mark.reasoned
def test_watts_and_drag_behind_a_hot_hub() -> None:
    """60 F apart: with 40 W/m2K on 0.15 m2 200 W, at 20 m/s a drag of 10 N; both doubts add as squares."""
    shown, _ = asked(HEAT, hub="190 F", mate="130 F", film="40 W/m2K", area="0.15 m2", road_speed="20 m/s")

    assert shown["warmer"] == pytest.approx(60)
    assert shown["warmer_fahrenheit"] == pytest.approx(60)
    assert shown["warmer_doubt"] == pytest.approx(4 * 2**0.5)
    assert shown["heat"] == pytest.approx(200)
    assert shown["drag"] * 4.4482216 == pytest.approx(10)


@pytest.mark.reasoned
@pytest.mark.parametrize("name", NAMED)
@given(data=st.data())
def test_any_numbers_answer_or_are_refused(name: str, data: st.DataObject) -> None:
    """Whatever is typed, there is an answer or a plain refusal: no crash and no number that is none."""
    never_crashes(NAMED[name], data.draw(spoilt(NAMED[name], **USUAL[name])))
