"""Every computation has its papers, a test that guards it, and is reached from the product."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import re
from collections import Counter

import pytest

import wheeltapper.measure
from conftest import ROOT, priced
from wheeltapper.report.answer import asked_text, formulas_page
from wheeltapper.units import WORKOUT_UNITS
from wheeltapper.workout.book import FORMULAS, work_out
from wheeltapper.workout.formula import Formula
from wheeltapper.workout.reading import DIFFERENCE, given, units_of

pytestmark = pytest.mark.reasoned
SRC = ROOT / "src" / "wheeltapper"
GUARD = re.compile(r"tests/[\w/]+\.py")
EACH = pytest.mark.parametrize("formula", FORMULAS, ids=lambda f: f.name)


def test_names_are_different() -> None:
    """One name, one computation."""
    assert [name for name, n in Counter(f.name for f in FORMULAS).items() if n > 1] == []


@EACH
def test_a_formula_has_its_papers(formula: Formula) -> None:
    """Formula, source, where it holds, and tests that exist and hold it against something outside the product."""
    guards = GUARD.findall(formula.guard)

    assert min(len(formula.formula), len(formula.holds), len(formula.say)) > 10
    assert len(formula.source) > 10
    assert guards
    assert [g for g in guards if not (ROOT / g).is_file()] == []
    kinds = {
        kind
        for g in guards
        for kind in ("published", "second_way")
        if f"mark.{kind}" in (ROOT / g).read_text("utf-8")
    }
    assert kinds, f"{formula.name}: neither published nor a second way"


@EACH
def test_inputs_are_of_known_kinds(formula: Formula) -> None:
    """Each input has a dimension that can be written; each default can be read."""
    for ask in formula.asks:
        assert ask.dimension in {"number", "gauge", "any", "word"} or units_of(ask.dimension), ask.name
        assert ask.say
        if ask.default:
            _, slips = given(Formula("", "", (ask,), formula.work, "", "", "", ""), {})
            assert slips == ()
    assert asked_text(formula)


@EACH
def test_nothing_given_is_asked_for(formula: Formula) -> None:
    """With no input there is an answer or a Problem for each that is missing, never an error of ours."""
    answer, slips = work_out(formula, {}, priced())

    assert (answer is None) == bool(slips)
    assert all(p.do.endswith((".", "?")) for p in slips)


def test_the_page_is_up_to_date() -> None:
    """docs/formulas.md is what the command prints."""
    assert (ROOT / "docs" / "formulas.md").read_text("utf-8") == formulas_page(FORMULAS)


def test_units_are_told_apart() -> None:
    """No unit's name ends in another's of the same dimension but by a letter that changes it on purpose."""
    for name, unit in WORKOUT_UNITS.items():
        assert unit.scale > 0, name
    assert DIFFERENCE not in {u.dimension for u in WORKOUT_UNITS.values()}


def _named(tree: ast.AST) -> set[str]:
    """Every name and attribute in a file."""
    nodes = list(ast.walk(tree))
    names = {n.id for n in nodes if isinstance(n, ast.Name)} | {
        n.attr for n in nodes if isinstance(n, ast.Attribute)
    }
    return names | {a.name for n in nodes if isinstance(n, ast.ImportFrom) for a in n.names}


def test_every_public_function_is_reached() -> None:
    """Maths that neither a visit nor a computation reaches is not there for anybody."""
    public = {}
    for info in pkgutil.iter_modules(wheeltapper.measure.__path__):
        room = importlib.import_module(f"wheeltapper.measure.{info.name}")
        for name, f in vars(room).items():
            if inspect.isfunction(f) and f.__module__ == room.__name__ and not name.startswith("_"):
                public[name] = info.name
    called: dict[str, set[str]] = {}
    for path in SRC.rglob("*.py"):
        for name in _named(ast.parse(path.read_text("utf-8"))) & set(public):
            called.setdefault(name, set()).add(str(path.relative_to(SRC)))

    assert [
        name
        for name, home in public.items()
        if not called.get(name, set()) - {f"measure/{home}.py"} and not _used_at_home(name, home)
    ] == []


def _used_at_home(name: str, home: str) -> bool:
    """Is it called by another function of its own file?"""
    tree = ast.parse((SRC / "measure" / f"{home}.py").read_text("utf-8"))
    return any(
        isinstance(n, ast.Call) and isinstance(n.func, ast.Name) and n.func.id == name for n in ast.walk(tree)
    )
