"""An axle's spindle standing out of its brake flange, wiped clean, and what can be wrong with it.

Bearing seats and seal land are as wide as their bearings and seal; lengths, taper and flange are assumed.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.bearing import dusky
from atlas.coat import (
    OLD_RUST,
    SOOT,
    Coat,
    Dice,
    Floats,
    cast,
    cavities,
    clouds,
    over,
    raised,
    rings,
    rusty,
    soft,
    step,
    turned,
)
from atlas.drum import INNER_CUP, OUTER_CUP, drum
from atlas.marks import film, lines, walk
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Array, Bent, Moved, Profile, Rod, Shape, Zone, about
from wheeltapper.reference.house import load

LAND = 28.6  # radius of the seal land, for a seal on 2 1/4 in; assumed
PITCH = 25.4 / 14  # of the thread; assumed
LYING = about((0, 1, 0), 90.0)  # its axis, upwards in its own frame, comes to lie along x
FACING = np.radians(-30.0)  # the line of a lying zone that faces the camera: up from level
GROUND = {"inner seat", "outer seat", "seal land"}


def spindle(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: seats and land bright, thread whole, straight, colour of steel."""
    d = drum("12 in", 6)
    bores = {b.cup: b.bore_m * 500 for b in load().bearings.values()}
    pieces = {}
    for name, path in _paths(bores[INNER_CUP[d.size]], bores[OUTER_CUP[d.size]]).items():
        zone = Zone(path, cell_mm=0.3 if name in GROUND or name.startswith("thread") else 0.5)
        dice, px = dice_of(seed, name), fine.get(name, 3.0)
        pieces[name] = Piece(_laid(zone), _coat(name, dice, zone.pixels(px), px))
    return Work(d, pieces)


def _laid(zone: Shape) -> Shape:
    """Lying, and turned so that its seam is at the back."""
    return Moved(Moved(zone, about((0, 0, 1), -90.0)), LYING)


def _paths(inner: float, outer: float) -> dict[str, Profile]:
    t = 12.7  # of the thread, 1 in
    return {
        "tube": ((38, -140), (38, -9)),
        "flange back": ((38, -9), (66, -9)),
        "flange edge": ((66, -9), (67, -8), (67, -1), (66, 0)),
        "flange": ((66, 0), (34, 0)),
        "weld": ((37, 0.2), (35.5, 2.6), (32.5, 4.0), (30.2, 6.5)),
        "root": ((30.2, 6.5), (29.8, 9), (LAND, 9.8)),
        "seal land": ((LAND, 9.8), (LAND, 24.4)),
        "shoulder": (
            (LAND, 24.4),
            (LAND - 0.6, 25.0),
            (inner + 1.2, 25.0),
            (inner + 0.4, 25.4),
            (inner, 26.2),
        ),
        "inner seat": ((inner, 26.2), (inner, 53.4)),
        "taper": ((inner, 53.4), (inner - 0.8, 54.2), (outer + 1.4, 92.0), (outer + 0.1, 93.6)),
        "outer seat": ((outer, 93.6), (outer, 116.5)),
        "neck": ((outer, 116.5), (outer - 0.6, 117.2), (t + 0.3, 117.2), (t - 1.0, 118.4), (t - 1.0, 120.4)),
        "thread": ((t, 120.4), (t, 147.0)),
        "tip": ((t, 147.0), (t - 1.8, 149.0), (0.3, 149.0)),
    }


def _coat(name: str, dice: Dice, size: tuple[int, int], px: float) -> Coat:
    if name in {"tube", "flange back", "flange edge", "flange", "weld"}:
        coat = cast(dice, size, px, 0.45)
        coat = replace(coat, height=coat.height * (1.0 if name == "weld" else 0.25))
        return _holes(coat) if name == "flange" else coat
    coat = turned(dice, size, px, grey=0.40 if name in GROUND else 0.30, wear=0.3)
    if name in GROUND:
        return _seat(dice, coat)
    if name == "thread":
        return _threaded(dice, coat)
    return rusty(dice, replace(coat, colour=coat.colour * 0.8), 0.12)


