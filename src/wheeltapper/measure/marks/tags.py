"""Find the card's tags in a grey picture, their corners to a part of a pixel, and how sharp their edges are.

Tags are found in a smaller copy, which is quick; each side is then followed in the full picture, where the light is
half way between the tag's black and the paper's white, and the corners are where two sides meet. The same profiles
say how wide an edge is. Light is reckoned from grey by the usual curve of photos (sRGB); a phone's own tones differ. A picture that shows the card in a mirror has no tags, and is said to be mirrored.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.card import Card
from wheeltapper.measure.number import Floats

Grey = NDArray[np.uint8]
LOOK_PX = 1700  # long side of the smaller copy
FEW = 4  # fewer tags than this in the smaller copy: look in the full picture
ROWS = 28  # profiles along a side
REACH = 0.085  # of a tag's side, to each side of the edge: two thirds of the black border
ACROSS = 33  # samples of a profile
ENDS = 0.07  # of a side, left out at each end where the corner rounds
PLATEAU = 7  # samples at each end of a profile that tell black and white
_SHARE = np.arange(256) / 255
LIGHT = np.where(_SHARE <= 0.04045, _SHARE / 12.92, ((_SHARE + 0.055) / 1.055) ** 2.4)  # sRGB, IEC 61966-2-1
SIDES = ((0, 1), (1, 2), (2, 3), (3, 0))


@dataclass(frozen=True)
class Tags:
    """What was found. Spreads are the sigma of an edge, over edges crossed along x and along y of the card."""

    ids: NDArray[np.int64]  # (n,)
    corners_px: Floats  # (n, 4, 2) top left, top right, bottom right, bottom left as printed
    strange: tuple[int, ...]  # tags of the family that are not on this card
    mirrored: bool  # tags are there only in the mirrored picture
    spread_m: Floats  # (n, 2) sigma of the edges crossed along x, along y
    spread_px: Floats  # (n, 2) the same in pixels
    black: Floats  # (n,) median grey of the border
    white: Floats  # (n,) median grey of the paper around


def find_tags(grey: Grey, card: Card) -> Tags:
    """The card's tags in a picture.

    Args:
        grey: the picture (rows, columns), 8 bits.
        card: the card that was laid.

    Returns:
        Every tag of the card with refined corners; none where none is seen.
    """
    found = _found(grey)
    strange = tuple(sorted(set(found) - set(card.tags)))
    own = [i for i in sorted(found) if i in card.tags]
    mirrored = not found and bool(_looked(_smaller(grey)[:, ::-1].copy()))
    refined = [_refined(grey, found[i], card.tags[i]) for i in own]
    return Tags(
        np.array(own, np.int64),
        np.array([r.corners_px for r in refined], float).reshape(-1, 4, 2),
        strange,
        mirrored,
        np.array([r.spread_m for r in refined], float).reshape(-1, 2),
        np.array([r.spread_px for r in refined], float).reshape(-1, 2),
        np.array([r.black for r in refined], float),
        np.array([r.white for r in refined], float),
    )


def _found(grey: Grey) -> dict[int, Floats]:
    """Corners by number, in pixels of the full picture; in the full picture too where the copy shows too few."""
    small = _smaller(grey)
    times = np.array([grey.shape[1] / small.shape[1], grey.shape[0] / small.shape[0]])
    found = {i: (corners + 0.5) * times - 0.5 for i, corners in _looked(small).items()}
    if len(found) < FEW and small.shape != grey.shape and found:
        found = _looked(grey) | found
    return found


def _smaller(grey: Grey) -> Grey:
    import cv2

    rows, columns = grey.shape
    share = LOOK_PX / max(rows, columns)
    if share >= 0.9:
        return np.ascontiguousarray(grey)
    size = (round(columns * share), round(rows * share))
    return np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), np.uint8)


def _looked(grey: Grey) -> dict[int, Floats]:
    """Tags of the family; a number seen twice is left out, for nobody can say which is the card's."""
    from cv2 import aruco

    finder = aruco.ArucoDetector(aruco.getPredefinedDictionary(aruco.DICT_APRILTAG_36h11))
    corners, ids, _ = finder.detectMarkers(grey)
    numbers = [] if ids is None else [int(i) for i in np.asarray(ids).ravel()]
    return {
        i: np.asarray(c, float).reshape(4, 2)
        for i, c in zip(numbers, corners, strict=True)
        if numbers.count(i) == 1
    }


