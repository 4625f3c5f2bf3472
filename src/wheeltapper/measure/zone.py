"""The narrowest ring that holds the points, and the largest and smallest circles that touch them.

The ring is settled by exchange on the distances, step by step about a moving centre, then proven: two points
outside and two inside in turn, and no other centre can be better. Where that proof fails (few points, a short
arc, a form far from round) every pair of supports is tried. No limit and no verdict live here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.form import DO_ARC, STRAIGHT, Circle
from wheeltapper.measure.minimax import Minimax, least_spread, minimax
from wheeltapper.measure.number import Floats
from wheeltapper.measure.readings import gap_rad
from wheeltapper.problems import NoAnswerError

MOST_STEPS = 60
MOST_TRIED = 40  # points up to which every pair of supports is tried: 300,000 centres
AT_ONCE = 20_000  # centres tried at once, to bound the memory
TOUCHES = 1e-9  # of the outer radius: a ring so thin is a perfect circle
Cost = Callable[[Floats, Floats], Floats]


@dataclass(frozen=True)
class Ring:
    """Two circles about one centre with all points between them, as close as they go."""

    x_m: float
    y_m: float
    inner_m: float
    outer_m: float
    contacts: tuple[int, ...]  # the points that hold it, in order of angle
    sides: tuple[int, ...]  # +1 outside, -1 inside: in turn at an optimum
    proven: bool  # no other centre gives less

    @property
    def width_m(self) -> float:
        """Roundness by the minimum zone."""
        return self.outer_m - self.inner_m

    @property
    def alternates(self) -> bool:
        """Do outer and inner contacts follow each other in turn round the circle?"""
        return all(a != b for a, b in zip(self.sides, (*self.sides[1:], self.sides[0]), strict=True))


@dataclass(frozen=True)
class Touching:
    """A circle that touches the points from one side."""

    x_m: float
    y_m: float
    radius_m: float
    contacts: tuple[int, ...]


def minimum_zone_circle(circle: Circle, x_m: Sequence[float] | Floats, y_m: Sequence[float] | Floats) -> Ring:
    """The two concentric circles closest together that have every point between them.

    Args:
        circle: the least-squares circle of the same points, to start from.
        x_m: first coordinates [m].
        y_m: second coordinates [m].

    Returns:
        The ring, with its four contacts and whether it is proven to be the narrowest of all.

    Raises:
        NoAnswerError: fewer than four points apart, or an arc too short to settle a centre.

    References:
        ISO 12181-1:2011 (minimum zone reference circles); T. J. Rivlin, Approximation by circles, Computing 21
        (1979) 93-104 for the four contacts in turn (both from memory).
    """
    points = np.column_stack([x_m, y_m])
    if len({*map(tuple, points.tolist())}) < 4:
        raise NoAnswerError(
            "three points always lie on a circle", "take at least four, better eight, evenly round."
        )
    ring = _ring(points, *_exchange(points, np.array([circle.x_m, circle.y_m])))
    if not ring.proven and len(points) <= MOST_TRIED:
        best = _tried(points, np.array([ring.x_m, ring.y_m]))
        ring = replace(_ring(points, *_exchange(points, best)), proven=True)
    if ring.outer_m > _straight(points):
        raise NoAnswerError("the points lie as near on a straight line as on any circle", DO_ARC)
    return ring


def circumscribed_circle(x_m: Sequence[float] | Floats, y_m: Sequence[float] | Floats) -> Touching:
    """The smallest circle that holds every point: the ring gauge that goes over a shaft.

    Args:
        x_m: first coordinates [m].
        y_m: second coordinates [m].

    Returns:
        The circle, through two points or three.

    References:
        D. J. Elzinga and D. W. Hearn, Geometrical solutions for some minimax location problems, Transportation
        Science 6 (1972) 379-394 (from memory).
    """
    points = np.column_stack([x_m, y_m])
    held: tuple[int, ...] = (0, int(np.hypot(*(points - points[0]).T).argmax()))
    while True:
        held, centre, radius = _smallest_over(points, held)
        far = np.hypot(*(points - centre).T)
        furthest = int(far.argmax())
        if far[furthest] <= radius * (1 + 1e-14) or furthest in held:
            return Touching(float(centre[0]), float(centre[1]), float(far[furthest]), held)
        held = (*held, furthest)


def inscribed_circle(ring: Ring, x_m: Sequence[float] | Floats, y_m: Sequence[float] | Floats) -> Touching:
    """The largest circle inside the points and about their middle: the plug gauge that enters a bore.

    Args:
        ring: the minimum zone of the same points, to start from.
        x_m: first coordinates [m].
        y_m: second coordinates [m].

    Returns:
        The circle, through three points.

    Raises:
        NoAnswerError: the points leave half the circle open, so that the circle can slip out.
    """
    points = np.column_stack([x_m, y_m])
    centre = np.array([ring.x_m, ring.y_m])
    if gap_rad(_angle(points, centre)) >= np.pi:
        raise NoAnswerError("the points leave half of the circle open", DO_ARC)
    start: tuple[int, ...] = ()
    for _ in range(MOST_STEPS):
        far, away = _seen(points, centre)
        found = minimax(-away, 2 * far.max() - far, start)
        start = found.contacts
        step = _shortened(points, centre, found.unknowns, _inner)
        centre = centre + step
        if np.abs(step).max() <= 1e-15 * far.max():
            break
    far = np.hypot(*(points - centre).T)
    return Touching(float(centre[0]), float(centre[1]), float(far.min()), start)


def _seen(points: Floats, centre: Floats) -> tuple[Floats, Floats]:
    """Distance and direction of each point from a centre."""
    away = points - centre
    far = np.hypot(away[:, 0], away[:, 1])
    return far, away / np.where(far > 0, far, 1.0)[:, None]


def _angle(points: Floats, centre: Floats) -> Floats:
    return np.asarray(np.arctan2(points[:, 1] - centre[1], points[:, 0] - centre[0]))


def _width(points: Floats, centres: Floats) -> Floats:
    """Width of the ring about each of several centres."""
    far = np.hypot(points[:, 0] - centres[:, :1], points[:, 1] - centres[:, 1:])
    return np.asarray(far.max(axis=1) - far.min(axis=1))


def _inner(points: Floats, centres: Floats) -> Floats:
    """The radius left inside, turned so that less is better."""
    far = np.hypot(points[:, 0] - centres[:, :1], points[:, 1] - centres[:, 1:])
    return np.asarray(-far.min(axis=1))


def _shortened(points: Floats, centre: Floats, step: Floats, cost: Cost) -> Floats:
    """The step, or the largest half, quarter ... of it that makes the cost less; nothing where none does."""
    now, whole = cost(points, np.stack([centre, centre + step]))
    if whole < now:
        return step
    shares = 0.5 ** np.arange(1, 40)[:, None]
    better = np.flatnonzero(cost(points, centre + shares * step) < now)
    return shares[better[0]] * step if better.size else np.zeros(2)


def _exchange(points: Floats, centre: Floats) -> tuple[Floats, Minimax]:
    """Minimum zone by exchange about a centre that moves until it stands still."""
    start: tuple[int, ...] = ()
    for _ in range(MOST_STEPS):
        far, away = _seen(points, centre)
        found = minimax(np.column_stack([np.ones(len(points)), away]), far, start)
        start = found.contacts
        step = _shortened(points, centre, found.unknowns[1:], _width)
        centre = centre + step
        away_m = float(np.hypot(*(points[0] - centre)))
        if np.abs(step).max() <= 1e-15 * far.max() or away_m > _straight(points):
            break
    return centre, found


def _straight(points: Floats) -> float:
    """A circle so large is a straight line to these points."""
    return STRAIGHT * float(np.ptp(points, axis=0).max())


def _ring(points: Floats, centre: Floats, found: Minimax) -> Ring:
    far = np.hypot(*(points - centre).T)
    inner, outer = float(far.min()), float(far.max())
    angle = _angle(points, centre)
    side = dict(zip(found.contacts, found.sides, strict=True))
    order = sorted(side, key=lambda i: angle[i])
    sides = tuple(side[i] for i in order)
    return Ring(
        x_m=float(centre[0]),
        y_m=float(centre[1]),
        inner_m=inner,
        outer_m=outer,
        contacts=tuple(order),
        sides=sides,
        proven=_proven(points[order], np.array(sides), centre, inner, outer, gap_rad(angle)),
    )


def _proven(
    held: Floats, sides: NDArray[np.int_], centre: Floats, inner: float, outer: float, gap: float
) -> bool:
    """Can no other centre, near or far, have a narrower ring?

    Near: moved by t, the ring of the four contacts alone is at least width + pull t - t^2 / 2(inner - t), where
    pull is the least spread of their directions. Far: two points stand within half a gap of the way moved and
    of the way back, so past some t the ring is wider for certain. Proven where the two ranges of t overlap.
    """
    if outer - inner <= TOUCHES * outer:
        return True
    _, away = _seen(held, centre)
    pull = least_spread(away[sides > 0], away[sides < 0])
    lean = inner * np.cos(gap / 2) - (outer - inner)
    if pull <= 0 or lean <= 0 or np.cos(gap / 2) <= 0:
        return False
    far = (outer**2 - lean**2) / (2 * (lean + outer * np.cos(gap / 2)))
    return bool(far <= 2 * pull * inner / (1 + 2 * pull))


def _tried(points: Floats, centre: Floats) -> Floats:
    """The best centre of all: where the perpendicular of one pair meets the perpendicular of another."""
    first, second = np.triu_indices(len(points), 1)
    along = points[second] - points[first]
    level = np.einsum("ij,ij->i", along, points[first] + points[second]) / 2 - along @ centre
    one, two = np.triu_indices(len(along), 1)
    best, least = centre, float(_width(points, centre[None])[0])
    for at in range(0, len(one), AT_ONCE):
        p, q = one[at : at + AT_ONCE], two[at : at + AT_ONCE]
        turn = along[p, 0] * along[q, 1] - along[p, 1] * along[q, 0]
        can = np.abs(turn) > 1e-12 * np.abs(along).max() ** 2
        p, q, turn = p[can], q[can], turn[can]
        x = (level[p] * along[q, 1] - level[q] * along[p, 1]) / turn
        y = (level[q] * along[p, 0] - level[p] * along[q, 0]) / turn
        centres = centre + np.column_stack([x, y])
        widths = _width(points, centres)
        if len(widths) and widths.min() < least:
            best, least = centres[widths.argmin()], float(widths.min())
    return np.asarray(best)


def _smallest_over(points: Floats, held: tuple[int, ...]) -> tuple[tuple[int, ...], Floats, float]:
    """Smallest circle over two to four points, and which of them hold it."""
    some = points[list(held)]
    best: tuple[tuple[int, ...], Floats, float] | None = None
    for size in (2, 3):
        for pick in combinations(range(len(held)), size):
            centre = _through(some[list(pick)])
            if centre is None:
                continue
            radius = float(np.hypot(*(some[list(pick)] - centre).T).max())
            if np.hypot(*(some - centre).T).max() <= radius * (1 + 1e-12) and (
                best is None or radius < best[2]
            ):
                best = tuple(held[i] for i in pick), centre, radius
    assert best is not None  # some pair or three of four points always hold the others
    return best


def _through(some: Floats) -> Floats | None:
    """Centre of the circle on two points as diameter, or through three; None where three are in line."""
    if len(some) == 2:
        return np.asarray(some.mean(axis=0))
    along = some[1:] - some[0]
    turn = along[0, 0] * along[1, 1] - along[0, 1] * along[1, 0]
    if abs(turn) <= 1e-14 * float(np.abs(along).max()) ** 2:
        return None
    half = np.einsum("ij,ij->i", along, along) / 2
    return np.asarray(some[0] + np.linalg.solve(along, half))
