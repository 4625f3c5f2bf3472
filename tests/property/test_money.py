"""Money adds up to the cent, nothing is charged twice, and no choice is offered where there is none."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_more_bad_news import visits

from conftest import priced
from full_visit import Data, Finding, called, findings, full, run, with_finding
from wheeltapper.plan.quote import Line
from wheeltapper.reference.tables import BRAKES
from wheeltapper.words import other_end, positions

pytestmark = pytest.mark.reasoned
MANY = settings(max_examples=100, deadline=None)
BOOKED = (None, [], ["hub service"], ["adjust"], ["hub service", "adjust"])
bookings = st.sampled_from(BOOKED)


def cents_of(line: Line) -> Fraction:
    """What a line costs, straight from the books."""
    tables = priced()
    if line.code in tables.labour:
        rate = tables.rate_cents
        assert rate is not None
        return tables.labour[line.code].hours * line.qty * rate
    cents = tables.price_of[line.code].cents
    assert cents is not None
    return Fraction(cents * line.qty)


@MANY
@given(visits(), bookings)
def test_lines_add_up(start: tuple[Data, str, int], booked: list[str] | None) -> None:
    """Every total is the sum of its lines, every line its price times its quantity, all in whole cents."""
    quote = run(start[0] | ({} if booked is None else {"booked": booked})).quote
    groups = [(quote.booked, quote.booked_cents), (quote.must, quote.must_cents)]
    groups += [
        pair
        for c in quote.choices
        for o in c.options
        for pair in ((o.lines, o.cents), (o.later, o.later_cents))
    ]

    for lines, total in groups:
        if total is not None:
            assert total == sum(line.cents or 0 for line in lines)
            assert {type(line.cents) for line in lines} <= {int}
            assert [line.cents for line in lines] == [int(cents_of(line) + Fraction(1, 2)) for line in lines]


@MANY
@given(visits(), bookings)
def test_nothing_is_charged_twice(start: tuple[Data, str, int], booked: list[str] | None) -> None:
    """No code at one place stands in both must and booked, nor in a choice on top of them; each hub is pulled once."""
    quote = run(start[0] | ({} if booked is None else {"booked": booked})).quote
    must, base = spots(quote.must), spots(quote.booked)

    assert set(must) & set(base) == set()
    assert len(must) == len(set(must))
    for choice in quote.choices:
        for option in choice.options:
            assert set(spots(option.lines)) & {*must, *base} == set()
    pulled = [place for code, place in (*must, *base) if code == "L-HUB"]
    assert sorted(pulled) == sorted(positions(start[2]))


def spots(lines: tuple[Line, ...]) -> list[tuple[str, str]]:
    """Code and place of everything in some lines."""
    return [(line.code, place) for line in lines for place in line.places]


@MANY
@given(visits())
def test_no_choice_over_what_cannot_go_back(start: tuple[Data, str, int]) -> None:
    """F15: neither the part of a choice, nor the assembly it is sold as, is called replace at any wheel it covers."""
    out = run(start[0])
    calls = called(out)

    for choice in out.quote.choices:
        covered = {*choice.places, *((position, choice.part) for position, _ in choice.places)}
        assert {calls.get(place) for place in covered} <= {"owner decides", "keep", "dress", "recheck", None}
        assert {calls[place] for place in choice.places} == {"owner decides"}


@MANY
@given(visits())
def test_what_is_not_needed_is_fine(start: tuple[Data, str, int]) -> None:
    """The 'not needed' list names only parts that keep, and none that stands on the job at that wheel."""
    out = run(start[0])

    assert {called(out)[place] for place in out.quote.not_needed} <= {"keep"}


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(BRAKES).flatmap(lambda b: st.tuples(st.just(b), st.sampled_from(findings(b)))))
def test_the_quote_is_the_same_on_either_side(case: tuple[str, Finding]) -> None:
    """The same finding at the other end of the axle costs the same."""
    brake, finding = case
    outs = [run(with_finding(full(brake), p, finding)).quote for p in ("1-road", other_end("1-road"))]

    assert outs[0].must_cents == outs[1].must_cents
    assert [(row.code, row.qty) for row in outs[0].must] == [(row.code, row.qty) for row in outs[1].must]
