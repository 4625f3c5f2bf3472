"""A cone packed with grease, and a finger's wipe of the same grease on the bench before it; what grease looks like gone bad.

How much lies where is assumed: a good packing shows between all rollers and stands a little over the cage.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.bearing import ROLLERS
from atlas.coat import SOOT, Coat, Dice, Floats, cloud, clouds, over, raised, rusty, soft, step
from atlas.cone import HALF, at, cone
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Profile, Shape, Skin, Zone

CLEAN = np.array([0.19, 0.012, 0.006], np.float32)
OTHER = np.array([0.035, 0.075, 0.15], np.float32)  # a second kind
MILK = np.array([0.70, 0.45, 0.37], np.float32)
BURNT = np.array([0.022, 0.014, 0.009], np.float32)
VARNISH = np.array([0.11, 0.052, 0.016], np.float32)
LAID = ("packing", "wipe")  # the pieces that are nothing but grease
FILMED = ("cage", "roller", "back rib", "front")


def packed(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: worked in between all rollers, one clean colour."""
    work = cone(seed, fine)
    work = replace(work, pieces=work.pieces | {
        "packing": _grease(Zone(_mantle(0.0), cell_mm=0.25), seed, "packing", fine.get("packing", 7.0), 0.38),
        "wipe": _streaked(_grease(_wipe(), seed, "wipe", fine.get("wipe", 9.0), 0.10), seed),
    })  # fmt: skip
    return _filmed(work, seed)


def _mantle(more: float) -> Profile:
    """From under the cage up over it to the front rib; `more` is how far it stands out beyond a good packing."""
    return (
        (34.3 + more, 0.9), (34.6 + more, 2.6), at(-0.8, HALF + 0.25 + more), at(8, HALF - 0.1 + more), at(16.4, HALF + 0.2 + more),
        (29.2 + more, 23.0), (28.2 + more / 2, 24.3 + more / 2), (26.7, 24.7 + more / 2), (25.9, 23.8),
    )  # fmt: skip


def _wipe() -> Skin:
    """A finger's wipe on the bench: hollow along its middle, banked at its sides and where the finger stopped."""
    rows = []
    for y in np.linspace(-62, -40, 60):
        line = []
        for x in np.linspace(-38, 36, 90):
            u, v = (y + 51.5 - 0.0016 * x * x) / (8.2 + 0.5 * np.sin(0.23 * x)), (x + 2) / 33
            side = np.exp(-(((abs(u) - 0.78) / 0.2) ** 2)) * np.clip(
                0.75 + 0.4 * v + 0.15 * np.sin(0.4 * x), 0, 2
            )
            stop = np.exp(-(((v - 0.80 + 0.25 * u * u) / 0.14) ** 2)) * (1.6 if abs(u) < 1 else 0.0)
            thin = np.clip((v + 1) / 0.7, 0, 1)  # where the finger set down
            body = (0.45 + 1.1 * side + stop) * thin * np.clip(6 * (1 - u * u - max(v, 0) ** 6), 0, 1)
            line.append((float(x), float(y), float(body - 0.3)))
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
                np.full(size, 0.3, np.float32), height.astype(np.float32), px, wet=0.09)  # fmt: skip
    return Piece(shape, coat)


def _streaked(wipe: Piece, seed: int) -> Piece:
    """The lines that the skin of a finger leaves."""
    coat = wipe.coat
    fine = clouds(dice_of(seed, "streaks"), coat.shape, coat.px, [(0.06, 0.7, 16), (0.04, 0.35, 9)])
    return Piece(wipe.zone, raised(coat, soft(fine, 0.12, coat.px)))


def _film_share(coat: Coat, dice: Dice) -> Floats:
    """Where a film of grease covers what it was wiped over: streaks."""
    field = clouds(dice, coat.shape, coat.px, [(0.6, 4, 6), (0.4, 1.6, 2.2), (0.16, 0.3, 2.0)])
    return 0.45 + 0.52 * step(field, -1.5, 0.7)


def _filmed(work: Work, seed: int) -> Work:
    """A film on all that the packing hand has touched."""
    out = {}
    for name, piece in work.pieces.items():
        if name.startswith(FILMED):
            share = _film_share(piece.coat, dice_of(seed, f"film {name}"))
            coat = raised(over(piece.coat, share, CLEAN, 0.85, 0.2), 0.10 * soft(share, 0.3, piece.coat.px))
            out[name.replace(" ", "_")] = replace(coat, wet=0.10)
    return work.worn(**out)


def _each(work: Work) -> list[str]:
    return [name for name in work.pieces if name in LAID or name.startswith(FILMED)]


