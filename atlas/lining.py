"""A brake shoe's lining seen from outside, one edge up, and what it looks like gone bad. The shoe's ends are out of view.

Radius and width follow the drum of the tables; thicknesses of lining, table and web are assumed.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from atlas.coat import OLD_RUST, SOOT, Coat, Dice, cast, cavities, cloud, clouds, over, raised, soft, step
from atlas.drum import drum
from atlas.marks import lines, walk
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Profile, Zone

THICK, TABLE = 5.5, 3.0  # mm
SPAN_DEG = 48.0
DARK = np.array([0.075, 0.066, 0.058], np.float32)


def lining(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: dry, whole, even, stuck to the shoe all along."""
    d = drum("12 in", 6)
    r, wide = d.radius - 0.5, d.depth - 9
    table = r - THICK
    paths: dict[str, Profile] = {
        "lining": ((r, 0), (r, wide)),
        "side": ((r, wide), (table, wide)),
        "ledge": ((table, wide), (table, wide + 1.5)),
        "table edge": ((table, wide + 1.5), (table - TABLE, wide + 1.5)),
        "table": ((table - TABLE, wide + 1.5), (table - TABLE, wide / 2)),
        "web": ((table - TABLE, wide / 2), (table - 45, wide / 2)),
    }
    pieces = {}
    for name, path in paths.items():
        zone, dice = Zone(path, cell_mm=0.4, span_deg=SPAN_DEG), dice_of(seed, name)
        px = fine.get(name, 5.0)
        shape = zone.pixels(px)
        coat = (
            _pressed(dice, shape, px, name == "lining")
            if name in {"lining", "side"}
            else _painted(dice, shape, px)
        )
        pieces[name] = Piece(zone, coat)
    return Work(d, pieces)


def _pressed(dice: Dice, shape: tuple[int, int], px: float, rubbed: bool) -> Coat:
    """Friction stuff: dark, matt, with fibres and chips of metal; rubbed along where it meets the drum."""
    tone = 1 + clouds(dice, shape, px, [(0.16, 0.25, 0.3), (0.10, 1.0, 1.2), (0.06, 6, 14)])
    if rubbed:
        tone = tone + 0.10 * cloud(dice, shape, (max(1.0, 0.15 * px), 12 * px))
    coat = Coat(
        (DARK * np.clip(tone, 0.3, 2)[..., None]).astype(np.float32), np.full(shape, 0.96, np.float32),
        np.full(shape, 0.4, np.float32), clouds(dice, shape, px, [(0.012, 0.3, 0.4), (0.01, 0.9, 0.9)]), px,
    )  # fmt: skip
    for colour, share, size in (
        ((0.42, 0.30, 0.12), 2.75, 0.28),
        ((0.24, 0.23, 0.22), 2.3, 0.32),
        ((0.015, 0.015, 0.015), 2.1, 0.4),
    ):
        chips = step(cloud(dice, shape, (size * px, 1.3 * size * px)), share, share + 0.2)
        coat = over(coat, 0.85 * chips, np.array(colour, np.float32), 0.7, 0.35)
    return coat


