"""Which wheels wait for a second look, and in what words."""

from __future__ import annotations

from typing import Any

import pytest

from conftest import bases, examined, laid_over
from wheeltapper.disposition.second_look import second_looks_due
from wheeltapper.flow import Examination

pytestmark = pytest.mark.reasoned


def out(corner: dict[str, Any], *looks: dict[str, Any], **more: Any) -> Examination:
    """A fine tandem with one wheel answered like this while A1 still learns."""
    visit = {
        "learning": ["A1"],
        "corner": [{"position": "2-curb", "rest_fine": "T1", **corner}],
        "second_look": list(looks),
    }
    return examined(laid_over(bases()["tandem-10-5"], visit | more))


@pytest.mark.parametrize(
    "corner",
    [
        {"look": [{"check": "seal", "found": "fine", "by": "A1"}]}, {"feel": [{"check": "cups", "found": "fine", "by": "a1 "}]},
        {"by": "A1", "look": [{"check": "seal", "found": "fine"}]}, {"rest_fine": "A1"},
        {"reading": [{"what": "friction diameter", "value": "10.02", "unit": "in", "gauge": "G1", "by": "A1"}]},
    ],
)  # fmt: skip
def test_any_answer_of_a_learner_waits(corner: dict[str, Any]) -> None:
    assert "2-curb: second look due" in out(corner).release.because
    assert (
        "2-curb: second look due"
        not in out(corner, {"position": "2-curb", "by": "L1", "agrees": True}).release.because
    )
    assert (
        "2-curb: second look due"
        in out(corner, {"position": "2-road", "by": "L1", "agrees": True}).release.because
    )


def test_the_technician_is_asked_where_no_name_stands() -> None:
    fine = {"look": [{"check": "seal", "found": "fine"}]}
    assert out(fine, technician="A1").release.because == ("2-curb: second look due",)
    assert out(fine).release.state == "ready for check"


def test_a_felt_mark_of_a_learner_waits() -> None:
    seen = {"photo": "p.jpg", "verdict": "measured", "felt": "smooth", "felt_by": "A1"}
    assert "2-curb: second look due" in second_looks_due(out({"mark": [seen]}).visit)


def test_nobody_learning_nothing_due() -> None:
    assert out({"rest_fine": "T1"}, learning=[]).release.state == "ready for check"


def test_who_leaves_on_a_hauler_leaves_with_it_on_record() -> None:
    gone = out({"rest_fine": "A1"}, exit={"how": "on a hauler", "by": "C1"}).release
    assert gone.state == "left on a hauler"
    assert "2-curb: second look due" in gone.because


def test_a_wheel_that_is_none_is_asked_about() -> None:
    asked = out({}, {"position": "3-road", "by": "L1", "agrees": True})
    assert [p.where for p in asked.problems] == ["second_look"]


def test_one_retorque_written_down_three_times_is_one() -> None:
    one = {"what": "retorque", "due": 10, "done": 12, "moved": False}
    states = {
        len(rows): out({}, follow_up=rows, return_sheet=RETURNED).release.state for rows in ([one], [one] * 3)
    }
    assert states == {1: "out, re-torque due", 3: "out, re-torque due"}
    three = [one | {"due": due, "done": due} for due in (10, 25, 50)]
    assert out({}, follow_up=three, return_sheet=RETURNED).release.state == "settled"


WHEEL = {
    "end_play": "0.003 in", "gauge": "G3", "new_seal": True, "new_pin": True, "faces_clean": True, "seats_match": True, "magnet_volts": "11.9 V",
    "hub_temperature": "97 F", "torque": {"value": "110 ft-lb", "source": "wheel label", "wrench": "W7", "by": "T1"},
}  # fmt: skip
RETURNED = {
    "wheel": [{"position": p, **WHEEL} for p in ("1-road", "1-curb", "2-road", "2-curb")], "adjusted": True, "plug_volts": "12.4 V", "total_amps": "15.6 A",
    "breakaway_locks": True, "bedding_stops": 24, "run_miles": 11, "ambient": "70 F", "by": "T1", "out": True,
}  # fmt: skip
