"""Every dark line in the opening, as a suggestion to a person who looks: pieces, lengths, how thick they lie, branches.

One threshold does not serve every surface, and nothing here knows a crack from a thread. A person's taps measure; this
only points.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.path import TOUCH_M
from wheeltapper.measure.marks.response import Response, line_response
from wheeltapper.measure.marks.section import along, smoothed, spaced
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats

FINE_PX_PER_M = 10_000.0  # finer takes longer, and points no better
STRONG = 9.0  # of the response: a line starts here (renders of TUNING)
WEAK = 4.5  # and is followed down to here
MEET_M = 1.5e-3  # of a branch: pieces that end there meet in it
LEAST_M = 2.0e-3  # shorter pieces are dirt
LONG_M = 9.0e-3  # a piece longer than this is a long line (assumed)
SEVERAL = 4  # pieces from which many short ones are a network (assumed)
PATCH_SHARE = 0.45  # of the opening's cells: pieces in fewer lie in one patch
CELL_M = 8.0e-3
PATTERNS = ("nothing dark", "one long dark line", "several lines", "fine network")
AROUND = np.array([[1, 1, 1], [1, 0, 1], [1, 1, 1]], np.uint8)


@dataclass(frozen=True)
class Piece:
    """One line between two ends or branches."""

    path_m: Floats  # (n, 2)
    length_m: float  # along it
    end_to_end_m: float
    toward_rad: float  # from end to end, counterclockwise from the card's x, 0 to pi
    strength: float  # median of the response along it


@dataclass(frozen=True)
class Suggestion:
    """All of them."""

    pieces: tuple[Piece, ...]  # the longest first
    total_m: float
    density_per_m: float  # length over the known area; 10 is one millimetre on a square centimetre
    branches_m: Floats  # (k, 2)
    pattern: str  # of PATTERNS
    spread: str | None  # 'all over the opening' or 'in one patch', for several lines and networks


def suggest(
    unrolled: Unrolled,
    axis_rad: float = 0.0,
    grooves: bool = True,
    strong: float = STRONG,
    weak: float = WEAK,
) -> Suggestion:
    """Trace every dark line.

    Args:
        unrolled: the picture; what lies past the drum's open edge should not count as known.
        axis_rad: by how much the drum's axis is turned from the card's y [rad].
        grooves: damp lines along the turned grooves.
        strong: response at which a line is taken for one.
        weak: response down to which it is followed.

    Returns:
        The suggestion.

    Raises:
        NoAnswerError: the picture is too coarse, or nothing of it is known.
    """
    from skimage.morphology import skeletonize

    response = line_response(unrolled, axis_rad, grooves, FINE_PX_PER_M)
    lines = lasting(response.strength, strong, weak, LEAST_M * response.px_per_m)
    bones = np.asarray(skeletonize(lines), np.uint8)  # type: ignore[no-untyped-call]
    branches = branch_points(bones)
    pieces = sorted(_pieces(bones, branches, response), key=lambda p: -p.length_m)
    total = float(sum(p.length_m for p in pieces))
    area = float(response.known.sum()) / response.px_per_m**2
    pattern = _pattern(pieces)
    spread = _spread(pieces, response) if pattern in PATTERNS[2:] else None
    at = _where_three_meet(response.to_card(_middles(branches)), pieces)
    return Suggestion(tuple(pieces), total, total / area if area else 0.0, at, pattern, spread)


def lasting(strength: NDArray[np.float32], strong: float, weak: float, least_px: float) -> NDArray[np.bool_]:
    """Places over the weak threshold that hang together with one over the strong, in pieces that reach far enough.

    Args:
        strength: the response.
        strong: upper threshold.
        weak: lower threshold.
        least_px: least diagonal of a piece's box.

    Returns:
        Where lines are.
    """
    count, label, stats, _ = cv2.connectedComponentsWithStats(
        (strength > weak).astype(np.uint8), connectivity=8
    )
    keep = np.zeros(count, bool)
    keep[np.unique(label[strength > strong])] = True
    keep &= np.hypot(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]) >= least_px
    keep[0] = False
    return np.asarray(keep[label])


def branch_points(bones: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Places of a skeleton from which three or more ways lead: counted by changes round the eight neighbours.

    Args:
        bones: one where the skeleton is, one pixel thin.

    Returns:
        Where it branches.
    """
    padded = np.pad(bones, 1)
    rows, cols = bones.shape
    ring = [(0, 1), (0, 2), (1, 2), (2, 2), (2, 1), (2, 0), (1, 0), (0, 0)]
    round_it = np.stack([padded[r : r + rows, c : c + cols] for r, c in ring]).astype(np.int8)
    ways = (np.diff(np.concatenate([round_it, round_it[:1]]), axis=0) == 1).sum(0)
    return np.asarray((bones > 0) & (ways >= 3))


