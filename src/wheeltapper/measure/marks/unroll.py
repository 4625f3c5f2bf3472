"""Lay the card's opening flat: a part of the photo, looked up through the pose, as the surface would look peeled off.

Only the opening is laid out, with a little beyond the card's open side so that the drum's edge is seen. It is never made
finer than the photo is. What the photo does not cover is black and marked as not known.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.card import Card
from wheeltapper.measure.marks.pose import Pose
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

FINEST_PER_M = 20_000.0  # a line a tenth of a millimetre wide is two pixels
COARSEST_PER_M = 1_000.0
BEYOND_M = 0.004  # past the open side
COARSE_PX = 8  # the pose is asked at every eighth pixel, between them it is as good as straight


def unroll(grey: NDArray[np.uint8], pose: Pose, card: Card, px_per_m: float | None = None) -> Unrolled:
    """The opening of the card laid flat.

    Args:
        grey: the picture (rows, columns).
        pose: where the camera stood.
        card: the card in it.
        px_per_m: how fine; None: as fine as the photo, 20 pixels to the millimetre at most [1/m].

    Returns:
        The grey picture in the card's coordinates, true metres.

    Raises:
        NoAnswerError: the photo does not show the opening.
    """
    import cv2

    left, bottom, right, top = (v * pose.print_scale for v in card.opening_m)
    top += BEYOND_M
    middle = np.array([(left + right) / 2, (bottom + top) / 2])
    finest = min(FINEST_PER_M, pose.px_per_m(middle)) if px_per_m is None else px_per_m
    if not finest >= COARSEST_PER_M:
        raise NoAnswerError("the opening of the card is not in the picture", "show the whole card.")
    shape = (int((top - bottom) * finest) + 1, int((right - left) * finest) + 1)
    where = _lookup(pose, left, top, finest, shape)
    inside = np.isfinite(where).all(axis=-1)
    rows, columns = grey.shape
    known = inside & (where >= 0).all(axis=-1) & (where[..., 0] <= columns - 1) & (where[..., 1] <= rows - 1)
    if not known.any():
        raise NoAnswerError("the opening of the card is not in the picture", "show the whole card.")
    corner, part = _part(grey, where if known.all() else where[known])
    at = np.where(known[..., None], where - corner, -9.0).astype(np.float32)
    flat = cv2.remap(
        part, at[..., 0], at[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=0
    )
    return Unrolled(np.asarray(flat, np.uint8), float(finest), left, top, known)


def _part(grey: NDArray[np.uint8], where: Floats) -> tuple[Floats, NDArray[np.uint8]]:
    """The piece of the photo that is looked at, and where it starts: large photos are more than remap can address."""
    every = where.reshape(-1, 2).T
    low = np.maximum(np.floor([v.min() for v in every]).astype(int) - 2, 0)
    high = np.ceil([v.max() for v in every]).astype(int) + 3
    piece = np.ascontiguousarray(grey[low[1] : high[1], low[0] : high[0]])
    return low.astype(float), piece


def _lookup(pose: Pose, left_m: float, top_m: float, px_per_m: float, shape: tuple[int, int]) -> Floats:
    """Photo columns and rows of every pixel of the flat picture (rows, columns, 2), through a coarse net."""
    import cv2

    nodes = [int(np.ceil(n / COARSE_PX)) + 2 for n in shape]
    row, column = ((np.arange(n) - 0.5) * COARSE_PX - 0.5 for n in nodes)
    x, y = np.meshgrid(left_m + column / px_per_m, top_m - row / px_per_m)
    net = pose.to_picture(np.stack([x, y], axis=-1).reshape(-1, 2)).reshape(nodes[0], nodes[1], 2)
    whole = cv2.resize(net, (nodes[1] * COARSE_PX, nodes[0] * COARSE_PX), interpolation=cv2.INTER_LINEAR)
    return np.asarray(whole[COARSE_PX : COARSE_PX + shape[0], COARSE_PX : COARSE_PX + shape[1]], float)
