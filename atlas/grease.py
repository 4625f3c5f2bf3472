"""A cone packed with grease, and a finger's wipe of the same grease on the bench before it; what grease looks like gone bad.

How much lies where is assumed: a good packing shows between all rollers and stands a little over the cage.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import OLD_RUST, SOOT, Coat, Dice, Floats, cloud, clouds, over, raised, rusty, soft, step
from atlas.cone import HALF, at, cone
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Profile, Shape, Skin, Zone

CLEAN = np.array([0.25, 0.022, 0.012], np.float32)
OTHER = np.array([0.035, 0.075, 0.15], np.float32)  # a second kind
MILK = np.array([0.50, 0.34, 0.27], np.float32)
BURNT = np.array([0.022, 0.014, 0.009], np.float32)
VARNISH = np.array([0.11, 0.052, 0.016], np.float32)
LAID = ("packing", "wipe")  # the pieces that are nothing but grease
FILMED = ("cage", "roller", "back rib", "front")


def packed(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: worked in between all rollers, one clean colour."""
    work = cone(seed, fine)
    work = replace(work, pieces=work.pieces | {
        "packing": _grease(Zone(_mantle(0.0), cell_mm=0.25), seed, "packing", fine.get("packing", 7.0), 0.38),
        "wipe": _grease(_wipe(), seed, "wipe", fine.get("wipe", 9.0), 0.10),
    })  # fmt: skip
    return _filmed(work, seed)


def _mantle(more: float) -> Profile:
    """From under the cage up over it to the front rib; `more` is how far it stands out beyond a good packing."""
    return (
        (34.3 + more, 0.9), (34.6 + more, 2.6), at(-0.8, HALF + 0.25 + more), at(8, HALF - 0.1 + more), at(16.4, HALF + 0.2 + more),
        (29.2 + more, 23.0), (28.2 + more / 2, 24.3 + more / 2), (26.7, 24.7 + more / 2), (25.9, 23.8),
    )  # fmt: skip


def _wipe() -> Skin:
    """A finger's wipe on the bench: ridges along, its edges below the bench's top."""
    rows = []
    for y in np.linspace(-60, -42, 36):
        line = []
        for x in np.linspace(-34, 34, 60):
            u, v = (y + 51.5 - 0.0016 * x * x) / 7.2, (x + 2) / 31
            body = np.sqrt(np.clip(1 - u * u - v**4, 0, 1)) * (
                1.3 + 0.35 * np.cos(7.5 * u) + 0.5 * np.exp(-(((v - 0.8) / 0.2) ** 2))
            )
            line.append((float(x), float(y), float(body - 0.35)))
        rows.append(tuple(line))
    return Skin(tuple(rows), cell_mm=0.3)


def _lumps(dice: Dice, shape: tuple[int, int], px: float) -> Floats:
    return clouds(dice, shape, px, [(0.9, 3.6, 5.0), (0.30, 1.4, 2.2), (0.06, 0.5, 0.8)])


def _grease(shape: Shape, seed: int, name: str, px: float, lumpy: float) -> Piece:
    """Smooth lumps with a wet gloss."""
    dice = dice_of(seed, name)
    size = shape.pixels(px)
    tone = np.clip(1 + clouds(dice, size, px, [(0.10, 4, 5), (0.05, 0.8, 1)]), 0.5, 1.6)
    height = lumpy * soft(_lumps(dice, size, px), 0.35, px)
    coat = Coat((CLEAN * tone[..., None]).astype(np.float32), np.full(size, 0.97, np.float32),
                np.full(size, 0.3, np.float32), height.astype(np.float32), px, wet=0.14)  # fmt: skip
    return Piece(shape, coat)


def _film_share(coat: Coat, dice: Dice) -> Floats:
    """Where a film of grease covers what it was wiped over: streaks."""
    field = clouds(dice, coat.shape, coat.px, [(0.6, 2.5, 5), (0.5, 0.8, 2.2), (0.25, 0.25, 0.5)])
    return 0.35 + 0.62 * step(field, -0.9, 0.5)


