"""From tag corners in a picture to where the camera stood, how round the wall is and how sure that is.

Eleven unknowns: turn and place of the camera (6), focal length, one term of distortion, the direction of the drum's
axis, the curvature, and how far the black of the tags has swollen: ink runs, and a bright paper eats into black where a
phone bends the tones. It moves the corners of every tag away from its middle, and would else be taken for distortion.
The last five are held softly near what is likely. The cost is soft-L1, so that a dirty corner does
not bend the rest; it is made small by Levenberg's and Marquardt's steps. A corner that is wrong by much, and whole tags
printed elsewhere than the table says, are not looked for.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.marks import camera
from wheeltapper.measure.marks.card import Card
from wheeltapper.measure.marks.pose import (
    BAR_SHARE,
    FIT_TIMES,
    LIFT_M,
    PRINT_SHARE,
    UNKNOWNS,
    Pose,
    numbers,
    view_of,
)
from wheeltapper.measure.marks.tags import Tags
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

SOFT = 1.5  # corner errors beyond so many sigma count less (assumed)
FEWEST = 4  # tags
USUAL_FOCAL_SHARE = 0.8  # of the picture's long side: a phone's main lens (assumed)
FOCAL_SD = 0.03  # of the focal length that the photo's own record gives (assumed)
FOCAL_SD_UNKNOWN = 0.4  # of the usual one: from wide to double (assumed)
K1_SD = 0.05  # phones straighten their pictures (assumed)
AXIS_SD_RAD = 0.1  # how squarely a person lays the card (assumed)
CURVE_SD_SHARE = 0.1  # of the drum's curvature: wear and a bulge of the paper (assumed)
FREE_CURVE_SD_PER_M = 20.0  # more than any drum's curvature: the picture decides alone
SWELL_SD_M = 0.0001  # ink and tones move an edge by so much (assumed)
CORNER_SD_PX = (0.05, 0.3, 3.0)  # least, first guess, most
STEPS = 60
DONE_SHARE = 1e-7  # of the cost: a step that gains less ends the search


@dataclass(frozen=True)
class Prior:
    """What is likely before the picture is looked at: middle and standard deviation of the last five unknowns."""

    at: Floats  # (11,); only the last five are read
    sd: Floats  # (11,); infinite: free, 0: held


@dataclass(frozen=True)
class Corners:
    """Corners of the tags on the card and in the picture."""

    points_m: Floats  # (n, 2) from the card's middle
    away: Floats  # (n, 2) which way each corner goes when its tag swells
    pixels: Floats  # (n, 2)
    size_px: tuple[int, int]

    def shown(self, values: Floats) -> Floats:
        """Where the unknowns (11,) put the corners in the picture (n, 2)."""
        return camera.to_picture(
            self.points_m + values[UNKNOWNS] * self.away, view_of(values[:UNKNOWNS]), self.size_px
        )


@dataclass(frozen=True)
class Fitted:
    """The best eleven numbers."""

    values: Floats
    covariance: Floats  # (11, 11), for noise alone
    left_px: Floats  # what remains (n, 2)
    cost: float


def fit_pose(
    tags: Tags,
    card: Card,
    size_px: tuple[int, int],
    focal_px: float | None = None,
    radius_m: float | None = None,
    print_scale: float = 1.0,
    bar_measured: bool = False,
) -> Pose:
    """Where the camera stood.

    Args:
        tags: what was found in the picture.
        card: the card that was laid.
        size_px: width and height of the picture.
        focal_px: focal length from the photo's own record; None where it says nothing.
        radius_m: radius of the drum's wall, None for a flat face [m].
        print_scale: check bar as measured over check bar as it should be.
        bar_measured: the bar was measured, so the print's scale is better known.

    Returns:
        The pose, in true metres.

    Raises:
        NoAnswerError: fewer than four tags of the card were found, or nothing fits them.
    """
    if len(tags.ids) < FEWEST:
        raise NoAnswerError(
            f"only {len(tags.ids)} tags of the card were found", "show the whole card in the picture."
        )
    corners = _corners(tags, card, size_px, print_scale)
    best = _best(corners, _prior(size_px, focal_px, 0.0 if radius_m is None else 1 / radius_m))
    view = view_of(best.values[:UNKNOWNS])
    return Pose(
        view,
        size_px,
        card.middle_m * print_scale,
        best.covariance[:UNKNOWNS, :UNKNOWNS] * FIT_TIMES**2,
        float(np.sqrt((best.left_px**2).mean())),
        print_scale,
        BAR_SHARE if bar_measured else PRINT_SHARE,
        card.thickness_m + LIFT_M + _stands_off_m(card, view.curve_per_m, radius_m),
    )


def curve_alone(tags: Tags, card: Card, pose: Pose, focal_px: float | None = None) -> tuple[float, float]:
    """The curvature that the picture alone tells, to see whether the card lies where it is said to.

    Args:
        tags: what was found in the picture.
        card: the card that was laid.
        pose: the fitted pose, to start from.
        focal_px: focal length from the photo's own record; None where it says nothing.

    Returns:
        One over the radius of the card as it lies, and its standard uncertainty, both in 1/m.
    """
    corners = _corners(tags, card, pose.size_px, pose.print_scale)
    prior = _prior(pose.size_px, focal_px, pose.curve_per_m, FREE_CURVE_SD_PER_M)
    found = _searched(np.append(numbers(pose.view), 0.0), corners, prior, CORNER_SD_PX[1])
    found = _searched(found.values, corners, prior, _spread_px(found.left_px))
    return float(found.values[9]), FIT_TIMES * float(np.sqrt(found.covariance[9, 9]))


def _corners(tags: Tags, card: Card, size_px: tuple[int, int], print_scale: float) -> Corners:
    points = np.concatenate([card.tags[int(i)] for i in tags.ids]) - card.middle_m
    away = np.tile([[-1.0, 1.0], [1.0, 1.0], [1.0, -1.0], [-1.0, -1.0]], (len(tags.ids), 1))
    return Corners(points * print_scale, away, tags.corners_px.reshape(-1, 2), size_px)


def _stands_off_m(card: Card, curve_per_m: float, radius_m: float | None) -> float:
    """How far a card less or more bent than the drum stands off it: an arch of the card's width."""
    wrong = 0.0 if radius_m is None else abs(curve_per_m - 1 / radius_m)
    return wrong * card.size_m[0] ** 2 / 8


