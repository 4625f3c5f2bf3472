"""An electric brake's oval magnet: its face, its case, its two leads. All its sizes are assumed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.block import bow, lid, oval, wall
from atlas.coat import Coat, Dice, Floats, cavities, clouds, over, raised, soft, step, turned
from atlas.finish import COPPER, clad, dusty, plain, stuck_dirt, wet, zinc
from atlas.parts import Piece, Work
from atlas.shape import Array, Moved, Rod, Zone, about

LONG, WIDE, THICK = 66.0, 40.0, 17.0  # mm
AT, TURN = (84.0, -70.0, 51.0), 50.0  # where it sits on the arm
DARK = np.array([0.020, 0.017, 0.014], np.float32)


def magnet(seed: int, fine: dict[str, float]) -> dict[str, Piece]:
    """In its good state: flat, worn bright along the drum's way, its filling whole, its leads whole."""
    halves, px = oval(LONG, WIDE), fine.get("magnet", 5.0)
    shapes = {
        "magnet case": (wall(halves, ((1, 0), (0, 0.8), (0, THICK - 0.6), (0.5, THICK))), zinc),
        "magnet face": (lid(halves, THICK, 0.5, 0.4), faced),
    }
    turn = about((0, 0, 1), TURN)
    out = {n: clad(seed, n, Moved(s, turn, AT), px, f) for n, (s, f) in shapes.items()}
    ways = leads()
    for i, colour in enumerate(((0.035, 0.034, 0.033), (0.30, 0.29, 0.26))):
        out[f"lead {i}"] = clad(seed, f"lead {i}", Rod(ways[i], 1.7, 0.4), px, plain(colour, 0.7, 0.3, 0.12))
    grommet = Zone(((9, 0), (9, 4), (7, 6), (5, 6), (4, 3), (0.3, 3)), (22.0, -86.0), 0.5)
    return out | {"grommet": clad(seed, "grommet", grommet, 4.0, plain((0.03, 0.03, 0.03), 0.8, 0.35))}


def leads() -> list[tuple[tuple[float, float, float], ...]]:
    """Their ways, from the case down to the plate."""
    out = []
    for i in (0, 1):
        s = 3.2 * i
        out.append(
            bow([(74.0 - s, -86.0 - 1.5 * s, 57.0), (62.0 - s, -92.0 - 2 * s, 58.0), (46.0, -94.0 - 1.5 * s, 48.0 - s), (30.0 + s, -90.0 - s, 26.0),
                 (22.0 + s, -87.0 + s, 12.0), (21.0 + s, -86.0 + 0.5 * s, 1.0)])
        )  # fmt: skip
    return out


def of_face(coat: Coat) -> tuple[Floats, Floats]:
    """How far each place of the face lies from its middle along and across the oval, mm."""
    shape = lid(oval(LONG, WIDE), 0.0, 0.5)
    world: Array = shape.world(np.zeros(coat.shape))
    return np.asarray(world[..., 0], np.float32), np.asarray(world[..., 1], np.float32)


def depth(coat: Coat) -> Floats:
    """How far each place of the face lies inside its outline, mm."""
    x, y = of_face(coat)
    half = (LONG - WIDE) / 2
    return np.asarray(WIDE / 2 - np.hypot(np.clip(np.abs(x) - half, 0, None), y), np.float32)


