"""Every write. An entry is kept once, in its visit's chain, and confirmed only when it lies on the disk.

SQLite writes one at a time (IMMEDIATE); nothing slow happens inside a transaction.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.db import transaction
from django.db.models.functions import Length
from django.utils.timezone import localdate

from wheeltapper.store.chain import Link, canonical, first, hash_of
from wheeltapper.store.entries import Entry
from wheeltapper.store.find import link_of
from wheeltapper.store.models import KeptEntry, KeptVisit, Original
from wheeltapper.store.unit_names import plain

GONE = {"out, re-torque due", "settled", "left on a hauler", "left against advice"}  # no longer in the yard


@dataclass(frozen=True)
class Kept:
    """What became of a batch. Only `ids` are confirmed; the others lie nowhere yet, and must not be forgotten by the client."""

    ids: tuple[str, ...]
    elsewhere: tuple[str, ...]  # that id is an entry of another visit
    new: int
    otherwise: tuple[str, ...] = ()  # that id is kept here and says something else
    fileless: tuple[str, ...] = ()  # its photo or sound has not arrived


def now() -> str:
    """The server's clock, UTC, to the millisecond."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z"


def add(visit: KeptVisit, entries: Iterable[Entry], device: str) -> Kept:
    """Keep entries at the end of a visit's chain; one that is there already is confirmed again and not doubled.

    It must not be called inside a transaction: what it gives back would be a promise that the outer one can break.
    """
    said = [(e, _said(e)) for e in entries]
    fileless = _fileless([e for e, _ in said])
    with transaction.atomic(durable=True):
        known = _known(said)
        fresh: dict[str, tuple[Entry, str]] = {}
        for entry, text in said:
            if entry.id not in known and entry.id not in fresh and entry.id not in fileless:
                fresh[entry.id] = entry, text
        _append(visit, [e for e, _ in fresh.values()], device)
    here = {i: text for i, (at, text) in known.items() if at == visit.pk} | {
        i: t for i, (_, t) in fresh.items()
    }
    return _told(said, here, fileless, len(fresh), {i for i, (at, _) in known.items() if at != visit.pk})


def _told(
    said: list[tuple[Entry, str]], here: Mapping[str, str], fileless: set[str], new: int, elsewhere: set[str]
) -> Kept:
    """Confirmed is only what lies here word for word."""
    ids = dict.fromkeys(e.id for e, _ in said)
    otherwise = {e.id for e, text in said if here.get(e.id, text) != text}
    fine = tuple(i for i in ids if i in here and i not in otherwise)
    return Kept(
        fine, tuple(i for i in ids if i in elsewhere), new, tuple(i for i in ids if i in otherwise),
        tuple(i for i in ids if i in fileless and i not in here and i not in elsewhere),
    )  # fmt: skip


def _said(entry: Entry | Link) -> str:
    """Everything that the client said, to tell whether it says the same again."""
    body = entry.body if isinstance(entry.body, str) else canonical(entry.body)
    return canonical([entry.at, entry.by, entry.kind, list(entry.instead_of), body])


def _known(said: Iterable[tuple[Entry, str]]) -> dict[str, tuple[int, str]]:
    rows = KeptEntry.objects.filter(entry_id__in={e.id for e, _ in said})
    return {row.entry_id: (row.visit_id, _said(link_of(row))) for row in rows}


def _fileless(entries: Iterable[Entry]) -> set[str]:
    named = {e.id: e.body["sha256"] for e in entries if e.kind in ("photo", "sound")}
    if not named:
        return set()
    there = set(Original.objects.filter(sha256__in=named.values()).values_list("sha256", flat=True))
    return {i for i, sha in named.items() if sha not in there}


def _append(visit: KeptVisit, entries: list[Entry], device: str) -> None:
    """At the end of the chain, as it lies under this transaction's lock."""
    last = KeptEntry.objects.filter(visit=visit).order_by("-seq").first()
    seq, before = (last.seq, last.hash) if last else (0, first(visit.number))
    rows: list[KeptEntry] = []
    for entry in entries:
        seq += 1
        rows.append(_row(visit, entry, device, seq, before))
        before = rows[-1].hash
    if rows:
        KeptEntry.objects.bulk_create(rows)
        KeptVisit.objects.filter(pk=visit.pk).update(entries=seq, tail=before)


def _row(visit: KeptVisit, entry: Entry, device: str, seq: int, before: str) -> KeptEntry:
    row = KeptEntry(
        visit=visit, seq=seq, entry_id=entry.id, at=entry.at, received=now(), by=entry.by, device=device, kind=entry.kind,
        instead_of=list(entry.instead_of), body=canonical(entry.body), before=before, hash="",
    )  # fmt: skip
    row.hash = hash_of(link_of(row))
    return row


def open_visit(opened: datetime | None = None) -> KeptVisit:
    """A new visit with the next number of the shop's own year; one that was before the shop kept them here says when it was."""
    opened = opened or datetime.now(UTC)
    year = f"{localdate(opened):%y}-"
    with transaction.atomic():
        numbers = KeptVisit.objects.filter(number__startswith=year).order_by(
            Length("number").desc(), "-number"
        )
        last = numbers.values_list("number", flat=True).first()
        number = f"{year}{int(last[3:]) + 1 if last else 1:04d}"
        return KeptVisit.objects.create(number=number, opened=opened)


def summarise(visit: KeptVisit, seq: int, unit: str, state: str, summary: dict[str, Any]) -> None:
    """What the Yard shows of a visit, made from its first `seq` entries; an older summary never replaces a newer one."""
    KeptVisit.objects.filter(pk=visit.pk, summarised__lte=seq).update(
        unit=unit, tag=plain(unit), state=state, open=state not in GONE, summary=summary, summarised=seq
    )
