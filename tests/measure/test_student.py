"""Student's t and the normal spread against another library, and what must hold of them by reason."""

from __future__ import annotations

from math import atan, inf, pi

import numpy as np
import pytest
from scipy import stats

from wheeltapper.measure.student import (
    coverage_factor,
    density,
    effective_freedom,
    normal_tail,
    quantile,
    tail,
)
from wheeltapper.problems import NoAnswerError

FREEDOMS = [0.5, 1.5, 2, 3, 5, 8, 15.78, 30, 100, 500, 1999, 2001, 5000, 1e5, 1e8]
OFF = np.array([0, 1e-6, 0.01, 0.3, 1, 1.7, 2, 3, 5, 8, 12, 20])
SHARES = np.array([1e-9, 1e-4, 0.025, 0.3, 0.4999, 0.5, 0.6, 0.95, 0.975, 0.995, 0.9999])


@pytest.mark.second_way
@pytest.mark.parametrize("freedom", FREEDOMS)
def test_tail_like_scipy(freedom: float) -> None:
    """Both tails to ten digits, near the middle, far out, for few and for many degrees of freedom."""
    assert tail(OFF, freedom) == pytest.approx(stats.t.sf(OFF, freedom), rel=1e-10)
    assert tail(-OFF, freedom) == pytest.approx(stats.t.sf(-OFF, freedom), rel=1e-12)


@pytest.mark.second_way
@pytest.mark.parametrize("freedom", FREEDOMS)
def test_density_like_scipy(freedom: float) -> None:
    """The height of the curve to ten digits."""
    assert density(OFF, freedom) == pytest.approx(stats.t.pdf(OFF, freedom), rel=1e-10)


@pytest.mark.second_way
@pytest.mark.parametrize("freedom", FREEDOMS)
def test_quantile_like_scipy(freedom: float) -> None:
    """The way back, to ten digits."""
    assert quantile(SHARES, freedom) == pytest.approx(stats.t.ppf(SHARES, freedom), rel=1e-10, abs=1e-12)


@pytest.mark.second_way
def test_endless_freedom_is_normal() -> None:
    """With endless degrees of freedom it is the normal spread."""
    assert tail(OFF, inf) == pytest.approx(stats.norm.sf(OFF), rel=1e-12)
    assert normal_tail(OFF) == pytest.approx(stats.norm.sf(OFF), rel=1e-13)
    assert quantile(SHARES, inf) == pytest.approx(stats.norm.ppf(SHARES), rel=1e-12, abs=1e-14)
    assert density(OFF, inf) == pytest.approx(stats.norm.pdf(OFF), rel=1e-12)


@pytest.mark.reasoned
@pytest.mark.parametrize("off", [1e-3, 0.1, 1.0, 10.0, 1e4, 1e12])
def test_one_degree_is_an_arc_tangent(off: float) -> None:
    """With one degree of freedom the tail is atan(1 / t) / pi."""
    assert tail(off, 1.0) == pytest.approx(atan(1 / off) / pi, rel=1e-13)


@pytest.mark.reasoned
@pytest.mark.parametrize("off", [0.1, 1.0, 10.0, 1e4])
def test_two_degrees_have_a_closed_form(off: float) -> None:
    """With two degrees of freedom the inside is t / sqrt(2 + t^2)."""
    assert 1 - 2 * tail(off, 2.0) == pytest.approx(off / (2 + off * off) ** 0.5, rel=1e-12)


@pytest.mark.reasoned
def test_infinitely_far_out() -> None:
    """Nothing lies beyond infinity, everything beyond minus infinity, whatever the freedom."""
    told = tail(np.array([inf, -inf]), np.array([[3.0], [inf]]))

    assert told == pytest.approx(np.array([[0.0, 1.0], [0.0, 1.0]]), abs=1e-250)


@pytest.mark.reasoned
def test_many_at_once() -> None:
    """An array of freedoms with an array of shares is the same as one at a time; one number stays one number."""
    shares, freedoms = SHARES[:, None], np.array(FREEDOMS)
    whole = quantile(shares, freedoms)

    assert whole.shape == (SHARES.size, len(FREEDOMS))
    assert whole[3, 4] == pytest.approx(quantile(SHARES[3], FREEDOMS[4]), rel=1e-14)
    assert np.ndim(coverage_factor(0.95, 7)) == 0


@pytest.mark.reasoned
def test_equal_parts_add_their_freedom() -> None:
    """Four equal doubts of five degrees each have twenty together; sure ones add nothing to the sum; all sure: endless."""
    assert effective_freedom([1, 1, 1, 1], [5, 5, 5, 5]) == pytest.approx(20)
    assert effective_freedom([3, 1e-9], [5, inf]) == pytest.approx(5)
    assert effective_freedom([1, 2], [inf, inf]) == inf
    assert effective_freedom(np.eye(2) + 1, np.array([4, 9])).shape == (2,)


@pytest.mark.reasoned
@pytest.mark.parametrize(
    "share, freedom", [(0.0, 3), (1.0, 3), (-0.1, 3), (0.5, 0), (0.5, -2), (float("nan"), 3)]
)
def test_what_has_no_answer(share: float, freedom: float) -> None:
    """A share outside 0 to 1, or no degrees of freedom, is refused in words."""
    with pytest.raises(NoAnswerError, match=r"share|freedom"):
        quantile(share, freedom)


@pytest.mark.reasoned
def test_nothing_in_doubt_has_no_freedom() -> None:
    """Doubts of nothing have no effective degrees of freedom; nor have doubts without any."""
    with pytest.raises(NoAnswerError, match="none of the doubts"):
        effective_freedom([0, 0], [3, 4])
    with pytest.raises(NoAnswerError, match="freedom"):
        effective_freedom([1, 1], [3, 0])
