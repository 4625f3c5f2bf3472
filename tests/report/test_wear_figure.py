"""The wear of a part as a picture: everything stands where its numbers say, and the picture says itself in words."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from wheeltapper.report.drawing_ink import ACCENT, INK, PAPER
from wheeltapper.report.wear_figure import FLOOR, LEFT, RIGHT, TOP, Run, WearFigure, wear_figure

pytestmark = pytest.mark.reasoned
SVG = "{http://www.w3.org/2000/svg}"
BAND = ((-6000.0, 12.018, 12.020, 12.022), (0.0, 12.030, 12.032, 12.034))
AHEAD = ((0.0, 12.030, 12.032, 12.034), (12_000.0, 12.050, 12.056, 12.062))
FIGURE = WearFigure(
    told="1-road friction diameter; now: 12.020 in, 12.032 in",
    runs=(
        Run(((-12_000.0, 12.070, 0.003), (-8000.0, 12.080, 0.003)), (), ended=True),
        Run(((-6000.0, 12.020, 0.003), (0.0, 12.032, 0.003)), BAND),
    ),
    ahead=AHEAD,
    limit=12.090,
    limit_said="12.090",
    check=9600.0,
    across="miles from the last visit",
    ticks=((-10_000.0, "-10,000"), (0.0, "0"), (10_000.0, "10,000")),
    sizes=((12.025, "12.025"), (12.050, "12.050"), (12.089, "12.089")),
)


def drawn(f: WearFigure) -> ElementTree.Element:
    """The picture as a tree: it must be well-formed."""
    return ElementTree.fromstring(wear_figure(f))


def dots(tree: ElementTree.Element) -> list[tuple[float, float, str]]:
    """The readings: where, and how filled."""
    return [
        (float(c.get("cx", "")), float(c.get("cy", "")), c.get("fill", "")) for c in tree.iter(f"{SVG}circle")
    ]


def paths(tree: ElementTree.Element, **like: str) -> list[list[tuple[float, float]]]:
    """The points of every path that has these attributes."""
    found = [
        p.get("d", "")
        for p in tree.iter(f"{SVG}path")
        if all(p.get(k.replace("_", "-")) == v for k, v in like.items())
    ]
    return [[(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", d)] for d in found]


def letters(f: WearFigure) -> list[str]:
    """Everything that is written."""
    return [t.text or "" for t in drawn(f).iter(f"{SVG}text")]


def test_readings_stand_in_order_and_a_gone_part_is_drawn_open() -> None:
    """Farther is to the right, a larger size higher; equal steps are equal distances."""
    (a, b, c, d) = dots(drawn(FIGURE))

    assert [x[2] for x in (a, b, c, d)] == [PAPER, PAPER, INK, INK]
    assert a[0] < b[0] < c[0] < d[0]
    assert c[1] > d[1] > a[1] > b[1]
    assert (d[0] - c[0]) / (b[0] - a[0]) == pytest.approx(1.5, rel=1e-3)
    assert (c[1] - d[1]) / (a[1] - b[1]) == pytest.approx(1.2, rel=2e-2)


def test_each_reading_has_its_doubt_as_a_bar() -> None:
    """As long as twice the doubt, about the dot: 6 thousandths beside the 10 from reading to reading."""
    tree = drawn(FIGURE)
    (x, y, _), (_, other, _) = dots(tree)[:2]
    bar = next(p for p in paths(tree, stroke_width="0.9") if p[0][0] == pytest.approx(x, abs=0.02))

    assert bar[0][1] - bar[1][1] == pytest.approx(0.6 * (y - other), rel=2e-2)
    assert (bar[0][1] + bar[1][1]) / 2 == pytest.approx(y, abs=0.05)


def test_the_band_holds_its_line_and_ahead_is_dashed() -> None:
    """Twice a band: along the records, and ahead; the line lies between its edges, and the one ahead opens."""
    tree = drawn(FIGURE)
    bands, lines = paths(tree, stroke_width="0.5"), paths(tree, stroke_width="1.6")
    ahead = max(bands, key=lambda p: max(x for x, _ in p))
    ends = sorted(ahead)[:2], sorted(ahead)[-2:]

    assert len(bands) == len(lines) == 2
    assert len(paths(tree, stroke_width="1.6", stroke_dasharray="7 4")) == 1
    assert abs(ends[1][0][1] - ends[1][1][1]) == pytest.approx(
        3 * abs(ends[0][0][1] - ends[0][1][1]), rel=2e-2
    )


def test_limit_and_check_stand_where_they_are() -> None:
    """A double line above all readings, its number at the edge; the check as a flag four fifths of the way on."""
    tree = drawn(FIGURE)
    limit = paths(tree, stroke_width="1.1")[0]
    flag = paths(tree, stroke=ACCENT)[0]
    zero, far = dots(tree)[3][0], max(x for p in paths(tree, stroke_width="0.5") for x, _ in p)

    assert limit[0][1] < min(y for _, y, _ in dots(tree))
    assert (flag[0][0] - zero) / (far - zero) == pytest.approx(0.8, rel=1e-2)
    assert "limit" in letters(FIGURE)
    assert "12.090" in letters(FIGURE)
    assert "12.089" not in letters(FIGURE)  # no number is written over the limit's


def test_everything_lies_on_the_sheet() -> None:
    """Whatever the sizes: one reading, no limit, a check far off, a part past its limit, sizes that shrink."""
    one = replace(
        FIGURE,
        runs=(Run(((0.0, 12.020, 0.003),), ()),),
        ahead=(),
        limit=None,
        limit_said="",
        check=None,
        ticks=((0.0, "0"),),
    )
    alike = replace(one, runs=(Run(((0.0, 12.0, 0.0), (0.0, 12.0, 0.0)), ()),))
    past = replace(FIGURE, limit=12.015, check=0.0)
    lining = replace(FIGURE, limit=0.0625, limit_said="0.0625", sizes=(), runs=(Run(((-6000.0, 0.180, 0.005), (0.0, 0.150, 0.005)), ()),), ahead=())  # fmt: skip
    far = replace(FIGURE, check=400_000.0)
    for f in (FIGURE, one, alike, past, lining, far):
        for x, y, _ in dots(drawn(f)):
            assert LEFT <= x <= RIGHT
            assert TOP <= y <= FLOOR
        for x, y in (p for path in paths(drawn(f)) for p in path):
            assert LEFT - 6 <= x <= RIGHT + 6
            assert TOP - 12 <= y <= FLOOR + 6


def test_a_part_that_was_never_read_has_no_dot() -> None:
    """Taken as new: the bar of what is assumed, and nothing that looks like a reading."""
    f = replace(FIGURE, runs=(Run(((-6000.0, 12.0, 0.010),), (), read=False),), ahead=())
    tree = drawn(f)
    assert dots(tree) == []
    assert len(paths(tree, stroke_width="0.9")) == 1


def test_it_says_itself() -> None:
    """For who does not see it; what was typed cannot become markup."""
    odd = '1-road <b>"x"</b> & more'
    tree = drawn(replace(FIGURE, told=odd))
    title = tree.find(f"{SVG}title")
    assert title is not None
    assert (tree.get("aria-label"), title.text) == (odd, odd)
    assert all(float(t.get("font-size", "0")) >= 18 for t in tree.iter(f"{SVG}text"))


@pytest.mark.parametrize("step", [1000, 2000, 5000, 7000])
def test_no_lettering_of_the_distances_runs_into_the_next(step: int) -> None:
    """However near the marks are, and at the right end too, where lettering ends at its mark; six tenths of its height is a wide digit."""
    ticks = tuple((float(at), f"{at:,}") for at in range(-12_000, 12_001, step))
    tree = drawn(replace(FIGURE, ticks=ticks))
    places = []
    for t in (t for t in tree.iter(f"{SVG}text") if t.text in {said for _, said in ticks}):
        x, wide = float(t.get("x", "")), 0.6 * float(t.get("font-size", "")) * len(t.text or "")
        start = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[t.get("text-anchor", "start")] * wide
        places.append((start, start + wide))

    assert len(places) >= 2
    assert all(a[1] < b[0] for a, b in pairwise(sorted(places)))
