"""The parts of a wheel end along its axis, outside to inside, in the proportions of a small trailer's.

One unit is 1/13.5 in: a 10 in drum, a 13 in wheel, a bearing a hand can close around. Lengths along the axis
are a little shorter than true, as they look from ahead. Numbers here are places on the drawing, not limits.
"""

from __future__ import annotations

from math import cos, radians, sin

from wheeltapper.report.drawing_ink import (
    YAW,
    Shape,
    Solid,
    arc,
    at,
    bow,
    disc,
    ellipse,
    line,
    spot,
    tube,
)

Y = 132.0  # the axis
STUDS = (40.0, 112.0, 256.0)  # deg; one more is behind the barrel, one in the quarter that is cut away
CIRCLE = 30.0  # radius of the stud circle


def nuts() -> Shape:
    """Five wheel nuts on their circle, seats towards the wheel."""
    places = [spot(22, Y, CIRCLE, 40 + 72 * i) for i in range(5)]
    order = sorted(places, key=lambda p: -p[0])
    return Shape(tuple(_nut(x, y) for x, y in order), (10, Y - 38, 40, Y + 34))


def _nut(x: float, y: float, r: float = 6.6, long: float = 11) -> Solid:
    corner = [(x + YAW * r * cos(radians(a)), y - r * sin(radians(a))) for a in range(90, 450, 60)]
    far = [(px + long, py) for px, py in corner]
    outline = line(corner[0], far[0], far[5], far[4], far[3], corner[3], corner[2], corner[1], close=True)
    edges = line(*corner, close=True) + line(corner[5], far[5]) + line(corner[4], far[4])
    return Solid(outline, edges, disc(x, y, 3.2))


def wheel() -> Shape:
    """A steel wheel: rim with its drop centre, dished disc with hand holes, centre bore and stud holes."""
    x0, x1, r, well = 92.0, 150.0, 93.0, 80.0
    top = [(x0, -r), (x0 + 5, -r), (x0 + 8, -r + 5), (x0 + 14, -r + 6), (x0 + 20, -well), (x1 - 22, -well),
           (x1 - 14, -r + 6), (x1 - 8, -r + 5), (x1 - 5, -r), (x1, -r)]  # fmt: skip
    upper = "M" + "L".join(at(x, Y + y) for x, y in top)
    lower = "".join("L" + at(x, Y - y) for x, y in reversed(top))
    outline = upper + bow(x1, Y, r, 90, -90, "L") + lower + bow(x0, Y, r, 270, 90, "L") + "Z"
    lines = bow(x0 + 5, Y, r, 90, -90) + bow(x1 - 5, Y, r, 64, -64) + bow(x1 - 14, Y, r - 6, 57, -57)
    lines += bow(x1 - 22, Y, well, 50, -50)
    dish = x0 + 21  # how deep the disc sits in the rim
    face = disc(x0 + 3, Y, 84) + disc(x0 + 12, Y, 81) + disc(dish - 1, Y, 76) + disc(dish, Y, 71)
    boss = disc(dish - 6, Y, 41) + disc(dish - 7, Y, 39) + disc(dish - 6, Y, 17.5)
    hands = "".join(_hand_hole(dish - 2, 22.5 + 45 * i) for i in range(8))
    bolts = "".join(disc(*spot(dish - 7, Y, CIRCLE, 40 + 72 * i), 3.8) for i in range(5))
    inner = Solid(
        disc(x0, Y, r - 5), face + boss, hands + bolts + disc(dish - 5, Y, 16.5), window=disc(x0, Y, r - 5)
    )
    rim = (Solid(outline, lines), Solid(disc(x0, Y, r)), inner)
    return Shape(rim, (x0 - 22, Y - 80, x1 + 16, Y + 80))


def _hand_hole(x: float, t: float) -> str:
    return bow(x, Y, 62, t - 8, t + 8) + bow(x, Y, 51, t + 10, t - 10, "L") + "Z"


def cap() -> Shape:
    """The grease cap: dome, flange, and the skirt that is driven into the hub."""
    x, r = 222.0, 13.5
    skirt = Solid(tube(x + 4, x + 13, Y, 12.8))
    flange = Solid(tube(x, x + 3, Y, 16.5), disc(x, Y, 16.5))
    dome = f"M{at(x, Y - r)}L{at(x - 10, Y - r + 1)}C{at(x - 22, Y - r + 3)} {at(x - 22, Y + r - 3)} {at(x - 10, Y + r - 1)}"
    body = Solid(dome + f"L{at(x, Y + r)}" + bow(x, Y, r, -90, 90, "L") + "Z", bow(x - 9, Y, r - 1, 80, -80))
    return Shape((skirt, flange, body), (x - 19, Y - 15, x + 18, Y + 15))


