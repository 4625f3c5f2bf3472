"""Shoe in drum by brute force: both arcs laid out as points, the shoe pushed until it touches or is worn to fit."""

from __future__ import annotations

from math import cos, degrees, pi, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheeltapper.measure import lining
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

R = 0.1524
HALF = radians(55)
SHOES = st.floats(0.148, 0.158)
HALVES = st.floats(0.5, 1.2)


def reach(shoe: float, offset: float, angles: Floats) -> Floats:
    """How far the shoe's circle is from the drum's centre along each angle, by bisection on its equation."""
    low, high = np.zeros_like(angles), np.full_like(angles, 1.0)
    for _ in range(80):
        middle = (low + high) / 2
        inside = (middle * np.cos(angles) - offset) ** 2 + (middle * np.sin(angles)) ** 2 < shoe**2
        low, high = np.where(inside, middle, low), np.where(inside, high, middle)
    return low


def pushed(drum: float, shoe: float, half: float, touching: bool) -> tuple[Floats, Floats]:
    """Angles and gaps with the shoe moved out until its first point touches, or until its last one does."""
    angles = np.linspace(-half, half, 2001)
    low, high = -0.1, 0.1
    for _ in range(80):
        middle = (low + high) / 2
        gaps = drum - reach(shoe, middle, angles)
        free = gaps.min() > 0 if touching else gaps.max() > 0
        low, high = (middle, high) if free else (low, middle)
    return angles, drum - reach(shoe, low, angles)


@pytest.mark.reasoned
def test_smaller_shoe_touches_at_its_crown() -> None:
    """Drum 152.4, lining 151.9 mm: within 0.1 mm up to 36.813 degrees, and 0.213764 mm at 55.

    The short form arccos(1 - g / (R - r)) would give 36.870.
    """
    offset = lining.touching_offset_m(R, 0.1519, HALF)

    assert lining.gap_m(R, 0.1519, offset, 0.0) == pytest.approx(0, abs=1e-15)
    assert lining.gap_m(R, 0.1519, offset, HALF) * 1e3 == pytest.approx(0.213764, abs=1e-6)
    assert degrees(lining.angle_of_gap_rad(R, 0.1519, offset, 1e-4)) == pytest.approx(36.813, abs=0.001)
    assert lining.touching_share(R, 0.1519, HALF, 1e-4) == pytest.approx(36.813 / 55, abs=2e-5)


@pytest.mark.reasoned
def test_larger_shoe_touches_at_heel_and_toe() -> None:
    """Drum 152.4, lining 153.2 mm, 55 degrees: 0.58741 mm at the crown, the difference of both heights over one chord.

    The first order, (r - R)(1 / cos - 1), is 1.3 % high.
    """
    offset = lining.touching_offset_m(R, 0.1532, HALF)
    crown = lining.gap_m(R, 0.1532, offset, 0.0)
    chord = R * sin(HALF)

    assert crown * 1e3 == pytest.approx(0.58741, abs=1e-4)
    assert crown == pytest.approx(R * (1 - cos(HALF)) - (0.1532 - (0.1532**2 - chord**2) ** 0.5), abs=1e-12)
    assert lining.gap_m(R, 0.1532, offset, HALF) == pytest.approx(0, abs=1e-15)


@pytest.mark.second_way
@pytest.mark.parametrize("shoe", [0.1500, 0.1519, 0.1524, 0.1532, 0.1550])
@pytest.mark.parametrize("half", [0.6, HALF, 1.15])
def test_gaps_of_a_shoe_pushed_out(shoe: float, half: float) -> None:
    """Every gap along the arc, and the share of points within a limit, from the shoe moved out until it touches."""
    angles, gaps = pushed(R, shoe, half, touching=True)
    offset = lining.touching_offset_m(R, shoe, half)
    ours = lining.gap_m(R, shoe, offset, angles)

    assert ours == pytest.approx(gaps, abs=1e-9)
    assert lining.touching_share(R, shoe, half, 1e-4) == pytest.approx((gaps <= 1e-4).mean(), abs=2e-3)


