"""What a sheet says of a visit that the shop's server keeps: its photos, what the owner answered, which entries it follows from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheeltapper.owner_said import Answer, Declined, GoAhead, Question, Reply
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
    """What the owner said, in the order of the answers; a later one counts instead of an earlier one."""
    return tuple((*_put_off(visit), *_choices(visit), *_work(visit), *_asked(visit), *_leaving(visit)))


def _who(row: Answer | GoAhead | Question | Reply | Declined) -> str:
    """Who, how, when, and which version of the sheet was in front of them."""
    said = [row.by, getattr(row, "how", None) or "", wording.day(row.date) if row.date else ""]
    seen = getattr(row, "seen", None)
    return ", ".join(filter(None, [*said, f"saw version {seen.version[:12]}" if seen else ""]))


def _own_words(said: str | None) -> str:
    return f": “{said}”" if said else ""


def _put_off(visit: Visit) -> Iterator[str]:
    for d in visit.declined:
        yield f"Put off before, {d.position} {d.part} ({_who(d)}){_own_words(d.said)}"


def _choices(visit: Visit) -> Iterator[str]:
    for i, a in enumerate(visit.answer):
        later = any((b.position, b.part) == (a.position, a.part) for b in visit.answer[i + 1 :])
        anew = "; answered anew below" if later else ""
        yield f"{a.position} {a.part}: {a.answer} ({_who(a)}){_own_words(a.said)}{anew}"


def _work(visit: Visit) -> Iterator[str]:
    for i, go in enumerate(visit.go_ahead):
        anew = "; answered anew below" if visit.go_ahead[i + 1 :] else ""
        yield f"The work that is nobody's choice: {go.answer} ({_who(go)}){_own_words(go.said)}{anew}"


def _asked(visit: Visit) -> Iterator[str]:
    for q in visit.question:
        yield f"Asked{f' about {q.about}' if q.about else ''}: “{q.text}” ({_who(q)})"
        yield from (f"Replied: “{r.text}” ({_who(r)})" for r in visit.reply if r.to == q.text)


def _leaving(visit: Visit) -> Iterator[str]:
    if visit.exit is not None:
        yield f"The trailer left {visit.exit.how} ({visit.exit.by}){_own_words(visit.exit.said)}"
