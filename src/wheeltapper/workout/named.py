"""Rows of the tables by the name that a person writes: a bearing, a material, a fit of a size."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from typing import TypeVar

from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.metal import Bearing, FitRow
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.text import inches

Row = TypeVar("Row")
ALIASES = {  # words of the trade for a row of the materials table
    "cast iron": "grey iron", "gray iron": "grey iron", "gray cast iron": "grey iron", "grey cast iron": "grey iron",
    "iron": "grey iron", "aluminum": "aluminium", "carbon steel": "steel", "nodular iron": "ductile iron",
}  # fmt: skip
CLOSE = 0.75  # how alike two words must be for one to be offered for the other


def near(word: str, known: Iterable[str]) -> str:
    """A sentence that offers the word surely meant, else lists all: another size or grade is never offered."""
    words = sorted(set(known))
    folded = {w.casefold(): w for w in words if _digits(w) == _digits(word)}
    close = get_close_matches(word.casefold(), folded, n=1, cutoff=CLOSE)
    if close:
        return f"did you mean '{folded[close[0]]}'?"
    return "write one of: " + ", ".join(words) + "." if words else "take it out."


def _digits(word: str) -> list[str]:
    return re.findall(r"\d+", word)


def row_named(rows: Mapping[str, Row], what: str, name: str) -> Row:
    """The row of that name, in capitals or not, else the nearest name."""
    name = next((known for known in rows if known.casefold() == name.casefold()), name)
    if name not in rows:
        raise NoAnswerError(f"there is no {what} '{name}' in the tables", near(name, rows))
    return rows[name]


def bearing_named(tables: Tables, name: str) -> Bearing:
    """A bearing by 'cone/cup', or by its cone or cup alone where that leaves no doubt about the cup."""
    if name in tables.bearings:
        return tables.bearings[name]
    known = [b for b in tables.bearings.values() if name in (b.cone, b.cup)]
    if not known:
        words = {w for b in tables.bearings.values() for w in (b.name, b.cone, b.cup)}
        raise NoAnswerError(f"there is no bearing '{name}' in the tables", near(name, words))
    if len({b.cup for b in known}) > 1:
        raise NoAnswerError(
            f"cone {name} goes with more than one cup", f"write one of: {', '.join(b.name for b in known)}."
        )
    return known[0]


def fit_row(tables: Tables, what: str, size_m: float) -> FitRow:
    """The row of the fits table for a nominal size, which must reach that far."""
    found = tables.fit(what, size_m)
    if found is None:
        raise NoAnswerError(
            f"the tables have no {what} of {inches(size_m)}", "ask the part maker for its limits."
        )
    return found