@pytest.mark.second_way
@pytest.mark.parametrize("shoe", [0.1500, 0.1519, 0.1532, 0.1550])
@pytest.mark.parametrize("half", [0.6, HALF, 1.15])
def test_wear_of_a_shoe_pushed_in(shoe: float, half: float) -> None:
    """What sticks out past the drum once no gap is left: the deepest of it, and its area summed over the arc."""
    angles, gaps = pushed(R, shoe, half, touching=False)
    worn = np.maximum(-gaps, 0)
    area = np.trapezoid(((R + worn) ** 2 - R**2) / 2, angles)

    assert lining.wear_in_depth_m(R, shoe, half) == pytest.approx(worn.max(), abs=1e-9)
    assert lining.wear_in_area_m2(R, shoe, half) == pytest.approx(area, rel=1e-5)


@pytest.mark.reasoned
@given(shoe=SHOES, half=HALVES, limit=st.floats(1e-6, 1e-2))
def test_no_gap_is_under_zero_and_shares_stay_in_bounds(shoe: float, half: float, limit: float) -> None:
    """A shoe that first touches goes through the drum nowhere; a wider limit never has less contact."""
    offset = lining.touching_offset_m(R, shoe, half)
    angles = np.linspace(-half, half, 101)
    gaps = lining.gap_m(R, shoe, offset, angles)
    share = lining.touching_share(R, shoe, half, limit)

    assert gaps.min() > -1e-12
    assert 0 <= share <= 1
    assert lining.touching_share(R, shoe, half, 2 * limit) >= share - 1e-12
    assert lining.wear_in_depth_m(R, shoe, half) >= -1e-15


@pytest.mark.reasoned
def test_a_shoe_of_the_drums_own_radius() -> None:
    """All of it touches, nothing has to wear, and one circle has no angle of a gap."""
    assert lining.touching_share(R, R, HALF, 1e-6) == 1
    assert lining.wear_in_depth_m(R, R, HALF) == pytest.approx(0, abs=1e-15)
    assert lining.wear_in_area_m2(R, R, HALF) == pytest.approx(0, abs=1e-15)
    with pytest.raises(NoAnswerError):
        lining.angle_of_gap_rad(R, R, 0.0, 1e-4)


@pytest.mark.reasoned
def test_segments() -> None:
    """Half a circle and a whole one; and the crown's gap is the difference of two heights over one chord."""
    assert lining.segment_height_m(2.0, pi) == pytest.approx(2.0)
    assert lining.segment_chord_m(2.0, pi) == pytest.approx(4.0)
    assert lining.segment_area_m2(2.0, 2 * pi) == pytest.approx(4 * pi)


@pytest.mark.reasoned
def test_many_corners_at_once() -> None:
    """Shoes smaller, alike and larger in one array, each as it is alone."""
    shoes = np.array([0.1519, R, 0.1532])
    drums, halves, limits = np.full(3, R), np.full(3, HALF), np.full(3, 1e-4)
    offsets = lining.touching_offset_m(drums, shoes, halves)
    shares = lining.touching_share(drums, shoes, halves, limits)
    depths = lining.wear_in_depth_m(drums, shoes, halves)

    for n, shoe in enumerate(shoes):
        assert offsets[n] == lining.touching_offset_m(R, float(shoe), HALF)
        assert shares[n] == lining.touching_share(R, float(shoe), HALF, 1e-4)
        assert depths[n] == lining.wear_in_depth_m(R, float(shoe), HALF)


@pytest.mark.reasoned
@pytest.mark.parametrize("drum, shoe, half, limit", [
    (0.0, 0.15, HALF, 1e-4), (R, 0.0, HALF, 1e-4), (R, 0.1, HALF, 1e-4), (R, 0.15, 0.0, 1e-4), (R, 0.15, pi / 2, 1e-4),
    (R, 0.15, HALF, 0.0), (float("nan"), 0.15, HALF, 1e-4),
])  # fmt: skip
def test_no_shoe_in_a_drum(drum: float, shoe: float, half: float, limit: float) -> None:
    """No radius, a shoe far too small to span the arc, no arc, half a turn of it, no limit: refused."""
    with pytest.raises(NoAnswerError) as slip:
        lining.touching_share(drum, shoe, half, limit)

    assert slip.value.do.endswith(".")
