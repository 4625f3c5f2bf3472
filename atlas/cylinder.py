"""A hydraulic brake's wheel cylinder between the shoes, and its line and hose behind the plate. All sizes are assumed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.block import bow, coil, hexagon, lid, wall
from atlas.brake import brake
from atlas.coat import Coat, Dice, Floats, cast, clouds, over, raised, soft, step
from atlas.drum import drum
from atlas.finish import Finish, clad, plain, rubber, spring_steel, stuck_dirt, wet, worn_paint, zinc
from atlas.marks import lines, walk
from atlas.parts import Piece, Work
from atlas.shape import Moved, Place, Rod, Shape, Skin, Zone, about

AT: Place = (0.0, 116.0, 34.0)
SIDEWAYS = about((0, 1, 0), 90)
FLUID = np.array([0.035, 0.021, 0.008], np.float32)
ELECTRIC = ("arm", "pivot", "magnet", "lead ", "grommet", "cable", "lever", "anchor", "spring ")


def raw(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Cast iron with a breath of rust."""
    return cast(dice, shape, px, 0.3)


BODY = ((11, -31), (15.5, -30), (16, -28), (16, -24), (14.5, -21), (14.5, 21), (16, 24), (16, 28), (15.5, 30), (11, 31))  # fmt: skip
BOOT = ((15.8, 28), (17.2, 29), (17.2, 32), (14.5, 33.5), (12.5, 35.5), (13.2, 37), (10.5, 38.5), (8, 41), (8.4, 42.5), (6, 43), (5, 44))  # fmt: skip
ROD = ((5, 41), (5, 52), (3, 53), (0.3, 53))