def _filmed(work: Work, seed: int) -> Work:
    """A film on all that the packing hand has touched."""
    out = {}
    for name, piece in work.pieces.items():
        if name.startswith(FILMED):
            share = _film_share(piece.coat, dice_of(seed, f"film {name}"))
            coat = raised(over(piece.coat, share, CLEAN, 0.9, 0.25), 0.05 * share)
            out[name.replace(" ", "_")] = replace(coat, wet=0.16)
    return work.worn(**out)


def _each(work: Work) -> list[str]:
    return [name for name in work.pieces if name in LAID or name.startswith(FILMED)]


def _greased(work: Work, name: str) -> Floats:
    """How much of each place is grease: by how red it is."""
    colour = work.coat(name).colour
    return step(1 - colour[..., 1] / np.maximum(colour[..., 0], 1e-3), 0.10, 0.75)


def milky(work: Work, hard: int, dice: Dice) -> Work:
    """Water whipped in: pale, creamy, frothy, with drops standing in it."""
    del hard
    out = {}
    for name in _each(work):
        coat = work.coat(name)
        share = _greased(work, name)
        tone = 1 + clouds(dice, coat.shape, coat.px, [(0.10, 2, 4), (0.06, 0.5, 0.8)])
        streak = step(clouds(dice, coat.shape, coat.px, [(0.8, 1.0, 6), (0.3, 0.4, 1)]), 1.0, 1.7)[..., None]
        pale = (MILK + 0.35 * streak * (CLEAN - MILK)) * tone[..., None]
        coat = over(coat, share, pale.astype(np.float32), 0.98, 0.3)
        froth = (
            step(cloud(dice, coat.shape, (max(1, 0.5 * coat.px), max(1, 0.5 * coat.px))), 1.2, 1.7) * share
        )
        coat = raised(over(coat, 0.55 * froth, np.array([0.16, 0.09, 0.06], np.float32), 1.0), -0.12 * froth)
        if name in LAID:
            coat = _drops(coat, dice)
        out[name.replace(" ", "_")] = replace(coat, wet=0.2)
    return work.worn(**out)


def _drops(coat: Coat, dice: Dice) -> Coat:
    """Beads of water."""
    bead = step(cloud(dice, coat.shape, (1.6 * coat.px, 1.6 * coat.px)), 1.9, 2.15)
    coat = over(coat, 0.85 * bead, np.array([0.30, 0.31, 0.30], np.float32), 0.25, 0.05)
    return raised(coat, 0.5 * soft(bead, 0.2, coat.px))


def burnt(work: Work, hard: int, dice: Dice) -> Work:
    """Cooked: black-brown, thickened, crusts dry and matt at the edges."""
    del hard
    out = {}
    for name in _each(work):
        coat = work.coat(name)
        lay = clouds(dice, coat.shape, coat.px, [(0.7, 2.5, 3), (0.5, 0.7, 0.9), (0.3, 0.25, 0.3)])
        tone = np.clip(1 + 0.45 * lay, 0.4, 2.6)[..., None]
        coat = over(
            coat, np.clip(_greased(work, name) + 0.2, 0, 1), (BURNT * tone).astype(np.float32), 0.97, 0.35
        )
        coat = over(coat, 0.7 * step(lay, 0.7, 1.3), VARNISH * 0.8, 0.97)
        crumb = 0.25 * clouds(dice, coat.shape, coat.px, [(0.5, 0.5, 0.5), (0.5, 0.9, 1)]) * (name in LAID)
        out[name.replace(" ", "_")] = replace(raised(coat, crumb * np.ones(coat.shape, np.float32)), wet=0.3)
    return work.worn(**out)


def glitter(work: Work, hard: int, dice: Dice) -> Work:
    """Fine bright metal all through it: a bearing is coming apart."""
    out = {}
    for name in _each(work):
        coat = work.coat(name)
        share = _greased(work, name)
        grey = np.array([0.105, 0.055, 0.048], np.float32)
        coat = over(coat, 0.7 * share, grey, 0.85, 0.25)
        size = max(1.0, 0.26 * coat.px)
        flakes = step(cloud(dice, coat.shape, (size, size)), 2.3 - 0.3 * hard, 2.6 - 0.3 * hard) * share
        coat = over(coat, flakes, np.array([0.92, 0.91, 0.88], np.float32), 0.45, 0.3)
        out[name.replace(" ", "_")] = raised(coat, 0.05 * flakes)
    return work.worn(**out)


