"""The picture of a measured mark, and of a photo with a person's own notes: the photo, what was drawn on it, and words.

Lengths, places and the bar come ready from the caller, in the photo's pixels: nothing is measured here, and nothing is
said of what the mark is. The photo itself stays as it was received.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin

from PIL import Image

from wheeltapper.problems import Problem
from wheeltapper.report.drawing_ink import ACCENT, INK, SOFT
from wheeltapper.report.mark_ink import (
    LEADING,
    MOST_SIDE,
    Pixels,
    Point,
    Stroke,
    arrow,
    as_bytes,
    broken,
    fitted,
    framed,
    label,
    letter,
    moved,
    on,
    ring,
)

ROOM = 0.06  # of what is shown, left free around it
NARROWEST = 0.62  # height to width, and width to height, of what is cut out
LONG_TEXT = 120  # letters of a caption


@dataclass(frozen=True)
class Mark:
    """A measured line in the photo's pixels, and the words that go with it."""

    line: tuple[Point, ...]
    ends: tuple[Point, Point]
    bar: tuple[Point, Point] | None  # a known length laid into the photo
    bar_said: str  # '10 mm'
    length: str  # '17.5 ± 0.9 mm end to end'
    said: tuple[str, ...] = ()  # '1-curb · trailer 12', 'under 0.2 mm wide'
    around: tuple[Point, ...] = ()  # what else must be seen, such as the card's corners


@dataclass(frozen=True)
class Arrow:
    """Points at something."""

    start: Point
    tip: Point


@dataclass(frozen=True)
class Ring:
    """Goes round something."""

    middle: Point
    radius: float


@dataclass(frozen=True)
class Caption:
    """Says something, at a place or under the picture."""

    text: str
    at: Point | None = None


Note = Arrow | Ring | Caption


def mark_picture(pixels: Pixels, mark: Mark, kind: str = "jpeg") -> bytes:
    """The photo around a mark and its card, with the line, its ends, the bar, and the words below.

    Args:
        pixels: the upright photo, (rows, columns, 3).
        mark: what to draw.
        kind: jpeg or png.

    Returns:
        The file's bytes, without any metadata.
    """
    left, top, right, low = cut(pixels, (*mark.line, *mark.ends, *(mark.bar or ()), *mark.around))
    picture, scale = fitted(pixels[top:low, left:right])
    strokes, slips = inked(mark, scale, left, top, max(picture.size) / MOST_SIDE)
    picture = on(picture, strokes)
    for at, text in slips:
        label(picture, at, (text,), _size(picture, 30))
    return as_bytes(_worded(picture, (mark.length,), mark.said), kind)


def cut(pixels: Pixels, points: Sequence[Point], room: float = ROOM) -> tuple[int, int, int, int]:
    """What of a photo to show around points: left, top, right and bottom, never slim and never outside.

    Args:
        pixels: the photo, (rows, columns, 3).
        points: what must be seen.
        room: share of it that is left free on each side.

    Returns:
        Columns and rows; the last two are the first not shown.
    """
    rows, columns = pixels.shape[:2]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    wide, high = max(xs) - min(xs) + 1, max(ys) - min(ys) + 1
    free = room * max(wide, high) + 12
    wide, high = max(wide, NARROWEST * high) + 2 * free, max(high, NARROWEST * wide) + 2 * free
    left, right = _inside((min(xs) + max(xs)) / 2, wide, columns)
    top, low = _inside((min(ys) + max(ys)) / 2, high, rows)
    return left, top, right, low


def _inside(middle: float, long: float, most: int) -> tuple[int, int]:
    """A stretch of a side, moved into it where it would stick out."""
    long = min(float(most), long)
    start = round(min(max(middle - long / 2, 0.0), most - long))
    return start, min(most, max(start + 1, round(start + long)))


def inked(
    mark: Mark, scale: float, left: int, top: int, pen: float
) -> tuple[list[Stroke], list[tuple[Point, str]]]:
    """The strokes of a mark in the picture cut at (left, top) and resized, and the slips of text that lie on it."""
    line = tuple(moved(p, scale, left, top) for p in mark.line)
    ends = [moved(p, scale, left, top) for p in mark.ends]
    strokes = [Stroke(line, 2.2 * pen, INK, 2.0 * pen)]
    for end, other in zip(ends, reversed(ends), strict=True):
        strokes.append(_across(end, other, 17 * pen, 3.2 * pen, ACCENT, 2.2 * pen))
    if mark.bar is None:
        return strokes, []
    a, b = (moved(p, scale, left, top) for p in mark.bar)
    for end, other in ((a, b), (b, a)):
        strokes.append(_across(end, other, 11 * pen, 3.4 * pen, INK, 2.4 * pen))
    strokes.append(Stroke((a, b), 5.0 * pen, INK, 2.4 * pen))
    return strokes, [(_beside(a, b, line, 46 * pen), mark.bar_said)]


def _across(end: Point, other: Point, reach: float, width: float, colour: str, halo: float) -> Stroke:
    """A short stroke through an end, square to the way to the other end."""
    turn = atan2(other[1] - end[1], other[0] - end[0]) + pi / 2
    x, y = reach * cos(turn), reach * sin(turn)
    return Stroke(((end[0] - x, end[1] - y), (end[0] + x, end[1] + y)), width, colour, halo)


