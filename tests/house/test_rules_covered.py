"""Every rule fires in a case and is narrowly missed in another; every pairing and every cause too.

A narrow miss: the part was examined on a trailer that has it, the check behind the rule was answered, and the
rule did not fire. What no visit on our own tables can reach is named here and reached on a house's tables.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import replace
from functools import cache

import pytest

from conftest import CASES, bases, examined, laid_over, priced
from wheeltapper.disposition.decide import DISAGREE, Call
from wheeltapper.flow import Examination
from wheeltapper.reference.tables import Cause, Pairing, Rule
from wheeltapper.units import to_si
from wheeltapper.words import other_end

pytestmark = pytest.mark.reasoned
HOUSE_ONLY = {"H6.unknown"}  # every drum size of ours has a limit; a shop may add a size that has none


@cache
def examinations() -> tuple[Examination, ...]:
    """Every case file, examined once."""
    files = sorted(path for path in CASES.glob("*.toml") if path.name != "bases.toml")
    read = [tomllib.loads(path.read_text("utf-8"), parse_float=str) for path in files]
    return tuple(examined(laid_over(bases()[case["base"]], case.get("visit", {}))) for case in read)


def _calls() -> Iterator[tuple[Examination, Call]]:
    return ((ex, call) for ex in examinations() for call in ex.calls)


def _of(call: Call) -> set[str]:
    return {*call.rules, *call.milder}


@cache
def _fired() -> frozenset[str]:
    return frozenset(id for _, call in _calls() for id in _of(call))


def _answered(ex: Examination) -> set[tuple[str, str]]:
    """Wheel and check where at least one fact of the check is answered."""
    facts = (f for f in ex.findings.facts.values() if f.answer is not None)
    return {(f.position, check) for f in facts for check in f.check.split(", ")}


@cache
def _checks_of(rule: Rule) -> frozenset[str]:
    return frozenset(c.check for c in priced().checks.values() if not set(c.all_facts).isdisjoint(rule.when))


def _nearly(rule: Rule, ex: Examination, call: Call, answered: set[tuple[str, str]]) -> bool:
    if call.part not in rule.part or rule.id in _of(call):
        return False
    if rule.when == (DISAGREE,):
        return len(call.persons) > 0
    if not _checks_of(rule):  # worked out from the trailer's history: missed where that history says no
        return all(ex.findings.fact(call.position, name).answer is False for name in rule.when)
    return any((call.position, check) in answered for check in _checks_of(rule))


@cache
def _missed() -> frozenset[str]:
    """Rules that were narrowly missed in some case."""
    out: set[str] = set()
    for ex in examinations():
        answered = _answered(ex)
        left = [rule for rule in priced().rules if rule.id not in out]
        out |= {rule.id for rule in left for call in ex.calls if _nearly(rule, ex, call, answered)}
    return frozenset(out)


@pytest.mark.parametrize("rule", priced().rules, ids=lambda r: r.id)
def test_every_rule_fires_and_is_narrowly_missed(rule: Rule) -> None:
    """A rule that never fires is dead; one that is never missed may fire always."""
    assert rule.id in _fired() or rule.id in HOUSE_ONLY
    assert rule.id in _missed()


def test_a_drum_size_without_a_limit_asks_for_one() -> None:
    """A shop's own drum size has no limit of ours: nothing is called fine by it."""
    tables = replace(priced(), drums={**priced().drums, "9 in": to_si(9.0, "in")})
    reading = {"what": "friction diameter", "value": "9.020", "unit": "in", "gauge": "G1"}
    visit = {
        "unit": {"drum": "9 in"},
        "limit": [],
        "corner": [{"position": "1-road", "rest_fine": "T1", "reading": [reading]}],
    }
    ex = examined(laid_over(bases()["tandem-10-5"], visit), tables)
    drum = next(c for c in ex.calls if c.place == ("1-road", "hub-drum"))
    assert (drum.call, drum.rules) == ("recheck", ("H6.unknown",))


def _target(ex: Examination, call: Call, pair: Pairing) -> Call | None:
    where = call.position if pair.at == "same wheel" else other_end(call.position)
    return next((c for c in ex.calls if c.place == (where, pair.then_part)), None)


def _pair_missed(pair: Pairing, ex: Examination, call: Call) -> bool:
    if call.part != pair.when_part:
        return False
    target = _target(ex, call, pair)
    if target is not None and pair.id in _of(target):
        return False
    if not pair.need:
        return call.call != pair.when_call
    return (
        call.call == pair.when_call
        and target is not None
        and ex.findings.fact(target.position, pair.need).answer is False
    )


@pytest.mark.parametrize("pair", priced().pairings, ids=lambda p: p.id)
def test_every_pairing_fires_and_is_narrowly_missed(pair: Pairing) -> None:
    """Missed: the first call was made and the need was not there, or, where nothing is needed, another call was made."""
    assert any(pair.id in call.rules for _, call in _calls())
    assert any(_pair_missed(pair, ex, call) for ex, call in _calls())


def _not_offered(cause: Cause, ex: Examination, offered: set[tuple[str, str]]) -> bool:
    asked = {*cause.needs, *cause.any_of}
    facts = (f for f in ex.findings.facts.values() if f.name in asked and f.answer is not None)
    return any((f.position, cause.id) not in offered for f in facts)


@pytest.mark.parametrize("cause", priced().causes, ids=lambda c: c.id)
def test_every_cause_is_offered_and_is_not_offered_elsewhere(cause: Cause) -> None:
    """Offered at some wheel; not offered at another where what it asks for was answered."""
    by_visit = [(ex, {(c.position, c.id) for c in ex.causes}) for ex in examinations()]
    assert any(cause.id in {id for _, id in offered} for _, offered in by_visit)
    assert any(_not_offered(cause, ex, offered) for ex, offered in by_visit)
