"""A brake shoe's lining seen from outside, one edge up, and what it looks like gone bad. The shoe's ends are out of view.

Radius and width follow the drum of the tables; thicknesses of lining, table and web are assumed.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.block import rows_of
from atlas.coat import RUST, SOOT, Coat, Dice, cast, cloud, clouds, over, raised, soft, step
from atlas.drum import drum
from atlas.finish import crusted, stuck_dirt, wet
from atlas.marks import lines, walk
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Array, Profile, Shape, Skin, Zone

THICK, TABLE = 5.5, 3.0  # mm
SPAN_DEG = 34.0
DARK = np.array([0.075, 0.066, 0.058], np.float32)
D = drum("12 in", 6)
OUT, WIDE = D.radius - 0.5, D.depth - 9
STEEL = OUT - THICK  # radius the lining sits on
MANY = 240  # places along


def lining(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: dry, whole, even, stuck to the shoe all along."""
    steel: dict[str, Profile] = {
        "ledge": ((STEEL, 0), (STEEL, WIDE + 0.1)),
        "table edge": ((STEEL, WIDE + 0.1), (STEEL - TABLE, WIDE + 0.1)),
        "table": ((STEEL - TABLE, WIDE + 0.1), (STEEL - TABLE, WIDE / 2)),
        "web": ((STEEL - TABLE, WIDE / 2), (STEEL - 45, WIDE / 2)),
    }
    shapes: dict[str, Shape] = {n: Zone(p, cell_mm=0.4, span_deg=SPAN_DEG) for n, p in steel.items()}
    shapes |= bonded()
    pieces = {}
    for name, zone in shapes.items():
        px, dice = fine.get(name, 5.0), dice_of(seed, name)
        shape = zone.pixels(px)
        coat = painted(dice, shape, px) if name in steel else pressed(dice, shape, px, name == "lining")
        pieces[name] = Piece(zone, coat)
    return Work(D, pieces)


def bonded(thick: float | Array = THICK, off: float | Array = 0.0) -> dict[str, Shape]:
    """The lining's face, its side and its underside; both may change along it. `off` is how far it stands off its steel."""
    turn = np.radians(np.linspace(-SPAN_DEG, SPAN_DEG, MANY))

    def line(far: float | Array, z: float) -> Array:
        return np.stack([far * np.cos(turn), far * np.sin(turn), np.full(MANY, z)], -1)

    low = STEEL + off + 0.02
    top = low + thick
    return {
        "lining": Skin(rows_of(line(top, 0), line(top, WIDE - 0.4), line(top - 0.4, WIDE)), 0.4),
        "side": Skin(rows_of(line(top - 0.4, WIDE), line(low, WIDE)), 0.3),
        "under": Skin(rows_of(line(low, WIDE), line(low, 0)), 0.6),
    }


def reshaped(work: Work, thick: float | Array = THICK, off: float | Array = 0.0) -> Work:
    """The same lining, worn or lifted."""
    return replace(
        work, pieces=work.pieces | {n: replace(work.pieces[n], zone=s) for n, s in bonded(thick, off).items()}
    )


def pressed(dice: Dice, shape: tuple[int, int], px: float, rubbed: bool = True) -> Coat:
    """Friction stuff: dark, matt, with fibres and chips of metal; rubbed along where it meets the drum."""
    tone = 1 + clouds(dice, shape, px, [(0.16, 0.25, 0.3), (0.10, 1.0, 1.2), (0.06, 6, 14)])
    if rubbed:
        tone = tone + 0.10 * cloud(dice, shape, (max(1.0, 0.15 * px), 12 * px))
    coat = Coat(
        (DARK * np.clip(tone, 0.3, 2)[..., None]).astype(np.float32), np.full(shape, 0.96, np.float32),
        np.full(shape, 0.4, np.float32), clouds(dice, shape, px, [(0.012, 0.3, 0.4), (0.01, 0.9, 0.9)]), px,
    )  # fmt: skip
    for colour, share, size in (
        ((0.42, 0.30, 0.12), 2.75, 0.28),
        ((0.24, 0.23, 0.22), 2.3, 0.32),
        ((0.015, 0.015, 0.015), 2.1, 0.4),
    ):
        chips = step(cloud(dice, shape, (size * px, 1.3 * size * px)), share, share + 0.2)
        coat = over(coat, 0.85 * chips, np.array(colour, np.float32), 0.7, 0.35)
    return coat


