"""How flat a face is: the two parallel planes closest together that hold every point, square to the face itself.

A tilt of the whole face does not count, however strong. Three points on one plane and one on the other, or two
and two with their edges crossing, may hold the planes: a two-lobed hub face needs the second kind. Says nothing
of places between the points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheeltapper.measure.harmonics import Blind, Harmonics
from wheeltapper.measure.minimax import least_spread, minimax
from wheeltapper.measure.number import Floats
from wheeltapper.measure.readings import Place, columns
from wheeltapper.measure.trace import trace
from wheeltapper.problems import NoAnswerError

MOST_STEPS = 60
MOST_TRIED = 40  # points up to which every pair of edges is tried where the short proof fails
AT_ONCE = 20_000
FLAT = 1e-12  # of the face's breadth: a zone so thin is a true plane
SAME = 1e-9  # of the zone: points closer than this are equally high
MANY = "take at least four points, better eight or more, spread over the face."


@dataclass(frozen=True)
class Zone:
    """Two parallel planes with all points between them, as close as they go."""

    width_m: float
    normal: tuple[float, float, float]  # of unit length, towards positive z
    off_m: Floats  # each point over the middle plane, square to it
    contacts: tuple[int, ...]
    sides: tuple[int, ...]  # +1 on the upper plane, -1 on the lower
    proven: bool  # no other pair of planes is closer

    @property
    def kind(self) -> str:
        """Which contacts hold the planes: '3-1' or '2-2'."""
        up = self.sides.count(1)
        return f"{max(up, 4 - up)}-{min(up, 4 - up)}"


@dataclass(frozen=True)
class Flatness:
    """A face about its least-squares plane, and between its closest planes."""

    least_squares_m: float  # peak to valley about the least-squares plane, FLTt
    root_mean_square_m: float
    normal: tuple[float, float, float]
    off_m: Floats  # each point over (positive) or under the least-squares plane, square to it
    tilt_rad: float  # of the least-squares plane against z
    uphill_rad: float  # the way that z rises most, anticlockwise from x
    zone: Zone
    doubt_tilt_rad: float  # by the gauge's doubt and the placing of the points, in the worst direction

    @property
    def high(self) -> tuple[int, ...]:
        """Points in the top quarter of the zone, highest first."""
        return _extreme(self.zone.off_m, self.off_m)

    @property
    def low(self) -> tuple[int, ...]:
        """Points in the bottom quarter of the zone, lowest first."""
        return _extreme(-self.zone.off_m, -self.off_m)


@dataclass(frozen=True)
class FaceRunout:
    """A dial held against a face at one radius: what is wobble, and what is warp."""

    total_m: float  # total axial run-out
    wobble_m: float  # the part that tilt alone makes: twice the amplitude of the first wave
    wobble_at: Place  # where tilt stands out most
    tilt_rad: float | None  # needs the radius
    warp_m: float  # what is left, peak to valley about the tilted plane
    warp_zone_m: float  # the same by the minimum zone
    waves: Harmonics
    high: tuple[Place, ...]  # places that stand out once the tilt is taken off
    low: tuple[Place, ...]
    blind: Blind  # warp of so many lobes passes for tilt or for nothing


def flatness(
    x_m: Sequence[float] | Floats,
    y_m: Sequence[float] | Floats,
    z_m: Sequence[float] | Floats,
    doubt_m: float = 0.0,
) -> Flatness:
    """Flatness by least squares and by the true minimum zone, both square to the face.

    Args:
        x_m: first coordinates in the face [m].
        y_m: second coordinates in the face [m].
        z_m: heights [m].
        doubt_m: the gauge's expanded uncertainty of a height, k = 2 [m].

    Returns:
        Both values with planes, contacts and the points that stand out.

    Raises:
        NoAnswerError: fewer than four points apart, points in one line, lengths that differ, numbers
            not finite.

    References:
        ISO 12781-1:2011 (FLTt); ISO 1101 (zone between two parallel planes); the two kinds of contacts: T. S. R.
        Murthy and S. Z. Abdin, Minimum zone evaluation of surfaces, Int. J. Machine Tool Design and Research 20
        (1980) 123-136 (from memory).
    """
    points = np.column_stack(columns(x_m, y_m, z_m))
    if len(np.unique(points, axis=0)) < 4:
        raise NoAnswerError("three points always lie on a plane", MANY)
    points = points - points.mean(axis=0)
    _, size, ways = np.linalg.svd(points, full_matrices=False)
    if size[1] <= 1e-9 * size[0]:
        raise NoAnswerError("the points lie on a straight line", MANY)
    normal = _upward(ways[2])
    off = points @ normal
    return Flatness(
        least_squares_m=float(np.ptp(off)),
        root_mean_square_m=float(np.sqrt(np.mean(off**2))),
        normal=_three(normal),
        off_m=off,
        tilt_rad=float(np.arctan2(np.hypot(normal[0], normal[1]), normal[2])),
        uphill_rad=float(np.arctan2(-normal[1], -normal[0])) if np.hypot(*normal[:2]) else 0.0,
        zone=_zone(points, ways),
        doubt_tilt_rad=float(doubt_m / size[1]),
    )


def face_points_m(
    angle_rad: Sequence[float] | Floats, radius_m: Sequence[float] | Floats
) -> tuple[Floats, Floats]:
    """Where points of a face stand: x to the right and y up as seen from outside, stud 1 at the top.

    Args:
        angle_rad: clockwise from stud 1 [rad].
        radius_m: distance from the axis, one for each point or one for all [m].

    Returns:
        The coordinates x and y [m].

    Raises:
        NoAnswerError: the lengths differ, numbers not finite, a radius of less than zero.
    """
    radius = np.asarray(radius_m, float)
    angle, radius = columns(angle_rad, np.full(np.size(angle_rad), radius) if radius.size == 1 else radius)
    if (radius < 0).any():
        raise NoAnswerError("a radius is less than zero", "give distances from the axis.")
    return radius * np.sin(angle), radius * np.cos(angle)


def face_runout(
    angle_rad: Sequence[float] | Floats | None,
    reading_m: Sequence[float] | Floats,
    doubt_m: float = 0.0,
    radius_m: float | None = None,
) -> FaceRunout:
    """Axial run-out of one circle of a face, its tilt told apart from its warp.

    A dish or a cone reads the same all the way round, so one circle cannot see it; end play of the bearing
    goes into the readings as if it were the face.

    Args:
        angle_rad: where each was read, clockwise from stud 1; None: evenly, the first at stud 1 [rad].
        reading_m: dial readings, more is further out [m].
        doubt_m: the dial's expanded uncertainty, k = 2 [m].
        radius_m: radius of the circle, for the tilt as an angle [m].

    Returns:
        Total, wobble and warp.

    Raises:
        NoAnswerError: readings at fewer than four places, lengths that differ, numbers not finite, a
            radius of zero or less.
    """
    if radius_m is not None and radius_m <= 0:
        raise NoAnswerError(
            "the radius is zero or less", "give the distance from the axis to the dial's point."
        )
    seen = trace(angle_rad, reading_m, doubt_m)
    first = seen.eccentricity
    return FaceRunout(
        total_m=seen.total_m,
        wobble_m=2 * first.amplitude_m,
        wobble_at=Place.at(first.angle_rad, first.amplitude_m),
        tilt_rad=None if radius_m is None else float(np.arctan2(first.amplitude_m, radius_m)),
        warp_m=seen.roundness_m,
        warp_zone_m=seen.zone_m,
        waves=seen.waves,
        high=seen.far,
        low=seen.near,
        blind=seen.blind,
    )


def _extreme(off: Floats, over: Floats) -> tuple[int, ...]:
    """Highest first. Several points always carry a zone: of those, first what stands furthest over the least-squares plane, then what was read first."""
    order = np.lexsort((_steps(over), _steps(off)))
    return tuple(int(i) for i in order if off[i] >= off.max() - np.ptp(off) / 4)


def _steps(off: Floats) -> Floats:
    """Down from the highest, in steps so small that points on one step differ by rounding alone."""
    steps: Floats = np.rint((off.max() - off) / (np.ptp(off) * SAME or 1.0))
    return steps


def _upward(normal: Floats) -> Floats:
    """The same direction with its last part that is not nothing more than zero."""
    last = normal[np.flatnonzero(np.abs(normal) > 1e-15)[-1]]
    return normal if last > 0 else -normal


def _three(normal: Floats) -> tuple[float, float, float]:
    return float(normal[0]), float(normal[1]), float(normal[2])


def _zone(points: Floats, ways: Floats) -> Zone:
    """The closest planes: down from the least-squares plane, and by trying all where that is not proven."""
    zone = _descend(points, ways)
    if zone.proven or len(points) > MOST_TRIED:
        return zone
    normal, width = _tried(points)
    if width < zone.width_m:
        zone = _descend(points, _frame(normal))
    return replace(zone, proven=True)


def _frame(normal: Floats) -> Floats:
    """Two directions in the plane, and its normal."""
    return np.asarray(np.linalg.svd(normal[None])[2][[1, 2, 0]])


def _descend(points: Floats, ways: Floats) -> Zone:
    """Minimum zone of heights over a plane, seen square to the plane found, until that stands still."""
    start: tuple[int, ...] = ()
    for _ in range(MOST_STEPS):
        flat, height = points @ ways[:2].T, points @ ways[2]
        found = minimax(np.column_stack([np.ones(len(points)), flat]), height, start)
        start = found.contacts
        slope = found.unknowns[1:]
        normal = ways[2] - slope @ ways[:2]
        ways = _frame(normal / np.linalg.norm(normal))
        if np.abs(slope).max() <= 1e-14:
            break
    turn = 1 if _upward(ways[2]) @ ways[2] > 0 else -1
    flat, height = points @ ways[:2].T, turn * (points @ ways[2])
    off = height - (height.max() + height.min()) / 2
    width = float(np.ptp(off))
    sides = tuple(turn * side for side in found.sides)
    proven = _proven(flat, off, width, least_spread(flat, flat))
    return Zone(width, _three(turn * ways[2]), off, found.contacts, sides, proven)


def _proven(flat: Floats, off: Floats, width: float, breadth: float) -> bool:
    """Can no other pair of planes, tilted little or much against these, be closer?

    Tilted by slope s, the zone is at least (width + pull s) / sqrt(1 + s^2), where pull is how fast the touching
    points spread, and at least (breadth s - width) / sqrt(1 + s^2). Proven where the two ranges of s overlap.
    """
    if width <= FLAT * max(breadth, 0.0):
        return True
    if breadth <= width:
        return False
    near = width / 2 * (1 - 1e-9)
    pull = least_spread(flat[off >= near], flat[off <= -near])
    return bool(2 * width / (breadth - width) <= 2 * pull / width)


def _tried(points: Floats) -> tuple[Floats, float]:
    """The best normal of all: square to two edges, which covers three points as well."""
    first, second = np.triu_indices(len(points), 1)
    along = points[second] - points[first]
    one, two = np.triu_indices(len(along), 1)
    best, least = np.array([0.0, 0.0, 1.0]), np.inf
    for at in range(0, len(one), AT_ONCE):
        normals = np.cross(along[one[at : at + AT_ONCE]], along[two[at : at + AT_ONCE]])
        length = np.linalg.norm(normals, axis=1)
        can = length > 1e-12 * float(np.abs(along).max()) ** 2
        normals = normals[can] / length[can, None]
        widths = np.ptp(normals @ points.T, axis=1)
        if len(widths) and widths.min() < least:
            best, least = normals[widths.argmin()], float(widths.min())
    return best, least