def mixed(work: Work, hard: int, dice: Dice) -> Work:
    """Two kinds pumped on each other: streaks of another colour through the first, loose where they meet."""
    del hard
    out = {}
    for name in _each(work):
        coat = work.coat(name)
        warp = clouds(dice, coat.shape, coat.px, [(2.6, 5, 7), (0.8, 1.6, 2.2)])
        swirl = np.sin((0.55 * coat.across + 0.22 * coat.along) + warp)
        second = step(swirl + 0.2 * clouds(dice, coat.shape, coat.px, [(1, 0.8, 1.2)]), -0.15, 0.25)
        between = (1 - np.abs(2 * second - 1))[..., None]
        colour = CLEAN + second[..., None] * (OTHER - CLEAN)
        colour = colour + 0.5 * between * (np.array([0.10, 0.05, 0.10], np.float32) - colour)
        coat = over(coat, _greased(work, name), colour.astype(np.float32), 0.97, 0.25)
        out[name.replace(" ", "_")] = replace(coat, wet=0.10)
    return work.worn(**out)


def overfilled(work: Work, hard: int, dice: Dice) -> Work:
    """Pumped until it came out: rollers and cage buried, the bore full, thick ropes of it round the foot."""
    paths: dict[str, tuple[Profile, float]] = {
        "packing": (((43, -0.4), (42.5, 2.2), (40.5, 3.6), (38.5, 3.2), *_mantle(3.6)[1:-2], (26.5, 27.6), (24.6, 27.2), (23.6, 25.2)), 0.9),
        "plug": (((24.5, 24.0), (22.0, 26.8), (17, 28.6), (9, 29.6), (0.3, 29.0)), 0.7),
    }  # fmt: skip
    out = {}
    for name, (path, lumpy) in paths.items():
        zone = Zone(path, cell_mm=0.25)
        coat = _grease(zone, int(dice.integers(1 << 30)), name, 7.0, lumpy * hard / 2).coat
        rope = clouds(dice, coat.shape, coat.px, [(0.7, 2.4, 30)])
        out[name] = Piece(zone, raised(coat, soft(rope, 0.3, coat.px)))
    return replace(work, pieces=work.pieces | out)


def dry(work: Work, hard: int, dice: Dice) -> Work:
    """Next to none left: bare rollers with brown varnish and a little rust, hard dark scraps at the cage."""
    del hard
    out = {}
    for name in work.pieces:
        if name in LAID or not name.startswith(FILMED):
            continue
        coat = _bare(work.coat(name), dice)
        lay = clouds(dice, coat.shape, coat.px, [(0.7, 3, 3), (0.5, 0.8, 1.2), (0.25, 0.3, 0.3)])
        coat = over(coat, 0.65 * step(lay, -0.4, 1.1), VARNISH * 0.7, 0.7, 0.4)
        coat = over(coat, 0.85 * step(lay, 1.25, 1.6), BURNT * 1.3, 1.0)
        coat = rusty(dice, coat, 0.16 if name.startswith("roller") else 0.4)
        out[name.replace(" ", "_")] = replace(coat, wet=0.0)
    wipe = work.coat("wipe")
    scraps = step(clouds(dice, wipe.shape, wipe.px, [(0.8, 1.6, 2.6), (0.6, 0.6, 0.8)]), 0.9, 1.5)
    crust = replace(
        over(wipe, np.ones(wipe.shape), SOOT + 0.4 * OLD_RUST, 1.0), wet=0.0, height=1.1 * scraps - 1.5
    )
    return work.worn(**out, wipe=crust).without("packing")


def _bare(coat: Coat, dice: Dice) -> Coat:
    """Steel again, under what was a film."""
    tone = 0.42 * (1 + clouds(dice, coat.shape, coat.px, [(0.05, 2, 5)]))
    steel = tone[..., None] * np.array([1.0, 0.98, 0.95], np.float32)
    return over(coat, np.ones(coat.shape), steel.astype(np.float32), 0.3, 0.3)
