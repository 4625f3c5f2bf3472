"""Where the spindle is seen from, and what is shown there."""

from __future__ import annotations

from atlas import spindle
from atlas.stage import Camera
from atlas.view import Shown, View

FINE = {
    "inner seat": 9.0,
    "seal land": 9.0,
    "shoulder": 8.0,
    "outer seat": 7.0,
    "taper": 6.0,
    "thread": 10.0,
    "tip": 8.0,
    "neck": 8.0,
    "flange": 3.0,
}
VIEWS = (
    View("spindle", "Spindle", "spindle", Camera((156, -215, 48), (82, 0, 2), 40, (60, -210, 190), (75, 0, 0), 1.0, bench=-260.0, lamp=0.4, air=0.06), spindle.spindle,
         FINE, 44),
    View("spindle seat", "Spindle, inner seat and seal land", "spindle", Camera((62, -118, 62), (30, 0, 1), 38, (-10, -120, 130), (32, 0, 8), 1.0, bench=-260.0, lamp=0.4, air=0.06), spindle.spindle,
         {**FINE, "inner seat": 13.0, "seal land": 13.0, "shoulder": 12.0}, 45),
    View("spindle thread", "Spindle, thread and its end", "spindle", Camera((182, -92, 34), (129, 0, -2), 36, (70, -130, 120), (128, 0, 0), 1.0, bench=-260.0, lamp=0.4, air=0.06), spindle.spindle,
         {**FINE, "outer seat": 12.0, "neck": 14.0, "thread": 18.0, "tip": 16.0}, 46),
)  # fmt: skip

SHOWN = (
    Shown("spindle seat", "spindle", "cracked", spindle.cracked),
    Shown("spindle", "spindle", "blue", spindle.blue),
    Shown("spindle seat", "spindle", "step felt", spindle.stepped),
    Shown("spindle thread", "spindle", "thread stripped", spindle.stripped),
    Shown("spindle", "spindle", "bent", spindle.bent),
    Shown("spindle seat", "spindle", "centre-punched or filled", spindle.punched),
    Shown("spindle seat", "spindle", "seal-land line, not felt", spindle.land_line),
)
