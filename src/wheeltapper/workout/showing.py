"""An answer made ready to show: only finite numbers, noise of the arithmetic as nothing, the reader's units."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import isfinite

from wheeltapper.units import WORKOUT_UNITS
from wheeltapper.workout.formula import Answer, Formula, Given, Result, Value
from wheeltapper.workout.named import ALIASES
from wheeltapper.workout.reader import Reader

NOISE = 1e-12  # of the largest number of its kind: floats hold 16 digits, and sums lose some
PURE = {"", "share", "angle"}  # kinds whose small numbers may be what was asked for


def shown(formula: Formula, g: Given, answer: Answer, reader: Reader) -> Answer:
    """The answer as its reader sees it. Raises ArithmeticError where a number in it is none."""
    if not all(isfinite(v) for r in answer.results for v in _floats(r.value)):
        raise ArithmeticError("an answer that is no number")
    largest = _largest(formula, g, answer)
    results = tuple(
        replace(r, value=_quiet(r, largest), unit=r.unit if r.fixed else reader.unit(r.unit))
        for r in answer.results
    )
    return Answer(results, (*answer.says, *_taken(g)))


def _floats(value: Value) -> Iterator[float]:
    """Every number of a result."""
    for v in value if isinstance(value, tuple) else (value,):
        if isinstance(v, int | float) and not isinstance(v, bool):
            yield float(v)


def _largest(formula: Formula, g: Given, answer: Answer) -> dict[str, float]:
    """The largest number of each kind, of what was given and what came out."""
    out: dict[str, float] = {}
    told = [(a.dimension, v) for a in formula.asks for v in _floats(g.get(a.name)) if a.dimension != "word"]
    told += [(_kind(r), v) for r in answer.results for v in _floats(r.value)]
    for kind, value in told:
        out[kind] = max(out.get(kind, 0.0), abs(value))
    return out


def _kind(r: Result) -> str:
    return WORKOUT_UNITS[r.unit].dimension if r.unit else ""


def _quiet(r: Result, largest: Mapping[str, float]) -> Value:
    """Numbers that are nothing but rounding as zero."""
    if _kind(r) in PURE:
        return r.value
    least = NOISE * largest.get(_kind(r), 0.0)

    def quiet(v: float | str) -> float | str:
        return 0.0 if isinstance(v, float) and abs(v) < least else v

    if isinstance(r.value, tuple):
        return tuple(quiet(v) for v in r.value)  # type: ignore[return-value]  # all numbers or all words
    return quiet(r.value) if isinstance(r.value, float) else r.value


def _taken(g: Given) -> Iterator[str]:
    """Words of the trade that stand for a row of the tables."""
    for name, said in g.taken.items():
        yield f"{name}: '{said}' is taken as {ALIASES[said]}."
