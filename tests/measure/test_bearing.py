"""Bearings by reason and a second way: adaptive quadrature, rollers one by one, moments summed again."""

from __future__ import annotations

from math import acos, cos, log, pi, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import weibull_min

from wheeltapper.measure import bearing, roller_load, wheel_load
from wheeltapper.problems import NoAnswerError

ANGLE, ROLLERS, LENGTH = 0.22, 18, 0.012
LOAD = 9000.0


def mean_round(zone: float, exponent: float, cosines: int) -> float:
    """The load integral by adaptive quadrature over the whole turn."""
    reach = acos(max(1 - 2 * zone, -1.0))

    def roller(angle: float) -> float:
        """Load of a roller at an angle, the top one as one."""
        return max(1 - (1 - cos(angle)) / (2 * zone), 0.0) ** exponent * cos(angle) ** cosines

    return float(quad(roller, -reach, reach, epsabs=1e-12, limit=200)[0] / (2 * pi))


def by_rollers(clearance_m: float) -> tuple[float, float]:
    """Shift and top roller from the balance of a great many rollers, each pressed by its own approach.

    Palmgren's line contact once more from the mm formula, no load integral anywhere.
    """
    angles = np.linspace(0, 2 * pi, 36000, endpoint=False)

    def loads(shift: float) -> np.ndarray:
        """Load of each roller [N]."""
        approach = np.maximum(cos(ANGLE) * (shift * np.cos(angles) - clearance_m / 2), 0.0)
        each_mm = approach * 1e3 / 2
        return np.asarray((each_mm * LENGTH**0.8 * 1e3**0.8 / 3.84e-5) ** (1 / 0.9))

    def short(shift: float) -> float:
        """What the rollers lack of the load."""
        return float(ROLLERS * cos(ANGLE) * np.mean(loads(shift) * np.cos(angles)) - LOAD)

    shift = brentq(short, 1e-9, 1e-3, xtol=1e-16)
    return float(shift), float(loads(shift).max())


@pytest.mark.second_way
@pytest.mark.parametrize("zone", [0.05, 0.2, 0.5, 0.8, 1.0, 1.7, 5.0])
@pytest.mark.parametrize("exponent", [1.1, 10 / 9, 1.5])
def test_load_integrals_by_adaptive_quadrature(zone: float, exponent: float) -> None:
    """Both integrals agree with scipy's quadrature, from a few rollers to all of them."""
    assert roller_load.radial_integral(zone, exponent) == pytest.approx(
        mean_round(zone, exponent, 1), rel=1e-6
    )
    assert roller_load.axial_integral(zone, exponent) == pytest.approx(
        mean_round(zone, exponent, 0), rel=1e-6
    )


@pytest.mark.second_way
@pytest.mark.parametrize("clearance_m", [-8e-6, 0.0, 5e-6, 25e-6, 60e-6])
def test_a_seat_by_its_rollers_one_by_one(clearance_m: float) -> None:
    """Shift and top roller agree with a balance over the rollers themselves, preload and clearance alike."""
    seat = roller_load.seat(LOAD, clearance_m, ANGLE, ROLLERS, LENGTH)
    shift, top = by_rollers(clearance_m)

    assert seat.shift_m == pytest.approx(shift, rel=1e-5)
    assert seat.top_n == pytest.approx(top, rel=1e-5)


@pytest.mark.second_way
@pytest.mark.parametrize("zone", [0.15, 0.4, 0.7, 1.25])
def test_life_by_mean_loads(zone: float) -> None:
    """Life against half the rollers from the mean loads of both rings, by quadrature and without the code's shortcut."""

    def life(z: float) -> float:
        """Life of both rings together at one radial load."""
        top = 1 / mean_round(z, 10 / 9, 1)
        turning = top * mean_round(z, 10 / 9 * 4, 0) ** (1 / 4)
        standing = top * mean_round(z, 10 / 9 * 4.5, 0) ** (1 / 4.5)
        return float(sum((mean**-4) ** (-9 / 8) for mean in (turning, standing)) ** (-8 / 9))

    assert roller_load.relative_life(zone) == pytest.approx(life(zone) / life(0.5), rel=1e-6)


