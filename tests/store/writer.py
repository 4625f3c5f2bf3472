"""Run by tests: keeps entries in a shop's visit, one after the other, and says each that is confirmed.

writer.py NAME COUNT SHARED: COUNT entries of its own; with SHARED > 0 also that many which every writer sends.
"""

from __future__ import annotations

import sys

import django


def main(name: str, count: int, shared: int) -> None:
    """Write; a line for each confirmed id."""
    django.setup()
    from wheeltapper.store import keep
    from wheeltapper.store.entries import Entry
    from wheeltapper.store.models import KeptVisit

    visit = KeptVisit.objects.order_by("pk").first() or keep.open_visit()
    for n in range(count + shared):
        id_ = f"{n:032x}" if n < shared else f"{name:0>8}".encode().hex() + f"{n:016x}"
        body = {
            "corner": [
                {"position": "1-road", "look": [{"check": "seal", "found": ["weeps"], "note": f"é{n}"}]}
            ]
        }
        at = "2026-11-20T08:00:00.000Z"
        got = keep.add(visit, [Entry(id=id_, at=at, by="T1", kind="piece", body=body)], name)
        for confirmed in got.ids:
            sys.stdout.write(confirmed + "\n")
            sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
