"""What a sheet says of a visit that the shop's server keeps: its photos, what the owner answered, which entries it follows from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheeltapper.records import Visit
from wheeltapper.report import wording

SIGNED = "A name here says that this sheet was handed over and read. It changes no call: what holds the trailer holds it."


@dataclass(frozen=True)
class KeptPhoto:
    """A photo of the visit."""

    sha256: str
    said: str  # '1-road, cups, T1, 2026-11-20 08:12 UTC'


@dataclass(frozen=True)
class Kept:
    """The record that a sheet was made from."""

    number: str
    entries: int
    last: str  # hash of the last entry
    photos: tuple[KeptPhoto, ...] = ()

    @property
    def said(self) -> str:
        """The line at the end of the sheet."""
        return f"Visit {self.number}, made from its first {self.entries} entries; the last one's hash is {self.last}."


def answers(visit: Visit) -> tuple[str, ...]:
    """What the owner answered, in the order of the answers; a later one counts instead of an earlier one."""
    return tuple((*_choices(visit), *_leaving(visit)))


def _choices(visit: Visit) -> Iterator[str]:
    for i, a in enumerate(visit.answer):
        later = any((b.position, b.part) == (a.position, a.part) for b in visit.answer[i + 1 :])
        how = ", ".join(filter(None, [a.by, a.how or "", wording.day(a.date) if a.date else ""]))
        yield f"{a.position} {a.part}: {a.answer} ({how})" + ("; answered anew below" if later else "")


def _leaving(visit: Visit) -> Iterator[str]:
    if visit.exit is not None:
        said = f": “{visit.exit.said}”" if visit.exit.said else ""
        yield f"The trailer left {visit.exit.how} ({visit.exit.by}){said}"
