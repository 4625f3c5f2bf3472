"""A magnet face that reaches over the heads of the studs, thick when new and worn down to them. Face and heads: assumed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

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
    rings,
    rusty,
    soft,
    step,
    turned,
)
from atlas.drum import Drum, drum, inside
from atlas.parts import Piece, Work, coated, dice_of
from atlas.shape import Zone
from atlas.tint import tinted

FACE = 83.0, 122.0  # inner and outer radius
HIGH = 9.0  # of a new face
HEAD, HEAD_HIGH = 10.5, 4.0  # radius, and how far it stands above the floor's zero
STUDS = 8
FIRST_DEG = -9.0  # where the first stud stands, so that two are seen whole


def places(d: Drum) -> list[tuple[float, float]]:
    """Where the studs stand."""
    turn = np.radians(FIRST_DEG + np.arange(STUDS) * 360 / STUDS)
    return [(d.circle * float(np.cos(t)), d.circle * float(np.sin(t))) for t in turn]


def face_over_heads(seed: int, fine: dict[str, float]) -> Work:
    """A 12 in hub-drum with eight studs, their heads half under the magnet face."""
    d = drum("12 in", STUDS)
    low, high = FACE
    zones = inside(d) | {
        "web": Zone(((d.radius - 6, 0), (high + 1.5, 0)), cell_mm=0.7),
        "face edge": Zone(((high + 1.5, 0), (high, HIGH)), cell_mm=0.7),
        "magnet face": Zone(((high, HIGH), (low, HIGH)), cell_mm=0.35),
        "face inner edge": Zone(((low, HIGH), (low - 1.5, 1)), cell_mm=0.6),
        "floor": Zone(((low - 1.5, 1), (d.hub + 5, 1), (d.hub + 1.5, 2.5), (d.hub, 6)), cell_mm=0.7),
    }
    heads = {f"head {i}": _head(seed, i, at, fine.get("head", 6.0)) for i, at in enumerate(places(d))}
    return Work(d, coated(zones, fine, seed) | heads)


def _head(seed: int, number: int, at: tuple[float, float], px: float) -> Piece:
    """A round steel head, brown with age."""
    path = ((HEAD, 0.5), (HEAD, HEAD_HIGH - 0.7), (HEAD - 0.7, HEAD_HIGH), (0.05, HEAD_HIGH))
    zone = Zone(path, at, cell_mm=0.4)
    dice = dice_of(seed, f"head {number}")
    coat = turned(dice, zone.pixels(px), px, 0.16)
    return Piece(zone, rusty(dice, replace(coat, dull=np.clip(coat.dull + 0.2, 0, 1)), 0.55))


def _away(work: Work, coat: Coat) -> Floats:
    """Millimetres from the middle of the nearest stud, over the face."""
    turn = coat.along / coat.size_mm[1] * 2 * np.pi
    r = FACE[1] - coat.across
    x, y = r * np.cos(turn), r * np.sin(turn)
    return np.asarray(np.min([np.hypot(x - a, y - b) for a, b in places(work.drum)], axis=0), np.float32)


def thin(work: Work, hard: int, dice: Dice) -> Work:
    """Worn down to the heads: a lip left outside the track, the heads' round shape showing; or broken through to them."""
    coat = work.coat("magnet face")
    px, deep, broken = coat.px, HIGH - HEAD_HIGH - (1.1 if hard == 1 else 0.5), hard > 1
    track = step(coat.across + 0.15 * clouds(dice, (1, coat.shape[1]), px, [(1, 1, 30)]), 4.4, 5.0)
    away = _away(work, coat) + 0.55 * clouds(dice, coat.shape, px, [(0.6, 2.0, 3.5), (0.45, 0.5, 0.9)])
    over_head = step(away, HEAD + 0.9, HEAD - 0.9)
    bare = broken * step(away, 7.7, 7.4)
    outline = np.exp(-(((away - HEAD + 0.6) / 0.45) ** 2)) * (1 - broken) * track
    torn = np.clip(broken * step(away, 8.4, 8.2) - bare, 0, 1)
    coat = rusty(dice, coat, 0.66, 1 - track)
    grain = rings(dice, px, coat.shape[0], [(0.10, 0.5), (0.12, 1.4)])
    coat = replace(
        coat, colour=coat.colour * (1 - 0.12 * over_head - 0.3 * outline + grain * track)[..., None]
    )
    coat = tinted(coat, (0.34 if broken else 0.30) * soft(over_head, 1.2, px) * track, 0.6, 0.2)
    coat = _holed(dice, coat, bare, torn)
    heads = (0.12 if broken else 0.3) * soft(over_head, 0.5, px) * track
    lift = -deep * track + heads - 0.45 * bare - 0.8 * torn + 0.1 * grain * track
    worn = Zone(((FACE[0], HIGH - deep), (FACE[0] - 1.5, 1)), cell_mm=0.6)
    done = work.worn(magnet_face=cavities(raised(coat, lift), 1.2, 0.5))
    return done.having(face_inner_edge=Piece(worn, work.coat("face inner edge")))


def _holed(dice: Dice, coat: Coat, bare: Floats, torn: Floats) -> Coat:
    """Bare steel of the heads in holes with a torn, rusty edge."""
    px = coat.px
    streaks = clouds(dice, coat.shape, px, [(0.7, 0.3, 9), (0.5, 2, 2)])
    steel = np.array([0.17, 0.16, 0.15], np.float32) * (1 + 0.2 * streaks)[..., None]
    coat = over(over(coat, bare, steel, 0.25, 0.28), torn, SOOT * 0.5)
    return over(coat, 0.4 * np.clip(soft(torn, 0.6, px) * 1.6 - torn - bare, 0, 1), OLD_RUST * 1.5)
