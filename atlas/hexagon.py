"""Nuts: six flats from rings, and the plating they wear."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import Coat, Dice, clouds, rusty, turned
from atlas.shape import Skin

FLATS = 10.3  # half of 13/16 in across the flats, the usual nut of a 1/2 in stud
Rings = tuple[tuple[float, float, float], ...]  # (radius it is cut round to, how far its flats stand, height)


def hexagon(rings: Rings, px: float = 9.0) -> tuple[Skin, tuple[int, int]]:
    """A nut's skin from rings going up: each the smaller of a circle and a hexagon."""
    turns = np.linspace(0, 2 * np.pi, 181)
    corner = np.cos((turns + np.pi / 6) % (np.pi / 3) - np.pi / 6)
    places = []
    for circle, flats, high in rings:
        r = np.minimum(circle, flats / corner)
        places.append(
            tuple((float(a * np.cos(t)), float(a * np.sin(t)), high) for a, t in zip(r, turns, strict=True))
        )
    skin = Skin(tuple(places), cell_mm=0.22, closed=True)
    return skin, skin.pixels(px)


def body(foot: float, top: float, flats: float = FLATS) -> Rings:
    """The hexagon from its foot up, chamfered, and its end with the hole the stud comes through."""
    bore = 6.2
    return (
        (flats * 1.06, flats, foot), (flats * 1.155, flats, foot + 1.0), (flats * 1.16, flats, top - 1.6),
        (flats * 1.05, flats, top - 0.4), (flats * 0.98, flats, top), (bore + 1.3, flats, top), (bore, flats, top - 1.2), (bore - 0.3, flats, top - 4),
    )  # fmt: skip


def plated(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Zinc on steel, some years old: dull grey, greyer where the socket has been."""
    coat = turned(dice, shape, px, grey=0.40, wear=0.2)
    lay = clouds(dice, shape, px, [(0.6, 3, 3), (0.4, 0.8, 0.8)])
    coat = replace(coat, dull=np.clip(0.34 + 0.10 * lay, 0.1, 0.8), rough=np.clip(0.30 + 0.03 * lay, 0.1, 0.6),
                   colour=(coat.colour * (1 + 0.10 * lay)[..., None]).astype(np.float32))  # fmt: skip
    return rusty(dice, coat, 0.10)
