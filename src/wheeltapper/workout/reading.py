"""From 'name=value' texts to SI numbers: every slip at once, nothing guessed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from wheeltapper.problems import NoAnswerError, Problem
from wheeltapper.units import WORKOUT_UNITS, doubt_to_si, to_si
from wheeltapper.workout.amounts import NUMBERS, Amount, amounts, gauge, number
from wheeltapper.workout.formula import Ask, Formula, Given
from wheeltapper.workout.named import ALIASES, near
from wheeltapper.workout.sense import DIFFERENCE, impossible

ONLY_UNIT = ("tpi",)  # "threads" says it already


def given(formula: Formula, texts: Mapping[str, str]) -> tuple[Given | None, tuple[Problem, ...]]:
    """The inputs of a formula from texts, or None with a Problem for each that cannot be used."""
    known = {ask.name: ask for ask in formula.asks}
    problems = [
        Problem(name, "is not an input of this", near(name, known)) for name in texts if name not in known
    ]
    values: dict[str, Any] = {}
    units: dict[str, str] = {}
    taken: dict[str, str] = {}
    for ask in formula.asks:
        text = texts.get(ask.name, "").strip() or ask.default
        if text is None:
            problems.append(Problem(ask.name, f"is missing: {ask.say}", f"write {ask.name}={_example(ask)}."))
            continue
        value, unit, slip = _value(ask, text.strip())
        if slip is not None:
            problems.append(slip)
        values[ask.name] = value
        if unit and texts.get(ask.name, "").strip():
            units[ask.name] = unit
        if value != text.strip() and text.strip() in ALIASES:
            taken[ask.name] = text.strip()
    return (None, tuple(problems)) if problems else (Given(values, units, taken), ())


def column(text: str, name: str) -> list[str] | None:
    """The cells of one column of a table of numbers, or None where there is no such column.

    Cells are parted by commas, semicolons, tabs or blanks; lines that start with '#' and blank lines do not count. The
    column is named as in the heading, or numbered from 1; a table without a heading has only numbers.
    """
    rows = [re.split(r"\s*[,;\t]\s*|\s+", line.strip()) for line in text.splitlines()]
    rows = [row for row in rows if row != [""] and not row[0].startswith("#")]
    headed = bool(rows) and any(number(cell) is None for cell in rows[0])
    names = rows[0] if headed else []
    numbered = int(name) - 1 if name.isdigit() else -1
    at = names.index(name) if name in names else numbered
    body = rows[headed:]
    return [row[at] for row in body] if at >= 0 and body and all(at < len(row) for row in body) else None


def _example(ask: Ask) -> str:
    if ask.words:
        return ask.words[0].replace(" ", "-") if " " not in ask.words[0] else f"'{ask.words[0]}'"
    units = units_of(ask.dimension)
    amount = "1 2 3" if ask.many else "1"
    return f"'{amount} {units[0]}'" if units else amount if not ask.many else f"'{amount}'"


def units_of(dimension: str) -> tuple[str, ...]:
    """The units that a dimension may be written in; none for a pure number or a word."""
    looked = "temperature" if dimension == DIFFERENCE else dimension
    return tuple(name for name, unit in WORKOUT_UNITS.items() if unit.dimension == looked)


def _value(ask: Ask, text: str) -> tuple[Any, str, Problem | None]:
    """The value in SI, the unit it was written in, or a Problem: one for a list, however many of it are wrong."""
    if not text:
        return None, "", None
    if ask.dimension in {"word", "any"}:  # a number of any unit is read beside those it belongs to
        if ask.words and text not in ask.words:
            return None, "", Problem(ask.name, f"'{text}' is not one of its words", near(text, ask.words))
        return ALIASES.get(text, text) if ask.dimension == "word" and not ask.words else text, "", None
    try:
        found = _gauge(ask, text) if ask.dimension == "gauge" else _amounts(ask, text)
    except NoAnswerError as slip:
        return None, "", Problem(ask.name, slip.what, slip.do)
    values = tuple(_si(ask, amount) for amount in found)
    wrong = [p for value, amount in zip(values, found, strict=True) if (p := impossible(ask, value, amount))]
    if wrong:
        more = f"; {len(wrong) - 1} more of this list cannot be either" if len(wrong) > 1 else ""
        return None, "", Problem(ask.name, wrong[0].what + more, wrong[0].do)
    return (values if ask.many else values[0]), found[0][1], None


def _si(ask: Ask, amount: Amount) -> float:
    value, unit = amount
    if not unit:
        return value
    return doubt_to_si(value, unit) if ask.dimension == DIFFERENCE else to_si(value, unit)


def _amounts(ask: Ask, text: str) -> list[Amount]:
    """The numbers of a text such as '0.112 0.153 in', each with its unit."""
    units = units_of(ask.dimension)
    do = f"write one of: {', '.join(units)}." if units else NUMBERS
    found = amounts(text, units, do)
    if units == ONLY_UNIT:  # nothing else can be meant
        found = [(value, units[0]) for value, _ in found]
    bare = [f"{value:g}" for value, unit in found if not unit] if units else []
    if bare:
        what = f"'{text}' has no unit that fits" if len(bare) == len(found) else f"'{bare[0]}' has no unit, and others have one"  # fmt: skip
        raise NoAnswerError(what, do)
    if not found:
        raise NoAnswerError(f"'{text}' is not a number", NUMBERS)
    if len(found) > 1 and not ask.many:
        raise NoAnswerError(f"'{text}' is more than one number", "give one.")
    return found


def _gauge(ask: Ask, text: str) -> list[Amount]:
    value = gauge(text)
    if value is None:
        raise NoAnswerError(f"'{text}' is not a wire gauge", f"write {ask.name}=14, or 1/0 to 4/0.")
    return [(value, "")]
