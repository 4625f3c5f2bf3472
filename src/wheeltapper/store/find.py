"""Every read: visits, their entries and chains."""

from __future__ import annotations

import json
from collections.abc import Iterator

from wheeltapper.problems import Problem
from wheeltapper.store.chain import Link, broken
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import KeptEntry, KeptVisit


def link_of(row: KeptEntry) -> Link:
    """A row as the link it is."""
    return Link(
        row.seq, row.entry_id, row.at, row.received, row.by, row.device, row.kind, tuple(row.instead_of), row.body, row.before,
        row.hash,
    )  # fmt: skip


def links(visit: KeptVisit) -> Iterator[Link]:
    """A visit's chain, first to last."""
    return map(link_of, KeptEntry.objects.filter(visit=visit).order_by("seq").iterator())


def entry_of(link: Link) -> Entry:
    """A link as the entry it keeps; it was checked when it was kept."""
    return Entry.model_construct(
        id=link.id,
        at=link.at,
        by=link.by,
        kind=link.kind,
        instead_of=link.instead_of,
        body=json.loads(link.body),
    )


def entries(visit: KeptVisit) -> tuple[Entry, ...]:
    """All of a visit's entries, first to last."""
    return tuple(map(entry_of, links(visit)))


def broken_chains() -> Iterator[Problem]:
    """The first fault of every visit whose chain does not hold."""
    for visit in KeptVisit.objects.order_by("number").iterator():
        fault = broken(visit.number, links(visit), visit.tail)
        if fault:
            yield fault
