"""Where the brake assembly is seen from, and what is shown there."""

from __future__ import annotations

from atlas import adjuster, cylinder, gap, lining, magnet, plate, wiring
from atlas.brake import brake
from atlas.drum import drum
from atlas.stage import Camera
from atlas.view import Shown, View

R, H = drum("12 in", 6).radius, drum("12 in", 6).depth
UP, WALL = (0.0, 1.0, 0.0), -260.0
FINE = {"lining": 10.0, "side": 14.0, "ledge": 9.0, "table edge": 10.0, "table": 5.0, "web": 5.0}

VIEWS = (
    View("lining", "Brake lining", "lining", Camera((R + 118, -34, 72), (R - 6, 2, 26), 38, (R + 120, 40, 2), (R - 2, 4, 26), 2.0, bench=-70.0, lamp=0.8), lining.lining, FINE, 20),
    View("lining_edge", "Brake lining, edge", "lining", Camera((R + 30, -16, H + 92), (R - 7, 3, H - 13), 33, (R + 60, 70, H + 80), (R - 4, 4, H - 10), 2.2, bench=-70.0, lamp=0.6), lining.lining, FINE, 20),
    View("brake", "Drum brake", "brake-assembly", Camera((-60, -150, 520), (0, -6, 20), 46, (-200, 230, 420), (0, -10, 30), 2.0, bench=WALL, up=UP, lamp=0.5), brake, {}, 41),
    View("brake_top", "Anchor, springs and arm", "brake-assembly", Camera((-20, 40, 250), (-4, 92, 35), 44, (-150, 260, 230), (0, 95, 40), 1.3, bench=WALL, up=UP, lamp=0.5), brake, {"top": 7.0, "cable": 9.0}, 41),
    View("brake_adjuster", "Adjuster", "brake-assembly", Camera((-18, -190, 180), (0, -113, 34), 32, (-150, -40, 190), (0, -112, 36), 1.3, bench=WALL, up=UP, lamp=0.5), brake, {"adjuster": 9.0}, 41),
    View("shoe_gap", "Shoe and drum", "brake-assembly", Camera((R - 30, -20, H + 120), (R - 1, 0, H - 4), 34, (R - 70, 60, H + 110), (R - 2, 0, H - 6), 1.2, lamp=0.5), gap.gap, FINE | {"rim": 7.0, "chamfer": 9.0, "band": 4.0}, 11),
    View("plate_rim", "Backing plate, rim", "brake-assembly", Camera((-185, -330, 120), (-52, -128, 10), 34, (-250, -190, 260), (-60, -130, 5), 1.5, bench=WALL, up=(0.2, 0.55, 0.8), lamp=0.5), brake, {"plate": 4.0}, 41),
    View("plate_back", "Backing plate, from behind", "brake-assembly", Camera((-20, -210, 190), (0, -118, 0), 34, (-130, -60, 170), (0, -118, 0), 1.2, bench=WALL, up=UP, lamp=0.5), plate.back, {"back": 6.0}, 43),
    View("wheel_cylinder", "Wheel cylinder", "brake-assembly", Camera((10, 30, 240), (8, 98, 30), 36, (-110, 230, 220), (8, 100, 34), 1.3, bench=WALL, up=UP, lamp=0.5), cylinder.cylinder, {"plate": 4.0, "cylinder": 8.0}, 41),
    View("brake_line", "Brake line and hose", "brake-assembly", Camera((0, -120, 170), (6, 0, 14), 42, (-130, 90, 170), (0, 0, 15), 1.2, bench=WALL, up=UP, lamp=0.5), cylinder.line, {}, 44),
    View("magnet", "Brake magnet", "magnet", Camera((50, -180, 205), (66, -81, 50), 36, (0, -20, 230), (76, -74, 60), 1.3, bench=WALL, up=UP, lamp=0.5), brake, {"magnet": 10.0}, 41),
    View("wiring", "Wires and splices", "supply", Camera((-8, -105, 120), (-8, -2, 0), 42, (-90, 40, 130), (0, 0, 2), 1.2, bench=-140.0, lamp=0.5), wiring.wiring, {}, 45),
)  # fmt: skip

SHOWN = (
    Shown("lining", "lining", "soaked", lining.soaked),
    Shown("lining", "lining", "cracked through", lining.cracked),
    Shown("lining_edge", "lining", "debonded", lining.debonded),
    Shown("lining", "lining", "glazed", lining.glazed),
    Shown("lining_edge", "lining", "worn uneven", lining.uneven),
    Shown("lining_edge", "lining thickness", "thin", lining.thin),
    Shown("shoe_gap", "shoes", "well clear of the drum", gap.clear),
    Shown("brake_adjuster", "adjuster and springs", "adjuster seized", adjuster.seized),
    Shown("brake_top", "adjuster and springs", "spring weak or broken", adjuster.sprung),
    Shown("brake_top", "adjuster and springs", "arm or pivot worn", adjuster.pivot_worn),
    Shown("brake_top", "adjuster and springs", "cable damaged", adjuster.cable_frayed),
    Shown("brake", "backing plate", "film on metal only", plate.filmed),
    Shown("plate_rim", "backing plate", "bent", plate.bent),
    Shown("plate_back", "backing plate", "hole plug missing", plate.unplugged),
    Shown("wheel_cylinder", "wheel cylinder", "weeps", cylinder.weeps),
    Shown("brake_line", "wheel cylinder", "line or hose damaged", cylinder.split),
    Shown("magnet", "magnet", "winding showing", magnet.winding),
    Shown("magnet", "magnet", "face gouged or not flat", magnet.gouged),
    Shown("magnet", "magnet", "soaked", magnet.soaked),
    Shown("magnet", "magnet", "lead damaged", magnet.bared),
    Shown("wiring", "wiring", "wire chafed", wiring.chafed),
    Shown("wiring", "wiring", "splice corroded", wiring.corroded),
    Shown("wiring", "wiring", "broken", wiring.broken),
)
