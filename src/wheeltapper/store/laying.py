"""How pieces of a visit are laid onto each other: field by field, in plain data. See fold.py for the rule."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from wheeltapper.problems import Problem

Plain = dict[str, Any]
KEYED = {"corner", "wheel"}  # one block for each position
WHOLE = {"torque", "exit"}  # said by one person at one time: never half of one and half of another
ALIKE = {  # the same row from two entries is one row
    "gauge", "limit", "fitted", "history", "booked", "learning", "follow_up", "owner_said", "declined",
}  # fmt: skip
ANSWERS = ("look", "feel", "hear", "reading", "not_checked")  # rows of a corner that carry a name
MAY_CHANGE = {
    "rest_fine",
    "out",
    "technician",
    "by",
    "date",
    "complaint",
    "shop",
}  # the latest is simply meant
NOTHING: tuple[Any, ...] = (None, (), [], {}, "")
NAME = "(by)"  # whose a row is, until the names are written


@dataclass
class Laid:
    """What is laid so far."""

    raw: Plain = field(default_factory=dict)
    differ: set[Problem] = field(default_factory=set)
    vouching: dict[str, set[str]] = field(
        default_factory=dict
    )  # position -> names that a corner says of itself

    def whole(self) -> Plain:
        """All of it, each answer with its giver's name where that is not the one it would be given anyway."""
        for corner in self.raw.get("corner", ()):
            said = self.vouching.get(corner["position"], set())
            corner.pop("by", None)
            if len(said) == 1:
                corner["by"] = next(iter(said))
            assumed = corner.get("by") or self.raw.get("technician")
            _name((r for how in ANSWERS for r in corner.get(how, ())), assumed)
        _name(self.raw.get("reading", ()), self.raw.get("technician"))
        return self.raw


def _name(rows: Iterable[Plain], assumed: str | None) -> None:
    for row in rows:
        giver = row.pop(NAME)
        if not row.get("by") and giver != assumed:
            row["by"] = giver


def lay(laid: Laid, piece: Plain, by: str) -> None:
    """Lay a piece, given by somebody, onto what is there."""
    own = _own(piece)
    for corner in own.get("corner") or ():
        for row in (r for how in ANSWERS for r in corner.get(how) or ()):
            row[NAME] = row.get("by") or corner.get("by") or by
        if corner.get("by"):
            laid.vouching.setdefault(corner["position"], set()).add(corner["by"])
    for row in own.get("reading") or ():
        row[NAME] = row.get("by") or by
    _onto(laid, laid.raw, own, "")


def givers(corner: Plain, by: str) -> set[str]:
    """Who answers in a corner block that somebody gave."""
    own = corner.get("by") or by
    return {own, *(row.get("by") or own for how in ANSWERS for row in corner.get(how) or ())}


def _onto(laid: Laid, here: Plain, more: Plain, where: str) -> None:
    for name, value in more.items():
        there: Any = here.get(name)
        place = f"{where}, {name}" if where else name
        if value in NOTHING:
            continue
        if there in NOTHING:
            here[name] = value if name not in KEYED else _keyed(laid, [], value, place)
        elif name in KEYED:
            here[name] = _keyed(laid, there, value, place)
        elif isinstance(value, dict) and name not in WHOLE:
            _onto(laid, there, value, place)
        elif isinstance(value, list):
            here[name] = _with(there, value) if name in ALIKE else [*there, *value]
        else:
            _instead(laid, here, name, value, place)


def _instead(laid: Laid, here: Plain, name: str, value: Any, place: str) -> None:
    """The later of two; that they differ is told."""
    if here[name] != value and name not in MAY_CHANGE:
        what = " and ".join(sorted({_said(here[name]), _said(value)}))
        do = "see which is right and enter it instead of both; until then the later one counts."
        laid.differ.add(Problem(place, f"stands twice: {what}", do))
    here[name] = value


def _said(value: Any) -> str:
    return ", ".join(f"{k} {v}" for k, v in value.items()) if isinstance(value, dict) else f"'{value}'"


def _with(there: Sequence[Any], more: Sequence[Any]) -> list[Any]:
    """Both lists; a row of both counts as often as in the one that has it more often."""
    return [*there, *(row for i, row in enumerate(more) if more[: i + 1].count(row) > there.count(row))]


def _keyed(laid: Laid, there: list[Plain], more: list[Plain], place: str) -> list[Plain]:
    for block in more:
        found = next((h for h in there if h["position"] == block["position"]), None)
        if found is None:
            found = {"position": block["position"]}
            there.append(found)
        _onto(
            laid,
            found,
            block,
            f"{block['position']}" if place == "corner" else f"{place}, {block['position']}",
        )
    return there


def _own(value: Any) -> Any:
    """A copy that may grow."""
    if isinstance(value, dict):
        return {k: _own(v) for k, v in value.items()}
    return [_own(v) for v in value] if isinstance(value, list | tuple) else value
