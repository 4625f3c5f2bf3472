"""Is the photo good enough to measure in? Plain numbers, one word for each reason to take it again, and what to do.

The numbers come from the tags' own edges, the fit and the opening laid flat. Thresholds marked renders were set by eye
on rendered pictures of drums that never were; assumed: by judgement. None was set on photos of real drums.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.card import Card, grid_m
from wheeltapper.measure.marks.pose import Pose
from wheeltapper.measure.marks.tags import LIGHT, Tags
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats

REMEDIES = {
    "card missing": "lay the card beside the mark and show all of it, right way round.",
    "mirrored": "use the photo as the camera took it; front cameras and some programs turn it left to right.",
    "wrong card": "name the card that lies there, or lay the one that is named.",
    "card partly hidden": "show the whole card; keep hands, shadows and dirt off the tags on both sides of the mark.",
    "too far": "go closer until the card fills most of the picture.",
    "too steep": "hold the camera more squarely over the mark.",
    "blurred": "wipe the lens, touch the mark on the screen to focus, and take it again.",
    "moved": "rest the hand on the drum, or use more light, and take it again.",
    "too dark": "bring a lamp; light the wall from the side.",
    "overexposed": "take the lamp away a little, or touch the white of the card so that the camera sets itself to it.",
    "glare over the mark": "move the lamp or the camera until nothing shines on the mark.",
    "washed out": "shade the camera from the lamp and wipe the lens; the light lies like a fog over the surface.",
    "card bridging the curve": "press thin paper against the wall until it touches all along, and check the drum's size.",
    "wrong surface chosen": "choose the inner wall and the drum's size, or lay the card on a flat face.",
    "fit poor": "smooth the paper, print it at 100 %, and take it again without zoom or cropping.",
}
REASONS = tuple(REMEDIES)
CLIPPED_GREY = 245  # phones bend the brightest tones: clipped light lands here or above (assumed)
NEAR_MARK_M = 0.003
BLOCK_M = 0.003
SMOOTH_M = 0.0007  # what is broader than this is shading, not the surface's own texture


@dataclass(frozen=True)
class Gates:
    """Where a photo stops being good enough."""

    tags: int = 4  # what the fit needs
    off_line_m: float = 0.008  # tags on one leg only lie closer to a line (reasoned: legs are wider apart)
    covered_share: float = 0.75  # of the mark between found tags; assumed
    px_per_m: float = 5_000.0  # assumed: a line of 0.2 mm is one pixel
    spread_m: float = 0.000_18  # of both directions, by their product; renders: good 0.05 to 0.17 mm
    spread_worst_m: float = 0.000_25  # of the worse one: a tilted view is coarser one way
    sharp_px: float = 1.3  # a picture no softer than this can only be taken nearer; renders: 0.6 to 1.2
    moved_ratio: float = 1.5  # renders: one direction against the other, in pixels
    moved_m: float = 0.000_12  # renders
    white: float = 100.0  # renders: good over 220
    white_clipped: float = 252.0  # renders
    black_share: float = 0.15  # of the paper's light; ink gives back 0.03 to 0.07 (assumed)
    rms_m: float = 0.000_1  # renders: good under 0.02 mm
    tilt_rad: float = 1.05  # 60 degrees
    clipped_share: float = 0.03  # near the mark; renders
    clipped_opening_share: float = 0.10  # where no mark is named; assumed
    washed_share: float = 0.25  # of the blocks near the mark; renders without a veil: 0.14 at most
    washed_opening_share: float = 0.5  # where no mark is named; assumed
    washed_brighter: float = 1.8  # than the darker blocks; renders
    washed_contrast: float = 0.5  # of theirs; renders
    polished: float = 0.5  # of their texture in plain light: less is a smoother surface, not a veil; assumed
    curve_low: float = 0.75  # of the drum's curvature; assumed
    curve_high: float = 1.35  # assumed
    curve_flat_per_m: float = 1.0  # an arch of 1.5 mm under a card of 110 mm; assumed


GATES = Gates()


@dataclass(frozen=True)
class Quality:
    """What the photo is like. From `covered_share` on, None where the card was not found well enough."""

    tags: int
    strange: int
    mirrored: bool
    off_line_m: float  # how far the tags' middles spread beside the straight line nearest to them
    white: float
    black_share: float  # light from the tags' black over light from the paper
    spread_m: tuple[float, float]  # sigma of edges crossed along x, along y of the card
    spread_px: tuple[float, float]
    covered_share: float | None = None
    px_per_m: float | None = None
    rms_m: float | None = None
    tilt_rad: float | None = None
    wall_per_m: float | None = None  # curvature that was chosen; 0 is flat
    curve_per_m: float | None = None  # curvature that the picture alone tells
    curve_sd_per_m: float | None = None
    near_mark: bool = False  # the next two were taken near the mark, not over the whole opening
    clipped_share: float | None = None
    washed_share: float | None = None


def quality_of(
    tags: Tags,
    card: Card,
    pose: Pose | None = None,
    flat: Unrolled | None = None,
    radius_m: float | None = None,
    curve: tuple[float, float] | None = None,
    mark_m: Floats | None = None,
    gates: Gates = GATES,
) -> Quality:
    """Put the numbers together.

    Args:
        tags: what was found.
        card: the card that was named.
        pose: the fit; None where it could not be made.
        flat: the opening laid flat; None without a fit.
        radius_m: radius of the wall that was chosen, None for a flat face [m].
        curve: curvature that the picture alone tells, and its standard uncertainty.
        mark_m: both ends of the mark (2, 2) where a person has named them [m].
        gates: the thresholds; some tell what counts as washed out.

    Returns:
        The numbers.
    """
    any_tags = len(tags.ids) > 0
    light = np.interp([tags.black, tags.white], np.arange(256), LIGHT) if any_tags else np.zeros((2, 1))
    tagged = Quality(
        len(tags.ids),
        len(tags.strange),
        tags.mirrored,
        _off_line_m(tags, card),
        float(np.median(tags.white)) if any_tags else 0.0,
        float(np.median(light[0] / np.maximum(light[1], 1e-4))),
        _pair(np.median(tags.spread_m, axis=0)) if any_tags else (0.0, 0.0),
        _pair(np.median(tags.spread_px, axis=0)) if any_tags else (0.0, 0.0),
    )
    if pose is None or flat is None:
        return tagged
    return _with_pose(tagged, tags, card, pose, flat, radius_m, curve, mark_m, gates)


def _pair(values: Floats) -> tuple[float, float]:
    return float(values[0]), float(values[1])


def _with_pose(
    q: Quality,
    tags: Tags,
    card: Card,
    pose: Pose,
    flat: Unrolled,
    radius_m: float | None,
    curve: tuple[float, float] | None,
    mark_m: Floats | None,
    gates: Gates,
) -> Quality:
    left, bottom, right, top = (v * pose.print_scale for v in card.opening_m)
    middle = np.array([(left + right) / 2, (bottom + top) / 2])
    at = middle if mark_m is None else np.asarray(mark_m, float).mean(axis=0)
    wanted = (
        grid_m((left, bottom, right, top), 0.004) if mark_m is None else _along(np.asarray(mark_m, float))
    )
    fine = pose.px_per_m(at)
    near = near_mark(flat, mark_m) & flat.known
    return Quality(
        *(q.tags, q.strange, q.mirrored, q.off_line_m, q.white, q.black_share, q.spread_m, q.spread_px),
        covered_share=_covered(tags, card, pose.print_scale, wanted),
        px_per_m=fine,
        rms_m=pose.rms_px / max(fine, 1.0),
        tilt_rad=pose.tilt_rad(at),
        wall_per_m=0.0 if radius_m is None else 1 / radius_m,
        curve_per_m=curve[0] if curve else None,
        curve_sd_per_m=curve[1] if curve else None,
        near_mark=mark_m is not None,
        clipped_share=float((flat.grey[near] >= CLIPPED_GREY).mean()) if near.any() else None,
        washed_share=washed_share(flat, near, gates) if near.any() else None,
    )


def _along(mark_m: Floats) -> Floats:
    return np.asarray(mark_m[0] + np.linspace(0, 1, 21)[:, None] * (mark_m[1] - mark_m[0]))


def _off_line_m(tags: Tags, card: Card) -> float:
    if len(tags.ids) < 2:
        return 0.0
    middles = np.array([card.tags[int(i)].mean(axis=0) for i in tags.ids])
    spread = np.linalg.svd(middles - middles.mean(axis=0), compute_uv=False)
    return float(spread[-1] / np.sqrt(len(middles)))


def _covered(tags: Tags, card: Card, scale: float, points_m: Floats) -> float:
    """Share of points inside the hull of the found tags, 4 mm around it included: the card's open side is open."""
    import cv2

    corners = np.concatenate([card.tags[int(i)] for i in tags.ids]) * scale
    hull = cv2.convexHull((corners * 1e3).astype(np.float32))
    inside = [cv2.pointPolygonTest(hull, (float(x), float(y)), True) >= -4.0 for x, y in points_m * 1e3]
    return float(np.mean(inside))


