"""A painted steel disc wheel's centre as it lies road side up: centre hole, coned stud holes, and what wears them.

Drawn as one flat sheet whose height makes holes and seats. All sizes but the circle are assumed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from atlas.coat import OLD_RUST, RUST, SOOT, Coat, Dice, Floats, cavities, clouds, over, raised, soft, step
from atlas.drum import drum
from atlas.marks import lines, walk
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Skin
from atlas.studs import BRIGHT

PAINT = np.array([0.50, 0.50, 0.475], np.float32)
COIN, SLOPE = (
    2.6,
    1.75,
)  # how high the metal round a hole is pressed up; how steep its seat is (a 60 degree cone)
DEEP = 26.0  # a hole goes down to the dark


@dataclass(frozen=True)
class Sheet:
    """Which piece of the wheel's centre is drawn: its corner and size."""

    left: float
    near: float
    wide: float
    high: float
    px: float


SHEETS = {8: Sheet(-112, -158, 224, 186, 6.0), 6: Sheet(-112, -146, 224, 150, 6.0)}


def hole_places(studs: int) -> list[tuple[float, float]]:
    """Where the holes are, two of them nearest the camera when their number is eight, else one."""
    d = drum("12 in", studs)
    first = -np.pi / 2 + (np.pi / 8 if studs == 8 else 0)
    turns = first + 2 * np.pi * np.arange(studs) / studs
    return [(float(d.circle * np.cos(t)), float(d.circle * np.sin(t))) for t in turns]


def sheet_places(work: Work) -> tuple[Floats, Floats]:
    """x and y of each place of the wheel's coat, mm."""
    coat, sheet = work.coat("wheel"), SHEETS[work.drum.studs]
    x, y = coat.along + sheet.left + sheet.wide / 2, coat.across + sheet.near
    return tuple(np.asarray(v, np.float32) for v in np.broadcast_arrays(x, y))  # type: ignore[return-value]  # two


def from_holes(x: Floats, y: Floats, studs: int, stretch: float = 0.0) -> Floats:
    """Distance from the nearest hole's middle; stretched holes are measured from a short line along the circle."""
    best = np.full(x.shape, 1e3, np.float32)
    for a, b in hole_places(studs):
        r = np.hypot(a, b)
        u, v = ((x - a) * -b + (y - b) * a) / r, ((x - a) * a + (y - b) * b) / r
        best = np.minimum(best, np.hypot(u - np.clip(u, -stretch, stretch), v))
    return best


def hole_radius(studs: int) -> float:
    """Of the straight part; assumed a little over the stud."""
    return drum("12 in", studs).stud + 1.1


def seat(away: Floats, studs: int, wide: float = 0.0) -> Floats:
    """Height round a hole: pressed up, coned in, straight down; `wide` is how much further the seat reaches out."""
    r = hole_radius(studs)
    up = COIN * step(away, r + 13, r + 5.5)
    cone = COIN - SLOPE * (r + 4.2 + wide - away)
    return np.asarray(np.where(away < r, -DEEP, np.minimum(up, cone)), np.float32)


def disc_height(x: Floats, y: Floats, pilot: float, circle: float) -> Floats:
    """Height of the disc itself: flat where the hub's face lies behind it, rolled at its centre, rising further out."""
    r = np.hypot(x, y)
    rise = 15.0 * step(r, circle + 17, circle + 62)
    roll = -1.5 * step(r, pilot + 3.5, pilot + 0.6)
    return np.asarray(np.where(r < pilot + 0.6, -DEEP, rise + roll), np.float32)


def wheel(seed: int, fine: dict[str, float], studs: int) -> Work:
    """The wheel's centre in use: paint whole, seats bright where the nuts sit."""
    del fine
    d, s = drum("12 in", studs), SHEETS[studs]
    far, right = s.near + s.high, s.left + s.wide
    skin = Skin((((s.left, s.near, 0), (right, s.near, 0)), ((s.left, far, 0), (right, far, 0))), 0.34)
    shape, dice = skin.pixels(s.px), dice_of(seed, "wheel")
    none = np.zeros(shape, np.float32)
    blank = Coat(np.zeros((*shape, 3), np.float32), none, none, none, s.px)
    work = Work(d, {"wheel": Piece(skin, blank)})
    x, y = sheet_places(work)
    coat = painted(dice, blank)
    coat = raised(coat, disc_height(x, y, d.pilot, d.circle))
    away = from_holes(x, y, studs)
    coat = raised(coat, seat(away, studs))
    return work.worn(wheel=dark_holes(bare_seats(grimy(coat, dice), away, studs, dice), x, y, away, studs))