def _middles(branches: NDArray[np.bool_]) -> Floats:
    """Columns and rows of branches, those that touch taken as one."""
    count, _, _, middle = cv2.connectedComponentsWithStats(branches.astype(np.uint8), connectivity=8)
    return np.asarray(middle[1:count], float)


def _where_three_meet(branches_m: Floats, pieces: list[Piece]) -> Floats:
    """The branches near which three pieces or more end: others are spurs that a skeleton grows at a blunt end."""
    if not len(branches_m) or not pieces:
        return np.zeros((0, 2))
    ends = np.concatenate([p.path_m[[0, -1]] for p in pieces])
    near = np.linalg.norm(branches_m[:, None] - ends[None], axis=2) < MEET_M
    return np.asarray(branches_m[near.sum(1) >= 3], float)


def _pieces(bones: NDArray[np.uint8], branches: NDArray[np.bool_], response: Response) -> list[Piece]:
    """The skeleton cut at its branches, each part walked from end to end."""
    wide_branches = np.asarray(cv2.dilate(branches.astype(np.uint8), np.ones((3, 3), np.uint8)))
    cut = np.where(wide_branches > 0, 0, bones).astype(np.uint8)
    count, label, stats, _ = cv2.connectedComponentsWithStats(cut, connectivity=8)
    out = []
    for i in range(1, count):
        left, top, wide, high, size = stats[i]
        if size < 3 or np.hypot(wide, high) < LEAST_M / 2 * response.px_per_m:
            continue
        walk = _walk(label[top : top + high, left : left + wide] == i) + np.array([left, top])
        out.append(_piece(walk, response))
    return out


def _walk(bone: NDArray[np.bool_]) -> Floats:
    """Pixels of one unbranched bone in order, as columns and rows."""
    left = {(int(r), int(c)) for r, c in np.argwhere(bone)}
    near = cv2.filter2D(bone.astype(np.uint8), -1, AROUND, borderType=cv2.BORDER_CONSTANT)
    ends = np.argwhere(bone & (near == 1))
    at = tuple(int(v) for v in (ends[0] if len(ends) else np.argwhere(bone)[0]))
    out = [at]
    left.discard((at[0], at[1]))
    while True:
        ways = [
            (at[0] + r, at[1] + c)
            for r, c in ((0, 1), (1, 0), (0, -1), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1))
        ]
        onward = next((w for w in ways if w in left), None)
        if onward is None:
            return np.array(out, float)[:, ::-1]
        left.discard(onward)
        out.append(onward)
        at = onward


def _piece(walk_px: Floats, response: Response) -> Piece:
    path = smoothed(spaced(response.to_card(walk_px)), TOUCH_M)
    chord = path[-1] - path[0]
    rows, cols = walk_px[:, 1].astype(int), walk_px[:, 0].astype(int)
    return Piece(
        path, float(along(path)[-1]), float(np.hypot(*chord)),
        float(np.arctan2(chord[1], chord[0]) % np.pi), float(np.median(response.strength[rows, cols])),
    )  # fmt: skip


def _pattern(pieces: list[Piece]) -> str:
    """A word for what is seen; no verdict."""
    if not pieces:
        return PATTERNS[0]
    total = sum(p.length_m for p in pieces)
    if pieces[0].length_m >= 0.7 * total and pieces[0].end_to_end_m >= 2 * LEAST_M:
        return PATTERNS[1]
    short = sum(p.length_m < LONG_M for p in pieces)
    return PATTERNS[3] if short >= 2 * SEVERAL else PATTERNS[2]


def _spread(pieces: list[Piece], response: Response) -> str:
    """Do the lines lie all over the opening or in one part of it?"""
    points = response.to_pixels(np.concatenate([p.path_m for p in pieces])) / (CELL_M * response.px_per_m)
    taken = {(int(r), int(c)) for c, r in points}
    rows, cols = (int(np.ceil(n / (CELL_M * response.px_per_m))) for n in response.strength.shape)
    return "all over the opening" if len(taken) >= PATCH_SHARE * rows * cols else "in one patch"
