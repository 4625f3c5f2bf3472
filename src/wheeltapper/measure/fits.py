"""Two rings pressed together: how tight, what it does to the metal, what heat and wear leave of it.

Thick-ring elasticity (Lame), plane stress, smooth and round surfaces over the full length, no yielding. It does
not know a ground cup's crown, a flange on one side or the shoulder of a bore: the true pressure is uneven where
they are. Interference is always on the diameter; radial interference is half of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from wheeltapper.measure.number import Floats, not_negative
from wheeltapper.problems import NoAnswerError

Amount = float | Floats
NOTHING_M = 1e-12  # under a picometre is rounding
Kind = Literal["clearance", "transition", "interference"]


@dataclass(frozen=True)
class Rings:
    """An inner part in an outer one, by their diameters and elastic values; a bore of 0 is a solid inner part."""

    bore_m: Amount
    joint_m: Amount
    rim_m: Amount
    inner_modulus_pa: Amount
    inner_poisson_share: Amount
    outer_modulus_pa: Amount
    outer_poisson_share: Amount

    def __post_init__(self) -> None:
        """Refuse rings that cannot be."""
        bore, joint, rim = (np.asarray(d) for d in (self.bore_m, self.joint_m, self.rim_m))
        if not np.all((bore >= 0) & (bore < joint) & (joint < rim)):
            raise NoAnswerError(
                "the diameters are not one inside the other", "give bore, joint and rim in growing order."
            )
        moduli, ratios = (
            np.stack(np.broadcast_arrays(*pair))
            for pair in (
                (self.inner_modulus_pa, self.outer_modulus_pa),
                (self.inner_poisson_share, self.outer_poisson_share),
            )
        )
        if not (np.all(moduli > 0) and np.all((ratios >= 0) & (ratios < 0.5))):
            raise NoAnswerError(
                "an elastic modulus or a Poisson's ratio cannot be",
                "give both; grey iron has about 97 GPa and 0.25.",
            )


@dataclass(frozen=True)
class Stresses:
    """What a fit does to both rings; tension is positive. The radial stress at the joint is minus the pressure."""

    inner_bore_hoop_pa: Amount
    inner_joint_hoop_pa: Amount
    outer_joint_hoop_pa: Amount
    outer_rim_hoop_pa: Amount
    joint_radial_pa: Amount
    outer_mises_pa: Amount
    inner_mises_pa: Amount
    outer_shear_pa: Amount


def interference_limits_m(
    outside_low_m: Amount, outside_high_m: Amount, bore_low_m: Amount, bore_high_m: Amount
) -> tuple[Amount, Amount]:
    """The loosest and the tightest fit that the limits of two parts allow; sizes or deviations alike.

    Args:
        outside_low_m: smallest inner part [m].
        outside_high_m: largest inner part [m].
        bore_low_m: smallest bore [m].
        bore_high_m: largest bore [m].

    Returns:
        Least and most interference [m]; a negative one is a clearance.

    Raises:
        NoAnswerError: a low limit is over its high one.

    References:
        ISO 286-1:2010, 3.3 (interference and clearance from limits of size).
    """
    if np.any(np.asarray(outside_low_m) > outside_high_m) or np.any(np.asarray(bore_low_m) > bore_high_m):
        raise NoAnswerError("a low limit is over its high limit", "swap them.")
    return outside_low_m - bore_high_m, outside_high_m - bore_low_m


def kind_of_fit(least_m: float, most_m: float) -> Kind:
    """The name of a fit by its two ends.

    Args:
        least_m: least interference [m].
        most_m: most interference [m].

    Returns:
        "interference" where even the loosest pair is tight, "clearance" where even the tightest is free.

    References:
        ISO 286-1:2010, 3.3: a fit that only touches at one end counts with the rest of its range.
    """
    return "interference" if least_m >= 0 else "clearance" if most_m <= 0 else "transition"


def pressure_pa(rings: Rings, diametral_m: Amount) -> Amount:
    """Contact pressure that an interference makes.

    Args:
        rings: the two parts.
        diametral_m: interference on the diameter, zero or more [m].

    Returns:
        Pressure at the joint [Pa].

    Raises:
        NoAnswerError: a clearance presses on nothing.

    References:
        Ugural and Fenster, Advanced Strength and Applied Elasticity, example 8.3 (one material); Budynas and Nisbett,
        Mechanical Engineering Design, 9th ed., section 3-16, equation (3-56), from memory (two materials).
    """
    if np.any(np.asarray(diametral_m) < 0):
        raise NoAnswerError("the inner part is smaller than its bore", "nothing presses: call it loose.")
    return diametral_m / _give(rings)


def diametral_m(rings: Rings, pressure_pa: Amount) -> Amount:
    """The interference that a wanted pressure needs: `pressure_pa` the other way round.

    Args:
        rings: the two parts.
        pressure_pa: pressure at the joint, zero or more [Pa].

    Returns:
        Interference on the diameter [m].

    Raises:
        NoAnswerError: a pressure under zero.
    """
    not_negative("the pressure", pressure_pa)
    return pressure_pa * _give(rings)


def _give(rings: Rings) -> Amount:
    """Interference on the diameter for each pascal: what the outer ring opens and the inner one closes."""
    d2, bore2, rim2 = rings.joint_m**2, rings.bore_m**2, rings.rim_m**2
    opens = ((rim2 + d2) / (rim2 - d2) + rings.outer_poisson_share) / rings.outer_modulus_pa
    closes = ((d2 + bore2) / (d2 - bore2) - rings.inner_poisson_share) / rings.inner_modulus_pa
    return rings.joint_m * (opens + closes)


def ring_stress_pa(
    bore_m: Amount, rim_m: Amount, inside_pa: Amount, outside_pa: Amount, at_m: Amount
) -> tuple[Amount, Amount]:
    """Stress anywhere in one thick ring under pressure from inside and outside.

    Args:
        bore_m: its bore, 0 for a solid disc [m].
        rim_m: its outside diameter [m].
        inside_pa: pressure in the bore [Pa].
        outside_pa: pressure on the outside [Pa].
        at_m: diameter to look at, over zero [m].

    Returns:
        Radial and hoop stress [Pa], tension positive.

    Raises:
        NoAnswerError: the place looked at is not in the ring.

    References:
        Lame's thick cylinder: Ugural and Fenster, section 8.2.
    """
    place = np.asarray(at_m)
    if not np.all((place > 0) & (place >= bore_m) & (place <= rim_m)):
        raise NoAnswerError("the place is not in the ring", "give a diameter from its bore to its rim.")
    even = (inside_pa * bore_m**2 - outside_pa * rim_m**2) / (rim_m**2 - bore_m**2)
    falling = (inside_pa - outside_pa) * bore_m**2 * rim_m**2 / (rim_m**2 - bore_m**2) / at_m**2
    return even - falling, even + falling


def von_mises_pa(hoop_pa: Amount, radial_pa: Amount) -> Amount:
    """Equivalent stress of a hoop and a radial stress, nothing along the axis.

    Args:
        hoop_pa: hoop stress [Pa].
        radial_pa: radial stress [Pa].

    Returns:
        Von Mises stress [Pa].

    References:
        Budynas and Nisbett, Mechanical Engineering Design, 9th ed., equation (5-13), from memory.
    """
    mises: Amount = np.sqrt(hoop_pa**2 - hoop_pa * radial_pa + radial_pa**2)
    return mises


def stresses(rings: Rings, pressure_pa: Amount) -> Stresses:
    """Stress in both rings where a textbook asks for it.

    Args:
        rings: the two parts; a solid inner part has the same stress, minus the pressure, all through.
        pressure_pa: pressure at the joint [Pa].

    Returns:
        Hoop stress at all four surfaces, radial stress, von Mises and greatest shear stress at the hub bore.

    References:
        Ugural and Fenster, example 8.3; Bhavikatti, Strength of Materials, example 8.8.17.
    """
    solid = np.asarray(rings.bore_m) == 0
    _, outer_joint = ring_stress_pa(rings.joint_m, rings.rim_m, pressure_pa, 0.0, rings.joint_m)
    _, outer_rim = ring_stress_pa(rings.joint_m, rings.rim_m, pressure_pa, 0.0, rings.rim_m)
    _, inner_joint = ring_stress_pa(rings.bore_m, rings.joint_m, 0.0, pressure_pa, rings.joint_m)
    inner_bore = (2.0 - solid) * -pressure_pa * rings.joint_m**2 / (rings.joint_m**2 - rings.bore_m**2)
    radial = -pressure_pa
    return Stresses(
        inner_bore_hoop_pa=inner_bore,
        inner_joint_hoop_pa=inner_joint,
        outer_joint_hoop_pa=outer_joint,
        outer_rim_hoop_pa=outer_rim,
        joint_radial_pa=radial,
        outer_mises_pa=von_mises_pa(outer_joint, radial),
        inner_mises_pa=np.abs(inner_bore),
        outer_shear_pa=(outer_joint - radial) / 2,
    )


def rim_growth_m(rings: Rings, pressure_pa: Amount) -> Amount:
    """How much the outside of the outer ring grows.

    Args:
        rings: the two parts.
        pressure_pa: pressure at the joint [Pa].

    Returns:
        Growth of its diameter [m].
    """
    _, hoop = ring_stress_pa(rings.joint_m, rings.rim_m, pressure_pa, 0.0, rings.rim_m)
    return hoop * rings.rim_m / rings.outer_modulus_pa


def bore_shrink_m(rings: Rings, pressure_pa: Amount) -> Amount:
    """How much the bore of the inner ring closes: a cup's raceway does, and takes end play with it.

    Args:
        rings: the two parts.
        pressure_pa: pressure at the joint [Pa].

    Returns:
        Loss of the bore diameter, zero for a solid part [m].
    """
    return -stresses(rings, pressure_pa).inner_bore_hoop_pa * rings.bore_m / rings.inner_modulus_pa


def push_out_n(joint_m: Amount, length_m: Amount, pressure_pa: Amount, friction_share: Amount) -> Amount:
    """Axial force that moves the inner part.

    Args:
        joint_m: joint diameter [m].
        length_m: length of contact [m].
        pressure_pa: pressure at the joint [Pa].
        friction_share: friction coefficient.

    Returns:
        Force [N].

    References:
        Budynas and Nisbett, Mechanical Engineering Design, 9th ed., section 7-8, from memory.
    """
    return friction_share * pressure_pa * np.pi * joint_m * length_m


def holding_torque_n_m(
    joint_m: Amount, length_m: Amount, pressure_pa: Amount, friction_share: Amount
) -> Amount:
    """Torque that turns the inner part in the outer one.

    Args:
        joint_m: joint diameter [m].
        length_m: length of contact [m].
        pressure_pa: pressure at the joint [Pa].
        friction_share: friction coefficient.

    Returns:
        Torque [N m].
    """
    return push_out_n(joint_m, length_m, pressure_pa, friction_share) * joint_m / 2


def hot_interference_m(
    diametral_m: Amount,
    joint_m: Amount,
    inner_expansion_per_k: Amount,
    outer_expansion_per_k: Amount,
    inner_rise_k: Amount,
    outer_rise_k: Amount,
) -> Amount:
    """The interference once both parts have warmed, each by its own rise.

    Args:
        diametral_m: interference when cold [m].
        joint_m: joint diameter [m].
        inner_expansion_per_k: expansion of the inner part [1/K].
        outer_expansion_per_k: expansion of the outer part [1/K].
        inner_rise_k: how much the inner part has warmed [K].
        outer_rise_k: how much the outer part has warmed [K].

    Returns:
        Interference on the diameter; negative is a clearance [m].
    """
    return diametral_m + joint_m * (
        inner_expansion_per_k * inner_rise_k - outer_expansion_per_k * outer_rise_k
    )


def loose_rise_k(
    diametral_m: float,
    joint_m: float,
    inner_expansion_per_k: float,
    outer_expansion_per_k: float,
    inner_lead_k: float = 0.0,
) -> float:
    """How much the outer part may warm before nothing is left of the fit.

    Args:
        diametral_m: interference when cold [m].
        joint_m: joint diameter [m].
        inner_expansion_per_k: expansion of the inner part [1/K].
        outer_expansion_per_k: expansion of the outer part [1/K].
        inner_lead_k: how much warmer the inner part is than the outer one [K].

    Returns:
        Rise of the outer part; negative where it is loose already [K].

    Raises:
        NoAnswerError: the outer part grows no faster than the inner one, so warmth never frees it.
    """
    if outer_expansion_per_k <= inner_expansion_per_k:
        raise NoAnswerError(
            "the outer part grows no faster than the inner one", "warmth does not free this fit."
        )
    held_share = diametral_m / joint_m + inner_expansion_per_k * inner_lead_k
    return held_share / (outer_expansion_per_k - inner_expansion_per_k)


def fitting_rise_k(
    diametral_m: Amount, clearance_m: Amount, joint_m: Amount, outer_expansion_per_k: Amount
) -> Amount:
    """How much to warm the outer part so that the inner one drops in.

    Args:
        diametral_m: interference at equal temperature [m].
        clearance_m: clearance wanted [m].
        joint_m: joint diameter [m].
        outer_expansion_per_k: expansion of the outer part [1/K].

    Returns:
        Rise [K].
    """
    return (diametral_m + clearance_m) / (joint_m * outer_expansion_per_k)


def pressure_left_pa(rings: Rings, diametral_m: Amount, lost_m: Amount) -> Amount:
    """Pressure after some interference is lost to wear or heat; zero once all is lost.

    Args:
        rings: the two parts.
        diametral_m: interference to start with, negative where loose already [m].
        lost_m: loss on the diameter [m].

    Returns:
        Pressure at the joint [Pa].
    """
    left = diametral_m - lost_m
    return np.where(np.asarray(left) > NOTHING_M, left, 0.0) / _give(rings)


def mean_raceway_m(cup_od_m: float, cone_bore_m: float) -> float:
    """A stand-in for the mean raceway diameter of a cup, to treat the cup as a plain ring.

    Args:
        cup_od_m: outside diameter of the cup [m].
        cone_bore_m: bore of the cone [m].

    Returns:
        (4 D + d) / 5 [m].

    References:
        Rolling bearing makers' rule of thumb for outer raceways, from memory; a measured raceway is better.
    """
    return (4 * cup_od_m + cone_bore_m) / 5