def locks() -> Shape:
    """Spindle nut, tang washer and cotter pin: always new or refitted with the bearing, no call of their own."""
    x, r = 256.0, 11.0
    nut = _nut(x, Y, r, 9)
    slots = "".join(line(spot(x, Y, r - 1, t), spot(x, Y, r - 4.5, t)) for t in range(0, 360, 60))
    body = Solid(nut.outline, nut.lines + slots, disc(x, Y, 6))
    washer = Solid(tube(x + 18, x + 20, Y, 10.5), disc(x + 18, Y, 10.5), disc(x + 18, Y, 6))
    pin = Solid(ellipse(x + 4, Y - 29, 2.6, 3.4), line((x + 3.2, Y - 26), (x + 3.2, Y - 15)) + line((x + 5, Y - 26), (x + 5, Y - 13)))  # fmt: skip
    return Shape((washer, body, pin), (x, Y - 30, x + 24, Y + 12))


def outer_bearing() -> Shape:
    """Cone and cup of the outer bearing, the cone's wide end outside."""
    cup = Solid(tube(317, 325, Y, 16.5), disc(317, Y, 16.5), disc(317.5, Y, 13.6))
    return Shape((cup, *_cone(296, 16, 12, 7.2)), (290, Y - 17, 330, Y + 17))


def inner_bearing() -> Shape:
    """Cup and cone of the inner bearing, the cone's wide end inside."""
    cup = Solid(tube(467, 475, Y, 17.5), disc(467, Y, 17.5), disc(467.5, Y, 15.4))
    return Shape((*_cone(487, 13, 17.5, 9.2), cup), (461, Y - 18, 506, Y + 18))


def _cone(x: float, r0: float, r1: float, bore: float) -> tuple[Solid, ...]:
    """A tapered cone with its rollers, from radius r0 to r1 over 12 units."""
    rollers = "".join(line(spot(x, Y, r0 - 0.8, t), spot(x + 12, Y, r1 - 0.5, t)) for t in range(-75, 90, 15))
    barrel = Solid(tube(x, x + 12, Y, r0, r1), rollers)
    face = Solid(disc(x, Y, r0), disc(x, Y, (r0 + bore) / 2 + 0.6), disc(x, Y, bore))
    return barrel, face


def hub_drum() -> Shape:
    """Hub and drum in one casting: upper half from outside, lower half cut open along the axis."""
    back = Solid(f"M{at(348, Y)}" + bow(378, Y, 74, 180, 270, "L") + _cut_edge() + "Z")
    inside = line((383, Y + 19), (383, Y + 67), (419, Y + 67)) + bow(419, Y, 67, 270, 197, "L") + "Z"
    bore = line((344, Y), (344, Y + 12.6), (354, Y + 12.6), (354, Y + 11), (400, Y + 11), (400, Y + 15.5), (410, Y + 15.5), (410, Y), close=True)  # fmt: skip
    cavity = Solid(inside, "", bore + line((344, Y), (344, Y)))
    metal = _section()
    outside = Solid(
        bow(378, Y, 74, 180, 90) + f"L{at(413, Y - 74)}L{at(413, Y - 77)}L{at(419, Y - 77)}" + bow(419, Y, 77, 90, 0, "L") + "Z",
        bow(378, Y, 74, 90, 0) + bow(413, Y, 77, 90, 0) + bow(382, Y, 74, 90, 0) + bow(376, Y, 69, 180, 12),
    )  # fmt: skip
    return Shape((back, cavity, metal, outside), (356, Y - 66, 440, Y + 66))


def _cut_edge() -> str:
    return "".join("L" + at(x, Y + r) for x, r in ((413, 74), (413, 77), (419, 77), (419, 67), (383, 67), (383, 19), (410, 19), (410, 0)))  # fmt: skip


def _section() -> Solid:
    """The cut metal of hub and drum below the axis: barrel with both cup seats, flange, web, band and lip."""
    profile = ((344, 12.6), (344, 17.5), (370, 17.5), (370, 42), (378, 46), (378, 74), (413, 74), (413, 77), (419, 77),
               (419, 67), (383, 67), (383, 54), (385, 52), (385, 36), (383, 34), (383, 19), (410, 19), (410, 15.5), (400, 15.5),
               (400, 11), (354, 11), (354, 12.6))  # fmt: skip
    outline = line(*((x, Y + r) for x, r in profile), close=True)
    cups = line((344, Y + 12.6), (354, Y + 12.6), (354, Y + 8.5), (344, Y + 10.5), close=True)
    cups += line((400, Y + 15.5), (408, Y + 15.5), (408, Y + 13), (400, Y + 10), close=True)
    return Solid(outline, line((344, Y), (449.8, Y)), cups, cut=outline)


def hub_face() -> Shape:
    """The face that the wheel is clamped to, with the pilot barrel in front of it."""
    face = bow(370, Y, 42, 180, 90) + f"L{at(378, Y - 46)}" + bow(378, Y, 46, 90, 0, "L") + "Z"
    ring = Solid(bow(370, Y, 42, 270, 90, f"M{at(370, Y)}L") + bow(370, Y, 42, 90, 0, "L") + "Z", bow(370, Y, 24, 0, 250))  # fmt: skip
    edge = Solid(face)
    barrel = Solid(bow(344, Y, 17.5, 180, 90) + bow(370, Y, 17.5, 90, 0, "L") + "Z", bow(344, Y, 17.5, 90, 0))
    end = Solid(bow(344, Y, 17.5, 270, 90, f"M{at(344, Y)}L") + bow(344, Y, 17.5, 90, 0, "L") + "Z", "", bow(344, Y, 12.6, 270, 0) + f"L{at(344, Y)}Z")  # fmt: skip
    return Shape((edge, ring, barrel, end), (354, Y - 40, 386, Y - 17))


