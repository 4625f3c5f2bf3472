"""The same numbers from libraries that share no code with ours."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from wheeltapper.measure.margin import combined, conformance_share, conformance_share_least
from wheeltapper.measure.wear import line, rate

pytestmark = pytest.mark.second_way
SEEDS = range(40)


def records(seed: int) -> tuple[list[float], list[float]]:
    """Wear records of a drum: metres driven and diameters in metres."""
    dice = np.random.default_rng(seed)
    x = np.sort(dice.uniform(0, 1e8, dice.integers(3, 12)))
    y = 0.254 + 1e-11 * dice.uniform(0, 2) * x + dice.normal(0, 2e-5, len(x))
    return x.tolist(), y.tolist()


@pytest.mark.parametrize("seed", SEEDS)
def test_line_like_polyfit(seed: int) -> None:
    """Slope and intercept as numpy's polynomial fit has them."""
    x, y = records(seed)
    ours = line(x, y)
    slope, intercept = np.polyfit(x, y, 1)

    assert ours.slope == pytest.approx(slope, rel=1e-7, abs=1e-18)
    assert ours.intercept == pytest.approx(intercept, rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_line_like_linregress(seed: int) -> None:
    """Slope, intercept and standard error of the slope as scipy's regression has them."""
    x, y = records(seed)
    ours, theirs = line(x, y), stats.linregress(x, y)

    assert ours.slope == pytest.approx(theirs.slope, rel=1e-8, abs=1e-18)
    assert ours.intercept == pytest.approx(theirs.intercept, rel=1e-10)
    assert ours.slope_error == pytest.approx(theirs.stderr, rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_rate_is_the_faster_of_both_slopes(seed: int) -> None:
    """The larger of the fit over all and the slope of the last interval, and 'faster' past 130 %."""
    x, y = records(seed)
    worn = np.maximum.accumulate(y) + 1e-6 * np.arange(len(y))
    overall = np.polyfit(x, worn, 1)[0]
    last = float(np.diff(worn)[-1] / np.diff(x)[-1])
    ours = rate(x, worn.tolist(), 1e-9, 1.0, 1.3)

    assert ours is not None
    assert ours.share == pytest.approx(max(overall, last), rel=1e-6)
    assert ours.faster == (last > 1.3 * overall)


@pytest.mark.parametrize("off", np.linspace(-6, 6, 49).tolist())
def test_conformance_like_scipys_normal(off: float) -> None:
    """Probability at or under a limit: the normal distribution function, at either kind of limit."""
    limit, doubt = 0.256286, 7.62e-5
    size = limit + off * doubt / 2

    assert conformance_share(size, doubt, limit) == pytest.approx(
        stats.norm.cdf(limit, size, doubt / 2), rel=1e-9
    )
    assert conformance_share_least(size, doubt, limit) == pytest.approx(
        stats.norm.sf(limit, size, doubt / 2), rel=1e-9
    )


@pytest.mark.parametrize("seed", range(10))
def test_combined_like_the_norm(seed: int) -> None:
    """The root of the sum of squares is the length of the vector."""
    doubts = np.random.default_rng(seed).uniform(0, 1, 6)

    assert combined(doubts.tolist()) == pytest.approx(np.linalg.norm(doubts), rel=1e-14)
