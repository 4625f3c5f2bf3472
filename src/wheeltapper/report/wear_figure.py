"""The wear of one part drawn over its miles: every reading with its doubt, the line with its band, the limit, the next check.

Ended lives stand before the part that is on, parted from it where the new one came. Numbers and words come ready; sizes are
drawn as they are read, so a drum's line climbs and a lining's falls. The same in words is the picture's own text.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wheeltapper.report.drawing_ink import ACCENT, INK, PAPER, SHADE, SOFT, line, n, picture, stroke, words

WIDTH, HEIGHT = 366.0, 290.0  # a phone's width, so that its letters stay as large as the page's
LEFT, RIGHT, TOP, FLOOR = 72.0, 362.0, 18.0, 230.0
LETTERS = 18.0
ROOM = 0.08  # of the height, left free above and below
WIDE = 0.25  # of the height that a band may add to either side
WIDE_SHARE = 0.6  # a digit's width, of the lettering's height

Point = tuple[float, float]  # distance, size
Wide = tuple[float, float, float, float]  # distance, low, middle, high


@dataclass(frozen=True)
class Run:
    """One part's life: readings (distance, size, doubt) and the line through them with its band."""

    records: tuple[tuple[float, float, float], ...]
    line: tuple[Wide, ...]
    ended: bool = False  # the part is gone
    read: bool = True  # no: nothing was read on it, the size is assumed


@dataclass(frozen=True)
class WearFigure:
    """All of the picture: distances and sizes in any one unit each, and the words beside them."""

    told: str  # the whole of it in words
    runs: tuple[Run, ...]  # in order; the last may be the one that is on
    ahead: tuple[Wide, ...]  # from the last reading on
    limit: float | None
    limit_said: str
    check: float | None  # distance of the next check
    across: str  # what the distances count
    ticks: tuple[tuple[float, str], ...]  # distances with their lettering
    sizes: tuple[tuple[float, str], ...]  # sizes with their lettering


def wear_figure(f: WearFigure) -> str:
    """A WearFigure as SVG text."""
    frame = _Frame(f)
    body = [*_axes(f, frame), *_ahead(f, frame), *_runs(f, frame), *_limit(f, frame), *_check(f, frame)]
    return picture(WIDTH, HEIGHT, f.told, body)


class _Frame:
    """Where a distance and a size stand on the sheet."""

    def __init__(self, f: WearFigure) -> None:
        at = [r[0] for run in f.runs for r in run.records] + [p[0] for p in f.ahead]
        at += [f.check] if f.check is not None else []
        sizes = [s for run in f.runs for _, size, doubt in run.records for s in (size - doubt, size + doubt)]
        sizes += [p[2] for p in f.ahead] + ([f.limit] if f.limit is not None else [])
        self.start, self.end = _apart(min(at), max(at))
        low, high = _apart(min(sizes), max(sizes))
        room = [
            s
            for places in (*(run.line for run in f.runs), f.ahead)
            for _, lower, _, upper in places
            for s in (lower, upper)
        ]
        most = WIDE * (
            high - low
        )  # a band wider than that runs off the sheet, and the readings can still be seen
        low, high = max(low - most, min([low, *room])), min(high + most, max([high, *room]))
        self.low, self.high = low - ROOM * (high - low), high + ROOM * (high - low)

    def x(self, at: float) -> float:
        return LEFT + 10 + (RIGHT - LEFT - 20) * (at - self.start) / (self.end - self.start)

    def y(self, size: float) -> float:
        share = min(1.0, max(0.0, (size - self.low) / (self.high - self.low)))
        return FLOOR - (FLOOR - TOP) * share


def _apart(low: float, high: float) -> Point:
    """A span that is never nothing."""
    return (low, high) if high > low else (low - 0.5, high + 0.5)


