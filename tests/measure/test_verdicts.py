"""Verdicts, wear and electrics by what must hold for any numbers."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheeltapper.measure import electric, wear
from wheeltapper.measure.diameter import (
    at_groove_bottom_m,
    barrel_m,
    doubt_at_groove_bottom_m,
    out_of_round_m,
    taper_m,
)
from wheeltapper.measure.margin import Verdict, verdict, verdict_least

pytestmark = pytest.mark.reasoned
thousandths = st.integers(9_990, 10_250)
MILE = 1609.344


@settings(max_examples=200, deadline=None)
@given(thousandths, st.integers(1, 10), thousandths)
def test_verdict_by_exact_fractions(size: int, doubt: int, limit: int) -> None:
    """Under only when clear of the limit by the whole doubt, over likewise, else at the limit (C6)."""
    exact: Verdict = "under" if size + doubt < limit else "over" if size - doubt > limit else "at the limit"
    metres = [n * 0.0254 / 1000 for n in (size, doubt, limit)]

    assert verdict(*metres) == exact
    assert verdict_least(-metres[0], metres[1], -metres[2]) == exact


@pytest.mark.parametrize("opened, closed, middle, taper, barrel", [
    ([10.034, 10.032], [10.020, 10.022], [10.025], 0.012, 0.0),
    ([10.020], [10.020], [10.030, 10.032], 0.0, 0.011),
    ([10.020], [10.033], [10.026], -0.013, 0.0),
    ([10.030], [10.031], [10.010], -0.001, -0.020),
])  # fmt: skip
def test_form(
    opened: list[float], closed: list[float], middle: list[float], taper: float, barrel: float
) -> None:
    """Bell-mouth is positive; barrel is the middle over both edges, a waist is negative (C3)."""
    assert taper_m(opened, closed) == pytest.approx(taper, abs=1e-12)
    assert barrel_m(middle, opened, closed) == pytest.approx(barrel, abs=1e-12)


def test_grooves_count_twice() -> None:
    """C1: a groove takes its depth off both walls, and so does its doubt."""
    assert at_groove_bottom_m(10.050, 0.010) == pytest.approx(10.070)
    assert doubt_at_groove_bottom_m(0.003, 0.002) == pytest.approx(0.007)


@pytest.mark.parametrize("few", [[], [1.0], [1.0, 1.1], [1.0, 1.1, 1.2]])
def test_roundness_needs_four_directions(few: list[float]) -> None:
    """C2: fewer than four directions say nothing."""
    with pytest.raises(ValueError, match="four directions"):
        out_of_round_m(few)


@pytest.mark.parametrize("miles, worn, doubt, enough", [
    ((0, 1000), (0, 7), 3, True), ((0, 999), (0, 7), 3, False), ((0, 1000), (0, 6), 3, False), ((0, 1000), (0, 5), 3, False),
    ((0,), (0,), 3, False), ((0, 1000), (0, -7), 3, False), ((0, 500, 1000), (0, 1, 7), 3, True),
])  # fmt: skip
def test_when_a_rate_may_be_stated(
    miles: tuple[int, ...], worn: tuple[int, ...], doubt: int, enough: bool
) -> None:
    """C7: at least 1,000 miles apart and a change of more than 2 U, else 'not enough to say'."""
    for first in (10000, 10007, 10011, 10040):
        sizes = [(first + w) * 0.0254 / 1000 for w in worn]
        found = wear.rate([m * MILE for m in miles], sizes, doubt * 0.0254 / 1000, 1000 * MILE, 1.3)
        assert (found is not None) == enough, first


@pytest.mark.parametrize("remaining, check", [
    (0, 0), (624, 0), (625, 500), (1249, 500), (1250, 1000), (9999, 7500), (10000, 8000), (60450, 48000),
])  # fmt: skip
def test_interim_check(remaining: int, check: int) -> None:
    """C8: 80 % of what remains, rounded down to 500 miles."""
    assert wear.interim(remaining, 0.8, 500) == check


@given(st.integers(0, 10**6))
def test_interim_by_whole_numbers(remaining: int) -> None:
    """The same by exact whole-number division."""
    assert wear.interim(remaining, 0.8, 500) == int(Fraction(8 * remaining, 10) // 500) * 500


@pytest.mark.parametrize("size, used", [(10.000, 0.0), (10.045, 0.5), (10.090, 1.0), (10.099, 1.1)])
def test_wear_used(size: float, used: float) -> None:
    """C4: nothing when new, all at the limit, more past it; and the same for a part that gets thinner."""
    assert wear.used_share(size, 10.0, 10.090) == pytest.approx(used)
    assert wear.used_share(-size, -10.0, -10.090) == pytest.approx(used)


def test_what_is_gone_is_gone() -> None:
    """Past the limit nothing remains, never a negative distance."""
    assert wear.remaining_m(-0.001, 1e-9) == 0
    assert wear.remaining_m(0.002, 1e-9) == pytest.approx(2e6)


@pytest.mark.parametrize("x", [[], [1.0], [1.0, 1.0]])
def test_no_line_through_one_place(x: list[float]) -> None:
    """A line needs two records at different distances."""
    with pytest.raises(ValueError, match="two records"):
        wear.line(x, [2.0] * len(x))


@pytest.mark.parametrize("fed, missing", [(4, 0), (3, 1), (2, 2), (0, 4)])
def test_half_the_current_is_two_of_four(fed: int, missing: int) -> None:
    """C10: half the current on four magnets is two that are not fed."""
    all_of_them, measured = (electric.expected_a(12.5, [3.2] * n) for n in (4, fed))

    assert electric.legs_missing(measured, all_of_them, 4) == missing


@given(st.floats(10, 14), st.lists(st.floats(2, 5), min_size=1, max_size=6), st.floats(0, 0.5))
def test_kirchhoff(volts: float, coils: list[float], wire: float) -> None:
    """What the wire loses and what the coils keep add up to the source, and a perfect wire loses nothing."""
    current, left = electric.fed_through_wire(volts, wire, coils)

    assert left + current * wire == pytest.approx(volts)
    assert electric.expected_a(left, coils) == pytest.approx(current)


def test_doubt_of_the_expected_current() -> None:
    """One meter reads every coil: its error adds up plainly; with no doubt in, none comes out."""
    assert electric.expected_doubt_a(12, 0, [3.2] * 4, 0) == 0
    assert electric.expected_doubt_a(12, 0, [3.2] * 4, 0.1) == pytest.approx(4 * 12 * 0.1 / 3.2**2)
    assert electric.expected_doubt_a(12, 0.1, [3.2] * 4, 0) == pytest.approx(4 * 0.1 / 3.2)