@pytest.mark.reasoned
def test_zero_end_play_is_half_the_rollers() -> None:
    """No clearance: the load zone is a half, life is the reference, and the top roller carries Fr / (Z cos a Jr)."""
    seat = roller_load.seat(LOAD, 0.0, ANGLE, ROLLERS, LENGTH)

    assert seat.zone_share == pytest.approx(0.5)
    assert seat.life_share == pytest.approx(1.0)
    assert seat.top_n == pytest.approx(
        LOAD / (ROLLERS * cos(ANGLE) * float(roller_load.radial_integral(0.5)))
    )


@pytest.mark.reasoned
@given(st.floats(0, 200e-6), st.floats(1e-7, 100e-6))
def test_more_end_play_never_helps(clearance: float, more: float) -> None:
    """From zero clearance on, more of it narrows the zone, presses the top roller harder and shortens life."""
    seat = roller_load.seat(LOAD, np.array([clearance, clearance + more]), ANGLE, ROLLERS, LENGTH)
    zone, top, life = (np.asarray(a) for a in (seat.zone_share, seat.top_n, seat.life_share))

    assert zone[1] < zone[0]
    assert top[1] > top[0]
    assert life[1] < life[0]


@pytest.mark.reasoned
def test_preload_helps_a_little_then_harms() -> None:
    """A light preload lengthens life over zero clearance, a heavy one shortens it: the best is a load zone of about 0.7."""
    zone = np.linspace(0.3, 2.0, 171)
    life = np.asarray(roller_load.relative_life(zone))

    assert life.max() > 1.05
    assert zone[life.argmax()] == pytest.approx(0.7, abs=0.1)
    assert life[-1] < 0.2


@pytest.mark.reasoned
def test_clearance_and_angle() -> None:
    """The taper opens 2 e tan(a) for the whole play, half of that for its half; Y = 0.4 / tan(a)."""
    assert roller_load.diametral_clearance_m(1e-3, 0.2, 1.0) == pytest.approx(2e-3 * tan(0.2))
    assert roller_load.diametral_clearance_m(1e-3, 0.2) == pytest.approx(1e-3 * tan(0.2))
    assert tan(float(roller_load.cup_angle_rad(1.6))) == pytest.approx(0.25)


@pytest.mark.reasoned
def test_seats_that_cannot_be() -> None:
    """No load, no rollers or no zone has no answer."""
    with pytest.raises(NoAnswerError, match="roller count"):
        roller_load.seat(LOAD, 0.0, ANGLE, 0, LENGTH)
    with pytest.raises(NoAnswerError, match="load zone"):
        roller_load.radial_integral(0.0)


@pytest.mark.second_way
@pytest.mark.parametrize("reliability", [0.5, 0.9, 0.99])
def test_weibull_by_scipy(reliability: float) -> None:
    """Life at a reliability and the way back agree with scipy's three-parameter Weibull law."""
    law = weibull_min(bearing.SLOPE, loc=bearing.LEAST, scale=bearing.SCALE)
    life = bearing.weibull_life(reliability)

    assert life == pytest.approx(law.isf(reliability))
    assert bearing.weibull_reliability_share(life) == pytest.approx(law.sf(life))


@pytest.mark.reasoned
def test_the_two_parameter_law_starts_at_the_rating_life() -> None:
    """With the scale of L10 nine in ten reach one rating life; none fails before the shortest life."""
    scale = bearing.scale_of_l10(1.5)

    assert scale == pytest.approx(4.48, abs=0.005)
    assert bearing.weibull_life(0.9, 0.0, scale, 1.5) == pytest.approx(1.0)
    assert bearing.a1_iso(0.9) == pytest.approx(1.0)
    assert bearing.weibull_reliability_share(0.01) == 1.0
    with pytest.raises(NoAnswerError, match="reliability"):
        bearing.weibull_life(1.0)


