"""What heat leaves on iron: dusky, in patches, the grain still showing through."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import SOOT, Coat, Dice, Floats, clouds, over, rings, step
from atlas.marks import film
from atlas.parts import Work

COOL = film(np.zeros((1, 1), np.float32))


def tinted(coat: Coat, heat: Floats, rich: float = 0.55, dark: float = 0.25) -> Coat:
    """Coloured by how hot it was; `rich` is how much of the film's colour is left, a film in use is never bright."""
    colour = film(heat) / COOL
    grey = colour.mean(-1, keepdims=True)
    shown = step(heat, 0.02, 0.2)[..., None]
    colour = 1 + shown * (grey + rich * (colour - grey) - 1)
    shade = 1 - dark * step(heat, 0.3, 0.9)[..., None]
    return replace(coat, colour=coat.colour * colour * shade, dull=coat.dull * (1 - 0.15 * shown[..., 0]))


def patches(dice: Dice, coat: Coat, large: float = 1.0) -> Floats:
    """Uneven heating, drawn out round the way of turning; about 0, spread about 1."""
    lay = clouds(
        dice,
        coat.shape,
        coat.px,
        [(0.7, 9 * large, 34 * large), (0.4, 4 * large, 12 * large), (0.22, 1.2, 3)],
    )
    return lay + 0.12 * rings(dice, coat.px, coat.shape[0], [(1, 0.7), (0.6, 0.25)])


def burnt(dice: Dice, coat: Coat, heat: Floats) -> Coat:
    """Specks of black oxide where it was hottest."""
    specks = step(clouds(dice, coat.shape, coat.px, [(0.7, 0.5, 1.4), (0.6, 3, 8)]), 0.5, 1.5)
    return over(coat, 0.4 * specks * step(heat, 0.4, 0.8), SOOT)


def blue_band(work: Work, hard: int, dice: Dice) -> Work:
    """Straw at the cool side, brown, dull purple, slate blue where it was hottest."""
    coat = work.coat("band")
    far = coat.size_mm[0]
    hot = np.exp(-(((coat.across - far * 0.48) / 17) ** 2)) * np.ones(coat.shape, np.float32)
    heat = np.clip(0.70 * hot + 0.13 * patches(dice, coat) * (0.35 + hot), 0, 1)
    return work.worn(band=burnt(dice, tinted(coat, heat), heat))


def brown_band(work: Work, hard: int, dice: Dice) -> Work:
    """An even brown that comes with braking: straw and brown, nowhere blue."""
    coat = work.coat("band")
    far = coat.size_mm[0]
    hot = step(coat.across, 3, 12) * step(coat.across, far - 3, far - 12) * np.ones(coat.shape, np.float32)
    heat = np.clip(0.27 * hot + 0.035 * patches(dice, coat), 0, 0.36)
    return work.worn(band=tinted(coat, heat, 0.8, 0.0))


def blue_face(work: Work, hard: int, dice: Dice) -> Work:
    """The track of the magnet coloured in patches, blue in its middle."""
    coat = work.coat("magnet face")
    far = coat.size_mm[0]
    hot = np.exp(-(np.abs((coat.across - far * 0.52) / 13.5) ** 2.6)) * np.ones(coat.shape, np.float32)
    heat = np.clip(0.68 * hot + 0.13 * patches(dice, coat) * (0.3 + hot), 0, 1)
    return work.worn(magnet_face=burnt(dice, tinted(coat, heat), heat))


def blue_hub(work: Work, hard: int, dice: Dice) -> Work:
    """A bearing ran hot: blue at the bore, purple and straw further off."""
    out = {}
    for name, near, fall in (("barrel_end", 0.50, 0.0), ("seal_edge", 0.5, 0.0), ("seal_bore", 0.44, 0.22), ("seal_floor", 0.66, 0.0), ("cup_shoulder", 0.72, 0.0),
                             ("cup_bore", 0.68, 0.06), ("barrel", -0.05, 0.62)):  # fmt: skip
        coat = work.coat(name.replace("_", " "))
        share = coat.across / coat.size_mm[0]
        heat = np.clip(near + fall * share**1.2 + 0.15 * patches(dice, coat, 0.9), 0, 1)
        bare = (
            replace(coat, colour=coat.colour + 0.8 * step(heat, 0.15, 0.5)[..., None] * (0.30 - coat.colour))
            if name == "barrel"
            else coat
        )
        out[name] = burnt(dice, tinted(bare, heat, 0.5), heat)
    return work.worn(**out)