eight = partial(wheel, studs=8)


def painted(dice: Dice, coat: Coat) -> Coat:
    """Old wheel paint: a little orange peel, a few chips down to brown."""
    tone = clouds(dice, coat.shape, coat.px, [(0.05, 30, 30), (0.03, 4, 4), (0.015, 0.6, 0.6)])
    chips = step(
        clouds(dice, coat.shape, coat.px, [(1.0, 1.0, 1.2), (0.6, 0.4, 0.4), (0.7, 18, 18)]), 3.0, 3.2
    )
    coat = replace(coat, colour=(PAINT * (1 + tone)[..., None]).astype(np.float32), dull=np.full(coat.shape, 0.86, np.float32),
                   rough=np.full(coat.shape, 0.25, np.float32), height=clouds(dice, coat.shape, coat.px, [(0.012, 1.1, 1.1)]))  # fmt: skip
    return raised(over(coat, chips, OLD_RUST * 1.4), -0.12 * chips)


def grimy(coat: Coat, dice: Dice) -> Coat:
    """Road dirt where a wash does not reach."""
    low = soft(coat.height, 4.0, coat.px) - coat.height
    lay = clouds(dice, coat.shape, coat.px, [(0.6, 10, 14), (0.5, 2, 3), (0.3, 0.5, 0.5)])
    share = np.clip(0.10 + 0.22 * step(lay, 0.0, 1.6) + 0.25 * step(low, 0.2, 1.2), 0, 0.6)
    return over(coat, share, np.array([0.085, 0.070, 0.052], np.float32), 1.0)


def bare_seats(coat: Coat, away: Floats, studs: int, dice: Dice) -> Coat:
    """Each seat rubbed bright by its nut, down the cone."""
    r = hole_radius(studs)
    bare = step(away, r + 4.5, r + 4.1) * step(away, r + 0.3, r + 0.6)
    fine = clouds(dice, coat.shape, coat.px, [(0.05, 0.3, 0.3), (0.08, 2, 2)])
    return over(coat, bare, np.array([0.40, 0.39, 0.37], np.float32) * (1 + fine)[..., None], 0.06, 0.24)


def dark_holes(coat: Coat, x: Floats, y: Floats, away: Floats, studs: int) -> Coat:
    """What lies down in the holes is dark."""
    r, pilot = hole_radius(studs), drum("12 in", studs).pilot
    hole = np.maximum(step(away, r + 0.6, r + 0.2), step(np.hypot(x, y), pilot + 1.0, pilot + 0.5))
    return over(coat, hole, SOOT * 0.8)


def oval_holes(work: Work, hard: int, dice: Dice) -> Work:
    """Holes hammered long by a loose wheel, their seats gone, edges rolled and bright, red-brown dust about."""
    del hard
    n, coat = work.drum.studs, work.coat("wheel")
    x, y = sheet_places(work)
    lay = clouds(dice, coat.shape, coat.px, [(0.6, 2, 2), (0.4, 0.6, 0.6)])
    was, now = from_holes(x, y, n), from_holes(x, y, n, 4.6) + 0.5 + 0.2 * lay
    r = hole_radius(n)
    coat = raised(coat, seat(now, n, -2.2) - seat(was, n))
    rim = step(now, r + 3.6, r + 2.4) * step(now, r - 0.2, r + 0.3)
    coat = raised(coat, rim * 0.20 * clouds(dice, coat.shape, coat.px, [(0.7, 0.5, 0.5), (0.5, 1.5, 1.5)]))
    coat = over(coat, 0.95 * rim, BRIGHT * (1.0 + 0.15 * lay)[..., None], 0.12, 0.2)
    dust = step(np.abs(now - r - 4.2) - 0.9 * lay, 2.4, 0.4)
    coat = over(coat, 0.93 * dust, OLD_RUST + 0.3 * (RUST - OLD_RUST))
    return work.worn(wheel=cavities(dark_holes(coat, x, y, now, n), 0.7, 0.8))


