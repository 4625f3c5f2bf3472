"""A plain disc rotor on the bench, friction face up, and what it looks like gone bad. All its sizes are assumed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import OLD_RUST, SOOT, Dice, cast, clouds, over, raised, rings, rusty, soft, step, turned
from atlas.drum import drum
from atlas.marks import film, lines, pit_field, walk
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Profile, Zone

OUTER, INNER, THICK, HAT = 127.0, 84.0, 20.0, 34.0  # mm


def rotor(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: an even grey face, rust only where no pad runs."""
    paths: dict[str, Profile] = {
        "edge": ((OUTER, 0), (OUTER, THICK - 1)),
        "corner": ((OUTER, THICK - 1), (OUTER - 1, THICK)),
        "face": ((OUTER - 1, THICK), (INNER, THICK)),
        "root": ((INNER, THICK), (INNER - 1, THICK - 1.5), (INNER - 4, THICK - 1.5)),
        "hat wall": ((INNER - 4, THICK - 1.5), (INNER - 6, THICK + HAT - 3), (INNER - 9, THICK + HAT)),
        "hat": ((INNER - 9, THICK + HAT), (48, THICK + HAT)),
        "hat bore": ((48, THICK + HAT), (48, 0)),
    }
    pieces = {}
    for name, path in paths.items():
        zone, dice = Zone(path, cell_mm=0.4), dice_of(seed, name)
        px = fine.get(name, 3.0)
        shape = zone.pixels(px)
        coat = turned(dice, shape, px) if name in {"face", "corner", "hat"} else cast(dice, shape, px, 0.55)
        if name == "face":
            edge = 0.6 * clouds(dice, shape, px, [(0.6, 2, 25)])
            idle = 1 - step(coat.across + edge, 1.0, 2.2) * step(coat.across + edge, 41.0, 39.5)
            coat = rusty(dice, replace(coat, colour=coat.colour * 1.05), 0.7, idle)
        pieces[name] = Piece(zone, rusty(dice, coat, 0.3) if name == "hat" else coat)
    return Work(drum("12 in", 6), pieces)


def crack(work: Work, hard: int, dice: Dice) -> Work:
    """A dark line from the outer edge inwards, down over the edge."""
    face, corner, edge = (work.coat(n) for n in ("face", "corner", "edge"))
    side = -np.pi / 2 * OUTER  # towards the camera
    before = edge.size_mm[0] + corner.size_mm[0]
    whole = walk(dice, (side, 4.0), before + 12.0 * hard, 0.12, 0.8)
    out, start = {}, 0.0
    for name, coat in (("edge", edge), ("corner", corner), ("face", face)):
        wider = coat.size_mm[1] / edge.size_mm[1]
        mine = whole * np.array([wider, 1], np.float32) - np.array([0, start], np.float32)
        dark = lines(coat, [(mine, 0.34, 0.1)])
        bled = over(coat, np.clip(soft(dark, 0.8, coat.px) * 2.0, 0, 0.45), OLD_RUST)
        out[name] = raised(over(bled, np.clip(1.6 * dark, 0, 1), SOOT * 0.3), -0.3 * dark)
        start += coat.size_mm[0]
    return work.worn(**out)


def pits(work: Work, hard: int, dice: Dice) -> Work:
    """Rust has eaten holes that no scuffing takes out."""
    coat = work.coat("face")
    deep = pit_field(dice, coat, 0.40 + 0.16 * hard)
    coat = rusty(dice, over(coat, np.clip(soft(deep, 1.0, coat.px) * 1.6, 0, 0.7), OLD_RUST), 0.32)
    return work.worn(face=raised(over(coat, 0.95 * deep, OLD_RUST * 0.55), -0.4 * hard * deep))


def blue(work: Work, hard: int, dice: Dice) -> Work:
    """Heat colours round the face, bluest in its middle, in spots where the pads gripped."""
    coat = work.coat("face")
    far = coat.size_mm[0]
    hot = np.exp(-(((coat.across - far * 0.45) / 14) ** 2)) * np.ones(coat.shape, np.float32)
    lay = clouds(dice, coat.shape, coat.px, [(0.16, 10, 26), (0.05, 2, 14)])
    lay = lay + 0.03 * rings(dice, coat.px, coat.shape[0], [(1, 0.7)])
    heat = np.clip(hot * (0.34 + 0.18 * hard) + lay * (0.3 + hot), 0, 1)
    shown = step(heat, 0.02, 0.16)
    tint = film(heat) * (0.8 + coat.colour)
    return work.worn(face=replace(coat, colour=coat.colour + shown[..., None] * (tint - coat.colour)))
