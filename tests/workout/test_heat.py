"""The heat computations as a person asks for them: texts in, numbers and sentences out."""

from __future__ import annotations

from typing import Any

import pytest

from asking import answered, shown, slipped
from conftest import priced
from wheeltapper.units import WORKOUT_UNITS, from_si

IRON_DRUM = {"drum_mass": "25 lb", "area": "0.3 m2"}
BALL = {"start": "450 C", "air": "100 C", "film": "10 W/m2K", "ball": "5 cm", "density": "7800 kg/m3",
        "specific_heat": "460 J/kgK", "conductivity": "35 W/mK"}  # fmt: skip
HOLMAN = {"start": "35 C", "depth": "25 mm", "conductivity": "45 W/mK", "diffusivity": "1.4e-5 m2/s"}
CAMPER = {"mass": "7000 lb", "from_speed": "60 mph", "slowing": "0.4 g", "brakes": "4", "drum_mass": "25 lb"}


@pytest.mark.published("wentzell-16-5")
def test_stop_of_a_textbook() -> None:
    """Wentzell, Machine Design, Example 16.5 p. 365 (second-hand copy read): 3500 lb, 73 ft/s, g 32.2, 40 lb drum."""
    a = answered("stop-heat", weight="3500 lbf", gravity="32.2 ft/s2", from_speed="73 ft/s", slowing="20 ft/s2",
                 drum_mass="40 lb", specific_heat="93 ft-lbf/lbF")  # fmt: skip

    assert shown(a, "moving_energy") * 1e3 / WORKOUT_UNITS["ft-lbf"].scale == pytest.approx(
        289_619.6, abs=0.1
    )
    assert shown(a, "rise", "F deg") == pytest.approx(77.85, abs=0.01)
    assert shown(a, "time") == pytest.approx(3.65, abs=0.005)
    assert "78 °F" in a.says[0]


@pytest.mark.published("holman-4-1")
def test_ball_of_a_textbook() -> None:
    """Holman, Heat Transfer, Example 4-1 (second-hand copy read): 5818 s to 150 C."""
    a = answered("cooling", **BALL, target="150 C", time="5818 s")

    assert shown(a, "target_time") == pytest.approx(5818, abs=1)
    assert shown(a, "temperature") == pytest.approx(150, abs=0.02)
    assert shown(a, "biot") == pytest.approx(10 * 0.025 / 3 / 35)


@pytest.mark.published("holman-4-2")
def test_half_space_of_a_textbook() -> None:
    """Holman, Heat Transfer, Example 4-2 (second-hand copy read): 118.5 C held, 79.3 C under a steady flow."""
    held = answered("half-space", **HOLMAN, surface="250 C", time="30 s", target="118.499 C")
    flow = answered("half-space", **HOLMAN, case="steady flux", flux="3.2e5 W/m2", time="30 s")

    assert shown(held, "temperature") == pytest.approx(118.5, abs=0.05)
    assert shown(held, "target_time") == pytest.approx(30, abs=0.01)
    assert shown(flow, "temperature") == pytest.approx(79.3, abs=0.05)


@pytest.mark.published("eu-rail-tsi-slope")
def test_slope_of_the_railways() -> None:
    """The EU rail interoperability text's reference slope (page read): 45 kW a wheel for 34 min."""
    a = answered("descent-heat", mass="22500 kg", speed="70 km/h", length="40 km", grade="2.1 %", brakes="2")

    assert shown(a, "one_brake") == pytest.approx(45, abs=0.1)
    assert shown(a, "time") == pytest.approx(34, abs=0.5)


@pytest.mark.reasoned
def test_ranges_come_out_as_ranges() -> None:
    """A low and a high input give the answers of the two alone; one number gives one number."""
    low, high = (answered("stop-heat", **CAMPER, tow_share=share) for share in ("30 %", "50 %"))
    both = answered("stop-heat", **CAMPER, tow_share="30 50 %")

    assert shown(both, "rise") == pytest.approx((shown(high, "rise"), shown(low, "rise")))
    assert isinstance(shown(low, "rise"), float)
    assert shown(both, "mean_power")[1] * 2 == pytest.approx(shown(both, "first_power")[1])


@pytest.mark.reasoned
def test_three_ways_to_say_how_hard_a_stop_is() -> None:
    """Deceleration, time and distance of the same stop give the same; two of them are one too many."""
    base = {"mass": "2000 kg", "from_speed": "20 m/s", "grade": "5 %"}
    ways = [{"slowing": "4 m/s2"}, {"stop_time": "5 s"}, {"stop_distance": "50 m"}]
    energies = [shown(answered("stop-heat", **base, **way), "one_drum") for way in ways]

    assert energies == pytest.approx([energies[0]] * 3)
    assert energies[0] == pytest.approx(400 + 2000 * 9.80665 * 0.05 / (1.0025**0.5) * 50 / 1e3)
    assert "twice" in slipped("stop-heat", **base, slowing="4 m/s2", stop_time="5 s").what
    assert "length of the stop" in slipped("stop-heat", **base).what


