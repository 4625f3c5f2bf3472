"""What was typed in from a paper, row by row: each becomes the piece of a visit that a tap would have made, or a Problem.

A row left empty says nothing at all. What cannot be right is asked about, never mended.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Any

from wheeltapper.findings.numbered import WHY_NOT, Numbered, Window, after_point, printed, windows
from wheeltapper.findings.sweep import FINE
from wheeltapper.problems import Problem
from wheeltapper.records import Gauge, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import TRAILER

LETTERS = "abcdef"[: len(WHY_NOT)]
OPEN = {"o", "open"}
NUMBER = re.compile(r"[+-]?([0-9]{1,9}(\.[0-9]{0,6})?|\.[0-9]{1,6})")
Plain = dict[str, Any]


@dataclass(frozen=True)
class Paper:
    """What holds for all rows of one paper."""

    position: str
    writer: str
    note: str  # of which day it is
    units: Mapping[str, str]  # by dimension, what the gauges showed
    gauges: Mapping[str, Gauge]  # that may be named, by id


@dataclass
class TypedIn:
    """The rows as pieces, by a name that is theirs alone; the gauges they name; the slips by row number."""

    pieces: dict[str, Plain] = field(default_factory=dict)
    gauges: dict[str, Gauge] = field(default_factory=dict)
    slips: dict[int, Problem] = field(default_factory=dict)


def typed_in(
    rows: tuple[Numbered, ...], typed: Mapping[str, str], paper: Paper, visit: Visit, tables: Tables
) -> TypedIn:
    """Every row that says something."""
    out = TypedIn()
    for row in rows:
        said = answered(row, typed, paper) if not row.at else read(row, typed, paper, visit, tables)
        for name, piece in said:
            if isinstance(piece, Problem):
                out.slips.setdefault(row.number, piece)
            else:
                out.pieces[name] = piece
        gauge = typed.get(f"g{row.number}", "")
        if row.at and gauge in paper.gauges and any(n.startswith(f"r{row.number}.") for n in out.pieces):
            out.gauges[gauge] = paper.gauges[gauge]
    return out


def answered(row: Numbered, typed: Mapping[str, str], paper: Paper) -> Iterator[tuple[str, Plain | Problem]]:
    """A check in words: f, n with the letter of its reason, or the digits of its words."""
    name, check = f"r{row.number}", row.check
    text = re.sub(r"[\s,]+", "", typed.get(name, "")).lower()
    if not text:
        return
    if len(text) == 2 and text[0] == "n" and text[1] in LETTERS:
        why = WHY_NOT[LETTERS.index(text[1])]
        yield name, _corner(paper, not_checked=[{"check": check.check, "why": why, "by": paper.writer}])
        return
    words = [FINE] if text == "f" else _words(text, list(check.found))
    if not words:
        what = f"'{typed[name].strip()[:20]}' is no answer to it"
        do = f"write f, n and a letter from a to {LETTERS[-1]}, or the digits of the words 1 to {len(check.found)}."
        yield name, Problem(_where(row, paper), what, do)
        return
    look: Plain = {"check": check.check, "found": words, "by": paper.writer, "note": paper.note}
    yield name, _corner(paper, **{check.how[0]: [look | ({"place": row.place} if row.place else {})]})


def _words(text: str, words: list[str]) -> list[str]:
    """The words of these digits, the tenth as 0; none where a digit has no word."""
    numbers = [10 if c == "0" else int(c) for c in dict.fromkeys(text) if c in "0123456789"]
    good = len(numbers) == len(dict.fromkeys(text)) and all(1 <= n <= len(words) for n in numbers)
    return [words[n - 1] for n in sorted(numbers)] if good else []


def read(
    row: Numbered, typed: Mapping[str, str], paper: Paper, visit: Visit, tables: Tables
) -> Iterator[tuple[str, Plain | Problem]]:
    """A reading: at each of its places what was typed there."""
    cells = {at: typed.get(f"r{row.number}.{i}", "").strip() for i, at in enumerate(row.at)}
    if not any(cells.values()):
        return
    possible = {w[0]: w for w in windows(row.check, visit, tables)}
    unit, gauge = paper.units.get(row.check.dimension, ""), typed.get(f"g{row.number}", "")
    slip = _asked(row, paper, possible, unit, gauge)
    if slip:
        yield f"r{row.number}", slip
        return
    for i, (at, text) in enumerate(cells.items()):
        if text:
            said = value_of(text, row, possible[unit])
            name = f"r{row.number}.{i}"
            yield (
                name,
                _slip(row, paper, at, said)
                if said[0] is None
                else _reading(row, paper, at, said[0], unit, gauge),
            )


def _asked(
    row: Numbered, paper: Paper, possible: Mapping[str, Window], unit: str, gauge: str
) -> Problem | None:
    """What a row of readings needs beside its digits."""
    where = _where(row, paper)
    if not possible:
        return Problem(where, "the nominal size of its drum is not known", "say it at the gate first.")
    if unit not in possible:
        return Problem(
            where, "it is not said which unit the gauge showed", f"pick {' or '.join(possible)} above."
        )
    if not row.limit and gauge not in paper.gauges:
        return Problem(where, "it is not said with which gauge", "pick the gauge of this row.")
    return None


def value_of(text: str, row: Numbered, window: Window) -> tuple[str | None, str]:
    """The number as kept ('055' is 12.055 where 12. is printed), or None and why not."""
    unit, low, high, _, after = window
    if row.check.dimension == "resistance" and text.lower() in OPEN:
        return "open", ""
    if not NUMBER.fullmatch(text):
        return None, f"'{text[:20]}' is no number"
    before = printed(row.check, window)
    if before and "." not in text:
        sign = text[0] if text[0] in "+-" else ""
        digits = text.removeprefix(sign)
        if len(digits) != after:
            return None, f"'{text}' has {len(digits)} digits after the printed {before}, not {after}"
        text = f"{sign}{before}{digits}"
    elif after_point(window) and "." not in text:  # 32 may be the 3.2 of two boxes
        return None, f"'{text}' has no point, and the paper has one between its boxes"
    value = float(text)
    if not isfinite(value) or not low - 1e-9 <= value <= high + 1e-9:
        return None, f"{text} cannot be right: {low:g} to {high:g} {unit} is possible"
    return text.removeprefix("+"), ""


def _slip(row: Numbered, paper: Paper, at: str, said: tuple[str | None, str]) -> Problem:
    return Problem(
        _where(row, paper, at),
        said[1],
        "look at the paper again; write all digits, or the whole number with its point.",
    )


def _reading(row: Numbered, paper: Paper, at: str, value: str, unit: str, gauge: str) -> Plain:
    """As the bench keeps it."""
    what = row.check.check
    if row.limit:
        return {
            "limit": [
                {
                    "what": what,
                    "value": value,
                    "unit": unit,
                    "grade": "on the part",
                    "position": paper.position,
                }
            ]
        }
    reading: Plain = {
        "what": what, "at": [at], "value": [value], "unit": unit, "gauge": gauge, "by": paper.writer, "note": paper.note,
    }  # fmt: skip
    return {"reading": [reading]} if paper.position == TRAILER else _corner(paper, reading=[reading])


def _corner(paper: Paper, **said: Any) -> Plain:
    return {"corner": [{"position": paper.position, **said}]}


def _where(row: Numbered, paper: Paper, at: str = "") -> str:
    return f"{paper.position}, row {row.number}, {row.said}" + (f", {at}" if at and len(row.at) > 1 else "")
