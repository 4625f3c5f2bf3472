"""Ink and paper for the drawings: outlines as SVG path text, and the six ways in which a call is drawn.

Every call is a way of drawing, readable in black and white: no call is told by its colour alone. Nothing here
knows what a wheel end looks like; that is in `drawing_parts` and `drawing_brake`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import cos, radians, sin
from xml.sax.saxutils import escape, quoteattr

from wheeltapper.words import CallWord

PAPER, INK, ACCENT = "#FBF7EE", "#1B2A41", "#B4452C"
SHADE, SOFT, DEEP = "#EFE7D6", "#4A566A", "#8C94A1"  # paper in shadow, lettering without a call, half fill
SANS, WIDE = "Routed Gothic", 16  # smaller lettering than WIDE is set narrow
YAW = 0.40  # how far a circle seen from outside and ahead opens: half width over half height

Call = CallWord | None  # None: nobody looked
Box = tuple[float, float, float, float]  # left, top, right, bottom


@dataclass(frozen=True)
class Solid:
    """One body: its outline, lines on it, dark openings, what is cut open, and what lines and openings end at."""

    outline: str
    lines: str = ""
    holes: str = ""
    cut: str = ""
    window: str = ""


@dataclass(frozen=True)
class Shape:
    """A part of the wheel end as solids from back to front, and the box that its mark is drawn in."""

    solids: tuple[Solid, ...]
    box: Box
    marked: bool = True  # no: the bar or question mark stands on another piece of the same part
    over: Box | None = None  # where the bar or question mark stands, if not over the whole box


def n(value: float) -> str:
    """A coordinate in at most two decimals, the same on every run."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def at(x: float, y: float) -> str:
    """A point as path text."""
    return f"{n(x)} {n(y)}"


def line(*points: tuple[float, float], close: bool = False) -> str:
    """Straight lines from point to point."""
    return "M" + "L".join(at(x, y) for x, y in points) + ("Z" if close else "")


def ellipse(x: float, y: float, rx: float, ry: float) -> str:
    """A whole ellipse."""
    turn = f"A{at(rx, ry)} 0 1 1 "
    return f"M{at(x - rx, y)}{turn}{at(x + rx, y)}{turn}{at(x - rx, y)}Z"


def disc(x: float, y: float, r: float) -> str:
    """A circle across the axis, seen from outside and ahead."""
    return ellipse(x, y, YAW * r, r)


def spot(x: float, y: float, r: float, t: float) -> tuple[float, float]:
    """The point at angle t [deg] of a circle across the axis; 0 is towards the reader, 90 on top."""
    return x + YAW * r * cos(radians(t)), y - r * sin(radians(t))


def bow(x: float, y: float, r: float, t0: float, t1: float, start: str = "M") -> str:
    """An arc of a circle across the axis, from angle t0 to t1 [deg]."""
    return f"{start}{at(*spot(x, y, r, t0))}{_turn(YAW * r, r, t0, t1)}{at(*spot(x, y, r, t1))}"


def arc(x: float, y: float, r: float, t0: float, t1: float, start: str = "M") -> str:
    """An arc of a circle seen face on, from angle t0 to t1 [deg], anticlockwise from 3 o'clock."""
    x0, y0 = x + r * cos(radians(t0)), y - r * sin(radians(t0))
    x1, y1 = x + r * cos(radians(t1)), y - r * sin(radians(t1))
    return f"{start}{at(x0, y0)}{_turn(r, r, t0, t1)}{at(x1, y1)}"


def _turn(rx: float, ry: float, t0: float, t1: float) -> str:
    return f"A{at(rx, ry)} 0 {int(abs(t1 - t0) > 180)} {int(t1 < t0)} "


def sector(x: float, y: float, r0: float, r1: float, t0: float, t1: float) -> str:
    """A piece of a ring seen face on, between radii r0 and r1 and angles t0 and t1 [deg]."""
    return arc(x, y, r1, t0, t1) + arc(x, y, r0, t1, t0, "L") + "Z"


def tube(x0: float, x1: float, y: float, r0: float, r1: float | None = None) -> str:
    """The outline of a round body along the axis, its left end towards the reader."""
    r1 = r0 if r1 is None else r1
    return bow(x1, y, r1, 90, -90, f"M{at(x0, y - r0)}L") + bow(x0, y, r0, 270, 90, "L") + "Z"


