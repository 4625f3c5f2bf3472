"""Wheel nuts on their studs, run down into a painted steel wheel's coned seats. Sizes assumed unless from the tables."""

from __future__ import annotations

from typing import Any

import numpy as np

from atlas.cap import capped
from atlas.coat import (
    OLD_RUST,
    RUST,
    SOOT,
    Coat,
    Dice,
    cavities,
    clouds,
    over,
    raised,
    soft,
    step,
)
from atlas.hexagon import FLATS, Rings, body, hexagon, plated
from atlas.marks import lines, walk
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Moved, about
from atlas.studs import BRIGHT, stud
from atlas.wheel import COIN, SLOPE, from_holes, hole_places, hole_radius, sheet_places, wheel

TALL = 15.5  # how high a nut stands
STUDS = 6
NUT = 0  # the nut that something happens to: the nearest


def coned(studs: int) -> Rings:
    """A nut with a 60 degree cone that sits down in the seat."""
    r = hole_radius(studs)
    rise = COIN - SLOPE * (r + 4.2 - FLATS)  # where its hexagon would meet the seat
    low = rise - SLOPE * (FLATS - r - 0.2)
    return ((r + 0.1, 99.0, low), (FLATS * 0.985, 99.0, rise - 0.2), *body(rise + 0.9, rise + TALL))


def set_down(skin: Any, at: tuple[float, float], turn_deg: float, high: float = 0.0) -> Moved:
    """A nut on its stud, its flats turned so far."""
    return Moved(skin, about((0, 0, 1), turn_deg), (at[0], at[1], high))


def nut(rings: Rings, at: tuple[float, float], turn_deg: float, dice: Dice, high: float = 0.0) -> Piece:
    """A nut in its good state."""
    skin, shape = hexagon(rings)
    return Piece(set_down(skin, at, turn_deg, high), plated(dice, shape, 9.0))


def nose(seed: int) -> dict[str, Piece]:
    """What of the hub and its cap stands out of the wheel's centre; the wheel is 5 mm thick."""
    seen = capped(seed, {"nose": 4.0, "nose end": 5.0, "pilot": 5.0}).pieces
    names = ("pilot", "shoulder", "nose", "nose end", "cap")
    return {n.replace(" ", "_"): Piece(Moved(seen[n].zone, to=(0.0, 0.0, -5.0)), seen[n].coat) for n in names}


def nutted(seed: int, fine: dict[str, float]) -> Work:
    """A wheel on its studs, all its nuts down."""
    work = wheel(seed, fine, STUDS)
    pieces = nose(seed)
    for i, at in enumerate(hole_places(STUDS)):
        if at[1] > 0:  # out of the picture
            continue
        dice = dice_of(seed, f"nut {i}")
        turn = float(dice.uniform(0, 60)) if i != NUT else 12.0
        pieces[f"nut {i}"] = nut(coned(STUDS), at, turn, dice)
        pieces[f"stud {i}"] = stud(work.drum, at, dice, long=TALL + 3.5)
    return work.having(**pieces)


def wrong_seat(work: Work, hard: int, dice: Dice) -> Work:
    """Flat nuts on coned seats: the nearest a plain hexagon that stands on the seat's edge with a gap under it, another flanged."""
    del hard
    near, beside = (hole_places(STUDS)[i] for i in (NUT, 1))
    flat = ((6.8, 99.0, 0.0), (FLATS * 0.99, 99.0, 0.0), (FLATS * 0.99, 99.0, 0.5), *body(0.7, TALL + 1))
    wide = 15.2
    flange = (
        (6.8, 99.0, 0.0),
        (wide, 99.0, 0.0),
        (wide, 99.0, 1.6),
        (FLATS * 1.2, 99.0, 3.2),
        *body(3.6, TALL + 1),
    )
    one = nut(flat, near, 12.0, dice, high=COIN - 0.1)
    two = nut(flange, beside, 40.0, dice, high=COIN)
    tilted = Moved(
        Moved(one.zone.shape, about((1, 0.4, 0), 4.0)), about((0, 0, 1), 12.0), (*near, COIN + 0.4)
    )  # type: ignore[attr-defined]  # it is moved
    return work.having(**{f"nut {NUT}": Piece(tilted, one.coat), "nut 1": two})


