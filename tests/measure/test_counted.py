"""A counted share against another library, and what must hold of it by reason."""

from __future__ import annotations

import pytest
from scipy import stats

from wheeltapper.measure.counted import alike_factor, at_least_share, limits_share
from wheeltapper.problems import NoAnswerError


@pytest.mark.second_way
@pytest.mark.parametrize(
    "hits, tries", [(0, 20), (5, 10), (20, 20), (45, 48), (357, 396), (11255, 12589), (1, 5000)]
)
@pytest.mark.parametrize("confidence", [0.90, 0.95, 0.99])
def test_limits_against_scipy(hits: int, tries: int, confidence: float) -> None:
    """Clopper-Pearson limits as scipy has them from the beta distribution."""
    exact = stats.binomtest(hits, tries).proportion_ci(confidence, "exact")

    assert limits_share(hits, tries, confidence) == pytest.approx((exact.low, exact.high), abs=1e-9)


@pytest.mark.second_way
@pytest.mark.parametrize(
    "hits, tries, share", [(3, 10, 0.2), (90, 100, 0.95), (100, 100, 0.99), (0, 5, 0.5), (4000, 9000, 0.45)]
)
def test_tail_against_scipy(hits: int, tries: int, share: float) -> None:
    """The binomial's upper tail."""
    assert at_least_share(hits, tries, share) == pytest.approx(
        stats.binom.sf(hits - 1, tries, share), rel=1e-10
    )


@pytest.mark.reasoned
def test_ends_of_a_share() -> None:
    """A share of nothing never hits, one of all always does; nothing tried is refused."""
    assert (at_least_share(1, 5, 0.0), at_least_share(5, 5, 1.0)) == (0.0, 1.0)
    for hits, tries in ((0, 0), (3, 2), (-1, 2)):
        with pytest.raises(NoAnswerError):
            limits_share(hits, tries, 0.95)


@pytest.mark.reasoned
def test_tries_that_come_out_alike_count_less() -> None:
    """Clusters that hit wholly or not at all count as one try each; mixed ones count in full."""
    assert alike_factor([(4, 4), (0, 4), (4, 4), (0, 4), (4, 4), (4, 4)]) == pytest.approx(4.0)
    assert alike_factor([(2, 4)] * 6) == 1.0
    assert alike_factor([(1, 1), (0, 1)]) == 1.0
    assert alike_factor([(1, 1), (3, 3)]) == 1.0  # nothing missed: nothing to tell