def near_mark(flat: Unrolled, mark_m: Floats | None) -> NDArray[np.bool_]:
    """Pixels of the flat picture near the straight line between the ends of a mark.

    Args:
        flat: the opening laid flat.
        mark_m: both ends (2, 2); None: everywhere [m].

    Returns:
        Which pixels (rows, columns).
    """
    rows, columns = flat.grey.shape
    if mark_m is None:
        return np.ones((rows, columns), bool)
    a, b = flat.to_pixels(np.asarray(mark_m, float))
    y, x = np.mgrid[:rows, :columns]
    way = b - a
    share = np.clip(((x - a[0]) * way[0] + (y - a[1]) * way[1]) / max(float(way @ way), 1e-9), 0, 1)
    far = np.hypot(x - a[0] - share * way[0], y - a[1] - share * way[1])
    return np.asarray(far <= NEAR_MARK_M * flat.px_per_m)


def washed_share(flat: Unrolled, near: NDArray[np.bool_], gates: Gates = GATES) -> float:
    """How much of the surface lies under light that hides its texture.

    A veil adds the same light to dark and bright: against the darker blocks a block gets brighter, and its texture weaker
    for its brightness though not in itself. A shadow's edge or a lamp from the side changes brightness and texture
    alike; a band polished by the shoes is brighter and truly smoother. Neither is counted.

    Args:
        flat: the opening laid flat.
        near: the pixels that matter (rows, columns).
        gates: what is brighter, what is weaker.

    Returns:
        Share of the blocks that matter.
    """
    import cv2

    light = LIGHT[flat.grey].astype(np.float32)
    shade = cv2.GaussianBlur(light, (0, 0), SMOOTH_M * flat.px_per_m)
    side = max(1, round(BLOCK_M * flat.px_per_m))
    mean, texture = _blocks(light, side), np.sqrt(_blocks((light - shade) ** 2, side))
    covered = _blocks(flat.known.astype(np.float32), side) > 0.95
    asked = (_blocks(near.astype(np.float32), side) > 0.3) & covered
    if not asked.any():
        return 0.0
    darker = covered & (mean <= np.percentile(mean[covered], 40))
    usual, rough = float(np.median(mean[darker])), float(np.median(texture[darker]))
    bright = mean > gates.washed_brighter * usual
    weak = texture / np.maximum(mean, 1e-4) < gates.washed_contrast * rough / max(usual, 1e-4)
    return float((bright & weak & (texture > gates.polished * rough))[asked].mean())


