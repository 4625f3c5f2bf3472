"""Bearing life, reliability and load sharing against worked examples and tables in print."""

from __future__ import annotations

from math import pi

import pytest

from wheeltapper.measure import bearing, roller_load
from wheeltapper.measure.wheel_load import opposed_pair

MREV = 1e6
SHARES = (0.90, 0.95, 0.96, 0.97, 0.98, 0.99)


@pytest.mark.published("jindal-18-2")
@pytest.mark.parametrize("ring, life", [(1.0, 57.3), (1.2, 43.46)])
def test_radial_and_thrust(ring: float, life: float) -> None:
    """Jindal, Machine Design, example 18-2 p. 508 (second-hand copy read): C 5590 N, Fr 1250, Fa 625, X .56, Y 1.2.

    57.3 million revolutions with the inner ring turning, 43.46 with the outer one (V = 1.2).
    """
    load = bearing.equivalent_load_n(1250.0, 625.0, 0.56, 1.2, ring)

    assert bearing.rating_life_rev(5590.0, load, bearing.BALL) / MREV == pytest.approx(life, abs=0.05)


@pytest.mark.published("jindal-18-4")
def test_life_in_hours() -> None:
    """Jindal, example 18-4 p. 509 (second-hand copy read): C 41 kN, P 20 kN, 720 rpm, balls: 199.42 h."""
    life = bearing.rating_life_rev(41e3, 20e3, bearing.BALL)

    assert bearing.life_s(life, 720 / 60) / 3600 == pytest.approx(199.42, abs=0.01)


@pytest.mark.published("budynas-nisbett-11-1")
def test_rating_for_a_ball_bearing() -> None:
    """Budynas and Nisbett, solutions to the 8th ed., problem 11-1 (a copy read): C10 = 18.59 kN; with 19.5 kN R = 0.919.

    540 rating lives at 2.278 kN, 90 %, Weibull 0.02, 4.439, 1.483.
    """
    factor = bearing.weibull_life(0.90)
    reached = bearing.weibull_reliability_share(540 / (19.5 / 2.278) ** bearing.BALL)

    assert bearing.needed_rating_n(2.278e3, 540 * MREV, bearing.BALL, factor) == pytest.approx(
        18.59e3, abs=10
    )
    assert reached == pytest.approx(0.919, abs=0.001)


@pytest.mark.published("budynas-nisbett-11-3")
def test_rating_for_a_roller_bearing() -> None:
    """The same, problem 11-3 (a copy read): 1440 rating lives at 10.279 kN: C10 = 91.1 kN; with 102 kN R = 0.942."""
    reached = bearing.weibull_reliability_share(1440 / (102 / 10.279) ** bearing.ROLLER)

    assert bearing.needed_rating_n(10.279e3, 1440 * MREV, bearing.ROLLER) == pytest.approx(91.1e3, abs=100)
    assert reached == pytest.approx(0.942, abs=0.001)


@pytest.mark.published("iso-281-a1")
@pytest.mark.parametrize("share, a1", list(zip(SHARES, (1, 0.64, 0.55, 0.47, 0.37, 0.25), strict=True)))
def test_reliability_of_today(share: float, a1: float) -> None:
    """ISO 281:2007, table 12. The table was recalled and recomputed; the standard itself was not seen."""
    assert bearing.a1_iso(share) == pytest.approx(a1, abs=0.005)


@pytest.mark.published("a1-before-2007")
@pytest.mark.parametrize("share, a1", list(zip(SHARES, (1, 0.62, 0.53, 0.44, 0.33, 0.21), strict=True)))
def test_reliability_of_older_books(share: float, a1: float) -> None:
    """The table in use before 2007, as a bearing maker's page of adjustment factors prints it."""
    assert bearing.a1_older(share) == pytest.approx(a1, abs=0.005)


@pytest.mark.published("budynas-nisbett-11-8")
def test_opposed_tapered_rollers() -> None:
    """Budynas and Nisbett, Mechanical Engineering Design, 10th ed., example 11-8: FiA 680, FiB 832, FeA 4651 N.

    2170 and 2654 N radial, 1690 N of outside thrust, K = 1.5. Inputs and equations were read in a student's copy; the
    printed answers were recalled and recomputed.
    """
    pair = opposed_pair(2170.0, 2654.0, 1690.0, 1.5, 1.5, 0.47)

    assert pair.induced_a_n == pytest.approx(680, abs=0.5)
    assert pair.induced_b_n == pytest.approx(832, abs=0.5)
    assert pair.equivalent_a_n == pytest.approx(4651, abs=1)
    assert pair.equivalent_b_n == 2654


@pytest.mark.reasoned
def test_ratings_on_ninety_million() -> None:
    """Inch catalogues print ratings on 90 and on one million revolutions; their ratio for rollers is 3.857.

    Both bases were read in a catalogue; the ratio is 90 to the power 0.3.
    """
    assert bearing.rating_on_basis_n(1.0, 90e6, 1e6, bearing.ROLLER) == pytest.approx(3.857, abs=0.0005)


@pytest.mark.published("load-distribution-report")
@pytest.mark.parametrize("exponent, top, thrust", [(1.1, 4.08, 1.260), (1.5, 4.37, 1.216)])
def test_half_the_rollers(exponent: float, top: float, thrust: float) -> None:
    """A bearing maker's technical report, section 5.1 (read): where half of the rollers carry, Qmax and Fa.

    Line contact Qmax = 4.08 Fr / (Z cos a) and Fa = 1.260 Fr tan a; point contact 4.37 and 1.216. Line contact there
    is the power 1.1, as in printed tables since Sjovall.
    """
    radial, axial = (f(0.5, exponent) for f in (roller_load.radial_integral, roller_load.axial_integral))

    assert 1 / radial == pytest.approx(top, abs=0.005)
    assert axial / radial == pytest.approx(thrust, abs=0.001)


@pytest.mark.reasoned
def test_life_of_an_inner_bearing() -> None:
    """25580/25520 by its catalogue rating of 76.0 kN (read) under 3,500 lbf, 15.57 kN: 197 million revolutions.

    The life is arithmetic on the printed rating; at a rolling radius of 0.35 m it is 434 000 km.
    """
    life = bearing.rating_life_rev(76.0e3, 15.57e3, bearing.ROLLER)

    assert life / MREV == pytest.approx(197, abs=0.5)
    assert bearing.life_m(life, 0.35) == pytest.approx(197.3e6 * 2 * pi * 0.35, rel=1e-3)
