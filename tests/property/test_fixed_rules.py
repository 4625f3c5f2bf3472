"""A fixed rule's replace stays: no person's call, no answer, no house folder makes it milder."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from conftest import priced
from full_visit import Data, Finding, called, findings, full, here, run, with_finding
from wheeltapper.problems import TablesError
from wheeltapper.reference.house import load
from wheeltapper.reference.tables import BRAKES, Rule, ours
from wheeltapper.words import CALLS

pytestmark = pytest.mark.reasoned
FIXED = [r for r in priced().rules if r.strength == "fixed"]
MILDER = [c for c in CALLS if c != "replace"]


def fixed_by_look() -> list[tuple[str, Rule, Finding]]:
    """Every brake kind, fixed rule and finding that fires it."""
    out = []
    for brake in BRAKES:
        word = {(c.check, w): fact for c in here(brake) for w, fact in c.found.items()}
        for finding in findings(brake):
            fact = word[finding.check, finding.word]
            out += [(brake, r, finding) for r in FIXED if r.when == (fact,)]
    return out


CASES = fixed_by_look()


def places(rule: Rule, visit: Data) -> list[tuple[str, str]]:
    """Where the rule replaces something on this trailer."""
    plain = called(run(visit))
    return [("1-curb", part) for part in rule.part if plain.get(("1-curb", part)) == "replace"]


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from(CASES),
    st.lists(
        st.tuples(st.sampled_from(MILDER), st.sampled_from(("T1", "T2", "owner"))), min_size=1, max_size=3
    ),
)
def test_no_persons_word(case: tuple[str, Rule, Finding], said: list[tuple[str, str]]) -> None:
    """People who call it milder, together or against each other, and an owner who says 'not now', change nothing."""
    brake, rule, finding = case
    visit = with_finding(full(brake), "1-curb", finding)
    mine = places(rule, visit)
    assert mine
    visit["call"] = [
        {"position": p, "part": part, "call": c, "by": by, "why": "so"} for p, part in mine for c, by in said
    ]
    visit["answer"] = [{"position": p, "part": part, "answer": "not now", "by": "owner"} for p, part in mine]
    out = run(visit)
    calls = {c.place: c for c in out.calls}

    for place in mine:
        assert calls[place].call == "replace"
        assert rule.id in calls[place].rules
    assert out.release.state == "held" or rule.part == ("seal",)  # a seal is new at every opening


def test_every_fixed_rule_of_a_look_is_reached() -> None:
    """Every fixed rule that hangs on a look has a word that fires it."""
    looked = {fact for c in priced().checks.values() for fact in c.found.values()}
    wanted = {r.id for r in FIXED if set(r.when) <= looked}

    assert {rule.id for _, rule, _ in CASES} == wanted


def _limits() -> list[dict[str, str]]:
    rows: list[dict[str, str]] = ours()["limits"]["limit"]
    return rows


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.sampled_from(CASES), st.lists(st.tuples(st.sampled_from([r for r in _limits() if r["change"] == "house"]), st.sampled_from((0, 1))), max_size=6),
       st.sampled_from(MILDER))  # fmt: skip
def test_no_house_folder(
    tmp_path: Path, case: tuple[str, Rule, Finding], moved: list[tuple[dict[str, str], int]], call: str
) -> None:
    """Limits at either end of what is allowed, and a shop's own rule on the same fact: still replace."""
    brake, rule, finding = case
    limits = {
        row["id"]: f'[[limit]]\nid = "{row["id"]}"\nvalue = "{row["allowed"][end]}"\n' for row, end in moved
    }
    (tmp_path / "limits.toml").write_text("".join(limits.values()), "utf-8")
    action = 'action = "clean"\n' if call == "dress" else ""
    (tmp_path / "rules.toml").write_text(own_rule("X1", rule, call, "judgement") + action, "utf-8")
    visit = with_finding(full(brake), "1-curb", finding)
    mine = places(rule, visit)
    calls = called(run(visit, load(tmp_path)))

    assert {calls[place] for place in mine} == {"replace"}


def own_rule(id: str, rule: Rule, call: str, strength: str) -> str:
    """A shop's row on the fact of another rule."""
    part, when = (str(list(values)).replace("'", '"') for values in (rule.part, rule.when))
    return (f'[[rule]]\nid = "{id}"\npart = {part}\nwhen = {when}\ncall = "{call}"\nstrength = "{strength}"\n'
            'why = "x."\nowner = "x."\nsource = "house-default"\nsince = 2026-01-01\n')  # fmt: skip


@pytest.mark.parametrize("rule", FIXED, ids=lambda r: r.id)
def test_a_house_cannot_touch_a_fixed_row(rule: Rule, tmp_path: Path) -> None:
    """A row with a fixed rule's id is refused, whatever it says."""
    (tmp_path / "rules.toml").write_text(own_rule(rule.id, rule, "keep", "judgement"), "utf-8")

    with pytest.raises(TablesError, match="fixed rule stays"):
        load(tmp_path)


@pytest.mark.parametrize("row", [r for r in _limits() if r["change"] == "safer only"], ids=lambda r: r["id"])
def test_a_safer_only_limit_moves_one_way(row: dict[str, str], tmp_path: Path) -> None:
    """A tenth towards the safer side is taken, a tenth the other way is refused."""
    value = float(row["value"])
    up, down = value * 1.1, value * 0.9
    safe, unsafe = (up, down) if row["safer"] == "higher" else (down, up)
    path = tmp_path / "limits.toml"
    path.write_text(f'[[limit]]\nid = "{row["id"]}"\nvalue = "{safe:.4f}"\n', "utf-8")
    load(tmp_path)
    path.write_text(f'[[limit]]\nid = "{row["id"]}"\nvalue = "{unsafe:.4f}"\n', "utf-8")

    with pytest.raises(TablesError, match="may only go"):
        load(tmp_path)


@pytest.mark.parametrize("value", ["nan", "-inf", "inf", "1e999"])
@pytest.mark.parametrize("id", ["lining_min", "out_of_round", "drum_max.10 in", "slip"])
def test_a_limit_must_be_a_number(id: str, value: str, tmp_path: Path) -> None:
    """Not-a-number passes no comparison, so it is refused before it can switch a limit off."""
    path = tmp_path / "limits.toml"
    path.write_text(f'[[limit]]\nid = "{id}"\nvalue = "{value}"\n', "utf-8")
    assert tomllib.loads(path.read_text("utf-8"))

    with pytest.raises(TablesError):
        load(tmp_path)
