"""The studs of a hub: whole, and everything that happens to them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from atlas.coat import (
    OLD_RUST,
    RUST,
    SOOT,
    Coat,
    Dice,
    Floats,
    cast,
    cavities,
    clouds,
    over,
    raised,
    rusty,
    soft,
    step,
    turned,
)
from atlas.drum import Drum
from atlas.parts import Piece, Work, dice_of, drum_outside
from atlas.shape import Array, Rod, Shape, Zone

PITCH, LONG = 1.27, 40.0  # 20 threads to the inch; how far a stud stands out is assumed
FOOT = 3.2  # where its thread begins; assumed
NEAREST = 4  # the stud that something happens to: it stands nearest the camera
BRIGHT = np.array([0.46, 0.45, 0.43], np.float32)


@dataclass(frozen=True)
class Bent:
    """A shape that stands on (x, y) and leans over towards a side, from a height on; with no height, from its foot."""

    shape: Shape
    at: tuple[float, float]
    towards_deg: float
    lean_deg: float
    start: float = 8.0

    def __getattr__(self, name: str) -> Any:
        """Everything but its places is the shape's own."""
        return getattr(self.shape, name)

    def world(self, lift: Floats) -> Array:
        """Places: what lies above the start is turned about it, over a soft knee."""
        straight, towards = self.shape.world(lift), np.radians(self.towards_deg)
        way = np.array([np.cos(towards), np.sin(towards)])
        side = (straight[..., :2] - np.array(self.at)) @ way
        high = straight[..., 2] - self.start
        turn = np.radians(self.lean_deg) / (1 + np.exp(-np.clip(high / 1.6, -30, 30)))
        out = straight.copy()
        out[..., :2] += ((np.cos(turn) - 1) * side + np.sin(turn) * high)[..., None] * way
        out[..., 2] += (np.cos(turn) - 1) * high - np.sin(turn) * side
        return np.asarray(out)


def stud_places(d: Drum) -> list[tuple[float, float]]:
    """Where the studs stand; one at the camera's side."""
    turns = -np.pi / 2 + 2 * np.pi * (np.arange(d.studs) - NEAREST + 0.0) / d.studs
    return [(float(d.circle * np.cos(t)), float(d.circle * np.sin(t))) for t in turns]


def pulled(z: Floats, neck: float) -> Floats:
    """How far the thread has been pulled at a height: 0 not, 1 most; longest just above the wheel's seat."""
    return np.asarray(np.exp(-(np.abs((z - 18) / 6.0) ** 3)) * (neck > 0), np.float32)


def stud(d: Drum, at: tuple[float, float], dice: Dice, neck: float = 0.0, long: float = LONG) -> Piece:
    """A threaded stud; `neck` is how much thinner it has been pulled in the middle of its thread."""
    r = d.stud
    high = np.linspace(FOOT, long - 3, 40)
    waist = zip(r * (1 - neck * pulled(high, neck)), high, strict=True)
    path = (
        (r + 0.4, -14.0),
        (r + 0.4, FOOT - 1.2),
        *waist,
        (r * 0.86, long - 1.2),
        (r * 0.78, long),
        (0.4, long),
    )
    zone = Zone(tuple((float(a), float(b)) for a, b in path), at, cell_mm=0.16)
    px = 9.0
    coat = turned(dice, zone.pixels(px), px, grey=0.30)
    z = coat.across - 14.4  # the way up the side, nearly straight
    pull = 1 + 4.5 * neck * pulled(z, neck)  # pulled thread is stretched
    turn = coat.along / coat.size_mm[1]
    phase = (np.cumsum(1 / (PITCH * pull), axis=0) / px - turn) % 1.0
    cut = step(z, FOOT + 0.4, FOOT + 1.6) * step(z, long + 0.2, long - 0.6)
    thread = (0.62 * np.abs(2 * phase - 1) - 0.62) * cut
    coat = cavities(raised(coat, soft(thread.astype(np.float32), 0.05, px)), 0.5, 2.2)
    return Piece(zone, rusty(dice, coat, 0.03))


def studded(seed: int, fine: dict[str, float], size: str = "12 in", studs: int = 6) -> Work:
    """The road side with all its studs."""
    work = drum_outside(seed, fine, size, studs)
    places = stud_places(work.drum)
    return work.having(
        **{f"stud {i}": stud(work.drum, at, dice_of(seed, f"stud {i}")) for i, at in enumerate(places)}
    )


def five(seed: int, fine: dict[str, float]) -> Work:
    """The road side of a 10 in hub-drum with five studs."""
    return studded(seed, fine, "10 in", 5)