def studs() -> Shape:
    """The wheel studs in the hub face; one of them lies in the cut."""
    bodies = tuple(_stud(*spot(370, Y, CIRCLE, t)) for t in sorted(STUDS, key=lambda t: -cos(radians(t))))
    return Shape(bodies, (340, Y - 34, 366, Y + 34))


def _stud(x: float, y: float, r: float = 3.3, long: float = 23) -> Solid:
    tip = x - long
    outline = f"M{at(tip, y - r)}L{at(x, y - r)}A{at(YAW * r, r)} 0 0 1 {at(x, y + r)}L{at(tip, y + r)}A{at(YAW * r, r)} 0 0 1 {at(tip, y - r)}Z"
    thread = "".join(line((tip + i * 2.6 + 1, y - r), (tip + i * 2.6 + 2, y + r)) for i in range(1, 7))
    return Solid(outline, thread + ellipse(tip, y, YAW * r, r))


def rotor() -> Shape:
    """A vented disc, cast in one with its hub."""
    edge = tube(396, 410, Y, 72)
    vents = "".join(line(spot(399, Y, 72, t), spot(407, Y, 72, t)) for t in range(-80, 85, 8))
    faces = Solid(disc(396, Y, 72), disc(396, Y, 45) + disc(396, Y, 69))
    return Shape((Solid(edge, bow(399, Y, 72, 90, -90) + bow(407, Y, 72, 90, -90) + vents), faces), (372, Y - 66, 432, Y + 66))  # fmt: skip


def disc_hub() -> Shape:
    """The hat between a disc and the face of its hub: one casting with the disc."""
    hat = Solid(tube(374, 396, Y, 43))
    return Shape((hat,), (364, Y - 42, 410, Y + 42), marked=False)


def disc_face() -> Shape:
    """The clamped face of a disc brake's hub and its barrel."""
    ring = Solid(disc(374, Y, 43), disc(374, Y, 24))
    barrel = Solid(tube(344, 374, Y, 17.5))
    end = Solid(disc(344, Y, 17.5), "", disc(344, Y, 12.6))
    return Shape((ring, barrel, end), (356, Y - 41, 392, Y - 17))


def seal() -> Shape:
    """The grease seal with its lip."""
    body = Solid(tube(516, 523, Y, 17), disc(516, Y, 17) + disc(516, Y, 14) + disc(516.5, Y, 12.6), disc(516.5, Y, 11))  # fmt: skip
    return Shape((body,), (510, Y - 17, 530, Y + 17))


def spindle() -> Shape:
    """Spindle from its threaded end to the seal land and the brake flange."""
    x = 632.0
    flange = Solid(tube(x + 80, x + 85, Y, 24), disc(x + 80, Y, 24) + "".join(disc(*spot(x + 80, Y, 19, t), 2) for t in (45, 135, 225, 315)))  # fmt: skip
    land = Solid(tube(x + 66, x + 80, Y, 11.8), disc(x + 66, Y, 11.8))
    seat = Solid(tube(x + 50, x + 66, Y, 9.4), disc(x + 50, Y, 9.4))
    shank = Solid(tube(x + 28, x + 50, Y, 7.3, 9.0), "")
    outer = Solid(tube(x + 14, x + 28, Y, 7.3), disc(x + 14, Y, 7.3))
    threads = "".join(bow(x + 2.2 * i, Y, 6.5, 90, -90) for i in range(1, 7))
    thread = Solid(tube(x, x + 14, Y, 6.5), threads + disc(x, Y, 6.5), ellipse(x + 7, Y - 2, 1.2, 1.8))
    return Shape((flange, land, seat, shank, outer, thread), (x - 2, Y - 12, x + 82, Y + 12))


def axle() -> Shape:
    """The axle tube behind the brake flange, broken off."""
    x, r = 717.0, 16.5
    end = f"C{at(x + 52, Y - 8)} {at(x + 60, Y - 5)} {at(x + 54, Y)}S{at(x + 50, Y + 12)} {at(x + 56, Y + r)}"
    outline = f"M{at(x, Y - r)}L{at(x + 56, Y - r)}{end}L{at(x, Y + r)}" + bow(x, Y, r, -90, 90, "L") + "Z"
    return Shape((Solid(outline, line((x + 8, Y + 9), (x + 50, Y + 9))),), (x + 8, Y - 14, x + 54, Y + 14))


def face_on(x: float, y: float, r: float) -> str:
    """A circle seen face on."""
    return arc(x, y, r, 0, 180) + arc(x, y, r, 180, 360, "L") + "Z"
