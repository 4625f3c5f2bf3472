"""Every expected value is of one of four kinds, marked and counted."""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

import pytest

from conftest import ROOT

pytestmark = pytest.mark.reasoned
TESTS = ROOT / "tests"
KINDS = {"published", "reasoned", "second_way", "pinned"}
MUST = ("published", "property", "cases", "measure", "house")


def marks(node: ast.AST) -> set[str]:
    """The kinds named anywhere in an expression: pytest.mark.KIND or pytest.mark.KIND(...)."""
    return {
        n.attr
        for n in ast.walk(node)
        if isinstance(n, ast.Attribute) and n.attr in KINDS and "mark" in ast.dump(n.value)
    }


def kinds_of(path: Path) -> dict[str, set[str]]:
    """Every test of a file with its kinds."""
    tree = ast.parse(path.read_text("utf-8"))
    of_file = {
        kind
        for node in tree.body
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "pytestmark"
        for kind in marks(node.value)
    }
    named = [n for n in tree.body if isinstance(n, ast.FunctionDef) and n.name.startswith("test_")]
    return {
        f"{path.relative_to(TESTS)}::{n.name}": {kind for d in n.decorator_list for kind in marks(d)}
        or of_file
        for n in named
    }


ALL = {name: kinds for path in sorted(TESTS.rglob("test_*.py")) for name, kinds in kinds_of(path).items()}


def test_every_test_has_a_kind() -> None:
    """In the rooms where numbers are checked, and everywhere else too: one kind each."""
    assert [name for name, kinds in ALL.items() if len(kinds) != 1] == []
    assert {room for room in MUST if not any(name.startswith(f"{room}/") for name in ALL)} == set()


def test_few_values_are_only_our_own_earlier_output() -> None:
    """Pinned values are under a tenth of all."""
    counted = Counter(kind for kinds in ALL.values() for kind in kinds)

    assert counted["pinned"] < 0.10 * counted.total()
    assert counted["published"] > 0
    assert counted["second_way"] > 0


def test_every_test_says_what_it_promises() -> None:
    """Each test in these rooms has a docstring."""
    bare = []
    for path in (p for room in MUST for p in sorted((TESTS / room).rglob("test_*.py"))):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if (
                isinstance(node, ast.FunctionDef)
                and node.name.startswith("test_")
                and not ast.get_docstring(node)
            ):
                bare.append(f"{path.relative_to(TESTS)}::{node.name}")

    assert bare == []


def test_published_values_name_their_source() -> None:
    """Beside every published value stands where it was printed: the docstring is longer than the mark."""
    short = []
    for path in sorted(TESTS.rglob("test_*.py")):
        for node in ast.parse(path.read_text("utf-8")).body:
            if (
                isinstance(node, ast.FunctionDef)
                and any("published" in ast.unparse(d) for d in node.decorator_list)
                and len(ast.get_docstring(node) or "") < 40
            ):
                short.append(f"{path.relative_to(TESTS)}::{node.name}")

    assert short == []
