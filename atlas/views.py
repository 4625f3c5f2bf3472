"""Every view and every picture: from where a part is seen, and which conditions are shown from there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from atlas import band, bearing, face, hub, lining, rotor
from atlas.bearing import cup
from atlas.coat import Dice
from atlas.drum import drum
from atlas.hub import studded
from atlas.parts import Work, drum_inside
from atlas.stage import Camera

Condition = Callable[[Work, int, Dice], Work]
D = drum("12 in", 6)
R, H = D.radius, D.depth
FACE = (D.face[0] + D.face[1]) / 2


@dataclass(frozen=True)
class View:
    """A camera, and what it looks at in its good state; `fine` has px per mm of what is seen closely."""

    name: str
    title: str
    part: str
    camera: Camera
    good: Callable[[int, dict[str, float]], Work]
    fine: dict[str, float]
    seed: int


@dataclass(frozen=True)
class Shown:
    """A condition as a check of the sweep words it, and how it is drawn; each degree with its word."""

    view: str
    check: str
    word: str
    draw: Condition
    degrees: tuple[tuple[int, str], ...] = ((2, ""),)


CLOSE = {"band": 9.0, "chamfer": 9.0, "rim": 7.0, "root": 4.0, "web": 4.0}
VIEWS = {v.name: v for v in (
    View("band", "Friction band", "hub-drum", Camera((20, -10, 150), (R, 0, H - 22), 36, (10, 60, 120), (R, 2, H - 30), 1.35, 24.0, lamp=0.55), drum_inside, CLOSE, 11),
    View("band wide", "Friction band", "hub-drum", Camera((-95, 0, 215), (95, 0, 28), 54, (-70, 90, 240), (135, 0, 30), 1.2, lamp=0.5), drum_inside,
         {"band": 5.0, "chamfer": 5.0, "rim": 4.0, "magnet face": 4.0, "web": 3.0, "floor": 3.0}, 12),
    View("magnet face", "Magnet face", "hub-drum", Camera((45, -95, 150), (FACE, 0, 6), 44, (150, 60, 150), (FACE, 0, 6), 0.85, lamp=0.5), drum_inside,
         {"magnet face": 8.0, "web": 4.0, "floor": 4.0, "band": 4.0}, 13),
    View("seal bore", "Seal bore", "hub", Camera((0, -85, 128), (0, 8, 28), 42, (30, -70, 130), (0, 25, 28), 1.0, lamp=0.4), drum_inside,
         {"seal bore": 11.0, "seal edge": 11.0, "barrel end": 9.0, "seal floor": 9.0, "cup bore": 8.0, "cup shoulder": 8.0}, 14),
    View("hub face", "Hub face", "hub-face", Camera((30, -165, 150), (4, -38, 8), 44, (-90, -150, 150), (0, -30, 0), 1.0, lamp=0.3), studded,
         {"hub face": 8.0, "pilot": 6.0, "nose": 4.0, "nose end": 6.0, "back": 3.0}, 15),
    View("studs", "Studs", "studs", Camera((48, -165, 62), (6, -55, 14), 34, (-60, -160, 90), (0, -60, 12), 1.0, lamp=0.35), studded,
         {"hub face": 7.0, "pilot": 6.0, "nose": 4.0, "nose end": 6.0, "back": 3.0}, 16),
    View("outer cup bore", "Outer cup bore, cup out", "hub", Camera((0, -75, 112), (0, 10, 16), 38, (35, -60, 120), (0, 26, 14), 1.0, lamp=0.4), studded,
         {"cup bore": 11.0, "cap bore": 9.0, "cap floor": 9.0, "cup shoulder": 9.0, "nose end": 8.0, "cap edge": 8.0}, 17),
    View("cup", "Inner cup, clean", "bearing-set", Camera((0, -82, 78), (0, 6, 6), 40, (-40, -60, 100), (0, 28, 8), 0.9, bench=0.0, lamp=0.6, air=0.22), cup,
         {"track": 12.0, "end": 9.0, "outside": 8.0, "lip": 9.0}, 18),
    View("lining", "Brake lining", "lining", Camera((R + 104, -30, 108), (R - 4, 0, 30), 38, (R + 125, 62, 52), (R - 2, 4, 30), 2.6, bench=-6.0, lamp=0.8), lining.lining,
         {"lining": 10.0, "side": 12.0, "ledge": 9.0, "table edge": 8.0, "table": 5.0, "web": 5.0}, 20),
    View("rotor", "Disc rotor", "rotor", Camera((20, -235, 150), (0, -78, 18), 40, (-80, -200, 170), (0, -95, 18), 0.95, bench=-2.0, lamp=0.35), rotor.rotor,
         {"face": 8.0, "corner": 8.0, "edge": 6.0, "hat wall": 4.0, "root": 5.0, "hat": 4.0}, 19),
)}  # fmt: skip

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
    Shown("hub face", "hub face", "paint", hub.painted),
    Shown("hub face", "hub face", "rounded", hub.rounded),
    Shown("studs", "studs", "broken", hub.broken),
    Shown("studs", "studs", "necked", hub.necked),
    Shown("outer cup bore", "cups", "punch, peen or knurl marks", hub.punched),
    Shown("outer cup bore", "cups", "has spun", hub.spun),
    Shown("seal bore", "seal bore", "scored", hub.scored),
    Shown("cup", "bearings", "pitted or flaked", bearing.flaked),
    Shown("cup", "bearings", "etched", bearing.etched),
    Shown("cup", "bearings", "heat tint", bearing.heat_tint),
    Shown("lining", "lining", "soaked", lining.soaked),
    Shown("lining", "lining", "cracked through", lining.cracked),
    Shown("lining", "lining", "debonded", lining.debonded),
    Shown("lining", "lining", "glazed", lining.glazed),
    Shown("rotor", "rotor surface", "crack to an edge", rotor.crack),
    Shown("rotor", "rotor surface", "pits remain", rotor.pits),
    Shown("rotor", "rotor surface", "blue", rotor.blue),
)
