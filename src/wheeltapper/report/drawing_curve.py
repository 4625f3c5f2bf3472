"""A curve with the band of its doubt: a fit against temperature, a drum that cools, anything y over x.

Numbers come in the reader's unit and texts already written; only coordinates are worked out here. Lines to be told
apart differ by how they are drawn and by their words, never by colour alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from wheeltapper.report.drawing_ink import ACCENT, DEEP, INK, PAPER, SOFT, line, n, picture, stroke, words

WIDTH = 500.0
LEFT, RIGHT, TOP, BOTTOM = 50.0, 492.0, 46.0, 192.0  # the field
KEY = 258.0  # first base line of what each line is
LETTER, LETTER_WIDE, ROW = 15.0, 6.6, 19.0  # and about how wide one letter is
DASHES = ("", "8 3", "2.5 2.5", "8 3 2 3")
Point = tuple[float, float]


@dataclass(frozen=True)
class Line:
    """One curve: x, y, and the low and high ends of its doubt; and what it is."""

    said: str  # 'new', 'after 0.001 in of wear'
    x: tuple[float, ...]
    y: tuple[float, ...]
    low: tuple[float, ...] = ()  # both empty: no band is drawn
    high: tuple[float, ...] = ()


@dataclass(frozen=True)
class Level:
    """A level right across: where the cup lets go, a limit. `past` says which side is hatched, if either."""

    y: float
    said: str
    past: str = ""  # 'below', 'above' or ''


@dataclass(frozen=True)
class Mark:
    """An x that matters: the hub as found. `y` puts a ring on a curve there."""

    x: float
    said: str
    y: float | None = None


@dataclass(frozen=True)
class Curve:
    """The whole figure."""

    title: str
    x_said: str  # 'hub temperature, °F'
    y_said: str  # 'interference, thousandths of an inch'
    lines: tuple[Line, ...]
    level: Level | None = None
    marks: tuple[Mark, ...] = ()
    captions: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Field:
    """From the reader's numbers to the paper."""

    x: tuple[float, ...]  # the numbers written along each axis; the first and last are its ends
    y: tuple[float, ...]

    def at(self, x: float, y: float) -> Point:
        """A point on the paper, kept inside the field."""
        right = (min(max(x, self.x[0]), self.x[-1]) - self.x[0]) / (self.x[-1] - self.x[0])
        up = (min(max(y, self.y[0]), self.y[-1]) - self.y[0]) / (self.y[-1] - self.y[0])
        return LEFT + right * (RIGHT - LEFT), BOTTOM - up * (BOTTOM - TOP)