def seat_worn(work: Work, hard: int, dice: Dice) -> Work:
    """Seats pounded wide and stepped: a ledge, chatter across the cone, fretting red-brown in it."""
    del hard
    n, coat = work.drum.studs, work.coat("wheel")
    x, y = sheet_places(work)
    away, r = from_holes(x, y, n), hole_radius(n)
    lay = clouds(dice, coat.shape, coat.px, [(0.7, 1.6, 1.6), (0.4, 0.5, 0.5)])
    off = away + 0.12 * lay + 0.4 * clouds(dice, coat.shape, coat.px, [(1, 5, 5)])
    ledge = 1.7 * step(off, r + 7.2, r + 6.7) * step(off, r + 2.6, r + 3.0)
    lip = 0.6 * np.exp(-(((off - r - 7.9) / 0.6) ** 2))
    chatter = (
        0.16
        * clouds(dice, coat.shape, coat.px, [(0.7, 0.8, 0.8), (0.5, 0.35, 0.35)])
        * step(off, r + 7, r + 6)
        * step(off, r, r + 1)
    )
    coat = raised(coat, seat(off, n, 2.4) - seat(away, n) - ledge + lip + chatter)
    worn = step(off, r + 8.2, r + 7.7) * step(off, r + 0.3, r + 0.6)
    coat = over(coat, worn, BRIGHT * (0.95 + 0.15 * lay)[..., None], 0.10, 0.2)
    fret = worn * step(lay + 1.3 * np.exp(-(((off - r - 3.4) / 1.0) ** 2)), 0.9, 1.3)
    coat = over(coat, 0.88 * fret, OLD_RUST + 0.3 * (RUST - OLD_RUST))
    return work.worn(wheel=cavities(dark_holes(coat, x, y, away, n), 0.7, 1.0))


def cracked(work: Work, hard: int, dice: Dice) -> Work:
    """Cracks from hole to hole and outward, rust bleeding through the paint along them."""
    del hard
    n, coat, s = work.drum.studs, work.coat("wheel"), SHEETS[work.drum.studs]
    x, y = sheet_places(work)
    paths = []
    (a, b), (c, e) = sorted(hole_places(n), key=lambda p: p[1])[:2]
    r = hole_radius(n) + 0.5
    for start, towards, far, wide in (
        ((a, b), (c, e), 0.86, 0.75), ((a, b), (1.45 * a - 9, 1.5 * b), 0.80, 0.6), ((c, e), (1.7 * c + 6, 1.3 * e), 0.75, 0.5),
    ):  # fmt: skip
        way = float(np.arctan2(towards[0] - start[0], towards[1] - start[1]))
        whole = float(np.hypot(towards[0] - start[0], towards[1] - start[1]))
        first = start[0] + r * np.sin(way) - s.left - s.wide / 2, start[1] + r * np.cos(way) - s.near
        paths.append((walk(dice, first, far * (whole - r), way, 0.55), wide, 0.22))
    line = lines(coat, paths)
    lay = clouds(dice, coat.shape, coat.px, [(0.7, 1.2, 1.2), (0.5, 0.4, 0.4)])
    stain = step(soft(line, 1.1, coat.px) * (1 + 0.5 * lay), 0.04, 0.32)
    coat = over(over(coat, 0.8 * stain, RUST * 0.9), np.clip(1.5 * line, 0, 1), SOOT * 0.2, 1.0)
    return work.worn(wheel=dark_holes(raised(coat, -0.7 * line), x, y, from_holes(x, y, n), n))


def paint_at_seat(work: Work, hard: int, dice: Dice) -> Work:
    """Fresh paint over the seats, thick, with a run or two into the holes."""
    del hard
    n, coat = work.drum.studs, work.coat("wheel")
    x, y = sheet_places(work)
    away, r = from_holes(x, y, n), hole_radius(n)
    lay = clouds(dice, coat.shape, coat.px, [(0.6, 3, 3), (0.4, 0.8, 0.8)])
    gone = step(lay + 0.5 * step(away, r + 2.5, r + 1.0), 1.15, 1.3)  # flakes the nut has lifted
    wet = step(away + 1.0 * lay, r + 13, r + 11) * step(away, r + 0.2, r + 0.5) * (1 - gone)
    fresh = PAINT * 1.45 * (1 + 0.03 * lay)[..., None]
    coat = raised(over(coat, wet, fresh.astype(np.float32), 0.93, 0.1), wet * (0.30 + 0.12 * lay))
    return work.worn(wheel=dark_holes(coat, x, y, away, n))