def _seat(dice: Dice, coat: Coat) -> Coat:
    """Ground, even, bright."""
    tone = 1.25 * (
        1
        + 0.02 * rings(dice, coat.px, coat.shape[0], [(1, 0.2), (1, 1)])
        + clouds(dice, coat.shape, coat.px, [(0.025, 4, 8)])
    )
    return replace(
        coat,
        colour=np.clip(coat.colour * tone[..., None], 0, 0.75),
        dull=coat.dull * 0.55,
        height=coat.height * 0.3,
    )


def _holes(coat: Coat) -> Coat:
    """Five holes for the brake's bolts."""
    turn, r = coat.along / coat.size_mm[1] * 2 * np.pi, 66 - coat.across
    x, y = r * np.cos(turn), r * np.sin(turn)
    away = np.min(
        [np.hypot(x - 51 * np.cos(a), y - 51 * np.sin(a)) for a in 0.3 + 2 * np.pi * np.arange(5) / 5], axis=0
    )
    hole = step(away, 5.9, 5.5)
    return raised(over(coat, hole, SOOT * 0.25), -5.0 * hole)


def _groove(coat: Coat, dice: Dice) -> Floats:
    """Height of a whole thread, its crests a little flat."""
    turn = coat.along / coat.size_mm[1]
    phase = (coat.across / PITCH - turn) % 1.0
    del dice
    cut = step(coat.across, 0.2, 1.2) * step(coat.across, coat.size_mm[0], coat.size_mm[0] - 0.6)
    return np.asarray(-1.1 * np.clip(1.15 * np.abs(2 * phase - 1) - 0.12, 0, 1) * cut, np.float32)


def _pin_hole(coat: Coat) -> Coat:
    """Through the end of the thread, for the cotter pin; seen from the camera's side."""
    half, long = coat.size_mm[1] / 2, coat.size_mm[1]
    x = (coat.along + 0.08 * long + half) % half
    away = np.hypot(np.minimum(x, half - x), coat.across - (coat.size_mm[0] - 6.0))
    hole, rim = step(away, 2.5, 2.2), step(away, 3.4, 2.6)
    coat = replace(coat, height=coat.height * (1 - 0.7 * rim))
    return raised(over(coat, hole, SOOT * 0.3), -3.0 * hole)


def _threaded(dice: Dice, coat: Coat) -> Coat:
    coat = cavities(
        raised(replace(coat, height=coat.height * 0.2), soft(_groove(coat, dice), 0.06, coat.px)), 0.7, 2.0
    )
    return _pin_hole(rusty(dice, coat, 0.05))


def _from_camera(coat: Coat) -> Floats:
    """Radians from the line that faces the camera, (1, cols)."""
    return (coat.along / coat.size_mm[1] * 2 * np.pi - FACING + np.pi) % (2 * np.pi) - np.pi