def faced(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Steel rim and core rubbed bright in arcs, the filling between them dark and level."""
    coat = turned(dice, shape, px, grey=0.33)
    x, y = of_face(coat)
    far = np.hypot(x, y + 107.0)  # arcs about the hub's axis
    line = np.interp(far, np.arange(80, 135, 0.22), dice.normal(0, 1, len(np.arange(80, 135, 0.22))))
    coat = replace(
        coat,
        colour=coat.colour * (1 + 0.16 * line)[..., None].astype(np.float32),
        height=0.012 * line.astype(np.float32),
    )
    fill = filling(coat)
    coat = over(coat, fill, DARK * 2.2, 0.75, 0.3)
    edge = step(np.abs(fill - 0.5), 0.5, 0.1)
    return dusty(dice, raised(over(coat, 0.8 * edge, DARK * 0.5), -0.12 * fill - 0.2 * edge), 0.12)


def filling(coat: Coat) -> Floats:
    """Where the winding's slot is closed with filling."""
    inside = depth(coat)
    return step(inside, 4.6, 5.0) * step(inside, 10.4, 10.0)


def winding(work: Work, hard: int, dice: Dice) -> Work:
    """Worn through to the winding: rounds of copper lie open in the slot."""
    coat = work.coat("magnet face")
    inside, (x, _) = depth(coat), of_face(coat)
    torn = clouds(dice, coat.shape, coat.px, [(5, 6, 6), (2.5, 1.5, 1.5)])
    bare = filling(coat) * step(x + torn, 16.0, 12.0)
    lane = (inside / 0.62) % 1
    wire = np.sqrt(np.clip(1 - (2 * lane - 1) ** 2, 0, 1))
    tone = (0.35 + 0.85 * wire) * (1 + 0.2 * clouds(dice, coat.shape, coat.px, [(1, 2, 2)]))
    coat = over(coat, bare, COPPER * 1.25 * tone[..., None].astype(np.float32), 0.25, 0.28)
    coat = over(coat, step(np.abs(bare - 0.5), 0.5, 0.2), DARK * 0.4)
    return work.worn(magnet_face=raised(coat, bare * (-0.9 + 0.35 * wire)))


def gouged(work: Work, hard: int, dice: Dice) -> Work:
    """Torn in deep tracks, one side worn lower than the other."""
    coat = work.coat("magnet face")
    x, y = of_face(coat)
    far = np.hypot(x, y + 107.0) + 0.35 * clouds(dice, coat.shape, coat.px, [(1, 4, 5), (0.4, 0.6, 0.8)])
    deep = np.zeros(coat.shape, np.float32)
    for at, wide, mm in ((97.0, 1.0, 1.0), (103.5, 2.2, 1.8), (111.0, 0.8, 0.9), (116.0, 1.7, 1.5)):
        deep = np.maximum(deep, mm * np.exp(-((np.abs(far - at) / wide) ** 4)))
    worn = 1.6 * np.clip((x + 4) / 34, 0, 1) ** 1.5
    shine = (
        np.array([0.46, 0.45, 0.43], np.float32)
        * (1 + 0.3 * clouds(dice, coat.shape, coat.px, [(1, 0.3, 6)]))[..., None]
    )
    coat = over(coat, step(deep, 0.2, 0.6) * 0.8, 0.55 * shine, 0.3, 0.25)
    coat = raised(coat, (-deep - worn).astype(np.float32))
    del hard
    return work.worn(magnet_face=cavities(coat, 0.8, 2.0))


def soaked(work: Work, hard: int, dice: Dice) -> Work:
    """Grease over face and case: black, wet, dirt stuck in it."""
    out = {}
    for name in ("magnet face", "magnet case"):
        coat = work.coat(name)
        run = clouds(dice, coat.shape, coat.px, [(0.6, 6, 8), (0.4, 1.5, 2)])
        where = step(run, -1.5 - 0.2 * hard, -0.4)
        out[name.replace(" ", "_")] = stuck_dirt(dice, wet(dice, coat, where, 0.5), where, 0.38)
    return work.worn(**out)


def bared(work: Work, hard: int, dice: Dice) -> Work:
    """A lead's insulation is rubbed through to the strands, some of them broken."""
    piece = work.pieces["lead 1"]
    coat = piece.coat
    torn = 1.2 * clouds(dice, coat.shape, coat.px, [(0.7, 0.8, 1.5), (0.5, 0.3, 0.5)])
    at = coat.size_mm[0] * 0.36
    gone = step(np.abs(coat.across - at) + torn, 12.0, 11.2)
    strand = np.abs(2 * ((coat.along / coat.size_mm[1] * 9 + coat.across / 7) % 1) - 1)
    metal = COPPER * (0.5 + 0.8 * strand)[..., None].astype(np.float32)
    coat = over(coat, gone, metal, 0.3, 0.3)
    coat = over(coat, step(soft(gone, 0.8, coat.px), 0.05, 0.5) * (1 - gone) * 0.8, DARK)
    coat = raised(coat, gone * (-0.75 + 0.2 * strand))
    loose = {}
    middle = np.array(piece.zone.path)  # type: ignore[attr-defined]  # a lead is a rod
    start = middle[int(len(middle) * 0.36)]
    for i in range(7 + 2 * hard):
        way = dice.normal(0, 1, 3) + np.array([0.2, -0.4, 0.7])
        tip = start + way / np.linalg.norm(way) * float(dice.uniform(6, 12))
        bend = (start + tip) / 2 + dice.normal(0, 0.9, 3)
        line = bow([tuple(start), tuple(bend), tuple(tip)], 20)
        loose[f"strand {i}"] = clad(i, "strand", Rod(line, 0.34, 0.2), 6.0, plain((0.6, 0.3, 0.16), 0.2, 0.3))
    return replace(
        work.having(lead_1=replace(piece, coat=coat)),
        pieces=work.having(lead_1=replace(piece, coat=coat)).pieces | loose,
    )
