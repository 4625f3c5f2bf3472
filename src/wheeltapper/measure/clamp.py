"""Thread, torque and clamp of a stud: how hard a nut turned to a torque pulls its faces together.

A torque wrench reads torque, but clamp is what holds a wheel, and about nine tenths of the torque is friction.
So every way between the two takes its friction as an argument, to be asked with the lowest and the highest that
may be there. Knows no stud, no grade and no wheel. Not for nuts with a locking ring, for impact tools, or for
studs turned past their yield.
"""

from __future__ import annotations

from math import pi

import numpy as np

from wheeltapper.measure.number import Num
from wheeltapper.problems import NoAnswerError

ISO_DEPTH_SHARE = 0.9382  # ISO 898-1: the mean of pitch and root diameter of a metric thread
INCH_DEPTH_SHARE = 0.9743  # ASME B1.1: the same idea for Unified threads, with its own rounding of the root
PITCH_DEPTH_SHARE = 3 * 3**0.5 / 8  # how far the pitch diameter lies under the outside, in pitches
ROOT_DEPTH_SHARE = 17 * 3**0.5 / 24  # the same for the root of an external metric thread, d3
FLANK_RAD = pi / 6  # half of the 60 degrees of metric and Unified threads
FLAT_RAD = pi  # the seat of a flange nut or a hexagon head: a cone opened out flat


def stress_area_m2(diameter_m: Num, pitch_m: Num, depth_share: float = ISO_DEPTH_SHARE) -> Num:
    """Tensile stress area of a thread: what carries the pull.

    Args:
        diameter_m: outside diameter of the thread [m].
        pitch_m: its pitch, for an inch thread one inch over the threads to the inch [m].
        depth_share: ISO_DEPTH_SHARE or INCH_DEPTH_SHARE.

    Returns:
        Area [m2].

    Raises:
        NoAnswerError: the pitch is not more than zero, or so coarse that no core is left.

    References:
        ISO 898-1:2013, 9.1.6.1, A = pi/4 ((d2 + d3) / 2)^2, which is pi/4 (d - 0.9382 P)^2.
        ASME B1.1, tensile stress area, 0.7854 (D - 0.9743 / n)^2. Both clauses from memory.
    """
    core = diameter_m - depth_share * pitch_m
    if not np.all((pitch_m > 0) & (core > 0)):
        raise NoAnswerError(
            "a thread of this diameter and pitch has no core",
            "give both more than zero, the pitch far smaller than the diameter.",
        )
    return pi / 4 * core**2


def pitch_diameter_m(diameter_m: Num, pitch_m: Num) -> Num:
    """Pitch diameter of a 60 degree thread, where nut and stud flanks meet on average.

    Args:
        diameter_m: outside diameter [m].
        pitch_m: pitch [m].

    Returns:
        Diameter d2 [m].

    References:
        ISO 724, d2 = d - 0.6495 P.
    """
    return diameter_m - PITCH_DEPTH_SHARE * pitch_m


def root_diameter_m(diameter_m: Num, pitch_m: Num) -> Num:
    """Diameter at the root of an external metric thread.

    Args:
        diameter_m: outside diameter [m].
        pitch_m: pitch [m].

    Returns:
        Diameter d3 [m].

    References:
        ISO 898-1, d3 = d1 - H / 6 = d - 1.2269 P.
    """
    return diameter_m - ROOT_DEPTH_SHARE * pitch_m


def lead_angle_rad(mean_diameter_m: Num, lead_m: Num) -> Num:
    """How steeply the thread climbs.

    Args:
        mean_diameter_m: diameter at which it is looked at [m].
        lead_m: climb in one turn, the pitch of a single-start thread [m].

    Returns:
        Angle [rad].

    References:
        Budynas and Nisbett, Shigley's Mechanical Engineering Design, section 8-2.
    """
    angle: Num = np.arctan(lead_m / (pi * mean_diameter_m))
    return angle


