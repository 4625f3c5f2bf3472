"""What the friction band and its edge look like when something is wrong. Each changes coats or profiles, nothing else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import (
    OLD_RUST,
    RUST,
    SOOT,
    Coat,
    Dice,
    Floats,
    cavities,
    clouds,
    over,
    raised,
    rings,
    rusty,
    soft,
    step,
)
from atlas.marks import check_lines, film, lines, pit_field, walk
from atlas.parts import Piece, Work
from atlas.shape import Zone


def _swept(coat: Coat) -> Floats:
    """1 where shoes run."""
    far = coat.size_mm[0]
    return step(coat.across, 4.0, 4.6) * step(coat.across, far - 4.0, far - 4.6)


def ridge(work: Work, hard: int, dice: Dice) -> Work:
    """A lip the shoes never reached stands proud of the worn band."""
    coat = work.coat("band")
    edge = 5.6 + 0.10 * clouds(dice, (1, coat.shape[1]), coat.px, [(1, 1, 40)])
    worn = step(coat.across, edge - 0.16, edge + 0.16) * step(
        coat.across, coat.size_mm[0] - 5, coat.size_mm[0] - 5.4
    )
    coat = rusty(dice, coat, 0.62, 1 - worn)
    coat = raised(coat, -worn * (0.7 if hard == 1 else 1.5))
    shadow = step(coat.across, edge - 0.05, edge + 0.2) * step(
        coat.across, edge + 0.9 * hard + 0.4, edge + 0.3
    )
    corner = np.exp(-(((coat.across - edge + 0.25) / 0.2) ** 2)).astype(np.float32) * np.ones(
        coat.shape, np.float32
    )
    coat = over(coat, 0.8 * shadow, SOOT)
    coat = over(coat, 0.6 * corner, np.array([0.55, 0.53, 0.5], np.float32), 0.3, 0.3)
    return work.worn(band=coat)


def glaze(work: Work, hard: int, dice: Dice) -> Work:
    """Rubbed to a mirror: grain gone, dark, it throws the light back."""
    coat = work.coat("band")
    much = _swept(coat) * np.clip(1.05 + clouds(dice, coat.shape, coat.px, [(0.10, 3, 50)]), 0, 1)
    smooth = 0.10 if hard == 1 else 0.02
    colour = (
        np.array([0.42, 0.395, 0.36], np.float32)
        * (1 + 0.05 * rings(dice, coat.px, coat.shape[0], [(1, 0.9), (0.6, 0.25)]))[..., None]
    )
    coat = over(coat, 0.99 * much, colour * np.ones((1, 1, 1), np.float32), 0.05, smooth)
    return work.worn(band=replace(coat, height=coat.height * (1 - 0.985 * much)))


def grooves(work: Work, hard: int, dice: Dice) -> Work:
    """Grit has cut tracks all round."""
    coat = work.coat("band")
    depth = np.zeros((coat.shape[0], 1), np.float32)
    for _ in range(9 if hard == 1 else 17):
        at, wide = dice.uniform(6, coat.size_mm[0] - 7), dice.uniform(0.2, 0.5 if hard == 1 else 1.0)
        deep = dice.uniform(0.12, 0.35) * hard
        depth = np.maximum(depth, deep * np.exp(-(np.abs((coat.across - at) / wide) ** 3)))
    waver = np.clip(1 + 0.25 * clouds(dice, coat.shape, coat.px, [(1, 4, 60)]), 0.3, 1.4)
    bright = step(depth, 0.04, 0.2) * np.ones(coat.shape, np.float32)
    coat = replace(coat, colour=coat.colour * (1 - 0.5 * bright)[..., None])
    coat = raised(coat, -depth * waver)
    return work.worn(band=cavities(coat, 0.9, 5.0))


def _checked(coat: Coat, dark: Floats, heat: Floats) -> Coat:
    tint = film(heat) / film(np.zeros((1, 1), np.float32)) * np.array([0.95, 0.95, 0.95], np.float32)
    coat = replace(coat, colour=coat.colour * tint, dull=coat.dull * 0.85)
    return raised(over(coat, np.clip(1.5 * dark, 0, 1), SOOT * 0.6), -0.15 * dark)


def checks_all_round(work: Work, hard: int, dice: Dice) -> Work:
    """Fine lines across the band, everywhere."""
    coat = work.coat("band")
    long, far = coat.size_mm[1] / 2, coat.size_mm[0]
    dark = check_lines(
        dice, coat, (-long, long), (5, far - 6), 6.0 if hard == 1 else 16.0, 9.0 if hard == 1 else 16.0, 0.55
    )
    heat = 0.025 * _swept(coat) * (1 + 0.4 * clouds(dice, coat.shape, coat.px, [(1, 12, 60)]))
    return work.worn(band=_checked(coat, dark, heat))


def checks_in_patch(work: Work, hard: int, dice: Dice) -> Work:
    """The same in one place, round a hot spot; clean iron beside it."""
    coat = work.coat("band")
    wide = 20 if hard == 1 else 27
    far = coat.size_mm[0]
    lay = clouds(dice, coat.shape, coat.px, [(0.5, 8, 14), (0.25, 2, 3)])
    away = np.hypot(coat.along / wide, (coat.across - far / 2) / 19) + 0.10 * lay
    spot = np.exp(-(away**3))
    heat = np.clip(spot * (0.36 + 0.14 * hard + 0.08 * lay), 0, 1)
    dark = check_lines(dice, coat, (-wide * 0.9, wide * 0.9), (far / 2 - 17, far / 2 + 15), 16.0 * hard, 13.0)
    return work.worn(band=_checked(coat, dark * step(spot, 0.1, 0.5), heat))


def _cracked(coat: Coat, dark: Floats) -> Coat:
    """A line that light does not come out of, its lips a little raised, rust bled beside it."""
    halo = np.clip(soft(dark, 0.8, coat.px) * 2.4, 0, 0.5)
    coat = over(coat, halo, OLD_RUST + 0.2 * (RUST - OLD_RUST))
    coat = over(coat, np.clip(1.6 * dark, 0, 1), SOOT * 0.3)
    return raised(coat, -0.35 * dark)


def crack_at_edge(work: Work, hard: int, dice: Dice) -> Work:
    """One dark line from the rim over the chamfer into the band."""
    length, wide = (16.0, 0.16) if hard == 1 else (36.0, 0.30)
    rim, chamfer, band = (work.coat(n) for n in ("rim", "chamfer", "band"))
    before = rim.size_mm[0] + chamfer.size_mm[0]
    whole = walk(dice, (-1.0, 0.8), length + before - 0.8, 0.06, 0.9)
    fork = whole[len(whole) * 2 // 3]
    branch = walk(dice, (float(fork[0]), float(fork[1])), length * 0.2, -0.5, 0.9)
    paths = [(whole, wide, 0.10), *([(branch, 0.14, 0.08)] if hard == 2 else [])]
    out, start = {}, 0.0
    for name, coat in (("rim", rim), ("chamfer", chamfer), ("band", band)):
        wider = coat.size_mm[1] / band.size_mm[1]  # the same angle on a wider circle
        mine = [
            (p * np.array([wider, 1], np.float32) - np.array([0, start], np.float32), a, b)
            for p, a, b in paths
        ]
        out[name] = _cracked(coat, lines(coat, mine))
        start += coat.size_mm[0]
    return work.worn(**out)


def crack_in_band(work: Work, hard: int, dice: Dice) -> Work:
    """One dark line across the band that reaches no edge."""
    coat = work.coat("band")
    length, wide = (14.0, 0.16) if hard == 1 else (32.0, 0.30)
    start = coat.size_mm[0] / 2 - length / 2
    half = walk(dice, (-2.0, start), length, 0.10, 0.9)
    middle = len(half) // 2
    paths = [(half[: middle + 1][::-1], wide, 0.1), (half[middle:], wide, 0.1)]
    return work.worn(band=_cracked(coat, lines(coat, paths)))


def blue(work: Work, hard: int, dice: Dice) -> Work:
    """Heat colours: straw at the cool side, brown, purple, blue where it was hottest."""
    coat = work.coat("band")
    far = coat.size_mm[0]
    hot = np.exp(-(((coat.across - far * 0.48) / (15 if hard == 1 else 21)) ** 2)) * np.ones(
        coat.shape, np.float32
    )
    lay = clouds(dice, coat.shape, coat.px, [(0.14, 9, 30), (0.05, 2, 14)]) + 0.03 * rings(
        dice, coat.px, coat.shape[0], [(1, 0.7)]
    )
    heat = np.clip(hot * (0.50 if hard == 1 else 0.72) + lay * (0.4 + hot), 0, 1)
    colour = film(heat) * (0.8 + coat.colour)
    shown = step(heat, 0.02, 0.16)
    coat = replace(
        coat,
        colour=coat.colour + shown[..., None] * (colour - coat.colour),
        dull=coat.dull * (1 - 0.3 * shown),
    )
    return work.worn(band=coat)


def pits(work: Work, hard: int, dice: Dice) -> Work:
    """Holes eaten by rust that a scuff does not take out."""
    coat = work.coat("band")
    deep = pit_field(dice, coat, 0.45 if hard == 1 else 0.75)
    near = np.clip(soft(deep, 1.0, coat.px) * 1.6, 0, 0.7)
    coat = rusty(dice, over(coat, near, OLD_RUST), 0.30)
    coat = over(coat, deep * 0.95, OLD_RUST * 0.55)
    return work.worn(band=raised(coat, -deep * (0.35 if hard == 1 else 0.8)))


def shoe_print(work: Work, hard: int, dice: Dice) -> Work:
    """A brake stood wet: the shoe's outline in rust."""
    coat = work.coat("band")
    far, half = coat.size_mm[0], 62.0
    ragged = clouds(dice, coat.shape, coat.px, [(0.35, 1.2, 1.2), (0.3, 4, 4)])
    x, y = np.abs(coat.along + 6) - half + ragged, np.abs(coat.across - far / 2) - (far / 2 - 7) + ragged
    inside = step(np.maximum(x, y), 0.5, -0.5)
    rim = np.exp(-((np.maximum(x, y) / 2.2) ** 2)) * step(np.maximum(x, y), 1.5, -0.2)
    body = rusty(dice, coat, 0.56 if hard == 1 else 0.85, inside)
    tone = np.clip(0.75 + 0.3 * clouds(dice, coat.shape, coat.px, [(0.7, 2, 3), (0.5, 0.4, 0.4)]), 0.2, 1)
    return work.worn(band=over(body, rim * tone, OLD_RUST + 0.35 * (RUST - OLD_RUST)))


def chamfer_worn(work: Work, hard: int, dice: Dice) -> Work:
    """No chamfer left: the band runs out into a sharp corner, feathered where metal was pushed over."""
    r, h = work.drum.radius, work.drum.depth
    left = 0.7 if hard == 1 else 0.15
    rim, edge, band = (work.pieces[n] for n in ("rim", "chamfer", "band"))
    burr = np.clip(clouds(dice, edge.coat.shape, edge.coat.px, [(0.12, 0.3, 1.2)]), 0, 0.3)
    return work.having(
        rim=Piece(Zone(((r + 8, h), (r + left, h)), cell_mm=0.5), rim.coat),
        chamfer=Piece(Zone(((r + left, h), (r, h - left)), cell_mm=0.1), raised(edge.coat, burr)),
        band=Piece(Zone(((r, h - left), (r, 6)), cell_mm=0.4), band.coat),
    )
