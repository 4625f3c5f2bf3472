"""Run by tests: keeps entries in a shop's visit, one after the other, and says each that is confirmed.

writer.py NAME COUNT SHARED [PHOTOS]: COUNT entries of its own, as many as SHARED says that every writer sends, and photos.
"""

from __future__ import annotations

import sys
from typing import Any

import django


def main(name: str, count: int, shared: int, photos: int = 0) -> None:
    """Write; a line for each confirmed id."""
    django.setup()
    from django.db import connection

    from wheeltapper.store import files, keep
    from wheeltapper.store.entries import Entry
    from wheeltapper.store.models import KeptVisit, Original

    if photos:
        connection.cursor().execute(
            "PRAGMA wal_autocheckpoint = 30"
        )  # else so few entries never reach the database's own file
    visit = KeptVisit.objects.order_by("pk").first() or keep.open_visit()
    for n in range(count + shared + photos):
        id_ = f"{n:032x}" if n < shared else f"{name:0>8}".encode().hex() + f"{n:016x}"
        look = {"check": "seal", "found": ["weeps"], "note": f"é{n}"}
        said: dict[str, Any] = {"kind": "piece", "body": {"corner": [{"position": "1-road", "look": [look]}]}}
        if n >= count + shared:
            photo = files.kept([b"\xff\xd8\xff" + bytes([n]) * 3000])
            assert isinstance(photo, Original)
            said = {"kind": "photo", "body": {"sha256": photo.sha256, "position": "1-road"}}
        got = keep.add(visit, [Entry(id=id_, at="2026-11-20T08:00:00.000Z", by="T1", **said)], name)
        for confirmed in got.ids:
            sys.stdout.write(confirmed + "\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1], *map(int, sys.argv[2:]))
