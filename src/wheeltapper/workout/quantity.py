"""Numbers of any one unit: a statistic of readings is the same for inches, volts or plain numbers.

Inputs of a computation that belong together are read together: all with units of one dimension, or all without. What
comes out is shown in the unit of the first. Degrees Fahrenheit and Celsius are not taken: their zero is no nothing.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isinf
from typing import Any

from wheeltapper.problems import NoAnswerError
from wheeltapper.units import WORKOUT_UNITS, from_si, to_si
from wheeltapper.workout.amounts import Amount, amounts, any_number
from wheeltapper.workout.formula import Ask, Given, Result
from wheeltapper.workout.rows import row
from wheeltapper.workout.sense import impossible, kind_of

WRITE = "write '1.5 in', '1 2 3 mm' or '7'."


@dataclass(frozen=True)
class Quantities:
    """Inputs that belong together, in SI, and the unit that their results are shown in."""

    unit: str
    values: dict[str, tuple[float, ...]]

    def has(self, name: str) -> bool:
        """Was it given?"""
        return name in self.values

    def number(self, name: str) -> float:
        """One number that must be there."""
        if len(self.many(name)) != 1:
            raise NoAnswerError(f"{name} is more than one number", "give one.")
        return self.many(name)[0]

    def number_or(self, name: str, otherwise: float) -> float:
        """One number, or what stands for it where it was left out."""
        return self.number(name) if self.has(name) else otherwise

    def many(self, name: str) -> tuple[float, ...]:
        """A list that must be there."""
        if name not in self.values:
            raise NoAnswerError(f"{name} is missing", f"give {name}.")
        return self.values[name]

    def result(self, name: str, value: Any, say: str) -> Result:
        """A result in their unit: one number or a list."""
        return row(name, value, self.unit, say)

    def text(self, value: float) -> str:
        """A size as a sentence has it: '12.055 in'."""
        return f"{from_si(value, self.unit) if self.unit else value:.5g} {self.unit}".strip()


def together(g: Given, *names: str) -> Quantities:
    """Inputs that must be of one kind, in SI; those left out are left out."""
    read = {name: _amounts(name, str(g[name])) for name in names if g.has(name)}
    units = [unit for found in read.values() for _, unit in found]
    if len({kind_of(unit) for unit in units}) > 1:
        raise NoAnswerError(
            f"{' and '.join(read)} are not all of one kind",
            "give each its unit, or write all as plain numbers.",
        )
    values = {n: tuple(to_si(v, u) if u else v for v, u in found) for n, found in read.items()}
    for name, found in read.items():
        for value, amount in zip(values[name], found, strict=True):
            if wrong := impossible(Ask(name, "any", ""), value, amount):
                raise NoAnswerError(f"{name}: {wrong.what}", wrong.do)
    return Quantities(units[0] if units else "", values)


def _amounts(name: str, text: str) -> list[Amount]:
    """The numbers of '0.112 0.153 in' with their unit."""
    try:
        found = amounts(text, WORKOUT_UNITS, WRITE)
    except NoAnswerError as slip:
        raise NoAnswerError(f"{name}: {slip.what}", slip.do) from None
    if not found:
        raise NoAnswerError(f"{name}: '{text}' is not a number with a known unit", WRITE)
    if any(unit and WORKOUT_UNITS[unit].offset for _, unit in found):
        raise NoAnswerError(f"{name} is on a scale whose zero is no nothing", "write it as a plain number.")
    return found


def freedoms(g: Given, name: str) -> tuple[float, ...]:
    """Degrees of freedom as written: numbers, or 'inf' where a doubt is known for sure."""
    found = [any_number(piece) for piece in re.split(r"[;,\s]+", str(g[name]).strip()) if piece]
    if not found or None in found:
        raise NoAnswerError(
            f"{name}: '{g[name]}' is not a list of numbers", "write '9 inf 24': inf where it is sure."
        )
    return tuple(n for n in found if n is not None)


def freedom_result(name: str, value: float, say: str) -> Result:
    """Degrees of freedom; endless ones as a word, for a program can read no number for them."""
    return Result(name, "infinite" if isinf(value) else float(value), "", say)


def quantity(name: str, say: str, symbol: str = "", default: str | None = None) -> Ask:
    """An input of any one unit."""
    return Ask(name, "any", say, symbol, default)