@pytest.mark.reasoned
def test_mixed_duty_uses_life_as_its_parts_do() -> None:
    """Harm of the mean load is the sum of the harms of its parts; one load alone is itself; shares must sum to 1."""
    loads, shares = (5e3, 9e3, 20e3), (0.7, 0.25, 0.05)
    mean = bearing.mixed_load_n(loads, shares, bearing.ROLLER)
    used = sum(
        s / float(bearing.rating_life_rev(76e3, load, bearing.ROLLER))
        for load, s in zip(loads, shares, strict=True)
    )

    assert bearing.rating_life_rev(76e3, mean, bearing.ROLLER) == pytest.approx(1 / used)
    assert bearing.mixed_load_n((7e3,), (1.0,), bearing.BALL) == pytest.approx(7e3)
    with pytest.raises(NoAnswerError, match="shares"):
        bearing.mixed_load_n(loads, (0.7, 0.2, 0.05), bearing.ROLLER)


@pytest.mark.reasoned
def test_a_pair_lives_shorter_than_either() -> None:
    """Two alike at slope b live 2^(-1/b) of one; with a far longer-lived mate the pair lives as the weaker."""
    assert bearing.pair_life_rev((1e8, 1e8), 1.5) == pytest.approx(1e8 * 2 ** (-1 / 1.5))
    assert bearing.pair_life_rev((1e8, 1e12)) == pytest.approx(1e8, rel=1e-5)


@pytest.mark.reasoned
def test_rating_and_life_undo_each_other() -> None:
    """The rating needed for a life gives that life; no load has no life."""
    rating = bearing.needed_rating_n(9e3, 3e8, bearing.ROLLER, 0.62)

    assert bearing.rating_life_rev(rating, 9e3, bearing.ROLLER) * 0.62 == pytest.approx(3e8)
    assert rating == pytest.approx(9e3 * (300 / 0.62) ** 0.3)
    with pytest.raises(NoAnswerError, match="not over zero"):
        bearing.rating_life_rev(76e3, 0.0, bearing.ROLLER)
    with pytest.raises(NoAnswerError, match="stands still"):
        bearing.life_s(1e8, 0.0)


@pytest.mark.second_way
@pytest.mark.parametrize("side_n", [-1500.0, 0.0, 2500.0])
def test_reactions_by_moments_summed_again(side_n: float) -> None:
    """Forces and moments of road and bearings on the hub vanish, taken about a point that is no bearing."""
    wheel, at, spread, radius = 11500.0, 0.03, 0.1, 0.355
    inner, outer = wheel_load.bearing_reactions_n(wheel, side_n, at, spread, radius)
    point = np.array([0.017, 0.0, -0.05])  # outboard, forward, up
    forces = (
        ((at, 0.0, -radius), (-side_n, 0.0, wheel)),
        ((0.0, 0.0, 0.0), (side_n, 0.0, -float(inner))),
        ((spread, 0.0, 0.0), (0.0, 0.0, -float(outer))),
    )
    moment = sum(np.cross(np.array(place) - point, force) for place, force in forces)

    assert np.sum([force for _, force in forces], axis=0) == pytest.approx([0, 0, 0], abs=1e-6)
    assert moment == pytest.approx([0, 0, 0], abs=1e-6)


@pytest.mark.reasoned
def test_a_wheel_between_its_bearings() -> None:
    """Over the inner centre the inner bearing carries all, in the middle each carries half; no distance, no answer."""
    assert wheel_load.bearing_reactions_n(1e4, 0.0, 0.0, 0.1, 0.35) == pytest.approx((1e4, 0))
    assert wheel_load.bearing_reactions_n(1e4, 0.0, 0.05, 0.1, 0.35) == pytest.approx((5e3, 5e3))
    with pytest.raises(NoAnswerError, match="no distance"):
        wheel_load.bearing_reactions_n(1e4, 0.0, 0.05, 0.0, 0.35)


@pytest.mark.reasoned
@given(st.floats(0, 3e4), st.floats(0, 3e4), st.floats(-2e4, 2e4))
def test_an_opposed_pair_balances_its_thrust(radial_a: float, radial_b: float, thrust: float) -> None:
    """The difference of the two thrusts is the outside thrust, neither is under its own taper's, no load under Fr."""
    pair = wheel_load.opposed_pair(radial_a, radial_b, thrust, 1.79, 1.57)

    assert pair.thrust_a_n - pair.thrust_b_n == pytest.approx(thrust, abs=1e-6)
    assert pair.thrust_a_n >= pair.induced_a_n
    assert pair.thrust_b_n >= pair.induced_b_n
    assert pair.equivalent_a_n >= radial_a
    assert pair.equivalent_b_n >= radial_b