def _greased(work: Work, name: str) -> Floats:
    """How much of each place is grease: by how red it is."""
    colour = work.coat(name).colour
    return step(1 - colour[..., 1] / np.maximum(colour[..., 0], 1e-3), 0.10, 0.75)


def milky(work: Work, hard: int, dice: Dice) -> Work:
    """Water whipped in: pale as cream, streaks of the old colour still in it, drops standing on it."""
    del hard
    out = {}
    for name in _each(work):
        coat = work.coat(name)
        share = np.clip(1.3 * _greased(work, name), 0, 1)
        tone = 1 + clouds(dice, coat.shape, coat.px, [(0.05, 2, 4), (0.03, 0.5, 0.8)])
        streak = step(clouds(dice, coat.shape, coat.px, [(0.8, 1.2, 9), (0.3, 0.5, 3)]), 0.5, 2.0)[..., None]
        pale = (MILK + 0.45 * streak * (CLEAN + 0.1 - MILK)) * tone[..., None]
        coat = over(coat, share, pale.astype(np.float32), 0.98, 0.3)
        grain = cloud(dice, coat.shape, (max(1, 0.4 * coat.px), max(1, 0.4 * coat.px)))
        froth = step(grain, 1.5, 1.9) * share
        coat = raised(over(coat, 0.2 * froth, MILK * 0.6, 1.0), -0.03 * froth)
        if name in LAID:
            coat = _drops(coat, dice)
        out[name.replace(" ", "_")] = replace(coat, wet=0.1)
    return work.worn(**out)


def _drops(coat: Coat, dice: Dice) -> Coat:
    """Beads of water."""
    bead = step(cloud(dice, coat.shape, (1.6 * coat.px, 1.6 * coat.px)), 1.9, 2.15)
    coat = over(coat, 0.85 * bead, np.array([0.30, 0.31, 0.30], np.float32), 0.25, 0.05)
    return raised(coat, 0.5 * soft(bead, 0.2, coat.px))


def burnt(work: Work, hard: int, dice: Dice) -> Work:
    """Cooked: black-brown and stiff as tar, brown varnish on what it has dried from."""
    del hard
    out = {}
    for name in _each(work):
        coat = work.coat(name)
        lay = clouds(dice, coat.shape, coat.px, [(0.7, 2.5, 5), (0.5, 0.8, 1.4), (0.2, 0.25, 0.4)])
        full = np.ones(coat.shape, np.float32) if name in LAID else np.clip(_greased(work, name), 0, 1)
        coat = over(coat, 0.95 * (1 - full), VARNISH * 0.55, 0.85, 0.3)
        coat = over(
            coat, full, (BURNT * np.clip(1 + 0.3 * lay, 0.5, 2)[..., None]).astype(np.float32), 0.97, 0.35
        )
        coat = over(coat, 0.55 * full * step(lay, 0.5, 1.6), VARNISH * 0.45, 0.97)
        crust = soft(step(lay, -0.4, 0.9), 0.15, coat.px) * (0.16 if name in LAID else 0.06)
        out[name.replace(" ", "_")] = replace(raised(coat, crust), wet=0.13)
    return work.worn(**out)


def glitter(work: Work, hard: int, dice: Dice) -> Work:
    """Fine bright metal all through it, grey where it is thick: a bearing is coming apart."""
    out = {}
    for name in _each(work):
        coat = work.coat(name)
        share = _greased(work, name)
        thick = step(clouds(dice, coat.shape, coat.px, [(0.8, 1.5, 9), (0.4, 0.5, 3)]), -0.6, 1.6)
        coat = over(coat, 0.75 * share * thick, np.array([0.13, 0.085, 0.08], np.float32), 0.8, 0.25)
        size = max(1.0, 0.15 * coat.px)
        spark = cloud(dice, coat.shape, (size, size)) + 0.7 * thick
        flakes = step(spark, 2.3 - 0.25 * hard, 2.9 - 0.25 * hard) * share
        out[name.replace(" ", "_")] = over(coat, flakes, np.array([0.93, 0.92, 0.90], np.float32), 0.5, 0.3)
    return work.worn(**out)


def mixed(work: Work, hard: int, dice: Dice) -> Work:
    """Two kinds worked into each other: streaks of another colour drawn out through the first, muddy where they meet."""
    del hard
    out = {}
    for name in _each(work):
        coat = work.coat(name)
        laid = name in LAID
        field = clouds(
            dice, coat.shape, coat.px, [(0.8, 3.2, 34 if laid else 6), (0.45, 1.1, 13), (0.2, 0.4, 5)]
        )
        second = step(field, -0.35, 0.65)
        between = (1 - np.abs(2 * second - 1))[..., None]
        colour = CLEAN + second[..., None] * (OTHER - CLEAN)
        colour = colour + 0.6 * between * (np.array([0.055, 0.026, 0.04], np.float32) - colour)
        coat = over(coat, _greased(work, name), colour.astype(np.float32), 0.97, 0.25)
        out[name.replace(" ", "_")] = replace(
            raised(coat, 0.12 * soft(second, 0.2, coat.px) * laid), wet=0.09
        )
    return work.worn(**out)