def thread_torque_n_m(
    preload_n: Num, mean_diameter_m: Num, lead_m: Num, friction_share: Num, flank_rad: float = FLANK_RAD
) -> Num:
    """Torque that the thread takes while the nut is turned on: the climb and the friction of the flanks.

    Args:
        preload_n: pull in the stud [N].
        mean_diameter_m: mean diameter of the thread [m].
        lead_m: climb in one turn [m].
        friction_share: friction between the threads.
        flank_rad: half of the thread's angle [rad].

    Returns:
        Torque [N m].

    Raises:
        NoAnswerError: the flank is none, or the friction is under zero or so high that no torque turns the nut.

    References:
        Shigley's Mechanical Engineering Design, section 8-2, equation for raising a load with a V thread.
    """
    climb: Num = np.tan(lead_angle_rad(mean_diameter_m, lead_m))
    rub = friction_share / float(np.cos(flank_rad))
    if not 0 <= flank_rad < pi / 2 or not np.all((friction_share >= 0) & (rub * climb < 1)):
        raise NoAnswerError(
            "with this thread the nut cannot be turned on",
            "give a friction of zero or more, 0.08 to 0.25 being usual for steel, and a thread angle of about 60 degrees.",
        )
    return preload_n * mean_diameter_m / 2 * (climb + rub) / (1 - rub * climb)


def collar_torque_n_m(
    preload_n: Num, mean_diameter_m: Num, friction_share: Num, seat_rad: float = FLAT_RAD
) -> Num:
    """Torque that the nut's seat takes. A conical seat wedges: its friction counts 1 / sin(half of the cone) times.

    Args:
        preload_n: pull in the stud [N].
        mean_diameter_m: mean diameter of the seat that rubs [m].
        friction_share: friction under the nut.
        seat_rad: whole angle of the cone, pi for a flat seat [rad].

    Returns:
        Torque [N m].

    Raises:
        NoAnswerError: the friction is under zero or the seat is no cone.

    References:
        Shigley's Mechanical Engineering Design, section 8-2, collar friction; the cone by equilibrium, the normal
        force on the seat being the pull over sin(half angle), as in a cone clutch.
    """
    if not 0 < seat_rad <= FLAT_RAD or not np.all(friction_share >= 0):
        raise NoAnswerError(
            "this seat takes no torque that can be worked out",
            "give its whole cone angle (60 or 90 degrees, 180 where flat) and a friction of zero or more.",
        )
    return preload_n * friction_share * mean_diameter_m / 2 / float(np.sin(seat_rad / 2))


def nut_factor_share(
    diameter_m: Num,
    mean_diameter_m: Num,
    lead_m: Num,
    thread_share: Num,
    collar_diameter_m: Num,
    collar_share: Num,
    flank_rad: float = FLANK_RAD,
    seat_rad: float = FLAT_RAD,
) -> Num:
    """Nut factor K of torque = K * diameter * pull, from the friction of thread and seat.

    Args:
        diameter_m: outside diameter of the thread [m].
        mean_diameter_m: mean diameter of the thread [m].
        lead_m: climb in one turn [m].
        thread_share: friction between the threads.
        collar_diameter_m: mean diameter of the seat that rubs [m].
        collar_share: friction under the nut.
        flank_rad: half of the thread's angle [rad].
        seat_rad: whole angle of a conical seat, pi where flat [rad].

    Returns:
        K, a pure number.

    Raises:
        NoAnswerError: see thread_torque_n_m and collar_torque_n_m.

    References:
        Shigley's Mechanical Engineering Design, section 8-8, equation for K; there the seat's mean diameter is
        1.25 d and the mean thread diameter lies halfway between outside and root.
    """
    one = diameter_m / diameter_m  # a pull of 1 N, of the same shape
    thread = thread_torque_n_m(one, mean_diameter_m, lead_m, thread_share, flank_rad)
    collar = collar_torque_n_m(one, collar_diameter_m, collar_share, seat_rad)
    return (thread + collar) / diameter_m


def torque_for_preload_n_m(preload_n: Num, factor_share: Num, diameter_m: Num) -> Num:
    """Torque that gives a pull, by the nut factor.

    Args:
        preload_n: pull wanted [N].
        factor_share: nut factor K.
        diameter_m: outside diameter of the thread [m].

    Returns:
        Torque [N m].

    Raises:
        NoAnswerError: K or the diameter is not more than zero.

    References:
        Shigley's Mechanical Engineering Design, section 8-8, T = K F d.
    """
    _turnable(factor_share, diameter_m)
    return factor_share * diameter_m * preload_n


def preload_from_torque_n(torque_n_m: Num, factor_share: Num, diameter_m: Num) -> Num:
    """Pull that a torque gives, by the nut factor: ask with the highest K for the least pull, and the other way.

    Args:
        torque_n_m: torque [N m].
        factor_share: nut factor K.
        diameter_m: outside diameter of the thread [m].

    Returns:
        Pull [N].

    Raises:
        NoAnswerError: K or the diameter is not more than zero.

    References:
        Shigley's Mechanical Engineering Design, section 8-8, T = K F d.
    """
    _turnable(factor_share, diameter_m)
    return torque_n_m / (factor_share * diameter_m)


