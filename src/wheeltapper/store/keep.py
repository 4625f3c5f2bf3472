"""Every write. An entry is kept once, in its visit's chain, and confirmed only when it lies on the disk.

SQLite writes one at a time (IMMEDIATE); nothing slow happens inside a transaction.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.db import transaction

from wheeltapper.store.chain import FIRST, canonical, hash_of
from wheeltapper.store.entries import Entry
from wheeltapper.store.find import link_of
from wheeltapper.store.models import KeptEntry, KeptVisit


@dataclass(frozen=True)
class Kept:
    """What became of a batch: ids that are now kept, and those that belong to another visit."""

    ids: tuple[str, ...]
    elsewhere: tuple[str, ...]
    new: int


def now() -> str:
    """The server's clock, UTC, to the millisecond."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"


def add(visit: KeptVisit, entries: Iterable[Entry], device: str) -> Kept:
    """Keep entries at the end of a visit's chain; one that is there already is confirmed again and not doubled."""
    asked = {e.id: e for e in entries}
    with transaction.atomic():
        known = dict(KeptEntry.objects.filter(entry_id__in=asked).values_list("entry_id", "visit_id"))
        last = KeptEntry.objects.filter(visit=visit).order_by("-seq").first()
        seq, before = (last.seq, last.hash) if last else (0, FIRST)
        rows: list[KeptEntry] = []
        for entry in (e for e in asked.values() if e.id not in known):
            seq += 1
            rows.append(_row(visit, entry, device, seq, before))
            before = rows[-1].hash
        KeptEntry.objects.bulk_create(rows)
        if rows:
            KeptVisit.objects.filter(pk=visit.pk).update(entries=seq, tail=before)
    elsewhere = tuple(i for i, at in known.items() if at != visit.pk)
    return Kept(tuple(i for i in asked if i not in elsewhere), elsewhere, len(rows))


def _row(visit: KeptVisit, entry: Entry, device: str, seq: int, before: str) -> KeptEntry:
    row = KeptEntry(
        visit=visit, seq=seq, entry_id=entry.id, at=entry.at, received=now(), by=entry.by, device=device, kind=entry.kind,
        instead_of=list(entry.instead_of), body=canonical(entry.body), before=before, hash="",
    )  # fmt: skip
    row.hash = hash_of(link_of(row))
    return row


def open_visit() -> KeptVisit:
    """A new visit with the next number of its year."""
    year = f"{datetime.now(UTC):%y}-"
    with transaction.atomic():
        last = KeptVisit.objects.filter(number__startswith=year).order_by("-number").first()
        number = f"{year}{int(last.number[3:]) + 1 if last else 1:04d}"
        return KeptVisit.objects.create(number=number, opened=datetime.now(UTC))


def summarise(visit: KeptVisit, seq: int, unit: str, state: str, summary: dict[str, Any]) -> None:
    """What the Yard shows of a visit, made from its first `seq` entries; an older summary never replaces a newer one."""
    KeptVisit.objects.filter(pk=visit.pk, summarised__lte=seq).update(
        unit=unit, state=state, summary=summary, summarised=seq
    )
