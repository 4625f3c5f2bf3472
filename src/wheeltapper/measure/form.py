"""The least-squares circle of measured points: where the centre is, how large it is, how far the points stray.

Geometric throughout: the distances themselves are made least. The usual short cut, which makes the error of the
circle's equation least, gives another circle on a short arc and is used here only as a place to start.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.measure.readings import columns, gap_rad
from wheeltapper.problems import NoAnswerError

MOST_STEPS = 500
STRAIGHT = 1e3  # a circle so many times as large as its points is a straight line to any gauge
PLAIN = 0.02  # scatter under this share of the radius: the circle is plain to see
SHORT_ARC = 5.0  # a radius over this many times the points' spread
WAYS = ((1, 0), (-1, 0), (0, 1), (0, -1), (0.7, 0.7), (0.7, -0.7), (-0.7, 0.7), (-0.7, -0.7))
STILL = 4e-16  # no step at all
CLOSE = 1e-7  # a step so small, of the circle's size, is near the end
DO_ARC = "take points round more of the circle."


@dataclass(frozen=True)
class Circle:
    """A circle fitted to points, and how far each stands outside (positive) or inside it, in the order given."""

    x_m: float
    y_m: float
    radius_m: float
    off_m: Floats
    angle_rad: Floats  # of each point, anticlockwise from x, seen from the centre
    normal: Floats  # matrix J'J for x, y, radius: what the placing of the points is worth

    @property
    def diameter_m(self) -> float:
        """Twice the radius."""
        return 2 * self.radius_m

    @property
    def sum_of_squares_m2(self) -> float:
        """What was made least."""
        return float(self.off_m @ self.off_m)

    @property
    def peak_to_valley_m(self) -> float:
        """Roundness about the least-squares circle, RONt: the highest point less the lowest."""
        return float(np.ptp(self.off_m))

    @property
    def root_mean_square_m(self) -> float:
        """RONq: the root of the mean square."""
        return float(np.sqrt(np.mean(self.off_m**2)))

    @property
    def arc_rad(self) -> float:
        """The arc that the points cover."""
        return 2 * np.pi - gap_rad(self.angle_rad)


def least_squares_circle(x_m: Sequence[float] | Floats, y_m: Sequence[float] | Floats) -> Circle:
    """The circle with the least sum of squared distances from the points, full or part.

    Args:
        x_m: first coordinates [m].
        y_m: second coordinates [m].

    Returns:
        The circle; through three points it passes exactly.

    Raises:
        NoAnswerError: fewer than three points apart, points on a straight line or as good as on one, lengths
            that differ, numbers not finite.

    References:
        W. Gander, G. H. Golub, R. Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994)
        558-578, section 3 (geometric fit by Gauss-Newton); ISO 12181-1:2011 for the name of the circle.
    """
    x, y = columns(x_m, y_m)
    middle, scale = _frame(x, y)
    points = np.column_stack([x - middle[0], y - middle[1]]) / scale
    best = _best(points)
    if best[2] > STRAIGHT:
        raise NoAnswerError("the points lie as near on a straight line as on any circle", DO_ARC)
    centre = points - best[:2]
    far = np.hypot(*centre.T)
    away = centre / far[:, None]
    slope = np.column_stack([away, np.ones(len(x))])
    return Circle(
        x_m=float(middle[0] + scale * best[0]),
        y_m=float(middle[1] + scale * best[1]),
        radius_m=float(scale * best[2]),
        off_m=scale * (far - best[2]),
        angle_rad=np.arctan2(centre[:, 1], centre[:, 0]),
        normal=slope.T @ slope,
    )


def circle_doubts_m(circle: Circle, doubt_m: float) -> tuple[float, float, float]:
    """What the gauge's doubt makes of centre and radius, by the number and placing of the points.

    On a full circle the radius is sure to doubt / sqrt(n) and the centre to doubt x sqrt(2 / n); on a short
    arc both grow without end. The part's own form error is not in it.

    Args:
        circle: a fitted circle.
        doubt_m: the gauge's expanded uncertainty of one point across the circle [m].

    Returns:
        Expanded uncertainties of centre x, centre y and radius [m]; the diameter's is twice the radius's.

    References:
        JCGM 100:2008 (GUM), 5.1.2 with the normal matrix of the fit.
    """
    spread = np.sqrt(np.diag(np.linalg.inv(circle.normal)))
    return float(doubt_m * spread[0]), float(doubt_m * spread[1]), float(doubt_m * spread[2])


def _frame(x: Floats, y: Floats) -> tuple[Floats, float]:
    """Middle and breadth of the points; a straight line of them is no circle."""
    if len({*zip(x.tolist(), y.tolist(), strict=True)}) < 3:
        raise NoAnswerError(
            "there are fewer than three points apart", "take at least four, better eight, evenly round."
        )
    middle = np.array([x.mean(), y.mean()])
    sizes = np.linalg.svd(np.column_stack([x, y]) - middle, compute_uv=False)
    reach = float(np.abs([x, y]).max())
    if sizes[1] <= 1e-9 * sizes[0] or sizes[1] <= 1e-14 * reach:
        raise NoAnswerError("the points lie on a straight line", DO_ARC)
    return middle, float(sizes[0] / np.sqrt(len(x)))


def _best(points: Floats) -> Floats:
    """Centre and radius of least squares; where the first end is not plainly a circle, others are sought too."""
    at, cost = _descend(points, _taubin(points))
    if cost <= len(points) * (PLAIN * at[2]) ** 2 and at[2] < SHORT_ARC:
        return at
    others = [_round(points, far * np.array(way)) for far in (0.0, 0.5, 2.0, 8.0) for way in WAYS]
    ends = [(at, cost)] + [_descend(points, start) for start in others]
    return min(ends, key=lambda end: end[1])[0]


def _round(points: Floats, centre: Floats) -> Floats:
    return np.array([*centre, np.hypot(*(points - centre).T).mean()])


def _taubin(points: Floats) -> Floats:
    """Taubin's algebraic circle, near the true one whenever the points look like a circle at all."""
    square = np.einsum("ij,ij->i", points, points)
    mean = float(square.mean())
    shape = np.column_stack([(square - mean) / (2 * np.sqrt(mean)), points])
    normal = np.linalg.svd(shape, full_matrices=False)[2][-1]
    lead = normal[0] / (2 * np.sqrt(mean))
    if abs(lead) * STRAIGHT <= np.hypot(normal[1], normal[2]):
        return _round(points, np.zeros(2))
    return _round(points, -normal[1:] / (2 * lead))


