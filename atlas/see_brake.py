"""Where the brake assembly is seen from, and what is shown there."""

from __future__ import annotations

from atlas import lining
from atlas.drum import drum
from atlas.stage import Camera
from atlas.view import Shown, View

R = drum("12 in", 6).radius

VIEWS = (
    View("lining", "Brake lining", "lining", Camera((R + 104, -30, 108), (R - 4, 0, 30), 38, (R + 125, 62, 52), (R - 2, 4, 30), 2.6, bench=-6.0, lamp=0.8), lining.lining,
         {"lining": 10.0, "side": 12.0, "ledge": 9.0, "table edge": 8.0, "table": 5.0, "web": 5.0}, 20),
)  # fmt: skip

SHOWN = (
    Shown("lining", "lining", "soaked", lining.soaked),
    Shown("lining", "lining", "cracked through", lining.cracked),
    Shown("lining", "lining", "debonded", lining.debonded),
    Shown("lining", "lining", "glazed", lining.glazed),
)
