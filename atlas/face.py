"""What the magnet face looks like when something is wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import SOOT, Dice, Floats, cavities, clouds, over, raised, rings, soft, step
from atlas.marks import check_lines, lines, walk
from atlas.parts import Work
from atlas.tint import tinted


def torn(work: Work, hard: int, dice: Dice) -> Work:
    """Metal picked up and dragged round: galled streaks, torn open behind and smeared into lips ahead."""
    coat = work.coat("magnet face")
    far, px = coat.size_mm[0], coat.px
    track = np.exp(-(np.abs((coat.across - far * 0.5) / 12.0) ** 4))
    lay = clouds(dice, coat.shape, px, [(0.8, 2.4, 26), (0.55, 0.9, 12), (0.3, 0.35, 4)])
    tear = step(lay, 0.25, 0.75) * track
    floor = 0.6 + 0.4 * clouds(
        dice, coat.shape, px, [(0.7, 0.35, 7), (0.4, 0.25, 1.5)]
    )  # torn along, never smooth
    deep = tear * np.clip(floor, 0.1, 1.5)
    ahead = np.roll(soft(tear, 0.9, px), round(1.6 * px), axis=1)
    smear = (
        np.clip(ahead - tear, 0, 1) * step(clouds(dice, coat.shape, px, [(0.7, 0.6, 9)]), -0.8, 0.8) * track
    )
    scored = step(clouds(dice, coat.shape, px, [(1, 0.3, 60)]), 0.7, 1.6) * track
    shade = np.clip(1 - 0.32 * deep - 0.15 * scored + 0.3 * smear, 0.3, 1.3)
    coat = replace(
        coat, colour=coat.colour * shade[..., None], dull=np.clip(coat.dull - 0.25 * smear - 0.1 * tear, 0, 1)
    )
    coat = raised(coat, -0.55 * soft(deep, 0.1, px) + 0.30 * soft(smear, 0.2, px) - 0.04 * scored)
    return work.worn(magnet_face=cavities(coat, 0.9, 1.6))


def uneven(work: Work, hard: int, dice: Dice) -> Work:
    """Worn into steps and ridges all round instead of one level."""
    coat = work.coat("magnet face")
    far = coat.size_mm[0]
    depth = np.zeros((coat.shape[0], 1), np.float32)
    for at, wide in ((0.22, 2.2), (0.36, 1.2), (0.52, 4.0), (0.70, 1.6), (0.80, 0.9)):
        depth += float(dice.uniform(0.5, 1.0)) * np.exp(-(np.abs((coat.across - at * far) / wide) ** 5))
    depth += 0.12 * rings(dice, coat.px, coat.shape[0], [(1, 0.8), (0.5, 0.3)]) * step(depth, 0.05, 0.3)
    deep: Floats = (
        depth * (0.55 if hard == 1 else 1.1) * (1 + 0.15 * clouds(dice, coat.shape, coat.px, [(1, 6, 80)]))
    )
    edge = np.abs(np.gradient(deep, axis=0)) * coat.px
    coat = over(coat, np.clip(edge * 0.25, 0, 0.5), SOOT)
    coat = replace(coat, colour=coat.colour * (1 - 0.25 * step(deep, 0.1, 0.4))[..., None])
    return work.worn(magnet_face=cavities(raised(coat, -deep), 1.5, 1.6))


def gouged(work: Work, hard: int, dice: Dice) -> Work:
    """Something hard was caught under the magnet: a few deep cuts, bright, with metal ploughed up beside them."""
    coat = work.coat("magnet face")
    far, px = coat.size_mm[0], coat.px
    cut, fine = np.zeros(coat.shape, np.float32), []
    for x, y, long, slant, wide in (
        (-42, 0.30, 88, 0.045, 3.0),
        (-12, 0.68, 52, 0.05, 2.0),
        (-66, 0.55, 40, 0.06, 1.6),
        (34, 0.62, 26, 0.08, 1.3),
    ):
        path = walk(dice, (x, y * far), float(long), np.pi / 2 - slant, 0.04)
        half = len(path) * 2 // 3  # it bites in slowly and lets go at once
        parts = [(path[:half], 0.1, wide), (path[half - 1 :], wide, wide * 0.3)]
        cut = np.maximum(cut, soft(lines(coat, parts), 0.22, px))
        fine += [(path + np.array([0, d], np.float32), 0.08, 0.12) for d in dice.uniform(-0.3, 0.3, 3) * wide]
    scored = lines(coat, fine)
    burr = np.clip(soft(cut, 0.55, px) - cut, 0, 1) * np.clip(
        0.8 + 0.5 * clouds(dice, coat.shape, px, [(0.8, 0.6, 1.2)]), 0, 1.6
    )
    shade = np.clip(1 - 0.18 * cut - 0.3 * scored + 0.9 * burr, 0.2, 1.4)
    coat = replace(coat, colour=coat.colour * shade[..., None], dull=np.clip(coat.dull - 0.2 * cut, 0, 1))
    coat = raised(coat, -0.9 * cut - 0.1 * scored + 1.0 * burr)
    return work.worn(magnet_face=cavities(coat, 0.8, 0.5))


def grooves(work: Work, hard: int, dice: Dice) -> Work:
    """Even tracks all round, side by side, like a worn record."""
    coat = work.coat("magnet face")
    far = coat.size_mm[0]
    depth = np.zeros((coat.shape[0], 1), np.float32)
    for at in np.arange(7.0, far - 6.0, 1.75):
        wide = float(dice.uniform(0.35, 0.75))
        depth = np.maximum(
            depth,
            float(dice.uniform(0.2, 0.5))
            * np.exp(-(np.abs((coat.across - at - dice.normal(0, 0.3)) / wide) ** 3)),
        )
    deep: Floats = depth * np.clip(1 + 0.1 * clouds(dice, coat.shape, coat.px, [(1, 3, 80)]), 0.5, 1.4)
    coat = replace(
        coat,
        colour=coat.colour * (1 - 0.38 * step(depth, 0.05, 0.3) * np.ones(coat.shape, np.float32))[..., None],
    )
    return work.worn(magnet_face=cavities(raised(coat, -deep), 0.9, 3.0))


def hot_spots(work: Work, hard: int, dice: Dice) -> Work:
    """Burnt places one after the other round the track, dark in the middle with a ring of colour and fine lines."""
    coat = work.coat("magnet face")
    far, long = coat.size_mm
    ragged = clouds(dice, coat.shape, coat.px, [(0.16, 4, 8), (0.08, 1, 3)])
    heat = np.zeros(coat.shape, np.float32)
    places = [
        (27.0 * i + float(dice.normal(0, 4)), far * 0.5 + float(dice.normal(0, 3.5))) for i in range(-11, 12)
    ]
    for x, y in places:
        away = (
            np.hypot(
                (coat.along - x) / float(dice.uniform(8, 13)), (coat.across - y) / float(dice.uniform(6, 9))
            )
            + ragged
        )
        heat = np.maximum(heat, np.exp(-(away**3)) * float(dice.uniform(0.75, 1.0)))
    burnt = tinted(coat, np.clip(0.95 * heat, 0, 1), 0.6, 0.45)
    burnt = over(burnt, 0.62 * step(heat, 0.45, 0.8), SOOT * 2.2, 0.5, 0.3)
    checks = check_lines(dice, coat, (-long / 2, long / 2), (6, far - 6), 22.0, 4.0, 0.5) * step(
        heat, 0.35, 0.7
    )
    return work.worn(
        magnet_face=raised(over(burnt, checks, SOOT * 0.4), -0.1 * checks + 0.06 * step(heat, 0.3, 0.6))
    )
