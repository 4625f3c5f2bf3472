"""The dust cap pressed into the hub's nose, and what lies behind it. Sizes assumed unless from the tables."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import Coat, Dice, Floats, cavities, clouds, over, raised, rusty, soft, step, turned
from atlas.hexagon import hexagon, plated
from atlas.parts import Piece, Work, dice_of
from atlas.shape import Rod, Zone
from atlas.studs import BRIGHT, studded

NOSE = 38.0  # height of the nose's end
GREASE = np.array([0.20, 0.105, 0.030], np.float32)
TOP = 24.0  # how far the cap stands out


def capped(seed: int, fine: dict[str, float]) -> Work:
    """The road side with its cap pressed home."""
    work = studded(seed, fine)
    zone = cap_shape(bore(work))
    dice = dice_of(seed, "cap")
    return work.having(cap=Piece(zone, pressed(dice, zone.pixels(7.0), 7.0)))


def bore(work: Work) -> float:
    """Radius of the cap's bore."""
    return work.drum.outer_cup + 1.8


def cap_shape(r: float) -> Zone:
    """A drawn steel cap: a bead that stops on the nose's end, a short wall, a soft shoulder, a nearly flat top."""
    wall = (
        (r - 0.2, NOSE - 2),
        (r + 0.6, NOSE),
        (r + 2.6, NOSE + 0.1),
        (r + 3.1, NOSE + 1.0),
        (r + 2.6, NOSE + 1.9),
        (r + 0.6, NOSE + 2.3),
        (r - 0.1, NOSE + 3.2),
    )
    turn = [(r - 7 + 6.2 * np.cos(t), NOSE + TOP - 8 + 6.6 * np.sin(t)) for t in np.linspace(0, np.pi / 2, 9)]
    end = ((r - 15, NOSE + TOP - 0.4), (r * 0.3, NOSE + TOP + 0.2), (0.3, NOSE + TOP + 0.2))
    return Zone(tuple((float(a), float(b)) for a, b in (*wall, *turn, *end)), cell_mm=0.35)


