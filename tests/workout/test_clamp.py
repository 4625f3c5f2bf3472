"""Studs and joints as a person asks for them: texts in, numbers and sentences out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from asking import answered, shown, slipped
from conftest import priced
from wheeltapper.units import from_si
from wheeltapper.workout.book import BY_NAME, work_out

WENTZELL = {"diameter": "0.75 in", "threads": "10 tpi", "area": "0.334 in2"}


@pytest.mark.published("wentzell-6-1")
def test_a_textbook_bolt_from_torque_to_turn() -> None:
    """Wentzell, Machine Design, Examples 6.1 to 6.3 pp. 120-122 (second-hand copy): 3619.7 lb in, 43.35 deg, 370.5 F."""
    torque = answered("torque-for-proof", **WENTZELL, proof="85 ksi", share="85 %", nut_factor="0.2")
    turn = answered("nut-turn", **WENTZELL, grip="5 in", modulus="30000 ksi", preload="24131.5 lbf", expansion="6.5 ppm/F")  # fmt: skip

    assert shown(torque, "torque", "lb-in") == pytest.approx(3619.7, abs=0.1)
    assert shown(turn, "turn") == pytest.approx(43.35, abs=0.01)
    assert shown(turn, "heating_fahrenheit") == pytest.approx(370.5, abs=0.1)
    assert "rigid" in turn.says[0]


@pytest.mark.published("jindal-9-3")
def test_textbook_nut_factor_and_torque() -> None:
    """Jindal, Machine Design, Examples 9-3 and 9-5 pp. 267-268 (second-hand copy): K 0.18343; 156.97 N m."""
    factor = answered(
        "nut-factor", diameter="18 mm", pitch="2.5 mm", thread_friction="0.15", seat_friction="0.13"
    )
    torque = answered("torque-for-proof", diameter="14 mm", area="115 mm2", proof="650 MPa", nut_factor="0.2")

    assert shown(factor, "nut_factor") == pytest.approx(0.18343, abs=1e-5)
    assert shown(torque, "torque", "N m") == pytest.approx(156.97, abs=0.01)


@pytest.mark.published("vdi-2230")
def test_assembly_torque_of_a_guideline() -> None:
    """VDI 2230 guide values, M12x1.25 8.8 at friction 0.12 (a supplier's catalogue page): 48.0 kN, 90 N m."""
    answer = answered("assembly-torque", diameter="12 mm", pitch="1.25 mm", grade="8.8", thread_friction="0.12",
                      seat_friction="0.12", head="16.63 mm", hole="13.5 mm")  # fmt: skip
    parts = sum(shown(answer, f"{name}_part") for name in ("climb", "thread", "seat"))

    assert shown(answer, "preload") == pytest.approx(48.0, rel=0.003)
    assert shown(answer, "torque") == pytest.approx(90, rel=0.007)
    assert parts == pytest.approx(shown(answer, "torque"), rel=1e-12)


@pytest.mark.published("asme-b1.1")
def test_areas_and_loads_of_the_wheel_studs() -> None:
    """Stress areas of 1/2-20 and 5/8-18 (a public table of ASME B1.1) and proof loads worked from SAE J429: grade 5 and 8."""
    half, five_eighths = answered("stress-area", stud="1/2-20", grade="grade 5"), answered("stress-area", stud="5/8-18", grade="grade 8")  # fmt: skip

    assert shown(half, "area") == pytest.approx(0.1599, abs=0.0005)
    assert shown(half, "proof_load") == pytest.approx(13600, abs=50)
    assert shown(five_eighths, "proof_load") == pytest.approx(30700, abs=50)


@pytest.mark.reasoned
def test_a_torque_is_a_range_of_clamp() -> None:
    """120 lbf ft on 1/2-20 at K 0.20 is 14,400 lbf, 106 % of grade 5 proof: said, with the label first."""
    answer = answered("torque-preload", stud="1/2-20", torque="120 ft-lb", grade="grade 5")
    low, high = shown(answer, "preload")

    assert low == pytest.approx(14400, abs=1)
    assert high / low == pytest.approx(0.20 / 0.15, rel=1e-9)
    assert shown(answer, "proof_share")[0] == pytest.approx(105.9, abs=0.1)
    assert "At the high end the stud is past its tensile strength (100 % of it): it breaks." in answer.says
    assert "label" in answer.says[-1]


@pytest.mark.reasoned
def test_clamp_to_torque_and_back() -> None:
    """The torque of a clamp at one nut factor gives that clamp again, in the units of the thread."""
    there = answered("torque-preload", stud="M12x1.5", preload="40 kN", nut_factor="0.18")
    back = answered("torque-preload", stud="M12x1.5", torque=f"{shown(there, 'torque'):.15g} N m", nut_factor="0.18")  # fmt: skip

    assert shown(back, "preload") == pytest.approx(40, rel=1e-9)
    assert {r.unit for r in there.results} == {"kN", "N m"}


@pytest.mark.reasoned
def test_a_cone_seat_raises_the_nut_factor() -> None:
    """A 60 degree seat doubles the seat's part and leaves the thread's alone."""
    flat, cone = (
        answered("nut-factor", stud="1/2-20", thread_friction="0.15", seat_friction="0.15", seat_angle=angle)
        for angle in ("180 deg", "60 deg")
    )

    assert shown(cone, "seat_part") == pytest.approx(2 * shown(flat, "seat_part"), rel=1e-12)
    assert shown(cone, "thread_part") == shown(flat, "thread_part")


@pytest.mark.reasoned
def test_lost_clamp_known_and_as_a_range() -> None:
    """Paint of 1 and 2 thousandths on a stud of known stiffness; with no joint stiffness the range says it is assumed."""
    known = answered("lost-clamp", stud_stiffness="4000000 lbf/in", joint_stiffness="12000000 lbf/in", settled="0.0005 0.0005 in",
                     preload="12000 lbf", threads="20 tpi", diameter="0.5 in")  # fmt: skip
    loose = answered("lost-clamp", stud="1/2-20", grip="0.75 in", settled="0.001 in")

    assert shown(known, "lost") == pytest.approx(3000, rel=1e-9)
    assert shown(known, "left") == pytest.approx(9000, rel=1e-9)
    low, high = shown(loose, "lost")
    assert high / low == pytest.approx(1.5, rel=1e-9)
    assert any("assumed" in said for said in loose.says)


@pytest.mark.reasoned
def test_a_nut_that_moves_at_retorque() -> None:
    """15 degrees on 20 threads to the inch is 0.05 / 24 in of settling: both ways lose the same clamp."""
    plain = {"stud": "1/2-20", "grip": "1 in", "joint_stiffness": "12000000 lbf/in"}
    moved = answered("lost-clamp", **plain, nut_moved="15 deg")
    settled = answered("lost-clamp", **plain, settled="0.00208333333333 in")

    assert shown(moved, "lost") == pytest.approx(shown(settled, "lost"), rel=1e-9)


@pytest.mark.reasoned
def test_warm_aluminium_tightens() -> None:
    """An aluminium wheel that warms adds clamp, and never to less than nothing is left."""
    plain = {"stud": "1/2-20", "grip": "1 in", "preload": "12000 lbf", "settled": "0.0005 in", "joint_stiffness": "12000000 lbf/in"}  # fmt: skip
    cold, warm = answered("lost-clamp", **plain), answered("lost-clamp", **plain, warmer="100 F", joint_expansion="23 ppm/K")  # fmt: skip
    gone = answered("lost-clamp", **{**plain, "settled": "0.02 in"})

    assert shown(warm, "thermal") > 0
    assert shown(warm, "left") == pytest.approx(shown(cold, "left") + shown(warm, "thermal"), rel=1e-9)
    assert shown(gone, "left") == 0
    assert any("loose though it never turned" in said for said in gone.says)


@pytest.mark.reasoned
def test_a_wheel_that_holds_and_one_that_slips() -> None:
    """Six half-inch studs: with full torque and a mild stop it holds, with a fifth of the clamp it slips."""
    load = {"studs": "6", "circle": "5.5 in", "brake_torque": "1000 ft-lb", "tyre_radius": "14 in"}
    tight = answered("wheel-slip", **load, preload="12000 lbf", friction="0.15")
    slack = answered("wheel-slip", **load, preload="2400 lbf", friction="0.15")
    torqued = answered("wheel-slip", **load, stud="1/2-20", torque="110 ft-lb")
    shear = 1000 * 12 / (6 * 2.75) + 1000 * 12 / 14 / 6

    assert shown(tight, "stud_shear", "lbf") == pytest.approx(shear, rel=1e-9)
    assert shown(tight, "used_share") == pytest.approx(100 * shear / 0.15 / 12000, rel=1e-9)
    assert shown(slack, "used_share") == pytest.approx(5 * shown(tight, "used_share"), rel=1e-9)
    assert "holds" in tight.says[0]
    assert "slip" in slack.says[0]
    assert shown(torqued, "preload", "lbf")[0] == pytest.approx(13200, rel=1e-9)


@pytest.mark.reasoned
def test_cornering_eases_one_stud_most() -> None:
    """A side load at the tyre takes 2 F R / (n r) and F / n off one stud, far more than off the joint as a whole."""
    answer = answered("wheel-slip", studs="5", circle="4.5 in", preload="10000 lbf", friction="0.2", side_load="800 lbf", tyre_radius="13 in")  # fmt: skip

    assert shown(answer, "stud_pull", "lbf") == pytest.approx(2 * 800 * 13 / (5 * 2.25) + 160, rel=1e-9)
    assert shown(answer, "joint_share") == pytest.approx(1.6, rel=1e-9)


@pytest.mark.reasoned
def test_every_published_torque_is_listed_and_none_picked() -> None:
    """With nothing said all rows are there and all three questions; the label comes first; conflicts are kept."""
    every = answered("wheel-torque")
    rows = priced().torques

    assert shown(every, "rows") == len(rows) > 5
    assert shown(every, "low") == pytest.approx([from_si(r.low_n_m, "ft-lb") for r in rows])
    assert "label comes first" in every.says[0]
    assert "stud size, the nut type, the wheel material and size" in every.says[1]
    assert "none is picked" in every.says[2]


@pytest.mark.reasoned
@pytest.mark.parametrize("stud", sorted({row.studs for row in priced().torques}))
def test_stud_size_alone_asks_for_nut_and_wheel(stud: str) -> None:
    """Any stud of the table alone: all of its rows, and the question for nut and wheel."""
    answer = answered("wheel-torque", stud=stud)

    assert shown(answer, "rows") == sum(row.studs == stud for row in priced().torques)
    assert any(said.startswith("Ask the nut type, the wheel material and size") for said in answer.says)


@pytest.mark.reasoned
def test_nut_and_wheel_narrow_the_rows() -> None:
    """5/8-18 flange on a hub-piloted wheel is one row; 9/16-18 with a cone nut stays in conflict on any wheel."""
    one = answered("wheel-torque", stud="5/8-18", nut="flange", wheel="hub-piloted")
    torn = answered("wheel-torque", stud="9/16-18", nut="Cone", wheel="15 in")

    assert shown(one, "high") == pytest.approx((325,))
    assert shown(one, "differ") is False
    assert not any(said.startswith("Ask") for said in one.says)
    assert shown(torn, "rows") == 2
    assert shown(torn, "differ") is True


@pytest.mark.reasoned
@pytest.mark.parametrize("stud, wheel, highs", [
    ("1/2-20", "15 in", (120,)), ("1/2-20", "13", (75,)), ("1/2-20", "17 in", None), ("1/2-20", "aluminum", (75, 120)),
    ("5/8-18", "aluminum", (220, 225, 160, 325)), ("5/8-18", "steel", (220, 225, 325)), ("5/8-18", "hub-piloted", (220, 225, 160, 325)),
    ("5/8-18", "16.5 x 9.75", (220, 225, 160, 325)), ("5/8-18", "9.75", (220, 160, 325)),
])  # fmt: skip
def test_a_wheel_is_held_against_its_own_kind(stud: str, wheel: str, highs: tuple[float, ...] | None) -> None:
    """15 in lies in '14 to 16 in'; a size says nothing against a material or a pilot, so no such row is hidden."""
    if highs is None:
        assert "fits all of that" in slipped("wheel-torque", stud=stud, wheel=wheel).what
    else:
        assert shown(answered("wheel-torque", stud=stud, wheel=wheel), "high") == pytest.approx(highs)


@pytest.mark.reasoned
def test_a_shops_own_row_counts() -> None:
    """Rows come from the tables given: a shop's only row is the only answer."""
    row = replace(priced().torques[0], low_n_m=100.0, high_n_m=110.0, text="mine")
    answer, slips = work_out(BY_NAME["wheel-torque"], {}, replace(priced(), torques=(row,)))

    assert slips == ()
    assert answer is not None
    assert shown(answer, "rows") == 1
    assert "mine" in shown(answer, "listed")[0]


@pytest.mark.reasoned
@pytest.mark.parametrize("name, texts, what", [
    ("stress-area", {"stud": "half inch"}, "is not a thread"),
    ("stress-area", {"stud": "1/2-20", "diameter": "12 mm"}, "twice"),
    ("stress-area", {"diameter": "12 mm"}, "thread is not known"),
    ("stress-area", {"diameter": "12 mm", "pitch": "0 mm"}, "pitch is zero"),
    ("stress-area", {"diameter": "0.5 in", "threads": "0 tpi"}, "threads is zero"),
    ("stress-area", {"stud": "1/2-20", "grade": "grade 6"}, "no grade"),
    ("torque-preload", {"stud": "1/2-20"}, "either the torque or the preload"),
    ("torque-preload", {"stud": "1/2-20", "torque": "90 ft-lb", "nut_factor": "-0.2"}, "nut factor"),
    ("torque-preload", {"stud": "1/2-20", "torque": "90 ft-lb", "nut_factor": "0.1 0.2 0.3"}, "one number or two"),
    ("torque-preload", {"stud": "1/2-20", "torque": "-90 ft-lb"}, "negative"),
    ("torque-for-proof", {"stud": "1/2-20"}, "strength is not known"),
    ("nut-factor", {"stud": "1/2-20", "thread_friction": "-0.1", "seat_friction": "0.1"}, "thread friction -0.1 is negative"),
    ("nut-factor", {"stud": "1/2-20", "thread_friction": "0.1", "seat_friction": "0.1", "seat_angle": "0 deg"}, "seat"),
    ("nut-factor", {"stud": "1/2-20", "thread_friction": "0.1", "seat_friction": "0.1", "thread_angle": "200 deg"}, "cannot be turned"),
    ("assembly-torque", {"stud": "1/2-20", "thread_friction": "0.1", "seat_friction": "0.1"}, "neither strength"),
    ("assembly-torque", {"stud": "M12x1.5", "grade": "10.9", "thread_friction": "0.1", "seat_friction": "0.1", "use": "-90 %"}, "use is zero"),
    ("assembly-torque", {"stud": "M12x1.5", "grade": "10.9", "thread_friction": "0.1", "seat_friction": "0.1", "use": "190 %"}, "100 %"),
    ("nut-turn", {"stud": "1/2-20", "grip": "1 in", "turn": "0 deg"}, "turn"),
    ("nut-turn", {"stud": "1/2-20", "turn": "60 deg"}, "stiffness is not known"),
    ("nut-turn", {"stud": "1/2-20", "grip": "1 in", "shank_length": "2 in", "turn": "60 deg"}, "longer than the grip"),
    ("nut-turn", {"stud": "1/2-20", "grip": "1 in", "turn": "60 deg", "layers": "0.2 0.5 0.3 in", "layer_moduli": "30000 15000 ksi"}, "modulus"),
    ("lost-clamp", {"stud": "1/2-20", "grip": "1 in"}, "either what settled"),
    ("lost-clamp", {"stud": "1/2-20", "grip": "1 in", "settled": "0.001 in", "nut_moved": "5 deg"}, "either what settled"),
    ("lost-clamp", {"stud": "1/2-20", "grip": "1 in", "settled": "0.001 in", "warmer": "50 F"}, "warming needs"),
    ("wheel-slip", {"studs": "6", "circle": "5.5 in"}, "either the preload or the nut torque"),
    ("wheel-slip", {"studs": "6", "circle": "5.5 in", "preload": "9000 lbf", "side_load": "500 lbf"}, "tyre's radius"),
    ("wheel-slip", {"studs": "1", "circle": "5.5 in", "preload": "9000 lbf"}, "studs"),
    ("wheel-slip", {"studs": "6", "circle": "5.5 in", "preload": "9000 lbf", "friction": "0"}, "friction"),
    ("wheel-torque", {"stud": "7/16-20"}, "no published torque"),
    ("wheel-torque", {"stud": "1/2-20", "nut": "flange"}, "fits all of that"),
])  # fmt: skip
def test_slips_are_said(name: str, texts: dict[str, str], what: str) -> None:
    """What cannot be worked out is one plain problem that says what to do."""
    assert what in slipped(name, **texts).what
