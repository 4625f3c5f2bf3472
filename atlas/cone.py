"""The inner bearing's cone with its rollers in a stamped cage, clean on the bench, standing on its large end.

Bore and width are from the table of bearings; rollers, ribs and cage are assumed to look like the usual ones.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.bearing import ROLLERS, dusky, ground
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
    rusty,
    soft,
    step,
    turned,
)
from atlas.drum import INNER_CUP, drum
from atlas.marks import film, pit_field
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Array, Bent, Moved, Place, Profile, Shape, Skin, Zone, about
from wheeltapper.reference.house import load

LEAN = np.radians(12.7)  # of a roller's axis to the cone's
FOOT, LONG = (31.7, 4.95), 16.0  # middle of a roller's large end: radius, height; and how long it is
LARGE, SMALL = 4.05, 3.5  # a roller's radius at its ends
OUT, HALF, BAR = (
    1.3,
    0.55,
    2.8,
)  # how far the cage lies outside the rollers' axes, half its thickness, width of a bar
BODY = (3.95, 19.3)  # where a roller's running side begins and ends along its coat, mm
KNOCK = np.radians(-76)  # where the cage has been hit


def cone(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: rollers and ribs evenly bright, cage straight."""
    d = drum("12 in", 6)
    size = next(b for b in load().bearings.values() if b.cup == INNER_CUP[d.size])
    pieces = {}
    for name, path in _ring(size.bore_m * 500, size.cone_width_m * 1000).items():
        pieces[name] = _piece(Zone(path, cell_mm=0.25), seed, name, fine.get(name, 8.0))
    for i in range(ROLLERS):
        pieces[f"roller {i}"] = _piece(roller(i), seed, f"roller {i}", fine.get("roller", 12.0))
    for name, shape in _cage().items():
        pieces[name] = _stamped(shape, seed, name, fine.get("cage", 8.0))
    return Work(d, pieces)


def _ring(bore: float, wide: float) -> dict[str, Profile]:
    return {
        "back rib": ((29.8, 0), (30.6, 0.8), (30.6, 3.9), (30.3, 4.5), (27.6, 3.9)),
        "race": ((27.7, 3.9), (24.7, 19.9)),
        "front rib": ((24.7, 19.9), (24.75, 20.4), (26.0, 20.7), (26.0, wide - 0.7), (25.3, wide)),
        "front face": ((25.3, wide), (bore + 1.0, wide), (bore, wide - 1.0)),
        "bore": ((bore, wide - 1.0), (bore, 0)),
    }


def _piece(shape: Shape, seed: int, name: str, px: float) -> Piece:
    dice = dice_of(seed, name)
    coat = turned(dice, shape.pixels(px), px, grey=0.42, wear=0.1)
    return Piece(shape, ground(dice, coat, 0.17 if name.startswith("roller") else 0.27))


def _stamped(shape: Shape, seed: int, name: str, px: float) -> Piece:
    """Sheet steel as it comes from the press, a little duller than what is ground."""
    dice = dice_of(seed, name)
    size = shape.pixels(px)
    tone = 0.30 * (1 + clouds(dice, size, px, [(0.10, 2, 3), (0.05, 0.4, 0.5)]))
    colour = np.clip(tone, 0.1, 0.6)[..., None] * np.array([1.0, 0.975, 0.93], np.float32)
    dent = clouds(dice, size, px, [(0.006, 0.5, 0.5)])
    coat = Coat(
        colour.astype(np.float32), np.full(size, 0.45, np.float32), np.full(size, 0.36, np.float32), dent, px
    )
    return Piece(shape, rusty(dice, coat, 0.03))


def turn_of(i: float) -> float:
    """Where a roller stands, radians; halves are the cage's bars."""
    return -np.pi / 2 + 2 * np.pi * i / ROLLERS


def roller(i: int, more: float = 0.0, skew: float = 0.0, out: float = 0.0) -> Shape:
    """A roller in its place, or leaning out and askew by so many degrees and moved out by so many mm."""
    path = ((0.2, 0.0), (SMALL, 0.0), (LARGE, 0.5), (SMALL, LONG - 0.4), (SMALL - 0.4, LONG), (0.2, LONG))
    lean = Moved(Zone(path, cell_mm=0.25), about((0, 1, 0), -np.degrees(LEAN) + more))
    askew = Moved(lean, about((1, 0, 0), skew), (FOOT[0] + out, 0, FOOT[1]))
    return Moved(askew, about((0, 0, 1), float(np.degrees(turn_of(i)))))


