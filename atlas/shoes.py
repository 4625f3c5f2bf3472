"""Both shoes of a 12 in brake on their plate: table, web, lining, hold-downs. Radius and width follow the drum."""

from __future__ import annotations

import numpy as np

from atlas.block import arc, plank, rows_of
from atlas.drum import drum
from atlas.finish import clad, spring_steel, worn_paint, zinc
from atlas.lining import TABLE, THICK, pressed
from atlas.parts import Piece
from atlas.shape import Moved, Rod, Shape, Skin, Zone, about

FOOT = 10.0  # height of the shoes over the plate, mm
SPAN = 56.0  # of table and lining to both sides, degrees
WEB = 38.0  # height of the web's top
D = drum("12 in", 6)
OUT, WIDE = D.radius - 1.0, D.depth - 9
TABLE_R = OUT - THICK


def shoes(seed: int, fine: dict[str, float]) -> dict[str, Piece]:
    """The left and the right one, with what holds them to the plate."""
    out: dict[str, Piece] = {}
    for side, turn in (("right", 0.0), ("left", 180.0)):
        for name, shape in one_shoe(turn).items():
            kind = pressed if "lining" in name else worn_paint
            out[f"{side} {name}"] = clad(seed, f"{side} {name}", shape, fine.get(name, 3.0), kind)
        out |= hold_down(seed, side, 128.0 if turn == 0 else -128.0)
    return out


def one_shoe(turn: float) -> dict[str, Shape]:
    """Its shapes, turned to its side."""
    low, top = FOOT, FOOT + WIDE
    face = Zone(((OUT, low), (OUT, top - 0.4), (OUT - 0.4, top)), span_deg=SPAN - 3, cell_mm=0.8)
    edge = Zone(((OUT - 0.4, top), (TABLE_R, top)), span_deg=SPAN - 3, cell_mm=0.6)
    table = Zone(((TABLE_R, low), (TABLE_R, top + 0.8), (TABLE_R - TABLE, top + 0.8), (TABLE_R - TABLE, low)), span_deg=SPAN, cell_mm=0.6)  # fmt: skip
    ends = {f"lining end {i}": _end(sign * (SPAN - 3), low, top) for i, sign in enumerate((-1, 1))}
    flat: dict[str, Shape] = {"lining face": face, "lining edge": edge, "table": table, **ends}
    turned: dict[str, Shape] = {n: Moved(s, about((0, 0, 1), turn)) for n, s in flat.items()}
    return turned | {"web": web(turn)}


def _end(deg: float, low: float, top: float) -> Skin:
    way = np.array([np.cos(np.radians(deg)), np.sin(np.radians(deg))])
    line = [np.array([[*(r * way), z] for r in (TABLE_R, OUT)]) for z in (low, top)]
    return Skin(rows_of(*(line if deg < 0 else line[::-1])), 0.6)


def web(turn: float) -> Skin:
    """The flat of the shoe, from the anchor down to the adjuster."""
    outer = np.concatenate(
        [[(36, -126), (52, -124)], arc(TABLE_R - TABLE, -SPAN, SPAN), [(40, 128), (12, 127)]]
    )
    inner = np.concatenate([[(36, -106), (50, -104)], arc(112, -56, 56), [(34, 104), (12, 107)]])
    if turn:
        outer, inner = outer * [-1, 1], inner * [-1, 1]
    return plank(outer, inner, (WEB - 5, WEB), 0.7, many=200)


def hold_down(seed: int, side: str, x: float) -> dict[str, Piece]:
    """A spring under its cup."""
    turn = np.linspace(0, 2 * np.pi * 5, 120)
    wire = np.column_stack([x + 7.5 * np.cos(turn), 7.5 * np.sin(turn), WEB + turn / turn[-1] * 15])
    cup = Zone(
        ((11, WEB + 12), (11, WEB + 16), (9, WEB + 17.5), (4, WEB + 17.5), (3.4, WEB + 15), (0.3, WEB + 15)),
        (x, 0.0),
        0.5,
    )
    pin = Zone(((2.4, WEB + 13), (2.4, WEB + 18), (0.3, WEB + 18.4)), (x, 0.0), 0.4)
    return {
        f"{side} hold spring": clad(
            seed, f"{side} hold spring", Rod(rows_of(wire)[0], 1.1), 4.0, spring_steel
        ),
        f"{side} cup": clad(seed, f"{side} cup", cup, 5.0, zinc),
        f"{side} pin": clad(seed, f"{side} pin", pin, 5.0, zinc),
    }