def damaged(work: Work, hard: int, dice: Dice) -> Work:
    """The nearest nut's corners wrung round by a loose socket, its side split, its steel swollen there."""
    del hard
    r = hole_radius(STUDS)
    rise = COIN - SLOPE * (r + 4.2 - FLATS)
    round_, top = FLATS * 1.045, rise + TALL
    rings: Rings = (
        (r + 0.1, 99.0, rise - SLOPE * (FLATS - r - 0.2)), (FLATS * 0.985, 99.0, rise - 0.2), (FLATS * 1.06, FLATS, rise + 0.9), (FLATS * 1.13, FLATS, rise + 2.5),
        (round_ + 0.3, FLATS, rise + 5), (round_, FLATS, top - 1.5), (FLATS * 0.99, FLATS, top - 0.3), (FLATS * 0.95, FLATS, top), (7.5, FLATS, top), (6.2, FLATS, top - 1.2), (5.9, FLATS, top - 4),
    )  # fmt: skip
    skin, shape = hexagon(rings)
    at = hole_places(STUDS)[NUT]
    return work.having(
        **{f"nut {NUT}": Piece(set_down(skin, at, 12.0), wrung(plated(dice, shape, 9.0), dice))}
    )


def wrung(coat: Coat, dice: Dice) -> Coat:
    """Smeared bright corners, and a split down one side."""
    long = coat.size_mm[1]
    u = ((coat.along / long + 0.5) * 6 + 0.5) % 1.0 - 0.5  # 0 at a corner
    smear = clouds(dice, coat.shape, coat.px, [(0.6, 0.4, 3), (0.5, 1.5, 2)])
    side = step(coat.across, 7.0, 8.5) * step(coat.across, 20.5, 19.5)
    worn = step(np.abs(u) + 0.07 * smear, 0.36, 0.22) * side
    coat = over(coat, 0.9 * worn, BRIGHT * (1 + 0.25 * smear)[..., None], 0.12, 0.2)
    coat = raised(coat, worn * (0.14 * smear - 0.1) + 0.25 * worn * step(np.abs(coat.across - 8), 1.2, 0.2))
    split = lines(coat, [(walk(dice, (0.17 * long, 6.0), 17.5, 0.05, 0.5), 0.6, 0.9)])
    coat = over(coat, 0.7 * step(soft(split, 0.7, coat.px), 0.03, 0.3), OLD_RUST)
    return raised(over(coat, np.clip(1.4 * split, 0, 1), SOOT * 0.3, 1.0), -0.9 * split)


def missing(work: Work, hard: int, dice: Dice) -> Work:
    """One nut gone: the bare stud in its seat, the seat gone brown."""
    del hard
    coat = work.coat("wheel")
    x, y = sheet_places(work)
    at = hole_places(STUDS)[NUT]
    near = step(np.hypot(x - at[0], y - at[1]), 15, 13)
    away, r = from_holes(x, y, STUDS), hole_radius(STUDS)
    lay = clouds(dice, coat.shape, coat.px, [(0.7, 2, 2), (0.5, 0.5, 0.5)])
    film = near * step(away, r + 0.5, r + 0.9) * step(away, r + 4.8, r + 4.2) * step(lay, -0.9, 0.6)
    return work.worn(wheel=over(coat, 0.7 * film, RUST)).without(f"nut {NUT}")


def rust_streaks(work: Work, hard: int, dice: Dice) -> Work:
    """Rust thrown outward from the seats of loose nuts, in streaks over the paint, a red-brown ring at each foot."""
    del hard
    coat, r = work.coat("wheel"), hole_radius(STUDS)
    x, y = sheet_places(work)
    share = np.zeros(coat.shape, np.float32)
    for a, b in hole_places(STUDS)[:2] + hole_places(STUDS)[-1:]:
        out = np.array([a, b]) / np.hypot(a, b)
        along, across = (x - a) * out[0] + (y - b) * out[1], (x - a) * -out[1] + (y - b) * out[0]
        for _ in range(13):
            off, wide, far = (
                float(v) for v in (dice.normal(0, 4.6), dice.uniform(0.5, 1.7), dice.uniform(26, 66))
            )
            bow = off * (1 + 0.012 * along) + 0.0022 * float(dice.normal(0, 1)) * along**2
            tail = step(along, far, 0.25 * far) * step(along, 2, 7)
            share = np.maximum(
                share, float(dice.uniform(0.5, 1.0)) * np.exp(-(((across - bow) / wide) ** 2)) * tail
            )
        ring = step(np.abs(np.hypot(x - a, y - b) - r - 4.0), 3.0, 0.6)
        share = np.maximum(share, 0.95 * ring)
    lay = clouds(dice, coat.shape, coat.px, [(0.5, 1.5, 1.5), (0.5, 0.4, 0.4)])
    share = np.clip(share * (1.1 + 0.35 * lay), 0, 0.95)
    tone = RUST * 1.15 + step(lay, 0.0, 1.5)[..., None] * (OLD_RUST - RUST)
    return work.worn(wheel=cavities(over(coat, share, tone.astype(np.float32)), 0.8, 0.5))