def _prior(
    size_px: tuple[int, int], focal_px: float | None, curve_per_m: float, curve_sd: float | None = None
) -> Prior:
    """`curve_sd` None: a share of the curvature, and a flat face is held flat."""
    focal = focal_px or USUAL_FOCAL_SHARE * max(size_px)
    held = curve_sd is None and curve_per_m == 0
    sd = np.full(UNKNOWNS + 1, np.inf)
    sd[6:8] = FOCAL_SD if focal_px else FOCAL_SD_UNKNOWN, K1_SD
    sd[8] = 0.0 if held else AXIS_SD_RAD
    sd[9] = CURVE_SD_SHARE * curve_per_m if curve_sd is None else curve_sd
    sd[10] = SWELL_SD_M
    at = np.zeros(UNKNOWNS + 1)
    at[6], at[9] = np.log(focal), curve_per_m
    return Prior(at, sd)


def _best(corners: Corners, prior: Prior) -> Fitted:
    """From each of the two starts that a flat card allows; the corner's own spread is learnt on the way."""
    fits = [_searched(start, corners, prior, CORNER_SD_PX[1]) for start in _starts(corners, prior)]
    fits = [f for f in fits if np.isfinite(f.cost)]
    if not fits:
        raise NoAnswerError("no camera fits the tags that were found", "take the picture again.")
    best = min(fits, key=lambda f: f.cost)
    for _ in range(2):
        best = _searched(best.values, corners, prior, _spread_px(best.left_px))
    return best


def _spread_px(left_px: Floats) -> float:
    """Sigma of the corners by the median, so that a bad one does not count; the unknowns took their part."""
    count = left_px.size
    sigma = 1.4826 * float(np.median(np.abs(left_px))) * np.sqrt(count / max(1, count - UNKNOWNS))
    return float(np.clip(sigma, CORNER_SD_PX[0], CORNER_SD_PX[2]))


