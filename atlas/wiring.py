"""The wires to one magnet along the axle tube: clip, two splices, and what goes wrong with them. All sizes are assumed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.block import bow
from atlas.coat import Coat, Dice, Floats, clouds, over, raised, soft, step
from atlas.drum import drum
from atlas.finish import COPPER, clad, dusty, plain, worn_paint, zinc
from atlas.parts import Piece, Work
from atlas.shape import Moved, Place, Rod, Zone, about

TUBE, WIRE = 38.0, 2.6  # radii, mm
SIDEWAYS = about((0, 1, 0), 90)
Y = (-10.0, 2.0)  # where each wire lies
BLACK, BLUE, SLEEVE = (0.030, 0.029, 0.028), (0.035, 0.075, 0.20), (0.16, 0.030, 0.025)
VERDIGRIS = np.array([0.16, 0.34, 0.27], np.float32)
SPLICE = 22.0  # x of the splices' middle
CHAFED = -38.0  # x where the wire rubs


def on_tube(x: float, y: float, off: float) -> Place:
    """A place on top of the tube, so far off its skin."""
    far = TUBE + off
    return x, far * float(np.sin(y / far)), far * float(np.cos(y / far)) - TUBE


def way(i: int, start: float, end: float) -> Rod:
    """One wire's way along the tube."""
    xs = np.linspace(start, end, max(4, int(abs(end - start) / 16)))
    sway = [
        Y[i] + 0.9 * np.sin(x / 23 + 1.7 * i) + (3.0 if i else -3.0) * np.exp(-(((x - SPLICE) / 22) ** 2))
        for x in xs
    ]
    return Rod(
        bow([on_tube(float(x), float(y), WIRE + 0.1) for x, y in zip(xs, sway, strict=True)], 120), WIRE, 0.3
    )


def sleeve(i: int) -> Moved:
    """A splice under shrunk sleeving, over its crimp."""
    line = (
        (WIRE + 0.3, -25),
        (WIRE + 0.6, -24),
        (WIRE + 1.0, -17),
        (4.7, -11),
        (4.7, 11),
        (WIRE + 1.0, 17),
        (WIRE + 0.6, 24),
        (WIRE + 0.3, 25),
    )
    x, y, z = on_tube(SPLICE, Y[i] + (3.0 if i else -3.0), 4.8)
    return Moved(Zone(line, cell_mm=0.3), SIDEWAYS, (x, y, z))


