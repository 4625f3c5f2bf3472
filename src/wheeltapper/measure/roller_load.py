"""What end play does to a tapered roller bearing: how far round the rollers carry, the hardest pressed one, life.

Rigid round rings, a hub that does not tilt, all rollers alike, load and clearance only. It answers "how much worse
than at zero end play", not "how long": set tolerance, heat, bending spindles and raceway crowns are left out.
Preload is the same sum with a negative clearance; what the rings and the housing give is left out there too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

Amount = float | Floats
LINE = 10 / 9  # load of a roller goes with its deflection to this power; 3/2 for a ball
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)
_ROUNDS = 80  # halvings of the bracket: well past the last bit


@dataclass(frozen=True)
class Seat:
    """How a bearing sits under its radial load."""

    shift_m: Amount  # radial movement of the hub at this bearing
    zone_share: Amount  # loaded part of the diameter: 0.5 is half the rollers; over 1 every roller carries
    top_n: Amount  # load of the hardest pressed roller
    life_share: Amount  # life against the same load at zero clearance


def diametral_clearance_m(end_play_m: Amount, cup_angle_rad: Amount, part_share: Amount = 0.5) -> Amount:
    """Diametral clearance that a share of the end play leaves in one of two opposed bearings.

    Args:
        end_play_m: end play of the hub; negative for preload [m].
        cup_angle_rad: half the included angle of the cup [rad].
        part_share: this bearing's share of the play; half where the two are alike and no thrust pushes.

    Returns:
        Diametral clearance [m].

    References:
        Geometry of a cone in its cup: moving it by x along the axis opens the diameter by 2 x tan(alpha).
    """
    clearance: Amount = 2 * part_share * end_play_m * np.tan(cup_angle_rad)
    return clearance


def cup_angle_rad(thrust_factor: Amount) -> Amount:
    """Half the included cup angle behind a thrust factor.

    Args:
        thrust_factor: Y of ISO 281.

    Returns:
        The angle [rad].

    References:
        ISO 281:2007, table 7: Y = 0.4 cot(alpha), from memory.
    """
    angle: Amount = np.arctan(0.4 / thrust_factor)
    return angle


def radial_integral(zone_share: Amount, exponent: float = LINE) -> Amount:
    """Sjovall's radial load integral: mean of the rollers' loads along the radial load, top roller as one.

    Args:
        zone_share: loaded part of the diameter, epsilon, over zero.
        exponent: 10/9 for rollers, 3/2 for balls.

    Returns:
        Jr: 0.245 for rollers and 0.229 for balls where half of them carry.

    References:
        Harris, Rolling Bearing Analysis, 4th ed., section 7.3, from memory. Printed tables take 1.1 for rollers; a
        bearing maker's technical report has 1/Jr = 4.08 and 4.37 at one half.
    """
    return _mean_round(zone_share, exponent, 1)


def axial_integral(zone_share: Amount, exponent: float = LINE) -> Amount:
    """Sjovall's axial load integral: mean of the rollers' loads, the top roller as one.

    Args:
        zone_share: loaded part of the diameter, epsilon, over zero.
        exponent: 10/9 for rollers, 3/2 for balls.

    Returns:
        Ja: thrust is Fr tan(alpha) Ja / Jr.

    References:
        Harris, Rolling Bearing Analysis, 4th ed., section 7.5.
    """
    return _mean_round(zone_share, exponent, 0)


def _mean_round(zone_share: Amount, exponent: float, cosines: int) -> Amount:
    zone = np.asarray(zone_share, dtype=float)
    if not np.all(zone > 0):
        raise NoAnswerError(
            "the load zone is not over zero", "give the loaded part of the diameter, 0.5 is half."
        )
    reach = np.arccos(np.clip(1 - 2 * zone, -1.0, 1.0))
    angle = reach[..., None] * (_NODES + 1) / 2
    share = np.maximum(1 - (1 - np.cos(angle)) / (2 * zone[..., None]), 0.0)
    mean = (share**exponent * np.cos(angle) ** cosines) @ _WEIGHTS * reach / 2 / np.pi
    return mean if mean.ndim else float(mean)


def roller_stiffness(length_m: Amount) -> Amount:
    """Load of one steel roller between two raceways, for each metre of approach to the power 10/9.

    Args:
        length_m: effective length of the roller [m].

    Returns:
        Stiffness in N/m^(10/9).

    References:
        Palmgren's line contact, approach = 3.84e-5 Q^0.9 / l^0.8 in mm and N at each raceway: Harris, Rolling
        Bearing Analysis, 4th ed., section 6.6; from memory.
    """
    approach_mm = 2 * 3.84e-5 / (length_m * 1e3) ** 0.8
    stiffness: Amount = (1e3 / approach_mm) ** LINE
    return stiffness


def relative_life(zone_share: Amount) -> Amount:
    """Life at a load zone against the same radial load with half the rollers carrying.

    Args:
        zone_share: loaded part of the diameter, epsilon, over zero.

    Returns:
        Life against that at zero clearance.

    References:
        Lundberg and Palmgren, line contact: mean load of the turning ring by the 4th power, of the standing ring by
        the power 4.5, lives joined with slope 9/8; both rings taken as equally strong. Harris, section 18.4.
    """
    reference = _harm(0.5)
    life: Amount = (_harm(zone_share) / reference) ** (-8 / 9)
    return life


def _harm(zone_share: Amount) -> Amount:
    """Chance of failure of turning and standing ring together, up to a factor."""
    radial = _mean_round(zone_share, LINE, 1)
    turning = _mean_round(zone_share, LINE * 4, 0) ** (1 / 4) / radial
    standing = _mean_round(zone_share, LINE * 4.5, 0) ** (1 / 4.5) / radial
    harm: Amount = turning**4.5 + standing**4.5
    return harm


def seat(radial_n: Amount, clearance_m: Amount, angle_rad: Amount, rollers: Amount, length_m: Amount) -> Seat:
    """How a bearing sits under a radial load, with a clearance or a preload.

    Args:
        radial_n: radial load, over zero [N].
        clearance_m: diametral clearance; negative for preload [m].
        angle_rad: half the included cup angle [rad].
        rollers: number of rollers.
        length_m: effective length of a roller [m].

    Returns:
        Shift of the hub, load zone, top roller and life against zero clearance.

    Raises:
        NoAnswerError: no load, no rollers to carry it, or an angle of no radial bearing.

    References:
        Harris, Rolling Bearing Analysis, 4th ed., section 7.3; approach across the raceway is
        cos(alpha) (shift cos(psi) - clearance / 2).
    """
    given = (radial_n, clearance_m, angle_rad, rollers, length_m)
    load, clear, angle, count, length = np.broadcast_arrays(*(np.asarray(a, dtype=float) for a in given))
    if not np.all((load > 0) & (count > 0) & (length > 0)):
        raise NoAnswerError(
            "a load, roller count or roller length is not over zero", "give all three over zero."
        )
    if not np.all((angle >= 0) & (angle < np.pi / 4)):
        raise NoAnswerError(
            "a cup angle is not from 0 to 45 degrees", "give half the included angle, 10 to 16 usually."
        )
    stiffness = count * np.cos(angle) * np.asarray(roller_stiffness(length))
    shift = _settle(load / stiffness, clear / 2, np.cos(angle))
    zone = (1 - clear / 2 / shift) / 2
    top = load / (count * np.cos(angle) * _mean_round(zone, LINE, 1))
    life = np.asarray(relative_life(zone))
    plain = [a if a.ndim else float(a) for a in (shift, zone, top, life)]
    return Seat(*plain)


def _settle(load: Floats, gap: Floats, slant: Floats) -> Floats:
    """The shift at which the rollers carry the load: the sum grows with the shift, so a bracket is halved."""
    low = np.maximum(gap, 0.0)
    high = low + np.abs(gap) + (load / 0.2) ** (1 / LINE) / slant
    for _ in range(_ROUNDS):
        middle = (low + high) / 2
        zone = np.maximum((1 - gap / middle) / 2, 1e-12)
        short = (slant * (middle - gap)) ** LINE * _mean_round(zone, LINE, 1) < load
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return (low + high) / 2
