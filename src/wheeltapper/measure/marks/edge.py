"""The drum's open edge in an unrolled picture: one strong step of light, straight across the whole opening.

The edge is a circle on the drum, so it is a straight line once unrolled, square to the drum's axis. Where no such step
is seen the card's open side is taken to lie flush with it, and whoever asks is told that this was assumed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np

from wheeltapper.measure.marks.response import Single, log_light
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats

COARSE_PX_PER_M = 8_000.0
OVER_M = 0.4e-3  # light is compared over so much on either side
LEAST_STEP = 0.08  # of the logarithm of the light (renders)
STANDS_OUT = 1.2  # over other steps of the picture (renders)
NEXT_SHARE = 0.4  # of the strongest step: another competes with it
AGREE_SHARE = 0.85  # of the columns that show a step the same way
BELOW_M, ABOVE_M = (
    0.4e-3,
    1.6e-3,
)  # of the card's open side: where the edge is looked for; the lip of a worn wall is no edge
FLUSH_M, FLUSH_SD_M = 0.5e-3, 0.45e-3  # a card laid flush by hand stands so far below the edge (assumed)
CARD_SD_M = 0.6e-3  # and so it counts against a step that it lies elsewhere (assumed)
SEEN_SD_M = 0.4e-3
EDGE_BLUR_M = 0.12e-3  # as much of the wall is left out, for the photo's blur


@dataclass(frozen=True)
class OpenEdge:
    """A straight line: card y is height_m where card x is zero, and rises by `slope` for each unit of x."""

    height_m: float
    slope: float
    seen: bool  # False: taken from how the card was laid
    sd_m: float

    def below_m(self, points_m: Floats) -> Floats:
        """How far points (n, 2) [m] lie below the edge, square to it; negative past it [m]."""
        points = np.asarray(points_m, float)
        rise = self.height_m + self.slope * points[..., 0] - points[..., 1]
        return np.asarray(rise / np.hypot(1.0, self.slope))


def open_edge(unrolled: Unrolled, flush_m: float | None, axis_rad: float = 0.0) -> OpenEdge | None:
    """Find the drum's open edge.

    Args:
        unrolled: the picture.
        flush_m: height of the card's open side, None where the card does not stand at an edge [m].
        axis_rad: by how much the drum's axis is turned from the card's y [rad].

    Returns:
        The edge as seen; else the card's open side, as assumed; None where the card has no such side.
    """
    if flush_m is None:
        return None
    slope = float(np.tan(axis_rad))
    middle = unrolled.left_m + unrolled.grey.shape[1] / 2 / unrolled.px_per_m
    assumed = OpenEdge(flush_m + FLUSH_M - slope * middle, slope, False, FLUSH_SD_M)
    level, px_per_m = _level(unrolled, slope)
    if level is None:
        return assumed
    top = unrolled.top_m - slope * middle  # card y at x zero of the first row
    flush_row = (unrolled.top_m - flush_m) * px_per_m
    likely = flush_row - FLUSH_M * px_per_m
    found = _step(level, px_per_m, flush_row - ABOVE_M * px_per_m, flush_row + BELOW_M * px_per_m, likely)
    if found is None:
        return assumed
    row, apart = found
    return OpenEdge(top - row / px_per_m, slope, True, float(np.hypot(SEEN_SD_M, apart / px_per_m)))


def below(unrolled: Unrolled, edge: OpenEdge | None) -> Unrolled:
    """The same picture, with nothing known past the edge: a crack may run on over the rim.

    Args:
        unrolled: the picture.
        edge: the edge; None changes nothing.

    Returns:
        The picture.
    """
    if edge is None:
        return unrolled
    rows, cols = unrolled.grey.shape
    x = unrolled.left_m + np.arange(cols) / unrolled.px_per_m
    y = unrolled.top_m - np.arange(rows) / unrolled.px_per_m
    wall = y[:, None] < edge.height_m - (EDGE_BLUR_M if edge.seen else 0.0) + edge.slope * x[None, :]
    return replace(unrolled, known=unrolled.known & wall)


def _level(unrolled: Unrolled, slope: float) -> tuple[Single | None, float]:
    """Light with the edge level, columns sheared about the middle one; not a number where not known."""
    share = min(1.0, COARSE_PX_PER_M / unrolled.px_per_m)
    rows, cols = unrolled.grey.shape
    size = max(2, round(cols * share)), max(2, round(rows * share))
    light = cv2.resize(log_light(unrolled.grey), size, interpolation=cv2.INTER_AREA)
    known = cv2.resize(unrolled.known.astype(np.float32), size, interpolation=cv2.INTER_AREA)
    to = np.array([[1, 0, 0], [slope, 1, -slope * (size[0] - 1) / 2]])
    light = cv2.warpAffine(light, to, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    known = cv2.warpAffine(known, to, size, flags=cv2.INTER_LINEAR)
    if size[1] < 20 or not (known > 0.99).any():
        return None, share * unrolled.px_per_m
    return np.where(known > 0.99, light, np.nan).astype(np.float32), share * unrolled.px_per_m


def _step(
    level: Single, px_per_m: float, first: float, last: float, likely: float
) -> tuple[float, float] | None:
    """Row of the one strong step and how far others that compete with it lie, in pixels; None where there is none."""
    over = max(2, round(OVER_M * px_per_m))
    step = _steps(level, over)
    enough = np.isfinite(step).mean(1) > 0.6
    if not enough.any():
        return None
    typical = np.zeros(len(step))
    typical[enough] = np.nanmedian(step[enough], axis=1)
    rows = np.asarray(np.arange(len(step)) + over + 0.5, float)
    inside = enough & (rows >= first) & (rows <= last)
    if not inside.any():
        return None
    best, apart = _chosen(np.where(inside, np.abs(typical), 0.0), rows, likely, CARD_SD_M * px_per_m)
    others = np.abs(typical[enough & (np.abs(np.arange(len(step)) - best) > 2 * over)])
    plain = float(np.percentile(others, 90)) if len(others) else 0.0
    agree = float(np.nanmean(np.sign(step[best]) == np.sign(typical[best])))
    if abs(typical[best]) < max(LEAST_STEP, STANDS_OUT * plain) or agree < AGREE_SHARE:
        return None
    return float(rows[best]) + _between(np.abs(typical), best), apart


def _steps(level: Single, over: int) -> Floats:
    """Light above less light below, row k of the edge after row k + over; not a number where not all is known."""
    total = np.cumsum(np.nan_to_num(level), axis=0, dtype=np.float64)
    count = np.cumsum(np.isfinite(level), axis=0)
    mean = np.where(count[over:] - count[:-over] == over, (total[over:] - total[:-over]) / over, np.nan)
    return np.asarray(mean[over:] - mean[:-over], float)


def _chosen(strong: Floats, rows: Floats, likely: float, sd: float) -> tuple[int, float]:
    """The likeliest of the strong steps, and how far from it the others lie: lip, chamfer and rim each give one.

    A step counts by its strength and by how near it lies to where a card laid flush by hand has the edge.
    """
    top = (
        (strong >= np.roll(strong, 1))
        & (strong >= np.roll(strong, -1))
        & (strong > NEXT_SHARE * strong.max())
    )
    at = np.flatnonzero(top) if top.any() else np.array([int(np.argmax(strong))])
    weight = (strong[at] / strong.max()) ** 2 * np.exp(-0.5 * ((rows[at] - likely) / sd) ** 2) + 1e-12
    weight /= weight.sum()
    best = int(np.argmax(weight))
    return int(at[best]), float(np.sqrt(weight @ (rows[at] - rows[at[best]]) ** 2))


def _between(values: Floats, best: int) -> float:
    """Top of a parabola through the greatest value and its neighbours, from the greatest."""
    if not 0 < best < len(values) - 1:
        return 0.0
    low, mid, high = values[best - 1 : best + 2]
    bend = low - 2 * mid + high
    return float(np.clip(0.5 * (low - high) / bend, -0.5, 0.5)) if bend < 0 else 0.0
