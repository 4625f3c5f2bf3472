"""The brake of a wheel end: on the axis as it is bolted up, and face on as it is seen with the hub off."""

from __future__ import annotations

from math import cos, radians, sin

from wheeltapper.report.drawing_ink import Shape, Solid, arc, at, bow, disc, ellipse, line, sector, spot, tube
from wheeltapper.report.drawing_parts import Y, face_on

PX = 596.0  # the plate on the axis
FX, FY, FR = 886.0, 130.0, 88.0  # the plate face on


def plate() -> Shape:
    """The backing plate on the axis, its rim turned in, with centre hole and bolt holes."""
    body = Solid(tube(PX - 4, PX + 2, Y, 70), bow(PX - 1, Y, 70, 90, -90))
    bolts = "".join(disc(*spot(PX - 3, Y, 20, t), 1.9) for t in (45, 135, 225, 315))
    face = Solid(disc(PX - 4, Y, 70), disc(PX - 3, Y, 66), disc(PX - 3, Y, 13) + bolts)
    return Shape((body, face), (PX - 24, Y - 64, PX + 24, Y + 64), marked=False)


def axis_whole() -> Shape:
    """Where the mark of the whole brake stands on the axis."""
    return Shape((), (PX - 26, Y - 62, PX + 22, Y + 62))


def face_whole() -> Shape:
    """Where the mark of the whole brake stands face on."""
    return Shape((), (FX - 64, FY - 64, FX + 64, FY + 64))


def axis_tables() -> Shape:
    """The steel of both shoes on the axis, with the anchor above and the adjuster below."""
    x0, x1, r = PX - 28, PX - 6, 56.0
    near, far = _strip(x0, x1, r, 60, -60), _strip(x0, x1, r, 120, 240)
    web = bow((x0 + x1) / 2, Y, r, 122, 238) + bow((x0 + x1) / 2, Y, r - 9, 236, 124, "L") + "Z"
    post = Solid(tube(PX - 24, PX - 6, Y - 56, 4), disc(PX - 24, Y - 56, 4))
    star = Solid(tube(PX - 20, PX - 12, Y + 55, 5.5), disc(PX - 20, Y + 55, 5.5))
    return Shape(
        (Solid(far), Solid(web), post, star, Solid(near)), (x0 - 20, Y - 46, x1 + 20, Y + 46), marked=False
    )


def _strip(x0: float, x1: float, r: float, t0: float, t1: float) -> str:
    """A curved strip between two places on the axis, from angle t0 to t1 [deg]."""
    return bow(x0, Y, r, t0, t1) + bow(x1, Y, r, t1, t0, "L") + "Z"


def axis_shoes() -> Shape:
    """Both linings on the axis: the far one seen on its edge, the near one from outside with its rivets."""
    x0, x1, r = PX - 29, PX - 7, 62.0
    far = bow(x0, Y, r, 126, 234) + bow(x0, Y, r - 6, 234, 126, "L") + "Z"
    lip = bow(x0, Y, r, 52, -52) + bow(x0, Y, r - 6, -52, 52, "L") + "Z"
    rivets = "".join(disc(*spot(x0 + dx, Y, r, t), 1.6) for t in (36, 12, -12, -36) for dx in (6, 16))
    near = Solid(_strip(x0, x1, r, 52, -52), "", rivets)
    return Shape(
        (Solid(far), near, Solid(lip)),
        (x0 - 24, Y - 48, x1 + 26, Y + 48),
        over=(x0 + 12, Y - 20, x1 + 27, Y + 20),
    )


def axis_magnet() -> Shape:
    """The magnet on the axis, below the centre."""
    body = Solid(tube(PX - 26, PX - 15, Y + 38, 9), disc(PX - 26, Y + 38, 9), disc(PX - 26, Y + 38, 3))
    return Shape((body,), (PX - 31, Y + 29, PX - 10, Y + 47))


def caliper_on_axis() -> Shape:
    """A disc brake on the axis: mount with the caliper over the disc's edge."""
    mount = Solid(tube(PX - 4, PX + 2, Y, 30), disc(PX - 4, Y, 30), disc(PX - 3, Y, 13))
    body = line((PX - 34, Y - 78), (PX + 12, Y - 78), (PX + 16, Y - 70), (PX + 16, Y - 40), (PX + 2, Y - 36), (PX + 2, Y - 62),
                (PX - 20, Y - 62), (PX - 20, Y - 36), (PX - 34, Y - 40), close=True)  # fmt: skip
    arm = Solid(line((PX - 6, Y - 44), (PX + 6, Y - 44), (PX + 4, Y - 26), (PX - 4, Y - 26), close=True))
    return Shape((arm, mount, Solid(body, _piston())), (PX - 34, Y - 78, PX + 16, Y + 28))  # fmt: skip


