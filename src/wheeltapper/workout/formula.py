"""What a computation is made of: what it asks, what it answers, and where its formula comes from.

One `Formula` is one row of docs/formulas.md and one name of `wheeltapper work-out`. It calls the maths of
`measure/` with SI numbers; a material or a bearing by name is looked up in the tables.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from wheeltapper.reference.tables import Tables

Value = float | int | str | bool | None | tuple[float, ...] | tuple[str, ...]


@dataclass(frozen=True)
class Ask:
    """One input. `dimension` is one of units.WORKOUT_UNITS, 'temperature difference', 'number', 'gauge', 'any' or 'word'."""

    name: str
    dimension: str
    say: str
    symbol: str = ""
    default: str | None = None  # as a person would write it; '' may be left out; None must be given
    many: bool = False
    words: tuple[str, ...] = ()  # what a word may be; empty: any
    within: tuple[float, float] | None = None  # least and most it can be [SI]; None: as its dimension allows
    whole: bool = False  # a count


@dataclass(frozen=True)
class Result:
    """One output: SI, and the unit to show it in ('' for a pure number or a word)."""

    name: str
    value: Value
    unit: str
    say: str
    fixed: bool = False  # its unit is the point of it: never shown in another


@dataclass(frozen=True)
class Answer:
    """What a computation gives: numbers, and what they mean in plain sentences."""

    results: tuple[Result, ...]
    says: tuple[str, ...] = ()


class Given(Mapping[str, Any]):
    """Inputs by name, in SI: floats, tuples of floats, words, or None where left out."""

    def __init__(
        self, values: Mapping[str, Any], units: Mapping[str, str] | None = None, taken: Mapping[str, str] | None = None
    ) -> None:  # fmt: skip
        self._values = dict(values)
        self.units = dict(units or {})  # by input, as a person wrote them
        self.taken = dict(taken or {})  # words that stand for another, as written

    def __getitem__(self, name: str) -> Any:
        return self._values[name]

    def __iter__(self) -> Any:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def number(self, name: str) -> float:
        """An input that must be there, as one number [SI]."""
        return float(self._values[name])

    def many(self, name: str) -> tuple[float, ...]:
        """An input that is a list [SI]."""
        return tuple(self._values[name] or ())

    def has(self, name: str) -> bool:
        """Was this input given, or has it a default?"""
        return self._values.get(name) is not None


@dataclass(frozen=True)
class Formula:
    """A computation with its papers."""

    name: str
    say: str
    asks: tuple[Ask, ...]
    work: Callable[[Given, Tables], Answer]  # raises NoAnswerError
    formula: str
    source: str  # to the page or clause; 'from memory' where it is
    holds: str  # where it holds and where not
    guard: str  # the test that guards it: path under tests/, and what it is held against
