"""A disc brake's caliper on the bench, piston up, dry and leaking. All its sizes are assumed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.block import lid, oval, wall
from atlas.coat import Coat, Dice, Floats, cast, clouds, over, raised, step, turned
from atlas.drum import drum
from atlas.finish import clad, rubber, stuck_dirt, wet, zinc
from atlas.parts import Work
from atlas.shape import Moved, Shape, Zone, about

LONG, WIDE, HIGH, PISTON = 128.0, 78.0, 44.0, 24.0  # mm
FLUID = np.array([0.035, 0.021, 0.008], np.float32)
SPREAD = (-8.0, -34.0)  # from where it runs


def old_cast(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """A casting with a little rust."""
    return cast(dice, shape, px, 0.42)


def folded(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """Rubber."""
    return rubber(dice, shape, px)


def chromed(dice: Dice, shape: tuple[int, int], px: float) -> Coat:
    """A piston's ground steel."""
    return turned(dice, shape, px, grey=0.46)


def caliper(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: dry, dust boot whole, piston pressed back."""
    halves, px = oval(LONG, WIDE), fine.get("body", 5.0)
    shapes: dict[str, tuple[Shape, object]] = {
        "side": (wall(halves, ((3, 0), (0, 3), (0, HIGH - 3), (1, HIGH - 1), (3, HIGH))), old_cast),
        "top": (lid(halves, HIGH, 3.0), old_cast),
        "seat": (Zone(((36, HIGH - 1), (35.5, HIGH + 3), (34, HIGH + 4), (31, HIGH + 4), (30.4, HIGH + 1)), cell_mm=0.4), old_cast),
        "boot": (Zone(((31, HIGH + 1), (30.5, HIGH + 4.5), (29.4, HIGH + 5.2), (28.6, HIGH + 2.6), (27.6, HIGH + 2.8), (27.0, HIGH + 6.6),
                       (26.0, HIGH + 7), (25.2, HIGH + 4.6), (24.2, HIGH + 5)), cell_mm=0.3), folded),
        "piston": (Zone(((PISTON, HIGH + 2), (PISTON, HIGH + 11), (PISTON - 0.8, HIGH + 12), (18.5, HIGH + 12), (17.7, HIGH + 11), (17.5, HIGH - 14), (0.3, HIGH - 14)), cell_mm=0.35), chromed),
        "bleeder": (Zone(((4.5, HIGH - 4), (4.5, HIGH + 3), (3.2, HIGH + 4), (3.2, HIGH + 13), (1.2, HIGH + 13.5)), (48.0, 18.0), 0.3), zinc),
        "hose bolt": (Zone(((9, HIGH - 2), (9, HIGH + 3), (7, HIGH + 3.2), (7, HIGH + 9), (6, HIGH + 10), (0.3, HIGH + 10)), (48.0, -12.0), 0.35), zinc),
    }  # fmt: skip
    shapes |= pins()
    return Work(drum("12 in", 6), {n: clad(seed, n, s, px, f) for n, (s, f) in shapes.items()})  # type: ignore[arg-type]  # finishes


def pins() -> dict[str, tuple[Shape, object]]:
    """The slide pins at both ends, in their rubber, and the ears that hold them."""
    out: dict[str, tuple[Shape, object]] = {}
    lie = about((1, 0, 0), 90)
    for i, x in enumerate((-78.0, 78.0)):
        ear = oval(44.0, 34.0)
        to = (x * 0.86, 10.0, 0.0)
        out[f"ear {i}"] = (Moved(wall(ear, ((2, 4), (0, 6), (0, 30), (2, 32))), to=to), old_cast)
        out[f"ear top {i}"] = (Moved(lid(ear, 32, 2.0), to=to), old_cast)
        folds = [(9.0 + 1.6 * (k % 2), float(4 * k)) for k in range(5)]
        sleeve = Zone((*folds, (6.2, 17.5), (6.0, 34.0), (5.0, 35.0), (0.3, 35.0)), cell_mm=0.35)
        out[f"pin {i}"] = (Moved(sleeve, lie, (x, 6.0, 20.0)), zinc)
    return out


def leaks(work: Work, hard: int, dice: Dice) -> Work:
    """Brake fluid past the piston: boot and casting wet, run down the side, dirt washed off and stuck at its edge."""
    out = {}
    for name in ("top", "side", "seat", "boot", "piston"):
        piece = work.pieces[name]
        coat = piece.coat
        world = piece.zone.world(np.zeros(coat.shape))
        x, y, z = (np.asarray(world[..., i], np.float32) for i in range(3))
        wander = clouds(dice, coat.shape, coat.px, [(3.5, 6, 8), (1.2, 1.5, 2)])
        pool = np.hypot((x - SPREAD[0]) * 0.72, y + 26.0) + wander
        lanes = 2.4 * np.sin(x * 0.55) + 1.6 * np.sin(x * 1.13 + 1)
        run = (
            np.abs(x - SPREAD[0]) * 0.9
            + 0.35 * np.clip(HIGH - z, 0, None) * (0.6 + 0.2 * lanes)
            + 0.5 * wander
        )
        where = step(run if name == "side" else pool, 17.0 + 5 * hard, 13.0 + 5 * hard)
        where = where * (y < 4) if name == "side" else where
        if name == "piston":
            where = where * (z < HIGH + 8)
        edge = step(np.abs(where - 0.5), 0.5, 0.1)
        done = wet(dice, coat, where, 0.12, FLUID)
        done = stuck_dirt(dice, done, edge, 0.6) if name in {"top", "side"} else done
        out[name] = trickles(done, x, z, wander) if name == "side" else done
    return work.worn(**out)


TRICKLES = (
    (-27.0, 3.0, 1.5),
    (-17.0, 17.0, 2.1),
    (-9.0, 6.0, 2.6),
    (0.5, 22.0, 1.8),
    (9.0, 11.0, 2.3),
    (18.0, 27.0, 1.4),
)


def trickles(coat: Coat, x: Floats, z: Floats, wander: Floats) -> Coat:
    """Runs of amber fluid down the wet side, each ending in a hanging drop; (x, how far down to, half its width)."""
    high = np.zeros(coat.shape, np.float32)
    for middle, low, half in TRICKLES:
        off = x - middle - 1.4 * np.sin(0.16 * z + middle) - 0.25 * wander
        drop = half * (0.55 + 0.75 * np.exp(-(((z - low - 2.5) / 2.5) ** 2)))
        round_ = np.sqrt(np.clip(1 - (off / drop) ** 2, 0, 1)) * step(z, low - 1.0, low + 1.5)
        high = np.maximum(high, round_ * drop / half)
    flat = replace(coat, height=(coat.height * (1 - 0.9 * step(high, 0.0, 0.4))).astype(np.float32))
    amber = np.array([0.20, 0.115, 0.030], np.float32)
    return raised(over(flat, 0.9 * step(high, 0.05, 0.5), amber, 0.55, 0.07), 0.9 * high)
