"""The round trace of a drum band, drawn: how far each reading stands off the fitted circle, made many times larger.

Takes numbers already in the reader's unit and texts already written; it works out nothing but where ink goes. The
smooth line goes through every mark and may swing a little past them between: only the marks were measured.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations
from math import cos, radians, sin

from wheeltapper.report.drawing_ink import ACCENT, DEEP, INK, PAPER, SOFT, line, n, picture, stroke, words

WIDTH, HEIGHT = 320.0, 348.0
X, Y, R = WIDTH / 2, 154.0, 90.0  # the fitted circle
REACH = 22.0  # how far the largest deviation is drawn from it
STUDS = 52.0  # where the studs are drawn
LETTER, ROW = 12.5, 14.0
STEPS = 12  # pieces of the smooth line between two marks
FEW = 16  # so many marks are drawn large
Point = tuple[float, float]


@dataclass(frozen=True)
class Place:
    """A place on the band: its angle [deg clockwise from stud 1], and its words: "2 o'clock", '+0.006 in'."""

    angle: float
    clock: str
    amount: str


@dataclass(frozen=True)
class Trace:
    """A band as read at one depth. Angles in degrees clockwise from stud 1 at the top; amounts in the reader's unit."""

    title: str
    marks: tuple[Point, ...]  # angle, deviation from the fitted circle, outward positive
    inner: float  # the two zone circles, as deviations
    outer: float
    high: Place
    low: Place
    studs: int
    magnified: str  # '400 x'
    offset: (
        tuple[float, float, str] | None
    )  # angle, amount, its words; None where the hub's centre is not known
    captions: tuple[str, ...]  # 'run-out 0.012 in'


def trace(t: Trace) -> str:
    """A Trace as SVG text."""
    spots = f"High place {t.high.clock}, {t.high.amount}; low place {t.low.clock}, {t.low.amount}. " if _uneven(t) else "All equal. "  # fmt: skip
    off = f"Centre off by {t.offset[2]}. " if t.offset else ""
    told = f"{t.title}. {spots}{off}{'; '.join(t.captions)}. Deviations drawn {t.magnified}."
    return picture(WIDTH, HEIGHT, told, [*_ground(t), *_studs(t), *_line(t), *_offset(t), *_places(t), *_captions(t)])  # fmt: skip


def place(angle: float, radius: float, centre: Point = (X, Y)) -> Point:
    """A point at an angle [deg] clockwise from the top."""
    return centre[0] + radius * sin(radians(angle)), centre[1] - radius * cos(radians(angle))


