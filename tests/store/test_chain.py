"""Nothing can be changed or taken out unseen, and the database itself refuses to."""

from __future__ import annotations

import sqlite3

import pytest
from django.db import DatabaseError, connection

from store.sample import entry, gate, look
from wheeltapper.store import keep
from wheeltapper.store.find import COLUMNS, broken_chains
from wheeltapper.store.models import KeptVisit

TRIGGERS = (
    "keptentry_never_changed",
    "keptentry_never_deleted",
    "keptentry_never_replaced",
    "keptentry_follows",
)
pytestmark = [pytest.mark.django_db, pytest.mark.reasoned]


def kept(count: int = 4) -> KeptVisit:
    """A visit with some entries."""
    visit = keep.open_visit()
    keep.add(visit, [gate(), *(entry(look("seal", "weeps", note=f"é{n}")) for n in range(count - 1))], "d")
    return visit


def unguarded(statement: str, *values: object) -> None:
    """What somebody with the database and ill will can do."""
    with connection.cursor() as cursor:
        for trigger in TRIGGERS:
            cursor.execute(f"DROP TRIGGER IF EXISTS {trigger}")
        cursor.execute("PRAGMA ignore_check_constraints = ON")
        cursor.execute(statement, values)
        cursor.execute("PRAGMA ignore_check_constraints = OFF")


@pytest.mark.second_way
def test_the_chain_by_standard_tools_alone() -> None:
    from store.shop import whole

    visits = [kept(), kept(2)]
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT v.number, v.tail, v.entries, e.* FROM store_keptentry e JOIN store_keptvisit v ON v.id = e.visit_id ORDER BY e.visit_id, e.seq"
        )
        names = [c[0] for c in cursor.description]
        found = [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]
    assert [r["number"] for r in found] == [visits[0].number] * 4 + [visits[1].number] * 2
    assert whole(found)
    assert not whole([*found[:1], *found[2:]])
    assert not whole([found[0] | {"body": found[1]["body"]}, *found[1:]])


@pytest.mark.parametrize("column", [*COLUMNS, "seq"])
@pytest.mark.parametrize("value", ["x", b"\xff\xfe", '["' + "0" * 32 + '"]'])
def test_a_changed_column_is_the_first_broken_link(column: str, value: object) -> None:
    visit = kept()
    changed = 77 if column == "seq" else value
    unguarded(
        f'UPDATE store_keptentry SET "{column}" = %s WHERE visit_id = %s AND seq = 2', changed, visit.pk
    )
    (fault,) = broken_chains()
    named = "3" if column == "seq" else "2"
    assert fault.where == f"visit {visit.number}, entry {named}"


@pytest.mark.parametrize("seq, said", [(1, "entry 2"), (3, "entry 4"), (4, "entries after 3 are missing")])
def test_a_missing_entry_is_told(seq: int, said: str) -> None:
    visit = kept()
    unguarded("DELETE FROM store_keptentry WHERE visit_id = %s AND seq = %s", visit.pk, seq)
    (fault,) = broken_chains()
    assert said in fault.said


def test_all_entries_gone_and_the_tail_with_them_is_told() -> None:
    visit = kept()
    unguarded("DELETE FROM store_keptentry WHERE visit_id = %s", visit.pk)
    unguarded("UPDATE store_keptvisit SET tail = '' WHERE id = %s", visit.pk)
    assert [p.what for p in broken_chains()] == ["entries after 0 are missing"]


def test_two_chains_that_changed_places_are_told() -> None:
    one, two = kept(), kept(2)
    for number, visit in (("26-x", one), (one.number, two), (two.number, one)):
        KeptVisit.objects.filter(pk=visit.pk).update(number=number)
    assert [p.where for p in broken_chains()] == [
        f"visit {n}, entry 1" for n in sorted((one.number, two.number))
    ]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE store_keptentry SET body = '{}' WHERE seq = 2",
        "UPDATE OR IGNORE store_keptentry SET hash = '' WHERE seq = 2",
        "DELETE FROM store_keptentry WHERE seq = 4",
        "DELETE FROM store_keptentry",
        "INSERT OR REPLACE INTO store_keptentry SELECT * FROM store_keptentry WHERE seq = 2",
        "REPLACE INTO store_keptentry SELECT NULL, seq, entry_id, at, received, by, device, kind, instead_of, '{}', before, hash, visit_id FROM store_keptentry WHERE seq = 4",
        "INSERT INTO store_keptentry SELECT NULL, 9, 'new', at, received, by, device, kind, instead_of, body, before, hash, visit_id FROM store_keptentry WHERE seq = 4",
        "INSERT INTO store_keptentry SELECT NULL, 5, 'new', at, received, by, device, kind, instead_of, body, before, hash, visit_id FROM store_keptentry WHERE seq = 4",
    ],
)  # fmt: skip
def test_the_database_refuses(statement: str) -> None:
    kept()
    with pytest.raises((DatabaseError, sqlite3.Error), match=r"only ever added|follows the last one"), connection.cursor() as cursor:  # fmt: skip
        cursor.execute(statement)


def test_a_visit_with_entries_cannot_be_deleted() -> None:
    visit = kept()
    with pytest.raises((DatabaseError, sqlite3.Error), match=r"FOREIGN KEY|protected|only ever"):
        visit.delete()
