"""Where disc brakes are seen from, and what is shown there."""

from __future__ import annotations

from atlas import rotor
from atlas.stage import Camera
from atlas.view import Shown, View

VIEWS = (
    View("rotor", "Disc rotor", "rotor", Camera((20, -235, 150), (0, -78, 18), 40, (-80, -200, 170), (0, -95, 18), 0.95, bench=-2.0, lamp=0.35), rotor.rotor,
         {"face": 8.0, "corner": 8.0, "edge": 6.0, "hat wall": 4.0, "root": 5.0, "hat": 4.0}, 19),
)  # fmt: skip

SHOWN = (
    Shown("rotor", "rotor surface", "crack to an edge", rotor.crack),
    Shown("rotor", "rotor surface", "pits remain", rotor.pits),
    Shown("rotor", "rotor surface", "blue", rotor.blue),
)
