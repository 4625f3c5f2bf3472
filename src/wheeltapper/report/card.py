"""The cards for photos as a page to print: tags as drawn squares, a bar to measure, where to cut, how to lay it.

One page, the same bytes on every run. What a tag looks like comes from OpenCV's predefined dictionary; where it stands
comes from the card's table. The layout of the page is in `card.typ`. Nothing is fetched, nothing is written here.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import typst

from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.cards import CardRow, ours
from wheeltapper.report.lettering import printable
from wheeltapper.report.pdf import SheetNotDrawnError
from wheeltapper.units import UNITS

HERE = Path(__file__).parent
PAPERS = {"letter": ("us-letter", 215.9, 279.4), "a4": ("a4", 210.0, 297.0)}  # name, width, height in mm
LEFT, TOP, BELOW, GAP = (
    14.0,
    82.0,
    34.0,
    6.0,
)  # mm: margin, under the steps and the bar, for the cautions, between cards
UPRIGHT = 18.0  # mm that the upright bar needs beside the cards
CELLS = 8  # squares along a tag of this family, its black border included
CAPTIONS = {
    "wall": (
        "Wall card",
        "Inner wall of a 10 in or 12 in drum. Cut this middle out. Bend the paper to the wall until it touches all "
        "along; hold it with small magnets. This open side lies flush with the drum's open edge.",
    ),
    "face": (
        "Face card",
        "Flat faces: a drum's mounting face, the side of a rotor. Cut this middle out. Lay the paper down flat. Where "
        "the mark runs to an edge, this open side lies flush with that edge.",
    ),
}
STEPS = (
    "Print at 100 % (“actual size”, not “fit to page”) on plain thin paper. Do not glue it on stiff card: a stiff "
    "card bridges the curve and the length comes out wrong.",
    "Measure both bars with a steel rule. Each should be {bar} mm ({inch} in). When asked, enter what the level bar "
    "reads. If the two bars differ by more than 0.5 mm, use another printer.",
    "Cut along the dashed lines, round the card and out of its middle. Keep the white around every black square.",
    "Wipe the surface. Lay the card with the mark in its opening. Take the photo from 6 to 10 in away, with the whole "
    "card in the picture and the lamp to one side.",
)
CAUTIONS = (
    "A photo tells how long a line is, not how deep, and does not clear a part: a person with clean hands and a "
    "fingernail decides. Let the drum cool. Do not blow brake dust about; old linings may hold asbestos. Block the "
    "wheels and stand the trailer safely before a drum comes off."
)


def card_pdf(rows: Sequence[CardRow] = (), paper: str = "letter") -> bytes:
    """The page as PDF bytes; our two cards where none is given.

    Raises NoAnswerError where the cards do not fit the paper, SheetNotDrawnError on any warning of the typesetter.
    """
    return _compiled(rows, paper, format="pdf", pdf_standards=["ua-1", "a-2b"])


def card_png(rows: Sequence[CardRow] = (), paper: str = "letter", ppi: float = 300.0) -> bytes:
    """The same page as a picture, to look at before printing. Raises as `card_pdf` does."""
    return _compiled(rows, paper, format="png", ppi=ppi)


def _compiled(rows: Sequence[CardRow], paper: str, **how: Any) -> bytes:
    data = _laid_out(tuple(rows) or (ours("face"), ours("wall")), paper)
    files: Any = {  # by name: a dict is taken, though the typesetter's types do not say so
        "main": (HERE / "card.typ").read_bytes(),
        "card.json": json.dumps(data, ensure_ascii=False).encode(),
    }
    try:
        made, warnings = typst.compile_with_warnings(
            files, ignore_system_fonts=True, font_paths=[str(HERE / "fonts")], **how
        )
    except typst.TypstError as fault:
        raise SheetNotDrawnError(str(fault)) from fault
    if warnings:
        raise SheetNotDrawnError("; ".join(str(w) for w in warnings))
    if not isinstance(made, bytes):
        raise SheetNotDrawnError("the card took more than one page")
    return made


def _laid_out(rows: Sequence[CardRow], paper: str) -> dict[str, Any]:
    """The page as plain data in mm."""
    name, width, height = PAPERS[paper]
    bar = round(rows[0].bar_m * 1e3, 3)
    widest = max(_mm(r.size_m[0]) for r in rows)
    down, cards = TOP, []
    for row in rows:
        cards.append(_card(row, down))
        down += _mm(row.size_m[1]) + GAP
    _fits("The cards", widest, width - 2 * LEFT)
    _fits("The cards", down - GAP, height - BELOW, "high")
    _fits("The check bar", bar, width - 2 * LEFT)
    room = widest + UPRIGHT <= width - 2 * LEFT and TOP + bar <= height - BELOW
    steps = [
        s.format(bar=f"{bar:g}", inch=f"{bar * UNITS['mm'].scale / UNITS['in'].scale:.3f}") for s in STEPS
    ]
    if not room:
        steps[1] = steps[1].replace("both bars", "the bar").split(" If the two")[0].replace("Each", "It")
    return {
        "paper": name,
        "steps": steps,
        "cautions": CAUTIONS,
        "cards": cards,
        "bar": {"mm": bar, "left": LEFT, "top": TOP - 13, "said": f"{bar:g} mm"},
        "upright": {"left": LEFT + widest + 10, "top": TOP} if room else None,
        "bottom": height - BELOW + 6,
        "left": LEFT,
        "width": width - 2 * LEFT,
    }


def _fits(what: str, has: float, most: float, way: str = "wide") -> None:
    if has > most + 1e-6:
        raise NoAnswerError(
            f"{what} would be {has:g} mm {way}, the paper has room for {most:g} mm",
            "make them smaller or take the other paper.",
        )


def _mm(metres: float) -> float:
    return round(metres * 1e3, 6)


def _card(row: CardRow, top: float) -> dict[str, Any]:
    left, bottom, right, high = (_mm(v) for v in row.opening_m)
    width, height = (_mm(v) for v in row.size_m)
    title, said = CAPTIONS.get(row.name, (printable(row.name), "Cut this middle out."))
    return {
        "alt": f"{title}: {len(row.tags)} square tags round an opening, with dashed lines to cut along",
        "left": LEFT,
        "top": top,
        "width": width,
        "height": height,
        "tags": [_squares(row, id) for id in sorted(row.tags)],
        "cuts": _cuts(row),
        "title": title,
        "said": said,
        "opening": {"left": left, "top": height - high, "width": right - left, "height": high - bottom},
    }


def _squares(row: CardRow, id: int) -> list[list[float]]:
    """The black of one tag: left, top, width, height of every run of squares, in mm of the card from its upper left."""
    (x, y), side = row.tags[id][0], row.tags[id][1][0] - row.tags[id][0][0]
    left, top, cell = _mm(x), _mm(row.size_m[1] - y), _mm(side) / CELLS
    drawn = []
    for r, line in enumerate(black_cells(id)):
        edges = np.flatnonzero(np.diff(np.concatenate([[0], line, [0]])))
        for start, end in edges.reshape(-1, 2).tolist():
            drawn.append([left + start * cell, top + r * cell, (end - start) * cell, cell])
    return drawn


def _cuts(row: CardRow) -> list[list[list[float]]]:
    """Lines to cut along: round the card and round its opening; nothing is cut across an open side."""
    width, height = (_mm(v) for v in row.size_m)
    left, bottom, right, top = (_mm(v) for v in row.opening_m)
    low, high = height - bottom, height - top
    if high <= 0:
        whole = [[left, 0.0], [left, low], [right, low], [right, 0.0], [width, 0.0], [width, height]]
        return [[*whole, [0.0, height], [0.0, 0.0], [left, 0.0]]]
    edge = [[0.0, 0.0], [width, 0.0], [width, height], [0.0, height], [0.0, 0.0]]
    return [edge, [[left, high], [right, high], [right, low], [left, low], [left, high]]]


def black_cells(id: int) -> np.ndarray[tuple[int, int], np.dtype[np.int8]]:
    """Which squares of a tag are black (8, 8), seen upright: of OpenCV's predefined dictionary 36h11."""
    from cv2 import aruco

    book = aruco.getPredefinedDictionary(aruco.DICT_APRILTAG_36h11)
    drawn: np.ndarray[tuple[int, int], np.dtype[np.int8]] = (
        np.asarray(aruco.generateImageMarker(book, id, CELLS)) < 128
    ).astype(np.int8)
    return drawn