def _piston() -> str:
    bore = line((PX + 2, Y - 56), (PX + 9, Y - 56), (PX + 9, Y - 41), (PX + 2, Y - 41))
    return (
        bore
        + line((PX - 28, Y - 78), (PX - 28, Y - 70), (PX - 34, Y - 70))
        + line((PX + 2, Y - 78), (PX + 2, Y - 62))
    )


def axis_pads() -> Shape:
    """The two pads in the caliper, friction sides to the disc."""
    left = line((PX - 20, Y - 62), (PX - 14, Y - 62), (PX - 14, Y - 34), (PX - 20, Y - 34), close=True)
    right = line((PX - 4, Y - 62), (PX + 2, Y - 62), (PX + 2, Y - 34), (PX - 4, Y - 34), close=True)
    backs = line((PX - 18, Y - 62), (PX - 18, Y - 34)) + line((PX, Y - 62), (PX, Y - 34))
    return Shape((Solid(left + right, backs),), (PX - 20, Y - 62, PX + 2, Y - 34))


def cable(electric: bool, drum: bool) -> Shape:
    """What feeds the brake, from the plate to its joint: two wires, or the brake line."""
    x, y = (PX + 12, Y + 40) if drum else (PX + 17, Y - 55)
    bend = (22, 10, 20, 46) if drum else (40, 4, -14, 138)
    run = f"M{at(x, y)}C{at(x + bend[0], y + bend[1])} {at(x + bend[2], y + bend[3])} {at(PX + 66, Y + 84)}"
    pair = f"M{at(x, y + 5)}C{at(x + 16, y + 14)} {at(x + 16, y + 53)} {at(x + 54, y + 50)}"
    jx, jy = PX + 66, Y + 87
    joint = line((jx, jy - 6), (jx + 24, jy - 6), (jx + 24, jy + 6), (jx, jy + 6), close=True)
    tail = f"M{at(jx + 24, jy)}C{at(jx + 44, jy)} {at(jx + 50, jy - 10)} {at(jx + 78, jy - 6)}"
    ribs = "".join(line((jx + i, jy - 6), (jx + i, jy + 6)) for i in (6, 12, 18))
    wires = run + (pair if electric else "")
    return Shape((Solid(joint, ribs + wires + tail),), (jx, jy - 6, jx + 24, jy + 6))


def _polar(r: float, t: float) -> tuple[float, float]:
    return FX + r * cos(radians(t)), FY - r * sin(radians(t))


def face_plate() -> Shape:
    """The backing plate face on."""
    holes = "".join(face_on(*_polar(23, t), 2.6) for t in (45, 135, 225, 315))
    lines = face_on(FX, FY, FR - 4) + _ledges()
    return Shape((Solid(face_on(FX, FY, FR), lines, face_on(FX, FY, 15) + holes),), (FX - 62, FY - 62, FX + 62, FY + 62), marked=False)  # fmt: skip


def _ledges() -> str:
    return "".join(line(_polar(FR - 4, t), _polar(FR - 10, t)) for t in (118, 62, 180, 0, 242, 298))


def shoe_webs() -> Shape:
    """The steel of both shoes: table and web, from the anchor at the top to the adjuster at the bottom."""
    left = sector(FX, FY, 52, 69, 108, 247)
    right = sector(FX, FY, 52, 69, -67, 72)
    tables = arc(FX, FY, 66, 108, 247) + arc(FX, FY, 66, -67, 72)
    pins = face_on(*_polar(59, 180), 4.2) + face_on(*_polar(59, 0), 4.2)
    cross = "".join(line((x - 3, y), (x + 3, y)) for x, y in (_polar(59, 180), _polar(59, 0)))
    return Shape(
        (Solid(left, tables), Solid(right, cross, pins)), (FX - 66, FY - 50, FX + 66, FY + 50), marked=False
    )


def linings() -> Shape:
    """The linings: the short one on the leading shoe, the long one behind it."""
    short = sector(FX, FY, 69, 79, 126, 232)
    long = sector(FX, FY, 69, 79, -66, 62)
    rivets = "".join(line(_polar(71, t), _polar(77, t)) for t in (140, 165, 195, 218, 45, 20, -20, -48))
    return Shape(
        (Solid(short + long, rivets),),
        (FX - 79, FY - 55, FX + 79, FY + 55),
        over=(FX + 62, FY - 20, FX + 86, FY + 20),
    )


def springs() -> str:
    """Shoe return springs to the anchor, and the adjuster's spring, as pen lines."""
    anchor = _polar(66, 90)
    ups = _coil(anchor, _polar(60, 138)) + _coil(anchor, _polar(60, 42))
    return ups + _coil(_polar(64, 248), _polar(64, 292))


def _coil(a: tuple[float, float], b: tuple[float, float], turns: int = 9, wide: float = 2.6) -> str:
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = (dx * dx + dy * dy) ** 0.5
    ux, uy = dx / size, dy / size
    points = [a]
    for i in range(turns * 2 + 1):
        s, side = 0.22 + 0.56 * i / (turns * 2), wide * (1 if i % 2 else -1)
        points.append((a[0] + dx * s - uy * side, a[1] + dy * s + ux * side))
    return line(*points, b)


