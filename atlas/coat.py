"""What covers a surface: colour, matt share, roughness and height, as pictures unrolled along and across it.

Noise here is by eye, so that iron looks like iron; nothing is a measurement. Along runs round the turning axis and
closes on itself; row 0 lies at the start of the zone's profile (on the band: the open edge).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]
Dice = np.random.Generator
RUST = np.array([0.115, 0.049, 0.022], np.float32)
OLD_RUST = np.array([0.050, 0.026, 0.016], np.float32)
SOOT = np.array([0.018, 0.016, 0.014], np.float32)


@dataclass(frozen=True)
class Coat:
    """Pictures of one zone; `px` is pixels to the millimetre."""

    colour: Floats  # (rows, cols, 3) reflected share
    dull: Floats  # (rows, cols) 0 shines like metal, 1 is matt
    rough: Floats  # (rows, cols) width of the shine
    height: Floats  # (rows, cols) mm, outwards
    px: float
    wet: float = 0.0  # width of the gloss on its matt share: grease, rubber; 0 has none

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.dull.shape[0], self.dull.shape[1]

    @property
    def size_mm(self) -> tuple[float, float]:
        """Across and along."""
        return self.shape[0] / self.px, self.shape[1] / self.px

    @property
    def across(self) -> Floats:
        """Millimetres from the start of the profile, (rows, 1)."""
        return ((np.arange(self.shape[0], dtype=np.float32) + 0.5) / self.px)[:, None]

    @property
    def along(self) -> Floats:
        """Millimetres round, (1, cols), 0 in the middle of the picture."""
        cols = self.shape[1]
        return ((np.arange(cols, dtype=np.float32) + 0.5 - cols / 2) / self.px)[None, :]


def cloud(dice: Dice, shape: tuple[int, int], cell: tuple[float, float]) -> Floats:
    """Smooth noise about 0, spread about 1, closing on itself along; `cell` is its spots' size in px (across, along)."""
    rows, cols = shape
    high, wide = max(2, int(np.ceil(rows / cell[0])) + 1), max(2, int(np.ceil(cols / cell[1])))
    grains = dice.standard_normal((high, wide), np.float32)
    grains = np.concatenate([grains[:, -2:], grains, grains[:, :2]], 1)
    each = max(1, round(cols / wide))
    big = cv2.resize(grains, ((wide + 4) * each, rows), interpolation=cv2.INTER_CUBIC)[
        :, 2 * each : -2 * each
    ]
    if big.shape[1] != cols:
        big = cv2.resize(big, (cols, rows), interpolation=cv2.INTER_LINEAR)
    return np.asarray(big * 1.15, np.float32)


def clouds(dice: Dice, shape: tuple[int, int], px: float, sizes: list[tuple[float, float, float]]) -> Floats:
    """A sum of noises, each (strength, mm across, mm along)."""
    out = np.zeros(shape, np.float32)
    for strong, high, wide in sizes:
        out += strong * cloud(dice, shape, (max(1.0, high * px), max(1.0, wide * px)))
    return out


def step(value: Floats, low: Floats | float, high: Floats | float) -> Floats:
    """0 under `low`, 1 over `high`, smooth between; the other way round where low > high."""
    t = np.clip((value - low) / (high - low), 0, 1)
    return np.asarray(t * t * (3 - 2 * t), np.float32)


def soft(picture: Floats, mm: float, px: float) -> Floats:
    """Blurred, closing on itself along."""
    pad = min(picture.shape[1] - 1, int(4 * mm * px) + 1)
    wide = np.concatenate([picture[:, -pad:], picture, picture[:, :pad]], 1)
    return np.asarray(cv2.GaussianBlur(wide, (0, 0), max(0.3, mm * px))[:, pad:-pad], np.float32)


def over(coat: Coat, share: Floats, colour: Floats, dull: float = 1.0, rough: float = 0.5) -> Coat:
    """Something laid on: rust, grease, paint; `colour` is one (3,) or a picture."""
    a = np.clip(share, 0, 1)
    return replace(
        coat,
        colour=coat.colour + a[..., None] * (colour - coat.colour),
        dull=coat.dull + a * (dull - coat.dull),
        rough=coat.rough + a * (rough - coat.rough),
    )


