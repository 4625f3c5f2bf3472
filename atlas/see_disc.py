"""Where disc brakes are seen from, and what is shown there."""

from __future__ import annotations

from atlas import caliper, pads, rotor
from atlas.stage import Camera
from atlas.view import Shown, View

VIEWS = (
    View("rotor", "Disc rotor", "rotor", Camera((25, -270, 225), (0, -66, 22), 44, (-110, -190, 230), (0, -80, 22), 0.95, bench=-2.0, lamp=0.35), rotor.rotor,
         {"face": 7.0, "corner": 7.0, "edge": 5.0, "hat wall": 4.0, "root": 4.0, "hat": 6.0}, 19),
    View("pads", "Brake pads", "pads", Camera((-28, -165, 98), (4, 2, 4), 43, (-120, -100, 130), (0, 0, 8), 2.6, bench=0.0, lamp=0.5), pads.pads, {"near": 9.0, "far": 5.0}, 46),
    View("caliper", "Caliper", "brake-assembly", Camera((-30, -200, 165), (0, -6, 26), 42, (-140, -90, 200), (0, -10, 40), 1.2, bench=0.0, lamp=0.5), caliper.caliper, {"body": 7.0}, 47),
)  # fmt: skip

SHOWN = (
    Shown("rotor", "rotor surface", "crack to an edge", rotor.crack),
    Shown("rotor", "rotor surface", "fine heat lines", rotor.heat_lines),
    Shown("rotor", "rotor surface", "pits remain", rotor.pits),
    Shown("rotor", "rotor surface", "rust scuffs off", rotor.film_of_rust),
    Shown("rotor", "rotor surface", "blue", rotor.blue),
    Shown("pads", "pads", "soaked", pads.soaked),
    Shown("pads", "pads", "loose from the plate", pads.loose),
    Shown("pads", "pads", "cracked through", pads.cracked),
    Shown("pads", "pads", "worn uneven", pads.uneven),
    Shown("caliper", "caliper", "leaks", caliper.leaks),
)