def _turnable(factor: Num, diameter: Num) -> None:
    if not np.all((factor > 0) & (diameter > 0)):
        raise NoAnswerError(
            "a nut factor or a diameter is not more than zero",
            "give a K between about 0.1 (oiled) and 0.3 (rusty) and the stud's outside diameter.",
        )


def preload_at_share_n(area_m2: Num, strength_pa: Num, share: Num) -> Num:
    """Pull that uses a share of a strength, such as 75 % of proof or 70 % of the tensile strength.

    Args:
        area_m2: tensile stress area [m2].
        strength_pa: proof, yield or tensile strength [Pa].
        share: share of it, 0.75 for 75 %.

    Returns:
        Pull [N].

    References:
        Shigley's Mechanical Engineering Design, section 8-9, 0.75 of proof where the bolt is to be taken off again;
        EN 1993-1-8, 3.6.1(2) and 3.9.1, 0.7 of the tensile strength for preloaded structural bolts.
    """
    return share * strength_pa * area_m2


def strength_share(preload_n: Num, area_m2: Num, strength_pa: Num) -> Num:
    """Share of a strength that a pull uses.

    Args:
        preload_n: pull [N].
        area_m2: tensile stress area [m2].
        strength_pa: proof, yield or tensile strength [Pa].

    Returns:
        Share, more than 1 where the pull is past that strength.

    Raises:
        NoAnswerError: area or strength is not more than zero.

    References:
        ISO 898-1:2013, table 5, proof load = proof stress times tensile stress area.
    """
    if not np.all((area_m2 > 0) & (strength_pa > 0)):
        raise NoAnswerError(
            "an area or a strength is not more than zero",
            "give the stress area and the strength of the stud.",
        )
    return preload_n / (area_m2 * strength_pa)


def assembly_preload_n(
    yield_pa: Num, diameter_m: Num, pitch_m: Num, thread_share: Num, use_share: float = 0.9
) -> Num:
    """Pull at which tension and the twist of tightening together reach a share of the yield strength.

    Args:
        yield_pa: 0.2 % proof stress, Rp0.2 [Pa].
        diameter_m: outside diameter of a 60 degree thread [m].
        pitch_m: pitch [m].
        thread_share: friction between the threads, the least that may be there.
        use_share: share of the yield strength to use, 0.9 as the guideline's tables do.

    Returns:
        Pull FM [N].

    Raises:
        NoAnswerError: the thread has no core.

    References:
        VDI 2230 Part 1 (2003), step R7, with the stress area and its diameter; formula from memory, results held
        against a supplier's catalogue page that quotes the guideline.
    """
    area = stress_area_m2(diameter_m, pitch_m)
    core: Num = np.sqrt(4 * area / pi)
    mean = pitch_diameter_m(diameter_m, pitch_m)
    twist = 1.5 * mean / core * (pitch_m / (pi * mean) + 1.155 * thread_share)
    pull: Num = use_share * yield_pa * area / np.sqrt(1 + 3 * twist**2)
    return pull


def assembly_torque_n_m(
    preload_n: Num,
    pitch_m: Num,
    mean_diameter_m: Num,
    thread_share: Num,
    collar_diameter_m: Num,
    collar_share: Num,
    seat_rad: float = FLAT_RAD,
) -> Num:
    """Assembly torque of a 60 degree thread in three parts: climb, thread friction, friction under the nut.

    Args:
        preload_n: pull FM [N].
        pitch_m: pitch [m].
        mean_diameter_m: pitch diameter d2 [m].
        thread_share: friction between the threads.
        collar_diameter_m: mean diameter of the seat that rubs, DKm [m].
        collar_share: friction under the nut.
        seat_rad: whole angle of a conical seat, pi where flat [rad].

    Returns:
        Torque MA [N m].

    Raises:
        NoAnswerError: see collar_torque_n_m.

    References:
        VDI 2230 Part 1 (2003), step R13, MA = FM (0.16 P + 0.58 d2 muG + DKm / 2 muK), from memory. The cone is ours.
    """
    thread = preload_n * (0.16 * pitch_m + 0.58 * mean_diameter_m * thread_share)
    return thread + collar_torque_n_m(preload_n, collar_diameter_m, collar_share, seat_rad)
