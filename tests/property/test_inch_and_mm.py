"""The same trailer written in inches and in millimetres: 25.4 mm is exactly one inch, so nothing may change."""

from __future__ import annotations

import copy
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from full_visit import Data, findings, full, run, with_finding
from wheeltapper.flow import Examination
from wheeltapper.words import positions

pytestmark = pytest.mark.reasoned
INCH_MM = Decimal("25.4")
Wheel = tuple[int, int, int, tuple[int, int] | None]  # diameter, open less closed, lining, earlier record


def in_mm(text: str) -> str:
    """A number of inches as exactly so many millimetres."""
    return f"{(Decimal(text) * INCH_MM).normalize():f}"


def turned(visit: Data) -> Data:
    """Every length of a visit in millimetres, exactly."""
    visit = copy.deepcopy(visit)
    rows = [*visit["limit"], *visit.get("history", []), *(r for c in visit["corner"] for r in c["reading"])]
    for row in rows:
        if row["unit"] == "in":
            values = row["value"]
            row["value"] = [in_mm(v) for v in values] if isinstance(values, list) else in_mm(values)
            row["unit"] = "mm"
    for gauge in visit["gauge"]:
        gauge["u"] = [f"{in_mm(u.removesuffix(' in'))} mm" if u.endswith(" in") else u for u in gauge["u"]]
    return visit


def outcome(ex: Examination) -> dict[str, Any]:
    """What a shop acts on."""
    return {
        "calls": [(c.place, c.call, c.rules, c.missing) for c in ex.calls],
        "quote": ex.quote,
        "next": ex.next,
        "causes": [(c.id, c.position, c.rank, c.certain) for c in ex.causes],
        "verdicts": [
            (g.position, g.what, g.verdict, g.records, g.faster, g.interim_mi) for g in ex.findings.gauged
        ],
        "release": ex.release,
        "problems": [p.where for p in ex.problems],
    }


def trailer(brake: str, wheels: list[Wheel], doubt: int) -> Data:
    """A trailer with diameters, linings and earlier records in whole thousandths of an inch."""
    visit = full(brake, len(wheels) // 2)
    visit["gauge"][0]["u"][0] = f"{Decimal(doubt) / 1000} in"
    history = []
    for corner, (size, taper, lining, before) in zip(visit["corner"], wheels, strict=True):
        sizes = [("mid 0", 0), ("mid 45", 1), ("mid 90", 0), ("mid 135", 0), ("open", taper), ("closed", 0)]
        other = [r for r in corner["reading"] if r["what"] not in {"friction diameter", "lining thickness"}]
        corner["reading"] = [
            *other,
            *(row("friction diameter", size + more, at) for at, more in sizes),
            row("lining thickness", lining, "primary"), row("lining thickness", 2 * lining, "secondary"),
        ]  # fmt: skip
        if before:
            worn, miles = before
            earlier = row("friction diameter", max(9990, size + 1 - worn), None)
            history.append(earlier | {"position": corner["position"], "miles_ago": miles})
    return visit | {"history": history}


def row(what: str, thousandths: int, at: str | None) -> Data:
    """One reading."""
    return {"what": what, "value": f"{Decimal(thousandths) / 1000:.3f}", "unit": "in", "gauge": "G1"} | (
        {"at": at} if at else {}
    )


records = st.none() | st.tuples(st.integers(0, 16), st.sampled_from((1000, 1600, 3000, 8000)))
wheels = st.tuples(
    st.sampled_from((10015, 10029, 10030, 10044, 10045, 10059, 10060, 10082, 10086, 10087, 10089, 10090, 10092, 10093)) | st.integers(10000, 10100),
    st.sampled_from((0, 9, 10, 11, 15)), st.sampled_from((62, 63, 64, 65, 66, 94, 95, 120, 160)), records,
)  # fmt: skip


@settings(max_examples=120, deadline=None)
@example([(10015, 0, 160, (6, 1000)), (10015, 0, 160, None)], 3)
@example([(10044, 10, 94, None), (10029, 0, 94, None)], 3)
@example([(10015, 10, 62, (7, 3000)), (10015, 0, 62, None)], 1)  # lasts exactly to the next service
@given(
    st.lists(wheels, min_size=2, max_size=2) | st.lists(wheels, min_size=4, max_size=4),
    st.sampled_from((1, 2, 3, 4, 5)),
)
def test_same_calls_and_quote(sizes: list[Wheel], doubt: int) -> None:
    """Sizes at, just under and just over every limit, and wear of exactly twice the doubt: same calls, same quote."""
    visit = trailer("electric drum", sizes, doubt)

    assert outcome(run(visit)) == outcome(run(turned(visit)))


def test_wear_of_exactly_twice_the_doubt() -> None:
    """A change of just 2 U is not enough for a rate (C7 asks for more), in either unit, from any size."""
    rated = []
    for size in range(10007, 10080):
        visit = trailer("hydraulic drum", [(size, 0, 160, (6, 1000)), (10010, 0, 160, None)], 3)
        for written in (visit, turned(visit)):
            rated += [(size, g.unit) for g in run(written).findings.gauged if g.rate_share is not None]

    assert rated == []


def test_exactly_half_worn() -> None:
    """Half of the allowance used, to the thousandth: 'worn' is answered alike in both units."""
    for brake in ("electric drum", "hydraulic drum"):
        visit = trailer(brake, [(10044, 0, 160, None), (10010, 0, 160, None)], 3)
        told = [run(v).findings.fact("1-road", "drum.worn").answer for v in (visit, turned(visit))]

        assert told == [True, True]


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_with_findings_and_depths(data: Any) -> None:
    """The same with depths at their steps and with findings beside them."""
    visit = trailer("electric drum", [(10040, 0, 160, None)] * 2, 3)
    visit = with_finding(visit, "1-road", next(f for f in findings("electric drum") if f.word == "grooves"))
    depth = data.draw(st.sampled_from((10, 19, 20, 21, 60, 61)))
    visit["corner"][0]["reading"] += [
        row("groove depth", depth, None),
        row("magnet face depth", depth // 2, None),
        row("hub face gap", depth // 2, None),
    ]
    for finding in data.draw(st.lists(st.sampled_from(findings("electric drum")), max_size=2)):
        visit = with_finding(visit, data.draw(st.sampled_from(positions(1))), finding)

    assert outcome(run(visit)) == outcome(run(turned(visit)))
