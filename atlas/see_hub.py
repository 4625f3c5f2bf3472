"""Where hub, studs and bores are seen from, and what is shown there."""

from __future__ import annotations

from atlas import hub, studs
from atlas.parts import drum_inside
from atlas.stage import Camera
from atlas.view import Shown, View

VIEWS = (
    View("seal bore", "Seal bore", "hub", Camera((0, -70, 106), (0, 26, 33), 30, (30, -70, 130), (0, 25, 28), 1.0, lamp=0.4), drum_inside,
         {"seal bore": 11.0, "seal edge": 11.0, "barrel end": 9.0, "seal floor": 9.0, "cup bore": 8.0, "cup shoulder": 8.0}, 14),
    View("hub face", "Hub face", "hub-face", Camera((30, -165, 150), (4, -38, 8), 44, (-90, -150, 150), (0, -30, 0), 1.0, lamp=0.3), studs.studded,
         {"hub face": 8.0, "pilot": 6.0, "nose": 4.0, "nose end": 6.0, "back": 3.0}, 15),
    View("hub flange", "Hub flange", "hub", Camera((52, -196, 92), (10, -70, 0), 35, (-60, -190, 120), (6, -72, 0), 1.0, lamp=0.3), studs.studded,
         {"hub face": 9.0, "flange edge": 9.0, "pilot": 7.0, "shoulder": 5.0, "nose": 4.0, "back": 4.0}, 24),
    View("pilot", "Pilot", "hub", Camera((89, -122, 60), (28, -42, 4), 30, (9, -156, 70), (26, -45, 4), 1.0, lamp=0.3), studs.studded,
         {"hub face": 8.0, "pilot": 11.0, "shoulder": 6.0, "nose": 4.0, "nose end": 4.0, "back": 3.0}, 18),
    View("studs", "Studs", "studs", Camera((42, -152, 70), (6, -52, 15), 40, (-60, -148, 90), (0, -50, 12), 1.0, lamp=0.35), studs.five,
         {"hub face": 8.0, "pilot": 6.0, "shoulder": 5.0, "nose": 4.0, "nose end": 6.0, "back": 3.0}, 16),
    View("stud break", "Stud, from above", "studs", Camera((14, -118, 92), (0.5, -57, 9), 18, (-60, -100, 70), (0, -57, 9), 1.0, lamp=0.35), studs.five,
         {"hub face": 12.0, "pilot": 8.0, "shoulder": 5.0, "nose": 3.0, "nose end": 4.0, "back": 3.0}, 19),
    View("studs all", "All studs", "studs", Camera((24, -205, 178), (2, -14, 2), 37, (-90, -165, 180), (0, -16, 0), 1.0, lamp=0.3), studs.five,
         {"hub face": 7.0, "pilot": 5.0, "shoulder": 4.0, "nose": 4.0, "nose end": 5.0, "back": 3.0}, 25),
    View("outer cup bore", "Outer cup bore, cup out", "hub", Camera((0, -75, 112), (0, 10, 16), 38, (35, -60, 120), (0, 26, 14), 1.0, lamp=0.4), studs.studded,
         {"cup bore": 11.0, "cap bore": 9.0, "cap floor": 9.0, "cup shoulder": 9.0, "nose end": 8.0, "cap edge": 8.0}, 17),
)  # fmt: skip

SHOWN = (
    Shown("outer cup bore", "cups", "punch, peen or knurl marks", hub.punched),
    Shown("outer cup bore", "cups", "has spun", hub.spun),
    Shown("outer cup bore", "cups", "shim, glue or filler", hub.shimmed),
    Shown("seal bore", "seal bore", "scored", hub.scored),
    Shown("hub flange", "hub", "cracked", hub.cracked),
    Shown("hub face", "hub face", "paint", hub.painted),
    Shown("hub face", "hub face", "rust", hub.rusted),
    Shown("hub face", "hub face", "cut or stepped", hub.cut),
    Shown("hub face", "hub face", "rounded", hub.rounded),
    Shown("pilot", "pilot", "burr", hub.burr),
    Shown("pilot", "pilot", "worn", hub.pilot_worn),
    Shown("studs", "studs", "broken", studs.broken),
    Shown("studs", "studs", "bent", studs.bent),
    Shown("studs", "studs", "necked", studs.necked, ((1, "slight"), (2, "plain"))),
    Shown("studs", "studs", "thread damaged", studs.thread_damaged),
    Shown("studs all", "studs", "all lost", studs.all_lost),
    Shown("studs", "studs", "stud hole enlarged", studs.hole_enlarged),
    Shown("studs", "studs", "rust on the thread", studs.rusted),
    Shown("stud break", "studs", "beach marks in the break", studs.beach_marks),
)