def face_places(work: Work) -> tuple[Floats, Floats]:
    """x and y of each place of the hub face's coat, mm."""
    coat, outer = work.coat("hub face"), work.pieces["hub face"].zone.profile[0][0]  # type: ignore[attr-defined]  # it is a turned one
    r, turn = outer - coat.across, coat.along / coat.size_mm[1] * 2 * np.pi
    return np.asarray(r * np.cos(turn), np.float32), np.asarray(r * np.sin(turn), np.float32)


def to_studs(work: Work) -> Floats:
    """Distance of each place of the hub face from the nearest stud's middle, mm."""
    x, y = face_places(work)
    return np.asarray(np.min([np.hypot(x - a, y - b) for a, b in stud_places(work.drum)], axis=0), np.float32)


def stub(d: Drum, at: tuple[float, float], high: float, dice: Dice) -> Piece:
    """What is left of a stud: a short stub, its break grainy and torn up to one side, partly gone brown."""
    zone = Zone(
        ((d.stud + 0.4, -2.0), (d.stud + 0.2, high - 1), (d.stud - 0.4, high), (0.3, high)), at, cell_mm=0.2
    )
    px = 12.0
    shape = zone.pixels(px)
    coat = replace(cast(dice, shape, px, 0.1), height=np.zeros(shape, np.float32))
    turn = coat.along / coat.size_mm[1] * 2 * np.pi
    r = np.clip(d.stud + high + 1.6 - coat.across, 0, d.stud)
    x, y = r * np.cos(turn), r * np.sin(turn)
    grain = flat_clouds(x, y, dice, [(0.55, 1.6), (0.45, 0.5), (0.3, 0.22)])
    top = step(coat.across, high + 0.9, high + 2.0)
    coat = raised(coat, top * (0.22 * grain + 0.11 * (x + y) + 0.5))
    fresh = np.array([0.21, 0.205, 0.195], np.float32) * np.clip(0.85 + 0.25 * grain, 0.3, 1.5)[..., None]
    coat = over(coat, top, fresh, 0.5, 0.35)
    old = step(0.35 * x + 0.35 * y + grain, 0.9, -0.9) * top + 0.6 * (1 - top)
    return Piece(zone, over(cavities(coat, 0.4, 3.0), 0.75 * old, OLD_RUST))


def broken(work: Work, hard: int, dice: Dice) -> Work:
    """One stud snapped near the face: a stub with a grainy break."""
    del hard
    left = stub(work.drum, stud_places(work.drum)[NEAREST], 4.0, dice)
    return work.having(**{f"stud {NEAREST}": left})


def all_lost(work: Work, hard: int, dice: Dice) -> Work:
    """Every stud gone: each sheared off near the face, the face round it scuffed by the wheel that left."""
    del hard
    d, coat, away = work.drum, work.coat("hub face"), to_studs(work)
    left = {
        f"stud {i}": stub(d, at, float(dice.uniform(0.8, 3.2)), dice) for i, at in enumerate(stud_places(d))
    }
    rub = clouds(dice, coat.shape, coat.px, [(0.7, 1.4, 14), (0.4, 3, 8)]) + 0.9 * step(away, 20, 10)
    scrape = step(rub, 1.0, 1.4) * step(away, 17, 12)
    coat = raised(over(coat, 0.8 * scrape, BRIGHT, 0.15, 0.22), -0.15 * scrape)
    fine = clouds(dice, coat.shape, coat.px, [(0.7, 1, 1.4), (0.5, 0.35, 0.4)])
    fret = step(1.1 * np.exp(-(((away - 6) / 6.5) ** 2)) + 0.28 * fine, 0.15, 1.2)
    return work.having(**left).worn(hub_face=cavities(over(coat, 0.75 * fret, OLD_RUST), 0.8, 2))


def necked(work: Work, hard: int, dice: Dice) -> Work:
    """One stud pulled thin in the middle, its thread stretched."""
    del dice
    name, d = f"stud {NEAREST}", work.drum
    thin = stud(d, stud_places(d)[NEAREST], dice_of(16, name), 0.07 if hard == 1 else 0.125)
    return work.having(**{name: thin})


def bent(work: Work, hard: int, dice: Dice) -> Work:
    """One stud leans over; where it bends, a little bright, its thread bruised."""
    del hard
    name, at = f"stud {NEAREST}", stud_places(work.drum)[NEAREST]
    old = work.pieces[name]
    coat = old.coat
    bruise = step(clouds(dice, coat.shape, coat.px, [(1, 1.5, 2.0)]), 0.9, 1.3) * step(coat.across, 38, 44)
    coat = raised(over(coat, 0.8 * bruise, BRIGHT, 0.15, 0.2), -0.2 * bruise)
    return work.having(**{name: Piece(Bent(old.zone, at, 8.0, 17.0, 4.0), coat)})


