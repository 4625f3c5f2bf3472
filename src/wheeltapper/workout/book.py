"""Every computation by name, in the order of docs/formulas.md."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from wheeltapper.problems import NoAnswerError, Problem
from wheeltapper.reference.tables import Tables
from wheeltapper.workout import (
    bearing,
    clamp,
    cup,
    doubt,
    electric,
    fits,
    form,
    heat,
    hub,
    joint,
    limit,
    lining,
    ring,
    risk,
    wear,
)
from wheeltapper.workout.formula import Answer, Formula
from wheeltapper.workout.reader import READER, reader_of
from wheeltapper.workout.reading import given
from wheeltapper.workout.showing import shown

FORMULAS: tuple[Formula, ...] = (
    *limit.FORMULAS, *risk.FORMULAS, *doubt.FORMULAS, *wear.FORMULAS, *form.FORMULAS, *fits.FORMULAS, *cup.FORMULAS, *clamp.FORMULAS, *joint.FORMULAS, *bearing.FORMULAS, *hub.FORMULAS,
    *lining.FORMULAS, *heat.FORMULAS, *electric.FORMULAS, *ring.FORMULAS,
)  # fmt: skip
BY_NAME: Mapping[str, Formula] = {f.name: f for f in FORMULAS}


def work_out(
    formula: Formula, texts: Mapping[str, str], tables: Tables
) -> tuple[Answer | None, tuple[Problem, ...]]:
    """One computation from texts: its answer, or None with everything that stands in its way."""
    inputs, problems = given(formula, texts)
    if inputs is None:
        return None, problems
    reader = reader_of(formula, inputs)
    read_as = READER.set(reader)
    try:
        with np.errstate(over="raise", divide="raise", invalid="raise"):
            answer = formula.work(inputs, tables)
        return shown(formula, inputs, answer, reader), ()
    except NoAnswerError as slip:
        return None, (Problem(formula.name, slip.what, slip.do),)
    except (ArithmeticError, ValueError, MemoryError, RuntimeWarning):
        return None, (_no_number(formula, texts),)
    finally:
        READER.reset(read_as)


def _no_number(formula: Formula, texts: Mapping[str, str]) -> Problem:
    """Every input can be by itself, and together they leave what a number can hold."""
    told = [a.name for a in formula.asks if a.dimension != "word" and texts.get(a.name, "").strip()] or [
        a.name for a in formula.asks
    ]
    return Problem(
        formula.name,
        "these numbers together give no number that an answer could be",
        f"read again {', '.join(told)}: one of them is far too large, far too small, or the same as another.",
    )
