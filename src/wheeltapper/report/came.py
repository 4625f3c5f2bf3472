"""One visit of a unit as the ledger looks back on it: the part of the visit that wear is told from, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass

from wheeltapper.records import Visit
from wheeltapper.words import CallWord


@dataclass(frozen=True)
class Called:
    """A part that was not simply kept."""

    position: str
    part: str
    call: CallWord
    rules: tuple[str, ...]


@dataclass(frozen=True)
class Shot:
    """A photo, by its hash, of one check at one place."""

    position: str
    check: str
    sha256: str


@dataclass(frozen=True)
class Came:
    """A visit that was."""

    number: str
    state: str
    visit: Visit  # what the ledger needs of it; not all that was answered
    calls: tuple[Called, ...]
    kept: int  # parts that were called keep
    shots: tuple[Shot, ...]
    rung: tuple[
        tuple[str, str], ...
    ]  # wheel and verdict of each recording that can be drawn, the last one of each wheel
