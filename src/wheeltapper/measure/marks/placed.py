"""The whole way from a grey picture to a surface that can be measured on, or to the reasons why not.

Tags, fit, the opening laid flat, the gate. It never raises for a poor photo: that comes back with its reasons.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.card import Card
from wheeltapper.measure.marks.fit import curve_alone, fit_pose
from wheeltapper.measure.marks.gate import GATES, Gates, Quality, quality_of, reasons_of
from wheeltapper.measure.marks.pose import Pose
from wheeltapper.measure.marks.tags import Tags, find_tags
from wheeltapper.measure.marks.unroll import unroll
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError


@dataclass(frozen=True)
class Placed:
    """What was made of a photo; pose, flat and curve are None where the card was not found well enough."""

    tags: Tags
    pose: Pose | None
    flat: Unrolled | None
    curve: tuple[float, float] | None  # 1/m: what the picture alone tells, and its standard uncertainty
    radius_m: float | None
    quality: Quality
    reasons: tuple[str, ...]  # none: good enough to measure in


def place(
    grey: NDArray[np.uint8],
    card: Card,
    focal_px: float | None = None,
    radius_m: float | None = None,
    print_scale: float = 1.0,
    bar_measured: bool = False,
    gates: Gates = GATES,
) -> Placed:
    """Find the card, the camera and the surface, and say whether they are good enough.

    Args:
        grey: the picture (rows, columns), 8 bits.
        card: the card that was laid.
        focal_px: focal length from the photo's own record; None where it says nothing.
        radius_m: radius of the drum's wall, None for a flat face [m].
        print_scale: check bar as measured over check bar as it should be.
        bar_measured: the bar was measured.
        gates: the thresholds.

    Returns:
        All of it.
    """
    tags = find_tags(grey, card)
    size = (grey.shape[1], grey.shape[0])
    pose, flat, curve, otherwise = None, None, None, "fit poor"
    try:
        pose = fit_pose(tags, card, size, focal_px, radius_m, print_scale, bar_measured)
        curve, otherwise = curve_alone(tags, card, pose, focal_px), "card partly hidden"
        flat = unroll(grey, pose, card)
    except NoAnswerError:
        pose, flat, curve = None, None, None  # the gate's words say it better
    quality = quality_of(tags, card, pose, flat, radius_m, curve, gates=gates)
    reasons = reasons_of(quality, gates)
    if pose is None and not reasons:
        reasons = (otherwise,)
    return Placed(tags, pose, flat, curve, radius_m, quality, reasons)


def marked(placed: Placed, card: Card, mark_m: Floats, gates: Gates = GATES) -> Placed:
    """The same photo judged again now that the ends of a mark are named: glare counts where the mark is.

    Args:
        placed: what was made of the photo.
        card: the card in it.
        mark_m: both ends of the mark (2, 2) [m].
        gates: the thresholds.

    Returns:
        The same with other reasons.
    """
    if placed.pose is None:
        return placed
    quality = quality_of(
        placed.tags, card, placed.pose, placed.flat, placed.radius_m, placed.curve, mark_m, gates
    )
    return replace(placed, quality=quality, reasons=reasons_of(quality, gates))
