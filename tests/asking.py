"""Asking the computations by name as a person does, and with anything at all."""

from __future__ import annotations

from math import isnan
from typing import Any

from hypothesis import strategies as st

from conftest import priced
from wheeltapper.problems import NoAnswerError, Problem
from wheeltapper.report.answer import answer_text
from wheeltapper.units import from_si
from wheeltapper.workout.book import BY_NAME, work_out
from wheeltapper.workout.formula import Answer, Ask, Formula, Given
from wheeltapper.workout.reading import given as read


def asked(formula: Formula, **texts: str) -> tuple[dict[str, Any], str]:
    """The results of a computation as shown, by name, and all it says as one text."""
    answer, problems = work_out(formula, texts, priced())
    assert answer is not None, problems
    shown = {r.name: shown_of(r.value, r.unit) for r in answer.results}
    return shown, " ".join(answer.says)


def answered(name: str, **texts: str) -> Answer:
    """The answer of a computation that can be made, which can be printed too."""
    answer, slips = work_out(BY_NAME[name], texts, priced())
    assert slips == ()
    assert answer is not None
    assert answer_text(BY_NAME[name], answer)
    return answer


def slipped(name: str, **texts: str) -> Problem:
    """The one slip of a computation that cannot be made, with what to do."""
    answer, slips = work_out(BY_NAME[name], texts, priced())
    assert answer is None
    (slip,) = slips
    assert slip.do.endswith((".", "?"))
    return slip


def shown(answer: Answer, name: str, unit: str = "") -> Any:
    """A result in the unit that it is shown in, or in another of its kind."""
    (row,) = [r for r in answer.results if r.name == name]
    unit = unit or row.unit
    values = row.value if isinstance(row.value, tuple) else (row.value,)
    told = tuple(from_si(v, unit) if isinstance(v, float) and unit else v for v in values)
    return told if isinstance(row.value, tuple) else told[0]


def names(answer: Answer) -> set[str]:
    """The names of all results."""
    return {r.name for r in answer.results}


def shown_of(value: Any, unit: str) -> Any:
    """A value in the unit it is shown in."""
    if isinstance(value, tuple):
        return tuple(shown_of(v, unit) for v in value)
    return from_si(value, unit) if unit else value


def refused(formula: Formula, **texts: str) -> Problem:
    """The problem that stands in the way."""
    answer, problems = work_out(formula, texts, priced())
    assert answer is None
    return problems[0]


AMOUNTS = st.sampled_from([-1.0, 0.0, 1e-4, 0.05, 0.07, 0.3, 1.0, 20.0, 300.0])
WORDS = ("25580", "25520", "L68149", "steel", "aluminium", "nonsense")


def spoilt(formula: Formula, **texts: str) -> st.SearchStrategy[dict[str, Any]]:
    """Sensible inputs with up to three of them put to something else: sense, nonsense, or nothing where that is allowed."""
    usual, problems = read(formula, texts)
    assert usual is not None, problems

    def of(ask: Ask) -> st.SearchStrategy[Any]:
        """Anything for one input."""
        if ask.dimension == "word":
            value: Any = st.sampled_from(ask.words or WORDS)
        else:
            value = st.lists(AMOUNTS, min_size=1, max_size=3).map(tuple) if ask.many else AMOUNTS
        return st.none() | value if ask.default == "" else value

    each = st.one_of(*(st.tuples(st.just(ask.name), of(ask)) for ask in formula.asks))
    return st.lists(each, max_size=3).map(lambda changed: dict(usual) | dict(changed))


def worked(formula: Formula, inputs: Given) -> tuple[Answer | None, NoAnswerError | None]:
    """The answer, or the refusal; anything else that is raised is a fault."""
    try:
        return formula.work(inputs, priced()), None
    except NoAnswerError as slip:
        return None, slip


def never_crashes(formula: Formula, inputs: dict[str, Any]) -> None:
    """Whatever is put in, there is an answer without a number that is none, or a plain refusal."""
    answer, slip = worked(formula, Given(inputs))
    if slip is not None:
        assert slip.what
        assert slip.do.endswith((".", "?"))
    if answer is not None:
        values = [v for r in answer.results for v in (r.value if isinstance(r.value, tuple) else (r.value,))]
        assert [v for v in values if isinstance(v, float) and isnan(v)] == []
