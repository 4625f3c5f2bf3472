"""Two brake pads of a disc brake on the bench, linings up, and what they look like gone bad. All sizes are assumed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.block import arc, plank
from atlas.coat import OLD_RUST, Dice, clouds, over, raised, soft, step
from atlas.drum import drum
from atlas.finish import clad, crusted, plain, stuck_dirt, wet
from atlas.lining import pressed
from atlas.marks import lines, walk
from atlas.parts import Piece, Work
from atlas.shape import Array, Moved, Place, Skin, about

STEEL, THICK = 5.5, 11.0  # mm
INNER, OUTER, HALF_DEG = 84.0, 126.0, 27.0
TURN = about((0, 0, 1), -90)  # its middle towards the camera
PLACES: dict[str, Place] = {"near": (0.0, 84.0, 0.0), "far": (34.0, 172.0, 0.0)}


def lined(low: float | Array = STEEL, top: float | Array = STEEL + THICK) -> Skin:
    """The lining, its ends cut slanting."""
    return plank(
        arc(INNER, -HALF_DEG, HALF_DEG, 120),
        arc(OUTER, -HALF_DEG + 2, HALF_DEG - 2, 120),
        (low, top),
        0.9,
        0.4,
        160,
    )


def pad(seed: int, name: str, fine: dict[str, float]) -> dict[str, Piece]:
    """One pad: steel with its ears, and the lining on it."""
    steel = plank(
        arc(INNER - 3, -HALF_DEG - 4, HALF_DEG + 4),
        arc(OUTER + 2, -HALF_DEG - 2, HALF_DEG + 2),
        (0.0, STEEL),
        0.6,
        0.4,
    )
    ears = {
        f"{name} ear {i}": plank(arc(INNER + 8, s * (HALF_DEG), s * (HALF_DEG + 9)), arc(INNER + 24, s * (HALF_DEG), s * (HALF_DEG + 9)), (0.0, STEEL), 0.6, 0.4)
        for i, s in enumerate((-1, 1))
    }  # fmt: skip
    shapes = {f"{name} lining": lined(), f"{name} steel": steel} | ears
    px = fine.get(name, 4.0)
    return {
        n: clad(
            seed,
            n,
            Moved(s, TURN, PLACES[name]),
            px,
            pressed if "lining" in n else plain((0.20, 0.20, 0.205), 0.45, 0.32, 0.2),
        )
        for n, s in shapes.items()
    }


def pads(seed: int, fine: dict[str, float]) -> Work:
    """In their good state: dry, whole, alike."""
    return Work(drum("12 in", 6), pad(seed, "near", fine) | pad(seed, "far", fine))


def shaped(work: Work, skin: Skin) -> Work:
    """The near lining with another shape."""
    piece = work.pieces["near lining"]
    return work.having(near_lining=replace(piece, zone=replace(piece.zone, shape=skin)))  # type: ignore[type-var]


def soaked(work: Work, hard: int, dice: Dice) -> Work:
    """Brake fluid or grease in the lining: black, wet, dirt stuck in it, run down over the steel."""
    out = {}
    for name in ("near lining", "near steel"):
        coat = work.coat(name)
        end = coat.along + clouds(dice, coat.shape, coat.px, [(5, 6, 8), (2, 1.5, 2)])
        where = step(end, -24.0 - 6 * hard, -17.0 - 6 * hard)
        out[name.replace(" ", "_")] = stuck_dirt(dice, wet(dice, coat, where, 0.4), where, 0.36)
    return work.worn(**out)


def loose(work: Work, hard: int, dice: Dice) -> Work:
    """The lining stands off its steel at one end, rust has grown in the gap."""
    share = np.linspace(0, 1, 160)
    gap = 2.1 * hard * np.clip((share - 0.32) / 0.68, 0, 1) ** 1.5
    out = shaped(work, lined(STEEL + gap, STEEL + THICK + gap))
    steel = work.coat("near steel")
    far = step(steel.along + clouds(dice, steel.shape, steel.px, [(4, 4, 5)]), -18.0, 5.0)
    rust = crusted(dice, steel, 0.95, 0.25)
    lining = work.coat("near lining")
    foot = np.minimum(lining.across, lining.size_mm[0] - lining.across)
    stain = step(foot + clouds(dice, lining.shape, lining.px, [(0.8, 1, 3)]), 3.0, 0.6) * step(
        lining.along, -10.0, 10.0
    )
    mixed = replace(over(steel, far, rust.colour, 1.0, 0.5), height=steel.height + far * rust.height)
    return out.worn(near_steel=mixed, near_lining=over(lining, 0.85 * stain, OLD_RUST * 1.4))


def cracked(work: Work, hard: int, dice: Dice) -> Work:
    """Broken through from edge to edge, down to the steel."""
    coat = work.coat("near lining")
    whole = walk(dice, (6.0, -0.5), coat.size_mm[0] + 1.5, 0.10, 0.7)
    second = walk(dice, (-20.0, -0.5), coat.size_mm[0] * 0.62, 0.16, 0.8)
    dark = lines(coat, [(whole, 0.9, 1.1), (second, 0.8, 0.3)][:hard])
    frayed = over(
        coat,
        np.clip(soft(dark, 0.8, coat.px) * 1.5 - dark, 0, 0.5),
        np.array([0.19, 0.17, 0.145], np.float32),
    )
    frayed = over(frayed, np.clip(1.6 * dark, 0, 1), np.array([0.003, 0.003, 0.003], np.float32))
    return work.worn(near_lining=raised(frayed, -1.3 * dark))


def uneven(work: Work, hard: int, dice: Dice) -> Work:
    """Worn to a wedge: one end near the steel, the other thick."""
    share = np.linspace(0, 1, 160)
    thick = THICK * (1 - (0.40 + 0.22 * hard) * share)
    del dice
    return shaped(work, lined(STEEL, STEEL + thick))