@dataclass(frozen=True)
class _Refined:
    corners_px: Floats
    spread_m: tuple[float, float]
    spread_px: tuple[float, float]
    black: float
    white: float


def _refined(grey: Grey, rough_px: Floats, tag_m: Floats) -> _Refined:
    """Twice: the second time the profiles lie square on the sides found the first time."""
    corners = rough_px
    for _ in range(2):
        plane = _plane_to_picture(tag_m, corners)
        profiles = [_profiles(grey, plane, tag_m[a], tag_m[b]) for a, b in SIDES]
        sides = [_side(p) for p in profiles]
        corners = _mapped(plane, _met(sides, tag_m))
    spreads = [_spread(p, s) for p, s in zip(profiles, sides, strict=True)]
    finest = [_px_per_m(plane, tag_m, side) for side in range(4)]
    in_px = [s * f for s, f in zip(spreads, finest, strict=True)]
    black = _grey(np.median([p.light[:, :PLATEAU] for p in profiles]))
    white = _grey(np.median([p.light[:, -PLATEAU:] for p in profiles]))
    upright, level = (1, 3), (0, 2)  # sides crossed along x, along y
    return _Refined(
        corners,
        (_mean(spreads, upright), _mean(spreads, level)),
        (_mean(in_px, upright), _mean(in_px, level)),
        black,
        white,
    )


def _grey(light: np.floating[Any]) -> float:
    return float(np.interp(light, LIGHT, np.arange(256)))


def _mean(values: list[float], which: tuple[int, int]) -> float:
    return float(np.mean([values[i] for i in which]))


@dataclass(frozen=True)
class _Profiles:
    along: Floats  # (rows,) share of the side, 0 to 1
    out_m: Floats  # (across,) distance out of the tag
    light: Floats  # (rows, across), full scale one


def _profiles(grey: Grey, plane: Floats, start_m: Floats, end_m: Floats) -> _Profiles:
    side = end_m - start_m
    length = float(np.linalg.norm(side))
    outward = np.array([-side[1], side[0]]) / length  # corners run clockwise seen from the front, y up
    along = np.linspace(ENDS, 1 - ENDS, ROWS)
    out = np.linspace(-REACH, REACH, ACROSS) * length
    points = start_m + along[:, None, None] * side + out[None, :, None] * outward
    return _Profiles(along, out, _sampled(grey, _mapped(plane, points.reshape(-1, 2))).reshape(ROWS, ACROSS))


def _side(profiles: _Profiles) -> Floats:
    """The edge's distance outward as a parabola of the share along the side: a bent tag's sides are bent."""
    dark = profiles.light[:, :PLATEAU].mean(axis=1, keepdims=True)
    light = profiles.light[:, -PLATEAU:].mean(axis=1, keepdims=True)
    level = (profiles.light - dark) / np.maximum(light - dark, 1e-3) - 0.5
    at = _crossings(level, profiles.out_m)
    good = np.isfinite(at)
    for _ in range(2):  # a hair across the edge moves a row or two
        if good.sum() < ROWS // 2:
            return np.zeros(3)
        shape = np.polyfit(profiles.along[good], at[good], 2)
        away = np.abs(at - np.polyval(shape, profiles.along))
        good = np.isfinite(at) & (away <= 3 * 1.4826 * np.median(away[good]) + 1e-9)
    return np.asarray(shape, float)


