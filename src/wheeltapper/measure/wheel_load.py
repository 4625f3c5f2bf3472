"""What a wheel puts on its two bearings: straight on, in a bend, and by the taper of the rollers; and what drags.

Rigid bodies in equilibrium, the bearings set against each other without preload. Life under these loads is in
`bearing.py`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.bearing import Amount, equivalent_load_n
from wheeltapper.problems import NoAnswerError

TAPERED_RADIAL_FACTOR = 0.4  # X of a single-row tapered roller bearing where Fa/Fr is over e


@dataclass(frozen=True)
class PairLoads:
    """Loads of two opposed tapered roller bearings, the one that outside thrust pushes on first."""

    induced_a_n: Amount
    induced_b_n: Amount
    thrust_a_n: Amount
    thrust_b_n: Amount
    equivalent_a_n: Amount
    equivalent_b_n: Amount


def tapered_load_n(radial_n: Amount, thrust_n: Amount, thrust_factor: Amount) -> Amount:
    """Equivalent load of a single-row tapered roller bearing.

    Args:
        radial_n: radial load [N].
        thrust_n: its thrust load, the part made by its own taper included [N].
        thrust_factor: Y.

    Returns:
        Fr where that is more than 0.4 Fr + Y Fa, else that; the same as asking whether Fa/Fr is over e = 0.6/Y [N].

    References:
        ISO 281:2007, table 7: X = 0.4, Y = 0.4 cot(alpha), e = 1.5 tan(alpha); from memory.
    """
    both = equivalent_load_n(radial_n, thrust_n, TAPERED_RADIAL_FACTOR, thrust_factor)
    return np.maximum(radial_n, both)


def load_transfer_n(mass_kg: Amount, lateral_m_s2: Amount, height_m: Amount, track_m: Amount) -> Amount:
    """Load that moves from the inside wheel of an axle to the outside one in a bend.

    Args:
        mass_kg: mass the axle carries [kg].
        lateral_m_s2: lateral acceleration [m/s2].
        height_m: height of the centre of gravity [m].
        track_m: track, tyre middle to tyre middle [m].

    Returns:
        Load transferred [N].

    References:
        Moment balance of a rigid axle about the tyre; springs, roll and tyre give left out.
    """
    return mass_kg * lateral_m_s2 * height_m / track_m


def bearing_reactions_n(
    wheel_n: Amount, side_n: Amount, load_at_m: Amount, spread_m: Amount, rolling_radius_m: Amount
) -> tuple[Amount, Amount]:
    """How a wheel's load and side force come to its two bearings, from moments about their effective centres.

    Args:
        wheel_n: load of the wheel [N].
        side_n: force of the road on the tyre, positive towards the middle of the trailer [N].
        load_at_m: the wheel's load line, outboard of the inner bearing's effective centre [m].
        spread_m: distance of the two effective centres, over zero [m].
        rolling_radius_m: rolling radius of the tyre [m].

    Returns:
        Load of the inner and of the outer bearing [N]; a negative one pulls the other way.

    Raises:
        NoAnswerError: both centres are in one place.

    References:
        Rigid body in equilibrium: the side force at the ground moves the load line inboard by radius * side / wheel.
    """
    if np.any(np.asarray(spread_m) <= 0):
        raise NoAnswerError(
            "the two bearings have no distance", "give the distance of their effective centres."
        )
    outer = (wheel_n * load_at_m - side_n * rolling_radius_m) / spread_m
    return wheel_n - outer, outer


def induced_thrust_n(radial_n: Amount, thrust_factor: Amount, form: float = 0.5) -> Amount:
    """Thrust that a radial load makes on a tapered roller bearing.

    Args:
        radial_n: radial load [N].
        thrust_factor: Y (or K, the ratio of radial to thrust rating, with form 0.47).
        form: 0.5 as in catalogues on the ISO basis; 0.47 with K in Budynas and Nisbett.

    Returns:
        form * Fr / Y [N].

    References:
        Catalogues of bearing makers, Fr / (2 Y), which is half the rollers loaded: 1.26 Fr tan(alpha) with
        Y = 0.4 cot(alpha). Budynas and Nisbett, Mechanical Engineering Design, 10th ed., equation (11-18).
    """
    return form * radial_n / thrust_factor


def opposed_pair(
    radial_a_n: Amount,
    radial_b_n: Amount,
    thrust_n: Amount,
    a_factor: Amount,
    b_factor: Amount,
    form: float = 0.5,
) -> PairLoads:
    """Thrust and equivalent loads of two tapered roller bearings set against each other, no preload.

    Args:
        radial_a_n: radial load of bearing A, zero or more [N].
        radial_b_n: radial load of bearing B, zero or more [N].
        thrust_n: outside thrust, positive where it pushes onto bearing A [N].
        a_factor: Y (or K) of bearing A.
        b_factor: Y (or K) of bearing B.
        form: 0.5 with Y, 0.47 with K; see `induced_thrust_n`.

    Returns:
        Induced thrust, thrust carried and equivalent load of each.

    Raises:
        NoAnswerError: a thrust factor is not over zero, or a radial load is negative.

    References:
        Budynas and Nisbett, Mechanical Engineering Design, 10th ed., equations (11-18) to (11-20), example 11-8.
    """
    if np.any(np.asarray(a_factor) <= 0) or np.any(np.asarray(b_factor) <= 0):
        raise NoAnswerError("a thrust factor is not over zero", "give Y from the bearing maker's sheet.")
    if np.any(np.asarray(radial_a_n) < 0) or np.any(np.asarray(radial_b_n) < 0):
        raise NoAnswerError("a radial load is negative", "give its size; its direction does not matter here.")
    induced_a = induced_thrust_n(radial_a_n, a_factor, form)
    induced_b = induced_thrust_n(radial_b_n, b_factor, form)
    thrust_a = np.maximum(induced_a, induced_b + thrust_n)
    thrust_b = np.maximum(induced_b, induced_a - thrust_n)
    loads = tapered_load_n(radial_a_n, thrust_a, a_factor), tapered_load_n(radial_b_n, thrust_b, b_factor)
    return PairLoads(induced_a, induced_b, thrust_a, thrust_b, *loads)


def extra_heat_w(film_w_m2_k: Amount, area_m2: Amount, warmer_k: Amount) -> Amount:
    """Heat that must be made in a hub to keep it warmer than its mate in the same air.

    Args:
        film_w_m2_k: heat transfer coefficient to the air [W/(m2 K)].
        area_m2: outside area of hub and drum [m2].
        warmer_k: how much warmer it is [K].

    Returns:
        Heat flow [W].

    References:
        Newton's law of cooling, both hubs settled to a steady temperature.
    """
    return film_w_m2_k * area_m2 * warmer_k


def drag_n(heat_w: Amount, speed_m_s: Amount) -> Amount:
    """Drag at the tyre that makes a heat flow at a road speed.

    Args:
        heat_w: heat flow [W].
        speed_m_s: road speed, over zero [m/s].

    Returns:
        Force [N].

    Raises:
        NoAnswerError: nothing drags at rest.
    """
    if np.any(np.asarray(speed_m_s) <= 0):
        raise NoAnswerError("the road speed is not over zero", "give the speed of the run.")
    return heat_w / speed_m_s