def pressed(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Plated sheet steel, smooth from the press, a little dust and a few light scratches."""
    coat = turned(dice, shape, px, grey=0.44, wear=0.15)
    lay = clouds(dice, shape, px, [(0.6, 9, 9), (0.4, 2, 2), (0.2, 0.5, 0.5)])
    coat = replace(
        coat, dull=np.clip(0.30 + 0.08 * lay, 0.1, 0.7), rough=np.clip(0.27 + 0.02 * lay, 0.1, 0.5)
    )
    dust = 0.28 * step(lay, 0.2, 1.8)
    return rusty(dice, over(coat, dust, np.array([0.10, 0.085, 0.065], np.float32)), 0.06)


def to_camera(coat: Coat, deg: float) -> Floats:
    """How far round from a direction each column lies, in degrees; -90 is the camera's side."""
    turn = coat.along / coat.size_mm[1] * 360
    return np.asarray((turn - deg + 180) % 360 - 180, np.float32)


DENTS = (
    (-100, 0.80, 13, 7.5),
    (-52, 0.93, 9, 5.5),
    (-125, 0.28, 8, 2.5),
    (-75, 0.42, 7, 2.2),
    (40, 0.5, 9, 3.0),
)


def dented(work: Work, dice: Dice) -> tuple[Floats, Floats]:
    """How deep hammer blows (way round, share of the radius, size, depth) have gone, and the creases round them."""
    coat, r = work.coat("cap"), bore(work)
    places = work.pieces["cap"].zone.world(np.zeros(coat.shape, np.float32))
    dent, crease = np.zeros(coat.shape, np.float32), np.zeros(coat.shape, np.float32)
    warp = 1 + 0.16 * clouds(
        dice, coat.shape, coat.px, [(0.8, 9, 11), (0.4, 3.5, 4)]
    )  # no blow leaves a neat bowl
    for turn, far, size, deep in DENTS:
        x, y = far * r * np.cos(np.radians(turn)), far * r * np.sin(np.radians(turn))
        middle = np.array([x, y, NOSE + TOP - (6 if far > 0.7 else 0)])
        away = np.linalg.norm(places - middle, axis=2) / size * warp
        dent = np.maximum(dent, deep * np.clip(1 - away, 0, None) ** 0.85)
        crease = np.maximum(crease, np.exp(-(((away - 1.0) / 0.16) ** 2)))
    return dent, crease


def damaged(work: Work, hard: int, dice: Dice) -> Work:
    """Driven in with a bare hammer: deep dents in top and shoulder, the plating broken, grease coming out."""
    del hard
    dent, crease = dented(work, dice)
    coat = raised(work.coat("cap"), soft(-dent, 0.7, 7.0) + 0.2 * crease)
    lay = clouds(dice, coat.shape, coat.px, [(0.7, 1.2, 1.2), (0.5, 0.4, 0.4)])
    scuff = 0.6 * crease * step(lay, -0.3, 0.6) + step(0.35 * dent + lay, 1.6, 2.2)
    coat = over(coat, 0.8 * np.clip(scuff, 0, 1), BRIGHT * 1.1, 0.15, 0.2)
    brown = 0.7 * step(0.5 * crease + 0.5 * lay, 0.75, 1.0) * step(dent, 0.1, 0.6)
    coat = over(coat, brown, np.array([0.09, 0.045, 0.022], np.float32))
    nose, end = slung(work.coat("nose"), dice), slung(work.coat("nose end"), dice)
    return work.worn(cap=cavities(greasy(coat, dice), 2.0, 0.25), nose=nose, nose_end=end)


def greasy(coat: Coat, dice: Dice) -> Coat:
    """Grease pushed out along the bead."""
    lay = clouds(dice, coat.shape, coat.px, [(0.8, 3, 9), (0.4, 0.8, 1.5)])
    share = step(lay - 0.012 * np.abs(to_camera(coat, -80)), -0.6, 0.0) * step(coat.across, 10 + 1.5, 7.5)
    return raised(over(coat, 0.9 * share, GREASE * 0.5, 0.25, 0.12), share * (0.5 + 0.25 * lay))


def slung(coat: Coat, dice: Dice) -> Coat:
    """Dark grease run down from the cap's edge."""
    lay = clouds(dice, coat.shape, coat.px, [(0.9, 22, 4), (0.4, 2, 1.5)])
    share = step(lay - 0.014 * np.abs(to_camera(coat, -80)), -0.4, 0.2)
    return over(coat, 0.9 * share, GREASE * 0.35, 0.3, 0.12)


def spindle_end(dice: Dice) -> Piece:
    """The threaded end of the spindle with its centre hole, old grease in the thread."""
    far = (
        (12.4, 20),
        (12.4, NOSE + 3),
        (11.4, NOSE + 4),
        (2.4, NOSE + 4),
        (1.2, NOSE + 2.5),
        (0.2, NOSE + 2),
    )
    zone = Zone(far, cell_mm=0.3)
    coat = turned(dice, zone.pixels(8.0), 8.0, grey=0.28)
    wave = np.abs(2 * ((coat.across / 1.6 + coat.along / coat.size_mm[1]) % 1.0) - 1)
    return Piece(zone, dirty(raised(coat, (0.6 * wave - 0.6) * step(coat.across, 21.5, 20.5)), dice, 0.55))


CASTLE = ((13.2, 99, 26.0), (18.5, 17.5, 27.5), (20.2, 17.5, 29.0), (20.2, 17.5, 36.0), (18.0, 17.5, 37.5), (17.2, 17.5, 37.6), (13.6, 99, 37.6), (13.0, 99, 36.0))  # fmt: skip


def missing(work: Work, hard: int, dice: Dice) -> Work:
    """No cap: nut and pin open to the road, the grease gone dark with dirt."""
    del hard
    r = bore(work)
    zone = Zone(((r, 29.0), (r - 2, 29.6), (24.0, 28.2), (15.0, 30.0), (12.0, 30.5)), cell_mm=0.4)
    grease = Piece(zone, gritty(zone.pixels(7.0), 7.0, dice))
    skin, shape = hexagon(CASTLE)
    nut = Piece(skin, dirty(slotted(plated(dice, shape, 9.0)), dice, 0.7))
    seen = work.without("cap").having(
        spindle=spindle_end(dice), grease=grease, spindle_nut=nut, pin=pin(dice, 1), pin_2=pin(dice, -1)
    )
    return seen.worn(nose_end=dirty(work.coat("nose end"), dice, 0.4))


def slotted(coat: Coat) -> Coat:
    """A castle nut's slots: six, one in each flat, cut down from its top."""
    turn = (coat.along / coat.size_mm[1] + 0.5) * 6 % 1.0 - 0.5
    slot = step(np.abs(turn), 0.115, 0.09) * step(coat.across, 13.0, 13.6) * step(coat.across, 23.0, 22.5)
    return over(raised(coat, -3.4 * slot), 0.85 * slot, np.array([0.02, 0.017, 0.013], np.float32))


def pin(dice: Dice, side: int) -> Piece:
    """One leg of the cotter pin: out of a slot and bent round the nut."""
    z, turns = 34.0, np.radians(-90 + side * np.linspace(8, 60, 12))
    path = [
        (0.6 * side, -12.0, z),
        (0.7 * side, -18.6, z),
        *((20.6 * np.cos(t), 20.6 * np.sin(t), z + 0.3) for t in turns),
    ]
    rod = Rod(tuple((float(a), float(b), float(c)) for a, b, c in path), 1.1, cell_mm=0.2)
    return Piece(rod, dirty(turned(dice, rod.pixels(8.0), 8.0, grey=0.36), dice, 0.35))


def dirty(coat: Coat, dice: Dice, share: float) -> Coat:
    """Old grease and grit on it."""
    lay = clouds(dice, coat.shape, coat.px, [(0.8, 4, 6), (0.6, 1.0, 1.2), (0.3, 0.3, 0.3)])
    wet = step(lay, 1.4 - 2.6 * share, 2.0 - 2.6 * share)
    coat = raised(over(coat, 0.92 * wet, GREASE * 0.28, 0.35, 0.16), 0.3 * wet * (0.7 + 0.3 * lay))
    return over(coat, 0.6 * step(lay, 1.2, 1.7), np.array([0.16, 0.125, 0.085], np.float32))


def gritty(shape: tuple[int, int], px: float, dice: Dice) -> Coat:
    """Grease lumped and dirty with road grit."""
    lay = clouds(dice, shape, px, [(0.9, 4, 6), (0.5, 1.3, 1.8), (0.2, 0.4, 0.4)])
    tone = GREASE * (0.45 + 0.22 * np.clip(lay, -1.5, 1.5))[..., None]
    grit = step(clouds(dice, shape, px, [(1.0, 0.5, 0.5), (0.8, 4, 5)]), 1.6, 2.0)
    coat = replace(even(shape, px, np.clip(tone, 0.004, 1), 0.97, 0.16, 0.9 * lay), wet=0.16)
    return over(coat, 0.8 * grit, np.array([0.17, 0.14, 0.10], np.float32))


def taped(work: Work, hard: int, dice: Dice) -> Work:
    """Cloth tape wound over cap and nose, wrinkled, grey with dirt; a bead of sealant pressed out above it."""
    del hard
    r, outer = bore(work), work.drum.outer_cup + 7.6
    path = (
        (outer + 0.1, 24.5),
        (outer + 0.3, 36.5),
        (outer - 0.3, 38.6),
        (r + 3.6, 40.6),
        (r + 0.9, 43.0),
        (r + 0.3, 50.0),
    )
    tape = Zone(path, cell_mm=0.35)
    bead = Zone(((r + 1.0, 48.6), (r + 1.8, 50.0), (r + 1.1, 52.0), (r - 0.9, 53.2)), cell_mm=0.3)
    return work.having(
        tape=Piece(tape, cloth(dice, tape.pixels(7.0), 7.0)),
        bead=Piece(bead, sealant(dice, bead.pixels(7.0), 7.0)),
    )


def even(
    shape: tuple[int, int], px: float, colour: Floats, dull: float, rough: float, height: Floats
) -> Coat:
    """One colour, or a picture of it, evenly dull and rough."""
    whole = np.broadcast_to(colour, (*shape, 3)).astype(np.float32)
    return Coat(
        whole,
        np.full(shape, dull, np.float32),
        np.full(shape, rough, np.float32),
        height.astype(np.float32),
        px,
    )


def cloth(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Grey cloth tape: weave, wrinkles, dirty edges, its end lying on itself."""
    lay = clouds(dice, shape, px, [(0.8, 5, 9), (0.5, 1.2, 2.5), (0.2, 0.3, 0.3)])
    wrinkle = np.clip(clouds(dice, shape, px, [(0.9, 11, 1.6), (0.6, 5, 0.8)]), 0.2, 2) - 0.2
    tone = np.array([0.25, 0.255, 0.26], np.float32) * (1 + 0.10 * lay)[..., None]
    coat = even(shape, px, tone, 0.85, 0.3, 0.26 * wrinkle + clouds(dice, shape, px, [(0.03, 0.35, 0.35)]))
    lap = to_camera(coat, -68) - 1.2 * coat.across / coat.size_mm[0] - 0.4 * lay
    coat = raised(coat, 0.55 * step(lap, 0.4, -0.4) * step(lap, -60, -20))
    edge = np.minimum(coat.across, coat.size_mm[0] - coat.across)
    dirt = 0.75 * step(edge + 0.8 * lay, 1.6, 0.2) + 0.35 * step(lay, 0.6, 1.6)
    return cavities(over(coat, dirt, np.array([0.04, 0.033, 0.025], np.float32)), 1.0, 1.2)


def sealant(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """A lumpy pale bead, dirty here and there."""
    lay = clouds(dice, shape, px, [(0.8, 3, 5), (0.5, 1, 1.6)])
    coat = even(shape, px, np.array([0.42, 0.405, 0.37], np.float32), 0.9, 0.12, 0.8 * lay)
    return over(coat, 0.35 * step(lay, 0.4, 1.5), np.array([0.08, 0.07, 0.05], np.float32))