def _starts(corners: Corners, prior: Prior) -> list[Floats]:
    """Both poses of a plane card that show it as in the picture, the camera before it and the drum's curve added."""
    import cv2

    focal, (cx, cy) = float(np.exp(prior.at[6])), camera.principal(corners.size_px)
    matrix = np.array([[focal, 0, cx], [0, focal, cy], [0, 0, 1]])
    flat = np.column_stack([corners.points_m, np.zeros(len(corners.points_m))])
    _, turns, places, _ = cv2.solvePnPGeneric(flat, corners.pixels, matrix, None, flags=cv2.SOLVEPNP_IPPE)
    starts = []
    for turn, place in zip(turns, places, strict=True):
        start = prior.at.copy()
        start[:3], start[3:6] = np.ravel(turn), np.ravel(place)
        starts.append(start)
    return starts


def _searched(start: Floats, corners: Corners, prior: Prior, corner_px: float) -> Fitted:
    free = prior.sd > 0
    soft = np.isfinite(prior.sd) & free
    count = corners.pixels.size

    def left(values: Floats) -> Floats:
        away = (values - prior.at)[soft] / prior.sd[soft]
        return np.concatenate([((corners.shown(values) - corners.pixels) / corner_px).ravel(), away])

    def cost(r: Floats) -> float:
        total = float(cost_of(r[:count]).sum() + (r[count:] ** 2).sum())
        return total if np.isfinite(total) else np.inf

    values, covariance = descended(start, left, cost, count, free)
    return Fitted(values, covariance, corners.shown(values) - corners.pixels, cost(left(values)))


def cost_of(r: Floats) -> Floats:
    """Soft-L1: a square near zero, straight far out.

    Args:
        r: errors over their sigma.

    Returns:
        The cost of each; the square of a small one.
    """
    return 2 * SOFT**2 * (np.sqrt(1 + (r / SOFT) ** 2) - 1)


def descended(
    start: Floats,
    left: Callable[[Floats], Floats],
    cost: Callable[[Floats], float],
    softened: int,
    free: np.ndarray[tuple[int], np.dtype[np.bool_]],
) -> tuple[Floats, Floats]:
    """Levenberg's and Marquardt's steps: downhill by Gauss and Newton, shorter while a step does not gain.

    Args:
        start: where to begin (n,).
        left: what remains at given values, each over its sigma.
        cost: what all of it costs.
        softened: so many of the first remainders are soft-L1, the rest plain squares.
        free: which values may move (n,).

    Returns:
        The best values (n,) and their covariance (n, n), 0 where held.
    """
    values, damp = start.copy(), 1e-3
    now = left(values)
    paid = cost(now)
    for _ in range(STEPS):
        slope, pull = _slopes(values, left, free), _weights(now, softened)
        square = (slope * pull[:, None]).T @ slope
        down = -(slope * pull[:, None]).T @ now
        gained = 0.0
        while damp < 1e8 and np.isfinite(paid):
            step = np.linalg.solve(square + damp * np.diag(np.diag(square) + 1e-12), down)
            trial = values.copy()
            trial[free] += step
            then = left(trial)
            price = cost(then)
            if price < paid:
                gained, values, now, paid = paid - price, trial, then, price
                damp = max(damp / 10, 1e-12)
                break
            damp *= 10
        if gained <= DONE_SHARE * paid:
            break
    slope, pull = _slopes(values, left, free), _weights(now, softened)
    covariance = np.zeros((len(start), len(start)))
    inner = np.linalg.pinv((slope * pull[:, None]).T @ slope, rcond=1e-18, hermitian=True)
    covariance[np.ix_(free, free)] = inner
    return values, covariance


def _weights(r: Floats, softened: int) -> Floats:
    weights = np.ones_like(r)
    weights[:softened] = 1 / np.sqrt(1 + (r[:softened] / SOFT) ** 2)
    return weights


def _slopes(
    values: Floats, left: Callable[[Floats], Floats], free: np.ndarray[tuple[int], np.dtype[np.bool_]]
) -> Floats:
    columns = []
    for i in np.flatnonzero(free):
        step = 1e-6 * max(1.0, abs(values[i])) if i not in range(3, 6) else 1e-7
        up, down = values.copy(), values.copy()
        up[i] += step
        down[i] -= step
        columns.append((left(up) - left(down)) / (2 * step))
    return np.stack(columns, axis=1)
