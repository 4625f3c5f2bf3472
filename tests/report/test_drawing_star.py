"""The order of tightening: every nut once, each next one across, and the drawing says it."""

from __future__ import annotations

import re
from itertools import pairwise
from math import atan2, degrees
from xml.etree import ElementTree

import pytest

from wheeltapper.report.drawing_star import CENTRE, ORDERS, SIDE, star, studs_of

SVG = "{http://www.w3.org/2000/svg}"
MANY = pytest.mark.parametrize("studs", sorted(ORDERS))


def apart(a: int, b: int, studs: int) -> float:
    """Angle between two studs [deg], at most 180."""
    turned = abs(a - b) * 360 / studs
    return min(turned, 360 - turned)


@pytest.mark.reasoned
@MANY
def test_every_nut_comes_once_and_the_next_stands_across(studs: int) -> None:
    """Even counts: every second step goes straight across. Five: every step goes as far as five allow, two studs on."""
    order = ORDERS[studs]
    steps = [apart(a, b, studs) for a, b in pairwise(order)]

    assert sorted(order) == list(range(studs))
    if studs % 2:
        assert steps == [pytest.approx(144.0)] * (studs - 1)
    else:
        assert steps[::2] == [180.0] * (studs // 2)
        assert min(steps) >= 90.0


@pytest.mark.second_way
@MANY
def test_the_drawn_numbers_stand_where_the_order_puts_them(studs: int) -> None:
    """Read back from the picture alone: the angle of each number, clockwise from the top."""
    seen = {}
    for text in ElementTree.fromstring(star(studs)).iter(f"{SVG}text"):
        x, y = float(text.get("x", "0")) - CENTRE[0], float(text.get("y", "0")) - 10 - CENTRE[1]
        seen[int(text.text or "0")] = round((degrees(atan2(x, -y)) % 360) * studs / 360) % studs

    assert [seen[k] for k in range(1, studs + 1)] == list(ORDERS[studs])


@pytest.mark.reasoned
@MANY
def test_the_drawing_stays_on_its_paper_and_is_told_aloud(studs: int) -> None:
    svg = star(studs)
    numbers = [float(v) for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", svg) for v in (x, y)]

    assert all(0 <= v <= SIDE for v in numbers)
    assert f"Order for {studs} nuts" in svg
    assert "style=" not in svg


@pytest.mark.reasoned
@pytest.mark.parametrize(
    ("pattern", "studs"), [("5 on 4.5", 5), ("8 on 6.5", 8), ("7 on 3", None), (None, None), ("six", None)]
)
def test_the_studs_of_a_bolt_pattern(pattern: str | None, studs: int | None) -> None:
    assert studs_of(pattern) == studs
