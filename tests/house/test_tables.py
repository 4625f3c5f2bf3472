"""Every row has a source, every fact is used, and the documents say what the tables and commands say."""

from __future__ import annotations

import ast
import tomllib
from typing import Any

import click
import pytest

from conftest import ROOT, priced
from wheeltapper.cli import main
from wheeltapper.reference.tables import CSV_TABLES, ours
from wheeltapper.report.rulebook import checks_text, rules_text

pytestmark = pytest.mark.reasoned
SRC = ROOT / "src" / "wheeltapper"
ROOM = SRC / "reference"
SOURCED = {
    "limits": ["limit"],
    "rules": ["rule", "standing"],
    "pairings": ["pairing"],
    "causes": ["cause"],
    "intervals": ["interval"],
}


def rows(table: str, key: str) -> list[dict[str, Any]]:
    """Raw rows of a table, read here and not by the product."""
    found: list[dict[str, Any]] = tomllib.loads((ROOM / f"{table}.toml").read_text("utf-8"))[key]
    return found


@pytest.mark.parametrize(("table", "key"), [(t, k) for t, keys in SOURCED.items() for k in keys])
def test_every_row_has_a_source(table: str, key: str) -> None:
    """Limits, rules, pairings, causes, intervals: each names a source that is listed with its kind."""
    sources = tomllib.loads((ROOM / "sources.toml").read_text("utf-8"))["source"]

    assert {
        row["id"]: row.get("source") for row in rows(table, key) if row.get("source") not in sources
    } == {}
    assert {
        name
        for name, s in sources.items()
        if s["status"] not in {"read", "memory", "practice", "house"} or not s["say"]
    } == set()


def test_drums_have_a_source() -> None:
    """The nominal sizes too."""
    sources = tomllib.loads((ROOM / "sources.toml").read_text("utf-8"))["source"]

    assert "drums" in CSV_TABLES
    assert {row["source"] for row in ours()["drums"]} <= set(sources)


@pytest.mark.parametrize("row", rows("limits", "limit"), ids=lambda row: row["id"])
def test_a_limit_is_whole(row: dict[str, Any]) -> None:
    """Value and unit as printed, how far a shop may move it, and from when it holds."""
    assert float(row["value"]) == float(row["value"])
    assert isinstance(row["value"], str)
    assert row["since"].year >= 2026
    assert {"house": "allowed", "safer only": "safer", "fixed": "value"}[row["change"]] in row


def strings_in_code() -> set[str]:
    """Every text constant in the code, but for the wording of facts."""
    files = [p for p in SRC.rglob("*.py") if p.name not in {"wording.py"}]
    return {
        n.value
        for p in files
        for n in ast.walk(ast.parse(p.read_text("utf-8")))
        if isinstance(n, ast.Constant) and isinstance(n.value, str)
    }


def test_every_fact_is_used() -> None:
    """Each fact that a check states is asked for by a rule, a pairing, a cause, another check or the code.

    Facts that only measure/findings make are named in the code by nature, so this looks at those a word states.
    """
    t = priced()
    causes = {
        f
        for c in t.causes
        for f in (*c.needs, *c.any_of, *c.supports, *c.against, *c.settled_by, *c.settled_out_by)
    }
    used = (
        {f for r in t.rules for f in r.when}
        | {p.need for p in t.pairings}
        | causes
        | {c.only_if for c in t.checks.values()}
        | strings_in_code()
    )
    stated = {f for c in t.checks.values() for f in c.all_facts}

    assert stated - used == set()


def commands(group: click.Group = main, before: str = "") -> list[str]:
    """Every command as it is typed."""
    out = []
    for name, command in group.commands.items():
        out += (
            commands(command, f"{before}{name} ") if isinstance(command, click.Group) else [f"{before}{name}"]
        )
    return out


@pytest.mark.parametrize("page", ["README.md", "docs/running-it.md"])
@pytest.mark.parametrize("command", commands())
def test_every_command_is_documented(page: str, command: str) -> None:
    """A command that no document mentions is not there for the reader."""
    text = (ROOT / page).read_text("utf-8")

    assert f"wheeltapper {command}" in text or f"`{command}`" in text


def options() -> list[tuple[str, str]]:
    """Every option of every command."""
    out = []
    for name in commands():
        command: Any = main
        for word in name.split():
            command = command.commands[word]
        out += [(name, p.opts[0]) for p in command.params if isinstance(p, click.Option) and not p.is_eager]
    return out


@pytest.mark.parametrize(("command", "option"), options())
def test_every_option_says_what_it_does(command: str, option: str) -> None:
    """No option without a line of help."""
    found: Any = main
    for word in command.split():
        found = found.commands[word]

    assert next(p.help for p in found.params if option in p.opts)


def test_generated_documents_are_up_to_date() -> None:
    """docs/rules.md and docs/checks.md are what the commands print from our tables."""
    from wheeltapper.reference.house import load

    assert rules_text(load()) == (ROOT / "docs" / "rules.md").read_text("utf-8")
    assert checks_text(load()) == (ROOT / "docs" / "checks.md").read_text("utf-8")


def test_every_rule_is_in_the_rule_book() -> None:
    """Each printed id, standing rules and pairings too."""
    text = (ROOT / "docs" / "rules.md").read_text("utf-8")
    ids = {x.id.split(".")[0] for x in (*priced().rules, *priced().pairings, *priced().standing)}

    assert {id for id in ids if id not in text} == set()
