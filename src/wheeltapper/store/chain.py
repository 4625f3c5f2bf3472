"""The chain: each entry carries the hash of the one before it, so that nothing can be changed or taken out unseen.

The hash is SHA-256 (FIPS 180-4) over canonical JSON: keys sorted, no blanks, UTF-8. The first entry of a visit follows the
hash of the visit's number, so that a whole chain cannot change places with another. Anyone can check it with standard tools.
Whoever can write the database can make a new chain: the tails in a backup kept elsewhere show that.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from wheeltapper.problems import Problem

RESTORE = "restore the last backup that is whole."


@dataclass(frozen=True)
class Link:
    """An entry in its place; `body` is canonical JSON text."""

    seq: int
    id: str
    at: str
    received: str
    by: str
    device: str
    kind: str
    instead_of: tuple[str, ...]
    body: str
    before: str
    hash: str


def canonical(value: Any) -> str:
    """JSON text that is the same for the same value."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def first(number: str) -> str:
    """What the first entry of a visit follows, as 64 hex digits."""
    return sha256(canonical(["visit", number]).encode()).hexdigest()


def hash_of(link: Link) -> str:
    """The SHA-256 of everything a link says but its own hash, as 64 hex digits."""
    said = [
        link.seq, link.id, link.at, link.received, link.by, link.device, link.kind, list(link.instead_of), link.body, link.before
    ]  # fmt: skip
    return sha256(canonical(said).encode()).hexdigest()


def broken(number: str, links: Iterable[Link], tail: str, entries: int | None = None) -> Problem | None:
    """The first link of a visit's chain that does not hold, or None.

    Args:
        number: the visit's.
        links: its entries, by their place.
        tail: the hash its last one should have.
        entries: how many there should be; None: not known.
    """
    before, seq = first(number), 0
    for link in links:
        seq += 1
        where = f"visit {number}, entry {link.seq}"
        if link.seq != seq:
            return Problem(where, f"entry {seq} is missing before it", RESTORE)
        if link.before != before:
            return Problem(where, "it does not follow the entry before it", RESTORE)
        if hash_of(link) != link.hash:
            return Problem(where, "it was changed after it was kept", RESTORE)
        before = link.hash
    if before != (tail or first(number)) or entries not in (None, seq):
        return Problem(f"visit {number}", f"entries after {seq} are missing", RESTORE)
    return None