def _painted(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """A shoe's steel: grey-black paint with rust at its chips."""
    coat = cast(dice, shape, px, 0.22)
    return replace(coat, height=coat.height * 0.25, dull=coat.dull * 0.85)


def soaked(work: Work, hard: int, dice: Dice) -> Work:
    """Grease from the seal has soaked in from one edge: black, wet, shining, dust stuck in it."""
    out = {}
    for name in ("lining", "side"):
        coat = work.coat(name)
        creep = clouds(dice, coat.shape, coat.px, [(4.0, 5, 12), (1.5, 1.5, 2.5)])
        far = coat.size_mm[0] if name == "lining" else 0.0
        wet = (
            step(far - coat.across + creep, 31.0, 25.0)
            if name == "lining"
            else np.ones(coat.shape, np.float32)
        )
        thick = step(clouds(dice, coat.shape, coat.px, [(1, 2.5, 3.5), (0.5, 0.8, 0.9)]), 0.3, 1.4) * wet
        coat = over(
            coat, 0.88 * wet, coat.colour * 0.30 + np.array([0.006, 0.004, 0.002], np.float32), 0.42, 0.13
        )
        coat = replace(coat, height=coat.height * (1 - 0.8 * wet))
        coat = over(coat, 0.8 * thick, np.array([0.02, 0.013, 0.007], np.float32), 0.35, 0.09)
        inside = step(
            np.minimum(coat.across, coat.size_mm[0] - coat.across), 0.2, 2.0
        )  # or the pieces part at their edges
        out[name] = raised(coat, 0.5 * soft(thick, 0.5, coat.px) * inside)
    return work.worn(**out)


def cracked(work: Work, hard: int, dice: Dice) -> Work:
    """Broken across its whole width, down to the shoe."""
    face, side = work.coat("lining"), work.coat("side")
    at = (-9.0, 15.0)[:hard]
    on_face, on_side = [], []
    for x in at:
        whole = walk(dice, (x, -0.5), face.size_mm[0] + 1.5, 0.04, 0.8)
        end = float(whole[np.argmin(np.abs(whole[:, 1] - face.size_mm[0])), 0])
        on_face.append((whole, 0.6, 0.8))
        on_side.append((walk(dice, (end, -0.3), side.size_mm[0] + 0.5, -0.1, 0.5), 0.8, 0.6))
    out = {}
    for name, coat, paths in (("lining", face, on_face), ("side", side, on_side)):
        dark = lines(coat, paths)
        worn = np.clip(soft(dark, 0.7, coat.px) * 1.6 - dark, 0, 0.5)
        frayed = over(coat, worn, np.array([0.17, 0.15, 0.13], np.float32))
        out[name] = raised(over(frayed, np.clip(1.5 * dark, 0, 1), SOOT * 0.2), -0.6 * dark)
    return work.worn(**out)


def debonded(work: Work, hard: int, dice: Dice) -> Work:
    """Come away from the shoe: a gap between lining and table, rust creeping in it."""
    side, ledge = work.coat("side"), work.coat("ledge")
    lift = {}
    for name, coat in (("side", side), ("ledge", ledge)):
        lift[name] = step(coat.along, -22.0, 32.0) * np.ones(coat.shape, np.float32)
    open_mm = 0.9 + 0.5 * hard
    gap = step(
        side.across - side.size_mm[0] + open_mm * lift["side"] + 0.12 * cloud(dice, side.shape, (3, 10)),
        -0.05,
        0.1,
    )
    side = over(side, gap * step(lift["side"], 0.02, 0.1), SOOT * 0.15)
    creep = step(lift["ledge"], 0.03, 0.3) * np.clip(0.75 + 0.3 * cloud(dice, ledge.shape, (4, 8)), 0, 1)
    side = over(side, 0.5 * soft(gap, 0.25, side.px) * (1 - gap), OLD_RUST)
    side = raised(side, -1.2 * gap * step(lift["side"], 0.02, 0.1))
    return work.worn(side=cavities(side, 0.5, 1.0), ledge=over(ledge, creep, OLD_RUST))


def glazed(work: Work, hard: int, dice: Dice) -> Work:
    """Burnt smooth: the face shines like dark glass, with fine hair lines."""
    coat = work.coat("lining")
    much = np.clip(0.95 + clouds(dice, coat.shape, coat.px, [(0.15, 4, 30)]), 0, 1)
    smooth = cv2.GaussianBlur(np.asarray(coat.colour, np.float32), (0, 0), 3)
    coat = over(
        coat, much, 0.55 * smooth + np.array([0.004, 0.004, 0.005], np.float32), 0.55, 0.16 - 0.03 * hard
    )
    return work.worn(lining=replace(coat, height=coat.height * 0.08))
