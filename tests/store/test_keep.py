"""No confirmed entry is lost, none doubled: many at once, killed at any instant, the same again, another under its name."""

from __future__ import annotations

import random
import signal
import time
from pathlib import Path

import pytest
from django.db import transaction

from store.sample import entry, gate, look
from store.shop import rows, shop, whole, writer
from wheeltapper.store import keep
from wheeltapper.store.find import broken_chains, entries
from wheeltapper.store.models import KeptVisit

pytestmark = pytest.mark.reasoned


@pytest.mark.django_db
def test_the_same_entry_again_is_confirmed_and_not_doubled() -> None:
    visit, one = keep.open_visit(), gate()
    first, again = keep.add(visit, [one], "d"), keep.add(visit, [one, one], "d2")
    assert (first.ids, first.new, again.ids, again.new) == ((one.id,), 1, (one.id,), 0)
    assert [e.id for e in entries(visit)] == [one.id]


@pytest.mark.django_db
def test_another_entry_under_a_kept_id_is_not_confirmed() -> None:
    visit, one = keep.open_visit(), entry(look("seal", "fine"))
    keep.add(visit, [one], "d")
    other = one.model_copy(update={"body": look("seal", "leaks")})
    got = keep.add(visit, [other], "d")
    assert (got.ids, got.otherwise, got.new) == ((), (one.id,), 0)
    both = entry(look("grease", "fine"))
    got = keep.add(visit, [both, both.model_copy(update={"by": "T9"})], "d")
    assert (got.ids, got.otherwise, got.new) == ((), (both.id,), 1)


@pytest.mark.django_db
def test_an_id_of_another_visit_is_not_confirmed_here() -> None:
    one, here, there = gate(), keep.open_visit(), keep.open_visit()
    keep.add(there, [one], "d")
    got = keep.add(here, [one, fresh := entry(look("seal", "fine"))], "d")
    assert (got.ids, got.elsewhere, got.new) == ((fresh.id,), (one.id,), 1)
    assert [e.id for e in entries(here)] == [fresh.id]


@pytest.mark.django_db
def test_an_entry_whose_photo_never_arrived_waits() -> None:
    visit, photo = keep.open_visit(), entry({"sha256": "ab" * 32}, kind="photo")
    got = keep.add(visit, [photo], "d")
    assert (got.ids, got.fileless, got.new) == ((), (photo.id,), 0)


@pytest.mark.django_db(transaction=True)
def test_no_promise_inside_another_transaction() -> None:
    visit = keep.open_visit()
    with transaction.atomic(), pytest.raises(RuntimeError):
        keep.add(visit, [gate()], "d")


@pytest.mark.django_db
def test_numbers_go_on_past_ten_thousand() -> None:
    first = keep.open_visit()
    year = first.number[:3]
    KeptVisit.objects.filter(pk=first.pk).update(number=f"{year}9999")
    assert [keep.open_visit().number, keep.open_visit().number] == [f"{year}10000", f"{year}10001"]


@pytest.mark.django_db
def test_what_is_kept_reads_back_the_same() -> None:
    visit, one = keep.open_visit(), gate(mileage={"now": 31400}, owner_said="It stood.")
    keep.add(visit, [one], "d")
    assert entries(visit)[0].body == one.body
    assert not list(broken_chains())


def test_eight_writers_at_once(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop")
    own, shared, many = 6, 4, 8
    first = writer(folder, "w9", "0", "1")
    first.communicate(timeout=60)
    at_work = [writer(folder, f"w{i}", str(own), str(shared)) for i in range(many)]
    said = [p.communicate(timeout=100)[0].split() for p in at_work]
    assert [p.returncode for p in at_work] == [0] * many
    kept = rows(folder / "shop.sqlite3")
    assert [r["seq"] for r in kept] == list(range(1, many * own + shared + 1))
    assert {r["entry_id"] for r in kept} == {i for ids in said for i in ids}
    assert all(len(ids) == own + shared for ids in said)
    assert whole(kept)


def test_killed_at_any_instant(tmp_path: Path) -> None:
    folder, chance, confirmed = shop(tmp_path / "shop"), random.Random(7), set()
    for n in range(6):
        process = writer(folder, f"k{n}", "100000", "0")
        assert process.stdout is not None
        confirmed.add(process.stdout.readline().strip())
        time.sleep(chance.uniform(0, 0.12))
        process.send_signal(signal.SIGKILL)
        confirmed |= {line for line in process.communicate(timeout=30)[0].split("\n") if len(line) == 32}
    kept = rows(folder / "shop.sqlite3")
    assert confirmed <= {r["entry_id"] for r in kept}
    assert [r["seq"] for r in kept] == list(range(1, len(kept) + 1))
    assert len(confirmed) > 6
    assert whole(kept)