def _beside(a: Point, b: Point, line: Sequence[Point], away: float) -> Point:
    """A place beside the middle of a bar, on the side where the line is not."""
    x, y = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    turn = atan2(b[1] - a[1], b[0] - a[0]) + pi / 2
    sides = [(x + s * away * cos(turn), y + s * away * sin(turn)) for s in (1, -1)]
    return max(sides, key=lambda p: min(hypot(p[0] - q[0], p[1] - q[1]) for q in line))


def _size(picture: Image.Image, at_full: int) -> int:
    """Size of lettering [px] that reads the same in any finished picture."""
    return max(18, round(at_full * max(picture.size) / MOST_SIDE))


def _worded(picture: Image.Image, heads: Sequence[str], more: Sequence[str]) -> Image.Image:
    """The picture in its frame, the words below: the first in large letters."""
    large, small = _size(picture, 46), _size(picture, 32)
    rows = [(line, large, INK, large / 45) for h in heads for line in broken(h, large, picture.width - large)]
    rows += [(line, small, SOFT, 0.0) for m in more for line in broken(m, small, picture.width - large)]
    if not rows:
        return framed(picture, lambda *_: None, 0)

    def write(sheet: Image.Image, left: int, top: int) -> None:
        y = top + 0.45 * large
        for text, size, colour, bold in rows:
            y += size * LEADING
            letter(sheet, (left + 0.5 * large, y - 0.2 * size), text, size, colour, bold=bold)
        bar = Stroke(((left + 2, top + 0.75 * large), (left + 2, y)), large / 9, ACCENT)
        sheet.paste(on(sheet, [bar]))

    return framed(picture, write, round(sum(r[1] * LEADING for r in rows) + 0.6 * large))


def noted_picture(pixels: Pixels, notes: Sequence[Note], kind: str = "jpeg") -> bytes:
    """A whole photo with a person's notes on it, for photos without a card.

    Args:
        pixels: the upright photo, (rows, columns, 3).
        notes: arrows, rings and captions, in its pixels; those without a place are written below.
        kind: jpeg or png.

    Returns:
        The file's bytes, without any metadata.
    """
    picture, scale = fitted(pixels)
    pen = max(picture.size) / MOST_SIDE
    strokes: list[Stroke] = []
    for n in notes:
        if isinstance(n, Arrow):
            strokes += arrow(moved(n.start, scale), moved(n.tip, scale), 5 * pen, ACCENT, 3 * pen)
        elif isinstance(n, Ring):
            strokes.append(ring(moved(n.middle, scale), n.radius * scale, 5 * pen, ACCENT, 3 * pen))
    picture = on(picture, strokes)
    size = _size(picture, 32)
    for n in notes:
        if isinstance(n, Caption) and n.at is not None:
            label(picture, moved(n.at, scale), broken(n.text, size, 0.6 * picture.width), size)
    below = [n.text for n in notes if isinstance(n, Caption) and n.at is None]
    return as_bytes(_worded(picture, (), below), kind)


def note_slips(columns: int, rows: int, notes: Sequence[Note], where: str) -> tuple[Problem, ...]:
    """What is wrong with notes for a photo of this size: outside it, without length or radius, without words.

    Args:
        columns: width of the photo in the pixels of the notes.
        rows: its height.
        notes: the notes.
        where: the photo's name.

    Returns:
        A Problem for each; none where all can be drawn.
    """
    size = f"the upright photo is {columns} wide and {rows} high"
    slips = []
    for n in notes:
        if any(not (0 <= x < columns and 0 <= y < rows) for x, y in _places(n)):
            slips.append(Problem(where, f"{_named(n)} lies outside the picture", f"{size}: stay inside it."))
        elif isinstance(n, Arrow) and hypot(n.tip[0] - n.start[0], n.tip[1] - n.start[1]) < 2:
            slips.append(
                Problem(where, f"{_named(n)} has no length", "let it start away from what it points at.")
            )
        elif isinstance(n, Ring) and not 1 <= n.radius <= max(columns, rows):
            slips.append(Problem(where, f"{_named(n)} has no radius that can be drawn", f"{size}."))
        elif isinstance(n, Caption) and not 0 < len(n.text.strip()) <= LONG_TEXT:
            slips.append(
                Problem(where, f"{_named(n)} is empty or too long", f"write 1 to {LONG_TEXT} letters.")
            )
    return tuple(slips)


def _places(n: Note) -> tuple[Point, ...]:
    if isinstance(n, Arrow):
        return n.start, n.tip
    if isinstance(n, Ring):
        return (n.middle,)
    return () if n.at is None else (n.at,)


def _named(n: Note) -> str:
    places = ",".join(f"{c:g}" for p in _places(n) for c in p)
    if isinstance(n, Caption):
        return f"the caption '{n.text.strip()[:20]}'"
    return f"the arrow {places}" if isinstance(n, Arrow) else f"the ring {places},{n.radius:g}"