@pytest.mark.reasoned
def test_drag_alone_holds_a_small_grade() -> None:
    """One per cent down at two per cent rolling drag: nothing left for the brakes, and it says so."""
    a = answered(
        "descent-heat", mass="7000 lb", speed="45 mph", length="5 mi", grade="1 %", rolling="2 %", **IRON_DRUM
    )

    assert shown(a, "one_brake") == 0
    assert shown(a, "foot") == pytest.approx(70)
    assert "nothing to do" in a.says[0]


@pytest.mark.reasoned
def test_stop_after_stop() -> None:
    """The rise of an energy, cooling by a film range: hottest with the poorer film, and never past the steady top."""
    a = answered("repeated-stops", energy="200 kJ", gap="60 s", stops="30", **IRON_DRUM)
    alone = answered("repeated-stops", rise="40 K", gap="60 s", time_constant="600 s", stops="1")

    assert shown(a, "rise", "K") == pytest.approx(200e3 / (25 * 0.45359237 * 460))
    for after, steady in zip(shown(a, "after"), shown(a, "steady_after"), strict=True):
        assert 70 < after < steady
    assert shown(alone, "after", "F") == pytest.approx(70 + 72)
    assert shown(alone, "stops_to_95") == 30  # 0.1 a stop: e^-3 is 0.0498, just under a twentieth


@pytest.mark.reasoned
def test_skin_of_a_wall() -> None:
    """A thin wall gets a warning and its own numbers; a thick one is a half space; depth and time are told."""
    common = {"energy": "200 kJ", "stop_time": "4 s", "area": "0.06 m2"}
    thin = answered("surface-heat", **common, wall="0.4 in", depth="0.4 in")
    thick = answered("surface-heat", **common, wall="4 in")

    assert shown(thin, "first_flux") == pytest.approx(2 * 200e3 / 4 / 0.06)
    assert shown(thin, "peak_rise") < shown(thin, "wall_peak_rise")
    assert shown(thin, "depth_rise") == pytest.approx(shown(thin, "wall_back_rise"))
    assert "reaches the back" in thin.says[-1]
    assert shown(thick, "wall_peak_rise") == pytest.approx(shown(thick, "peak_rise"), rel=1e-4)
    assert "half space" in thick.says[-1]
    assert "A thin wall gets hotter" in answered("surface-heat", **common).says[-1]


@pytest.mark.reasoned
def test_lining_takes_its_part() -> None:
    """With a lining's effusivity the drum's part is reckoned: less than all, less with more cover."""
    flux = {"flux": "1e6 W/m2", "stop_time": "4 s", "lining": "1200"}
    few, many = (shown(answered("surface-heat", **flux, covered=c), "drum_share") for c in ("30 %", "90 %"))

    assert many < few < 100
    assert few == pytest.approx(100 / (1 + 0.3 * 1200 / (46 * 7200 * 460) ** 0.5))


@pytest.mark.reasoned
@pytest.mark.parametrize("row", priced().heat_colours, ids=lambda row: row.colour)
def test_every_colour_is_a_range_with_its_doubts(row: Any) -> None:
    """Two ends for every row, never one; cast iron and unknown time each bring their doubt."""
    a = answered("heat-colour", colour=row.colour)
    sure = answered("heat-colour", colour=row.colour, metal="carbon steel", held="minutes", oil="no")
    back = answered("heat-colour", temperature=f"{(row.low_k + row.high_k) / 2} K")

    assert shown(a, "peak") == pytest.approx((from_si(row.low_k, "F"), from_si(row.high_k, "F")))
    assert shown(a, "peak")[0] < shown(a, "peak")[1]
    assert len(a.says) == len(sure.says) + 3
    assert "cast iron" in a.says[2]
    assert row.colour in shown(back, "colours")


@pytest.mark.reasoned
def test_colour_that_the_stops_do_not_explain() -> None:
    """Blue after one stop from 60 mph is more than the stop makes; which cause it supports turns on the hub's colour."""
    for hub, points in (
        ("none", "drag"),
        ("straw", "drag"),
        ("grey blue", "drag or bearing"),
        ("dull red", "bearing"),
    ):
        a = answered(
            "colour-against-braking", colour="blue", hub_colour=hub, **CAMPER, area="0.3 m2", rubbed="0.06 m2"
        )
        assert shown(a, "verdict") == "not explained"
        assert shown(a, "points_to") == points
        assert shown(a, "most") < shown(a, "seen")[0]
    assert (
        shown(answered("colour-against-braking", colour="blue", **CAMPER), "points_to") == "drag or bearing"
    )


@pytest.mark.reasoned
def test_colour_that_the_stops_explain() -> None:
    """Straw after stops without end, from a cold drum, all work on the trailer; fewer of them say nothing."""
    hard = CAMPER | {"gap": "30 s", "area": "0.3 m2", "colour": "straw"}
    many = answered("colour-against-braking", **hard, stops="200")
    few = answered("colour-against-braking", **hard, stops="5")

    assert shown(many, "verdict") == "explained"
    assert shown(many, "points_to") == "braking"
    assert shown(many, "bulk")[0] >= shown(many, "seen")[1]
    assert shown(few, "verdict") == "cannot say"
    assert shown(few, "points_to") == "cannot say"
    assert any("cast iron" in said for said in many.says)


