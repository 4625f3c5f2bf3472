"""Stud and clamped parts as two springs, and the load that their friction carries.

A stud stretches by a few hundredths of a millimetre: paint, rust or a seat that beds in takes that back, and the
clamp with it. How much depends on both springs, so both are arguments; where a joint's own is not known, ask
with the softest and the stiffest. Plates stay elastic and their faces flat; a stud that yielded is outside this.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

import numpy as np

from wheeltapper.measure.number import Num
from wheeltapper.problems import NoAnswerError

CONE_RAD = pi / 6  # half angle of the pressure cone that the textbooks use


def rod_n_per_m(areas_m2: Sequence[Num], lengths_m: Sequence[Num], modulus_pa: Num) -> Num:
    """Stiffness of a stud of sections in series: plain shank, then thread in the grip.

    Args:
        areas_m2: cross-section of each part; of thread the tensile stress area [m2].
        lengths_m: length of each part within the grip [m].
        modulus_pa: elastic modulus [Pa].

    Returns:
        Stiffness [N/m].

    Raises:
        NoAnswerError: no section, or one whose area or length makes no sense.

    References:
        Shigley's Mechanical Engineering Design, section 8-4, equation (8-17) for two sections.
    """
    sections = list(zip(areas_m2, lengths_m, strict=False))
    sound = len(areas_m2) == len(lengths_m) and all(np.all((a > 0) & (n >= 0)) for a, n in sections)
    if not sound or not np.all(sum(lengths_m) > 0) or not np.all(modulus_pa > 0):
        raise NoAnswerError(
            "a stud needs sections with an area and a length, and a modulus",
            "give the stress area, the grip and the steel's modulus, more than zero.",
        )
    give = sum(length / area for area, length in sections)
    stiffness: Num = modulus_pa / give
    return stiffness


def clamped_n_per_m(
    thicknesses_m: Sequence[Num],
    moduli_pa: Sequence[Num],
    hole_m: Num,
    face_m: Num,
    half_angle_rad: float = CONE_RAD,
) -> Num:
    """Stiffness of clamped layers: pressure cones spread from both faces and meet halfway through the grip.

    Args:
        thicknesses_m: layers from one face to the other [m].
        moduli_pa: elastic modulus of each layer [Pa].
        hole_m: diameter of the hole, or of the stud as the textbook takes it [m].
        face_m: outside diameter of nut or head where it presses [m].
        half_angle_rad: half angle of the cone [rad].

    Returns:
        Stiffness [N/m].

    Raises:
        NoAnswerError: the face is not wider than the hole, or a layer has no thickness or modulus.

    References:
        Shigley's Mechanical Engineering Design, section 8-5, equations (8-18) and (8-19); 30 degrees is its choice.
    """
    layers = list(zip(thicknesses_m, moduli_pa, strict=False))
    sound = bool(layers) and len(thicknesses_m) == len(moduli_pa) and 0 < half_angle_rad < pi / 2
    if (
        not sound
        or not all(np.all((t > 0) & (e > 0)) for t, e in layers)
        or not np.all((hole_m > 0) & (face_m > hole_m))
    ):
        raise NoAnswerError(
            "this joint cannot be pressed together",
            "give layers thicker than zero, a modulus for each, a nut face wider than the hole and a cone under 90 degrees.",
        )
    spread = float(np.tan(half_angle_rad))
    whole = sum(thicknesses_m)
    give = start = 0.0 * hole_m
    for thick, modulus in layers:
        near: Num = np.clip(whole / 2 - start, 0, thick)  # the part of this layer in the first cone
        far = whole - start - thick
        for depth, length in ((start, near), (far, thick - near)):
            give = give + _cone_give(length, hole_m, face_m + 2 * depth * spread, spread, modulus)
        start = start + thick
    return 1 / give


def _cone_give(length: Num, hole: Num, face: Num, spread: float, modulus: Num) -> Num:
    """What one frustum gives under 1 N; nothing where it has no length."""
    wide = 2 * length * spread + face
    give: Num = np.log((wide - hole) * (face + hole) / ((wide + hole) * (face - hole)))
    return give / (pi * modulus * hole * spread)


def series_n_per_m(stud_n_per_m: Num, joint_n_per_m: Num) -> Num:
    """Stud and joint as one spring: both give under the same force.

    Args:
        stud_n_per_m: stiffness of the stud [N/m].
        joint_n_per_m: stiffness of what it clamps, infinite where it is taken as rigid [N/m].

    Returns:
        Stiffness [N/m].

    Raises:
        NoAnswerError: a stiffness is not more than zero.

    References:
        VDI 2230 Part 1 (2003), resiliences of bolt and plates add, dS + dP.
    """
    if not np.all((stud_n_per_m > 0) & (joint_n_per_m > 0)):
        raise NoAnswerError(
            "a stiffness is not more than zero", "give both stiffnesses, or the sizes they follow from."
        )
    return 1 / (1 / stud_n_per_m + 1 / joint_n_per_m)


def turn_rad(preload_n: Num, stiffness_n_per_m: Num, pitch_m: Num) -> Num:
    """How far a snug nut must turn for a pull.

    Args:
        preload_n: pull [N].
        stiffness_n_per_m: stud and joint together, or the stud alone in a rigid joint [N/m].
        pitch_m: pitch [m].

    Returns:
        Angle past snug [rad].

    Raises:
        NoAnswerError: stiffness or pitch is not more than zero.

    References:
        T. H. Wentzell, Machine Design, example 6.2, with a rigid joint; Shigley, problem on the turn of the nut.
    """
    _springy(stiffness_n_per_m, pitch_m)
    return 2 * pi * preload_n / (stiffness_n_per_m * pitch_m)


def turned_preload_n(turned_rad: Num, stiffness_n_per_m: Num, pitch_m: Num) -> Num:
    """Pull that a turn of a snug nut gives, and as well the pull that was lost where a nut takes that turn again.

    Args:
        turned_rad: angle [rad].
        stiffness_n_per_m: stud and joint together [N/m].
        pitch_m: pitch [m].

    Returns:
        Pull [N].

    Raises:
        NoAnswerError: stiffness or pitch is not more than zero.

    References:
        As turn_rad, turned round.
    """
    _springy(stiffness_n_per_m, pitch_m)
    return turned_rad / (2 * pi) * pitch_m * stiffness_n_per_m


def _springy(stiffness: Num, pitch: Num) -> None:
    if not np.all((stiffness > 0) & (pitch > 0)):
        raise NoAnswerError(
            "a stiffness or a pitch is not more than zero", "give the stud's pitch, area and grip."
        )


def settled_preload_n(settled_m: Num, stiffness_n_per_m: Num) -> Num:
    """Pull lost when faces move together: bedding in, or paint and rust that go away.

    Args:
        settled_m: how much thinner the grip became, over all its faces [m].
        stiffness_n_per_m: stud and joint together [N/m].

    Returns:
        Pull lost [N].

    References:
        VDI 2230 Part 1 (2003), step R4, FZ = fZ / (dS + dP); from memory.
    """
    return settled_m * stiffness_n_per_m


def heating_k(stretch_m: Num, grip_m: Num, expansion_per_k: Num) -> Num:
    """How much hotter a free stud must be to be longer by a stretch.

    Args:
        stretch_m: how much longer [m].
        grip_m: length that is warmed [m].
        expansion_per_k: expansion of the stud [1/K].

    Returns:
        Temperature rise [K].

    Raises:
        NoAnswerError: grip or expansion is not more than zero.

    References:
        T. H. Wentzell, Machine Design, example 6.3.
    """
    if not np.all((grip_m > 0) & (expansion_per_k > 0)):
        raise NoAnswerError("a grip or an expansion is not more than zero", "give both, more than zero.")
    return stretch_m / (grip_m * expansion_per_k)


def heated_preload_n(
    stiffness_n_per_m: Num, grip_m: Num, joint_per_k: Num, stud_per_k: Num, rise_k: Num
) -> Num:
    """Change of the pull when stud and joint warm up alike: a joint that grows more tightens the stud.

    Args:
        stiffness_n_per_m: stud and joint together [N/m].
        grip_m: grip [m].
        joint_per_k: expansion of what is clamped [1/K].
        stud_per_k: expansion of the stud [1/K].
        rise_k: temperature rise of both [K].

    Returns:
        Change, more than zero where the pull grows [N].

    References:
        VDI 2230 Part 1 (2003), thermal change of preload, moduli taken as unchanged; from memory.
    """
    return stiffness_n_per_m * grip_m * (joint_per_k - stud_per_k) * rise_k


def stud_shear_n(twist_n_m: Num, push_n: Num, studs: Num, circle_m: Num) -> Num:
    """Load across the most loaded stud of a circle: its part of a twist and of a push, as if both pointed one way.

    Args:
        twist_n_m: torque about the wheel's axis [N m].
        push_n: force in the plane of the face [N].
        studs: number of studs.
        circle_m: diameter of the bolt circle [m].

    Returns:
        Force in the plane of the face [N].

    Raises:
        NoAnswerError: fewer than two studs, or no circle.

    References:
        Shigley's Mechanical Engineering Design, section 8-12, eccentric shear: V / n and M r / sum r^2.
    """
    _round(studs, circle_m, 2)
    return twist_n_m / (studs * circle_m / 2) + push_n / studs


def stud_pull_n(moment_n_m: Num, pull_n: Num, studs: Num, circle_m: Num) -> Num:
    """Load along the most loaded stud of a circle from a moment that tips the wheel, and from a pull on the whole.

    Args:
        moment_n_m: moment about a line in the plane of the face [N m].
        pull_n: force that pulls the wheel off [N].
        studs: number of studs, evenly spaced.
        circle_m: diameter of the bolt circle [m].

    Returns:
        Force along the stud [N].

    Raises:
        NoAnswerError: fewer than three studs, or no circle.

    References:
        Rigid face turning about the middle of the circle: M r / sum (r sin)^2 = 2 M / (n r); by equilibrium.
    """
    _round(studs, circle_m, 3)
    return 2 * moment_n_m / (studs * circle_m / 2) + pull_n / studs


def _round(studs: Num, circle: Num, least: int) -> None:
    if not np.all((studs >= least) & (circle > 0)):
        raise NoAnswerError(
            f"this takes at least {least} studs on a circle",
            "count the studs and give the bolt circle's diameter.",
        )


def clamp_needed_n(shear_n: Num, pull_n: Num, friction_share: Num) -> Num:
    """Clamp that one stud must give so that its part of the face neither slips nor opens.

    Args:
        shear_n: load across the stud, carried by friction alone [N].
        pull_n: load along the stud, all of it taken off the clamp, which is the cautious way [N].
        friction_share: friction between the faces, the least that may be there.

    Returns:
        Clamp needed at this stud [N].

    Raises:
        NoAnswerError: the friction is not more than zero.

    References:
        VDI 2230 Part 1 (2003), step R2, FKQ = FQ / (qF muT) and the load along the bolt on top; from memory.
    """
    if not np.all(friction_share > 0):
        raise NoAnswerError("without friction no clamp holds a wheel", "give a friction more than zero.")
    return shear_n / friction_share + pull_n
