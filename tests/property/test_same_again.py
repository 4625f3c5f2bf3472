"""The order in which entries were written never matters, and the same input gives the same bytes."""

from __future__ import annotations

import copy
import json
import os
import random
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conftest import ROOT
from full_visit import HOWS, Data, findings, full, run, with_finding
from wheeltapper.report.record import as_json
from wheeltapper.words import positions

pytestmark = pytest.mark.reasoned
SOUND = settings(max_examples=50, deadline=None)
HEADED = ("corner", "limit", "history", "gauge", "call", "reading", "fitted", "done")


def busy() -> Data:
    """A tandem with a bit of everything."""
    visit = full("electric drum", 2)
    visit["gauge"] += [
        {"id": "G2", "kind": "gauge", "u": "0.05 mm"},
        {"id": "G3", "kind": "meter", "u": "0.2 ohm"},
    ]
    visit["limit"] += [
        {"what": "friction diameter", "value": "10.080", "unit": "in", "grade": "maker sheet"},
        {
            "what": "friction diameter",
            "value": "10.085",
            "unit": "in",
            "grade": "on the part",
            "position": "2-road",
        },
    ]
    visit["history"] = [
        {"position": p, "what": "friction diameter", "value": v, "unit": "in", "gauge": "G1", "miles_ago": m}
        for p in positions(2) for v, m in (("10.004", 15000), ("10.010", 9000))
    ]  # fmt: skip
    visit["fitted"] = [{"position": "1-road", "part": "bearing-set", "miles_ago": m} for m in (4000, 9000)]
    visit["call"] = [
        {"position": "1-curb", "part": "hub-drum", "call": "replace", "by": "T2", "why": "looks tired"},
        {"position": "2-curb", "part": "seal", "call": "keep", "by": "T3"},
        {"position": "2-curb", "part": "wheel", "call": "recheck", "by": "T3", "why": "wants a second look"},
    ]
    return visit


@st.composite
def busy_visits(draw: st.DrawFn) -> Data:
    """A busy visit with some findings, among them two people at one check."""
    visit = busy()
    for position in positions(2):
        for finding in draw(st.lists(st.sampled_from(findings("electric drum")), max_size=2)):
            visit = with_finding(visit, position, finding)
    row = visit["corner"][draw(st.integers(0, 3))]
    row["look"].append(
        {"check": "hub face", "found": ["paint", "rust"], "by": "T2", "photo": ["b.jpg", "a.jpg"]}
    )
    row["not_checked"] = [{"check": "wheel", "why": "at the tire shop"}, {"check": "nuts", "why": "no light"}]
    return visit


def shuffled(visit: Data, dice: random.Random) -> Data:
    """The same entries in another order."""
    visit = copy.deepcopy(visit)
    for rows in (visit[key] for key in HEADED if key in visit):
        dice.shuffle(rows)
    for corner in visit["corner"]:
        for key in (*HOWS, "reading", "not_checked"):
            dice.shuffle(corner.get(key, []))
    return visit


def text(visit: Data) -> str:
    """The examination as JSON text."""
    return as_json(run(visit))


@SOUND
@given(busy_visits(), st.integers(0, 2**32))
def test_order_of_entries(visit: Data, seed: int) -> None:
    """Corners, looks, readings, limits, history, gauges, calls in any order: identical JSON."""
    assert text(visit) == text(shuffled(visit, random.Random(seed)))


TWICE: dict[str, tuple[str, list[Data]]] = {
    "volts at plug": ("reading", [{"what": "volts at plug", "value": v, "unit": "V", "gauge": "G1"} for v in ("12.6", "10.5")]),
    "total amps": ("reading", [{"what": "total amps", "value": v, "unit": "A", "gauge": "G1"} for v in ("15.2", "3.1")]),
    "one gauge with two uncertainties": ("gauge", [{"id": "G1", "kind": "gauge", "u": u} for u in ("0.003 in", "0.080 in")]),
    "one person's two calls": ("call", [
        {"position": "1-road", "part": "wheel", "call": call, "by": by, "why": "so"} for call, by in (("keep", "T2"), ("dress", "T2"), ("dress", "T3"))
    ]),
    "equal limits in two units": ("limit", [
        {"what": "friction diameter", "value": v, "unit": u, "grade": "on the part"} for v, u in (("10.090", "in"), ("256.286", "mm"))
    ]),
}  # fmt: skip


@pytest.mark.parametrize("name", TWICE)
def test_entries_that_contradict_each_other(name: str) -> None:
    """Said twice and differently: which one came first in the file makes no difference."""
    key, rows = TWICE[name]
    visit = full("electric drum", 2)
    name_of = "id" if key == "gauge" else "what"
    rest = [row for row in visit.get(key, []) if row[name_of] != rows[0].get(name_of)]
    outs = {text(visit | {key: rest + order}) for order in (rows, rows[::-1])}

    assert len(outs) == 1


def test_two_reasons_for_one_check_not_made() -> None:
    """The reasons for one gap come out the same in either order."""
    marks = [{"check": "wheel", "why": "at the tire shop"}, {"check": "wheel", "why": "no light"}]
    outs = set()
    for order in (marks, marks[::-1]):
        visit = full()
        visit["corner"][0]["not_checked"] = order
        outs.add(text(visit))

    assert len(outs) == 1


@SOUND
@given(busy_visits())
def test_twice_in_one_process(visit: Data) -> None:
    """Nothing is remembered from one examination to the next."""
    first = text(visit)
    run(full("hydraulic disc"))

    assert text(visit) == first


def test_in_other_processes(tmp_path: Path) -> None:
    """The order in which a process happens to keep its sets does not show in the bytes."""
    path = tmp_path / "visit.json"
    visit: Any = busy()
    for position in positions(2):
        for finding in findings("electric drum")[::7]:
            visit = with_finding(visit, position, finding)
    path.write_text(json.dumps(visit), "utf-8")
    start = "import sys; from wheeltapper.cli import main; main(sys.argv[1:])"
    words = [
        "examine",
        str(path),
        "--house",
        str(ROOT / "examples" / "house"),
        "--json",
        "--on",
        "2026-11-25",
    ]
    outs = {
        subprocess.run([sys.executable, "-c", start, *words], capture_output=True, check=False, env=os.environ | {"PYTHONHASHSEED": seed}).stdout
        for seed in ("0", "1", "4242")
    }  # fmt: skip

    assert len(outs) == 1
    assert b'"parts"' in outs.pop()
