"""The river runs one way, modules are small and named by nouns, and nothing heavy is loaded to print help."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from conftest import ROOT

pytestmark = pytest.mark.reasoned
SRC = ROOT / "src" / "wheeltapper"
FILES = sorted(SRC.rglob("*.py"))
MOST_LINES = 400
NOT_A_NAME = {"utils", "util", "helpers", "helper", "common", "base", "manager", "service", "misc", "core"}
HEAVY = ("numpy", "scipy", "pydantic", "typst", "tomllib", "pypdf")


def nodes(path: Path) -> Iterator[ast.AST]:
    """Everything in a file."""
    return ast.walk(ast.parse(path.read_text("utf-8")))


def where(path: Path, node: ast.AST) -> str:
    """File and line."""
    return f"{path.relative_to(SRC)}:{getattr(node, 'lineno', 0)}"


def test_import_layers() -> None:
    """No room looks up the river."""
    start = "from importlinter.cli import lint_imports; raise SystemExit(lint_imports())"
    out = subprocess.run([sys.executable, "-c", start], cwd=ROOT, capture_output=True, text=True, check=False)

    assert out.returncode == 0, out.stdout + out.stderr


def test_files_are_short() -> None:
    """No file of code over 400 lines."""
    lines = {str(p.relative_to(SRC)): len(p.read_text("utf-8").splitlines()) for p in FILES}

    assert {name: n for name, n in lines.items() if n > MOST_LINES} == {}


def test_modules_are_named_by_nouns() -> None:
    """No module or room is called utils or the like."""
    names = {part for p in FILES for part in p.relative_to(SRC).with_suffix("").parts}

    assert names & NOT_A_NAME == set()


def test_the_inch_stands_in_one_place() -> None:
    """Only units.py knows how long an inch is."""
    found = [
        where(p, node) for p in FILES if p.name != "units.py"
        for node in nodes(p) if isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value in {0.0254, 25.4, 2.54}
    ]  # fmt: skip

    assert found == []


def test_no_net_catches_everything() -> None:
    """No bare except and no except Exception: a slip is a Problem, a bug of ours must be seen."""
    wide = {"Exception", "BaseException"}
    found = []
    for p in FILES:
        for node in nodes(p):
            if isinstance(node, ast.ExceptHandler):
                kinds = node.type.elts if isinstance(node.type, ast.Tuple) else [node.type]
                found += [
                    where(p, node)
                    for kind in kinds
                    if kind is None or (isinstance(kind, ast.Name) and kind.id in wide)
                ]

    assert found == []


def test_every_file_says_why_it_exists() -> None:
    """Each module starts with a docstring."""
    bare = [
        str(p.relative_to(SRC))
        for p in FILES
        if p.stat().st_size and not ast.get_docstring(ast.parse(p.read_text("utf-8")))
    ]

    assert bare == []


@pytest.mark.parametrize("words", [["--help"], ["examine", "--help"], ["tables", "--help"]], ids=" ".join)
def test_help_is_light(words: list[str]) -> None:
    """Help loads neither numbers nor forms nor the typesetter."""
    start = "import sys; from wheeltapper.cli import main; main(sys.argv[1:])"
    out = subprocess.run(
        [sys.executable, "-X", "importtime", "-c", start, *words], capture_output=True, text=True, check=False
    )
    loaded = {
        line.rpartition("|")[2].strip().split(".")[0]
        for line in out.stderr.splitlines()
        if line.startswith("import time:")
    }

    assert "click" in loaded
    assert loaded & set(HEAVY) == set()
