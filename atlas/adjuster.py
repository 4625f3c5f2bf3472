"""Anchor, arm, adjuster, springs and cable of an electric brake. All their sizes are assumed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.block import beside, bow, coil, plank
from atlas.coat import OLD_RUST, Coat, Dice, clouds, over, raised, step
from atlas.finish import Finish, clad, crusted, plain, spring_steel, worn_paint, zinc
from atlas.parts import Piece, Work
from atlas.shape import Moved, Place, Rod, Shape, Zone, about

TEETH, STAR = 22, 15.0  # of the star wheel: how many, radius
SIDEWAYS = about((0, 1, 0), 90)
LINE: Place = (0.0, -115.0, 36.0)  # where the adjuster's middle lies
ARM = ((18.0, 108.0), (40.0, 84.0), (54.0, 44.0), (58.0, 6.0), (62.0, -26.0), (76.0, -58.0), (84.0, -72.0))
PIVOT = ARM[0]
ADJUSTER = ("adjuster socket", "adjuster collar", "star", "adjuster screw", "adjuster sleeve")


def toothed(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """A star wheel's edge, milled."""
    coat = zinc(dice, shape, px)
    turn = coat.along / coat.size_mm[1] * TEETH
    tooth = np.clip(2.2 * np.abs(2 * (turn % 1) - 1) - 0.6, 0, 1)
    far = coat.across / coat.size_mm[0]
    return raised(coat, -3.2 * (1 - tooth) * np.clip(np.minimum(far, 1 - far) * 6 - 0.6, 0, 1))


