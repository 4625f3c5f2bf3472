"""What many computations ask of their inputs: over zero, one of several ways, or something in place of none."""

from __future__ import annotations

from typing import TypeVar

from wheeltapper.measure import number
from wheeltapper.problems import NoAnswerError
from wheeltapper.workout.formula import Given

Other = TypeVar("Other", float, None, float | None)


def over_zero(g: Given, *names: str) -> None:
    """Refuse any of these that is zero or less; one left out is none of its business."""
    for name in names:
        if g.has(name):
            number.above_zero(name, g[name])


def not_negative(g: Given, *names: str) -> None:
    """Refuse any of these that is under zero; one left out is none of its business."""
    for name in names:
        if g.has(name):
            number.not_negative(name, g[name])


def given_or(g: Given, name: str, otherwise: Other) -> float | Other:
    """The number given, which must be over zero, else another [SI]."""
    over_zero(g, name)
    return g.number(name) if g.has(name) else otherwise


def one_way(g: Given, do: str, **said: str) -> str:
    """The name of the one input given of several that exclude each other; `said` has each in words."""
    told = [name for name in said if g.has(name)]
    if len(told) != 1:
        raise NoAnswerError(f"give either {' or '.join(said.values())}, one of them", do)
    return told[0]