def _axes(f: WearFigure, frame: _Frame) -> Iterator[str]:
    yield stroke(line((LEFT, TOP), (LEFT, FLOOR), (RIGHT, FLOOR)), 1.0)
    beside = [] if f.limit is None else [frame.y(f.limit)]
    for size, said in (t for t in f.sizes if frame.low <= t[0] <= frame.high):
        y = frame.y(size)
        if any(abs(y - taken) < 2 * LETTERS for taken in beside):
            continue
        yield stroke(line((LEFT - 5, y), (LEFT, y)), 0.8) + words(LEFT - 9, y + 6, said, LETTERS, "end")
    yield words(RIGHT, HEIGHT - 8, f.across, LETTERS, "end", SOFT)
    taken = -LETTERS  # so far to the right stands lettering already
    for at, said in (t for t in f.ticks if frame.start <= t[0] <= frame.end):
        x, wide = frame.x(at), WIDE_SHARE * LETTERS * len(said)
        yield stroke(line((x, FLOOR), (x, FLOOR + 5)), 0.8)
        anchor = "start" if x < LEFT + 30 else "end" if x > RIGHT - 34 else "middle"
        from_left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * wide
        if from_left >= taken + LETTERS / 2:
            yield words(x, FLOOR + 24, said, LETTERS, anchor)
            taken = from_left + wide


def _runs(f: WearFigure, frame: _Frame) -> Iterator[str]:
    for i, run in enumerate(f.runs):
        yield from _banded(run.line, frame, "")
        fill = "" if not run.read else PAPER if run.ended else INK
        for at, size, doubt in run.records:
            yield _record(frame.x(at), frame.y(size - doubt), frame.y(size), frame.y(size + doubt), fill)
        if run.ended:
            after = f.runs[i + 1].records[0][0] if i + 1 < len(f.runs) else frame.end
            x = (frame.x(run.records[-1][0]) + frame.x(after)) / 2
            yield stroke(line((x, TOP), (x, FLOOR)), 0.9, SOFT, "1.5 4")


def _record(x: float, low: float, y: float, high: float, fill: str) -> str:
    """A reading: its doubt as a bar with feet, itself as a dot, open where that part is gone, none where nothing was read."""
    feet = line((x - 4, low), (x + 4, low)) + line((x - 4, high), (x + 4, high))
    dot = (
        f'<circle cx="{n(x)}" cy="{n(y)}" r="4" fill="{fill}" stroke="{INK}" stroke-width="1"/>'
        if fill
        else ""
    )
    return stroke(line((x, low), (x, high)) + feet, 0.9) + dot


def _banded(places: Sequence[Wide], frame: _Frame, dash: str) -> Iterator[str]:
    if not places:
        return
    upper = [(frame.x(at), frame.y(high)) for at, _, _, high in places]
    lower = [(frame.x(at), frame.y(low)) for at, low, _, _ in reversed(places)]
    yield stroke(line(*upper, *lower, close=True), 0.5, SOFT, dash, SHADE)
    yield stroke(line(*((frame.x(at), frame.y(middle)) for at, _, middle, _ in places)), 1.6, INK, dash)


def _ahead(f: WearFigure, frame: _Frame) -> Iterator[str]:
    yield from _banded(f.ahead, frame, "7 4")


def _limit(f: WearFigure, frame: _Frame) -> Iterator[str]:
    if f.limit is None:
        return
    y = frame.y(f.limit)
    yield stroke(line((LEFT, y), (RIGHT, y)) + line((LEFT, y + 3), (RIGHT, y + 3)), 1.1)
    yield words(LEFT - 9, y + 8, f.limit_said, LETTERS, "end", INK, 0.4)
    yield words(LEFT - 9, y - 11, "limit", LETTERS, "end", INK, 0.4)


def _check(f: WearFigure, frame: _Frame) -> Iterator[str]:
    if f.check is None:
        return
    x = frame.x(f.check)
    yield stroke(line((x, TOP + 6), (x, FLOOR)), 1.4, ACCENT)
    yield stroke(line((x, FLOOR - 1), (x - 8, FLOOR - 15), (x + 8, FLOOR - 15), close=True), 1.0, fill=ACCENT)