def stroke(path: str, width: float = 0.8, colour: str = INK, dash: str = "", fill: str = "none") -> str:
    """A path as drawn with the pen."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path d="{path}" fill="{fill}" fill-rule="evenodd" stroke="{colour}" stroke-width="{n(width)}" '
        f'stroke-linejoin="round" stroke-linecap="round"{dashed}/>'
    )


def words(
    x: float, y: float, said: str, size: float = 13, anchor: str = "start", colour: str = INK, bold: float = 0
) -> str:
    """Lettering; bold [units] thickens the pen, since drawing letters have one line width."""
    pen = f' stroke="{colour}" stroke-width="{n(bold)}"' if bold else ""
    narrow = ' font-stretch="condensed"' if size < WIDE else ""
    return (
        f'<text x="{n(x)}" y="{n(y)}" font-family="{SANS}"{narrow} font-size="{n(size)}" '
        f'text-anchor="{anchor}" fill="{colour}"{pen}>{escape(said)}</text>'
    )


def picture(width: float, height: float, title: str, body: Iterable[str]) -> str:
    """A whole SVG picture with its accessible name."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {n(width)} {n(height)}" width="{n(width)}" '
        f'height="{n(height)}" role="img" aria-label={quoteattr(title)}><title>{escape(title)}</title>{"".join(body)}</svg>\n'
    )


def drawn(shape: Shape, call: Call, key: str) -> str:
    """A part with its call drawn on it; key names its clip paths, unlike any other on the page."""
    bodies = [_solid(s, shape.box, call, f"{key}-{i}") for i, s in enumerate(shape.solids)]
    return "".join(bodies) + (_over(shape.over or shape.box, call) if shape.marked else "")


def mark(call: Call, key: str, x: float = 0, y: float = 0, width: float = 18, height: float = 11) -> str:
    """The small mark of a call: a box drawn the way the part itself is drawn."""
    box = (x, y, x + width, y + height)
    sides = line((x, y), (x + width, y), (x + width, y + height), (x, y + height), close=True)
    return drawn(Shape((Solid(sides),), box), call, key)


def _solid(s: Solid, box: Box, call: Call, key: str) -> str:
    fill = ACCENT if call == "replace" else PAPER
    fine = PAPER if call == "replace" else INK
    width, dash = {"recheck": (1.5, "0.1 3.1"), None: (0.9, "4.5 2.8")}.get(call, (1.05, ""))
    parts = [f'<path d="{s.outline}" fill="{fill}"/>', _filled(s.outline, box, call, key)]
    if s.cut:
        parts.append(f'<path d="{s.cut}" fill="{INK}" fill-opacity="0.2"/>')
    inner = stroke(s.holes, 0.7, INK, fill=SHADE) if s.holes else ""
    inner += stroke(s.lines, 0.7, fine, dash if call is None else "") if s.lines else ""
    parts.append(_clipped(inner, s.window, f"{key}-in") if s.window else inner)
    parts.append(stroke(s.outline, width, INK, dash))
    return "".join(parts)


def _filled(outline: str, box: Box, call: Call, key: str) -> str:
    """What a call lays over the paper inside an outline: slanted lines, or ink in the lower half."""
    if call not in {"dress", "owner decides"}:
        return ""
    x0, y0, x1, y1 = box
    if call == "dress":
        inside = stroke(_slants(box), 1.0, ACCENT)
    else:
        middle = (y0 + y1) / 2
        inside = f'<rect x="{n(x0 - 60)}" y="{n(middle)}" width="{n(x1 - x0 + 120)}" height="{n(y1 - middle + 2)}" fill="{DEEP}"/>'
    return _clipped(inside, outline, key)


def _clipped(body: str, outline: str, key: str) -> str:
    return f'<clipPath id="{key}"><path d="{outline}"/></clipPath><g clip-path="url(#{key})">{body}</g>'


def _slants(box: Box) -> str:
    x0, y0, x1, y1 = box[0] - 26, box[1] - 20, box[2] + 26, box[3] + 20
    high, gap = y1 - y0, 4.2
    count = int((x1 - x0 + high) / gap) + 1
    return "".join(line((x0 + i * gap - high, y1), (x0 + i * gap, y0)) for i in range(1, count))


def _over(box: Box, call: Call) -> str:
    """What a call lays over the whole part: the bar of a replaced one, the question of an open one."""
    x0, y0, x1, y1 = box
    if call == "replace":
        reach = min(4.0, 0.25 * (x1 - x0))
        bar = line((x0 - reach, y1 + 1), (x1 + reach, y0 - 1))
        heavy = 2.6 if y1 - y0 > 14 else 1.7
        return stroke(bar, heavy + 2.4, PAPER) + stroke(bar, heavy)
    if call == "recheck":
        size = min(24.0, max(9.0, 0.62 * (y1 - y0)))
        x, y = (x0 + x1) / 2, (y0 + y1) / 2
        halo = f'<circle cx="{n(x)}" cy="{n(y)}" r="{n(size * 0.56)}" fill="{PAPER}"/>' if size > 9 else ""
        return halo + words(x, y + size * 0.36, "?", size, "middle", INK, size * 0.05)
    return ""