def smooth(marks: Sequence[Point]) -> list[Point]:
    """A closed smooth line of angle and value through every mark, as many short pieces; marks in any order.

    Between two marks a cubic, whose slope at a mark is that of the parabola through it and its two neighbours.
    """
    at = sorted(dict((angle % 360, value) for angle, value in marks).items())
    count = len(at)
    angles = [at[i % count][0] + 360 * (i // count) for i in range(-1, count + 2)]
    values = [at[i % count][1] for i in range(-1, count + 2)]
    out = []
    for i in range(1, count + 1):
        wide = angles[i + 1] - angles[i]
        left, right = (_slope(angles[j - 1 : j + 2], values[j - 1 : j + 2]) for j in (i, i + 1))
        for k in range(STEPS):
            s = k / STEPS
            bow = wide * (left * s * (1 - s) ** 2 - right * s * s * (1 - s))
            out.append((angles[i] + wide * s, values[i] + (values[i + 1] - values[i]) * s * s * (3 - 2 * s) + bow))  # fmt: skip
    return out


def _slope(a: Sequence[float], v: Sequence[float]) -> float:
    """Slope of the parabola through three marks, at the middle one."""
    before, after = a[1] - a[0], a[2] - a[1]
    return ((v[1] - v[0]) / before * after + (v[2] - v[1]) / after * before) / (before + after)


def _uneven(t: Trace) -> bool:
    return t.outer > t.inner


def _scale(t: Trace) -> float:
    """Units of the drawing for one of the reader's; 1 where everything is equal."""
    most = max(abs(v) for v in (t.inner, t.outer, *(value for _, value in t.marks)))
    return REACH / most if most > 0 else 1.0


def circle(x: float, y: float, r: float, width: float, dash: str = "", fill: str = "none") -> str:
    """A circle as drawn with the pen."""
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<circle cx="{n(x)}" cy="{n(y)}" r="{n(r)}" fill="{fill}" stroke="{INK}" stroke-width="{n(width)}"{dashed}/>'


def _ground(t: Trace) -> Iterator[str]:
    """Title, fitted circle, the two zone circles, and the hub's centre."""
    yield words(4, 15, t.title, 14.5, "start", INK, 0.3)
    yield circle(X, Y, R, 0.7, "10 2.5 1.5 2.5")
    if _uneven(t):
        yield circle(X, Y, R + t.inner * _scale(t), 0.5)
        yield circle(X, Y, R + t.outer * _scale(t), 0.5)
    yield stroke(line((X - 5, Y), (X + 5, Y)) + line((X, Y - 5), (X, Y + 5)), 0.6)


def _studs(t: Trace) -> Iterator[str]:
    """Studs face on; the first at the top, filled and named."""
    for i in range(t.studs):
        x, y = place(360 * i / t.studs, STUDS)
        yield circle(x, y, 5.2, 0.8, "", PAPER)
        yield circle(x, y, 2.4, 0.6, "", "none" if i else INK)
    if t.studs:
        yield words(X, Y - STUDS + 19, "stud 1", 12, "middle", SOFT)


def _line(t: Trace) -> Iterator[str]:
    """The smooth line and the marks that it goes through."""
    scale = _scale(t)
    if len({angle % 360 for angle, _ in t.marks}) > 2:
        yield stroke(line(*(place(a, R + v * scale) for a, v in smooth(t.marks)), close=True), 1.5, ACCENT)
    for angle, value in t.marks:
        x, y = place(angle, R + value * scale)
        yield f'<circle cx="{n(x)}" cy="{n(y)}" r="{2.8 if len(t.marks) <= FEW else 1.7}" fill="{INK}"/>'


def _offset(t: Trace) -> Iterator[str]:
    """Where the fitted centre lies from the hub's, as an arrow of a length that can be seen."""
    if t.offset is None:
        return
    angle, amount, said = t.offset
    if amount > 0:
        tip = place(angle, min(max(amount * _scale(t), 11.0), 24.0))
        yield stroke(line((X, Y), tip), 1.3)
        yield stroke(line(tip, *(place(angle + turn, 7.0, tip) for turn in (157, 203)), close=True), 0.8, INK, "", INK)  # fmt: skip
    down = cos(radians(angle)) < -0.2 and amount > 0
    yield words(X, Y - 10 if down else Y + 20, f"off {said}", 12, "middle")


def _places(t: Trace) -> Iterator[str]:
    """High and low place: a filled and an open pointer at the trace, and their words in the corner nearest to each."""
    if not _uneven(t):
        yield words(X, Y + R + REACH + 12, "all readings equal", LETTER, "middle")
        return
    for at, name, corner, fill in zip(
        (t.high, t.low), ("high", "low"), _corners(t), (INK, PAPER), strict=True
    ):
        yield from _pointed(at, name, corner, fill)


def _corners(t: Trace) -> tuple[Point, Point]:
    """Two corners for the words of the high and the low place, left or right and top or bottom as signs: the nearest."""
    spots = [place(at.angle, R + REACH) for at in (t.high, t.low)]

    def far(corners: tuple[Point, Point]) -> float:
        ends = ((X + 132 * side, Y + 105 * low) for side, low in corners)
        return sum((x - ex) ** 2 + (y - ey) ** 2 for (x, y), (ex, ey) in zip(spots, ends, strict=True))

    return min(permutations(((-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)), 2), key=far)


def _pointed(at: Place, name: str, corner: Point, fill: str) -> Iterator[str]:
    side, low = corner
    edge = 4.0 if side < 0 else WIDTH - 4
    top = 36.0 if low < 0 else 2 * Y - 36 - ROW
    outer = R + REACH + 4
    tip, base = place(at.angle, outer), place(at.angle, outer + 9)
    sides = (place(at.angle + turn, outer + 9) for turn in (-3.2, 3.2))
    yield stroke(line(tip, *sides, close=True), 1.0, INK, "", fill)
    wide = 5.4 * max(len(at.clock), len(at.amount), len(name) + 2)
    inner = edge - side * (wide + 3)
    end = (inner, top + ROW - 4) if abs(base[0] - X) < abs(inner - X) else (base[0], top + (20 if low < 0 else -14) + ROW * (low < 0))  # fmt: skip
    yield stroke(line(base, end), 0.5)
    for i, said in enumerate((name, at.clock, at.amount)):
        yield words(edge, top + ROW * i, said, LETTER, "start" if side < 0 else "end", INK, 0.3 if i == 0 else 0)  # fmt: skip


def _captions(t: Trace) -> Iterator[str]:
    """What was found, two to a line, and how much larger it is drawn."""
    top = HEIGHT - 43
    yield stroke(line((4, top), (WIDTH - 4, top)), 0.5, DEEP)
    for i, said in enumerate((*t.captions, f"drawn {t.magnified}")):
        yield words(4 + (WIDTH / 2) * (i % 2), top + 16 + 17 * (i // 2), said, LETTER)
