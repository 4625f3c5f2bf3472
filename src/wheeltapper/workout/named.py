"""Rows of the tables by the name that a person writes: a bearing, a material, a fit of a size."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from wheeltapper.problems import NoAnswerError, nearest
from wheeltapper.reference.metal import Bearing, FitRow
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.text import inches

Row = TypeVar("Row")


def row_named(rows: Mapping[str, Row], what: str, name: str) -> Row:
    """The row of that name, else the nearest name."""
    if name not in rows:
        raise NoAnswerError(f"there is no {what} '{name}' in the tables", nearest(name, rows))
    return rows[name]


def bearing_named(tables: Tables, name: str) -> Bearing:
    """A bearing by 'cone/cup', or by its cone or cup alone where that leaves no doubt about the cup."""
    if name in tables.bearings:
        return tables.bearings[name]
    known = [b for b in tables.bearings.values() if name in (b.cone, b.cup)]
    if not known:
        words = {w for b in tables.bearings.values() for w in (b.name, b.cone, b.cup)}
        raise NoAnswerError(f"there is no bearing '{name}' in the tables", nearest(name, words))
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