def at(s: float, off: float) -> tuple[float, float]:
    """Radius and height of a place of the cage: along from the rollers' large ends, and outwards."""
    way, away = (-np.sin(LEAN), np.cos(LEAN)), (np.cos(LEAN), np.sin(LEAN))
    return tuple(float(FOOT[k] + s * way[k] + (OUT + off) * away[k]) for k in (0, 1))  # type: ignore[return-value]  # two


def _cage() -> dict[str, Shape]:
    low = (at(-3.4, HALF), at(-0.4, HALF), at(-0.4, -HALF), at(-3.4, -HALF), at(-3.4, HALF))
    high = (at(16.2, HALF), at(18.2, HALF), (28.4, 24.0), (26.8, 24.1), (26.8, 23.3), (28.2, 23.0), at(16.2, -HALF),
            at(16.2, HALF))  # fmt: skip
    out: dict[str, Shape] = {
        "cage large ring": Zone(low, cell_mm=0.2),
        "cage small ring": Zone(high, cell_mm=0.2),
    }
    return out | {f"cage bar {i}": _bar(turn_of(i + 0.5)) for i in range(ROLLERS)}


def _bar(turn: float) -> Skin:
    corner = 0.35
    around = [(x, y) for x, y in (
        (HALF, -BAR / 2 + corner), (HALF, BAR / 2 - corner), (HALF - corner, BAR / 2), (-HALF + corner, BAR / 2),
        (-HALF, BAR / 2 - corner), (-HALF, -BAR / 2 + corner), (-HALF + corner, -BAR / 2), (HALF - corner, -BAR / 2),
        (HALF, -BAR / 2 + corner))]  # fmt: skip
    rows = []
    for s in np.linspace(-0.8, 16.6, 14):
        line: list[Place] = []
        for off, side in around:
            r, z = at(float(s), off)
            line.append(
                (
                    float(r * np.cos(turn) - side * np.sin(turn)),
                    float(r * np.sin(turn) + side * np.cos(turn)),
                    z,
                )
            )
        rows.append(tuple(line))
    return Skin(tuple(rows), cell_mm=0.25)


def rollers(work: Work) -> list[str]:
    """Names of the rollers."""
    return [name for name in work.pieces if name.startswith("roller")]


def _pushed(places: Array) -> Array:
    """A knock has bulged the cage: most at its small ring, least at its large one."""
    turn, r, z = (
        np.arctan2(places[..., 1], places[..., 0]),
        np.hypot(places[..., 0], places[..., 1]),
        places[..., 2],
    )
    away = (turn - KNOCK + np.pi) % (2 * np.pi) - np.pi
    near = np.exp(-((away / 0.30) ** 2))
    high = np.clip((z - 2) / 20, 0, 1.1)
    r = r + near * (0.8 + 3.8 * high) - 1.0 * np.exp(-(((np.abs(away) - 0.62) / 0.2) ** 2)) * high**3
    turn = turn + 0.05 * near * high
    return np.stack([r * np.cos(turn), r * np.sin(turn), z + near * (0.4 - 1.6 * high**3)], -1)


def cage_bent(work: Work, hard: int, dice: Dice) -> Work:
    """Knocked or pried: the cage bulges out, its rings are no longer round, rollers there hang loose and askew."""
    del hard
    out = {}
    for name, piece in work.pieces.items():
        if name.startswith("cage"):
            scuff = step(
                clouds(dice, piece.coat.shape, piece.coat.px, [(0.8, 0.5, 2.0), (0.5, 0.2, 0.5)]), 1.2, 1.7
            )
            bright = over(piece.coat, 0.7 * scuff, np.array([0.6, 0.59, 0.57], np.float32), 0.1, 0.25)
            out[name] = Piece(Bent(piece.zone, _pushed), bright if _hit(piece.zone) else piece.coat)
    for i in range(ROLLERS):
        away = (turn_of(i) - KNOCK + np.pi) % (2 * np.pi) - np.pi
        near = float(np.exp(-((away / 0.26) ** 2)))
        if near > 0.1:
            shape = roller(i, more=9.0 * near, skew=6.5 * near * (1 if i % 2 else -1), out=0.8 * near)
            out[f"roller {i}"] = Piece(shape, work.coat(f"roller {i}"))
    return replace(work, pieces=work.pieces | out)


