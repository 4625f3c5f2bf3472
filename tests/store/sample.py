"""Entries to test with."""

from __future__ import annotations

import itertools
from typing import Any
from uuid import uuid4

from wheeltapper.store.entries import Entry

_CLOCK = itertools.count()


def moment(n: int) -> str:
    """The n-th millisecond of a day."""
    s, ms = divmod(n, 1000)
    m, s = divmod(s, 60)
    return f"2026-11-20T{8 + m // 60:02d}:{m % 60:02d}:{s:02d}.{ms:03d}Z"


def entry(
    body: dict[str, Any], by: str = "T1", kind: str = "piece", instead_of: tuple[str, ...] = (), **more: Any
) -> Entry:
    """One entry, later than those before it."""
    said = {
        "id": uuid4().hex,
        "at": moment(next(_CLOCK)),
        "by": by,
        "kind": kind,
        "instead_of": instead_of,
        "body": body,
    }
    return Entry.model_validate(said | more)


def gate(**more: Any) -> Entry:
    """What the gate enters first."""
    unit = {"id": "TF-0417", "axles": 2, "brake": "electric drum", "drum": "12 in"}
    return entry({"date": "2026-11-20", "technician": "T1", "unit": unit} | more)


def look(check: str, found: str, position: str = "1-road", **more: Any) -> dict[str, Any]:
    """A piece with one look."""
    return {"corner": [{"position": position, "look": [{"check": check, "found": found, **more}]}]}