def raised(coat: Coat, mm: Floats) -> Coat:
    """Height added."""
    return replace(coat, height=coat.height + mm.astype(np.float32))


def cavities(coat: Coat, reach_mm: float, strong: float) -> Coat:
    """Darkens what lies deeper than its surroundings, where little light gets in."""
    deep = soft(coat.height, reach_mm, coat.px) - coat.height
    shade = 1 / (1 + strong * np.clip(deep, 0, None))
    return replace(coat, colour=coat.colour * shade[..., None])


def rings(dice: Dice, coat_px: float, rows: int, sizes: list[tuple[float, float]]) -> Floats:
    """Noise that runs all round: (rows, 1), a sum of (strength, mm)."""
    across = np.arange(rows) / coat_px
    out = np.zeros(rows)
    for strong, mm in sizes:
        knots = np.arange(-2 * mm, across[-1] + 3 * mm, mm)
        out += strong * np.interp(across, knots, dice.normal(0, 1, len(knots)))
    return out.astype(np.float32)[:, None]


def turned(dice: Dice, shape: tuple[int, int], px: float, grey: float = 0.36, wear: float = 1.0) -> Coat:
    """Turned iron in use: fine grain all round, lightly polished, even."""
    rows, _ = shape
    grain = rings(dice, px, rows, [(0.5, 0.12), (0.6, 0.3), (0.4, 1.4)])
    broken = cloud(dice, shape, (max(1.0, 0.12 * px), 14 * px))
    tone = (
        0.05 * grain
        + 0.035 * broken
        + clouds(dice, shape, px, [(0.03, 5, 26), (0.02, 0.8, 2.0), (0.018, 0.15, 0.2)])
    )
    colour = np.clip(grey * (1 + 1.3 * tone), 0.03, 0.8)[..., None] * np.array(
        [1.0, 0.985, 0.955], np.float32
    )
    dull = np.clip(0.42 + clouds(dice, shape, px, [(0.08, 3, 18), (0.05, 0.3, 4)]), 0.1, 0.9)
    rough = np.clip(0.34 + 0.04 * clouds(dice, shape, px, [(1, 2, 20)]), 0.1, 0.6)
    height = wear * (0.004 * grain + 0.0015 * broken) * np.ones(shape, np.float32)
    return Coat(colour.astype(np.float32), dull, np.asarray(rough, np.float32), height.astype(np.float32), px)


def cast(dice: Dice, shape: tuple[int, int], px: float, rust: float = 0.6) -> Coat:
    """Raw cast iron with its sandy skin, browned by age."""
    bumps = clouds(dice, shape, px, [(0.10, 0.9, 0.9), (0.07, 0.45, 0.45), (0.10, 4, 4)])
    grey = np.clip(0.06 + clouds(dice, shape, px, [(0.015, 1, 1), (0.02, 9, 9), (0.01, 0.3, 0.3)]), 0.02, 0.3)
    colour = grey[..., None] * np.array([1.0, 0.96, 0.9], np.float32)
    coat = Coat(colour, np.full(shape, 0.85, np.float32), np.full(shape, 0.5, np.float32), bumps, px)
    return cavities(rusty(dice, coat, rust), 1.0, 3.0)


def rusty(dice: Dice, coat: Coat, share: float, where: Floats | float = 1.0) -> Coat:
    """Rust film: fine speckle in clouds, lighter and darker; `share` 0 none, 1 all over."""
    shape, px = coat.shape, coat.px
    field = clouds(dice, shape, px, [(0.7, 7, 12), (0.5, 1.5, 2.2), (0.5, 0.3, 0.4)])
    lay = step(field, 1.6 - 3.2 * share, 2.6 - 3.2 * share) * where
    tone = step(clouds(dice, shape, px, [(0.8, 3, 4), (0.6, 0.4, 0.5)]), -1.0, 1.2)[..., None]
    colour = OLD_RUST + tone * (RUST - OLD_RUST)
    grit = 0.02 * lay * cloud(dice, shape, (max(1, 0.25 * px), max(1, 0.25 * px)))
    return raised(over(coat, lay * 0.95, colour), grit)