@pytest.mark.reasoned
def test_pairs_that_cannot_be() -> None:
    """A thrust factor of zero and a negative radial load are refused."""
    with pytest.raises(NoAnswerError, match="thrust factor"):
        wheel_load.opposed_pair(1e3, 1e3, 0.0, 0.0, 1.5)
    with pytest.raises(NoAnswerError, match="radial load"):
        wheel_load.opposed_pair(-1e3, 1e3, 0.0, 1.5, 1.5)


@pytest.mark.reasoned
@pytest.mark.parametrize("over", [False, True])
def test_the_tapered_load_switches_at_e(over: bool) -> None:
    """At Fa/Fr = e = 0.6/Y both rules of the standard give Fr; past it X Fr + Y Fa, under it Fr."""
    y, radial = 1.6, 8e3
    thrust = radial * 0.6 / y * (1.3 if over else 0.7)
    expected = 0.4 * radial + y * thrust if over else radial

    assert wheel_load.tapered_load_n(radial, thrust, y) == pytest.approx(expected)
    assert wheel_load.tapered_load_n(radial, radial * 0.6 / y, y) == pytest.approx(radial)


@pytest.mark.reasoned
def test_half_the_rollers_make_the_catalogue_thrust() -> None:
    """Fr / (2 Y) with Y = 0.4 / tan(a) is Fr tan(a) Ja/Jr at half the rollers, to a percent."""
    alpha = 0.25
    induced = wheel_load.induced_thrust_n(1e4, 0.4 / tan(alpha))
    half = 1e4 * tan(alpha) * float(roller_load.axial_integral(0.5)) / float(roller_load.radial_integral(0.5))

    assert induced == pytest.approx(half, rel=0.01)


@pytest.mark.reasoned
def test_load_transfer() -> None:
    """A bend at which m a h = m g t / 2 lifts the inside wheel: it gives up the half of the weight it had."""
    assert wheel_load.load_transfer_n(2000.0, 9.81, 0.95, 1.9) == pytest.approx(2000 * 9.81 / 2)


@pytest.mark.reasoned
def test_heat_of_a_hub_is_drag_times_speed() -> None:
    """h A dT watts over a speed is a force; at rest nothing drags."""
    heat = wheel_load.extra_heat_w(40.0, 0.15, 20.0)

    assert heat == pytest.approx(120)
    assert wheel_load.drag_n(heat, 24.0) * 24.0 == pytest.approx(heat)
    with pytest.raises(NoAnswerError, match="road speed"):
        wheel_load.drag_n(heat, 0.0)


@pytest.mark.reasoned
def test_corners_at_once() -> None:
    """Arrays give what one corner after the other gives, through seats and pairs."""
    clear, load = np.array([-5e-6, 0.0, 30e-6]), np.array([4e3, 9e3, 15e3])
    many = roller_load.seat(load, clear, ANGLE, ROLLERS, LENGTH)
    pairs = wheel_load.opposed_pair(load, load[::-1], 1e3, 1.79, 1.57)

    for i in range(3):
        one = roller_load.seat(float(load[i]), float(clear[i]), ANGLE, ROLLERS, LENGTH)
        pair = wheel_load.opposed_pair(float(load[i]), float(load[::-1][i]), 1e3, 1.79, 1.57)
        assert np.asarray(many.life_share)[i] == pytest.approx(one.life_share)
        assert np.asarray(many.top_n)[i] == pytest.approx(one.top_n)
        assert np.asarray(pairs.equivalent_b_n)[i] == pytest.approx(pair.equivalent_b_n)


@pytest.mark.reasoned
def test_older_reliability_is_a_power_of_a_logarithm() -> None:
    """a1 before 2007 is (ln S / ln 0.9) to two thirds; the formula of 2007 stretches it to end at 0.05."""
    share = 0.975
    older = (log(share) / log(0.9)) ** (2 / 3)

    assert bearing.a1_older(share) == pytest.approx(older)
    assert bearing.a1_iso(share) == pytest.approx(0.95 * older + 0.05)
