"""A plain disc rotor on the bench, friction face up, and what it looks like gone bad. All its sizes are assumed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import (
    OLD_RUST,
    RUST,
    SOOT,
    Coat,
    Dice,
    cast,
    clouds,
    over,
    raised,
    rings,
    rusty,
    soft,
    step,
    turned,
)
from atlas.drum import drum
from atlas.marks import check_lines, film, lines, pit_field, walk
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Profile, Zone

OUTER, INNER, THICK, HAT, BORE = 127.0, 84.0, 20.0, 34.0, 41.0  # mm
HOLES, CIRCLE, HOLE = 5, 57.15, 7.0  # five on 4 1/2 in; radius of a hole assumed
MACHINED = {"face", "corner", "hat", "bore edge", "hat bore"}


def rotor(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: an even grey face, rust only where no pad runs."""
    top = THICK + HAT
    paths: dict[str, Profile] = {
        "edge": ((OUTER, 0), (OUTER, THICK - 1)),
        "corner": ((OUTER, THICK - 1), (OUTER - 1, THICK)),
        "face": ((OUTER - 1, THICK), (INNER, THICK)),
        "root": ((INNER, THICK), (INNER - 1, THICK - 1.5), (INNER - 4, THICK - 1.5)),
        "hat wall": ((INNER - 4, THICK - 1.5), (INNER - 6, top - 3), (INNER - 9, top)),
        "hat": ((INNER - 9, top), (BORE + 1.5, top)),
        "bore edge": ((BORE + 1.5, top), (BORE, top - 1.5)),
        "hat bore": ((BORE, top - 1.5), (BORE, top - 12)),
    }
    pieces = {}
    for name, path in paths.items():
        zone, dice = Zone(path, cell_mm=0.4), dice_of(seed, name)
        px = fine.get(name, 3.0)
        shape = zone.pixels(px)
        coat = turned(dice, shape, px) if name in MACHINED else cast(dice, shape, px, 0.42)
        if name == "face":
            edge = 0.6 * clouds(dice, shape, px, [(0.6, 2, 25)])
            idle = 1 - step(coat.across + edge, 1.0, 2.2) * step(coat.across + edge, 41.0, 39.5)
            coat = rusty(dice, replace(coat, colour=coat.colour * 0.92), 0.7, idle)
        pieces[name] = Piece(zone, holed(rusty(dice, coat, 0.28)) if name == "hat" else coat)
    return Work(drum("10 in", 5), pieces)


def holed(coat: Coat) -> Coat:
    """The hat's face with its stud holes."""
    far, turn = INNER - 9 - coat.across, coat.along / coat.size_mm[1] * 2 * np.pi
    away = np.full(coat.shape, 99.0, np.float32)
    for i in range(HOLES):
        at = -np.pi / 2 + 2 * np.pi * i / HOLES
        away = np.minimum(
            away, np.hypot(far * np.cos(turn) - CIRCLE * np.cos(at), far * np.sin(turn) - CIRCLE * np.sin(at))
        )
    hole, rim = step(away, HOLE + 0.15, HOLE - 0.15), step(away, HOLE + 1.2, HOLE + 0.8)
    coat = over(coat, 0.8 * rim, np.array([0.30, 0.29, 0.28], np.float32), 0.3, 0.3)
    return raised(over(coat, hole, OLD_RUST * 0.5), -9.0 * hole - 0.6 * (rim - hole) * (HOLE + 1.2 - away))


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
        dark = lines(coat, [(mine, 0.5, 0.16)])
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
    """Heat colours round the face, bluest in its middle and where the pads gripped, grey iron showing through."""
    coat = work.coat("face")
    far = coat.size_mm[0]
    hot = np.exp(-(((coat.across - far * 0.45) / 13) ** 2)) * np.ones(coat.shape, np.float32)
    lay = clouds(dice, coat.shape, coat.px, [(0.20, 9, 30), (0.06, 2, 14)])
    lay = lay + 0.04 * rings(dice, coat.px, coat.shape[0], [(1, 0.7)])
    heat = np.clip(hot * (0.24 + 0.15 * hard) + lay * (0.3 + hot), 0, 0.86)
    shown = 0.5 * step(heat, 0.02, 0.3)
    tint = film(heat) * (0.75 + coat.colour)
    return work.worn(face=replace(coat, colour=coat.colour + shown[..., None] * (tint - coat.colour)))


def heat_lines(work: Work, hard: int, dice: Dice) -> Work:
    """Fine short lines from the heat, most of them across the way of the pads, none to an edge, a straw tint between."""
    coat = work.coat("face")
    long, far = coat.size_mm[1], coat.size_mm[0]
    seen = -long / 4  # the camera's side
    fine = check_lines(dice, coat, (seen - 120, seen + 120), (5.0, far - 6.0), 5.5 * hard, 7.0, 2.3)
    tint = np.exp(-(((coat.across - far * 0.5) / 13) ** 2)) * (
        0.5 + 0.25 * clouds(dice, coat.shape, coat.px, [(1, 6, 24)])
    )
    coat = over(coat, 0.5 * tint, coat.colour * np.array([0.80, 0.68, 0.50], np.float32), 0.45, 0.34)
    return work.worn(face=raised(over(coat, 0.9 * fine, SOOT), -0.05 * fine))


def film_of_rust(work: Work, hard: int, dice: Dice) -> Work:
    """A thin even rust from standing; a strip rubbed with a pad is bright iron again, no pit under it."""
    coat = work.coat("face")
    turn = coat.along / coat.size_mm[1] * 360 + 90
    edge = clouds(dice, coat.shape, coat.px, [(1.2, 1, 5), (0.8, 0.3, 9)])
    rubbed = (
        step(np.abs(turn - 14) + edge, 12.0, 9.0)
        * step(coat.across + edge, 6.0, 9.0)
        * step(coat.across + edge, 38.0, 35.0)
    )
    grain = clouds(dice, coat.shape, coat.px, [(0.5, 5, 20), (0.4, 0.6, 0.9), (0.35, 0.2, 0.25)])
    lay = np.clip(0.80 + 0.14 * grain, 0, 0.97) * (1 - 0.93 * rubbed)
    tone = np.clip(1.05 + 0.4 * grain, 0.4, 2)[..., None]
    del hard
    return work.worn(face=over(coat, lay, (RUST * tone).astype(np.float32)))