def _hit(shape: Shape) -> bool:
    """Whether a bar of the cage stands where the knock fell."""
    places = shape.world(np.zeros((5, 5), np.float32)).reshape(-1, 3).mean(0)
    return bool(np.hypot(*places[:2]) > 5 and abs(np.arctan2(places[1], places[0]) - KNOCK) < 0.3)


def _band(coat: Coat, dice: Dice, from_large: bool, wide: float) -> Floats:
    """A ragged band at one end of a roller's running side."""
    edge = wide + clouds(dice, coat.shape, coat.px, [(0.30, 0.6, 2.5), (0.22, 0.3, 0.5)])
    far = coat.across - BODY[0] if from_large else BODY[1] - coat.across
    return step(far, edge + 0.2, edge - 0.2) * step(far, -0.6, -0.3)


def _frosted(work: Work, hard: int, dice: Dice, from_large: bool) -> Work:
    out = {}
    for name in rollers(work):
        coat = work.coat(name)
        band = _band(coat, dice, from_large, (3.2 if from_large else 2.6) + 0.8 * hard)
        grain = clouds(dice, coat.shape, coat.px, [(0.5, 0.15, 0.2), (0.5, 0.3, 1.5)])
        frost = np.array([0.14, 0.132, 0.12], np.float32) * np.clip(1 + 0.35 * grain, 0.4, 1.8)[..., None]
        worn = over(coat, 0.95 * band, frost, 0.92, 0.5)
        rim = np.clip(soft(band, 0.35, coat.px) * (1 - band) * 2.4, 0, 1)
        worn = over(worn, 0.5 * rim, np.array([0.75, 0.74, 0.72], np.float32), 0.05, 0.1)
        torn = step(grain + 0.6 * band, 1.5, 1.9) * band
        out[name.replace(" ", "_")] = cavities(
            raised(over(worn, 0.6 * torn, SOOT), -0.03 * soft(band, 0.3, coat.px) - 0.03 * torn), 0.4, 2.0
        )
    return work.worn(**out)


def large_end(work: Work, hard: int, dice: Dice) -> Work:
    """Set too tight: every roller frosted at its large end, the back rib scuffed with it."""
    rib = work.coat("back rib")
    scuff = step(clouds(dice, rib.shape, rib.px, [(0.7, 0.3, 6), (0.4, 0.2, 1)]), 0.0, 1.0)
    return _frosted(work.worn(back_rib=over(rib, 0.8 * scuff, SOOT, 0.8, 0.4)), hard, dice, True)


def small_end(work: Work, hard: int, dice: Dice) -> Work:
    """Set too loose: frosted at the small end, where the load has tipped onto the rollers' edges."""
    return _frosted(work, hard, dice, False)


def heat_tint(work: Work, hard: int, dice: Dice) -> Work:
    """Run hot: straw and brown, dusky blue at the large ends, in patches; the cage dull brown."""
    out = {}
    for name, piece in work.pieces.items():
        coat = piece.coat
        lay = clouds(
            dice, coat.shape, coat.px, [(0.045, 5, 9), (0.02, 1.2, 2.5), (0.01, 0.4, 0.6)]
        ) + dice.normal(0, 0.05)
        far = (
            np.clip((coat.across - BODY[0]) / (BODY[1] - BODY[0]), 0, 1) if name.startswith("roller") else 0.6
        )
        heat = np.clip(0.36 + 0.12 * hard - 0.42 * far + lay, 0, 1) * np.ones(coat.shape, np.float32)
        out[name.replace(" ", "_")] = dusky(coat, film(heat), 0.9 * step(heat, 0.02, 0.18))
    return work.worn(**out)


def flaked(work: Work, hard: int, dice: Dice) -> Work:
    """Pieces have come out of some rollers; the rest are dented by what came out."""
    out = {}
    for i, name in enumerate(rollers(work)):
        coat = work.coat(name)
        side = step(coat.across, BODY[0] + 0.5, BODY[0] + 1.5) * step(coat.across, BODY[1], BODY[1] - 1)
        gone = pit_field(dice, coat, 0.85 + 0.1 * hard if i % 3 == 0 else 0.35) * side
        coat = over(coat, gone, OLD_RUST * 0.9 + 0.04, 0.9)
        out[name.replace(" ", "_")] = cavities(raised(coat, -0.14 * soft(gone, 0.08, coat.px)), 0.4, 4.0)
    return work.worn(**out)
