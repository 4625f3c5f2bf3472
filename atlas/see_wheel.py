"""Where wheel, nuts and cap are seen from, and what is shown there."""

from __future__ import annotations

from atlas import cap, nuts, wheel
from atlas.stage import Camera
from atlas.view import Shown, View

VIEWS = (
    View("wheel", "Wheel, eight holes", "wheel", Camera((8, -190, 165), (2, -76, 0), 40, (-120, -180, 120), (0, -80, 0), 1.0, lamp=0.35, bench=-40), wheel.eight, {}, 21),
    View("nuts", "Wheel nuts", "nuts", Camera((18, -218, 104), (2, -58, 8), 39, (-110, -170, 110), (0, -74, 0), 1.0, lamp=0.35, bench=-40), nuts.nutted, {}, 22),
    View("cap", "Dust cap", "cap", Camera((22, -142, 118), (0, -8, 36), 44, (-80, -120, 150), (0, -10, 40), 1.0, lamp=0.35), cap.capped,
         {"hub face": 4.0, "pilot": 4.0, "shoulder": 4.0, "nose": 6.0, "nose end": 7.0, "cap edge": 7.0, "cap bore": 7.0, "back": 2.0}, 23),
)  # fmt: skip

SHOWN = (
    Shown("wheel", "wheel", "oval holes", wheel.oval_holes),
    Shown("wheel", "wheel", "cracked", wheel.cracked),
    Shown("wheel", "wheel", "seat worn", wheel.seat_worn),
    Shown("wheel", "wheel", "paint at seat", wheel.paint_at_seat),
    Shown("nuts", "nuts", "wrong seat", nuts.wrong_seat),
    Shown("nuts", "nuts", "damaged", nuts.damaged),
    Shown("nuts", "nuts", "missing", nuts.missing),
    Shown("nuts", "nuts", "rust streaks", nuts.rust_streaks),
    Shown("cap", "cap", "missing", cap.missing),
    Shown("cap", "cap", "damaged", cap.damaged),
    Shown("cap", "cap", "held by tape or glue", cap.taped),
)
