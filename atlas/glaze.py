"""A friction band the shoes have burnished instead of gripped."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import Coat, Dice, Floats, clouds, over, rings, step
from atlas.parts import Work

TONE = np.array([0.27, 0.26, 0.245], np.float32)


def _mirror(dice: Dice, coat: Coat) -> Floats:
    """Where it is burnished: the shoes' track, ending in streaks where the lining still bit."""
    far, px = coat.size_mm[0], coat.px
    streaky = clouds(dice, coat.shape, px, [(0.8, 1.2, 70), (0.5, 0.4, 40)])
    track = step(coat.across + streaky, 8.0, 8.8) * step(coat.across + streaky, far - 9.0, far - 9.8)
    matt = clouds(dice, coat.shape, px, [(1.0, 1.1, 90), (0.8, 0.4, 60), (0.4, 5, 40)])
    ends = step(coat.along + 9 * matt, -24, -16)
    left = step(matt, 1.5, 2.1)  # single tracks that kept their grain
    return np.asarray(track * ends * (1 - 0.8 * left), np.float32)


def glaze(work: Work, hard: int, dice: Dice) -> Work:
    """Hard and bright like glass, the turned grain gone; it throws back flashlight and floor in streaks."""
    coat = work.coat("band")
    px, share = coat.px, _mirror(dice, coat)
    fine = rings(dice, px, coat.shape[0], [(1.0, 0.25), (0.8, 0.7)]) + 0.7 * clouds(
        dice, coat.shape, px, [(1, 0.3, 50)]
    )
    rough = np.clip(0.026 + 0.022 * fine, 0.010, 0.10)
    tone = TONE * (1 - 0.10 * step(fine, 0.6, 1.6))[..., None]
    shine = over(coat, share, tone, 0.03)
    shine = replace(shine, rough=coat.rough + share * (rough - coat.rough))
    waves = rings(dice, px, coat.shape[0], [(0.018, 4.0), (0.004, 0.8)]) + clouds(
        dice, coat.shape, px, [(0.012, 4, 40), (0.0012, 0.5, 40)]
    )
    return work.worn(band=replace(shine, height=coat.height * (1 - share) + waves * share))
