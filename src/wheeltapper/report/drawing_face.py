"""A face as read with a gauge, drawn from outside: where it stands high, where low, and by how much.

Filled triangles point out of the paper at high places, open ones into it at low places, larger for more; slanted lines
lie where the face is low, closer where it is lowest. Nothing is told by colour. Amounts and words come ready; only ink is placed here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from wheeltapper.report.drawing_ink import ACCENT, DEEP, INK, PAPER, SOFT, line, picture, stroke, words
from wheeltapper.report.drawing_trace import Place, Point, circle, place

WIDTH, HEIGHT = 320.0, 348.0
CENTRE = (WIDTH / 2, 154.0)
RIM, HOLE = 112.0, 30.0  # the drawn face, from its edge to the pilot
LEAST, MOST = 4.0, 9.5  # half sizes of a triangle
LETTER = 12.5
CELLS, RINGS = 60, 8  # cells in which the level line is found
GAP, STEP = 7.0, 3.0  # between slanted lines, and along one
LEVEL = 0.04  # of the largest amount: under it a reading is drawn as level


@dataclass(frozen=True)
class Face:
    """A face as read. Angles in degrees clockwise from stud 1 at the top; radii as parts of the rim; amounts as read."""

    title: str
    marks: tuple[
        tuple[float, float, float], ...
    ]  # angle, part of the rim's radius, height over the middle plane
    studs: int
    stud_radius: float  # part of the rim's radius
    high: Place
    low: Place
    straightedge: tuple[float, str] | None  # direction [deg] in which the widest gap was found, and its words
    captions: tuple[str, ...]  # 'flatness 0.0082 in'


def face(f: Face) -> str:
    """A Face as SVG text."""
    edge = f"Straightedge: {f.straightedge[1]}. " if f.straightedge else ""
    spots = (
        f"High place {f.high.clock}, {f.high.amount}; low place {f.low.clock}, {f.low.amount}. "
        if _most(f) > 0
        else "All level. "
    )
    told = f"{f.title}. {spots}{edge}{'; '.join(f.captions)}."
    return picture(WIDTH, HEIGHT, told, [*_body(f), *_shade(f), *_studs(f), *_edge(f), *_marks(f), *_words(f)])  # fmt: skip


def _most(f: Face) -> float:
    return max((abs(height) for _, _, height in f.marks), default=0.0)


def _at(angle: float, part: float) -> Point:
    return place(angle, RIM * part, CENTRE)


def _body(f: Face) -> Iterator[str]:
    yield words(4, 15, f.title, 14.5, "start", INK, 0.3)
    yield circle(*CENTRE, RIM, 1.1)


def height_at(f: Face, x: float, y: float) -> float:
    """A rough height between the marks, by their nearness: for shading only, never a result."""
    total = weight = 0.0
    for angle, part, height in f.marks:
        px, py = _at(angle, part)
        near = 1 / (hypot(x - px, y - py) + 4.0) ** 3
        total, weight = total + near * height, weight + near
    return total / weight if weight else 0.0


def _shade(f: Face) -> Iterator[str]:
    """Slanted lines where the face is low, twice as close where it is lowest; and the line where it is neither."""
    if not _most(f):
        return
    for shift, under in ((0.0, -0.15), (GAP / 2, -0.5)):
        yield stroke("".join(_hatched(f, shift, under * _most(f))), 0.6, DEEP)
    yield stroke("".join(_level(f)), 1.1, INK, "5 2.4")


def _hatched(f: Face, shift: float, under: float) -> Iterator[str]:
    """Lines from lower left to upper right over the face, drawn where it stands under a height."""
    for i in range(-int(RIM * 1.5 / GAP), int(RIM * 1.5 / GAP) + 1):
        run: list[Point] = []
        for k in range(-int(RIM / STEP), int(RIM / STEP) + 2):
            x, y = (
                CENTRE[0] + k * STEP + i * GAP / 2 + shift / 2,
                CENTRE[1] - k * STEP + i * GAP / 2 + shift / 2,
            )
            if HOLE + 3 < hypot(x - CENTRE[0], y - CENTRE[1]) < RIM - 2 and height_at(f, x, y) < under:
                run.append((x, y))
            elif run:
                yield line(run[0], run[-1]) if len(run) > 1 else ""
                run = []


def _level(f: Face) -> Iterator[str]:
    """Pieces of the line where the face is as high as the middle plane, straight across each small cell."""
    deep, wide = (RIM - HOLE) / RINGS, 360 / CELLS
    nodes = [[place(c * wide, HOLE + r * deep, CENTRE) for c in range(CELLS + 1)] for r in range(RINGS + 1)]
    high = [[height_at(f, x, y) for x, y in row] for row in nodes]
    for r in range(RINGS):
        for c in range(CELLS):
            round_it = ((r, c), (r, c + 1), (r + 1, c + 1), (r + 1, c), (r, c))
            cuts = [
                _between(nodes[i][j], nodes[k][m], high[i][j], high[k][m])
                for (i, j), (k, m) in pairwise(round_it)
                if (high[i][j] < 0) != (high[k][m] < 0)
            ]
            yield from (line(*cuts[i : i + 2]) for i in range(0, len(cuts), 2))


def _between(a: Point, b: Point, high_a: float, high_b: float) -> Point:
    """Where a straight line between two heights goes through zero."""
    s = high_a / (high_a - high_b)
    return a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])


def _studs(f: Face) -> Iterator[str]:
    """Pilot hole, and stud holes face on; the first at the top, filled and named."""
    yield circle(*CENTRE, HOLE, 1.0, "", PAPER)
    for i in range(f.studs):
        x, y = _at(360 * i / f.studs, f.stud_radius)
        yield circle(x, y, 5.2, 0.8, "", PAPER)
        yield circle(x, y, 2.4, 0.6, "", "none" if i else INK)


def _edge(f: Face) -> Iterator[str]:
    """The straightedge as it lay over the widest gap: two thin lines across the face and past it."""
    if f.straightedge is None:
        return
    angle, _ = f.straightedge
    for side in (-2.6, 2.6):
        middle = place(angle + 90, side, CENTRE)
        yield stroke(line(place(angle, RIM + 9, middle), place(angle, -RIM - 9, middle)), 0.9, ACCENT)


def _marks(f: Face) -> Iterator[str]:
    """Each reading: a filled triangle up, an open one down, a short line where it is level."""
    most = _most(f)
    for angle, part, height in f.marks:
        x, y = _at(angle, part)
        share = height / most if most else 0.0
        if abs(share) < LEVEL:
            yield stroke(line((x - 5, y), (x + 5, y)), 3.6, PAPER) + stroke(line((x - 5, y), (x + 5, y)), 1.6)
            continue
        size = LEAST + (MOST - LEAST) * abs(share)
        up = 1 if share > 0 else -1
        sides = line((x, y - up * size), (x - 0.9 * size, y + up * 0.75 * size), (x + 0.9 * size, y + up * 0.75 * size), close=True)  # fmt: skip
        yield stroke(sides, 3.2, PAPER) + stroke(sides, 1.1, INK, "", INK if share > 0 else PAPER)
    if f.studs:  # in the pilot hole, clear of the straightedge's lines by a rim of paper
        yield words(CENTRE[0], CENTRE[1] + 4, "stud 1", 12, "middle", PAPER, 5) + words(CENTRE[0], CENTRE[1] + 4, "stud 1", 12, "middle", SOFT)  # fmt: skip


def _words(f: Face) -> Iterator[str]:
    """High and low place in the lower corners, the straightedge in the upper one, and what was found."""
    if _most(f):
        for name, at, x, anchor in (("high", f.high, 4.0, "start"), ("low", f.low, WIDTH - 4, "end")):
            for i, text in enumerate((name, at.clock, at.amount)):
                yield words(x, 258 + 14 * i, text, LETTER, anchor, INK, 0.0 if i else 0.3)
    else:
        yield words(CENTRE[0], CENTRE[1] + RIM + 15, "all readings level", LETTER, "middle")
    if f.straightedge:
        yield words(4, 32, f"straightedge {f.straightedge[1]}", LETTER, "start", ACCENT)
    yield stroke(line((4, HEIGHT - 43), (WIDTH - 4, HEIGHT - 43)), 0.5, DEEP)
    for i, text in enumerate(f.captions):
        yield words(4 + (WIDTH / 2) * (i % 2), HEIGHT - 27 + 17 * (i // 2), text, LETTER)
