"""A grease seal pressed into the hub's bore, seen from the axle side, and what it looks like when it has failed.

The bore is as wide as the hub's; case, lip and spring are assumed to look like the usual ones.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import Coat, Dice, Floats, clouds, over, raised, rusty, soft, step, turned
from atlas.parts import Piece, Work, dice_of, drum_inside
from atlas.shape import Array, Bent, Place, Profile, Rod, Shape, Zone

ROOT = (35.4, 35.3)  # radius and height of where the lip is bonded to its case
GREASE = np.array([0.062, 0.010, 0.005], np.float32)  # red gone dark with dirt
DUST = np.array([0.085, 0.062, 0.045], np.float32)
WHERE = np.radians(-62.0)  # where it has failed: towards the camera
HIDDEN = {
    "outer",
    "rim",
    "chamfer",
    "band",
    "root",
    "web",
    "face edge",
    "magnet face",
    "seal floor",
    "cup bore",
}


def sealed(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: case square and flush, dry, lip whole all round."""
    work = drum_inside(seed, fine).without(*HIDDEN)
    b = work.drum.inner_cup + 2.15
    paths: dict[str, Profile] = {
        "case": ((b, 29.5), (b, 36.8), (b - 0.4, 37.5), (b - 1.3, 37.8), (37.6, 37.8), (36.7, 37.5), (36.0, 36.7), (35.7, 35.0)),
        "lip": ((36.4, 35.0), ROOT, (34.0, 35.6), (32.2, 36.5), (30.6, 37.0), (29.6, 36.7), (29.2, 35.9), (29.7, 34.8),
                (30.6, 33.6), (30.0, 32.2), (29.1, 31.2), (29.4, 30.2), (31, 28.8)),
        "cone back": ((30.6, 20), (30.6, 26.2), (29.8, 27.0), (23.2, 27.0), (22.2, 26.0), (22.2, 6)),
    }  # fmt: skip
    coats = {"case": _plated, "lip": _rubber, "cone back": _behind}
    for name, path in paths.items():
        zone = Zone(path, cell_mm=0.25)
        px = fine.get(name, 8.0)
        work = replace(
            work,
            pieces=work.pieces | {name: Piece(zone, coats[name](dice_of(seed, name), zone.pixels(px), px))},
        )
    return work


