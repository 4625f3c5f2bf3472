"""Nobody looked never becomes fine: a missing answer is a gap, holds the trailer and leaves its part unsettled."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conftest import priced
from full_visit import Data, Finding, called, findings, full, here, run, with_finding, with_readings, without
from wheeltapper.reference.tables import BRAKES, Check
from wheeltapper.words import positions

pytestmark = pytest.mark.reasoned
OWED = [(brake, c) for brake in BRAKES for c in here(brake) if not c.optional and not c.only_if]
OWED_AFTER = [(brake, c) for brake in BRAKES for c in here(brake) if c.only_if]


def parts_that_need(check: Check) -> set[str]:
    """The parts with a rule that hangs on a fact which this check states."""
    stated = set(check.all_facts)
    return {part for r in priced().rules if r.call != "keep" and stated & set(r.when) for part in r.part}


def assert_unsettled(visit: Data, position: str, check: Check) -> None:
    """No part that needs the check keeps; the check shows as a gap; the trailer is held."""
    out = run(visit)
    fine = {part for (p, part), call in called(out).items() if p == position and call == "keep"}

    assert fine & parts_that_need(check) == set()
    assert (position, check.check) in {(g.position, g.check) for g in out.findings.gaps}
    assert out.release.state == "held"


@pytest.mark.parametrize("case", OWED, ids=lambda c: f"{c[0]}, {c[1].check}")
def test_one_check_not_answered(case: tuple[str, Check]) -> None:
    """Every check that is owed, taken out of a fully answered visit."""
    brake, check = case

    assert_unsettled(without(full(brake), "1-curb", check.check), "1-curb", check)


@pytest.mark.parametrize("case", OWED_AFTER, ids=lambda c: f"{c[0]}, {c[1].check}")
def test_a_depth_that_the_look_asked_for(case: tuple[str, Check]) -> None:
    """A depth is owed once the look has found something to measure; then it is missed like any other."""
    brake, check = case
    visit = with_finding(full(brake), "1-curb", look_that_asks(brake, check))
    for other in (c for c in here(brake) if c.only_if == check.only_if and c.check != check.check):
        visit = with_readings(visit, "1-curb", other, 0, -1)

    assert_unsettled(visit, "1-curb", check)


def look_that_asks(brake: str, check: Check) -> Finding:
    """The finding after which a depth is owed."""
    words = {(c.check, w) for c in here(brake) for w, fact in c.found.items() if fact == check.only_if}
    return next(f for f in findings(brake) if (f.check, f.word) in words)


@pytest.mark.parametrize("brake", BRAKES)
def test_a_wheel_left_out(brake: str) -> None:
    """A wheel that is not on the visit: no part of it keeps, and the trailer is held."""
    visit = full(brake)
    visit["corner"].pop()
    out = run(visit)

    assert "keep" not in {call for (p, _), call in called(out).items() if p == "1-curb"}
    assert out.release.state == "held"


@pytest.mark.parametrize("case", OWED, ids=lambda c: f"{c[0]}, {c[1].check}")
def test_rest_fine_does_not_cover_what_is_marked_as_not_checked(case: tuple[str, Check]) -> None:
    """A check marked 'not checked' stays open, whoever vouches for the rest."""
    brake, check = case
    visit = full(brake)
    marked = {
        "position": "1-curb",
        "rest_fine": "T1",
        "not_checked": [{"check": check.check, "why": "no time"}],
    }

    assert_unsettled(visit | {"corner": [visit["corner"][0], marked]}, "1-curb", check)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(OWED), st.sampled_from(positions(1)), st.data())
def test_missing_beside_findings(case: tuple[str, Check], position: str, data: st.DataObject) -> None:
    """A missing answer stays missing beside findings elsewhere."""
    brake, check = case
    visit = full(brake)
    for finding in data.draw(st.lists(st.sampled_from(findings(brake)), max_size=3)):
        visit = with_finding(visit, data.draw(st.sampled_from(positions(1))), finding)

    assert_unsettled(without(visit, position, check.check), position, check)
