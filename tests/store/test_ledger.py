"""What the ledger reads: all visits of a unit however its name is written, from extracts that are never behind."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from conftest import priced
from kept_unit import counted, entry, gate, kept, sized
from wheeltapper.store import keep, ledger
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import Extract, KeptVisit
from wheeltapper.store.unit_names import plain

pytestmark = [pytest.mark.reasoned, pytest.mark.django_db]
DAYS = (date(2024, 1, 10), date(2024, 7, 10), date(2025, 1, 10))
HAULED: dict[str, Any] = {"exit": {"how": "on a hauler", "by": "T1"}}


def came(unit: str = "TF-0417") -> tuple[ledger.Came, ...]:
    """Its visits."""
    return ledger.came(unit, priced())


def values(rows: tuple[ledger.Came, ...]) -> list[list[str]]:
    """What was read at each visit, as typed."""
    return [[v for c in row.visit.corner for r in c.reading for v in r.value] for row in rows]


def add(visit: KeptVisit, *bodies: dict[str, Any], **more: Any) -> list[Entry]:
    """More entries, without anybody looking at the visit."""
    rows = [entry(b, **more) for b in bodies]
    keep.add(visit, rows, "bench")
    return rows


def test_every_way_to_write_a_name_is_the_same_unit() -> None:
    """Blanks, dashes, case, O and 0, I and 1, as the gate finds it; other units stay out."""
    for name in ("TF-0417", "tf 0417", "TF-O4I7", "T.F/0417"):
        kept(gate(DAYS[0], unit={"id": name}))
    kept(gate(DAYS[0], unit={"id": "TF-0418"}))

    assert [c.visit.unit.id for c in came("tfo417")] == ["TF-0417", "tf 0417", "TF-O4I7", "T.F/0417"]
    assert came("TF-0419") == came("--") == came("") == ()


def test_an_extract_is_made_when_the_trailer_leaves_and_holds_no_more_than_wear_needs() -> None:
    """Open work has none; what has left has one, with readings that wear and without the sweep's answers."""
    look = {"corner": [{"position": "1-road", "look": [{"check": "cap", "found": ["missing"]}]}]}
    here = kept(gate(DAYS[0]), sized("1-road", "12.010"), look)
    assert not Extract.objects.exists()
    gone = kept(gate(DAYS[0]), sized("1-road", "12.010"), look, HAULED)
    made = Extract.objects.get()

    assert (made.visit_id, made.tail) == (gone.pk, gone.tail)
    assert "missing" not in str(made.body["visit"])
    assert any(row[1:3] == ["cap", "replace"] for row in made.body["calls"])
    assert here.pk != gone.pk


def test_a_later_entry_makes_the_extract_anew() -> None:
    """A correction stands instead of what was read, whether or not anybody looked at the visit since."""
    visit = kept(gate(DAYS[0]), sized("1-road", "12.010"), HAULED)
    assert values(came()) == [["12.010"]]
    wrong = next(e for e in ledger.entries(visit) if e.body.get("corner"))
    keep.add(
        visit,
        [Entry.model_validate(entry(sized("1-road", "12.016")).model_dump() | {"instead_of": [wrong.id]})],
        "bench",
    )

    assert values(came()) == [["12.016"]]
    assert Extract.objects.count() == 1


def test_an_extract_of_an_older_form_is_made_anew() -> None:
    kept(gate(DAYS[0]), sized("1-road", "12.010"), HAULED)
    Extract.objects.update(form=0, body={"of": "long ago"})

    assert values(came()) == [["12.010"]]
    assert Extract.objects.get().form == ledger.FORM


def test_what_a_visit_tells_of_earlier_ones_is_left_out_where_they_tell_it_themselves() -> None:
    """Each visit carries all before it on; a reading of elsewhere, or of a place the earlier visit has not, stays."""
    kept(gate(DAYS[0], **counted(1000)), sized("1-road", "12.010"), HAULED)
    rows = [
        {"position": at, "what": "friction diameter", "value": "12.005", "unit": "in", "gauge": "G1", "date": day, "miles": miles}
        for at, day, miles in (("1-road", "2024-01-10", 1000), ("1-curb", "2024-01-10", 1000), ("1-road", "2023-06-01", 200))
    ]  # fmt: skip
    kept(gate(DAYS[1], **counted(7000)), {"history": rows}, HAULED)
    last = came()[-1].visit

    assert [(p.position, str(p.date)) for p in last.history] == [
        ("1-curb", "2024-01-10"),
        ("1-road", "2023-06-01"),
    ]


def test_a_visit_that_cannot_be_read_and_one_without_a_name_are_left_out() -> None:
    """No day, no trailer: no line, and no failure."""
    kept(gate(DAYS[0]))
    bare = keep.open_visit()
    add(bare, {"complaint": "it pulls"})
    KeptVisit.objects.filter(pk=bare.pk).update(unit="TF-0417")
    keep.open_visit()

    assert len(came()) == 1


def test_visits_stand_in_order_of_their_day() -> None:
    """Typed in late: the day of the visit counts, not when it was opened."""
    kept(gate(DAYS[1]), HAULED)
    kept(gate(DAYS[0]), HAULED)
    assert [c.visit.date for c in came()] == [DAYS[0], DAYS[1]]


def test_rows_from_before_the_tag_was_kept_are_found() -> None:
    """A visit whose row has no tag yet: compared by its name."""
    kept(gate(DAYS[0]), HAULED)
    KeptVisit.objects.update(tag="")
    assert len(came("tf0417")) == 1


def test_the_stamp_moves_with_every_entry_and_only_with_the_units_own() -> None:
    """What a page is remembered by."""
    visit = kept(gate(DAYS[0]))
    before = ledger.stamp("TF-0417")
    kept(gate(DAYS[0], unit={"id": "XY-1"}))
    assert ledger.stamp("TF-0417") == before
    add(visit, {"complaint": "it pulls"})
    assert ledger.stamp("TF-0417") != before


def test_the_whole_shop_has_one_name_for_each_unit() -> None:
    """However it was written; each visit once."""
    for name, day in (("TF-0417", DAYS[0]), ("tf 0417", DAYS[1]), ("XY-1", DAYS[0])):
        kept(gate(day, unit={"id": name}), HAULED)
    assert sorted((v.unit.id, str(v.date)) for v in ledger.every_unit(priced())) == [
        ("XY-1", "2024-01-10"),
        ("tf 0417", "2024-01-10"),
        ("tf 0417", "2024-07-10"),
    ]


@pytest.mark.parametrize(
    "name, said",
    [("tf-0417", "TF0417"), (" o q i l ", "0011"), ("T.F/0_4", "TF04"), ("--", ""), ("Ü-1", "Ü1")],
)
def test_a_tag_as_it_is_compared(name: str, said: str) -> None:
    assert plain(name) == said