def threaded(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """The adjuster's screw."""
    coat = zinc(dice, shape, px)
    turn = coat.along / coat.size_mm[1]
    phase = (coat.across / 1.4 - turn) % 1
    return raised(coat, (0.7 * np.abs(2 * phase - 1)).astype(np.float32))


def adjuster(seed: int, fine: dict[str, float]) -> dict[str, Piece]:
    """Socket, star wheel, screw and sleeve in one line between the shoes' feet."""
    profiles: dict[str, tuple[tuple[tuple[float, float], ...], Finish]] = {
        "adjuster socket": (((5, -44), (7.5, -43), (8, -41), (8, -12), (7, -10), (5, -10)), zinc),
        "adjuster collar": (((5, -12), (5, -3)), zinc),
        "star": (((5, -4), (STAR - 3, -4), (STAR, -3.4), (STAR, 3.4), (STAR - 3, 4), (5, 4)), toothed),
        "adjuster screw": (((5.2, 3), (5.2, 18)), threaded),
        "adjuster sleeve": (((5, 17), (8.5, 17), (9, 18), (9, 41), (8, 44), (4, 44)), zinc),
    }
    out = {}
    for name, (profile, finish) in profiles.items():
        shape = Moved(Zone(profile, cell_mm=0.35), SIDEWAYS, LINE)
        out[name] = clad(seed, name, shape, fine.get("adjuster", 4.0), finish)
    spring = Rod(coil((-56.0, -108.0, 40.0), (56.0, -108.0, 40.0), 5.0, 15, 0.22), 1.1, 0.4)
    return out | {
        "adjuster spring": clad(seed, "adjuster spring", spring, fine.get("adjuster", 4.0), spring_steel)
    }


def top(seed: int, fine: dict[str, float]) -> dict[str, Piece]:
    """Anchor, both return springs, the arm on its pivot."""
    px = fine.get("top", 4.0)
    shapes: dict[str, tuple[Shape, Finish]] = {
        "anchor": (Zone(((12, 0), (12, 46), (10.5, 48), (0.3, 48)), (0.0, 117.0), 0.5), zinc),
        "anchor washer": (Zone(((19, 38), (19, 40.5), (18, 41), (12, 41)), (0.0, 117.0), 0.5), zinc),
        "pivot": (Zone(((7.5, 40), (7.5, 51.5), (6.5, 52.5), (0.3, 52.5)), PIVOT, 0.4), zinc),
        "arm": (arm_bar(), worn_paint),
        "arm eye": (eye(7.6, PIVOT), worn_paint),
        "spring left": (spring(-1.0), spring_steel),
        "spring right": (spring(1.0), spring_steel),
    }  # fmt: skip
    return {n: clad(seed, n, s, px, f) for n, (s, f) in shapes.items()}


def arm_bar() -> Shape:
    """The arm without its eye."""
    way = np.array(bow([(x, y, 0.0) for x, y in ARM], 120))[:, :2]
    return plank(*beside(way[np.hypot(*(way - PIVOT).T) > 11.0], 8.5, 8.5), (42.0, 48.0), 0.8)


def eye(bore: float, at: tuple[float, float]) -> Zone:
    """The arm's eye round its pivot."""
    return Zone(
        ((13.5, 41), (13.5, 47.4), (12.6, 48.2), (bore + 0.5, 48.2), (bore, 47.6), (bore, 39)), at, 0.35
    )


def spring(side: float) -> Rod:
    """A return spring, from the anchor to the shoe's web."""
    x = side * 92.0
    return Rod(coil((side * 10.0, 124.0, 44.0), (x, 84.0, 42.0), 5.2, 13, 0.2), 1.2, 0.4)


def hooks(seed: int) -> dict[str, Piece]:
    """Where the springs hold in the webs."""
    hole = plain((0.004, 0.004, 0.004), 1.0, 0.5)
    return {
        f"hook hole {i}": clad(seed, f"hook hole {i}", Zone(((3.2, 38.15), (0.2, 38.15)), at, 0.5), 4.0, hole)
        for i, at in enumerate(((92.0, 84.0), (-92.0, 84.0), (56.0, -108.0), (-56.0, -108.0)))
    }


def cable(seed: int, fine: dict[str, float]) -> dict[str, Piece]:
    """The adjuster's cable: from the anchor round its guide on the left shoe to the lever at the star wheel."""
    way = bow([(0.0, 112.0, 45.0), (-20.0, 100.0, 45.0), (-70.0, 62.0, 44.0), (-106.0, 34.0, 44.0), (-117.5, 18.0, 44.0), (-117.5, 2.0, 44.0),
               (-105.0, -18.0, 44.0), (-60.0, -72.0, 44.0), (-24.0, -104.0, 44.0)])  # fmt: skip
    px = fine.get("cable", 5.0)
    guide = Zone(((11, 38), (11, 40), (9, 41), (9, 47), (11, 48), (10.6, 49), (0.4, 49)), (-108.0, 10.0), 0.5)
    lever = plank(
        [(-36, -112), (-20, -104), (-2, -101)], [(-34, -96), (-20, -97), (-2, -99)], (40.0, 43.0), 0.5
    )
    eye = Zone(((15.5, 43.5), (15.5, 46.5), (14, 47), (12, 46.6)), (0.0, 117.0), 0.4)
    return {
        "cable": clad(seed, "cable", Rod(way, 1.4, 0.4), px, stranded),
        "cable guide": clad(seed, "cable guide", guide, px, zinc),
        "cable eye": clad(seed, "cable eye", eye, px, zinc),
        "lever": clad(seed, "lever", lever, px, zinc),
    }


def stranded(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Twisted steel wire."""
    coat = plain((0.30, 0.29, 0.27), 0.35, 0.3, 0.15)(dice, shape, px)
    phase = (coat.across / 6.0 + coat.along / coat.size_mm[1]) * 6 % 1
    return raised(coat, (-0.28 * np.abs(2 * phase - 1)).astype(np.float32))


def seized(work: Work, hard: int, dice: Dice) -> Work:
    """Rusted solid: star, screw and sleeve are one scaly lump, teeth filled, rust run down on the webs."""
    out = {}
    for name in ADJUSTER:
        coat = work.coat(name)
        filled = replace(coat, height=coat.height * (0.75 if name == "star" else 0.35))
        out[name.replace(" ", "_")] = crusted(dice, filled, 0.97, 0.20 + 0.12 * hard)
    return work.worn(**out, adjuster_spring=crusted(dice, work.coat("adjuster spring"), 0.7, 0.08))


def sprung(work: Work, hard: int, dice: Dice) -> Work:
    """The right return spring has snapped: one half hangs from the anchor, the other from the shoe."""
    del hard
    piece = work.pieces["spring right"]
    parts = {
        "spring right": coil((10.0, 124.0, 44.0), (52.0, 78.0, 50.0), 5.2, 8, 0.26),
        "spring right end": coil((92.0, 84.0, 42.0), (76.0, 42.0, 48.0), 5.2, 8, 0.26),
    }
    out = {}
    for name, way in parts.items():
        rod = Rod(way[: int(len(way) * 0.80)], 1.2, 0.4)
        out[name] = Piece(
            rod, crusted(dice, spring_steel(dice, rod.pixels(piece.coat.px), piece.coat.px), 0.35, 0.03)
        )
    return replace(work, pieces=work.pieces | out)


def pivot_worn(work: Work, hard: int, dice: Dice) -> Work:
    """The arm's eye is worn long: it hangs on its pin with a gap under it, bright inside, rust dust round it."""
    drop = 0.7 + 0.75 * hard
    at = PIVOT[0] + 0.3 * drop, PIVOT[1] - drop
    piece, pin = work.pieces["arm eye"], work.pieces["pivot"]
    ring = eye(7.6 + drop * 0.98, at)
    coat = piece.coat
    near = step(coat.across + clouds(dice, coat.shape, coat.px, [(0.5, 1, 3)]), 6.6, 7.8)
    rubbed = over(coat, 0.9 * near, np.array([0.46, 0.45, 0.43], np.float32), 0.15, 0.25)
    fret = step(
        np.abs(coat.across - 6.2 - clouds(dice, coat.shape, coat.px, [(1.2, 2, 3), (0.5, 0.5, 0.6)])),
        2.2,
        0.6,
    )
    dust = np.array([0.13, 0.045, 0.018], np.float32)
    shifted = Moved(work.pieces["arm"].zone, to=(0.3 * drop, -drop, 0.0))
    return work.having(
        arm_eye=Piece(ring, over(rubbed, 0.8 * fret, dust)),
        arm=replace(work.pieces["arm"], zone=shifted),
        pivot=replace(pin, coat=over(pin.coat, 0.5 * step(pin.coat.across, 10.0, 11.5), dust)),
    )


def cable_frayed(work: Work, hard: int, dice: Dice) -> Work:
    """Half of the cable's strands are broken: they stand out like a brush, the rest is rusty and thin."""
    piece = work.pieces["cable"]
    coat = piece.coat
    middle = np.array(piece.zone.path)  # type: ignore[attr-defined]  # a cable is a rod
    start = middle[int(np.argmin(np.hypot(middle[:, 0] + 46, middle[:, 1] - 80)))]
    far = float(
        np.linalg.norm(
            np.diff(middle[: int(np.argmin(np.hypot(middle[:, 0] + 46, middle[:, 1] - 80)))], axis=0), axis=1
        ).sum()
    )
    near = np.exp(-(((coat.across - far) / 9) ** 2)) * np.ones(coat.shape, np.float32)
    coat = raised(over(coat, 0.85 * step(near, 0.1, 0.5), OLD_RUST * 2), -0.65 * near)
    way = np.array([-0.79, -0.60, 0.0])
    loose = {}
    for i in range(16 + 4 * hard):
        towards = (
            way * (1 if i % 2 else -1) * float(dice.uniform(0.3, 1)) + dice.normal(0, 0.55, 3) + [0, 0, 0.3]
        )
        foot = start + way * float(dice.normal(0, 4))
        tip = foot + towards / np.linalg.norm(towards) * float(dice.uniform(9, 17))
        bend = (foot + tip) / 2 + dice.normal(0, 1.8, 3)
        rod = Rod(bow([tuple(foot), tuple(bend), tuple(tip)], 24), 0.36, 0.25)
        loose[f"strand {i}"] = clad(i, "strand", rod, 5.0, plain((0.34, 0.30, 0.26), 0.3, 0.3, 0.3))
    return replace(work, pieces=work.pieces | {"cable": replace(piece, coat=coat)} | loose)
