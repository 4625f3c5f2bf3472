"""What a two-point gauge sees of a bore that is not round: closed forms, not citations."""

from __future__ import annotations

from math import cos, pi

import pytest

from wheeltapper.measure.diameter import out_of_round_m

pytestmark = pytest.mark.reasoned
R, A = 0.127, 0.05e-3


def diameter(lobes: int, angle: float) -> float:
    """Two-point diameter of r(t) = R + A cos(lobes t)."""
    return sum(R + A * cos(lobes * t) for t in (angle, angle + pi))


def test_an_oval_shows_four_amplitudes() -> None:
    """Two lobes of amplitude a: the diameters differ by 4 a, 0.20 mm for 0.05 mm, when a direction meets the long axis."""
    seen = out_of_round_m([diameter(2, k * pi / 4) for k in range(4)])

    assert seen == pytest.approx(4 * A, abs=1e-12)


def test_three_lobes_stay_hidden() -> None:
    """Three lobes: every diameter is alike although the radius varies by 2 a, so a small out-of-round proves no roundness."""
    assert out_of_round_m([diameter(3, k * pi / 12) for k in range(12)]) == pytest.approx(0, abs=1e-12)


def test_four_directions_see_at_least_seven_tenths() -> None:
    """An oval turned away from the four directions by 22.5 degrees still shows 4 a cos 45 degrees."""
    seen = [
        out_of_round_m([diameter(2, k * pi / 4 + turn * pi / 180) for k in range(4)])
        for turn in (0, 5, 10, 22.5, 30, 45)
    ]

    assert min(seen) == pytest.approx(4 * A * cos(pi / 4), abs=1e-12)
