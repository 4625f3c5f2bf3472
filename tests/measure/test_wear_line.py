"""Limits about a wear line against matrix algebra and another library's t, and what must hold of them by reason."""

from __future__ import annotations

from math import isinf

import numpy as np
import pytest
from scipy import stats

from wheeltapper.measure.wear import Line, line
from wheeltapper.measure.wear_line import (
    Of,
    error_at_m,
    interval_m,
    meeting_distance_m,
    passing_distance_m,
    past_share,
    size_at_m,
)
from wheeltapper.problems import NoAnswerError

SEEDS = range(30)
OFS: tuple[Of, ...] = ("line", "reading")


def records(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Wear records of a drum: metres driven and diameters in metres, clearly growing."""
    dice = np.random.default_rng(seed)
    x = np.sort(dice.uniform(0, 1e8, dice.integers(4, 12)))
    return x, 0.254 + 1e-11 * dice.uniform(3, 9) * x + dice.normal(0, 2e-5, len(x))


def worn(seed: int) -> Line:
    """The line through such records."""
    x, y = records(seed)
    return line(x.tolist(), y.tolist())


@pytest.mark.second_way
@pytest.mark.parametrize("of", OFS)
@pytest.mark.parametrize("seed", SEEDS)
def test_limits_like_matrix_algebra(seed: int, of: Of) -> None:
    """Standard errors from (X'X)^-1 and the other library's t make the same limits and the same chance of passing."""
    x, y = records(seed)
    at = np.array([0.0, float(np.median(x)), 1.7e8])
    units = np.column_stack([np.ones_like(x), x / 1e8])
    beta, (rss,), _, _ = np.linalg.lstsq(units, y, rcond=None)
    free = len(x) - 2
    rows = np.column_stack([np.ones_like(at), at / 1e8])
    spread = np.einsum("ij,jk,ik->i", rows, np.linalg.inv(units.T @ units), rows) + (of == "reading")
    error, middle = np.sqrt(rss / free * spread), rows @ beta
    ours = worn(seed)
    limit = float(middle[2] - error[2])

    assert size_at_m(ours, at) == pytest.approx(middle, rel=1e-10)
    assert error_at_m(ours, at, of) == pytest.approx(error, rel=1e-6)
    low, high = interval_m(ours, at, 0.9, of)
    assert np.array(low) == pytest.approx(middle - stats.t.ppf(0.95, free) * error, rel=1e-9)
    assert np.array(high) == pytest.approx(middle + stats.t.ppf(0.95, free) * error, rel=1e-9)
    assert past_share(ours, at, limit, of) == pytest.approx(
        stats.t.sf((limit - middle) / error, free), rel=1e-5
    )


@pytest.mark.second_way
def test_chance_of_passing_in_the_evaporation_records() -> None:
    """At 190 a limit of 1.0 is passed with 0.12892, by the other library's regression and t."""
    x = np.arange(20.0, 400.0, 40.0)
    y = np.array([0.18, 0.37, 0.35, 0.78, 0.56, 0.75, 1.18, 1.36, 1.17, 1.65])
    fit = stats.linregress(x, y)
    s = fit.stderr * np.sqrt(((x - 200) ** 2).sum())
    t = (1.0 - fit.intercept - fit.slope * 190) / (s * np.sqrt(1.1 + 100 / 132000))

    share = past_share(line(x.tolist(), y.tolist()), 190.0, 1.0, "reading")
    assert share == pytest.approx(stats.t.sf(t, 8), rel=1e-10)
    assert share == pytest.approx(0.12892, abs=5e-6)


@pytest.mark.reasoned
@pytest.mark.parametrize("of", OFS)
@pytest.mark.parametrize("seed", SEEDS)
def test_the_distance_of_a_chance_has_that_chance(seed: int, of: Of) -> None:
    """Solved and put back: at the distance told the chance of having passed is the one asked, and it grows there."""
    ours, limit = worn(seed), 0.2563
    for wanted in (0.01, 0.05, 0.3, 0.5, 0.7):
        at = passing_distance_m(ours, limit, wanted, of)
        assert past_share(ours, at, limit, of) == pytest.approx(wanted, rel=1e-7)
        assert past_share(ours, at + 1e5, limit, of) > past_share(ours, at - 1e5, limit, of)


@pytest.mark.reasoned
def test_half_a_chance_is_where_the_line_meets_the_limit() -> None:
    """A symmetric doubt is over the limit with one half just where the line is on it."""
    ours = worn(1)
    meets = meeting_distance_m(ours, 0.2563)

    assert size_at_m(ours, meets) == pytest.approx(0.2563, rel=1e-12)
    assert passing_distance_m(ours, 0.2563, 0.5, "reading") == pytest.approx(meets)
    assert passing_distance_m(ours, 0.2563, np.array([0.05, 0.5]), "reading")[0] < meets


@pytest.mark.reasoned
def test_a_faint_line_still_tells_an_early_chance() -> None:
    """Where the slope is not clear of nothing a small chance still comes, but certainty never does."""
    faint = line([0, 1, 2, 3], [0, 1.0, -0.5, 1])
    early = passing_distance_m(faint, 2.0, 0.05, "line")

    assert past_share(faint, early, 2.0, "line") == pytest.approx(0.05)
    assert past_share(faint, early - 0.5, 2.0, "line") < 0.05
    with pytest.raises(NoAnswerError, match="scatter too much"):
        passing_distance_m(faint, 2.0, 0.95, "line")
    with pytest.raises(NoAnswerError, match="scatter too much"):
        passing_distance_m(faint, 0.1, 0.05, "line")


@pytest.mark.reasoned
def test_records_on_a_line_leave_no_doubt() -> None:
    """Exact records make limits of no width, and a limit is passed or not."""
    exact = line([0, 1, 2, 3], [1.0, 2.0, 3.0, 4.0])

    assert exact.explained_share == 1
    assert interval_m(exact, 5.0, 0.99, "reading") == pytest.approx((6.0, 6.0))
    assert past_share(exact, np.array([4.0, 5.0, 6.0]), 6.5, "reading").tolist() == pytest.approx([0, 0, 1])
    assert not isinf(passing_distance_m(exact, 6.5, 0.05, "reading"))


@pytest.mark.reasoned
def test_what_has_no_answer() -> None:
    """Two records say nothing of doubt, and records that do not grow tell no distance."""
    two = line([0.0, 1.0], [0.0, 1.0])
    with pytest.raises(NoAnswerError, match="two records"):
        error_at_m(two, 2.0, "line")
    with pytest.raises(NoAnswerError, match="no wear"):
        meeting_distance_m(line([0.0, 1.0], [1.0, 1.0]), 2.0)
    with pytest.raises(NoAnswerError, match="equally many"):
        line([0.0, 1.0], [1.0])
    assert line([0.0, 1.0, 2.0], [1.0, 1.0, 1.0]).explained_share is None
    assert two.intercept_error is None
