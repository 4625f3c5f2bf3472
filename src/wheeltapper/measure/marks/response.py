"""How much each place of an unrolled picture looks like a line that is dark against both of its sides.

The picture is turned so that one direction after the other lies level; there a line is a row that is darker than the
rows above and below it. The answer is in units of what the plain surface gives by itself in that direction, so turned
grooves raise the bar for lines along them. It sees darkness and nothing else: a thread, a pencil line and a crack are
the same to it.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

Single = NDArray[np.float32]

DIRECTIONS = 16
WIDTHS_M = (0.15e-3, 0.27e-3, 0.48e-3, 0.8e-3)
ALONG_M = 0.45e-3  # standard deviation of the mean along the line
MOST_PX_PER_M = 12_500.0  # finer than this shows no more through a phone's lens
LEAST_PX_PER_M = 3_000.0
ALONG_GROOVES_RAD = np.radians(22.0)
DAMPING = 0.15
DARKEST = 10.0  # grey levels added before the logarithm, so that noise in the dark stays small
PLAIN_POINTS = 6_000
ROW = 1024
LEAST_NOISE = 2e-3  # of the light: a picture without any noise or texture still has grey steps
SIDES_M = 0.22e-3  # nearest that a side is looked at: past the blur of a sharp photo


@dataclass(frozen=True)
class Response:
    """Strength of the darkest line through each place, on a grid of its own; zero where nothing can be said."""

    strength: Single  # (rows, cols), in standard deviations of the plain surface
    toward_rad: Single  # (rows, cols), counterclockwise from the card's x, 0 to pi
    known: NDArray[np.bool_]  # (rows, cols)
    px_per_m: float
    left_m: float
    top_m: float

    def to_pixels(self, points_m: Floats) -> Floats:
        """Column and row of card points (n, 2) [m]."""
        points = np.asarray(points_m, float)
        return (points - [self.left_m, self.top_m]) * [self.px_per_m, -self.px_per_m]

    def to_card(self, points_px: Floats) -> Floats:
        """Card points (n, 2) [m] of columns and rows [px]."""
        points = np.asarray(points_px, float)
        return points / [self.px_per_m, -self.px_per_m] + [self.left_m, self.top_m]


def line_response(
    unrolled: Unrolled, axis_rad: float = 0.0, grooves: bool = True, most_px_per_m: float = MOST_PX_PER_M
) -> Response:
    """The two-sided line filter over a picture.

    For each of DIRECTIONS directions and each width: the mean along a short stretch of the line, of the logarithm of the
    light, against the darker of the two sides. Both sides have to be lighter, so a step of shade, however
    strong, is no line. Means are taken over known surface only; a line that runs into the picture's edge, or the drum's,
    is seen up to there.

    Args:
        unrolled: the picture; what lies past the drum's open edge should not count as known.
        axis_rad: by how much the drum's axis is turned from the card's y, counterclockwise [rad].
        grooves: damp lines within ALONG_GROOVES_RAD of the turned grooves, which run across the axis.
        most_px_per_m: a finer picture is first made coarser, to this [1/m].

    Returns:
        Strength and direction at each place.

    Raises:
        NoAnswerError: the picture is coarser than LEAST_PX_PER_M, or next to nothing of it is known.
    """
    _checked(unrolled)
    light, known, px_per_m = coarser(unrolled, most_px_per_m)
    sure = known > 0.5
    light = _filled(light, sure)
    plain_px = _spread(sure)
    strength = np.zeros(light.shape, np.float32)
    toward = np.zeros(light.shape, np.float32)
    for i in range(DIRECTIONS):
        direction = np.pi * float(i) / DIRECTIONS  # a float before it is multiplied: a byte would wrap
        of = _level(light, direction, px_per_m, plain_px)
        better = of > strength
        np.copyto(strength, of, where=better)
        np.copyto(toward, np.float32(direction), where=better)
    if grooves:
        strength[_apart(toward, axis_rad) < ALONG_GROOVES_RAD] *= DAMPING
    strength[~sure] = 0
    corner = 0.5 / px_per_m - 0.5 / unrolled.px_per_m
    return Response(strength, toward, sure, px_per_m, unrolled.left_m + corner, unrolled.top_m - corner)


def part(unrolled: Unrolled, low_m: Floats, high_m: Floats) -> Unrolled:
    """A rectangle out of a picture, as a picture.

    Args:
        unrolled: the picture.
        low_m: lower left corner (2,) [m].
        high_m: upper right corner (2,) [m].

    Returns:
        What of the rectangle lies in the picture.

    Raises:
        NoAnswerError: nothing of it does.
    """
    rows, cols = unrolled.grey.shape
    box = unrolled.to_pixels(np.array([[low_m[0], high_m[1]], [high_m[0], low_m[1]]]))
    first, last = np.floor(box[0]).astype(int), np.ceil(box[1]).astype(int) + 1
    left, top = max(first[0], 0), max(first[1], 0)
    right, bottom = min(last[0], cols), min(last[1], rows)
    if right - left < 2 or bottom - top < 2:
        raise NoAnswerError("that place is not in the picture", "tap inside the card's opening.")
    corner = unrolled.to_card(np.array([[left, top]], float))[0]
    cut = np.s_[top:bottom, left:right]
    return Unrolled(
        unrolled.grey[cut], unrolled.px_per_m, float(corner[0]), float(corner[1]), unrolled.known[cut]
    )


def sampled(picture: NDArray[np.float32], points_px: Floats) -> Floats:
    """Values of a picture between its pixels; not a number outside.

    Args:
        picture: rows and columns.
        points_px: columns and rows (..., 2) [px].

    Returns:
        The values (...).
    """
    points = np.asarray(points_px, np.float32)
    flat = points.reshape(-1, 2)
    rows = -(-len(flat) // ROW) or 1
    grid = np.full(
        (rows * ROW, 2), -9.0, np.float32
    )  # OpenCV takes no list longer than a short integer counts
    grid[: len(flat)] = flat
    col, row = (np.ascontiguousarray(grid[:, i].reshape(rows, ROW)) for i in (0, 1))
    out = cv2.remap(picture, col, row, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    high, wide = picture.shape
    inside = (flat[:, 0] >= 0) & (flat[:, 0] <= wide - 1) & (flat[:, 1] >= 0) & (flat[:, 1] <= high - 1)
    values = np.where(inside, np.asarray(out, float).ravel()[: len(flat)], np.nan)
    return np.asarray(values.reshape(points.shape[:-1]), float)


def _checked(unrolled: Unrolled) -> None:
    if unrolled.px_per_m < LEAST_PX_PER_M:
        raise NoAnswerError(
            "the photo shows too few points for each millimetre", "go nearer, and take the photo again."
        )
    if unrolled.grey.ndim != 2 or min(unrolled.grey.shape) < 8 or not unrolled.known.any():
        raise NoAnswerError("there is no surface in the picture", "take the photo with the whole card in it.")


def log_light(grey: NDArray[np.uint8]) -> Single:
    """Logarithm of the light: shade and lamp become an addition.

    Args:
        grey: grey levels.

    Returns:
        The logarithm, as single floats.
    """
    table = np.log(np.arange(256, dtype=np.float32) + np.float32(DARKEST))
    return np.asarray(table[grey], np.float32)


def coarser(unrolled: Unrolled, most_px_per_m: float) -> tuple[Single, Single, float]:
    """The picture at no more than so fine.

    Args:
        unrolled: the picture.
        most_px_per_m: how fine [1/m].

    Returns:
        Logarithm of the light, how much of each place is known, and pixels to the metre; the first pixel's corner stays.
    """
    light, known = log_light(unrolled.grey), unrolled.known.astype(np.float32)
    share = most_px_per_m / unrolled.px_per_m
    if share >= 1:
        return light, known, unrolled.px_per_m
    rows, cols = light.shape
    px_per_m = unrolled.px_per_m * share
    to = np.array([[share, 0, share / 2 - 0.5], [0, share, share / 2 - 0.5]])
    size = int(np.ceil(cols * share)), int(np.ceil(rows * share))
    smooth = 0.5 * np.sqrt(max(1 / share**2 - 1, 1e-6))
    if share < 0.8:
        light = np.asarray(cv2.GaussianBlur(light, (0, 0), smooth), np.float32)
    light = np.asarray(
        cv2.warpAffine(light, to, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.float32
    )
    return light, np.asarray(cv2.warpAffine(known, to, size, flags=cv2.INTER_LINEAR), np.float32), px_per_m


def _apart(toward: Single, axis_rad: float) -> Single:
    """Angle between directions and the grooves, which run along the card's x turned by the axis' angle."""
    return np.asarray(np.abs((toward - axis_rad + np.pi / 2) % np.pi - np.pi / 2), np.float32)


def _filled(light: Single, sure: NDArray[np.bool_]) -> Single:
    """What is not known shows what the nearest known place shows: a line that ends at an edge runs on past it."""
    if sure.all():
        return light
    _, nearest = cv2.distanceTransformWithLabels(
        (~sure).astype(np.uint8), cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    of = np.zeros(int(nearest.max()) + 1, np.float32)
    of[nearest[sure]] = light[sure]
    return np.asarray(of[nearest], np.float32)


def _spread(sure: NDArray[np.bool_]) -> Floats:
    """Columns and rows of known places spread over the picture, to learn the plain surface from."""
    at = np.flatnonzero(sure)
    at = at[:: max(1, at.size // PLAIN_POINTS)]
    return np.stack([at % sure.shape[1], at // sure.shape[1]], 1).astype(float)


def _level(light: Single, direction: float, px_per_m: float, plain_px: Floats) -> Single:
    """Strength of lines in one direction: turn it level, look there, turn back."""
    rows, cols = light.shape
    turn = cv2.getRotationMatrix2D(((cols - 1) / 2, (rows - 1) / 2), -np.degrees(direction), 1.0)
    wide = int(np.ceil(abs(cols * np.cos(direction)) + abs(rows * np.sin(direction)))) + 2
    high = int(np.ceil(abs(cols * np.sin(direction)) + abs(rows * np.cos(direction)))) + 2
    turn[:, 2] += (wide - cols) / 2, (high - rows) / 2
    turned = cv2.warpAffine(
        light, turn, (wide, high), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    lying: Single = np.asarray(cv2.GaussianBlur(turned, (0, 1), ALONG_M * px_per_m, sigmaY=1e-6), np.float32)
    plain = np.rint(plain_px @ turn[:, :2].T + turn[:, 2]).astype(int)
    best = np.zeros((high, wide), np.float32)
    for width in WIDTHS_M:
        _of_width(lying, width * px_per_m, SIDES_M * px_per_m, plain, best)
    back = cv2.warpAffine(best, turn, (cols, rows), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)
    return np.asarray(back, np.float32)


def _of_width(lying: Single, width_px: float, sides_px: float, plain: NDArray[np.int_], best: Single) -> None:
    """Strength of level lines of one width, laid over the best so far."""
    step = max(2, round(max(1.2 * width_px, sides_px)))
    mean = cv2.GaussianBlur(lying, (1, 0), 1e-6, sigmaY=max(0.4 * width_px, 0.5))
    x, y = plain.T
    y = np.clip(y, step, len(mean) - 1 - step)
    bare = 0.5 * (mean[y - step, x] + mean[y + step, x]) - mean[y, x]
    noise = 1.4826 * float(np.median(np.abs(bare))) + LEAST_NOISE
    sides = cv2.min(mean[: -2 * step], mean[2 * step :])
    dark = cv2.addWeighted(sides, 1 / noise, mean[step:-step], -1 / noise, 0)
    cv2.max(best[step:-step], dark, dst=best[step:-step])
