"""Rust that has not eaten the iron, and what rubbing takes off; rust that comes off in plates."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from atlas.coat import (
    OLD_RUST,
    RUST,
    Coat,
    Dice,
    Floats,
    cast,
    cavities,
    clouds,
    over,
    raised,
    rusty,
    soft,
    step,
)
from atlas.marks import lines
from atlas.parts import Work, dice_of, drum_outside

POWDER = np.array([0.20, 0.085, 0.030], np.float32)  # fresh and loose, lighter than old rust


def mixed(a: Coat, b: Coat, share: Floats) -> Coat:
    """Where `share` is 1, the second coat."""
    return replace(
        a,
        colour=a.colour + share[..., None] * (b.colour - a.colour),
        dull=a.dull + share * (b.dull - a.dull),
        rough=a.rough + share * (b.rough - a.rough),
        height=a.height + share * (b.height - a.height),
    )


def window(
    dice: Dice, coat: Coat, half: tuple[float, float], at: tuple[float, float], ragged: float
) -> Floats:
    """Where somebody rubbed: an oval of (along, across) mm with streaky ends."""
    edge = clouds(dice, coat.shape, coat.px, [(0.6, 0.5, 5.0), (0.4, 1.6, 4.0), (0.25, 0.3, 0.3)])
    away = np.hypot((coat.along - at[0]) / half[0], (coat.across - at[1]) / half[1])
    return step(away + ragged * edge, 1.08, 0.88)


def scratches(
    dice: Dice, coat: Coat, half: tuple[float, float], at: tuple[float, float], many: int
) -> Floats:
    """Strokes of an abrasive pad, to and fro at two slants."""
    paths = []
    for _ in range(many):
        slant = float(dice.choice([-1, 1])) * 0.9 + float(dice.normal(0, 0.25)) + np.pi / 2
        middle = np.array(at) + np.array(half) * dice.uniform(-1, 1, 2)
        far = float(dice.uniform(3, 11)) / 2 * np.array([np.sin(slant), np.cos(slant)])
        paths.append((np.array([middle - far, middle + far], np.float32), 0.06, 0.05))
    return lines(coat, paths)


def scuffed(dice: Dice, coat: Coat, at: tuple[float, float], half: tuple[float, float]) -> Coat:
    """A film of rust all over, and one place rubbed with a pad: sound iron under it."""
    worn = rusty(dice, rusty(dice, coat, 0.80), 0.60)
    fine = 0.16  # a film has soft borders
    worn = replace(
        worn,
        colour=soft(worn.colour, fine, coat.px),
        dull=soft(worn.dull, fine, coat.px),
        height=0.5 * worn.height,
    )
    strokes = scratches(dice, coat, half, at, 260)
    bare = replace(
        coat,
        colour=coat.colour * (1 + 0.35 * strokes)[..., None],
        dull=np.clip(coat.dull - 0.12 * strokes, 0, 1),
    )
    bare = raised(rusty(dice, bare, 0.03), -0.01 * strokes)
    return mixed(worn, bare, window(dice, coat, half, at, 0.22))


def band_scuffs(work: Work, hard: int, dice: Dice) -> Work:
    """The band rusted over, a scuffed place in it."""
    coat = work.coat("band")
    return work.worn(band=scuffed(dice, coat, (2.0, coat.size_mm[0] / 2), (25.0, 15.0)))


def face_scuffs(work: Work, hard: int, dice: Dice) -> Work:
    """The magnet face rusted over, a scuffed place in it."""
    coat = work.coat("magnet face")
    return work.worn(magnet_face=scuffed(dice, coat, (4.0, coat.size_mm[0] / 2), (30.0, 14.0)))


def band_wipes(work: Work, hard: int, dice: Dice) -> Work:
    """A bloom of loose rust; a rag drawn across it once left the iron clean and the dust pushed aside."""
    coat = work.coat("band")
    far = coat.size_mm[0]
    bloom = np.clip(
        0.74 + 0.2 * clouds(dice, coat.shape, coat.px, [(0.7, 5, 9), (0.5, 0.5, 0.7), (0.4, 0.18, 0.2)]),
        0,
        0.92,
    )
    line = (
        far * 0.52
        + 0.0035 * (coat.along - 4) ** 2
        + 0.6 * clouds(dice, (1, coat.shape[1]), coat.px, [(1, 1, 22)])
    )
    off = np.abs(coat.across - line) + 0.7 * clouds(
        dice, coat.shape, coat.px, [(0.7, 0.3, 16), (0.3, 0.8, 5)]
    )
    ends = step(np.abs(coat.along + 2) + 0.6 * off, 44, 40)
    wiped = step(off, 9.0, 7.2) * ends
    pushed = np.exp(-(((off - 9.2) / 1.0) ** 2)) * ends
    streaks = step(clouds(dice, coat.shape, coat.px, [(1, 0.25, 26)]), 0.9, 2.2) * wiped
    share = np.clip(bloom * (1 - wiped) + 0.3 * pushed + 0.35 * streaks, 0, 0.95)
    return work.worn(band=over(coat, share, POWDER))


def outer_good(seed: int, fine: dict[str, float]) -> Work:
    """The outside of a sound drum: casting skin with a thin even brown on it."""
    work = drum_outside(seed, fine)
    coat = work.coat("drum wall")
    skin = cast(dice_of(seed, "skin"), coat.shape, coat.px, 0.0)
    thin = np.clip(
        0.42 + 0.12 * clouds(dice_of(seed, "thin"), coat.shape, coat.px, [(0.7, 12, 30), (0.4, 0.5, 0.5)]),
        0,
        0.7,
    )
    skin = replace(skin, height=0.4 * skin.height)
    return work.worn(drum_wall=over(skin, thin, OLD_RUST * 2.0))


def outer_flake(work: Work, hard: int, dice: Dice) -> Work:
    """Rust scale in layers: plates lifted at their edges, some gone and fresh rust under them."""
    coat = work.coat("drum wall")
    px = coat.px
    base = clouds(dice, coat.shape, px, [(0.8, 9, 13), (0.45, 3, 4), (0.22, 0.7, 0.8)])
    layers = step(base, -0.6, -0.53) + step(base, 0.0, 0.07) + step(base, 0.6, 0.6 + 0.07)
    gone = cv2.GaussianBlur(layers, (0, 0), 1.6 * px) - layers  # below 0 on a plate near its edge
    lifted = np.clip(-gone, 0, 1) * (layers > 0.5)
    grain = clouds(dice, coat.shape, px, [(0.8, 1.6, 1.6), (0.3, 0.5, 0.5)])
    tone = np.clip(0.5 + 0.25 * grain - 0.30 * layers + 0.35 * np.clip(gone, 0, 1), 0, 1.2)[..., None]
    coat = over(
        coat, np.full(coat.shape, 0.96, np.float32), OLD_RUST * 1.4 + tone * (2.0 * RUST - OLD_RUST * 1.4)
    )
    coat = raised(coat, 0.55 * layers + 0.5 * lifted + 0.03 * grain)
    return work.worn(drum_wall=cavities(coat, 1.0, 2.2))
