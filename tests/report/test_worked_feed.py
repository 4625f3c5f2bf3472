"""Currents, volts and clamps in words: consistent with the calls, definite where the numbers are, readable with many wheels."""

from __future__ import annotations

from typing import Any

import pytest

from conftest import bases, examined, laid_over
from wheeltapper.flow import Examination
from wheeltapper.report.wording import INCH
from wheeltapper.report.worked import notes

pytestmark = pytest.mark.reasoned
WHEELS = ("1-road", "1-curb", "2-road", "2-curb")


def reading(what: str, value: str) -> dict[str, Any]:
    """A reading with the meter."""
    unit = {"magnet resistance": "ohm", "total amps": "A"}.get(what, "V")
    return {"what": what, "value": value, "unit": unit, "gauge": "G5"}


def visit(
    amps: str, plug: str, ohms: dict[str, str], volts: dict[str, str], base: str = "tandem-12-6", **unit: Any
) -> Examination:
    """A trailer with these ohms and volts at its wheels."""
    corners = [
        {
            "position": w,
            "rest_fine": "T1",
            "reading": [
                *([reading("magnet resistance", ohms[w])] if w in ohms else []),
                *([reading("volts at magnet", volts[w])] if w in volts else []),
            ],
        }
        for w in dict.fromkeys((*WHEELS, *ohms))
    ]
    taken = [reading("total amps", amps), reading("volts at plug", plug)]
    return examined(laid_over(bases()[base], {"unit": unit, "corner": corners, "reading": taken}))


def clamped(unit: dict[str, Any], **rest: Any) -> Examination:
    """A trailer with this torque or re-torque."""
    return examined(laid_over(bases()["tandem-12-6"], {"unit": unit, **rest}))


def said(ex: Examination, title: str) -> str:
    """All lines of the computations with this title."""
    return " ".join(line for n in notes(ex, INCH) if title in n.title for line in n.lines)


ALL = dict.fromkeys(WHEELS, "3.2")


def test_two_dead_legs_of_four_are_any_two() -> None:
    """Half the current: six pairs explain it, told as one thing."""
    assert "no feed to any two of 1-road, 1-curb, 2-road and 2-curb" in said(
        visit("7.8", "12.5", ALL, {}), "current goes"
    )


def test_many_wheels_read_well() -> None:
    """Eight magnets, two without feed: 28 pairs, one sentence. A voltage measured to be nothing is named as sure."""
    wheels = [f"{axle}-{side}" for axle in (1, 2, 3, 4) for side in ("road", "curb")]
    ohms = dict.fromkeys(wheels, "3.2")
    text = said(visit("23.4", "12.5", ohms, {}, axles=4), "current goes")
    sure = said(visit("23.4", "12.5", ohms, {"1-road": "0.0"}, axles=4), "current goes")

    assert "no feed to any two of 1-road, 1-curb, 2-road, 2-curb, 3-road, 3-curb, 4-road and 4-curb." in text
    assert "no feed to 1-road and one of 1-curb, 2-road" in sure


def test_a_weak_leg_is_not_all_legs_fed() -> None:
    """9.0 V at one magnet: it is fed and gets too few volts, and both are said in one sentence."""
    volts = {"1-road": "9.0", "1-curb": "9.0", "2-road": "9.0", "2-curb": "9.0"}
    text = said(visit("11.25", "12.5", ALL, volts), "current goes")
    one = said(visit("10.0", "12.5", ALL, {**volts, "2-curb": "0.0"}), "current goes")

    assert "all legs fed" not in text + one
    assert "get too few volts" in text or text == ""
    assert "No leg need be without feed" not in one


def test_the_wire_is_named_where_it_is_in_the_sum() -> None:
    """18 AWG, 100 ft: 0.64 ohm stands in the amperes by volts over ohms, 12.5 / 1.4385 / 4 = 2.17 A."""
    known = said(visit("4.0", "12.5", ALL, {}, wire_awg=18, wire_feet=100), "current goes")

    assert "2.17 A by volts over ohms with the 0.64 ohm of the brake wire" in known
    assert "of the brake wire" not in said(visit("4.0", "12.5", ALL, {}), "current goes")


def test_a_thin_wire_has_its_numbers() -> None:
    """12.5 x 0.8 / 1.4385 = 7.0 V at 8.7 A; measured volts that contradict it are set beside it."""
    wire = {"wire_awg": 18, "wire_feet": 100}
    alone, against = (
        said(visit("8.7", "12.5", ALL, v, **wire), "brake wire") for v in ({}, dict.fromkeys(WHEELS, "11.9"))
    )

    assert "would get 7.0 V at 8.7 A in all" in alone
    assert "Measure the volts at full apply at 1-road, 1-curb, 2-road and 2-curb" in alone
    assert "contradicts the 11.9 V measured at 1-road, 1-curb, 2-road and 2-curb" in against


def test_wire_measured_fine_everywhere_is_only_a_remark() -> None:
    """Volts at every magnet settle it, with amperes that go with them: no call is made on the wire as written."""
    ex = visit("14.8", "12.5", ALL, dict.fromkeys(WHEELS, "11.9"), wire_awg=18, wire_feet=100)

    assert {c.call for c in ex.calls if c.part == "supply"} == {"keep"}
    assert "contradicts the 11.9 V" in said(ex, "brake wire")


