"""What stands before the camera: which surface, how the card lies on it, what is painted, what is round it.

Sets `wall_scene.py`'s pieces up as a `Shot` asks; renders nothing and knows no truth but the marks it paints.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from wall_marks import Mark, Window, marks_of
from wall_scene import (
    FACE_EDGE_MM,
    FACE_HALF_MM,
    FACE_LOW_MM,
    FACE_RADIUS_MM,
    Bed,
    Lay,
    bitmap,
    mesh,
    metal,
    plate_mesh,
)
from wall_texture import Sheet, card_table, cloud, iron, turned_face, with_marks

if TYPE_CHECKING:
    from wall_photo import Shot

Array = NDArray[np.float64]
DEPTH_MM = 60.0


def laid(shot: Shot) -> tuple[Bed, Lay]:
    """The surface, and how the card lies on it."""
    flat = shot.bed == "face"
    card = "face" if flat else "wall"
    radius = 127.0 if shot.bed == "wall 10" else 152.4
    bed = Bed(radius, FACE_EDGE_MM if flat else DEPTH_MM, flat)
    high = card_table(card)["height_mm"]
    y = high / 2 if flat else DEPTH_MM - shot.gap_mm - high / 2
    scale = 0.97 if shot.fault == "printed small" else 1.0
    turn = np.radians(shot.turn_deg + (180 if shot.fault == "upside down" else 0))
    thick, bulge = (0.3 if shot.fault == "thick" else 0.1), (2.0 if shot.fault == "bulging" else 0.0)
    return bed, Lay(card, np.array([0.0, y]), float(turn), scale, thick, bulge, shot.fault == "stiff")


def painted(shot: Shot, bed: Bed, lay: Lay) -> tuple[Sheet, tuple[Mark, ...]]:
    """The surface with its marks, and the marks in surface mm."""
    dice = np.random.default_rng([shot.seed, 1])
    left, bottom, right, top = np.array(card_table(lay.card)["opening_mm"], float)
    middle_x = lay.size_mm[0] / 2
    if bed.flat:
        window = Window(left - middle_x, bottom, right - middle_x, top, False)
    else:
        low = bed.edge_mm - shot.gap_mm - lay.size_mm[1] + bottom
        window = Window(left - middle_x, low, right - middle_x, bed.edge_mm, True)
    marks = marks_of(shot.kind, window, np.random.default_rng([shot.seed, 2]))
    sheet = _face_sheet(shot, bed) if bed.flat else _wall_sheet(shot, bed, dice)
    return with_marks(
        sheet, marks + _over_the_edge(marks, dice), np.random.default_rng([shot.seed, 3])
    ), marks


def _wall_sheet(shot: Shot, bed: Bed, dice: np.random.Generator) -> Sheet:
    """The wall with chamfer and rim, shoes having rubbed all but its margins."""
    track = (float(dice.uniform(3, 8)), bed.edge_mm - float(dice.uniform(1.5, 5)))
    return iron(dice, -150, bed.edge_mm + 12, (300, 73), shot.paint_px_per_mm, track)


@lru_cache(maxsize=1)
def _face_strip(shot: Shot) -> Sheet:
    """What a flat face is bent from."""
    s = min(15.0, shot.paint_px_per_mm)
    return iron(
        np.random.default_rng([shot.seed, 5]), -150, FACE_EDGE_MM + 2, (300, 196), s, (5, FACE_EDGE_MM - 8)
    )


def _face_sheet(shot: Shot, bed: Bed) -> Sheet:
    """The painted part of a flat face."""
    strip = _face_strip(shot)
    s = strip.px_per_mm
    size = round((bed.edge_mm + 1 - FACE_LOW_MM) * s), round(2 * FACE_HALF_MM * s)
    middle = (0.0, bed.edge_mm - FACE_RADIUS_MM)
    return turned_face(strip, middle, size, (-FACE_HALF_MM, bed.edge_mm + 1))


def _over_the_edge(marks: tuple[Mark, ...], dice: np.random.Generator) -> tuple[Mark, ...]:
    """Cracks at the edge run on over chamfer and rim, where the card's millimetres end."""
    out = []
    for mark in marks:
        if mark.reaches_edge:
            way = mark.line_mm[0] - mark.line_mm[4]
            end = mark.line_mm[0] + way / np.hypot(*way) * dice.uniform(2, 9)
            on = np.linspace(mark.line_mm[0], end, 30)
            out.append(replace(mark, line_mm=on, taper_mm=(0.0, 1.0), reaches_edge=False))
    return tuple(out)


def glare_spot(shot: Shot, marks: tuple[Mark, ...], lay: Lay) -> Array | None:
    """Where glare is wanted, in surface mm: the middle of the first mark."""
    if not shot.glare:
        return None
    return marks[0].line_mm[len(marks[0].line_mm) // 2] if marks else lay.middle_mm


def room(shot: Shot, bed: Bed) -> dict[str, Any]:
    """What stands behind: a dark workshop, and the drum's closed end with its rusty web."""
    dice = np.random.default_rng([shot.seed, 4])
    shade = np.clip(0.05 + 0.03 * cloud(dice, (96, 96), (18, 18)), 0.01, 0.3)[..., None] * np.array(
        [1, 0.95, 0.85], np.float32
    )
    far = np.array([[bed.radius_mm + 260, -y, z] for z in (900, -900) for y in (-900.0, 900.0)])
    uv = np.array([[0, 0], [1, 0], [0, 1], [1, 1.0]])
    out = {"behind": mesh("behind", far, uv, (2, 2), _matt(shade))}
    if bed.flat:
        strip = _face_strip(shot)
        return out | {"plate": plate_mesh(bed, strip, metal(strip, shot))}
    rust = iron(dice, 0, 120, (240, 120), 6, (300, 400))
    turn, deep = np.linspace(-2.4, 2.4, 161), np.linspace(bed.radius_mm, 55, 20)
    world = np.array([[r * np.cos(t), -r * np.sin(t), 0.0] for r in deep for t in turn])
    uv = np.array([[0.5 + t / 4.8, (bed.radius_mm - r) / 120] for r in deep for t in turn])
    out["web"] = mesh("web", world, uv, (20, 161), _matt(rust.colour * 0.7))
    return out


def _matt(picture: NDArray[np.float32]) -> dict[str, Any]:
    return {"type": "twosided", "b": {"type": "diffuse", "reflectance": bitmap(picture)}}


def thumb(shot: Shot, bed: Bed, lay: Lay) -> dict[str, Any]:
    """A thumb that holds the card down and hides part of its right leg and foot."""
    if shot.fault != "half hidden":
        return {}
    spot = bed.at(lay.to_surface(lay.size_mm * [[0.88, 0.02]]), 6.0)[0]
    turn, rise = (
        a.ravel() for a in np.meshgrid(np.linspace(0, 2 * np.pi, 49), np.linspace(-np.pi / 2, np.pi / 2, 25))
    )
    ball = np.column_stack(
        [8 * np.cos(rise) * np.cos(turn), -10 * np.cos(rise) * np.sin(turn), 26 * np.sin(rise)]
    )
    lean = np.radians(25)
    world = spot + ball @ np.array(
        [[1, 0, 0], [0, np.cos(lean), np.sin(lean)], [0, -np.sin(lean), np.cos(lean)]]
    )
    skin = {
        "type": "roughplastic",
        "alpha": 0.3,
        "diffuse_reflectance": {"type": "rgb", "value": [0.5, 0.3, 0.22]},
    }
    uv = np.column_stack([turn, rise])
    return {"thumb": mesh("thumb", world, uv, (25, 49), {"type": "twosided", "b": skin})}