def wiring(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: whole, sealed, clipped to the tube."""
    px = fine.get("wire", 9.0)
    tube = Moved(Zone(((TUBE, -150), (TUBE, 150)), cell_mm=0.8), SIDEWAYS, (0.0, 0.0, -TUBE))
    strap = Zone(((TUBE + 0.4, -5), (TUBE + 1.2, -4.6), (TUBE + 1.2, 4.6), (TUBE + 0.4, 5)), cell_mm=0.4)
    out = {"tube": clad(seed, "tube", tube, fine.get("tube", 5.0), worn_paint)}
    for i, colour in enumerate((BLACK, BLUE)):
        out[f"wire {i}"] = clad(seed, f"wire {i}", way(i, -140, 140), px, plain(colour, 0.72, 0.28, 0.08))
        out[f"splice {i}"] = clad(seed, f"splice {i}", sleeve(i), px, plain(SLEEVE, 0.6, 0.25, 0.08))
    out["strap"] = clad(seed, "strap", Moved(strap, SIDEWAYS, (78.0, 0.0, -TUBE)), px, zinc)
    out |= clip(seed, px)
    return Work(
        drum("12 in", 6),
        {
            n: replace(p, coat=dusty(np.random.default_rng([seed, *n.encode()]), p.coat, 0.14))
            for n, p in out.items()
        },
    )


def clip(seed: int, px: float) -> dict[str, Piece]:
    """The strap's bridge over both wires."""
    line = bow(
        [
            on_tube(78, -17, 0.8),
            on_tube(78, -14, 3),
            on_tube(78, -10, 6.2),
            on_tube(78, -3, 6.4),
            on_tube(78, 4, 6.2),
            on_tube(78, 8, 3),
            on_tube(78, 11, 0.8),
        ]
    )
    return {
        f"bridge {k}": clad(
            seed, "bridge", Moved(Rod(line, 1.1, 0.3), to=(2.1 * (k - 2), 0.0, 0.0)), px, zinc
        )
        for k in range(5)
    }


def along_x(piece: Piece) -> Floats:
    """Where along the tube each row of a coat lies, (rows, 1)."""
    world = piece.zone.world(np.zeros((piece.coat.shape[0], 9)))
    return np.asarray(world[..., 0].mean(1), np.float32)[:, None]


def strands(coat: Coat) -> tuple[Floats, Floats]:
    """Copper's colour and how high each strand stands, 0 to 1."""
    lay = np.abs(2 * ((coat.along / coat.size_mm[1] * 10 + coat.across / 14) % 1) - 1)
    return (COPPER * (0.45 + 0.85 * lay)[..., None]).astype(np.float32), lay.astype(np.float32)


def frayed(dice: Dice, at: Place, towards: float, many: int, long: float) -> dict[str, Piece]:
    """Loose strands that stand out of an end."""
    out = {}
    for i in range(many):
        lean = dice.normal(0, 0.30, 2)
        far = float(dice.uniform(0.6, 1.0)) * long
        start = np.array(at) + np.array([0.0, *dice.normal(0, 0.7, 2)])
        tip = start + far * np.array([towards, lean[0], abs(lean[1]) * 0.9])
        bend = (start + tip) / 2 + np.array([0.0, *dice.normal(0, 0.5, 2)])
        line = bow([tuple(start), tuple(bend), tuple(tip)], 20)
        out[f"strand {towards:.0f} {i}"] = clad(
            i, "strand", Rod(line, 0.30, 0.2), 6.0, plain((0.6, 0.3, 0.16), 0.2, 0.3)
        )
    return out


def chafed(work: Work, hard: int, dice: Dice) -> Work:
    """Rubbed through on an edge: insulation gone from the top, strands bare, some of them broken."""
    piece = work.pieces["wire 1"]
    coat, x = piece.coat, along_x(work.pieces["wire 1"])
    torn = clouds(dice, coat.shape, coat.px, [(2.2, 1.2, 3), (0.9, 0.4, 0.6)])
    gone = step(np.abs(x - CHAFED) + torn, 8.0 + 4 * hard, 7.0 + 4 * hard)
    metal, lay = strands(coat)
    coat = over(coat, gone, metal, 0.3, 0.3)
    coat = over(
        coat,
        0.8 * step(soft(gone, 1.5, coat.px), 0.02, 0.5) * (1 - gone),
        np.array([0.10, 0.12, 0.16], np.float32),
        1.0,
        0.5,
    )
    coat = raised(coat, gone * (-0.9 + 0.25 * lay))
    loose = frayed(dice, on_tube(CHAFED - 6, Y[1], 2 * WIRE - 0.6), 1.0, 3 + hard, 11.0)
    return replace(work, pieces=work.pieces | {"wire 1": replace(piece, coat=coat)} | loose)


def corroded(work: Work, hard: int, dice: Dice) -> Work:
    """No sleeve holds the water out: the crimp is green and white, the wire black beside it."""
    out = {}
    for name in ("splice 0", "splice 1", "wire 0", "wire 1"):
        piece = work.pieces[name]
        coat, x = piece.coat, np.abs(along_x(piece) - SPLICE)
        wander = clouds(dice, coat.shape, coat.px, [(2.5, 1.5, 2), (1.2, 0.4, 0.5)])
        crust = step(x + wander, 24.0 + 3 * hard, 16.0 + 3 * hard)
        if name.startswith("splice"):
            metal = np.array([0.20, 0.14, 0.09], np.float32)
            coat = over(coat, step(x + wander, 22.0, 19.0), metal, 0.5, 0.35)
        tone = step(clouds(dice, coat.shape, coat.px, [(0.8, 1.2, 1.5), (0.6, 0.3, 0.4)]), -1.0, 1.2)[
            ..., None
        ]
        green = VERDIGRIS * (0.45 + 0.75 * tone) + np.array([0.10, 0.05, 0.06], np.float32) * tone**3
        lump = np.clip(clouds(dice, coat.shape, coat.px, [(0.6, 1.2, 1.6), (0.5, 0.4, 0.5)]) + 0.4, 0, 2)
        out[name.replace(" ", "_")] = raised(
            over(coat, 0.94 * crust * step(lump, 0.05, 0.35), green.astype(np.float32)), 0.7 * crust * lump
        )
    return work.worn(**out)


def broken(work: Work, hard: int, dice: Dice) -> Work:
    """Parted: two frayed ends with a gap between them."""
    piece = work.pieces["wire 1"]
    gap = 8.0 + 4.0 * hard
    left, right = way(1, -140, CHAFED - gap), way(1, CHAFED + gap, 140)
    lift = np.array(right.path)
    lift[:, 2] += 7.0 * np.clip((CHAFED + 34 - lift[:, 0]) / 22, 0, 1) ** 2
    right = replace(right, path=tuple((float(a), float(b), float(c)) for a, b, c in lift))
    ends = {}
    for name, rod, towards in (("wire 1", left, 1.0), ("wire 1 end", right, -1.0)):
        coat = plain(BLUE, 0.72, 0.28, 0.08)(dice, rod.pixels(piece.coat.px), piece.coat.px)
        far = coat.across if towards < 0 else coat.size_mm[0] - coat.across
        bare = step(far + clouds(dice, coat.shape, coat.px, [(0.5, 0.6, 1)]), 5.2, 4.6)
        metal, lay = strands(coat)
        ends[name] = Piece(rod, raised(over(coat, bare, metal, 0.3, 0.3), bare * (-0.8 + 0.25 * lay)))
        tip = rod.path[-1] if towards > 0 else rod.path[0]
        ends |= frayed(dice, tip, towards, 14, 7.0)
    return replace(work, pieces=work.pieces | ends)