def _crossings(level: Floats, out_m: Floats) -> Floats:
    """Where each profile (rows, across) rises through half way, nearest to its steepest place; not a number: nowhere."""
    rises = (level[:, :-1] < 0) & (level[:, 1:] >= 0)
    slope = np.pad(np.diff(level, axis=1), ((0, 0), (1, 1)))
    steepest = np.argmax(slope[:, :-2] + slope[:, 1:-1] + slope[:, 2:], axis=1)
    places = np.arange(rises.shape[1])
    i = np.argmin(np.where(rises, np.abs(places - steepest[:, None]), len(places)), axis=1)
    row = np.arange(len(level))
    before, after = level[row, i], level[row, i + 1]
    found = rises[row, i]
    part = -before / np.where(found, after - before, 1.0)
    return np.where(found, out_m[i] + part * (out_m[1] - out_m[0]), np.nan)


def _met(sides: list[Floats], tag_m: Floats) -> Floats:
    """Corners where neighbouring sides meet, in the plane of the tag: a few steps, for the sides are nearly straight."""
    corners = tag_m.astype(float).copy()
    for c in range(4):
        before, after = (c - 1) % 4, c
        for _ in range(3):
            for side in (before, after):
                a, b = (tag_m[i] for i in SIDES[side])
                along = b - a
                length = float(np.linalg.norm(along))
                outward = np.array([-along[1], along[0]]) / length
                share = float((corners[c] - a) @ along) / length**2
                corners[c] += (np.polyval(sides[side], share) - (corners[c] - a) @ outward) * outward
    return corners


def _spread(profiles: _Profiles, shape: Floats) -> float:
    """Sigma of the edge: half the way from 16 % to 84 % of the rise, the rows laid over each other at the edge."""
    away = profiles.out_m[None, :] - np.polyval(shape, profiles.along)[:, None]
    grid = profiles.out_m
    edge = np.mean([np.interp(grid, a, g) for a, g in zip(away, profiles.light, strict=True)], axis=0)
    dark, light = edge[:PLATEAU].mean(), edge[-PLATEAU:].mean()
    if light - dark < 1e-3:
        return float(grid[-1])
    rise = np.maximum.accumulate((edge - dark) / (light - dark))
    low, high = np.interp([0.1587, 0.8413], rise + 1e-9 * np.arange(len(rise)), grid)
    return float(high - low) / 2


def _px_per_m(plane: Floats, tag_m: Floats, side: int) -> float:
    a, b = (tag_m[i] for i in SIDES[side])
    along = b - a
    outward = np.array([-along[1], along[0]]) / np.linalg.norm(along)
    ends = _mapped(plane, (a + b) / 2 + np.array([[-5e-4], [5e-4]]) * outward)
    return float(np.linalg.norm(ends[1] - ends[0])) / 1e-3


def _plane_to_picture(tag_m: Floats, corners_px: Floats) -> Floats:
    """The homography that takes the tag's corners to the picture, in metres from its own middle."""
    import cv2

    middle = tag_m.mean(axis=0)
    to = cv2.getPerspectiveTransform((tag_m - middle).astype(np.float32) * 1e3, corners_px.astype(np.float32))
    shift = np.array([[1e3, 0, -1e3 * middle[0]], [0, 1e3, -1e3 * middle[1]], [0, 0, 1]])
    return np.asarray(np.asarray(to, float) @ shift, float)


def _mapped(plane: Floats, points: Floats) -> Floats:
    at = np.column_stack([points, np.ones(len(points))]) @ plane.T
    return np.asarray(at[:, :2] / at[:, 2:])


def _sampled(grey: Grey, points_px: Floats) -> Floats:
    """Light between pixels, straight from one to the next; the border's value outside."""
    rows, columns = grey.shape
    x = np.clip(points_px[:, 0], 0, columns - 1.001)
    y = np.clip(points_px[:, 1], 0, rows - 1.001)
    c, r = x.astype(int), y.astype(int)
    fx, fy = x - c, y - r
    top = LIGHT[grey[r, c]] * (1 - fx) + LIGHT[grey[r, c + 1]] * fx
    bottom = LIGHT[grey[r + 1, c]] * (1 - fx) + LIGHT[grey[r + 1, c + 1]] * fx
    return np.asarray(top * (1 - fy) + bottom * fy, float)
