"""One computation as text, as JSON and as a row of docs/formulas.md."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from textwrap import wrap
from typing import Any

from wheeltapper.problems import Problem
from wheeltapper.report.record import problems
from wheeltapper.units import from_si
from wheeltapper.workout.formula import Answer, Ask, Formula, Result
from wheeltapper.workout.reading import units_of

WIDTH = 96
MANY, MOST = 1e5, 1e12  # numbers between are written out whole
DIGITS = 6  # significant, on the terminal; JSON has them all
CAUTION = "A part maker's figure, local codes and the maker's procedure govern over every number here."


def answer_json(
    formula: Formula, texts: Mapping[str, str], answer: Answer | None, slips: tuple[Problem, ...]
) -> str:
    """A computation as JSON text: what was given, every result in SI and in its unit, what it means."""
    results = {} if answer is None else {r.name: _plain(r) for r in answer.results}
    row = {
        "name": formula.name, "say": formula.say, "given": {a.name: texts.get(a.name, a.default) for a in formula.asks},
        "results": results, "says": [] if answer is None else list(answer.says), "formula": formula.formula,
        "source": formula.source, "holds": formula.holds, "caution": CAUTION, "problems": problems(slips),
    }  # fmt: skip
    return json.dumps(row, indent=1, ensure_ascii=False) + "\n"


def _plain(r: Result) -> dict[str, Any]:
    listed = isinstance(r.value, tuple)
    values = r.value if isinstance(r.value, tuple) else (r.value,)
    shown = [shown_in(v, r.unit) for v in values]
    return {
        "value": shown if listed else shown[0],
        "unit": r.unit,
        "si": list(values) if listed else values[0],
        "say": r.say,
    }


def shown_in(value: Any, unit: str) -> Any:
    """A number in the unit to show; words and blanks as they are."""
    numeric = isinstance(value, int | float) and not isinstance(value, bool)
    return from_si(value, unit) if unit and numeric else value


def answer_text(formula: Formula, answer: Answer) -> str:
    """A computation as text for a terminal."""
    wide = max((len(r.name) for r in answer.results), default=0)
    lines = [f"{formula.name}: {formula.say}", ""]
    for r in answer.results:
        lines.append(f"  {r.name:<{wide}}  {_written(r):>14}  {r.say}")
    for said in answer.says:
        lines += ["", *wrap(said, WIDTH)]
    papers = (f"by {formula.formula}", f"source: {formula.source}", f"holds for: {formula.holds}", CAUTION)
    return "\n".join([*lines, "", *(line for text in papers for line in wrap(text, WIDTH))]) + "\n"


def _written(r: Result) -> str:
    values = r.value if isinstance(r.value, tuple) else (r.value,)
    return f"{', '.join(_digits(shown_in(v, r.unit)) for v in values)} {r.unit}".strip()


def _digits(value: Any) -> str:
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, float):
        return str(value)
    return f"{value:,.0f}" if MANY <= abs(value) < MOST else f"{value:.{DIGITS}g}"


def asked_text(formula: Formula) -> str:
    """What a computation needs, for a person who has given nothing yet."""
    lines = [
        f"{formula.name}: {formula.say}",
        "",
        f"wheeltapper work-out {formula.name} name='value unit' ...",
    ]
    for ask in formula.asks:
        lines += wrap(
            f"{ask.name} ({_kind(ask)}): {ask.say}{_left_out(ask)}",
            WIDTH,
            initial_indent="  ",
            subsequent_indent="      ",
        )
    return "\n".join(lines) + "\n"


def _kind(ask: Ask) -> str:
    plain = {"word": "word", "any": "number, any unit or none", "number": "number", "gauge": "wire gauge"}
    kind = " or ".join(ask.words) or plain.get(ask.dimension) or ", ".join(units_of(ask.dimension))
    return f"{'list, ' if ask.many else ''}{kind}"


def _left_out(ask: Ask) -> str:
    if ask.default is None:
        return ""
    return f"; {ask.default} if left out" if ask.default else "; may be left out"


def list_text(formulas: Iterable[Formula]) -> str:
    """Every computation with one line."""
    return "\n".join(f"{f.name:<24}{f.say}" for f in formulas) + "\n"


def formulas_page(formulas: Iterable[Formula]) -> str:
    """docs/formulas.md."""
    return "\n".join(_page(list(formulas))) + "\n"


def _page(formulas: list[Formula]) -> Iterator[str]:
    yield "# Formulas"
    yield ""
    yield "Made by `wheeltapper work-out --page`. Each can be run alone: `wheeltapper work-out NAME name='value unit' ...`, with `--json` for a"
    yield "program. *Holds* says where a formula holds and what is assumed; *guard* names the test and what it is held against."
    yield f"{CAUTION}"
    for f in formulas:
        yield ""
        yield f"## {f.name}"
        yield ""
        yield f"{f.say[0].upper()}{f.say[1:]}."
        yield ""
        yield f"- **Formula.** {f.formula}"
        yield f"- **Given.** {'; '.join(_asked(a) for a in f.asks)}"
        yield f"- **Source.** {f.source}"
        yield f"- **Holds.** {f.holds}"
        yield f"- **Guard.** {f.guard}"


def _asked(ask: Ask) -> str:
    symbol = f" {ask.symbol}" if ask.symbol else ""
    return f"`{ask.name}`{symbol} ({_kind(ask)}) {ask.say}{_left_out(ask).replace('; ', ', ')}"
