"""The printed page: every tag reads back where the table puts it, the bar is as long as it says, the bytes stay."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from click.testing import CliRunner
from numpy.typing import NDArray
from pypdf import PdfReader

from wheeltapper.cli import main
from wheeltapper.measure.marks.card import card_of, grid_m
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.cards import CardRow, card_from, ours
from wheeltapper.report.card import black_cells, card_pdf, card_png

PX_PER_MM = 300 / 25.4
PAPERS = ("letter", "a4")
SMALL = """
name = "small"
family = "36h11"
width_mm = 80
height_mm = 50
opening_mm = [20, 20, 60, 50]
bendable = false
thickness_mm = 0.1
bar_mm = 100
""" + "".join(
    f"[[tag]]\nid = {100 + i}\nmiddle_mm = [{x}, {y}]\nside_mm = 14\n"
    for i, (x, y) in enumerate([(10, 10), (30, 10), (50, 10), (70, 10), (10, 30), (70, 30)])
)


@cache
def page(paper: str) -> NDArray[np.uint8]:
    """The page as a grey picture at 300 dots to the inch."""
    made = cv2.imdecode(np.frombuffer(card_png((), paper), np.uint8), cv2.IMREAD_GRAYSCALE)
    return np.asarray(made, np.uint8)


def read_back(grey: NDArray[np.uint8]) -> dict[int, tuple[float, float, float, float]]:
    """Tags by number, found by OpenCV: left, top, right, bottom in mm of the page, each side by how much black lies there.

    From paper well outside to a pixel well inside the black border, the greys add up to where the edge is, exactly.
    """
    aruco: Any = cv2.aruco
    book = aruco.getPredefinedDictionary(aruco.DICT_APRILTAG_36h11)
    corners, ids, _ = aruco.ArucoDetector(book).detectMarkers(grey)
    boxes = {}
    for id, quad in zip(np.ravel(ids), corners, strict=True):
        (x0, y0), (x1, y1) = (
            quad.reshape(4, 2)[0].round().astype(int),
            quad.reshape(4, 2)[2].round().astype(int),
        )
        black = 1 - grey.astype(float) / 255
        cell = (x1 - x0) // 16  # half a square
        row, column = black[(y0 + y1) // 2], black[:, (x0 + x1) // 2]
        sides = (
            _edge(row, x0, cell),
            _edge(column, y0, cell),
            _edge(row, x1, -cell),
            _edge(column, y1, -cell),
        )
        boxes[int(id)] = tuple(side / PX_PER_MM for side in sides)
    return boxes  # type: ignore[return-value]


@cache
def printed(paper: str) -> dict[int, tuple[float, float, float, float]]:
    """Our two cards read back."""
    return read_back(page(paper))


def _edge(line: NDArray[np.float64], near: int, cell: int) -> float:
    if cell > 0:
        return near + cell - float(line[near - cell : near + cell].sum())
    return near + cell + float(line[near + cell : near - cell].sum())


@pytest.mark.second_way
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["wall", "face"])
def test_every_tag_reads_back_where_the_table_puts_it(paper: str, name: str) -> None:
    """OpenCV's finder and plain sums of grey against the table: none lost, 0.03 mm, not turned and not stretched."""
    row, found = ours(name), printed(paper)
    assert set(found) == {*range(9), *range(20, 31)}
    table = np.array([[*row.tags[i][0], *row.tags[i][2]] for i in row.tags]) * [1e3, -1e3, 1e3, -1e3]
    away = (np.array([found[i] for i in row.tags]) - table).reshape(-1, 2)

    assert np.abs(away - away.mean(axis=0)).max() < 0.03


@pytest.mark.reasoned
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("scale", [1.0, 0.97])
def test_the_bars_tell_a_page_printed_smaller(paper: str, scale: float) -> None:
    """Both bars by their black on the page: 150 mm at 100 %, 145.5 mm where the printer fitted it to the page."""
    grey = page(paper)
    size = (round(grey.shape[1] * scale), round(grey.shape[0] * scale))
    black = (grey if scale == 1 else cv2.resize(grey, size, interpolation=cv2.INTER_AREA)) < 128
    level, upright = _longest(black), _longest(black.T)

    assert level / PX_PER_MM == pytest.approx(150 * scale, abs=0.1)
    assert upright / PX_PER_MM == pytest.approx(150 * scale, abs=0.1)


def _longest(black: NDArray[np.bool_]) -> int:
    """The longest run of black in any row."""
    most = 0
    for row in black:
        edges = np.flatnonzero(np.diff(np.concatenate([[0], row.astype(np.int8), [0]])))
        most = max(most, int((edges[1::2] - edges[::2]).max(initial=0)))
    return most


@pytest.mark.reasoned
@pytest.mark.parametrize("paper", PAPERS)
def test_the_white_around_every_tag_is_empty(paper: str) -> None:
    """Nothing is printed within 0.8 of a square; 0.86 of one is left where the wall card's top is cut."""
    grey, found = page(paper), printed(paper)
    for left, top, right, bottom in found.values():
        wide = (right - left) / 8 * 0.8
        x0, x1 = (round(v * PX_PER_MM) for v in (left - wide, right + wide))
        y0, y1 = (round(v * PX_PER_MM) for v in (top - wide, bottom + wide))
        ring = grey[y0:y1, x0:x1].copy()
        inner = round(wide * PX_PER_MM) - 2
        ring[inner:-inner, inner:-inner] = 255

        assert ring.min() > 250


