"""Parts to fit beside parts fitted: by wheel, nothing twice, and nothing that a larger part brings."""

from __future__ import annotations

from typing import Any

import pytest

from conftest import bases, examined, laid_over, priced
from wheeltapper.plan.fitting import fits, small_material

pytestmark = pytest.mark.reasoned


def rows(
    look: dict[str, Any], base: str = "tandem-12-6", **more: Any
) -> dict[tuple[str, str], tuple[str, bool]]:
    """What is to be fitted, for findings by wheel."""
    corners = [{"position": p, "rest_fine": "T1", "feel": found} for p, found in look.items()]
    ex = examined(laid_over(bases()[base], {"corner": corners, **more}))
    return {
        (f.position, f.part): (f.say, f.fitted)
        for f in fits(ex.visit, ex.estimate.least_lines, ex.calls, priced())
    }


LOOSE = [{"check": "cups", "place": "inner", "found": ["moves by hand"]}]


def test_a_new_drum_brings_its_cones_cap_and_the_brakes_of_the_axle() -> None:
    """F3: hub-drum; P1: its brake; P2: the brake at the other end. Lining and magnet come in the brake assembly."""
    found = rows({"2-road": LOOSE})

    assert set(found) == {
        ("2-road", "hub-drum"), ("2-road", "brake-assembly"), ("2-road", "bearing-set"), ("2-road", "cap"), ("2-curb", "brake-assembly"),
    }  # fmt: skip
    assert not any(fitted for _, fitted in found.values())
    assert found["2-road", "hub-drum"][0].startswith("hub-drum 12 in")


def test_what_is_fitted_is_marked_and_what_nobody_agreed_to_is_there_too() -> None:
    done = [
        {"position": "2-road", "part": "hub-drum", "action": "replaced", "by": "T1"},
        {"position": "1-road", "part": "cap", "action": "replaced", "by": "T1"},
        {"position": "1-curb", "part": "hub-drum", "action": "scuffed", "by": "T1"},
    ]
    found = rows({"2-road": LOOSE}, done=done)

    assert found["2-road", "hub-drum"][1] is True
    assert found["2-road", "cap"][1] is False
    assert found["1-road", "cap"] == ("", True)
    assert ("1-curb", "hub-drum") not in found


def test_seal_and_pin_are_the_wheels_own_and_grease_is_only_named() -> None:
    ex = examined(laid_over(bases()["tandem-12-6"], {}))

    assert fits(ex.visit, ex.estimate.least_lines, ex.calls, priced()) == ()
    assert [line.code for line in small_material(ex.estimate.least_lines, priced())] == ["GREASE"]
