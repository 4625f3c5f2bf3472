"""Where a lining of one radius touches a drum of another, and what must wear off before all of it does.

Arcs are true circles, shoe and drum lie parallel and square, nothing bends; angles are seen from the drum's
centre, from the middle of the lining. A lining rounder than the drum touches at its crown, a flatter one at heel
and toe. The shoe is taken to move straight at its crown: one that swings about an anchor beds in unevenly, so the
depths here are least, not most. Wear over distance is in `wear.py`.
"""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np

from wheeltapper.measure.number import Floats, Num
from wheeltapper.problems import NoAnswerError


def touching_offset_m(drum_radius_m: Num, shoe_radius_m: Num, half_arc_rad: Num) -> Num:
    """How far the lining's centre lies from the drum's, toward the crown, when the lining first touches.

    Args:
        drum_radius_m: radius of the drum's friction surface [m].
        shoe_radius_m: radius of the lining's face [m].
        half_arc_rad: half of the lining's arc [rad].

    Returns:
        Offset, under zero where heel and toe touch first [m].

    Raises:
        NoAnswerError: a radius or an arc that makes no shoe in a drum.

    References:
        Law of cosines at the point that touches: the crown where r < R, heel and toe where r > R.
    """
    _shoe(drum_radius_m, shoe_radius_m, half_arc_rad)
    crown = drum_radius_m - shoe_radius_m
    ends = _ends_offset(drum_radius_m, shoe_radius_m, half_arc_rad)
    offset: Num = _pick(crown >= 0, crown, ends)
    return offset


def bedded_offset_m(drum_radius_m: Num, shoe_radius_m: Num, half_arc_rad: Num) -> Num:
    """The same offset once the lining has worn until all of its arc touches.

    Args:
        drum_radius_m: radius of the drum's friction surface [m].
        shoe_radius_m: radius of the lining's face when it was fitted [m].
        half_arc_rad: half of the lining's arc [rad].

    Returns:
        Offset of the lining's first centre from the drum's [m].

    Raises:
        NoAnswerError: a radius or an arc that makes no shoe in a drum.

    References:
        The place that touched last is unworn: heel and toe where r < R, the crown where r > R.
    """
    _shoe(drum_radius_m, shoe_radius_m, half_arc_rad)
    crown = drum_radius_m - shoe_radius_m
    ends = _ends_offset(drum_radius_m, shoe_radius_m, half_arc_rad)
    offset: Num = _pick(crown >= 0, ends, crown)
    return offset


def _ends_offset(drum: Num, shoe: Num, half_arc: Num) -> Floats:
    """Offset at which heel and toe lie on the drum."""
    offset: Floats = drum * np.cos(half_arc) - np.sqrt(shoe**2 - (drum * np.sin(half_arc)) ** 2)
    return offset


def _shoe(drum: Num, shoe: Num, half_arc: Num) -> None:
    fits = (drum > 0) & (shoe > drum * np.sin(half_arc)) & (half_arc > 0) & (half_arc < pi / 2)
    if not np.all(fits):
        raise NoAnswerError(
            "no shoe of this radius and arc lies in this drum",
            "give radii, not diameters, of nearly the same size, and half of the lining's arc, under 90 degrees.",
        )


def _pick(when: Any, yes: Any, no: Any) -> Any:
    """One or the other at each corner; a plain number where numbers were given."""
    return np.where(when, yes, no)[()]


def gap_m(drum_radius_m: Num, shoe_radius_m: Num, offset_m: Num, angle_rad: Num) -> Num:
    """Gap between lining and drum along a line from the drum's centre.

    Args:
        drum_radius_m: radius of the drum's friction surface [m].
        shoe_radius_m: radius of the lining's face [m].
        offset_m: how far the lining's centre lies from the drum's, toward the crown [m].
        angle_rad: angle from the crown [rad].

    Returns:
        Gap; under zero it is the depth that must wear away for the lining to stand there [m].

    References:
        Polar form of a circle about a point beside its centre: e cos t + sqrt(r^2 - e^2 sin^2 t).
    """
    reach: Num = offset_m * np.cos(angle_rad) + np.sqrt(
        shoe_radius_m**2 - (offset_m * np.sin(angle_rad)) ** 2
    )
    return drum_radius_m - reach


def angle_of_gap_rad(drum_radius_m: Num, shoe_radius_m: Num, offset_m: Num, gap_limit_m: Num) -> Num:
    """Angle from the crown at which the gap is just as wide as a limit, exact.

    Args:
        drum_radius_m: radius of the drum's friction surface [m].
        shoe_radius_m: radius of the lining's face [m].
        offset_m: how far the lining's centre lies from the drum's, toward the crown [m].
        gap_limit_m: the gap [m].

    Returns:
        Angle, 0 or pi where no place along the circle has that gap [rad].

    Raises:
        NoAnswerError: lining and drum have one centre, so the gap is the same everywhere.

    References:
        Law of cosines, cos t = ((R - g)^2 + e^2 - r^2) / (2 e (R - g)).
    """
    if not np.all(offset_m != 0):
        raise NoAnswerError("the gap is the same all along the arc", "compare the gap itself with the limit.")
    reach = drum_radius_m - gap_limit_m
    cosine = (reach**2 + offset_m**2 - shoe_radius_m**2) / (2 * offset_m * reach)
    angle: Num = np.arccos(np.clip(cosine, -1, 1))
    return angle


