"""From what a phone sends to entries: every number of a gauge stays the text it was, and every slip is told with its entry.

One entry that cannot be understood never keeps the others back. Knows no database.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from wheeltapper.problems import Problem
from wheeltapper.store.entries import Entry

MOST_BYTES = 2_000_000
MOST_ENTRIES = 500
MOST_DIGITS = 30


@dataclass(frozen=True)
class Received:
    """What came: entries, and what is wrong with the others by their place in the list and their id, as far as they have one."""

    entries: tuple[Entry, ...] = ()
    slips: tuple[tuple[str, Problem], ...] = ()


def entries_from_bytes(data: bytes) -> Received:
    """Read a JSON list of entries."""
    if len(data) > MOST_BYTES:
        return _nothing(f"it is over {MOST_BYTES // 1_000_000} MB", "send fewer entries at a time.")
    try:
        rows = json.loads(
            data.decode("utf-8"),
            parse_float=str,
            parse_int=_whole,
            parse_constant=_no_number,
            object_pairs_hook=_once,
        )
    except (ValueError, RecursionError) as slip:
        return _nothing(
            f"it is not JSON as a browser writes it: {slip}", "load the page again; what waits is kept."
        )
    if not isinstance(rows, list) or len(rows) > MOST_ENTRIES:
        return _nothing(
            f"it is not a list of at most {MOST_ENTRIES} entries", "send fewer entries at a time."
        )
    read = [_entry(i, row) for i, row in enumerate(rows, 1)]
    return Received(
        tuple(r for r in read if isinstance(r, Entry)), tuple(r for r in read if not isinstance(r, Entry))
    )


def _entry(place: int, row: Any) -> Entry | tuple[str, Problem]:
    id_ = str(row.get("id", "")) if isinstance(row, dict) else ""
    try:
        if isinstance(row, dict) and "received" in row:
            raise ValueError("'received' is the server's to say")
        json.dumps(
            row, ensure_ascii=False
        ).encode()  # half a pair of letters, which JSON can write, is no text
        return Entry.model_validate(row)
    except ValidationError as found:
        fault = found.errors(include_url=False, include_context=False, include_input=False)[0]
        what = f"{'.'.join(map(str, fault['loc']))}: {fault['msg'].lower()}".removeprefix(": ")
        return id_, Problem(f"entry {place}", what, "enter it again; this one was not kept.")
    except (ValueError, RecursionError) as slip:
        return id_, Problem(f"entry {place}", str(slip), "enter it again; this one was not kept.")


def _nothing(what: str, do: str) -> Received:
    return Received((), (("", Problem("what was sent", what, do)),))


def _whole(digits: str) -> int:
    if len(digits) > MOST_DIGITS:
        raise ValueError(f"a number of {len(digits)} digits")
    return int(digits)


def _no_number(name: str) -> Any:
    raise ValueError(f"{name} is not a number")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out = dict(pairs)
    if len(out) != len(pairs):
        raise ValueError("a name stands twice in one block")
    return out
