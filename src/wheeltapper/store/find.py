"""Every read: visits, their entries and chains."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, cast

from django.db import connection

from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.store.chain import Link, broken
from wheeltapper.store.entries import Entry, Kind
from wheeltapper.store.files import fault_of, path_of
from wheeltapper.store.models import KeptEntry, KeptVisit, Original

COLUMNS = ("entry_id", "at", "received", "by", "device", "kind", "instead_of", "body", "before", "hash")
AS_BYTES = ", ".join(f'CAST("{name}" AS BLOB)' for name in ("seq", *COLUMNS))


def link_of(row: KeptEntry) -> Link:
    """A row as the link it is."""
    return Link(
        row.seq, row.entry_id, row.at, row.received, row.by, row.device, row.kind, tuple(row.instead_of), row.body, row.before,
        row.hash,
    )  # fmt: skip


def links(visit: KeptVisit, after: int = 0) -> Iterator[Link]:
    """A visit's chain, first to last, or what came after so many entries."""
    return map(link_of, KeptEntry.objects.filter(visit=visit, seq__gt=after).order_by("seq").iterator())


def entry_of(link: Link) -> Entry:
    """A link as the entry it keeps; it was checked when it was kept."""
    return Entry.model_construct(
        id=link.id, at=link.at, by=link.by, kind=cast(Kind, link.kind), instead_of=link.instead_of, body=json.loads(link.body),
        received=link.received,
    )  # fmt: skip


def entries(visit: KeptVisit) -> tuple[Entry, ...]:
    """All of a visit's entries, first to last."""
    return tuple(map(entry_of, links(visit)))


def figures(visit: Visit) -> dict[str, str]:
    """The small pictures of marks that a visit names, by name: only those that we drew and kept ourselves."""
    named = {m.figure for c in visit.corner for m in c.mark if m.figure}
    kept = (
        Original.objects.filter(kind="figure", sha256__in={n.removesuffix(".svg") for n in named})
        if named
        else ()
    )
    return {f"{o.sha256}.svg": path_of(o).read_text("utf-8") for o in kept if fault_of(o) is None}


def broken_chains() -> Iterator[Problem]:
    """The first fault of every visit whose chain does not hold."""
    for visit in KeptVisit.objects.order_by("number").iterator():
        fault = broken(visit.number, _links_as_they_lie(visit), visit.tail, visit.entries)
        if fault:
            yield fault


def broken_originals() -> Iterator[Problem]:
    """Every photo or sound that is not there any more, or not the same; and entries that name one that never was."""
    known = {}
    for original in Original.objects.order_by("sha256").iterator():
        known[original.sha256] = True
        fault = fault_of(original)
        if fault:
            yield fault
    for row in KeptEntry.objects.filter(kind__in=("photo", "sound")).select_related("visit").iterator():
        named = _named(row.body)
        if named not in known:
            where = f"visit {row.visit.number}, entry {row.seq}"
            yield Problem(
                where, f"its {row.kind} {str(named)[:16]} is not kept here", "restore the last backup."
            )


def _named(body: str) -> Any:
    try:
        return json.loads(body)["sha256"]
    except (ValueError, KeyError, TypeError):  # the chain tells what was changed
        return None


def _links_as_they_lie(visit: KeptVisit) -> Iterator[Link]:
    """The chain from the bare bytes: whatever somebody made of a column, it can be read, and told as changed."""
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT {AS_BYTES} FROM store_keptentry WHERE visit_id = %s ORDER BY seq, id", [visit.pk]
        )
        while rows := cursor.fetchmany(200):
            yield from map(_lying, rows)


def _lying(row: Iterable[bytes | None]) -> Link:
    seq, *said = ((value or b"").decode("utf-8", "replace") for value in row)
    named = dict(zip(COLUMNS, said, strict=True))
    return Link(
        int(seq) if seq.isdecimal() else -1, named["entry_id"], named["at"], named["received"], named["by"], named["device"],
        named["kind"], _list(named["instead_of"]), named["body"], named["before"], named["hash"],
    )  # fmt: skip


def _list(text: str) -> tuple[str, ...]:
    """The ids as kept; what is no list of them stays one text, which no chain holds."""
    try:
        ids = json.loads(text)
    except (ValueError, RecursionError):
        return (text,)
    fine = isinstance(ids, list) and all(isinstance(i, str) for i in ids) and json.dumps(ids) == text
    return tuple(ids) if fine else (text,)


def database() -> Path:
    """The file that holds it all."""
    return Path(str(connection.settings_dict["NAME"]))
