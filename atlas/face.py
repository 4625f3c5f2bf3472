"""What the magnet face looks like when something is wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import SOOT, Dice, Floats, cavities, clouds, over, raised, rings, soft, step
from atlas.marks import lines, walk
from atlas.parts import Work


def torn(work: Work, hard: int, dice: Dice) -> Work:
    """Metal picked up and dragged round: ragged tears with smeared ends, bright where fresh."""
    coat = work.coat("magnet face")
    far, long = coat.size_mm
    tracks = []
    for _ in range(150 if hard == 1 else 230):
        start = (
            float(dice.uniform(-long / 2, long / 2)),
            float(np.clip(dice.normal(far / 2, far / 6), 5, far - 5)),
        )
        length = float(dice.gamma(2.0, 11.0 if hard == 1 else 17.0))
        tracks.append(
            (
                walk(dice, start, length, np.pi / 2 + float(dice.normal(0, 0.015)), 0.05),
                float(dice.uniform(0.5, 2.2)),
                0.2,
            )
        )
    deep = lines(coat, tracks)
    ragged = np.clip(
        deep * (0.7 + clouds(dice, coat.shape, coat.px, [(0.4, 0.3, 0.5), (0.3, 0.8, 4)])), 0, 1.2
    )
    lip = np.clip(soft(deep, 0.5, coat.px) - deep, 0, 1)
    coat = replace(
        coat,
        colour=coat.colour * (1 - 0.45 * ragged + 0.35 * lip)[..., None],
        dull=np.clip(coat.dull - 0.2 * lip, 0, 1),
    )
    coat = raised(coat, -0.45 * hard * soft(ragged, 0.12, coat.px) + 0.15 * lip)
    return work.worn(magnet_face=cavities(coat, 1.0, 3.0))


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
