"""Cracks as cast iron tears: thin, jagged from grain to grain, stained by rust that came out of them."""

from __future__ import annotations

import cv2
import numpy as np

from atlas.coat import OLD_RUST, RUST, SOOT, Coat, Dice, Floats, clouds, over, raised, soft, step
from atlas.marks import lines
from atlas.parts import Work

Spot = tuple[float, float]
Paths = list[tuple[Floats, float, float]]
DOWN = ("rim", "chamfer", "band", "root", "web")  # one after the other along the profile


def jagged(dice: Dice, start: Spot, end: Spot, wild: float = 0.15) -> Floats:
    """A line (n, 2) of (along, across) mm that breaks off its way again and again, down to single grains."""
    path = np.array([start, end], float)
    while np.hypot(*(path[1] - path[0])) > 0.3:
        move = np.diff(path, axis=0)
        aside = np.column_stack([move[:, 1], -move[:, 0]]) * dice.normal(0, wild, (len(move), 1))
        path = np.insert(path, np.arange(1, len(path)), path[:-1] + move / 2 + aside, 0)
    return np.asarray(path, np.float32)


def torn_open(dice: Dice, path: Floats, wide: float) -> Paths:
    """The line in short bits, here a little wider and there nearly shut, closing towards its end."""
    cuts = np.arange(0, len(path) - 1, 5)
    shut = 1 - 0.8 * (cuts / len(path)) ** 2
    widths = wide * shut * dice.uniform(0.45, 1.25, len(cuts))
    return [(path[i : i + 6], float(w), float(w)) for i, w in zip(cuts, widths, strict=True)]


def hairs(dice: Dice, path: Floats, many: int, longest: float) -> Paths:
    """Short side cracks that leave the line at an angle."""
    out: Paths = []
    for at in dice.integers(len(path) // 5, len(path) - 1, many):
        x, y = (float(v) for v in path[at])
        side, far = float(dice.choice([-1, 1])), float(dice.uniform(0.3, 1.0)) * longest
        out.append((jagged(dice, (x, y), (x + side * far * 0.6, y + far), 0.2), 0.07, 0.04))
    return out


def cracked(dice: Dice, coat: Coat, dark: Floats, bleed: float = 1.0) -> Coat:
    """A line no light comes out of; rust has bled to both sides, further in places."""
    px = coat.px
    spread = cv2.GaussianBlur(dark, (0, 0), 0.9 * px, sigmaY=2.2 * px) * 5 + 1.5 * soft(dark, 0.35, px)
    patchy = step(clouds(dice, coat.shape, px, [(0.8, 2.2, 0.9), (0.5, 0.4, 0.3)]), -1.1, 0.9)
    stain = np.clip(bleed * spread * patchy, 0, 0.72)
    fresh = step(spread, 0.35, 0.0)[..., None]  # darkest beside the line, orange where it thins out
    coat = over(coat, stain, OLD_RUST + (0.25 + 0.75 * fresh) * (RUST - OLD_RUST))
    coat = over(coat, np.clip(1.7 * dark, 0, 1), SOOT * 0.25)
    return raised(coat, -0.3 * dark)


def across_zones(work: Work, dice: Dice, paths: Paths, bleed: float = 1.0) -> Work:
    """Paths drawn from the rim down over every zone they touch; across counts from the start of the rim."""
    out, start, band = {}, 0.0, work.coat("band").size_mm[1]
    for name in DOWN:
        coat = work.coat(name)
        wider = coat.size_mm[1] / band  # the same angle on a wider circle
        mine = [
            (p * np.array([wider, 1], np.float32) - np.array([0, start], np.float32), a, b)
            for p, a, b in paths
        ]
        low, high = (
            min(float(p[:, 1].min()) for p, _, _ in mine),
            max(float(p[:, 1].max()) for p, _, _ in mine),
        )
        if low < coat.size_mm[0] and high > 0:
            out[name] = cracked(dice, coat, lines(coat, mine), bleed)
        start += coat.size_mm[0]
    return work.worn(**out)


def _edge(work: Work) -> float:
    """Where the band starts, counted from the outer edge of the rim."""
    return work.coat("rim").size_mm[0] + work.coat("chamfer").size_mm[0]


def at_edge(work: Work, hard: int, dice: Dice) -> Work:
    """From the rim over the chamfer into the band."""
    length, wide = (13.0, 0.15) if hard == 1 else (36.0, 0.24)
    path = jagged(dice, (-1.0, 0.6), (1.5, _edge(work) + length))
    side = hairs(dice, path, 2 * hard, 4.0)
    return across_zones(work, dice, [*torn_open(dice, path, wide), *side])


def in_band(work: Work, hard: int, dice: Dice) -> Work:
    """Across the middle of the band; it reaches no edge."""
    far, top = work.coat("band").size_mm[0], _edge(work)
    middle = (-1.0, top + far / 2)
    up, down = jagged(dice, middle, (-2.5, middle[1] - 16)), jagged(dice, middle, (1.5, middle[1] + 16))
    paths = [*torn_open(dice, up, 0.2), *torn_open(dice, down, 0.2), *hairs(dice, down, 3, 4.0)]
    return across_zones(work, dice, paths)


def reaches_edge(work: Work, hard: int, dice: Dice) -> Work:
    """A long line of the band that has come up to the chamfer and runs out over it."""
    top, far = _edge(work), work.coat("band").size_mm[0]
    path = jagged(dice, (3.0, top + far * 0.86), (-3.0, work.coat("rim").size_mm[0] + 0.2))
    paths = [*torn_open(dice, path[::-1], 0.22), *hairs(dice, path[::-1], 5, 5.0)]
    return across_zones(work, dice, paths)


def goes_through(work: Work, hard: int, dice: Dice) -> Work:
    """The drum is torn apart: from rim to web, gaping, one side standing higher than the other."""
    top, far = _edge(work), work.coat("band").size_mm[0]
    path = jagged(dice, (-4.0, 0.0), (3.0, top + far + 16), 0.13)
    gap = [
        (path[i : i + 4], w, w) for i, w in zip(range(0, len(path), 3), _gap(dice, len(path)), strict=False)
    ]
    coat = work.coat("band")
    line = np.interp(coat.across[:, 0] + top, path[:, 1], path[:, 0])[:, None]
    away = coat.along - line
    stepped = np.where(away > 0, 0.45 * np.exp(-np.clip(away, 0, None) / 16), 0.0)
    stepped *= step(coat.across, 0.3, 5.0)  # not at the chamfer, where it would leave a slit
    return across_zones(work.worn(band=raised(coat, stepped)), dice, [*gap, *hairs(dice, path, 6, 5.0)], 1.25)


def _gap(dice: Dice, many: int) -> list[float]:
    """How wide it gapes, widest at the open edge."""
    at = np.arange(0, many, 3) / many
    return [float(w) for w in (0.9 - 0.6 * at) * dice.uniform(0.8, 1.15, len(at))]