def touching_share(drum_radius_m: Num, shoe_radius_m: Num, half_arc_rad: Num, gap_limit_m: Num) -> Num:
    """Share of the arc that lies within a gap limit when a new lining first touches.

    Args:
        drum_radius_m: radius of the drum's friction surface [m].
        shoe_radius_m: radius of the lining's face [m].
        half_arc_rad: half of the lining's arc [rad].
        gap_limit_m: a gap still taken as contact, more than zero [m].

    Returns:
        Share, 1 where all of the arc is within the limit.

    Raises:
        NoAnswerError: a radius, an arc or a limit that makes no sense.

    References:
        As angle_of_gap_rad: about the crown where r < R, from heel and toe where r > R.
    """
    if not np.all(gap_limit_m > 0):
        raise NoAnswerError("a gap limit is not more than zero", "give the feeler that you call contact.")
    offset = touching_offset_m(drum_radius_m, shoe_radius_m, half_arc_rad)
    alike = offset == 0
    angle = angle_of_gap_rad(drum_radius_m, shoe_radius_m, offset + 1.0 * alike, gap_limit_m)
    inside = np.where(offset > 0, angle, half_arc_rad - angle) / half_arc_rad
    share: Num = _pick(alike, 1.0, np.clip(inside, 0, 1))
    return share


def wear_in_area_m2(drum_radius_m: Num, shoe_radius_m: Num, half_arc_rad: Num) -> Num:
    """Area of the lining's side view that must wear away until all of the arc touches; times the width, the volume.

    Args:
        drum_radius_m: radius of the drum's friction surface [m].
        shoe_radius_m: radius of the lining's face when it was fitted [m].
        half_arc_rad: half of the lining's arc [rad].

    Returns:
        Area [m2].

    Raises:
        NoAnswerError: a radius or an arc that makes no shoe in a drum.

    References:
        Sector of a circle seen from a point beside its centre, r^2 t + e r sin t with t the angle about its own
        centre, less the drum's sector R^2 a; by Green's theorem.
    """
    offset = bedded_offset_m(drum_radius_m, shoe_radius_m, half_arc_rad)
    own: Num = half_arc_rad + np.arcsin(offset * np.sin(half_arc_rad) / shoe_radius_m)
    sector: Num = shoe_radius_m**2 * own + offset * shoe_radius_m * np.sin(own)
    return sector - drum_radius_m**2 * half_arc_rad


def wear_in_depth_m(drum_radius_m: Num, shoe_radius_m: Num, half_arc_rad: Num) -> Num:
    """Most thickness that bedding in takes: at the crown where r < R, at heel and toe where r > R.

    Args:
        drum_radius_m: radius of the drum's friction surface [m].
        shoe_radius_m: radius of the lining's face when it was fitted [m].
        half_arc_rad: half of the lining's arc [rad].

    Returns:
        Thickness, measured toward the drum's centre [m].

    Raises:
        NoAnswerError: a radius or an arc that makes no shoe in a drum.

    References:
        gap_m with the offset of the bedded lining.
    """
    offset = bedded_offset_m(drum_radius_m, shoe_radius_m, half_arc_rad)
    where: Num = _pick(drum_radius_m >= shoe_radius_m, 0.0, half_arc_rad)
    depth: Num = -gap_m(drum_radius_m, shoe_radius_m, offset, where)
    return depth


def segment_height_m(radius_m: Num, arc_rad: Num) -> Num:
    """Height of a circular segment.

    Args:
        radius_m: radius of the circle [m].
        arc_rad: whole angle of its arc [rad].

    Returns:
        Height from chord to crown [m].

    References:
        Machinery's Handbook, segments of circles; from memory.
    """
    height: Num = 2 * radius_m * np.sin(arc_rad / 4) ** 2
    return height


def segment_chord_m(radius_m: Num, arc_rad: Num) -> Num:
    """Chord of a circular segment.

    Args:
        radius_m: radius of the circle [m].
        arc_rad: whole angle of its arc [rad].

    Returns:
        Length of the chord [m].

    References:
        Machinery's Handbook, segments of circles; from memory.
    """
    chord: Num = 2 * radius_m * np.sin(arc_rad / 2)
    return chord


def segment_area_m2(radius_m: Num, arc_rad: Num) -> Num:
    """Area of a circular segment.

    Args:
        radius_m: radius of the circle [m].
        arc_rad: whole angle of its arc [rad].

    Returns:
        Area between chord and arc [m2].

    References:
        Machinery's Handbook, segments of circles; from memory.
    """
    area: Num = radius_m**2 / 2 * (arc_rad - np.sin(arc_rad))
    return area