def anchor() -> Shape:
    """The anchor post at the top."""
    return Shape((Solid(face_on(*_polar(66, 90), 7), face_on(*_polar(66, 90), 3.4)),), (FX - 7, FY - 73, FX + 7, FY - 59), marked=False)  # fmt: skip


def adjuster() -> Shape:
    """The star wheel adjuster between the lower ends of the shoes."""
    y = FY + 56
    ends = line((FX - 24, y - 3), (FX - 6, y - 3), (FX - 6, y + 3), (FX - 24, y + 3), close=True)
    ends += line((FX + 6, y - 3), (FX + 24, y - 3), (FX + 24, y + 3), (FX + 6, y + 3), close=True)
    star = line((FX - 5, y - 8), (FX + 5, y - 8), (FX + 5, y + 8), (FX - 5, y + 8), close=True)
    teeth = "".join(line((FX - 5, y - 8 + 2.7 * i), (FX + 5, y - 8 + 2.7 * i)) for i in range(1, 6))
    return Shape((Solid(ends), Solid(star, teeth)), (FX - 24, y - 8, FX + 24, y + 8), marked=False)


def lever() -> Shape:
    """The arm that carries the magnet: pivots beside the anchor, passes the spindle, ends at the magnet."""
    out = f"M{at(FX + 5, FY - 62)}C{at(FX + 34, FY - 46)} {at(FX + 36, FY + 2)} {at(FX + 13, FY + 28)}"
    back = f"L{at(FX + 6, FY + 24)}C{at(FX + 27, FY + 2)} {at(FX + 26, FY - 40)} {at(FX - 2, FY - 55)}Z"
    return Shape((Solid(out + back),), (FX, FY - 60, FX + 34, FY + 28), marked=False)


def magnet() -> Shape:
    """The magnet's working face."""
    x, y = FX + 4, FY + 32
    body = Solid(
        ellipse(x, y, 17, 12.5), ellipse(x, y, 13, 9) + ellipse(x, y, 6.5, 4), ellipse(x, y, 2.2, 1.6)
    )
    return Shape((body,), (x - 14, y - 9, x + 14, y + 9))


def magnet_wires() -> str:
    """The magnet's two wires to the grommet in the plate."""
    x, y = FX - 12, FY + 30
    one = f"M{at(x, y)}C{at(x - 14, y - 2)} {at(x - 22, y - 8)} {at(x - 28, y - 22)}"
    two = f"M{at(x, y + 4)}C{at(x - 18, y + 4)} {at(x - 27, y - 4)} {at(x - 31, y - 20)}"
    return one + two + ellipse(x - 30, y - 23, 4, 3)


def cylinder() -> Shape:
    """The wheel cylinder of a hydraulic drum brake, between the upper ends of the shoes."""
    y = FY - 58
    body = line((FX - 18, y - 8), (FX + 18, y - 8), (FX + 18, y + 8), (FX - 18, y + 8), close=True)
    boots = line((FX - 18, y - 6), (FX - 26, y - 3), (FX - 26, y + 3), (FX - 18, y + 6), close=True)
    boots += line((FX + 18, y - 6), (FX + 26, y - 3), (FX + 26, y + 3), (FX + 18, y + 6), close=True)
    return Shape((Solid(boots), Solid(body, line((FX - 12, y - 8), (FX - 12, y + 8)) + line((FX + 12, y - 8), (FX + 12, y + 8)), face_on(FX, y, 3))), (FX - 18, y - 8, FX + 18, y + 8), marked=False)  # fmt: skip


def face_rotor() -> Shape:
    """The disc face on, behind its caliper."""
    holes = "".join(face_on(*_polar(28, 54 + 72 * i), 3.6) for i in range(5))
    lines = face_on(FX, FY, FR - 3) + face_on(FX, FY, 52) + face_on(FX, FY, 44)
    return Shape((Solid(face_on(FX, FY, FR), lines, face_on(FX, FY, 17) + holes),), (FX - 62, FY - 62, FX + 40, FY + 62))  # fmt: skip


def face_caliper() -> Shape:
    """The caliper face on, over the disc's edge, with its two slide pins."""
    body = sector(FX, FY, 60, FR + 8, -38, 38)
    window = sector(FX, FY, 66, FR - 2, -20, 20)
    pins = face_on(*_polar(72, 31), 4) + face_on(*_polar(72, -31), 4)
    return Shape((Solid(body, window, pins),), (FX + 46, FY - 46, FX + FR + 4, FY + 46))


def face_pads() -> Shape:
    """The pads face on, in the caliper's window."""
    body = sector(FX, FY, 64, FR - 3, -20, 20)
    return Shape((Solid(body, arc(FX, FY, 76, -20, 20)),), (FX + 60, FY - 28, FX + FR - 4, FY + 28))
