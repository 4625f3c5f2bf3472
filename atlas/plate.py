"""The backing plate of a 12 in brake, seen from the drum's side and from behind. Its sizes are assumed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.adjuster import SIDEWAYS, STAR, toothed
from atlas.block import hexagon, lid, oval, rows_of, wall
from atlas.coat import Dice, Floats, clouds, over, raised, step
from atlas.drum import drum
from atlas.finish import DUST, clad, crusted, plain, rubber, wet, worn_paint, zinc
from atlas.parts import Piece, Work
from atlas.shape import Array, Moved, Skin, Zone

RIM, HOLE = 161.0, 36.0  # radii, mm
BOLTS = tuple((52 * np.cos(t), 52 * np.sin(t)) for t in np.radians((45, 135, 225, 315)))

FILM = np.array([0.045, 0.030, 0.014], np.float32)  # grease, thin


def plate(seed: int, fine: dict[str, float]) -> dict[str, Piece]:
    """The plate with its nuts, and the spindle through it."""
    zones = {
        "plate": Zone(((RIM, -3), (RIM, 5), (RIM - 2, 7), (RIM - 4, 5), (RIM - 7, 0), (74, 0), (70, 5), (HOLE, 5)), cell_mm=0.8),
        "flange": Zone(((HOLE + 2, 5), (HOLE, 9), (30, 11), (28, 14)), cell_mm=0.6),
        "spindle": Zone(((28, 14), (27.5, 17), (24, 18), (24, 34), (22.3, 36), (22.2, 62), (18, 66), (17.2, 110), (12, 112)), cell_mm=0.6),
    }  # fmt: skip
    finishes = {"plate": worn_paint, "flange": worn_paint, "spindle": plain((0.33, 0.32, 0.30), 0.3, 0.3)}
    out = {n: clad(seed, n, z, fine.get(n, 3.0), finishes[n]) for n, z in zones.items()}
    for i, (x, y) in enumerate(BOLTS):
        side, top = wall(hexagon(19), ((0, 5), (0, 13), (0.8, 14))), lid(hexagon(19), 14, 0.8)
        for name, shape in ((f"nut {i}", side), (f"nut top {i}", top)):
            out[name] = clad(seed, name, Moved(shape, to=(float(x), float(y), 0.0)), 4.0, zinc)
    return out


def filmed(work: Work, hard: int, dice: Dice) -> Work:
    """A thin wet film of grease thrown over plate and metal; the linings stay dry."""
    out = {}
    for name, piece in work.pieces.items():
        if "lining" in name or "lead" in name:
            continue
        coat = piece.coat
        run = clouds(dice, coat.shape, coat.px, [(0.5, 30, 14), (0.3, 12, 3)])
        out[name.replace(" ", "_")] = wet(dice, coat, step(run, -0.9 - 0.2 * hard, 0.1), 0.03, FILM)
    return work.worn(**out)


SLOTS = ((-30.0, -112.0), (30.0, -112.0))
SLOT = (34.0, 15.0)


def back(seed: int, fine: dict[str, float]) -> Work:
    """The lower part of the plate from behind: rubber plugs sit in both of its slots."""
    px = fine.get("back", 5.0)
    front = Zone(
        ((RIM, -9), (RIM, 1), (RIM - 1.5, 3), (RIM - 4, 3), (RIM - 10, 0), (66, 0), (62, 7), (30, 7)),
        cell_mm=0.5,
    )
    out = {"back": clad(seed, "back", front, px, worn_paint)}
    for i, (x, y) in enumerate(SLOTS):
        for name, shape in plug().items():
            out[f"{name} {i}"] = clad(seed, f"{name} {i}", Moved(shape, to=(x, y, 0.0)), px, rubber)
    for i, x in enumerate((-24.0, 24.0)):
        side, top = wall(hexagon(17), ((0, 7), (0, 16), (0.8, 17))), lid(hexagon(17), 17, 0.8)
        for name, shape in ((f"nut {i}", side), (f"nut top {i}", top)):
            out[name] = clad(seed, name, Moved(shape, to=(x * 1.4, -42.0, 0.0)), px, zinc)
    return Work(drum("12 in", 6), out)


def plug() -> dict[str, Skin]:
    """A plug: a flat flange and a hollowed head with its rib."""
    flange, head = oval(SLOT[0] + 7, SLOT[1] + 7), oval(SLOT[0] - 6, SLOT[1] - 6)
    return {
        "flange side": wall(flange, ((0, 0), (0, 1.6), (0.6, 2.4)), 0.3),
        "flange top": lid(flange, 2.4, 0.6, 0.4),
        "rib": wall(head, ((-1, 2.4), (0, 5.4), (0.6, 6.0), (1.6, 6.0), (2.2, 3.4)), 0.3),
        "hollow": lid(head, 3.4, 2.0, 0.4),
    }


def unplugged(work: Work, hard: int, dice: Dice) -> Work:
    """The right slot stands open: road water and grit go straight in on the star wheel."""
    del hard
    piece = work.pieces["back"]
    coat = piece.coat
    world = piece.zone.world(np.zeros(coat.shape))
    x, y = world[..., 0] - SLOTS[1][0], world[..., 1] - SLOTS[1][1]
    half = (SLOT[0] - SLOT[1]) / 2
    inside = np.asarray(SLOT[1] / 2 - np.hypot(np.clip(np.abs(x) - half, 0, None), y), np.float32)
    hole, lip = step(inside, -0.1, 0.2), step(inside, -1.3, -0.6)
    mark = step(np.abs(inside + 3.2), 0.9, 0.4)  # where the plug's flange sat
    coat = over(coat, 0.8 * lip, np.array([0.26, 0.25, 0.23], np.float32), 0.3, 0.3)
    coat = over(coat, 0.7 * mark, DUST * 1.3)
    coat = raised(over(coat, hole, np.array([0.004, 0.004, 0.004], np.float32)), -16.0 * hole)
    out = work.without(*(f"{n} 1" for n in plug())).having(back=replace(piece, coat=coat))
    profile = ((5.0, -4.0), (STAR - 3, -4.0), (STAR, -3.4), (STAR, 3.4), (STAR - 3, 4.0), (5.0, 4.0))
    lie = Moved(Zone(profile, cell_mm=0.35), SIDEWAYS, (SLOTS[1][0], SLOTS[1][1], -17.5))
    wheel = Piece(lie, crusted(dice, toothed(dice, lie.pixels(6.0), 6.0), 0.5, 0.1))
    return replace(out, pieces=out.pieces | {"star": wheel})


def bent_skin(shape: Zone, by: Floats) -> Skin:
    """A turned shape with each of its places moved up so far, mm."""
    world: Array = shape.world(np.zeros((300, 361)))
    world[..., 2] += by
    return Skin(rows_of(*world), shape.cell_mm, closed=True)


def bent(work: Work, hard: int, dice: Dice) -> Work:
    """Its rim has been struck: folded towards the drum over a hand's width, the paint cracked along the fold."""
    piece = work.pieces["plate"]
    assert isinstance(piece.zone, Zone)
    world = piece.zone.world(np.zeros((300, 361)))
    away = np.degrees(np.arctan2(world[..., 1], world[..., 0]))
    off = (away + 118 + 180) % 360 - 180
    far = np.hypot(world[..., 0], world[..., 1])
    by = 13.0 * hard * np.exp(-((off / 17) ** 2)) * np.clip((far - 112) / 45, 0, 1) ** 1.6
    coat = piece.coat
    turn = coat.along / coat.size_mm[1] * 360
    near = np.exp(-((((turn + 118 + 180) % 360 - 180) / 15) ** 2))
    crack = (
        step(clouds(dice, coat.shape, coat.px, [(0.6, 1, 8), (0.6, 3, 12)]), 0.5, 0.9)
        * near
        * (coat.across < 60)
    )
    coat = raised(over(coat, 0.9 * crack, np.array([0.30, 0.28, 0.26], np.float32), 0.2, 0.3), -0.1 * crack)
    return work.having(plate=replace(piece, zone=bent_skin(piece.zone, by), coat=coat))
