"""Where the inside of a drum is seen from, and what is shown there."""

from __future__ import annotations

from atlas import band, crack, face, glaze, lip, rust, stud_heads, tint
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
    View("band shine", "Friction band, light held low", "hub-drum", Camera((12, -52, 84), (R, 0, H - 27), 36, (66, 56, 18), (R, 4, 30), 0.36, 44.0, lamp=0.45), drum_inside,
         {"band": 9.0, "chamfer": 8.0, "rim": 6.0, "root": 4.0, "web": 4.0, "magnet face": 4.0}, 19),
    View("lip", "Open edge", "hub-drum", Camera((R - 62, -52, H + 30), (R + 2, 2, H - 5), 25, (R - 70, 62, H + 55), (R, 0, H - 4), 1.5, 26.0, lamp=0.5), drum_inside,
         {"band": 10.0, "chamfer": 12.0, "rim": 9.0}, 15),
    View("band wide", "Friction band", "hub-drum", Camera((-95, 0, 215), (112, 0, 30), 44, (-70, 60, 150), (150, 0, 38), 1.0, lamp=0.6), drum_inside,
         {"band": 5.0, "chamfer": 5.0, "rim": 4.0, "magnet face": 4.0, "web": 3.0, "floor": 3.0}, 12),
    View("drum outside", "Outside of the drum", "hub-drum", Camera((R + 150, -70, 55), (R + 8, 0, -36), 38, (R + 170, 110, 10), (R + 8, -4, -36), 1.5, 30.0, lamp=0.8), rust.outer_good,
         {"drum wall": 7.0, "back": 3.0}, 16),
    View("hub barrel", "Hub from the axle side", "hub-drum", Camera((165, -95, 185), (18, 3, 22), 33, (150, 10, 190), (30, 0, 25), 1.0, 24.0, lamp=0.7, air=0.06), drum_inside,
         {"barrel": 8.0, "barrel end": 10.0, "seal edge": 10.0, "seal bore": 8.0, "seal floor": 8.0, "cup bore": 6.0, "floor": 5.0}, 17),
    View("magnet face", "Magnet face", "hub-drum", Camera((45, -95, 150), (FACE, 0, 6), 44, (150, 60, 150), (FACE, 0, 6), 0.72, lamp=0.5), drum_inside,
         {"magnet face": 8.0, "web": 4.0, "floor": 4.0, "band": 4.0}, 13),
    View("stud heads", "Magnet face over the stud heads", "hub-drum", Camera((44, -78, 106), (89, -1, 5), 38, (170, 70, 130), (92, 0, 5), 0.72, lamp=0.5), stud_heads.face_over_heads,
         {"magnet face": 8.0, "face inner edge": 5.0, "floor": 5.0, "head": 8.0, "web": 3.0, "band": 3.0}, 18),
)  # fmt: skip

LIGHT_DEEP, LIGHT_HEAVY = ((1, "light"), (2, "deep")), ((1, "light"), (2, "heavy"))
SHOWN = (
    Shown("band", "rim and chamfer", "crack at the edge", crack.at_edge, ((1, "short"), (2, "long"))),
    Shown("band", "band line", "line in the band", crack.in_band),
    Shown("band", "band line", "line reaches the edge", crack.reaches_edge),
    Shown("band", "band line", "goes through", crack.goes_through),
    Shown("band", "band surface", "heat checks all round", band.checks_all_round, LIGHT_HEAVY),
    Shown("band", "band surface", "heat checks in a patch", band.checks_in_patch),
    Shown("band", "band surface", "grooves", band.grooves, LIGHT_DEEP),
    Shown("band", "band surface", "pits remain", band.pits, ((1, "few"), (2, "many"))),
    Shown("band shine", "band surface", "glaze", glaze.glaze),
    Shown("band", "band surface", "rust scuffs off", rust.band_scuffs),
    Shown("band", "band surface", "rust wipes off", rust.band_wipes),
    Shown("band", "band surface", "metallic grit", band.grit),
    Shown("band", "band surface", "grease on the band", band.grease),
    Shown("band", "hard spots", "raised hard spots", band.hard_spots),
    Shown("band", "heat colour", "brown tint", tint.brown_band),
    Shown("band", "heat colour", "blue on the band", tint.blue_band),
    Shown("lip", "rim and chamfer", "ridge at the lip", lip.ridge, LIGHT_HEAVY),
    Shown("lip", "rim and chamfer", "chamfer worn off", lip.chamfer_worn),
    Shown("band wide", "band surface", "shoe print of rust, scuffs off", band.shoe_print),
    Shown("drum outside", "heat colour", "outer rust flake", rust.outer_flake),
    Shown("hub barrel", "heat colour", "blue on the hub", tint.blue_hub),
    Shown("magnet face", "magnet face", "torn", face.torn),
    Shown("magnet face", "magnet face", "uneven", face.uneven),
    Shown("magnet face", "magnet face", "gouged", face.gouged),
    Shown("magnet face", "magnet face", "grooves", face.grooves),
    Shown("magnet face", "magnet face", "hot spots", face.hot_spots),
    Shown("magnet face", "magnet face", "rust film, scuffs off", rust.face_scuffs),
    Shown("magnet face", "heat colour", "blue on the magnet face", tint.blue_face),
    Shown(
        "stud heads",
        "magnet face",
        "thin at the stud heads",
        stud_heads.thin,
        ((1, "showing"), (2, "broken through")),
    ),
)
