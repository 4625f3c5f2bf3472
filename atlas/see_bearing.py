"""Where bearings are seen from, and what is shown there."""

from __future__ import annotations

from atlas import bearing
from atlas.stage import Camera
from atlas.view import Shown, View

VIEWS = (
    View("cup", "Inner cup, clean", "bearing-set", Camera((0, -82, 78), (0, 6, 6), 40, (-40, -60, 100), (0, 28, 8), 0.9, bench=0.0, lamp=0.6, air=0.22), bearing.cup,
         {"track": 12.0, "end": 9.0, "outside": 8.0, "lip": 9.0}, 18),
)  # fmt: skip

SHOWN = (
    Shown("cup", "bearings", "pitted or flaked", bearing.flaked),
    Shown("cup", "bearings", "etched", bearing.etched),
    Shown("cup", "bearings", "heat tint", bearing.heat_tint),
)
