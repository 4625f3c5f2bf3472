"""Cross-sections of a dark line: how much light it takes away at each place along it.

The background is a straight slope between the two sides, so shade and rust that lie on both sides cancel. It does not
say where a line ends or how wide it is; it only delivers the profiles for that.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.response import sampled
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats

HALF_M = 0.35e-3  # to this side of the middle the light counts as the line's
SIDE_M = (0.45e-3, 0.85e-3)  # and here as the background's
STEP_M = 0.04e-3
SPACING_M = 0.05e-3  # of places along a path


@dataclass(frozen=True)
class Sections:
    """Profiles across a path, one row a place."""

    across_m: Floats  # (k,) where across: positive to the left of the path
    taken_share: Floats  # (n, k) share of the background's light that is missing
    area_m: Floats  # (n,) missing share summed across: width of a black line that takes as much
    dark_share: Floats  # (n,) missing in the middle, against the darker of both sides


def sections(unrolled: Unrolled, path_m: Floats, offset_m: float = 0.0) -> Sections:
    """Profiles across a path.

    Args:
        unrolled: the picture.
        path_m: places on the card, evenly spaced (n, 2) [m].
        offset_m: look beside the path, so far to its left, to learn what no line looks like [m].

    Returns:
        The profiles; not a number where the picture is not known.
    """
    half = round(SIDE_M[1] / STEP_M)
    across = np.arange(-half, half + 1) * STEP_M
    light = _looked(unrolled, path_m[:, None] + (across + offset_m)[None, :, None] * left_of(path_m)[:, None])
    side = np.abs(across) > SIDE_M[0]
    right, left = (light[:, side & (across < 0)].mean(1), light[:, side & (across > 0)].mean(1))
    at = (across / (SIDE_M[0] + SIDE_M[1]) + 0.5)[None, :]
    background = right[:, None] * (1 - at) + left[:, None] * at
    taken = 1 - light / np.maximum(background, 1.0)
    area = taken[:, np.abs(across) <= HALF_M].sum(1) * STEP_M
    middle = light[:, np.abs(across) < 0.07e-3].mean(1)
    dark = 1 - middle / np.maximum(np.minimum(left, right), 1.0)
    return Sections(np.asarray(across, float), np.asarray(taken, float), area, np.asarray(dark, float))


def left_of(path_m: Floats) -> Floats:
    """Unit vectors to the left of a path, over a good half millimetre of it.

    Args:
        path_m: places (n, 2) [m].

    Returns:
        Unit vectors (n, 2).
    """
    reach = max(1, min(6, len(path_m) // 2))
    padded = np.concatenate([path_m[:1].repeat(reach, 0), path_m, path_m[-1:].repeat(reach, 0)])
    along = padded[2 * reach :] - padded[: -2 * reach]
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-12)
    return np.stack([-along[:, 1], along[:, 0]], 1)


def spaced(path_m: Floats, spacing_m: float = SPACING_M) -> Floats:
    """A path at even spacing, first and last place kept.

    Args:
        path_m: places (n, 2) [m].
        spacing_m: about so far apart [m].

    Returns:
        Places (k, 2) [m].
    """
    at = along(path_m)
    count = max(2, round(at[-1] / spacing_m) + 1)
    to = np.linspace(0, at[-1], count)
    return np.stack([np.interp(to, at, path_m[:, i]) for i in (0, 1)], 1)


def along(path_m: Floats) -> Floats:
    """Distance travelled along a path at each of its places.

    Args:
        path_m: places (n, 2) [m].

    Returns:
        Distances (n,) [m], the first zero.
    """
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path_m, axis=0), axis=1))])


def smoothed(path_m: Floats, sd_m: float, spacing_m: float = SPACING_M) -> Floats:
    """An evenly spaced path run over with a bell of a given standard deviation; its ends stay.

    Args:
        path_m: places (n, 2) [m].
        sd_m: standard deviation of the bell [m].
        spacing_m: distance of the places [m].

    Returns:
        Places (n, 2) [m].
    """
    half = int(3 * sd_m / spacing_m)
    if half < 1 or len(path_m) < 3:
        return path_m
    bell = np.exp(-0.5 * (np.arange(-half, half + 1) * spacing_m / sd_m) ** 2)
    half = min(half, len(path_m) - 1)
    first, last = path_m[0], path_m[-1]
    padded = np.concatenate([2 * first - path_m[half:0:-1], path_m, 2 * last - path_m[-2 : -half - 2 : -1]])
    bell = bell[len(bell) // 2 - half : len(bell) // 2 + half + 1]
    return np.stack([np.convolve(padded[:, i], bell / bell.sum(), "valid") for i in (0, 1)], 1)


def _looked(unrolled: Unrolled, points_m: Floats) -> Floats:
    """Grey levels at card points; not a number where the picture is not known."""
    flat = unrolled.to_pixels(points_m.reshape(-1, 2))
    light = sampled(unrolled.grey.astype(np.float32), flat)
    known: NDArray[np.float64] = sampled(unrolled.known.astype(np.float32), flat)
    light[~(known > 0.99)] = np.nan
    return light.reshape(points_m.shape[:-1])