def _plated(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Drawn steel, dull bright, driver's marks faint."""
    coat = turned(dice, shape, px, grey=0.40, wear=0.1)
    tone = 1 + clouds(dice, shape, px, [(0.05, 3, 9), (0.03, 0.5, 0.7)])
    return replace(
        coat, colour=(coat.colour * tone[..., None]).astype(np.float32), dull=np.full(shape, 0.34, np.float32)
    )


def _rubber(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Black moulded rubber with a soft sheen."""
    tone = 0.030 * (1 + clouds(dice, shape, px, [(0.08, 1, 6), (0.06, 0.3, 0.4)]))
    colour = tone[..., None] * np.array([1.0, 0.98, 0.96], np.float32)
    grain = clouds(dice, shape, px, [(0.006, 0.25, 0.3)])
    return Coat(
        colour.astype(np.float32),
        np.full(shape, 1.0, np.float32),
        np.full(shape, 0.4, np.float32),
        grain,
        px,
        wet=0.34,
    )


def _behind(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """The back of the inner cone under a film of grease."""
    share = 0.6 + 0.38 * step(clouds(dice, shape, px, [(0.7, 3, 7), (0.4, 0.8, 3)]), -1.4, 1.0)
    return replace(
        over(turned(dice, shape, px, grey=0.4), share, np.array([0.14, 0.010, 0.005], np.float32), 0.9),
        wet=0.1,
    )


def _round_to(coat: Coat, turn: float = WHERE) -> Floats:
    """Radians from where it has failed, (1, cols)."""
    return (coat.along / coat.size_mm[1] * 2 * np.pi - turn + np.pi) % (2 * np.pi) - np.pi


def weeps(work: Work, hard: int, dice: Dice) -> Work:
    """Grease has come past the lip: a dark wet fan over case and hub, runs in it, dust stuck along its border."""
    out = {}
    widths = (("lip", 0.30), ("case", 0.38), ("seal edge", 0.47), ("barrel end", 0.52), ("barrel", 0.46))
    runs = 0.16 * dice.standard_normal(
        40
    )  # the same over all of them, so that they run on from piece to piece
    for name, wide in widths:
        coat = work.coat(name)
        away = _round_to(coat)
        run = np.interp(away, np.linspace(-1.2, 1.2, 40), runs)
        field = clouds(dice, coat.shape, coat.px, [(0.09, 4, 5), (0.045, 1.1, 1.5)]) + 0.7 * run
        near = (wide * (0.8 + 0.1 * hard) - np.abs(away) + field) * np.ones(coat.shape, np.float32)
        wet, thick = step(near, -0.02, 0.04), step(near, 0.02, 0.30)
        grit = step(clouds(dice, coat.shape, coat.px, [(0.8, 0.3, 0.35), (0.6, 1.5, 2)]), 0.3, 1.2)
        coat = over(coat, 0.93 * wet, GREASE * (1.35 - 0.65 * thick)[..., None], 0.92, 0.15)
        coat = over(coat, 0.6 * grit * wet * (1 - thick), DUST, 1.0, 0.5)
        lumps = clouds(dice, coat.shape, coat.px, [(0.4, 4, 5), (0.16, 1.6, 2.2)])
        laid = soft(wet * (0.25 + thick * (0.55 + 0.5 * lumps)), 0.5, coat.px)
        out[name.replace(" ", "_")] = replace(raised(coat, laid), wet=coat.wet or 0.09)
    return work.worn(**out)


def _turned_out(places: Array) -> Array:
    """The lip folded outwards about its root, from a tear onwards."""
    turn, r, z = (
        np.arctan2(places[..., 1], places[..., 0]),
        np.hypot(places[..., 0], places[..., 1]),
        places[..., 2],
    )
    away = (turn - WHERE + np.pi) % (2 * np.pi) - np.pi
    fold = np.radians(118) * np.where(away > -0.30, np.exp(-((np.clip(away + 0.12, 0, 9) / 0.42) ** 2)), 0.0)
    fold = fold * np.clip((ROOT[0] + 0.2 - r) / 2.2, 0, 1)
    u, v = r - ROOT[0], z - ROOT[1]
    r, z = ROOT[0] + np.cos(fold) * u + np.sin(fold) * v, ROOT[1] - np.sin(fold) * u + np.cos(fold) * v
    return np.stack([r * np.cos(turn), r * np.sin(turn), z], -1)


def lip_damaged(work: Work, hard: int, dice: Dice) -> Work:
    """Torn across and folded out on one side of the tear; the spring has come out there."""
    lip = work.coat("lip")
    away = _round_to(lip)
    rough = clouds(dice, lip.shape, lip.px, [(0.5, 0.4, 0.5), (0.5, 1.0, 1.4)])
    torn = np.exp(-((np.abs(away + 0.30) / (0.02 + 0.012 * hard)) ** 2)) * np.ones(lip.shape, np.float32)
    fresh = over(lip, 0.7 * torn, np.array([0.075, 0.066, 0.060], np.float32), 1.0)
    frayed = raised(fresh, 0.35 * rough * step(np.abs(away + 0.3), 0.10, 0.02))
    spring = _spring()
    px = 22.0
    steel = turned(dice, spring.pixels(px), px, grey=0.5, wear=0.1)
    pieces = {
        "lip": Piece(Bent(work.pieces["lip"].zone, _turned_out), frayed),
        "spring": Piece(spring, replace(steel, dull=steel.dull * 0.5)),
    }
    return replace(work, pieces=work.pieces | pieces)


def _spring() -> Shape:
    """A loop of the garter spring that has sprung out through the tear, its coils seen."""
    places: list[Place] = []
    for t in np.linspace(0, 1, 900):
        turn = WHERE - 0.62 + 1.15 * t
        rise = np.sin(np.pi * t)
        r, z = 30.6 - 4.5 * rise, 31.5 + 8.5 * rise**0.8
        coil = 2 * np.pi * 36 * t
        r, z = r + 0.75 * np.cos(coil), z + 0.75 * np.sin(coil)
        places.append((float(r * np.cos(turn)), float(r * np.sin(turn)), float(z)))
    return Rod(tuple(places), 0.26, cell_mm=0.12)


def _tilted(places: Array) -> Array:
    """Out of the bore on the right, still in it on the left."""
    x, z = places[..., 0] + 43.2, places[..., 2] - 37.0
    a = np.radians(9.5)
    return np.stack(
        [np.cos(a) * x - np.sin(a) * z - 43.2, places[..., 1], np.sin(a) * x + np.cos(a) * z + 37.0], -1
    )


def blown(work: Work, hard: int, dice: Dice) -> Work:
    """Pushed out of its bore on one side and cocked; grease has come out after it."""
    out = {
        name: replace(work.pieces[name], zone=Bent(work.pieces[name].zone, _tilted))
        for name in ("case", "lip")
    }
    case = work.coat("case")
    scrape = step(clouds(dice, case.shape, case.px, [(0.8, 2.5, 0.4), (0.4, 0.5, 0.5)]), 0.9, 1.5) * step(
        case.across, 8.0, 7.0
    )
    out["case"] = replace(
        out["case"],
        coat=over(rusty(dice, case, 0.12), 0.5 * scrape, np.array([0.6, 0.59, 0.57], np.float32), 0.1, 0.2),
    )
    b = work.drum.inner_cup
    zone = Zone(
        ((b + 7.6, 37.6), (b + 6.6, 40.8), (b + 3.6, 42.6), (b + 0.5, 41.0), (b - 4, 37), (b - 8, 33)),
        cell_mm=0.3,
    )
    px = 7.0
    shape = zone.pixels(px)
    lumps = soft(clouds(dice, shape, px, [(1.1, 4, 6), (0.4, 1.6, 2.2)]), 0.6, px)
    coat = Coat((GREASE * 2.2 * np.ones((*shape, 1))).astype(np.float32), np.full(shape, 0.96, np.float32),
                np.full(shape, 0.3, np.float32), np.zeros(shape, np.float32), px, wet=0.09)  # fmt: skip
    side = step(
        np.abs(_round_to(coat, 0.0)) + 0.10 * clouds(dice, shape, px, [(1, 4, 5)]), 0.95 + 0.15 * hard, 0.55
    )
    out["squeezed out"] = Piece(zone, raised(coat, side * (0.2 + 0.9 * lumps) - 6.0 * (1 - side)))
    return replace(work, pieces=work.pieces | out)
