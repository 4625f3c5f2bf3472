"""The estimate adds up to the cent, whatever is found, answered and changed; what the rules ask for is never lost."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_more_bad_news import visits

from conftest import priced
from full_visit import Data, run
from wheeltapper.flow import Examination
from wheeltapper.plan.quote import Line

pytestmark = pytest.mark.reasoned
MANY = settings(max_examples=20, deadline=None)
AMOUNTS = st.integers(0, 999_999).map(lambda c: f"{c // 100}.{c % 100:02d}")


def half_up(share: Fraction) -> int:
    """Whole cents, a half away from nought."""
    whole, rest = divmod(share.numerator, share.denominator)
    return whole + (2 * rest >= share.denominator)


def answers(out: Examination, said: list[str]) -> list[dict[str, Any]]:
    """An answer to some of the choices; the others stay open."""
    of = zip(out.quote.choices, said, strict=False)
    return [
        {"position": c.places[0][0], "part": c.places[0][1], "answer": word, "by": "owner"}
        for c, word in of
        if word
    ]


def edits(draw: st.DrawFn, out: Examination) -> list[dict[str, Any]]:
    """Changes of some lines, and perhaps a line that nobody asked for."""
    rows = [(g.key, r.now) for g in out.estimate.groups for r in g.rows]
    made = []
    for key, line in draw(st.lists(st.sampled_from(rows), max_size=5)) if rows else ():
        change = {"qty": draw(st.integers(0, 9)), "each": draw(st.none() | AMOUNTS)}
        made.append(
            {"group": key, "code": line.code, "asked": line.qty, "why": "agreed", "by": "AL", **change}
        )
    if draw(st.booleans()):
        made.append(
            {
                "group": "must",
                "code": "EXTRA-1",
                "qty": 2,
                "each": draw(AMOUNTS),
                "say": "hose",
                "why": "x",
                "by": "AL",
            }
        )
    return made


@st.composite
def estimates(draw: st.DrawFn) -> tuple[Examination, Examination]:
    """A visit as the rules have it, and the same with the owner's answers and the counter's changes."""
    start: Data = draw(visits())[0]
    bare = run(start)
    said = draw(
        st.lists(st.sampled_from(["now", "not now", ""]), min_size=len(bare.quote.choices), max_size=9)
    )
    answered = run(start | {"answer": answers(bare, said)})
    return answered, run(start | {"answer": answers(bare, said), "estimate": edits(draw, answered)})


def total_of(lines: tuple[Line, ...]) -> int | None:
    """A bill made again from the books: fees, then taxes, each rounded once."""
    t = priced()
    rows = [r for r in lines if r.qty]
    if not rows:
        return 0
    if any(r.cents is None for r in rows):
        return None
    sums = {
        "parts": sum(r.cents or 0 for r in rows if r.hours is None),
        "labour": sum(r.cents or 0 for r in rows if r.hours is not None),
    }
    fees = 0
    for fee in t.fees:
        one = fee.cents + half_up(fee.percent * sum(sums[b] for b in fee.of) / 100)
        fees += one if fee.most_cents is None else min(one, fee.most_cents)
    sums["fees"] = fees
    return sum(sums.values()) + sum(half_up(x.percent * sum(sums[b] for b in x.on) / 100) for x in t.taxes)


@MANY
@given(estimates())
def test_every_bill_is_its_lines_with_fees_and_taxes(pair: tuple[Examination, Examination]) -> None:
    """Least and most, each the sum of whole cents; the most is never under the least where nothing was changed."""
    bare, changed = pair

    for made in (bare.estimate, changed.estimate):
        assert made.least.total_cents == total_of(made.least_lines)
        assert made.most.total_cents == total_of(made.most_lines)
        assert made.open or made.least == made.most
    for group in changed.estimate.groups:
        priced_rows = [r.now.cents for r in group.rows]
        assert group.cents == (None if None in priced_rows else sum(c or 0 for c in priced_rows))


@MANY
@given(estimates())
def test_what_the_rules_ask_for_is_never_lost(pair: tuple[Examination, Examination]) -> None:
    """Whatever the counter changed: the quote, the calls and the release state stay word for word."""
    bare, changed = pair

    assert changed.quote == bare.quote
    assert (changed.calls, changed.release) == (bare.calls, bare.release)
    for before, after in zip(bare.estimate.groups, changed.estimate.groups, strict=True):
        assert [r.asked for r in after.rows if r.asked] == [r.now for r in before.rows]
        assert after.asked_cents == before.cents
        assert all(r.now == r.asked for r in after.rows if not r.edits)


@MANY
@given(visits())
def test_all_choices_together_cost_what_the_quote_says(start: tuple[Data, str, int]) -> None:
    """A second sum of the same: every open choice taken now, through the quote and through the estimate."""
    out = run(start[0])
    top = [out.quote.booked_cents, out.quote.must_cents, out.quote.all_choices_cents]
    lines = [r.cents for r in out.estimate.most_lines]

    assert (None in lines) == (None in top)
    if None not in top:
        assert sum(c or 0 for c in lines) == sum(c or 0 for c in top)


@MANY
@given(estimates(), st.data())
def test_a_struck_line_costs_nothing_and_no_other_line_moves(
    pair: tuple[Examination, Examination], data: st.DataObject
) -> None:
    """Strike one line of must: the sums of parts and labour fall by just what it cost."""
    bare, _ = pair
    rows = next(g.rows for g in bare.estimate.groups if g.key == "must")
    assume(rows and all(r.now.cents is not None for r in rows))
    line = data.draw(st.sampled_from(rows)).now
    edit = {
        "group": "must",
        "code": line.code,
        "asked": line.qty,
        "qty": 0,
        "why": "the owner brings it",
        "by": "AL",
    }
    struck = run(bare.visit.model_dump(mode="json", exclude_none=True) | {"estimate": [edit]})

    before, after = (
        sum(r.cents or 0 for r in out.estimate.least_lines) for out in (bare, struck)
    )  # fmt: skip
    assert before - after == line.cents