def thread_damaged(work: Work, hard: int, dice: Dice) -> Work:
    """Threads torn out over some turns, flattened above, a curl of thread hanging off."""
    del hard
    name, d = f"stud {NEAREST}", work.drum
    old, at = work.pieces[name], stud_places(work.drum)[NEAREST]
    coat = old.coat
    z, turn = coat.across - 14.4, coat.along / coat.size_mm[1] * 360
    ragged = clouds(dice, coat.shape, coat.px, [(1.0, 1.0, 5.0), (0.5, 0.3, 0.7)])
    bare = step(z + 0.7 * ragged, 17, 18) * step(z + 0.9 * ragged, 30, 29)
    flat = step(ragged + 0.9 * step(np.abs(turn + 75), 55, 20) - 0.04 * np.abs(z - 33), 0.9, 1.2) * (1 - bare)
    streak = clouds(dice, coat.shape, coat.px, [(0.7, 0.25, 6), (0.5, 0.8, 3)])
    level = coat.height * (1 - bare) + bare * (-0.5 + 0.07 * streak)
    coat = replace(coat, height=np.where(flat > 0.5, np.minimum(level, -0.25), level).astype(np.float32))
    coat = over(
        coat, 0.85 * np.maximum(bare, 0.7 * flat), BRIGHT * (0.8 + 0.25 * streak[..., None]), 0.25, 0.25
    )
    return work.having(**{name: Piece(old.zone, cavities(coat, 0.4, 2.0)), "curl": curl(d, at, dice)})


def curl(d: Drum, at: tuple[float, float], dice: Dice) -> Piece:
    """A torn-out turn of thread that still hangs on at one end."""
    turns = np.radians(np.linspace(-160, -10, 40))
    away = np.linspace(0, 1, 40) ** 2
    r = d.stud - 0.1 + 3.2 * away
    path = np.column_stack(
        [at[0] + r * np.cos(turns), at[1] + r * np.sin(turns), 23.5 - 4.0 * away + 1.0 * np.sin(3 * turns)]
    )
    rod = Rod(tuple((float(a), float(b), float(c)) for a, b, c in path), 0.33, cell_mm=0.12)
    return Piece(rod, turned(dice, rod.pixels(9.0), 9.0, grey=0.42))


def hole_enlarged(work: Work, hard: int, dice: Dice) -> Work:
    """A stud that has worked its hole wide: a gap round it, the stud leaning, red-brown dust about."""
    del hard
    name, d = f"stud {NEAREST}", work.drum
    at, old = stud_places(d)[NEAREST], work.pieces[name]
    x, y = face_places(work)
    lay = clouds(dice, work.coat("hub face").shape, work.coat("hub face").px, [(0.6, 2, 3), (0.5, 0.6, 0.8)])
    away = np.hypot((x - at[0] - 0.6) / 1.32, y - at[1] + 0.5) - (d.stud + 1.4 + 0.12 * lay)
    hole, lip = step(away, 0.25, -0.25), step(np.abs(away - 0.7), 1.1, 0.3)
    coat = raised(work.coat("hub face"), -13.0 * hole + 0.35 * lip)
    fine = clouds(dice, coat.shape, coat.px, [(0.6, 0.5, 0.6), (0.5, 0.2, 0.2)])
    dust = step(2.4 - 0.50 * np.clip(away, 0, None) + 0.9 * lay + 1.1 * fine, -0.6, 3.4)
    coat = over(coat, 0.85 * dust, OLD_RUST + 0.7 * (RUST - OLD_RUST) * step(lay, -0.5, 1)[..., None])
    coat = over(coat, 0.8 * lip * step(lay, -0.2, 0.6), BRIGHT, 0.15, 0.2)
    coat = over(coat, hole, SOOT * 0.6)
    return work.worn(hub_face=coat).having(**{name: Piece(Bent(old.zone, at, 175.0, 8.0, -6.0), old.coat)})


def rusted(work: Work, hard: int, dice: Dice) -> Work:
    """Rust on the thread of every stud, scaly, filling its turns."""
    del hard
    return work.having(
        **{n: Piece(p.zone, scaly(p.coat, dice)) for n, p in work.pieces.items() if n.startswith("stud ")}
    )


