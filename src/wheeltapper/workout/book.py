"""Every computation by name, in the order of docs/formulas.md."""

from __future__ import annotations

from collections.abc import Mapping

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
    risk,
    wear,
)
from wheeltapper.workout.formula import Answer, Formula
from wheeltapper.workout.reading import given

FORMULAS: tuple[Formula, ...] = (
    *limit.FORMULAS, *risk.FORMULAS, *doubt.FORMULAS, *wear.FORMULAS, *form.FORMULAS, *fits.FORMULAS, *cup.FORMULAS, *clamp.FORMULAS, *joint.FORMULAS, *bearing.FORMULAS, *hub.FORMULAS,
    *lining.FORMULAS, *heat.FORMULAS, *electric.FORMULAS,
)  # fmt: skip
BY_NAME: Mapping[str, Formula] = {f.name: f for f in FORMULAS}


def work_out(
    formula: Formula, texts: Mapping[str, str], tables: Tables
) -> tuple[Answer | None, tuple[Problem, ...]]:
    """One computation from texts: its answer, or None with everything that stands in its way."""
    inputs, problems = given(formula, texts)
    if inputs is None:
        return None, problems
    try:
        return formula.work(inputs, tables), ()
    except NoAnswerError as slip:
        return None, (Problem(formula.name, slip.what, slip.do),)
