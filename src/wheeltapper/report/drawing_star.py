"""The order in which the nuts of a wheel are tightened, drawn for its bolt pattern: each next nut stands across.

Seen from outside, stud 1 at the paint mark on top, angles clockwise. Where no nut stands straight across, the two furthest
off are next to each other in the order. Torques are not drawn: they stand beside, with their sources.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import hypot

from wheeltapper.report.drawing_ink import ACCENT, DEEP, INK, PAPER, line, picture, stroke, words
from wheeltapper.report.drawing_trace import Point, circle, place

SIDE = 320.0
CENTRE = (SIDE / 2, SIDE / 2)
RIM, STUDS, PILOT = 150.0, 106.0, 34.0  # the wheel's face, the circle of its studs, its middle
NUT = 25.0  # half the width of a drawn nut over its corners
ORDERS = {  # places of the studs, clockwise from the top, in the order of tightening
    4: (0, 2, 1, 3), 5: (0, 2, 4, 1, 3), 6: (0, 3, 1, 4, 2, 5), 8: (0, 4, 2, 6, 1, 5, 3, 7),
}  # fmt: skip


def studs_of(bolt_pattern: str | None) -> int | None:
    """How many studs a bolt pattern has: 6 of '6 on 5.5'; None where there is no order for it."""
    many, _, _ = (bolt_pattern or "").partition(" ")
    return int(many) if many.isdecimal() and int(many) in ORDERS else None


def star(studs: int) -> str:
    """The order for so many studs as SVG text.

    Raises:
        KeyError: there is no order for so many.
    """
    order = ORDERS[studs]
    middles = [place(360 * stud / studs, STUDS, CENTRE) for stud in order]
    said = ", ".join(str(stud + 1) for stud in order)
    title = f"Order for {studs} nuts, counted clockwise from the paint mark on top: {said}."
    return picture(SIDE, SIDE, title, [*_face(), *_ways(middles), *_nuts(middles)])


def _face() -> Iterator[str]:
    yield circle(*CENTRE, RIM, 1.1)
    yield circle(*CENTRE, PILOT, 0.9)
    yield stroke(
        line((CENTRE[0], CENTRE[1] - RIM), (CENTRE[0], CENTRE[1] - RIM + 9)), 4.5, ACCENT
    )  # paint mark


def _ways(middles: list[Point]) -> Iterator[str]:
    """From each nut to the next, with an arrow head at its end."""
    for (x0, y0), (x1, y1) in pairwise(middles):
        far = hypot(x1 - x0, y1 - y0)
        ux, uy = (x1 - x0) / far, (y1 - y0) / far
        end = (x1 - ux * (NUT + 3), y1 - uy * (NUT + 3))
        yield stroke(line((x0 + ux * NUT, y0 + uy * NUT), end), 1.0, DEEP, "6 3")
        sides = ((end[0] - 10 * ux - s * 4.5 * uy, end[1] - 10 * uy + s * 4.5 * ux) for s in (-1, 1))
        yield stroke(line(*sides, end, close=True), 0.8, INK, fill=INK)


def _nuts(middles: list[Point]) -> Iterator[str]:
    """Each nut as a hexagon with its number in the order; the first is filled."""
    for number, (x, y) in enumerate(middles, 1):
        corners = [place(60 * k, NUT, (x, y)) for k in range(6)]
        first = number == 1
        yield stroke(line(*corners, close=True), 1.4, INK, fill=INK if first else PAPER)
        yield words(x, y + 10, str(number), 29, "middle", PAPER if first else INK, 0.6)
