"""A unit that comes back: found by a piece of its name, and what its next visit starts with."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from conftest import ON, ROOT, priced
from store.sample import entry, gate
from wheeltapper.flow import examine
from wheeltapper.records import Mileage, Unit, Visit
from wheeltapper.store import keep
from wheeltapper.store.history import Last, last_of, plain, units_like
from wheeltapper.store.models import KeptVisit

pytestmark = pytest.mark.reasoned
UNIT = Unit(id="TF-0417", axles=2, brake="electric drum", drum="12 in")


def example(**more: Any) -> Last:
    """The example visit, with more on it."""
    raw = tomllib.loads((ROOT / "examples" / "visit.toml").read_text("utf-8"), parse_float=str)
    return Last("26-0001", Visit.model_validate(raw | more), priced())


@pytest.mark.parametrize("asked", ["tf0417", "TF 0417", "0417", "o4i7", "TF-O4l7", "17 TF", "tf"])
@pytest.mark.django_db
def test_found_by_a_piece_of_its_name(asked: str) -> None:
    for name in ("TF-0417", "XY-9"):
        KeptVisit.objects.filter(pk=keep.open_visit().pk).update(unit=name)
    assert [u.name for u in units_like(asked)] == ["TF-0417"]


@pytest.mark.django_db
def test_the_nearest_stands_first_and_nothing_is_like_nothing() -> None:
    for name in ("A417B", "B-417", "417", "TF-0417"):
        KeptVisit.objects.filter(pk=keep.open_visit().pk).update(unit=name)
    assert [u.name for u in units_like("417")] == ["417", "TF-0417", "B-417", "A417B"]
    assert units_like("") == units_like(" - ") == units_like("999") == ()
    assert plain("tf–o4i_7") == "TF0417"


def test_the_worst_reading_of_each_part_is_carried_with_its_miles() -> None:
    piece = example().carried(UNIT, Mileage(now=40_000))
    assert piece is not None
    drum = [p for p in piece.history if p.what == "friction diameter" and p.position == "1-road"]
    assert [(p.value, p.miles, p.miles_ago) for p in drum] == [("12.034", 23_200, None), ("12.011", 12_600, None), ("12.062", 31_400, None)]  # fmt: skip
    lining = [p for p in piece.history if p.what == "lining thickness" and p.position == "1-road"]
    assert [p.value for p in lining] == ["0.127"]


def test_the_next_visit_reads_what_was_carried() -> None:
    piece = example().carried(UNIT, Mileage(now=40_000))
    assert piece is not None
    raw = tomllib.loads((ROOT / "examples" / "visit.toml").read_text("utf-8"), parse_float=str)
    raw |= {
        "mileage": {"now": 40_000},
        "history": piece.model_dump(mode="json", exclude_none=True)["history"],
    }
    out = examine(Visit.model_validate(raw), priced(), ON)
    assert not [p for p in out.problems if p.where.startswith("history")]
    assert {
        g.records for g in out.findings.gauged if (g.position, g.what) == ("1-road", "friction diameter")
    } == {4}  # with now


@pytest.mark.parametrize(
    "mileage, miles, ago",
    [
        (Mileage(now=40_000), 31_400, None),
        (Mileage(since_last=8_600), None, 8_600),
        (Mileage(), None, None),
        (None, None, None),
    ],
)
def test_how_far_ago_is_never_guessed(
    mileage: Mileage | None, miles: float | None, ago: float | None
) -> None:
    piece = example(history=[]).carried(UNIT, mileage)
    assert piece is not None
    assert {(p.miles, p.miles_ago) for p in piece.history} == {(miles, ago)}


@pytest.mark.parametrize(
    "part, what", [("hub-drum", "friction diameter"), ("brake-assembly", "lining thickness")]
)
def test_a_new_part_leaves_the_old_readings_behind(part: str, what: str) -> None:
    done = [{"position": "1-road", "part": part, "action": "replaced", "by": "T1"}]
    piece = example(done=done).carried(UNIT, Mileage(now=40_000))
    assert piece is not None
    assert not [p for p in piece.history if (p.position, p.what) == ("1-road", what)]
    assert [p for p in piece.history if (p.position, p.what) == ("1-curb", what)]
    assert [(f.position, f.part, f.miles) for f in piece.fitted] == [("1-road", part, 31_400)]


def test_a_new_axle_leaves_both_ends_behind() -> None:
    piece = example(done=[{"position": "1-road", "part": "axle", "action": "Fitted", "by": "T1"}]).carried(
        UNIT, Mileage(now=4e4)
    )
    assert piece is not None
    assert {p.position for p in piece.history} == {"2-road", "2-curb"}
    assert {(f.position, f.part) for f in piece.fitted} == {(e, p) for e in ("1-road", "1-curb") for p in ("hub-drum", "brake-assembly")}  # fmt: skip


def test_what_was_put_off_and_what_was_found() -> None:
    answers = [
        {"position": "1-road", "part": "hub-drum", "answer": "not now", "by": "C1"},
        {"position": "1-curb", "part": "seal", "answer": "not now", "by": "C1"},
        {"position": "1-curb", "part": "seal", "answer": "now", "by": "C1"},
        {"position": "2-road", "part": "seal", "answer": "not now", "by": "C1"},
    ]
    last = example(answer=answers, done=[{"position": "2-road", "part": "seal", "action": "new", "by": "T1"}])
    assert [(d.position, d.part, d.by, d.date) for d in last.declined] == [
        ("1-road", "hub-drum", "C1", last.date)
    ]
    assert "1-curb seal: weeps" in last.findings
    assert "2-road cups inner: punch, peen or knurl marks" in last.findings
    assert not [f for f in last.findings if f.endswith("fine")]


@pytest.mark.django_db
def test_the_last_visit_that_can_be_read() -> None:
    for n in range(2):
        visit = keep.open_visit()
        keep.add(visit, [gate(complaint=f"visit {n}")], "d")
        KeptVisit.objects.filter(pk=visit.pk).update(unit="TF-0417", tag=plain("TF-0417"))
    empty = keep.open_visit()
    KeptVisit.objects.filter(pk=empty.pk).update(unit="TF-0417", tag=plain("TF-0417"))
    last = last_of("tf o417")
    assert last is not None
    assert last.visit.complaint == "visit 1"
    assert last_of("TF-1") is None


@pytest.mark.django_db
def test_what_is_carried_can_be_kept() -> None:
    visit = keep.open_visit()
    piece = example().carried(UNIT, Mileage(now=4e4))
    assert piece is not None
    said = entry(piece.model_dump(mode="json", exclude_none=True, exclude_defaults=True))
    assert keep.add(visit, [gate(mileage={"now": 40_000}), said], "d").new == 2