def _descend(points: Floats, start: Floats) -> tuple[Floats, float]:
    """Levenberg-Marquardt on the true distances from one start: the circle and its sum of squares.

    Close to the end the sum of squares no longer tells one step from another, so there steps are taken for
    as long as they shrink.
    """
    at, damp, last = start, 0.0, np.inf
    slope, off = _slope(points, at)
    for _ in range(MOST_STEPS):
        step = _step(slope, off, damp)
        size = float(np.abs(step).max()) / max(1.0, abs(at[2]))
        if at[2] > 10 * STRAIGHT or size <= STILL or (size < CLOSE and size >= last):
            break
        next_slope, next_off = _slope(points, at + step)
        if size < CLOSE or next_off @ next_off < off @ off:
            at, slope, off, last = at + step, next_slope, next_off, size
            damp = damp / 10 if damp > 1e-9 else 0.0
        else:
            damp = max(10 * damp, 1e-4)
    return at, float(off @ off)


def _step(slope: Floats, off: Floats, damp: float) -> Floats:
    """Gauss-Newton step, shortened by the damping."""
    if damp:
        slope = np.vstack([slope, np.sqrt(damp * len(off)) * np.eye(3)])
        off = np.append(off, np.zeros(3))
    return np.asarray(np.linalg.lstsq(slope, off, rcond=None)[0], float)


def _slope(points: Floats, at: Floats) -> tuple[Floats, Floats]:
    """Change of each distance with centre and radius, and how far each point is off."""
    away = points - at[:2]
    far = np.hypot(*away.T)
    slope = np.column_stack([away / np.where(far > 0, far, 1.0)[:, None], np.ones(len(points))])
    return slope, far - at[2]
