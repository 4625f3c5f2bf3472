"""From a visit's entries to its Visit: the same entries give the same Visit, in whatever order and however often they came.

What counts:
- An entry that stands instead of others takes them out of the count, and with them all that they stood instead of.
- A withdrawal takes back: what it names counts as never made, so what that stood instead of counts again. That holds for
  a withdrawal too: withdrawn, it takes nothing back any more. Whoever wants neither names both.
- Entries that name each other in a ring take nothing out: both stand.
Nothing that was found goes away but by an entry that names it.

Standing pieces are laid together by their own clock: lists grow, single fields are the latest one's, and where two of them
differ that is told (`differ`), and holds the trailer where it decides what it owes before it may roll (DECIDING). Two phones that answered the same check both stand, and the river sees both. What two phones
may say alike without meaning it twice (a gauge, a fitted part) counts once. Each answer carries the name of whoever gave it.
Knows no database.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from wheeltapper.intake import visit_from_data
from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.store.entries import Entry, File
from wheeltapper.store.laying import Laid, givers, lay
from wheeltapper.store.standing import standing

DECIDING = (
    "unit, axles",
    "unit, brake",
    "scope",
    "return_sheet",
)  # what may let a trailer roll is never left to whoever spoke last


@dataclass(frozen=True)
class Folded:
    """A visit as its entries make it; `visit` is None while date, technician or trailer are missing."""

    visit: Visit | None
    standing: tuple[Entry, ...]
    files: tuple[tuple[Entry, File], ...]
    problems: tuple[Problem, ...] = ()  # what could not be read: slips for the examination
    differ: tuple[Problem, ...] = ()  # single fields answered twice, differently; the later one counts

    @property
    def photos(self) -> dict[str, str]:
        """The hash of each photo, by what the visit's answers call it."""
        return {file.called: file.sha256 for entry, file in self.files if entry.kind == "photo"}


def fold(entries: Iterable[Entry]) -> Folded:
    """Lay a visit's entries together."""
    stands = standing(entries)
    laid = Laid()
    for entry in stands:
        if entry.kind == "piece":
            lay(laid, entry.body, entry.by)
    files = tuple((e, File.model_validate(e.body)) for e in stands if e.kind in ("photo", "sound"))
    raw = laid.whole()
    differ = tuple(sorted(laid.differ))
    if not raw.get("unit"):
        return Folded(None, stands, files, differ=differ)
    _without_stale_looks(raw, stands)
    _attach(raw, files)
    visit, stands, files, slips = _visit(raw, stands, files)
    return Folded(
        visit, stands, files, (*slips, *(p for p in differ if p.where.startswith(DECIDING))), differ
    )


def _visit(
    raw: dict[str, Any], stands: tuple[Entry, ...], files: tuple[tuple[Entry, File], ...]
) -> tuple[Visit | None, tuple[Entry, ...], tuple[tuple[Entry, File], ...], tuple[Problem, ...]]:
    """The visit; what cannot be understood (an older version kept it) is taken out, marked and told, and the rest stays."""
    try:
        return Visit.model_validate(raw), stands, files, ()
    except ValidationError:
        visit, slips = visit_from_data(raw, "visit")
        return visit, stands, files, slips


def _without_stale_looks(raw: dict[str, Any], stands: Sequence[Entry]) -> None:
    """A second look agrees with what stood when it was made: what a learner answered after it was not looked over."""
    learning = set(raw.get("learning", ()))
    answered: dict[str, str] = {}
    looked: list[tuple[str, dict[str, Any]]] = []
    for entry in (e for e in stands if e.kind == "piece"):
        for corner in (c for c in entry.body.get("corner", ()) if learning & givers(c, entry.by)):
            answered[corner["position"]] = max(entry.when, answered.get(corner["position"], ""))
        looked += [(entry.when, look) for look in entry.body.get("second_look", ())]
    fresh = [
        look for when, look in looked if not look["agrees"] or when >= answered.get(look["position"], "")
    ]
    if looked:
        raw["second_look"] = fresh


def _attach(raw: dict[str, Any], files: Iterable[tuple[Entry, File]]) -> None:
    """Name each photo at the answers of its check."""
    for file in (f for e, f in files if e.kind == "photo"):
        for corner in raw.get("corner", ()):
            if corner.get("position") != file.position:
                continue
            named = [
                a for how in ("look", "feel", "hear") for a in corner.get(how, ()) if a["check"] == file.check
            ]
            for answer in [*named, *(r for r in corner.get("reading", ()) if r["what"] == file.check)]:
                shown = list(answer.get("photo") or ())
                answer["photo"] = [*shown, *(s for s in [file.called] if s not in shown)]
