"""A number as a ruler: new, now with its gauge doubt, the next visit, and the limit, with the numbers written."""

from __future__ import annotations

from collections.abc import Iterator

from wheeltapper.report.drawing_ink import ACCENT, DEEP, INK, PAPER, line, n, picture, stroke, words
from wheeltapper.report.sheet import Ruler

WIDTH, HEIGHT = 500.0, 57.0
LEFT, SPAN, ROW = 22.0, 348.0, 30.0  # where new stands, how far it is to the limit, the ruler's edge
LEAST, MOST = -0.015, 1.16  # shares beyond these are drawn at the end, with an arrow


def ruler(r: Ruler) -> str:
    """A Ruler as SVG text; shares run from 0 (new) to 1 (limit), and beyond when the limit is passed."""
    told = (
        f"{r.title}: new {r.new}, now {r.now}, limit {r.limit} ({r.limit_from}); {r.standing}; {r.remaining}"
    )
    low = r.next_share is not None and not _beside(_x(r.next_share))
    return picture(WIDTH, HEIGHT + (12 if low else 0), told, [*_scale(r), *_next(r), *_now(r)])


def bare_ruler(now_share: float, doubt_share: float) -> str:
    """The same ruler without a letter, for a page that writes its numbers below, large; shares as a Ruler's."""
    bare = Ruler("", now_share, doubt_share, None, "", "", "", "", "", "", "")
    drawn = [*(s for s in (*_scale(bare), *_now(bare)) if "<text" not in s)]
    return picture(WIDTH - 70, HEIGHT - 12, "from new, on the left, to the limit, the double line", drawn)


def _beside(x: float) -> bool:
    """The next visit's lettering fits between the numbers of new and limit."""
    return LEFT + 215 < x <= _x(1)


def _x(share: float) -> float:
    return LEFT + SPAN * min(max(share, LEAST), MOST)


def _scale(r: Ruler) -> Iterator[str]:
    limit, end = _x(1), _x(MOST)
    past = "".join(line((x - 9, ROW + 5), (x, ROW - 4)) for x in range(int(limit) + 9, int(end) + 1, 5))
    yield stroke(past, 0.6, INK)
    yield stroke(line((LEFT, ROW + 5), (end, ROW + 5)), 1.0)
    for i in range(11):
        yield stroke(line((_x(i / 10), ROW + 5), (_x(i / 10), ROW + (-1 if i % 5 == 0 else 2))), 0.6)
    yield stroke(line((LEFT, ROW - 6), (LEFT, ROW + 9)), 1.0)
    yield stroke(line((limit, ROW - 10), (limit, ROW + 10)) + line((limit + 2.4, ROW - 10), (limit + 2.4, ROW + 10)), 1.1)  # fmt: skip
    yield words(LEFT, ROW + 22, f"new {r.new}", 13.5)
    yield words(limit + 5, ROW + 22, f"limit {r.limit}", 13.5)


def _next(r: Ruler) -> Iterator[str]:
    if r.next_share is None:
        return
    x = _x(r.next_share)
    yield stroke(line((x, ROW + 6), (x - 4.5, ROW + 14), (x + 4.5, ROW + 14), close=True), 1.0, fill=PAPER)
    said = f"next visit {r.next}" if r.next_share <= 1 else f"next visit {r.next}: past the limit"
    if _beside(x):
        yield words(x - 7, ROW + 22, said, 13.5, "end")
    else:
        yield words(x, ROW + 35, said, 13.5, "end" if r.next_share > 1 else "start")


def _now(r: Ruler) -> Iterator[str]:
    x = _x(r.now_share)
    low, high = _x(r.now_share - r.doubt_share), _x(r.now_share + r.doubt_share)
    wide = max(high - low, 1.6)
    yield f'<rect x="{n(x - wide / 2)}" y="{n(ROW - 4.5)}" width="{n(wide)}" height="7" fill="{DEEP}"/>'
    yield stroke(line((x - wide / 2, ROW - 6), (x - wide / 2, ROW + 4)) + line((x + wide / 2, ROW - 6), (x + wide / 2, ROW + 4)), 0.8)  # fmt: skip
    yield stroke(line((x, ROW + 4), (x - 4.6, ROW - 8), (x + 4.6, ROW - 8), close=True), 0.9, fill=ACCENT)
    if not LEAST <= r.now_share <= MOST:
        tip = 1 if r.now_share > MOST else -1
        yield stroke(line((x + 7 * tip, ROW - 2), (x + 15 * tip, ROW - 2)) + line((x + 11 * tip, ROW - 5), (x + 15 * tip, ROW - 2), (x + 11 * tip, ROW + 1)), 1.0)  # fmt: skip
    anchor = "start" if x < LEFT + 70 else "end" if x > _x(1) - 60 else "middle"
    shift = {"start": -6.0, "end": 8.0, "middle": 0.0}[anchor]
    yield words(max(x + shift, LEFT), ROW - 14, f"now {r.now}", 14.5, anchor, INK, 0.35)