def overfilled(work: Work, hard: int, dice: Dice) -> Work:
    """Pumped until it came out: squeezed up between the rollers, in thick rolls at both ends, the bore full."""
    top = ((29.9, 22.4), (31.4, 24.0), (31.0, 26.2), (28.9, 27.3), (26.6, 26.6), (25.7, 24.6))
    paths: dict[str, tuple[Profile, float]] = {
        "packing": (((39.5, -0.4), (41.8, 0.8), (42.0, 2.8), (40.2, 4.4), (37.8, 3.8), *_mantle(1.7)[2:5], *top), 0.35),
        "plug": (((22.6, 17.0), (21.0, 20.5), (15, 22.6), (7, 23.2), (0.2, 22.6)), 0.5),
    }  # fmt: skip
    out = {}
    for name, (path, lumpy) in paths.items():
        zone = Zone(path, cell_mm=0.25)
        coat = _grease(zone, int(dice.integers(1 << 30)), name, 9.0, lumpy * hard / 2).coat
        if name == "packing":
            coat = raised(coat, soft(_squeezed(coat, dice), 0.3, coat.px))
        else:  # smooth in its middle, where all columns meet
            coat = replace(coat, height=coat.height * step(coat.across, coat.size_mm[0], 8.0))
        out[name] = Piece(zone, coat)
    return replace(work, pieces=work.pieces | out)


def _squeezed(coat: Coat, dice: Dice) -> Floats:
    """Lobes between the rollers, uneven; the rolls at the ends thicker here and there."""
    turn = coat.along / coat.size_mm[1] * 2 * np.pi
    share = coat.across / coat.size_mm[0]
    between = (0.5 - 0.5 * np.cos(ROLLERS * (turn + np.pi / 2))) ** 1.5
    middle = step(share, 0.26, 0.36) * step(share, 0.74, 0.66)
    much = 1 + clouds(dice, coat.shape, coat.px, [(0.35, 7, 9), (0.15, 2, 3)])
    roll = (1 - middle) * clouds(dice, coat.shape, coat.px, [(0.45, 9, 14), (0.25, 5, 5)])
    return np.asarray(1.7 * middle * between * much + roll, np.float32)


def dry(work: Work, hard: int, dice: Dice) -> Work:
    """Next to none left: bare dull steel, brown varnish, hard dark scraps in the corners, rust beginning."""
    del hard
    out = {}
    for name in work.pieces:
        if name in LAID or not name.startswith(FILMED):
            continue
        coat = _bare(work.coat(name), dice)
        lay = clouds(dice, coat.shape, coat.px, [(0.7, 4, 5), (0.45, 0.7, 2.6), (0.2, 0.25, 0.5)])
        coat = over(coat, 0.75 * step(lay, -1.5, 1.0), VARNISH * 0.9, 0.6, 0.35)
        corner = np.exp(-np.minimum(coat.across, coat.size_mm[0] - coat.across) / 0.9)
        scraps = step(lay + 1.3 * corner, 1.0, 1.5)
        coat = raised(over(coat, 0.92 * scraps, BURNT * 1.6, 1.0), 0.12 * soft(scraps, 0.1, coat.px))
        coat = rusty(dice, coat, 0.10 if name.startswith("roller") else 0.24)
        out[name.replace(" ", "_")] = replace(coat, wet=0.0)
    wipe = work.coat("wipe")
    scraps = step(clouds(dice, wipe.shape, wipe.px, [(0.8, 1.6, 2.6), (0.6, 0.6, 0.8)]), 0.7, 1.4)
    dark = over(wipe, np.ones(wipe.shape), SOOT + 0.3 * VARNISH, 1.0)
    return work.worn(**out, wipe=replace(dark, wet=0.0, height=1.3 * scraps - 3.0)).without("packing")


def _bare(coat: Coat, dice: Dice) -> Coat:
    """Steel again, under what was a film."""
    tone = 0.33 * (1 + clouds(dice, coat.shape, coat.px, [(0.05, 2, 5)]))
    steel = tone[..., None] * np.array([1.0, 0.98, 0.95], np.float32)
    bare = replace(coat, height=0.0 * coat.height)
    return over(bare, np.ones(coat.shape), steel.astype(np.float32), 0.3, 0.26)
