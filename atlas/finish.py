"""What small parts are finished with: paint, zinc, rubber, plastic, copper; and what lies on them: dust, wet grease."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from atlas.coat import OLD_RUST, Coat, Dice, Floats, cavities, clouds, over, raised, rusty, soft, step, turned
from atlas.parts import Piece, dice_of
from atlas.shape import Shape

Finish = Callable[[Dice, tuple[int, int], float], Coat]
DUST = np.array([0.105, 0.085, 0.068], np.float32)
COPPER = np.array([0.55, 0.26, 0.14], np.float32)
OIL = np.array([0.020, 0.014, 0.008], np.float32)


def plain(colour: tuple[float, float, float], dull: float, rough: float, grain: float = 0.1) -> Finish:
    """One colour with a little life in it."""

    def laid(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
        tone = 1 + grain * clouds(dice, shape, px, [(0.8, 6, 8), (0.5, 1, 1.4), (0.4, 0.25, 0.3)])
        picture = np.array(colour, np.float32) * np.clip(tone, 0.3, 2)[..., None]
        flat = np.ones(shape, np.float32)
        return Coat(picture.astype(np.float32), dull * flat, rough * flat, 0 * flat, px)

    return laid


def worn_paint(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """A shop's black paint on pressed steel: half shining, chipped to rust here and there, dusty."""
    coat = plain((0.045, 0.046, 0.049), 0.55, 0.3)(dice, shape, px)
    chips = step(clouds(dice, shape, px, [(0.7, 3, 4), (0.7, 0.8, 1)]), 1.75, 1.95)
    coat = over(raised(coat, -0.05 * chips), 0.9 * chips, OLD_RUST * 1.8)
    return dusty(dice, coat, 0.4)


def zinc(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Plated steel, gone a little grey."""
    coat = plain((0.40, 0.39, 0.36), 0.4, 0.34, 0.14)(dice, shape, px)
    return dusty(dice, rusty(dice, coat, 0.08), 0.25)


def spring_steel(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Dark drawn wire, a little bright on its high side."""
    return dusty(dice, plain((0.20, 0.20, 0.20), 0.4, 0.3, 0.2)(dice, shape, px), 0.2)


def bright(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Steel rubbed bright."""
    return turned(dice, shape, px, grey=0.42)


rubber = plain((0.030, 0.029, 0.028), 0.8, 0.32, 0.2)
copper = plain((0.55, 0.26, 0.14), 0.25, 0.3, 0.25)


def dusty(dice: Dice, coat: Coat, share: float) -> Coat:
    """Brake dust lying on it."""
    lay = clouds(dice, coat.shape, coat.px, [(0.35, 9, 14), (0.25, 1.5, 2), (0.2, 0.3, 0.35)])
    return over(coat, share * np.clip(0.7 + lay, 0, 1.3), DUST)


def wet(dice: Dice, coat: Coat, where: Floats, thick_mm: float = 0.25, tint: Floats = OIL) -> Coat:
    """Oil or grease on it: dark, smooth, shining, thicker here and there."""
    a = np.clip(where, 0, 1)
    lay = step(clouds(dice, coat.shape, coat.px, [(1, 3, 4), (0.4, 1, 1)]), -0.3, 1.2) * a
    shine = np.array([0.050, 0.047, 0.042], np.float32)
    coat = over(coat, 0.85 * a, 0.35 * coat.colour + tint + 0.6 * shine, 0.2, 0.12)
    coat = replace(coat, height=coat.height * (1 - 0.7 * a))
    return raised(over(coat, 0.6 * lay, tint + shine, 0.22, 0.07), thick_mm * soft(lay, 0.5, coat.px))


def stuck_dirt(dice: Dice, coat: Coat, where: Floats, share: float = 0.5) -> Coat:
    """Clumps of dust and fibre held by grease."""
    lay = clouds(dice, coat.shape, coat.px, [(0.8, 2.2, 2.8), (0.6, 0.6, 0.7), (0.5, 0.25, 0.3)])
    clump = step(lay, 1.7 - 1.6 * share, 2.1 - 1.6 * share) * np.clip(where, 0, 1)
    coat = over(coat, 0.9 * clump, np.array([0.045, 0.036, 0.027], np.float32), 0.95, 0.5)
    return cavities(raised(coat, 0.3 * clump), 0.6, 1.5)


def crusted(dice: Dice, coat: Coat, share: float = 0.9, lump_mm: float = 0.5) -> Coat:
    """Rusted right over, scale standing up."""
    coat = rusty(dice, over(coat, np.full(coat.shape, share), OLD_RUST * 1.6), share)
    lump = clouds(dice, coat.shape, coat.px, [(0.6, 1.5, 2.0), (0.5, 0.5, 0.6), (0.3, 0.2, 0.25)])
    return cavities(raised(coat, lump_mm * lump * share), 0.8, 1.6)


def clad(seed: int, name: str, zone: Shape, px: float, finish: Finish) -> Piece:
    """A shape with its finish, by its own dice."""
    return Piece(zone, finish(dice_of(seed, name), zone.pixels(px), px))