def curve(c: Curve) -> str:
    """A Curve as SVG text."""
    field = _field(c)
    level = f"{c.level.said} at {c.level.y:g}. " if c.level else ""
    marks = "".join(f"{m.said} at {m.x:g}. " for m in c.marks)
    told = f"{c.title}: {c.y_said} over {c.x_said}. {'; '.join(_told(one) for one in c.lines)}. {level}{marks}{'; '.join(c.captions)}"
    key, foot = _key(c)
    body = [*_bands(c, field), *_axes(c, field), *_lines(c, field), *_level(c, field), *_marks(c, field), *key, *_captions(c, foot)]  # fmt: skip
    return picture(WIDTH, foot + ROW * ((len(c.captions) + 1) // 2) + 6, told.strip(), body)


def _told(one: Line) -> str:
    return f"{one.said}: from {one.y[0]:.3g} at {one.x[0]:g} to {one.y[-1]:.3g} at {one.x[-1]:g}"


def steps(low: float, high: float, most: int) -> tuple[float, ...]:
    """Round numbers from at or under low to at or over high, at most so many steps apart by 1, 2 or 5."""
    if high <= low:
        low, high = low - 1, high + 1
    rough = (high - low) / most
    ten = 10.0 ** floor(log10(rough))
    for step in (ten, 2 * ten, 5 * ten, 10 * ten, 20 * ten):
        first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
        if last - first <= most:
            break
    return tuple(i * step for i in range(first, last + 1))


def _field(c: Curve) -> _Field:
    x = [v for one in c.lines for v in one.x] + [m.x for m in c.marks]
    y = [v for one in c.lines for v in (*one.y, *one.low, *one.high)] + ([c.level.y] if c.level else [])
    return _Field(steps(min(x, default=0.0), max(x, default=1.0), 9), steps(min(y, default=0.0), max(y, default=1.0), 6))  # fmt: skip


def _bands(c: Curve, field: _Field) -> Iterator[str]:
    """The doubt of each curve, shaded, its ends thin; all under the lines."""
    for one in c.lines:
        if one.low and one.high:
            low, high = (
                [field.at(*p) for p in zip(one.x, side, strict=True)] for side in (one.low, one.high)
            )
            yield f'<path d="{line(*low, *reversed(high), close=True)}" fill="{DEEP}" fill-opacity="0.22"/>'
            yield stroke(line(*low) + line(*high), 0.4, SOFT)


def _axes(c: Curve, field: _Field) -> Iterator[str]:
    yield words(4, 15, c.title, 16.5, "start", INK, 0.3)
    yield words(4, 36, c.y_said, LETTER, "start", SOFT)
    yield words(RIGHT, BOTTOM + 41, c.x_said, LETTER, "end", SOFT)
    yield stroke(line((LEFT, TOP), (LEFT, BOTTOM), (RIGHT, BOTTOM)), 0.9)
    for x in field.x:
        px, py = field.at(x, field.y[0])
        yield stroke(line((px, py), (px, py + 4)), 0.7)
        yield words(px, py + 22, _number(x, field.x), LETTER, "end" if x == field.x[-1] else "middle")
    for y in field.y:
        px, py = field.at(field.x[0], y)
        yield stroke(line((px - 4, py), (px, py)), 0.7) + stroke(line((px, py), (RIGHT, py)), 0.25, DEEP)
        yield words(px - 7, py + 5, _number(y, field.y), LETTER, "end")


def _number(value: float, among: Sequence[float]) -> str:
    """A number of an axis with as many decimals as its steps need; a true minus sign."""
    step = among[1] - among[0]
    text = f"{value:.{max(0, -floor(log10(step) + 1e-9))}f}"
    return text.replace("-", "−") if float(text) else text.lstrip("-")


def _level(c: Curve, field: _Field) -> Iterator[str]:
    """The level, drawn double like the limit of a ruler; short slants on its bad side."""
    if c.level is None:
        return
    _, y = field.at(field.x[0], c.level.y)
    yield stroke(line((LEFT, y), (RIGHT, y)) + line((LEFT, y + 2.4), (RIGHT, y + 2.4)), 0.9)
    side = {"below": 1, "above": -1}.get(c.level.past, 0)
    if side:
        near, far = (y + 2.4, y + 9) if side > 0 else (y - 7, y)
        yield stroke("".join(line((x - 5, far), (x, near)) for x in range(int(LEFT) + 8, int(RIGHT), 7)), 0.5)
    far_off = [
        abs(one.y[0] - c.level.y) > abs(one.y[-1] - c.level.y) for one in c.lines
    ]  # where the first line leaves room
    x, anchor = (LEFT + 6, "start") if not far_off or far_off[0] else (RIGHT - 4, "end")
    yield _plated(x, y + (17 if c.level.past == "above" else -5), c.level.said, anchor)


def _lines(c: Curve, field: _Field) -> Iterator[str]:
    for i, one in enumerate(c.lines):
        points = [field.at(*p) for p in zip(one.x, one.y, strict=True)]
        yield stroke(line(*points), *_pen(i))


def _pen(i: int) -> tuple[float, str, str]:
    """How the i-th line is drawn: width, colour and dashes."""
    return (1.7, ACCENT, "") if i == 0 else (1.3, INK, DASHES[i % len(DASHES)])


def _marks(c: Curve, field: _Field) -> Iterator[str]:
    """Each x that matters: a pointer at the axis, a dashed line up, a ring where it meets a curve, its words on top."""
    for i, m in enumerate(sorted(c.marks, key=lambda m: m.x)):
        x, bottom = field.at(m.x, field.y[0])
        yield stroke(line((x, bottom), (x, TOP - 2)), 0.7, INK, "4 3")
        yield stroke(
            line((x, bottom), (x - 4, bottom + 7), (x + 4, bottom + 7), close=True), 0.9, INK, "", INK
        )
        if m.y is not None:
            px, py = field.at(m.x, m.y)
            yield f'<circle cx="{n(px)}" cy="{n(py)}" r="4" fill="{PAPER}" stroke="{INK}" stroke-width="1.3"/>'
        wide = LETTER_WIDE * len(m.said)
        end = x + 5 + wide > RIGHT
        yield _plated(x - 5 if end else x + 5, TOP + 13 + 17 * (i % 3), m.said, "end" if end else "start")


def _plated(x: float, y: float, said: str, anchor: str, colour: str = INK) -> str:
    """Lettering over lines, with a rim of paper about it."""
    return words(x, y, said, LETTER, anchor, PAPER, 4) + words(x, y, said, LETTER, anchor, colour)


def _key(c: Curve) -> tuple[list[str], float]:
    """What each line and the shading is, in rows; and the last base line."""
    out, x, y = [], 4.0, KEY
    band = f'<rect x="0" y="-11" width="26" height="12" fill="{DEEP}" fill-opacity="0.22" stroke="{SOFT}" stroke-width="0.4"/>'
    samples = [(one.said, stroke(line((0, -5), (26, -5)), *_pen(i))) for i, one in enumerate(c.lines)]
    for said, sample in [
        *samples,
        *([("doubt", band)] if any(one.low and one.high for one in c.lines) else []),
    ]:
        wide = 32 + LETTER_WIDE * len(said)
        if x > 4 and x + wide > WIDTH:
            x, y = 4.0, y + ROW
        out.append(f'<g transform="translate({n(x)} {n(y)})">{sample}</g>' + words(x + 32, y, said, LETTER))
        x += wide + 16
    return out, y


def _captions(c: Curve, foot: float) -> Iterator[str]:
    """What was found, two to a row."""
    for i, said in enumerate(c.captions):
        yield words(4 + WIDTH / 2 * (i % 2), foot + ROW * (i // 2 + 1), said, LETTER)
