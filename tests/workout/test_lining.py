"""Linings as a person asks for them."""

from __future__ import annotations

import pytest

from asking import answered, shown, slipped

pytestmark = pytest.mark.reasoned


def test_smaller_shoe_by_radius_or_by_diameter() -> None:
    """152.4 in 151.9 mm: 0.213764 mm at 55 degrees, 36.813 degrees each way within 0.1 mm, however the size is given."""
    by_radius = answered("shoe-contact", drum_radius="152.4 mm", shoe_radius="151.9 mm", gap_limit="0.1 mm", angles="0 55 deg")  # fmt: skip
    by_diameter = answered(
        "shoe-contact", drum="304.8 mm", shoe="303.8 mm", gap_limit="0.1 mm", arc="110 deg"
    )

    assert shown(by_radius, "touches_at") == "crown"
    assert shown(by_radius, "gaps", "mm") == pytest.approx((0, 0.213764), abs=1e-6)
    assert shown(by_radius, "touching_angle") == pytest.approx(2 * 36.813, abs=0.002)
    assert shown(by_diameter, "end_gap") == pytest.approx(shown(by_radius, "end_gap"), rel=1e-9)


def test_larger_shoe_touches_at_its_ends_and_is_not_to_be_fitted_so() -> None:
    """153.2 in 152.4 mm: 0.58741 mm at the crown, and the sentence says to arc it."""
    answer = answered("shoe-contact", drum_radius="152.4 mm", shoe_radius="153.2 mm")

    assert shown(answer, "touches_at") == "heel and toe"
    assert shown(answer, "crown_gap", "mm") == pytest.approx(0.58741, abs=1e-4)
    assert any("arc it to this drum" in said for said in answer.says)


def test_a_shoe_within_the_feeler_is_not_called_weak() -> None:
    """A tenth of a thousandth smaller leaves no gap that counts: neither weak braking nor arcing is talked of."""
    answer = answered("shoe-contact", drum="10 in", shoe="9.9998 in")

    assert shown(answer, "touching_share") == pytest.approx(100)
    assert not any("weak" in said for said in answer.says)
    assert any("weak" in said for said in answered("shoe-contact", drum="10.05 in", shoe="10 in").says)


@pytest.mark.parametrize("thickness, under", [("0.1 in", False), ("0.09 in", True), ("0.02 in", True)])
def test_a_lining_that_beds_in_past_its_minimum(thickness: str, under: bool) -> None:
    """12.09 in takes 0.034 in off a 12 in shoe: 0.066 of 0.100 in is over 1/16 in, less than that is said."""
    said = answered("shoe-contact", drum="12.09 in", shoe="12 in", thickness=thickness).says[-1]

    assert ("under the minimum of 0.0625 in" in said) == under
    assert "-" not in said


def test_one_radius_touches_all_along() -> None:
    """Same size: all of the arc, nothing to wear in; the rest of a thickness is all of it."""
    answer = answered("shoe-contact", drum="10 in", shoe="10 in", thickness="0.1875 in")

    assert shown(answer, "touching_share") == pytest.approx(100)
    assert shown(answer, "to_wear") == pytest.approx(0, abs=1e-9)
    assert len(answer.says) == 2


def test_life_from_new_and_now() -> None:
    """0.1875 to 0.1100 in over 12,000 miles: 0.0475 left of 0.125, 7,355 miles to 1/16 in, look in 5,500."""
    answer = answered("lining-life", now="0.11 in", new="0.1875 in", distance="12000 mi")

    assert shown(answer, "left") == pytest.approx(0.0475, abs=1e-9)
    assert shown(answer, "used_share") == pytest.approx(62, abs=1e-6)
    assert shown(answer, "wear") == pytest.approx(0.0775 / 12, rel=1e-9)
    assert shown(answer, "remaining") == pytest.approx(0.0475 / (0.0775 / 12000), rel=1e-9)
    assert shown(answer, "interim") == pytest.approx(5500)


def test_the_faster_last_interval_counts() -> None:
    """0.010 in over 10,000 miles and then 0.050 over 5,000: the last interval's rate, and a word about it."""
    answer = answered("lining-life", distances="0 10000 15000 mi", thicknesses="0.190 0.180 0.130 in")

    assert shown(answer, "faster") is True
    assert shown(answer, "wear") == pytest.approx(0.010, rel=1e-9)
    assert "faster lately" in answer.says[0]


def test_doubt_and_rivets() -> None:
    """The gauge's doubt comes off what is left; over rivets the minimum is lower; at the minimum nothing is left."""
    bonded = answered("lining-life", now="0.11 in", doubt="0.005 in")
    riveted = answered("lining-life", now="0.11 in", minimum="0.03125 in")
    gone = answered("lining-life", now="0.0625 in", new="0.1875 in", distance="20000 mi")

    assert shown(bonded, "left") == pytest.approx(0.0425, abs=1e-9)
    assert shown(riveted, "left") == pytest.approx(0.07875, abs=1e-9)
    assert "too few" in bonded.says[0]
    assert "nothing is left" in gone.says[-1]


@pytest.mark.parametrize("name, texts, what", [
    ("shoe-contact", {"drum": "10 in"}, "shoe is not known once"),
    ("shoe-contact", {"drum": "10 in", "drum_radius": "5 in", "shoe": "10 in"}, "drum is not known once"),
    ("shoe-contact", {"drum": "10 in", "shoe": "5 in"}, "no shoe"),
    ("shoe-contact", {"drum": "10 in", "shoe": "10 in", "arc": "200 deg"}, "no shoe"),
    ("shoe-contact", {"drum": "10 in", "shoe": "9.9 in", "gap_limit": "0 in"}, "gap_limit"),
    ("shoe-contact", {"drum": "10 in", "shoe": "9.9 in", "angles": "60 deg"}, "past the end"),
    ("lining-life", {}, "either now or the records"),
    ("lining-life", {"distances": "0 5000 mi", "thicknesses": "0.19 0.16 0.12 in"}, "own distance"),
    ("lining-life", {"distances": "5000 0 mi", "thicknesses": "0.19 0.16 in"}, "own distance"),
    ("lining-life", {"distances": "0 5000 mi", "thicknesses": "0.15 0.19 in"}, "grew thicker"),
    ("lining-life", {"now": "-0.1 in"}, "now is zero"),
])  # fmt: skip
def test_slips_are_said(name: str, texts: dict[str, str], what: str) -> None:
    """What cannot be worked out is one plain problem that says what to do."""
    assert what in slipped(name, **texts).what
