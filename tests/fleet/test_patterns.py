"""What only several visits or several units show: each alarm raised, and each narrowly not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from scipy.stats import binomtest

from conftest import examined, priced
from wheeltapper.fleet.patterns import Seen, of_fleet, of_unit, seen, split_by_chance
from wheeltapper.fleet.standing import stands

pytestmark = pytest.mark.reasoned
DAY = date(2025, 3, 1)
DRUM = "friction diameter"


def row(k: int, **more: Any) -> Seen:
    """The visit of half a year later each time."""
    return Seen(f"25-{k:04d}", DAY + timedelta(days=180 * k), **more)


def ahead(gap: float, side: str = "curb") -> tuple[tuple[str, str, str, float], ...]:
    return (("1", DRUM, side, gap),)


def test_a_third_bearing_at_one_wheel() -> None:
    rows = [row(k, bearings=("2-curb",)) for k in range(3)]
    found = of_unit("TF-1", rows, priced())

    assert [(a.kind, a.at, a.units) for a in found] == [("bearings", "2-curb", ("TF-1",))]
    assert found[0].saw[0] == "2025-03-01, visit 25-0000"
    assert "spindle" in found[0].look


def test_two_bearings_at_one_wheel_and_one_at_another_are_none() -> None:
    rows = [row(0, bearings=("2-curb",)), row(1, bearings=("2-curb",)), row(2, bearings=("2-road",))]

    assert of_unit("TF-1", rows, priced()) == ()


def test_the_shop_says_how_many() -> None:
    rows = [row(k, bearings=("2-curb",)) for k in range(2)]

    assert len(of_unit("TF-1", rows, replace(priced(), house={**priced().house, "alarm_bearings": "2"}))) == 1


def test_one_side_that_goes_on_wearing_ahead() -> None:
    rows = [row(k, ahead=ahead(0.0001 * (k + 1))) for k in range(3)]
    found = of_unit("TF-1", rows, priced())

    assert [(a.kind, a.at) for a in found] == [("side", "curb")]
    assert "changed places" in found[0].else_


@pytest.mark.parametrize(
    "rows",
    [
        [row(k, ahead=ahead(0.0003)) for k in range(3)],  # once worn ahead, and since then alike
        [row(k, ahead=ahead(0.0001 * (k + 1))) for k in range(2)],
        [row(0, ahead=ahead(0.0001)), row(1), row(2, ahead=ahead(0.0003)), row(3, ahead=ahead(0.0004))],
        [row(0, ahead=ahead(0.0001)), row(1, ahead=ahead(0.0002, "road")), row(2, ahead=ahead(0.0003))],
        [],
    ],
    ids=["no further apart", "two visits", "a break", "the other side between", "no visit"],
)
def test_a_side_that_raises_nothing(rows: list[Seen]) -> None:
    assert of_unit("TF-1", rows, priced()) == ()


def test_brakes_that_nobody_adjusts() -> None:
    slack = [(f"TF-{k}", row(0, slack=("1-road",))) for k in range(3)]
    found = of_fleet(slack, 20, priced())

    assert [(a.kind, a.units) for a in found] == [("slack", ("TF-0", "TF-1", "TF-2"))]
    assert "3 of 20 units" in found[0].say
    assert of_fleet(slack[:2], 20, priced()) == ()


def test_a_side_across_units_only_where_chance_would_not_make_it() -> None:
    """Five of five happens by chance once in sixteen, six of six once in thirty-two."""
    units = [(f"TF-{k}", row(0, ahead=ahead(0.0002))) for k in range(6)]

    assert [(a.kind, a.at) for a in of_fleet(units, 6, priced())] == [("side", "curb")]
    assert of_fleet(units[:5], 6, priced()) == ()
    other = [("TF-9", row(0, ahead=ahead(0.0002, "road")))]
    assert of_fleet([*units, *other], 7, priced()) == ()
    both = [("TF-9", row(0, ahead=(*ahead(0.0002), ("2", DRUM, "road", 0.0002))))]
    assert len(of_fleet([*units, *both], 7, priced())) == 1


@pytest.mark.second_way
@pytest.mark.parametrize("most, both", [(6, 6), (5, 6), (3, 6), (9, 11), (0, 4), (40, 70), (1010, 2000)])
def test_the_chance_of_a_split(most: int, both: int) -> None:
    """The exact binomial test of a reference library."""
    assert split_by_chance(most, both) == pytest.approx(binomtest(most, both, 0.5).pvalue, rel=1e-9)


def visit(**more: Any) -> dict[str, Any]:
    """A tandem of one axle with drums measured at both ends."""
    sizes = {"1-road": "12.020", "1-curb": more.pop("curb", "12.020")}
    corners = [
        {
            "position": at, "rest_fine": "T1",
            "reading": [{"what": DRUM, "value": [size] * 4, "unit": "in", "gauge": "G1"}],
        }
        for at, size in sizes.items()
    ]  # fmt: skip
    return {
        "date": "2026-05-14", "technician": "T1", "corner": corners,
        "unit": {"id": "TF-9", "axles": 1, "brake": "electric drum", "drum": "12 in", "use": "fleet"},
        "gauge": [{"id": "G1", "kind": "drum gauge", "u": ["0.003 in"]}],
        "limit": [{"what": DRUM, "value": "12.090", "unit": "in", "grade": "on the part"}],
    } | more  # fmt: skip


@pytest.mark.parametrize(
    "curb, there", [("12.025", False), ("12.026", False), ("12.027", True), ("12.040", True)]
)
def test_a_side_is_ahead_beyond_both_doubts(curb: str, there: bool) -> None:
    """Two gauges of 0.003 in each: six thousandths apart may be nothing."""
    found = seen(examined(visit(curb=curb)), "26-0001")

    assert bool(found.ahead) is there
    assert all((axle, what, side) == ("1", DRUM, "curb") for axle, what, side, _ in found.ahead)


@pytest.mark.parametrize(
    "done, there",
    [
        ([{"position": "1-road", "part": "bearing-set", "action": "replaced", "by": "T1"}], True),
        ([{"position": "1-road", "part": "bearing-set", "action": "Replaced ", "by": "T1"}], True),
        ([{"position": "1-road", "part": "bearing-set", "action": "packed", "by": "T1"}], False),
        ([{"position": "1-road", "part": p, "action": "replaced", "by": "T1"} for p in ("bearing-set", "hub-drum")], False),
    ],
    ids=["changed", "changed, written otherwise", "packed only", "with its hub"],
)  # fmt: skip
def test_a_bearing_counts_where_it_was_changed_for_itself(done: list[dict[str, str]], there: bool) -> None:
    assert seen(examined(visit(done=done)), "26-0001").bearings == (("1-road",) if there else ())


def test_slack_brakes_are_seen() -> None:
    loose = visit()
    loose["corner"][0]["look"] = [{"check": "shoes", "found": ["well clear of the drum"]}]

    assert seen(examined(loose), "26-0001").slack == ("1-road",)
    assert seen(examined(visit()), "26-0001").slack == ()


def test_the_worst_part_is_one_that_failed_for_itself_and_a_new_seal_is_put_right() -> None:
    """A loose cup outweighs the seal that is new anyway and the brake that only goes along; with all of it done nothing is left."""
    bad = visit()
    bad["corner"][0]["feel"] = [{"check": "cups", "place": "inner", "found": ["moves by hand"]}]
    bad["corner"][0]["look"] = [{"check": "seal", "found": ["weeps"]}]
    only = visit()
    only["corner"][0]["look"] = [{"check": "seal", "found": ["weeps"]}]
    new = only | {"return_sheet": {"wheel": [{"position": "1-road", "new_seal": True}]}}
    old = only | {"return_sheet": {"wheel": [{"position": "1-road", "new_seal": False}]}}

    assert stands(examined(bad), "26-0001")["worst"] == ["1-road", "hub-drum", "replace"]
    assert stands(examined(only), "26-0001")["worst"] == ["1-road", "seal", "replace"]
    assert stands(examined(new), "26-0001")["worst"] is None
    assert stands(examined(old), "26-0001")["worst"] == ["1-road", "seal", "replace"]