def test_a_shorted_coil_says_what_it_draws() -> None:
    """12.5 V over 0.3 ohm is 42 A: named before any wire."""
    text = said(visit("48", "12.5", {**ALL, "2-curb": "0.3"}, {}), "current goes")

    assert "The coil at 2-curb, 0.3 ohm, would alone draw 42 A" in text
    assert "contradict" not in text


def test_too_much_current_says_which_coils_to_measure() -> None:
    """Unmeasured coils first; with all measured it is the wire."""
    some, none = visit("24", "12.5", {"1-road": "3.2"}, {}), visit("24", "12.5", ALL, {})

    assert "Measure the ohms of 1-curb, 2-road and 2-curb" in said(some, "current goes")
    assert "a wire chafed to ground" in said(none, "current goes")
    assert not any("H17.coil" in c.rules for c in none.calls)


def test_volts_above_the_plug_work_nothing_out() -> None:
    """A contradiction is asked about; no leg is made up from it."""
    ex = visit("7.8", "12.5", ALL, {"1-road": "14.0"})

    assert said(ex, "current goes") == ""


@pytest.mark.parametrize("plug", ["5.0", "7.5", "11.0", "11.9"])
def test_a_low_plug_leaves_no_supply_kept(plug: str) -> None:
    """Whatever the magnets show."""
    for volts in ({}, dict.fromkeys(WHEELS, plug), {"1-road": "0.0"}):
        ex = visit("9.0", plug, ALL, volts)

        assert {c.call for c in ex.calls if c.part == "supply"} == {"recheck"}


def test_a_torque_past_the_stud_breaks_it() -> None:
    """1/2-20 of grade 5 has 0.160 in2: 19,200 lbf of tensile strength. 160 ft-lb is 19,200 dry, 25,600 oiled; 200 is past it dry."""
    unit = {"studs": "1/2-20", "stud_grade": "grade 5"}
    texts = [
        said(
            clamped(
                unit, return_sheet={"wheel": [{"position": "1-road", "torque": {"value": f"{n} ft-lb"}}]}
            ),
            "torque",
        )
        for n in (80, 110, 150, 200)
    ]

    assert "stretched for good" not in texts[0]
    assert "Oiled it is past proof and the stud is stretched for good" in texts[1]
    assert "Oiled it is past the tensile strength of this grade and the stud breaks" in texts[2]
    assert "Even dry that is past the tensile strength of this grade: the stud breaks" in texts[3]


def test_wheels_tightened_alike_share_a_line() -> None:
    """Four wheels, one torque: one line; a fifth value stands by itself."""
    wheels = [
        {"position": w, "torque": {"value": "100 ft-lb" if w != "2-curb" else "70 ft-lb"}} for w in WHEELS
    ]
    ex = clamped({"nut": "cone", "wheel": "14 to 16 in"}, return_sheet={"wheel": wheels})
    titles = [n.title for n in notes(ex, INCH)]

    assert titles == ["wheel-nut torque, 1-road, 1-curb, 2-road", "wheel-nut torque"]


@pytest.mark.parametrize(
    ("turned", "words"),
    [("25 deg", "lost about 7,500 lbf to 12,500 lbf"), ("50 deg", "lbf to all of its clamp"), ("90 deg", "lost all of the"), ("720 deg", "the wheel was loose")],
)  # fmt: skip
def test_no_nut_loses_more_than_it_had(turned: str, words: str) -> None:
    """1/2-20 at 90 to 120 ft-lb makes 10,800 to 19,200 lbf; a softer joint loses 300 lbf a degree, a stiff one 500."""
    item = {"what": "retorque", "due": 10, "done": 12, "moved": True, "turned": turned}
    text = said(clamped({"nut": "cone", "wheel": "14 to 16 in"}, follow_up=[item]), "nut that turned")

    assert words in text
    assert not any(word in text for word in ("27,0", "44,9", "25,0"))


def returned(amps: str, volts: dict[str, str], **more: Any) -> Examination:
    """A trailer with these amperes and volts on its return sheet, and sound ones on arrival."""
    wheels = [{"position": w, "magnet_volts": f"{v} V"} for w, v in volts.items()]
    sheet = {"plug_volts": "12.4 V", "total_amps": f"{amps} A", "wheel": wheels}
    return examined(laid_over(bases()["tandem-12-6"], {"return_sheet": sheet, **more}))


def test_the_current_of_the_return_sheet_is_explained_by_its_own_readings() -> None:
    """Three of four magnets at 12.4 V over about 3.4 ohm draw 11 A; one leg measured dead is the one."""
    volts = {"1-road": "11.9", "1-curb": "11.8", "2-road": "11.9", "2-curb": "0.3"}
    ex = returned("11.0", volts)

    assert "no feed to 2-curb" in said(ex, "where the current goes, on return")
    assert said(ex, "where the current goes") == said(ex, "on return")
    assert not said(returned("15.6", dict.fromkeys(WHEELS, "11.9")), "where the current goes")


def test_ohms_of_a_coil_that_was_replaced_since_explain_nothing() -> None:
    """A shorted coil on arrival draws 12.4 V / 0.9 ohm = 14 A; once its brake is new, that is no explanation any more."""
    short = {"position": "1-road", "rest_fine": "T1", "reading": [reading("magnet resistance", "0.9")]}
    new = [{"position": "1-road", "part": "brake-assembly", "action": "replaced", "by": "T1"}]
    volts = dict.fromkeys(WHEELS, "11.9")

    assert "The coil at 1-road" in said(returned("11.0", volts, corner=[short]), "on return")
    assert "The coil at 1-road" not in said(returned("11.0", volts, corner=[short], done=new), "on return")