def scaly(coat: Coat, dice: Dice) -> Coat:
    """Thick rust laid over a thread."""
    lay = clouds(dice, coat.shape, coat.px, [(0.6, 3, 4), (0.6, 0.8, 1.0), (0.5, 0.25, 0.3)])
    scale = step(lay, -0.5, 0.5)
    coat = replace(coat, height=(coat.height * (1 - 0.45 * scale)).astype(np.float32))
    coat = raised(rusty(dice, coat, 0.95), 0.16 * scale * (0.6 + 0.4 * lay))
    return cavities(coat, 0.4, 3.0)


def beach_marks(work: Work, hard: int, dice: Dice) -> Work:
    """A break that grew: smooth curved lines out from where it began, a coarse bright rest where it let go."""
    del hard
    d, at = work.drum, stud_places(work.drum)[NEAREST]
    r, high = d.stud - 0.1, 9.0
    zone = Zone(((r, -2.0), (r, high), (0.05, high)), at, cell_mm=0.09)
    coat = turned(dice, zone.pixels(22.0), 22.0, grey=0.26)
    side = np.clip(coat.across - (high + 2.0), 0, None)
    turn = coat.along / coat.size_mm[1] * 2 * np.pi
    x, y = (r - side) * np.cos(turn), (r - side) * np.sin(turn)
    top = step(coat.across, high + 1.95, high + 2.05)
    return work.having(**{f"stud {NEAREST}": Piece(zone, break_coat(coat, x, y, top, r, dice))})


def break_coat(coat: Coat, x: Floats, y: Floats, top: Floats, r: float, dice: Dice) -> Coat:
    """The face of a fatigue break, its beginning at the left front; the stud's side below it threaded."""
    lay = flat_clouds(x, y, dice, [(0.5, 2.5), (0.35, 0.8)])
    grain = flat_clouds(x, y, dice, [(0.5, 0.7), (0.5, 0.3), (0.25, 0.15)])
    far = np.hypot(x + 1.05 * r * np.cos(0.7), y + 1.05 * r * np.sin(0.7)) + 0.05 * lay
    rest = step(far + 0.15 * lay, 1.36 * r, 1.42 * r)  # what broke at last
    turns = 7.5 * (far / r) ** 0.75 + 0.3 * np.sin(5 * far / r)
    wave = np.abs(2 * (turns % 1.0) - 1) ** 7 * (0.55 + 0.45 * np.sin(2.3 * np.floor(turns) + 1) ** 2)
    tone = 0.85 + 0.05 * np.sin(1.7 * turns) + 0.10 * lay + 0.03 * grain - 0.34 * wave
    old = step(far + 0.5 * lay, 1.2 * r, 0.0)[..., None]  # where the crack has been open longest it is brown
    steel, brown = np.array([0.27, 0.268, 0.262], np.float32), np.array([-0.165, -0.205, -0.225], np.float32)
    grown = (steel + old * brown) * np.clip(tone, 0.1, 1.2)[..., None]
    coat = over(coat, (1 - rest) * top, grown, 0.35, 0.28)
    coarse = np.array([0.34, 0.33, 0.32], np.float32) * np.clip(0.8 + 0.45 * grain, 0.2, 1.6)[..., None]
    coat = over(coat, rest * top, coarse, 0.45, 0.3)
    turn = (coat.across / PITCH + coat.along / coat.size_mm[1]) % 1.0
    thread = (1 - top) * (0.62 * np.abs(2 * turn - 1) - 0.62)
    torn = rest * top * (0.2 + 0.16 * grain + 0.5 * step(far, 1.5 * r, 2.05 * r))
    coat = raised(coat, (0.02 * grain - 0.06 * wave) * (1 - rest) * top + torn + thread)
    return cavities(coat, 0.35, 2.5)


def flat_clouds(x: Floats, y: Floats, dice: Dice, sizes: list[tuple[float, float]]) -> Floats:
    """Noise that lies flat in x and y, so that it does not bunch up at the middle of a turned face."""
    out = np.zeros(np.broadcast_shapes(x.shape, y.shape), np.float32)
    for strong, mm in sizes:
        for _ in range(7):
            way, phase = dice.uniform(0, np.pi), dice.uniform(0, 2 * np.pi)
            fast = 2 * np.pi / mm * dice.uniform(0.5, 1.4)
            out += (
                0.53
                * strong
                * np.sin(
                    fast * (x * np.cos(way) + y * np.sin(way)) + phase + 1.3 * np.sin(0.37 * fast * (x - y))
                )
            )
    return out
