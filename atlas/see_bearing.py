"""Where cups, cones, their grease and the seal are seen from, and what is shown there."""

from __future__ import annotations

from atlas import bearing, cone, grease, seal
from atlas.stage import Camera
from atlas.view import Shown, View

VIEWS = (
    View("cup", "Inner cup, clean", "bearing-set", Camera((0, -90, 72), (0, 7, 5), 38, (-40, -60, 100), (0, 28, 8), 0.8, bench=0.0, lamp=0.5, air=0.20), bearing.cup,
         {"track": 12.0, "end": 9.0, "outside": 8.0, "lip": 9.0}, 18),
    View("cone", "Inner cone, clean", "bearing-set", Camera((0, -100, 56), (0, -14, 11), 38, (-55, -95, 105), (0, -20, 10), 0.8, bench=0.0, lamp=0.5, air=0.18), cone.cone,
         {"roller": 13.0, "cage": 9.0}, 41),
    View("grease", "Cone packed with grease, a wipe of it before", "bearing-set", Camera((0, -118, 82), (0, -21.5, 6), 51, (-60, -100, 110), (0, -25, 8), 1.0, bench=0.0, lamp=0.6, air=0.15), grease.packed,
         {"roller": 9.0, "cage": 7.0, "packing": 9.0, "wipe": 10.0}, 42),
    View("seal", "Seal in its bore, from the axle side", "seal", Camera((0, -86, 116), (0, -4, 33), 51, (40, -75, 140), (0, -5, 36), 1.0, lamp=0.4, air=0.06), seal.sealed,
         {"case": 10.0, "lip": 11.0, "barrel end": 9.0, "seal edge": 9.0, "barrel": 6.0}, 43),
)  # fmt: skip

SHOWN = (
    Shown("cup", "bearings", "pitted or flaked", bearing.flaked),
    Shown("cup", "bearings", "etched", bearing.etched),
    Shown("cup", "bearings", "heat tint", bearing.heat_tint),
    Shown("cone", "bearings", "pitted or flaked", cone.flaked),
    Shown("cone", "bearings", "heat tint", cone.heat_tint),
    Shown("cone", "bearings", "cage bent", cone.cage_bent),
    Shown("cone", "bearings", "large-end wear", cone.large_end),
    Shown("cone", "bearings", "small-end or edge wear", cone.small_end),
    Shown("grease", "grease", "milky", grease.milky),
    Shown("grease", "grease", "dark or burnt", grease.burnt),
    Shown("grease", "grease", "glitter", grease.glitter),
    Shown("grease", "grease", "two kinds mixed", grease.mixed),
    Shown("grease", "grease", "overfilled", grease.overfilled),
    Shown("grease", "grease", "dry", grease.dry),
    Shown("seal", "seal", "weeps", seal.weeps),
    Shown("seal", "seal", "lip turned or torn", seal.lip_damaged),
    Shown("seal", "seal", "blown out", seal.blown),
)
