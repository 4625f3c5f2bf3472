"""A bearing's cup, driven out and lying clean on the bench, large end up, and what its track looks like gone bad."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import (
    OLD_RUST,
    SOOT,
    Coat,
    Dice,
    Floats,
    cavities,
    clouds,
    over,
    raised,
    rings,
    soft,
    step,
    turned,
)
from atlas.drum import INNER_CUP, drum
from atlas.marks import film, pit_field
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Profile, Zone
from wheeltapper.reference.house import load

TAPER = 0.26  # of the track's radius to its height; assumed
ROLLERS = 19  # assumed
STEEL = np.array([0.58, 0.58, 0.59], np.float32)


def cup(seed: int, fine: dict[str, float]) -> Work:
    """The inner cup of a 12 in hub in its good state: track evenly bright, sides ground."""
    d = drum("12 in", 6)
    r = d.inner_cup
    wide = next(b.cup_width_m for b in load().bearings.values() if b.cup == INNER_CUP[d.size]) * 1000
    low = r - 10.5  # radius of the track's small end; assumed
    high = low + TAPER * wide
    paths: dict[str, Profile] = {
        "outside": ((r, 0), (r, wide - 1.5), (r - 0.3, wide - 0.6), (r - 1.2, wide)),
        "end": ((r - 1.2, wide), (high + 0.8, wide)),
        "lip": ((high + 0.8, wide), (high, wide - 0.9)),
        "track": ((high, wide - 0.9), (low, 0.8)),
        "foot": ((low, 0.8), (low, 0)),
    }
    pieces = {}
    for name, path in paths.items():
        zone, dice = Zone(path, cell_mm=0.25), dice_of(seed, name)
        px = fine.get(name, 6.0)
        coat = turned(dice, zone.pixels(px), px, grey=0.42, wear=0.15)
        smooth = 0.27 if name == "track" else 0.30
        pieces[name] = Piece(zone, ground(dice, coat, smooth))
    return Work(d, pieces)


def ground(dice: Dice, coat: Coat, smooth: float) -> Coat:
    """Ground and run in: even, bright grey, its grain hardly seen."""
    tone = (
        1
        + 0.015 * rings(dice, coat.px, coat.shape[0], [(1, 0.15), (1, 0.8)])
        + clouds(dice, coat.shape, coat.px, [(0.012, 0.8, 12), (0.015, 6, 9)])
    )
    return replace(coat, colour=(STEEL * tone[..., None]).astype(np.float32), dull=np.full(coat.shape, 0.22, np.float32),
                   rough=np.full(coat.shape, smooth, np.float32), height=coat.height * 0.4)  # fmt: skip


def dusky(coat: Coat, tint: Floats, share: Floats) -> Coat:
    """An oxide film on ground steel: thin, so that the steel's grey still shows through its colour."""
    grey = tint.mean(2, keepdims=True)
    film_ = (tint + 0.45 * (grey - tint)) * 1.15
    return over(coat, share, film_.astype(np.float32), 0.22, 0.27)


def flaked(work: Work, hard: int, dice: Dice) -> Work:
    """Pieces have come out of the track where the load runs: ragged, matt, with a dark floor."""
    coat = work.coat("track")
    loaded = np.exp(-(((coat.along - coat.size_mm[1] / 4) / 24) ** 2)) * np.ones(coat.shape, np.float32)
    field = clouds(dice, coat.shape, coat.px, [(0.7, 3.0, 4.5), (0.45, 0.9, 1.2), (0.25, 0.3, 0.3)])
    gone = step(field + 2.2 * loaded, 1.75, 1.95) * step(loaded, 0.1, 0.3)
    floor = 0.55 + 0.45 * clouds(dice, coat.shape, coat.px, [(0.6, 0.5, 0.5), (0.5, 1.4, 1.4)])
    coat = over(
        coat, gone, np.array([0.16, 0.15, 0.14], np.float32) * np.clip(floor, 0.3, 1.3)[..., None], 0.55, 0.4
    )
    fatigue = np.clip(soft(gone, 0.8, coat.px) * 1.2 - gone, 0, 0.6)
    coat = over(coat, fatigue, np.array([0.3, 0.3, 0.3], np.float32), 0.5, 0.35)
    coat = raised(coat, -soft(gone * (0.25 + 0.12 * hard + 0.12 * floor), 0.12, coat.px))
    return work.worn(track=cavities(coat, 0.5, 4.0))


def etched(work: Work, hard: int, dice: Dice) -> Work:
    """Water stood between the rollers: dark lines across the track at their pitch, with eaten spots."""
    coat = work.coat("track")
    pitch = coat.size_mm[1] / ROLLERS
    wander = clouds(dice, coat.shape, coat.px, [(0.35, 3, 3), (0.2, 0.6, 0.6)])
    near = np.abs((coat.along + wander + pitch / 2) % pitch - pitch / 2)
    much = np.clip(
        0.75 + 0.5 * clouds(dice, (1, coat.shape[1]), coat.px, [(1, 1, pitch)]), 0.25, 1
    ) * np.ones(coat.shape, np.float32)
    line = np.exp(-((near / (0.55 + 0.35 * hard)) ** 2)) * much
    stain = np.exp(-((near / 3.2) ** 2)) * much
    pits = pit_field(dice, coat, 0.75) * step(line, 0.25, 0.6)
    coat = over(coat, 0.45 * stain, np.array([0.24, 0.19, 0.14], np.float32), 0.5, 0.3)
    coat = over(coat, 0.9 * line, OLD_RUST * 0.8, 0.9)
    coat = over(coat, pits, SOOT)
    return work.worn(track=raised(coat, -0.04 * line - 0.15 * pits))


def heat_tint(work: Work, hard: int, dice: Dice) -> Work:
    """Run hot: straw to brown in patches, dusky blue where the load ran, most at the large end."""
    out = {}
    for name in work.pieces:
        coat = work.coat(name)
        far = coat.across / coat.size_mm[0] if name == "track" else np.full((1, 1), 0.6, np.float32)
        loaded = np.exp(-(((coat.along - coat.size_mm[1] / 4) / (0.13 * coat.size_mm[1])) ** 2))
        lay = clouds(dice, coat.shape, coat.px, [(0.045, 6, 26), (0.02, 1.6, 8), (0.01, 0.4, 2)])
        heat = np.clip(0.20 + 0.10 * hard + 0.26 * loaded - 0.30 * far + lay, 0, 1) * np.ones(
            coat.shape, np.float32
        )
        out[name] = dusky(coat, film(heat), 0.92 * step(heat, 0.02, 0.16))
    return work.worn(**out)
