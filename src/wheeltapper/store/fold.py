"""From a visit's entries to its Visit: the same entries give the same Visit, in whatever order and however often they came.

What stands is every entry that no other stands instead of. Standing pieces are laid together by their own clock: lists grow,
single fields are the latest one's. Two phones that answered the same check both stand, and the river sees both.
Knows no database.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.store.entries import Entry, File

KEYED = {
    "corner": "position",
    "gauge": "id",
    "wheel": "position",
}  # lists whose items are one thing by this field
SINGLE = {"owner_said"}  # lists that are one answer
NOTHING: tuple[Any, ...] = (None, (), [], {}, "")


@dataclass(frozen=True)
class Folded:
    """A visit as its entries make it; `visit` is None while date or trailer are missing."""

    visit: Visit | None
    standing: tuple[Entry, ...]
    files: tuple[tuple[Entry, File], ...]
    problems: tuple[Problem, ...] = ()


def fold(entries: Iterable[Entry]) -> Folded:
    """Lay a visit's entries together."""
    stands = standing(entries)
    raw: dict[str, Any] = {}
    for entry in stands:
        if entry.kind == "piece":
            _lay(raw, entry.body)
    files = tuple((e, File.model_validate(e.body)) for e in stands if e.kind in ("photo", "sound"))
    if not raw.get("unit"):
        return Folded(None, stands, files)
    _attach(raw, files)
    try:
        return Folded(Visit.model_validate(raw), stands, files)
    except ValidationError as slip:
        faults = slip.errors(include_url=False, include_context=False, include_input=False)
        said = tuple(
            Problem(".".join(map(str, f["loc"])) or "visit", f["msg"].lower(), "put it right at the gate.")
            for f in faults
        )
        return Folded(None, stands, files, said)


def standing(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Those that count: each once, none that another stands instead of, by their own clock."""
    once = {e.id: e for e in entries}
    gone = {id_ for e in once.values() for id_ in e.instead_of}
    return tuple(sorted((e for e in once.values() if e.id not in gone), key=lambda e: (e.at, e.id)))


def _lay(onto: dict[str, Any], piece: dict[str, Any]) -> None:
    for name, value in piece.items():
        if value in NOTHING:
            continue
        here = onto.get(name)
        if name in KEYED and isinstance(value, list | tuple):
            onto[name] = _keyed(list(here or ()), value, KEYED[name])
        elif isinstance(value, dict) and isinstance(here, dict) and name != "torque":
            _lay(here, value)
        elif isinstance(value, list | tuple) and isinstance(here, list) and name not in SINGLE:
            here.extend(value)
        else:
            onto[name] = _own(value)


def _keyed(here: list[dict[str, Any]], more: Iterable[dict[str, Any]], key: str) -> list[dict[str, Any]]:
    for item in more:
        found = next((h for h in here if h.get(key) == item.get(key)), None)
        if found is None:
            here.append(_own(item))
        else:
            _lay(found, item)
    return here


def _own(value: Any) -> Any:
    """A copy that may grow."""
    if isinstance(value, dict):
        return {k: _own(v) for k, v in value.items()}
    return [_own(v) for v in value] if isinstance(value, list | tuple) else value


def _attach(raw: dict[str, Any], files: Iterable[tuple[Entry, File]]) -> None:
    """Name each photo at the answers of its check."""
    for _, file in files:
        for corner in raw.get("corner", ()):
            if corner.get("position") != file.position:
                continue
            named = [
                a for how in ("look", "feel", "hear") for a in corner.get(how, ()) if a["check"] == file.check
            ]
            for answer in [*named, *(r for r in corner.get("reading", ()) if r["what"] == file.check)]:
                answer["photo"] = [*_own(answer.get("photo") or ()), file.sha256[:16]]
