"""Where the inside of a drum is seen from, and what is shown there."""

from __future__ import annotations

from atlas import band, face
from atlas.drum import drum
from atlas.parts import drum_inside
from atlas.stage import Camera
from atlas.view import Shown, View

D = drum("12 in", 6)
R, H = D.radius, D.depth
FACE = (D.face[0] + D.face[1]) / 2
CLOSE = {"band": 9.0, "chamfer": 9.0, "rim": 7.0, "root": 4.0, "web": 4.0}

VIEWS = (
    View("band", "Friction band", "hub-drum", Camera((20, -10, 150), (R, 0, H - 22), 36, (10, 60, 120), (R, 2, H - 30), 1.35, 24.0, lamp=0.55), drum_inside, CLOSE, 11),
    View("band wide", "Friction band", "hub-drum", Camera((-95, 0, 215), (95, 0, 28), 54, (-70, 90, 240), (135, 0, 30), 1.2, lamp=0.5), drum_inside,
         {"band": 5.0, "chamfer": 5.0, "rim": 4.0, "magnet face": 4.0, "web": 3.0, "floor": 3.0}, 12),
    View("magnet face", "Magnet face", "hub-drum", Camera((45, -95, 150), (FACE, 0, 6), 44, (150, 60, 150), (FACE, 0, 6), 0.85, lamp=0.5), drum_inside,
         {"magnet face": 8.0, "web": 4.0, "floor": 4.0, "band": 4.0}, 13),
)  # fmt: skip

SHOWN = (
    Shown("band", "rim and chamfer", "crack at the edge", band.crack_at_edge, ((1, "short"), (2, "long"))),
    Shown("band", "band line", "line in the band", band.crack_in_band),
    Shown("band", "band surface", "heat checks all round", band.checks_all_round),
    Shown("band", "band surface", "heat checks in a patch", band.checks_in_patch),
    Shown("band", "band surface", "grooves", band.grooves),
    Shown("band", "rim and chamfer", "ridge at the lip", band.ridge),
    Shown("band", "heat colour", "blue on the band", band.blue),
    Shown("band", "band surface", "pits remain", band.pits, ((1, "few"), (2, "many"))),
    Shown("band", "rim and chamfer", "chamfer worn off", band.chamfer_worn),
    Shown("band", "band surface", "glaze", band.glaze),
    Shown("band wide", "band surface", "shoe print of rust, scuffs off", band.shoe_print),
    Shown("magnet face", "magnet face", "torn", face.torn),
    Shown("magnet face", "magnet face", "uneven", face.uneven),
)
