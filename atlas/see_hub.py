"""Where hub, studs and bores are seen from, and what is shown there."""

from __future__ import annotations

from atlas import hub
from atlas.hub import studded
from atlas.parts import drum_inside
from atlas.stage import Camera
from atlas.view import Shown, View

VIEWS = (
    View("seal bore", "Seal bore", "hub", Camera((0, -85, 128), (0, 8, 28), 42, (30, -70, 130), (0, 25, 28), 1.0, lamp=0.4), drum_inside,
         {"seal bore": 11.0, "seal edge": 11.0, "barrel end": 9.0, "seal floor": 9.0, "cup bore": 8.0, "cup shoulder": 8.0}, 14),
    View("hub face", "Hub face", "hub-face", Camera((30, -165, 150), (4, -38, 8), 44, (-90, -150, 150), (0, -30, 0), 1.0, lamp=0.3), studded,
         {"hub face": 8.0, "pilot": 6.0, "nose": 4.0, "nose end": 6.0, "back": 3.0}, 15),
    View("studs", "Studs", "studs", Camera((48, -165, 62), (6, -55, 14), 34, (-60, -160, 90), (0, -60, 12), 1.0, lamp=0.35), studded,
         {"hub face": 7.0, "pilot": 6.0, "nose": 4.0, "nose end": 6.0, "back": 3.0}, 16),
    View("outer cup bore", "Outer cup bore, cup out", "hub", Camera((0, -75, 112), (0, 10, 16), 38, (35, -60, 120), (0, 26, 14), 1.0, lamp=0.4), studded,
         {"cup bore": 11.0, "cap bore": 9.0, "cap floor": 9.0, "cup shoulder": 9.0, "nose end": 8.0, "cap edge": 8.0}, 17),
)  # fmt: skip

SHOWN = (
    Shown("hub face", "hub face", "paint", hub.painted),
    Shown("hub face", "hub face", "rounded", hub.rounded),
    Shown("studs", "studs", "broken", hub.broken),
    Shown("studs", "studs", "necked", hub.necked),
    Shown("outer cup bore", "cups", "punch, peen or knurl marks", hub.punched),
    Shown("outer cup bore", "cups", "has spun", hub.spun),
    Shown("seal bore", "seal bore", "scored", hub.scored),
)
