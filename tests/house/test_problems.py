"""Every Problem in the code says what to do, in a sentence."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from conftest import ROOT

pytestmark = pytest.mark.reasoned
SRC = ROOT / "src" / "wheeltapper"


def problems() -> list[tuple[str, ast.Call]]:
    """Every place where a Problem is made."""
    out = []
    for path in sorted(SRC.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Problem":
                out.append((f"{path.relative_to(SRC)}:{node.lineno}", node))
    return out


def endings(node: ast.expr) -> list[str | None]:
    """How the text may end: its constant ends, None where only a run can tell."""
    if isinstance(node, ast.Constant):
        return [str(node.value)]
    if isinstance(node, ast.JoinedStr):
        return endings(node.values[-1]) if node.values else [""]
    if isinstance(node, ast.IfExp):
        return endings(node.body) + endings(node.orelse)
    return [None]


@pytest.mark.parametrize("place, call", problems(), ids=[place for place, _ in problems()])
def test_a_problem_says_what_to_do(place: str, call: ast.Call) -> None:
    """Three arguments, none empty; the last is a sentence. What is only known at run time is checked by the bad-input tests."""
    starred = any(isinstance(a, ast.Starred) for a in call.args)
    given = [*call.args, *(k.value for k in call.keywords)]

    assert starred or len(given) == 3
    for text in endings(given[-1]):
        assert text is None or text.endswith((".", "?")), place
    assert not [a for a in given if isinstance(a, ast.Constant) and not a.value]


def test_there_are_problems_to_look_at() -> None:
    """The search finds the places it is meant to find."""
    rooms = {Path(place).parts[0] for place, _ in problems()}

    assert {"findings", "disposition", "plan", "cli.py:96"} & rooms >= {"findings", "disposition", "plan"}