def painted(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """A shoe's steel: grey-black paint with rust at its chips."""
    coat = cast(dice, shape, px, 0.22)
    return replace(coat, height=coat.height * 0.25, dull=coat.dull * 0.85)


def soaked(work: Work, hard: int, dice: Dice) -> Work:
    """Grease from the seal has soaked in from one edge: black, wet, shining, dust and fibre stuck in it."""
    out = {}
    for name in ("lining", "side"):
        coat = work.coat(name)
        creep = clouds(dice, coat.shape, coat.px, [(4.0, 5, 12), (1.5, 1.5, 2.5)])
        inside = coat.size_mm[0] - coat.across if name == "lining" else 0.0 * coat.across
        where = step(inside + creep, 35.0, 31.0) * np.ones(coat.shape, np.float32)
        stain = step(inside + creep, 39.0, 33.0)
        coat = over(coat, 0.75 * stain, coat.colour * 0.35)
        edge = np.clip(
            np.minimum(coat.across, coat.size_mm[0] - coat.across) / 2, 0, 1
        )  # or the pieces part at their edges
        flat = coat.height
        coat = stuck_dirt(dice, wet(dice, coat, where, 0.22), where, 0.36)
        out[name] = replace(coat, height=flat + edge * (coat.height - flat))
    return work.worn(**out)


def cracked(work: Work, hard: int, dice: Dice) -> Work:
    """Broken across its whole width, down to the shoe."""
    face, side = work.coat("lining"), work.coat("side")
    at = (-9.0, 15.0)[:hard]
    on_face, on_side = [], []
    for x in at:
        whole = walk(dice, (x, -0.5), face.size_mm[0] * 1.15 + 3, 0.04, 0.8)  # it wanders, and so falls short
        end = float(whole[np.argmin(np.abs(whole[:, 1] - face.size_mm[0])), 0])
        on_face.append((whole, 0.6, 0.8))
        on_side.append((walk(dice, (end, -0.3), side.size_mm[0] + 0.5, -0.1, 0.5), 0.8, 0.6))
    out = {}
    for name, coat, paths in (("lining", face, on_face), ("side", side, on_side)):
        dark = lines(coat, paths)
        worn = np.clip(soft(dark, 0.7, coat.px) * 1.6 - dark, 0, 0.5)
        frayed = over(coat, worn, np.array([0.17, 0.15, 0.13], np.float32))
        out[name] = raised(over(frayed, np.clip(1.5 * dark, 0, 1), SOOT * 0.2), -0.6 * dark)
    return work.worn(**out)


def debonded(work: Work, hard: int, dice: Dice) -> Work:
    """Come away from the shoe: a dark wedge between lining and table, rust in it and out of it."""
    share = np.linspace(0, 1, MANY)
    gap = 1.9 * hard * np.clip((share - 0.36) / 0.36, 0, 1.6) ** 1.4
    out = reshaped(work, THICK, gap)
    ledge, side, edge = (work.coat(n) for n in ("ledge", "side", "table edge"))
    rust = crusted(dice, ledge, 0.95, 0.12)
    inside = step(ledge.along, -16.0, 0.0) * np.ones(ledge.shape, np.float32)
    ledge = replace(over(ledge, inside, rust.colour), height=ledge.height + inside * rust.height)
    creep = clouds(dice, side.shape, side.px, [(0.9, 0.8, 3), (0.4, 0.3, 0.5)])
    stain = step(side.size_mm[0] - side.across + creep, 1.7, 0.3) * step(side.along, -14.0, 4.0)
    run = clouds(dice, edge.shape, edge.px, [(0.6, 2, 5), (0.5, 0.6, 0.8)])
    bled = step(edge.along + 8 * run, -4.0, 30.0) * np.clip(0.6 + 0.5 * run, 0, 1)
    return out.worn(ledge=ledge, side=over(side, 0.9 * stain, RUST), table_edge=over(edge, 0.8 * bled, RUST))


def glazed(work: Work, hard: int, dice: Dice) -> Work:
    """Burnt smooth: the face is a hard dark mirror that throws the flashlight back, with hair lines across."""
    coat = work.coat("lining")
    much = step(clouds(dice, coat.shape, coat.px, [(0.5, 4, 26), (0.3, 1.2, 9)]), -1.9, -1.2)
    tone = 1 + clouds(dice, coat.shape, coat.px, [(0.10, 5, 30), (0.05, 0.3, 22)])
    glass = np.array([0.062, 0.059, 0.061], np.float32) * tone[..., None]
    face = over(coat, much, glass.astype(np.float32), 0.30, 0.19)
    face = replace(
        face, height=coat.height * (1 - 0.97 * much) + 0.004 * clouds(dice, coat.shape, coat.px, [(1, 3, 9)])
    )
    paths = [(walk(dice, (float(dice.uniform(-80, 80)), float(dice.uniform(0, 46))), float(dice.uniform(2, 7)), float(dice.normal(0, 0.3)), 0.8), 0.12, 0.08)
             for _ in range(90 * hard)]  # fmt: skip
    hair = lines(coat, paths)
    return work.worn(lining=over(face, 0.9 * hair, SOOT))


def thin(work: Work, hard: int, dice: Dice) -> Work:
    """Worn down to little more than a sheet over the steel, even."""
    del dice
    return reshaped(work, THICK - 2.05 * hard)


def uneven(work: Work, hard: int, dice: Dice) -> Work:
    """Thick at one end, next to nothing at the other."""
    share = np.clip(np.linspace(-0.55, 1.55, MANY), 0, 1)
    del dice
    return reshaped(work, THICK - 2.25 * hard * share)