@pytest.mark.reasoned
def test_blue_hub_and_brown_band() -> None:
    """Whatever the stops explain, a hub hotter than its band supports a bearing."""
    a = answered("colour-against-braking", colour="brown tint", hub_colour="blue", **CAMPER, stops="200", gap="30 s", area="0.3 m2")  # fmt: skip

    assert shown(a, "points_to") == "bearing"
    assert "bearing" in a.says[0]


@pytest.mark.reasoned
def test_bare_metal_asks_for_nothing() -> None:
    """However hot the stops are, a bare band is never explained by them; a coloured hub beside it points to a bearing."""
    hot = CAMPER | {"gap": "30 s", "area": "0.3 m2", "stops": "200"}
    bare = answered("colour-against-braking", colour="none", **hot)

    assert shown(bare, "verdict") == shown(bare, "points_to") == "cannot say"
    assert "-4" not in bare.says[0]
    assert (
        shown(answered("colour-against-braking", colour="none", hub_colour="blue", **hot), "points_to")
        == "bearing"
    )
    assert shown(answered("heat-colour", colour="none"), "under") == pytest.approx(
        from_si(min(row.low_k for row in priced().heat_colours), "F")
    )


@pytest.mark.reasoned
def test_drag_that_holds_a_temperature() -> None:
    """What a drag holds, asked back, is that drag; a bearing in good order adds a few watts only."""
    common = {"speed": "55 mph", "area": "0.3 m2", "film": "40 W/m2K"}
    a = answered("drag-heat", **common, drag="20 lbf")
    back = answered("drag-heat", **common, held=f"{shown(a, 'temperature')} F")
    bearing = answered("drag-heat", **common, bearing_load="1750 lbf", bore="1.25 in", tyre="14 in")

    assert shown(back, "hold_drag") == pytest.approx(20)
    assert 5 < shown(bearing, "bearing_power") < 50
    assert "tyre" in slipped("drag-heat", **common, bearing_moment="1 N m").what


@pytest.mark.reasoned
@pytest.mark.parametrize("name, texts, said", [
    ("stop-heat", {"from_speed": "60 mph"}, "mass or the weight"),
    ("stop-heat", {"mass": "0 lb", "from_speed": "60 mph"}, "mass"),
    ("stop-heat", {"mass": "7000 lb", "from_speed": "-60 mph"}, "speed"),
    ("stop-heat", {"mass": "7000 lb", "from_speed": "60 mph", "stop_time": "0 s"}, "stop_time"),
    ("stop-heat", {**CAMPER, "material": "cheese"}, "no material 'cheese'"),
    ("stop-heat", {**CAMPER, "tow_share": "10 20 30 %"}, "tow_share"),
    ("stop-heat", {**CAMPER, "drum_share": "120 %"}, "drum's part"),
    ("descent-heat", {"mass": "7000 lb", "speed": "0 mph", "length": "5 mi"}, "speed"),
    ("descent-heat", {"mass": "7000 lb", "speed": "45 mph", "length": "0 mi"}, "length"),
    ("repeated-stops", {"gap": "60 s"}, "rise or the energy"),
    ("repeated-stops", {"rise": "40 K", "gap": "60 s"}, "drum_mass"),
    ("repeated-stops", {"rise": "40 K", "gap": "0 s", "time_constant": "600 s"}, "between stops"),
    ("cooling", {"start": "450 C", "time": "60 s"}, "no size"),
    ("cooling", {**BALL, "target": "90 C"}, "between the start and the air"),
    ("surface-heat", {"stop_time": "4 s"}, "energy of the stop or the first flux"),
    ("surface-heat", {"energy": "200 kJ", "stop_time": "4 s"}, "face"),
    ("surface-heat", {"flux": "1e6 W/m2", "stop_time": "0 s"}, "time of the stop"),
    ("half-space", {**HOLMAN, "surface": "250 C"}, "time nor a target"),
    ("half-space", {**HOLMAN, "time": "30 s"}, "needs surface"),
    ("half-space", {**HOLMAN, "surface": "250 C", "target": "300 C"}, "never reached"),
    ("heat-colour", {}, "colour or a temperature"),
    ("heat-colour", {"colour": "azure"}, "no heat colour"),
    ("colour-against-braking", {**CAMPER, "colour": "blue", "stops": "3"}, "several stops"),
    ("drag-heat", {"speed": "55 mph", "area": "0 m2"}, "cooled surface"),
    ("drag-heat", {"speed": "55 mph", "area": "0.3 m2", "bearing_load": "1 lbf"}, "bore"),
])  # fmt: skip
def test_what_cannot_be_answered_says_why(name: str, texts: dict[str, str], said: str) -> None:
    """One sentence of what is wrong and one of what to do."""
    assert said in slipped(name, **texts).what