@pytest.mark.second_way
def test_the_squares_are_those_of_the_dictionary() -> None:
    """Eight squares a side drawn once large by OpenCV, against ours; the border is black."""
    book = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    for id in (0, 8, 20, 586):
        large = cv2.aruco.generateImageMarker(book, id, 80)[5::10, 5::10]
        cells = black_cells(id)
        assert np.array_equal(cells, large < 128)
        assert cells[0].all() and cells[:, -1].all()  # noqa: PT018


@pytest.mark.reasoned
@pytest.mark.parametrize("paper", PAPERS)
def test_one_page_in_words_and_the_same_bytes(paper: str) -> None:
    """The PDF is one page, says how to print, bend and lay, and does not change from run to run."""
    data = card_pdf((), paper)
    reader = PdfReader(io.BytesIO(data))
    text = " ".join(reader.pages[0].extract_text().split())

    assert data == card_pdf((), paper)
    assert len(reader.pages) == 1
    for said in ("Print at 100 %", "stiff card", "150 mm", "5.906 in", "open edge", "Wall card", "Face card"):
        assert said in text
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]  # type: ignore[index]
    width, height = (float(v) * 25.4 / 72 for v in reader.pages[0].mediabox[2:])
    assert (width, height) == pytest.approx((215.9, 279.4) if paper == "letter" else (210, 297), abs=0.1)


@pytest.mark.reasoned
def test_a_shops_own_card_is_drawn_alone(tmp_path: Path) -> None:
    """By the command, from a table of the shop's own: its tags, no others, its own bar."""
    table, out = tmp_path / "small.toml", tmp_path / "small.pdf"
    table.write_text(SMALL, "utf-8")
    done = CliRunner().invoke(main, ["card", str(out), "--layout", str(table), "--paper", "a4"])
    grey = cv2.imdecode(np.frombuffer(card_png([card_from(SMALL, "")], "a4"), np.uint8), cv2.IMREAD_GRAYSCALE)

    assert done.exit_code == 0, done.output
    assert "100 mm" in PdfReader(out).pages[0].extract_text()
    assert set(read_back(np.asarray(grey, np.uint8))) == set(range(100, 106))


@pytest.mark.reasoned
def test_the_command_tells_every_slip(tmp_path: Path) -> None:
    """A broken table ends with 2 and all faults, a card larger than the paper and an unwritable file with 1."""
    table, out = tmp_path / "bad.toml", tmp_path / "x.pdf"
    table.write_text(SMALL.replace("36h11", "41h12").replace("width_mm = 80", "width_mm = 0"), "utf-8")
    broken = CliRunner().invoke(main, ["card", str(out), "--layout", str(table)])
    table.write_text(SMALL.replace("width_mm = 80", "width_mm = 300"), "utf-8")
    large = CliRunner().invoke(main, ["card", str(out), "--layout", str(table)])
    nowhere = CliRunner().invoke(main, ["card", str(tmp_path / "no" / "x.pdf")])

    assert broken.exit_code == 2
    assert "family '41h12'" in broken.output
    assert "'width_mm'" in broken.output
    assert large.exit_code == 1
    assert "the paper has room for" in large.output
    assert nowhere.exit_code == 1
    assert "cannot be written" in nowhere.output
    assert not out.exists()


@pytest.mark.reasoned
def test_a_card_too_high_or_a_bar_too_long_is_refused() -> None:
    """The other two ways not to fit the paper."""
    for low, high in (("height_mm = 50", "height_mm = 400"), ("bar_mm = 100", "bar_mm = 250")):
        with pytest.raises(NoAnswerError, match="the paper has room"):
            card_pdf([card_from(SMALL.replace(low, high), "")])


@pytest.mark.reasoned
def test_a_closed_opening_is_drawn_closed() -> None:
    """An opening below the card's top edge is cut out all round, and the card's own top edge with it."""
    grey = cv2.imdecode(
        np.frombuffer(card_png([card_from(SMALL.replace("60, 50]", "60, 45]"), "")]), np.uint8), 0
    )
    line = np.asarray(grey)[
        round((82 - 0.5) * PX_PER_MM) : round((82 + 6) * PX_PER_MM), round(54 * PX_PER_MM)
    ]
    rows = np.flatnonzero(line < 200) / PX_PER_MM - 0.5

    assert rows.min() == pytest.approx(0, abs=0.2)
    assert rows.max() == pytest.approx(5, abs=0.2)


@pytest.mark.reasoned
def test_the_card_of_the_maths_is_the_table() -> None:
    """Corners run clockwise from the top left, y up, in metres; a grid covers its box."""
    row: CardRow = ours("wall")
    card = card_of(row)

    assert card.tags[0].tolist() == pytest.approx(np.array([[2, 16], [16, 16], [16, 2], [2, 2]]) * 1e-3)
    assert card.middle_m.tolist() == pytest.approx([0.055, 0.025])
    assert card.opening_m == pytest.approx((0.018, 0.018, 0.092, 0.05))
    assert list(card.tags) == list(range(9))
    points = grid_m(card.opening_m, 0.01)
    assert points.min(axis=0).tolist() == pytest.approx([0.018, 0.018])
    assert points.max(axis=0).tolist() == pytest.approx([0.092, 0.05])
    assert len(points) == 9 * 5