def _blocks(values: NDArray[np.float32], side: int) -> Floats:
    rows, columns = (max(1, n // side) for n in values.shape)
    cut = values[: rows * side, : columns * side].astype(float)
    return np.asarray(
        cut.reshape(rows, cut.shape[0] // rows, columns, cut.shape[1] // columns).mean(axis=(1, 3))
    )


def reasons_of(quality: Quality, gates: Gates = GATES) -> tuple[str, ...]:
    """Why the photo should be taken again.

    Args:
        quality: its numbers.
        gates: the thresholds.

    Returns:
        Words of REASONS, in that order; none for a photo that is good enough. Each has its remedy in REMEDIES.
    """
    q, g = quality, gates
    met = _of_tags(q, g) | (_of_pose(q, g) if q.px_per_m is not None else {})
    return tuple(word for word in REASONS if met.get(word))


def _of_tags(q: Quality, g: Gates) -> dict[str, bool]:
    few = q.tags < g.tags
    wide, narrow = max(q.spread_px), max(min(q.spread_px), 1e-9)
    one_way = wide > g.moved_ratio * narrow
    spread = float(np.sqrt(q.spread_m[0] * q.spread_m[1]))
    soft = spread > g.spread_m or max(q.spread_m) > g.spread_worst_m
    coarse = max(q.spread_px) < g.sharp_px
    none = q.tags == 0 and q.strange == 0
    return {
        "card missing": none and not q.mirrored,
        "mirrored": none and q.mirrored,
        "wrong card": few and q.strange > q.tags,
        "card partly hidden": q.tags > 0 and (few or q.off_line_m < g.off_line_m),
        "blurred": q.tags > 0 and soft and not one_way and not coarse,
        "too far": q.tags > 0 and soft and not one_way and coarse,  # sharp, but of too few pixels
        "moved": q.tags > 0 and max(q.spread_m) > g.moved_m and one_way,
        "too dark": q.tags > 0 and q.white < g.white,
        "overexposed": q.tags > 0 and q.white >= g.white_clipped,
        "washed out": q.tags > 0 and q.black_share > g.black_share,
    }


def _of_pose(q: Quality, g: Gates) -> dict[str, bool]:
    seen = _of_tags(q, g)
    most = g.clipped_share if q.near_mark else g.clipped_opening_share
    fog = g.washed_share if q.near_mark else g.washed_opening_share
    return {
        "card partly hidden": seen["card partly hidden"] or (q.covered_share or 0.0) < g.covered_share,
        "too far": seen["too far"] or (q.px_per_m or 0.0) < g.px_per_m,
        "too steep": q.tilt_rad is not None and q.tilt_rad > g.tilt_rad,
        "glare over the mark": q.clipped_share is not None and q.clipped_share > most,
        "washed out": seen["washed out"] or (q.washed_share or 0.0) > fog,
        "fit poor": q.rms_m is not None and q.rms_m > g.rms_m,
        "card bridging the curve": _bridges(q, g),
        "wrong surface chosen": _other_surface(q, g),
    }


def _bridges(q: Quality, g: Gates) -> bool:
    """The wall was chosen, and the card as it lies is far less bent, or far more."""
    if not q.wall_per_m or q.curve_per_m is None:
        return False
    return not g.curve_low <= q.curve_per_m / q.wall_per_m <= g.curve_high


def _other_surface(q: Quality, g: Gates) -> bool:
    """A flat face was chosen, and the card as it lies is bent beyond doubt."""
    if q.wall_per_m != 0 or q.curve_per_m is None or q.curve_sd_per_m is None:
        return False
    return abs(q.curve_per_m) > max(g.curve_flat_per_m, 3 * q.curve_sd_per_m)
