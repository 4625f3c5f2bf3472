"""From 'name=value' texts to SI numbers: every slip at once, nothing guessed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import isfinite
from typing import Any

from wheeltapper.measure import plausible
from wheeltapper.problems import Problem, nearest
from wheeltapper.units import WORKOUT_UNITS, doubt_to_si, to_si
from wheeltapper.workout.formula import Ask, Formula, Given

DIFFERENCE = "temperature difference"
SIGNED = re.compile(r"[-+]?\d*[.,]?\d+(?:[eE][-+]?\d+)?|[-+]?\d+[.,](?:[eE][-+]?\d+)?")


def given(formula: Formula, texts: Mapping[str, str]) -> tuple[Given | None, tuple[Problem, ...]]:
    """The inputs of a formula from texts, or None with a Problem for each that cannot be used."""
    known = {ask.name: ask for ask in formula.asks}
    problems = [
        Problem(name, "is not an input of this", nearest(name, known)) for name in texts if name not in known
    ]
    values: dict[str, Any] = {}
    for ask in formula.asks:
        text = texts.get(ask.name, "").strip() or ask.default
        if text is None:
            problems.append(Problem(ask.name, f"is missing: {ask.say}", f"write {ask.name}={_example(ask)}."))
            continue
        value, slip = _value(ask, text.strip())
        if slip is not None:
            problems.append(slip)
        values[ask.name] = value
    return (None, tuple(problems)) if problems else (Given(values), ())


def column(text: str, name: str) -> list[str] | None:
    """The cells of one column of a table of numbers, or None where there is no such column.

    Cells are parted by commas, semicolons, tabs or blanks; lines that start with '#' and blank lines do not count. The
    column is named as in the heading, or numbered from 1; a table without a heading has only numbers.
    """
    rows = [re.split(r"\s*[,;\t]\s*|\s+", line.strip()) for line in text.splitlines()]
    rows = [row for row in rows if row != [""] and not row[0].startswith("#")]
    headed = bool(rows) and any(_number(cell) is None for cell in rows[0])
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


def _value(ask: Ask, text: str) -> tuple[Any, Problem | None]:
    if not text:
        return None, None
    if ask.dimension in {"word", "any"}:  # a number of any unit is read beside those it belongs to
        if ask.words and text not in ask.words:
            return None, Problem(ask.name, f"'{text}' is not one of its words", nearest(text, ask.words))
        return text, None
    numbers, unit, slip = _split(ask, text)
    if slip is not None:
        return None, slip
    convert = doubt_to_si if ask.dimension == DIFFERENCE else to_si
    values = tuple(convert(n, unit) if unit else n for n in numbers)
    return (values if ask.many else values[0]), None


def _split(ask: Ask, text: str) -> tuple[list[float], str, Problem | None]:
    """The numbers and the unit of a text such as '0.112 0.153 in', or a Problem."""
    units = units_of(ask.dimension)
    body, unit = _unit_of(text, units)
    if units and not unit:
        return (
            [],
            "",
            Problem(ask.name, f"'{text}' has no unit that fits", f"write one of: {', '.join(units)}."),
        )
    whole = not ask.many and _number(body.strip()) is not None  # '12 1/4' is one number
    listed = [body.strip()] if whole else pieces(body)
    numbers = [_number(piece) for piece in listed]
    bad = [piece for piece, n in zip(listed, numbers, strict=True) if n is None]
    if bad or not numbers:
        what = f"'{bad[0] if bad else text}' is not a number"
        return (
            [],
            "",
            Problem(ask.name, what, "write plain numbers, a list with blanks between them, then the unit."),
        )
    if len(numbers) > 1 and not ask.many:
        return [], "", Problem(ask.name, f"'{text}' is more than one number", "give one.")
    return [n for n in numbers if n is not None], unit, None


def _unit_of(text: str, units: tuple[str, ...]) -> tuple[str, str]:
    for unit in sorted(units, key=len, reverse=True):
        if text.endswith(unit):
            return text[: -len(unit)], unit
    return text, ""


def pieces(text: str) -> list[str]:
    """The parts of a list with blanks, semicolons, or commas and blanks between them."""
    return [piece for piece in re.split(r"[;\s]+|,\s+", text.strip()) if piece]


def any_number(text: str) -> float | None:
    """A number, 'inf' and 'open' among them, or None where it is none."""
    return float(text.replace(",", ".")) if SIGNED.fullmatch(text) else plausible.number(text)


def _number(text: str) -> float | None:
    """A number that has an end: 1e999 is none."""
    value = any_number(text)
    return value if value is not None and isfinite(value) else None
