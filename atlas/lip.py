"""The open edge of a drum when it is worn: a ridge left standing, or no chamfer left."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import OLD_RUST, SOOT, Coat, Dice, Floats, clouds, over, raised, rusty, step
from atlas.parts import Piece, Work
from atlas.shape import Zone

BRIGHT = np.array([0.62, 0.60, 0.57], np.float32)


def _line(coat: Coat, at: Floats | float, wide: float) -> Floats:
    """1 on a line round at so many mm across."""
    share: Floats = np.exp(-(((coat.across - at) / wide) ** 2)).astype(np.float32)
    return share * np.ones(coat.shape, np.float32)


def ridge(work: Work, hard: int, dice: Dice) -> Work:
    """A lip the shoes never reached stands proud of the worn band, a step below it."""
    coat = work.coat("band")
    deep = 0.7 if hard == 1 else 1.9
    edge = 5.2 + 0.12 * clouds(dice, (1, coat.shape[1]), coat.px, [(1, 1, 30)])
    worn = step(coat.across, edge - 0.1, edge + 0.25)
    lip = rusty(dice, over(coat, np.full(coat.shape, 0.45, np.float32), OLD_RUST * 1.6), 0.62)
    share = (1 - worn)[..., None]
    coat = replace(
        coat,
        colour=coat.colour + share * (lip.colour - coat.colour),
        dull=coat.dull + (1 - worn) * (lip.dull - coat.dull),
    )
    coat = over(
        coat, 0.85 * _line(coat, edge + 0.28, 0.16 + 0.12 * hard), SOOT
    )  # dust lies in the step's corner
    coat = over(coat, 0.75 * _line(coat, edge - 0.2, 0.2), BRIGHT, 0.2, 0.3)
    return work.worn(band=raised(coat, -deep * worn))


def chamfer_worn(work: Work, hard: int, dice: Dice) -> Work:
    """The band has worn out past the chamfer: the rim is narrower and ends in a knife edge, metal feathered over it."""
    r, h = work.drum.radius + 2.6, work.drum.depth
    rim, keen = work.pieces["rim"], _keen(dice, work.coat("chamfer"))
    swept = _swept_up(dice, work.coat("band"))
    return work.having(
        rim=Piece(Zone(((r + 5.4, h), (r + 0.6, h)), cell_mm=0.5), rim.coat),
        chamfer=Piece(Zone(((r + 0.6, h), (r - 0.7, h + 0.8), (r, h - 0.9)), cell_mm=0.1), keen),
        band=Piece(Zone(((r, h - 0.9), (r, 6)), cell_mm=0.4), swept),
    )


def _keen(dice: Dice, coat: Coat) -> Coat:
    """The knife edge: bright, nicked here and there."""
    nick = clouds(dice, (1, coat.shape[1]), coat.px, [(0.5, 1, 1.1), (0.5, 1, 5), (0.5, 1, 0.4)])
    nicks = (
        step(nick, 0.55, 1.7)
        * step(coat.across, 0.2, 1.0)
        * step(coat.across, coat.size_mm[0] - 0.1, coat.size_mm[0] - 1.0)
    )
    keen = replace(
        coat,
        colour=coat.colour * 0 + BRIGHT,
        dull=np.full(coat.shape, 0.25, np.float32),
        height=coat.height * 0,
    )
    return raised(over(keen, 0.15 * nicks, SOOT * 2), -0.2 * nicks)


def _swept_up(dice: Dice, swept: Coat) -> Coat:
    """A band the shoes reach right up to the edge."""
    far = swept.size_mm[0]
    grey = np.median(swept.colour[round(far * 0.3 * swept.px) : round(far * 0.7 * swept.px)], axis=(0, 1))
    top = step(swept.across, 6.0, 3.0) * np.clip(
        0.9 + 0.1 * clouds(dice, swept.shape, swept.px, [(1, 0.3, 20)]), 0, 1
    )
    swept = over(swept, 0.9 * top, grey * 1.05, 0.36, 0.32)
    return replace(swept, height=swept.height * (1 - top))