def cylinder(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: cast body, both boots dry and dusty, a spring under it."""
    work, px = brake(seed, fine), fine.get("cylinder", 7.0)
    kept = {n: p for n, p in work.pieces.items() if not n.startswith(ELECTRIC)}
    shapes: dict[str, tuple[Shape, Finish]] = {"body": (Moved(Zone(BODY, cell_mm=0.4), SIDEWAYS, AT), raw)}
    for name, turn in (("right", 90), ("left", -90)):
        lie = about((0, 1, 0), turn)
        shapes[f"{name} boot"] = (Moved(Zone(BOOT, cell_mm=0.3), lie, AT), rubber)
        shapes[f"{name} rod"] = (Moved(Zone(ROD, cell_mm=0.4), lie, AT), zinc)
    across = coil((-74.0, 94.0, 42.0), (74.0, 94.0, 42.0), 5.2, 17, 0.16)
    shapes["across spring"] = (Rod(across, 1.2, 0.4), spring_steel)
    return replace(work, pieces=kept | {n: clad(seed, n, s, px, f) for n, (s, f) in shapes.items()})


def under(piece: Piece) -> tuple[Floats, Floats, Floats]:
    """Where each place of a coat lies, mm."""
    world = piece.zone.world(np.zeros(piece.coat.shape))
    return tuple(np.asarray(world[..., i], np.float32) for i in range(3))  # type: ignore[return-value]


def weeps(work: Work, hard: int, dice: Dice) -> Work:
    """Fluid past the right boot: boot, body and shoe wet, run down the plate, dust caked at its edge."""
    out = {}
    for name in ("right boot", "right rod", "body", "plate", "right web"):
        piece = work.pieces[name]
        coat = piece.coat
        x, y, _ = under(piece)
        wander = clouds(dice, coat.shape, coat.px, [(2.5, 6, 8), (1.0, 1.5, 2)])
        wide = 13.0 + 3 * hard + 0.05 * (112 - y)
        fall = np.abs(x - 33.0 - 0.05 * (112 - y)) + wander + 4.0 * np.sin(y / 9.0) * (y < 100)
        where = step(fall, wide, wide - 4) * step(y + wander, 24.0, 44.0)
        if name == "right web":
            where = where * (y > 90)
        edge = step(np.abs(where - 0.5), 0.5, 0.1)
        done = wet(dice, coat, where, 0.15, FLUID)
        out[name.replace(" ", "_")] = stuck_dirt(dice, done, np.maximum(edge, 0.7 * where), 0.5)
    return work.worn(**out)


# ---------------------------------------------------------------- behind the plate

HOSE: tuple[Place, ...] = (
    (78.0, 24.0, 16.0),
    (52.0, 22.0, 19.0),
    (20.0, 6.0, 27.0),
    (-14.0, -16.0, 31.0),
    (-50.0, -28.0, 25.0),
    (-92.0, -30.0, 17.0),
)


COLLAR = ((6.4, -2), (8.2, -1), (8.4, 4), (7.6, 5), (8.4, 6), (8.4, 12), (7.6, 13), (8.4, 14), (8.4, 20), (5, 21))  # fmt: skip
TUBE: tuple[Place, ...] = (
    (96.0, 24.0, 16.0),
    (112.0, 24.0, 14.0),
    (128.0, 34.0, 9.0),
    (132.0, 60.0, 5.0),
    (132.0, 130.0, 5.0),
)


def line(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: hose whole and dry, pressed ends tight, steel line clean."""
    px, nut = fine.get("hose", 9.0), hexagon(22)
    wide = Skin(
        (((-170.0, -120.0, 0.0), (170.0, -120.0, 0.0)), ((-170.0, 120.0, 0.0), (170.0, 120.0, 0.0))), 1.0
    )
    shapes: dict[str, tuple[Shape, Finish]] = {
        "hose": (Rod(bow(HOSE, 160), 6.2, 0.35), ribbed),
        "collar": (Moved(Zone(COLLAR, cell_mm=0.3), SIDEWAYS, (56.0, 22.6, 18.2)), zinc),
        "fitting": (Moved(wall(nut, ((0, 0), (0, 16), (1, 17))), SIDEWAYS, (80.0, 24.0, 16.0)), zinc),
        "fitting top": (Moved(lid(nut, 17, 1.0), SIDEWAYS, (80.0, 24.0, 16.0)), zinc),
        "tube": (Rod(bow(TUBE, 120), 2.6, 0.3), zinc),
    }
    out = {n: clad(seed, n, s, px, f) for n, (s, f) in shapes.items()}
    return Work(drum("12 in", 6), out | {"back": clad(seed, "back", wide, fine.get("back", 5.0), worn_paint)})


def ribbed(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """A hose's rubber with its fine weave."""
    coat = plain((0.034, 0.033, 0.031), 0.72, 0.3, 0.15)(dice, shape, px)
    rib = np.abs(2 * ((coat.along / coat.size_mm[1] * 26) % 1) - 1)
    return raised(coat, (0.06 * rib + 0 * coat.across).astype(np.float32))


def split(work: Work, hard: int, dice: Dice) -> Work:
    """The hose is cracked all over its bend and swollen, wet where it weeps."""
    piece, plate = work.pieces["hose"], work.pieces["back"]
    coat = crackled(piece.coat, hard, dice)
    near = np.exp(-(((coat.across - coat.size_mm[0] * 0.52) / 30.0) ** 2))
    late = coat.across > coat.size_mm[0] * 0.50
    drip = step(clouds(dice, coat.shape, coat.px, [(0.6, 3, 5)]) + 2.2 * late * near, 1.4, 2.0)
    x, y, _ = under(plate)
    wander = clouds(dice, plate.coat.shape, plate.coat.px, [(4, 8, 8), (1.5, 2, 2)])
    where = step(np.hypot((x + 22) / 1.5, y + 34) + wander, 22.0, 17.0)
    edge = step(np.abs(where - 0.5), 0.5, 0.1)
    pool = stuck_dirt(dice, wet(dice, plate.coat, where, 0.1, FLUID), edge, 0.5)
    return work.having(
        hose=replace(piece, coat=wet(dice, coat, 0.9 * drip, 0.1, FLUID)), back=replace(plate, coat=pool)
    )


def crackled(coat: Coat, hard: int, dice: Dice) -> Coat:
    """Old rubber: grey, split across its bend, swollen in the middle."""
    far, paths = coat.size_mm[0], []
    near = np.exp(-(((coat.across - far * 0.52) / 30.0) ** 2)) * np.ones(coat.shape, np.float32)
    swell = 3.4 * np.exp(-(((coat.across - far * 0.50) / 13.0) ** 2))
    for _ in range(40 + 30 * hard):
        half = coat.size_mm[1] / 2
        at = float(dice.uniform(-half, half)), float(dice.normal(far * 0.50, 20))
        turn = np.pi / 2 + float(dice.normal(0, 0.25))
        paths.append((walk(dice, at, float(dice.uniform(3, 9)), turn, 0.5), 0.5, 0.15))
    dark = lines(coat, paths)
    coat = over(coat, 0.6 * near, np.array([0.075, 0.070, 0.064], np.float32), 0.95, 0.5)
    worn = np.clip(soft(dark, 0.4, coat.px) * 1.5 - dark, 0, 1)
    coat = over(coat, 0.6 * worn, np.array([0.13, 0.115, 0.095], np.float32))
    coat = over(coat, np.clip(1.6 * dark, 0, 1), np.array([0.003, 0.003, 0.003], np.float32))
    return raised(coat, (swell - 0.55 * dark).astype(np.float32))