def cracked(work: Work, hard: int, dice: Dice) -> Work:
    """A crack round the foot of the inner seat, where it meets its shoulder; rust bleeds out of it."""
    out = {}
    seat = work.coat("inner seat")
    scale = seat.size_mm[1] / (2 * np.pi)
    length = (1.1 + 0.25 * hard) * scale
    path = walk(dice, (FACING * scale - length / 2, 2.4), length, np.pi / 2, 0.55)
    path[:, 1] = 2.6 + 0.35 * (path[:, 1] - path[:, 1].mean())
    branch = walk(dice, (float(path[len(path) // 2, 0]), float(path[len(path) // 2, 1])), 6.0, 0.9, 0.7)
    crack = np.clip(lines(seat, [(path, 0.42, 0.16), (branch, 0.26, 0.1)]), 0, 1)
    bleed = np.clip(4.5 * soft(crack, 1.1, seat.px), 0, 1) * (
        0.6 + 0.4 * step(clouds(dice, seat.shape, seat.px, [(1, 0.8, 1.4)]), -0.5, 0.8)
    )
    seat = over(seat, 0.75 * bleed, OLD_RUST * 1.8, 0.9)
    out["inner_seat"] = raised(over(seat, crack, SOOT * 0.3), -0.5 * crack)
    return work.worn(**out)


def blue(work: Work, hard: int, dice: Dice) -> Work:
    """A bearing has run dry on it: dusky blue at the seats, brown and straw further off, smeared metal."""
    out = {}
    hot = {
        "inner seat": 0.62,
        "outer seat": 0.34,
        "shoulder": 0.55,
        "taper": 0.30,
        "seal land": 0.28,
        "neck": 0.26,
    }
    for name, heat in hot.items():
        coat = work.coat(name)
        far = coat.across / coat.size_mm[0]
        fall = -0.45 * far if name == "taper" else (0.34 * (far - 1) if name == "seal land" else 0.0)
        lay = clouds(dice, coat.shape, coat.px, [(0.06, 4, 9), (0.05, 1.2, 4), (0.02, 0.4, 1)])
        spread = np.clip(heat + 0.05 * hard + (0.30 if name == "taper" else 0) + fall + lay, 0, 1) * np.ones(
            coat.shape, np.float32
        )
        coat = dusky(coat, film(spread), 0.92 * step(spread, 0.02, 0.2))
        if name == "inner seat":
            smear = step(clouds(dice, coat.shape, coat.px, [(0.7, 0.5, 12), (0.6, 1.4, 7)]), 0.9, 1.6)
            coat = raised(over(coat, 0.75 * smear, SOOT, 0.6), 0.10 * smear)
        out[name.replace(" ", "_")] = coat
    return work.worn(**out)


def stepped(work: Work, hard: int, dice: Dice) -> Work:
    """The cone has turned on its seat: worn in under it, scored all round, a step left at the end."""
    coat = work.coat("inner seat")
    far = coat.size_mm[0]
    edge = far - 6.0 + 0.12 * clouds(dice, (1, coat.shape[1]), coat.px, [(1, 1, 20)])
    worn = step(coat.across, 0.3, 0.6) * step(coat.across, edge + 0.12, edge - 0.12)
    score = rings(dice, coat.px, coat.shape[0], [(0.06, 0.25), (0.07, 0.7), (0.05, 2.2)])
    tone = np.clip(
        0.72 + 2.2 * score + clouds(dice, coat.shape, coat.px, [(0.06, 0.3, 9), (0.05, 2, 14)]), 0.25, 1.3
    )
    coat = replace(
        coat, colour=coat.colour * (1 + worn * (tone - 1))[..., None], rough=coat.rough * (1 - 0.4 * worn)
    )
    coat = raised(coat, worn * (-(0.35 + 0.30 * hard) + score))
    wall = np.exp(-(((coat.across - edge) / 0.28) ** 2)).astype(np.float32)
    coat = over(coat, 0.85 * wall, SOOT, 0.8)
    lip = np.exp(-(((coat.across - edge - 0.6) / 0.3) ** 2)).astype(np.float32)
    return work.worn(inner_seat=over(coat, 0.8 * lip, np.array([0.75, 0.74, 0.72], np.float32), 0.1, 0.15))


def stripped(work: Work, hard: int, dice: Dice) -> Work:
    """Half the thread pulled off: flat and smeared where ridges were, a sliver of it hanging."""
    old = work.coat("thread")
    far = old.size_mm[0]
    field = clouds(dice, old.shape, old.px, [(0.8, 2.0, 9), (0.5, 0.6, 4)])
    gone = step(np.abs(old.across - 0.45 * far) / (0.42 * far) - 0.10 * field, 1.0, 0.82) * np.ones(
        old.shape, np.float32
    )
    smear = soft(clouds(dice, old.shape, old.px, [(0.5, 0.3, 7), (0.5, 0.7, 3)]), 0.08, old.px)
    cut = np.minimum(old.height, -0.48 - 0.1 * hard) * 0.75 - 0.12 + 0.07 * hard * smear
    coat = replace(old, height=(old.height + gone * (cut - old.height)).astype(np.float32))
    bright = np.array([0.5, 0.49, 0.47], np.float32) * np.clip(1 + 0.25 * smear, 0.4, 1.3)[..., None]
    coat = over(coat, 0.85 * gone, bright.astype(np.float32), 0.3, 0.33)
    torn = step(smear, 0.7, 1.3) * gone
    coat = _pin_hole(cavities(over(coat, 0.6 * torn, SOOT), 0.6, 2.2))
    return work.worn(thread=coat).having(sliver=_sliver(dice))


def _sliver(dice: Dice) -> Piece:
    """A length of a ridge that has been peeled off and hangs below."""
    t = np.linspace(0, 1, 120)
    turn, r = np.radians(150 + 165 * t), 11.8 + 12 * t**2
    path = np.column_stack([128 + 1.8 * t + 7 * t**3, r * np.cos(turn), r * np.sin(turn)])
    rod = Rod(tuple((float(x), float(y), float(z)) for x, y, z in path), 0.5, cell_mm=0.12)
    coat = turned(dice, rod.pixels(20.0), 20.0, grey=0.5, wear=0.2)
    burr = clouds(dice, coat.shape, coat.px, [(0.06, 3.0, 0.9), (0.02, 0.4, 0.3)])
    return Piece(rod, raised(replace(coat, dull=coat.dull * 0.7), burr))


def _bow(places: Array) -> Array:
    """Bent up from its foot on, as a curb does it."""
    x, z = places[..., 0], places[..., 2]
    far = np.clip(x - 12, 0, None)
    lean = np.radians(9.5) * np.clip(far / 26, 0, 1)
    bent = np.where(far < 26, 12 + far, 38 + (far - 26) * np.cos(lean))
    rise = np.where(far < 26, np.radians(9.5) * far**2 / 52, np.radians(9.5) * 13 + (far - 26) * np.sin(lean))
    out = np.where(x < 12, x, bent) - np.sin(lean) * z
    return np.stack([out, places[..., 1], rise + np.cos(lean) * z], -1)


def bent(work: Work, hard: int, dice: Dice) -> Work:
    """No longer square to its flange."""
    del hard, dice
    still = {"tube", "flange back", "flange edge", "flange"}
    return replace(
        work,
        pieces={k: p if k in still else replace(p, zone=Bent(p.zone, _bow)) for k, p in work.pieces.items()},
    )


def punched(work: Work, hard: int, dice: Dice) -> Work:
    """Rows of punch marks on the inner seat, their rims raised, to make a loose cone feel tight."""
    coat = work.coat("inner seat")
    far, long = coat.size_mm
    depth = np.zeros(coat.shape, np.float32)
    for n, row in enumerate(np.linspace(0.14, 0.86, 4)):
        for x in np.arange(-long / 2 + 3, long / 2 - 2, 6.2):
            u = coat.along - x - 3.1 * (n % 2) - dice.normal(0, 0.5)
            away, size = np.hypot(u, coat.across - row * far - dice.normal(0, 0.5)), dice.uniform(1.0, 1.35)
            depth += 0.10 * hard * np.exp(-(((away - 1.3 * size) / 0.4) ** 2)) - 1.1 * np.clip(
                1 - away / size, 0, None
            )
    tone = 1 + 0.35 * step(depth, 0.08, 0.25) - 0.75 * step(depth, -0.1, -0.6)
    rubbed = replace(coat, colour=(coat.colour * tone[..., None]).astype(np.float32))
    return work.worn(inner_seat=raised(rubbed, depth))


def land_line(work: Work, hard: int, dice: Dice) -> Work:
    """The seal's lip has left a polished line round its land; nothing is felt with the nail."""
    del hard
    coat = work.coat("seal land")
    mid = 0.55 * coat.size_mm[0] + 0.10 * clouds(dice, (1, coat.shape[1]), coat.px, [(1, 1, 30)])
    away = coat.across - mid
    line = np.exp(-((away / 0.75) ** 4)).astype(np.float32)
    stain = np.exp(-(((np.abs(away) - 1.15) / 0.4) ** 2)).astype(np.float32)
    coat = over(coat, 0.55 * stain, np.array([0.10, 0.07, 0.045], np.float32), 0.6)
    return work.worn(seal_land=over(coat, 0.95 * line, np.array([0.80, 0.79, 0.77], np.float32), 0.05, 0.10))
