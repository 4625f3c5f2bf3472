"""Lives followed along their lines: against printed regressions, matrix algebra and integrals, and by reason."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy import integrate, stats

from wheeltapper.measure.number import Floats
from wheeltapper.measure.student import normal_share
from wheeltapper.measure.wear_path import (
    REACH_M,
    Paths,
    Scatter,
    distance_at_m,
    follow,
    moved,
    reached_share,
)

DATA = Path(__file__).parent.parent / "published" / "data"


def columns(name: str, x: str, y: str) -> tuple[Floats, Floats]:
    """Two columns of a published data set, in order of the first."""
    lines = [text for text in (DATA / name).read_text("utf-8").splitlines() if not text.startswith("#")]
    rows = sorted((float(row[x]), float(row[y])) for row in csv.DictReader(lines))
    return np.array([a for a, _ in rows]), np.array([b for _, b in rows])


def one_life(at: Floats, size: Floats, doubt: float = 0.0, share: float = 0.0) -> Paths:
    """One life from places and sizes."""
    gap = np.diff(at, prepend=at[0])
    there = np.ones((1, len(at)), dtype=bool)
    return Paths(gap[None], np.full((1, len(at)), share), size[None], np.full((1, len(at)), doubt), there)


def line_of(x: Floats, y: Floats, residual: float) -> tuple[float, float]:
    """The likeliest rate and its standard error, from the parabola that three rates' likelihoods lie on."""
    rates = np.array([0.5, 1.0, 2.0]) * (y[-1] - y[0]) / (x[-1] - x[0])
    logs = follow(one_life(x, y), np.log(rates)[None], Scatter(residual, 0.0))[0].logs[0]
    a, b, _ = np.polyfit(rates, logs, 2)
    return -b / (2 * a), 1 / np.sqrt(-2 * a)


@pytest.mark.published("nist-strd-norris")
def test_likeliest_rate_of_norris() -> None:
    """NIST StRD, Norris: with its certified residual deviation, the likeliest rate is the certified slope, its doubt the certified one."""
    slope, error = line_of(*columns("nist_strd_norris.csv", "x", "y"), residual=0.884796396144373)

    assert slope == pytest.approx(1.00211681802045, rel=1e-9)
    assert error == pytest.approx(0.429796848199937e-03, rel=1e-6)


@pytest.mark.published("johnson-ch11-evaporation")
def test_next_reading_of_the_evaporation_example() -> None:
    """Johnson, Miller & Freund, ch. 11: slope .00383, and at 450 the 95 % limits 1.33 and 2.25 of one more observation.

    The filter takes the residual deviation (.159) as known; times the book's own t of 8 degrees, 2.306.
    """
    x, y = columns("regression_evaporation.csv", "air_velocity_cm_s", "evaporation_mm2_s")
    rate = np.linspace(0.0005, 0.0080, 2001)[None]
    scatter = Scatter(0.15905, 0.0)
    state, _ = follow(one_life(x, y), np.log(rate), scatter)
    weight = np.exp(state.logs - state.logs.max())
    weight /= weight.sum()
    then = moved(state, rate, np.array([[450.0 - x[-1]]]), np.zeros((1, 1)), scatter)
    mean = float(np.sum(weight * then.size_m))
    spread = float(np.sum(weight * (then.spread_m2 + (then.size_m - mean) ** 2))) + 0.15905**2

    assert line_of(x, y, 0.15905)[0] == pytest.approx(0.00383, abs=5e-6)
    assert (mean - 2.306 * spread**0.5, mean + 2.306 * spread**0.5) == pytest.approx((1.33, 2.25), abs=0.01)


def by_matrix(paths: Paths, rate: float, scatter: Scatter) -> float:
    """The same likelihood from the records' steps, whose covariance is written out: no filter, no unknown first size."""
    gap, n = paths.gap_m[0], paths.gap_m.shape[1]
    noise = scatter.visit_m**2 + paths.doubt_m[0] ** 2
    way = rate**2 * ((paths.gap_share[0] * gap) ** 2 + scatter.wander_share**2 * REACH_M * gap)
    cover = np.diag(noise[:-1] + noise[1:] + way[1:])
    cover -= np.diag(noise[1:-1], 1) + np.diag(noise[1:-1], -1) if n > 2 else 0.0
    return float(stats.multivariate_normal(rate * gap[1:], cover).logpdf(np.diff(paths.worn_m[0])))


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(4))
def test_filter_against_matrix(seed: int) -> None:
    """Uneven gauges, distances and doubts: the filter's likelihood is that of the steps, to ten digits."""
    rng = np.random.default_rng(seed)
    n = 2 + seed
    gap = np.append(0.0, rng.uniform(2e6, 2e7, n - 1))
    worn = 0.3 + np.cumsum(gap * 4e-11)
    paths = Paths(
        gap[None], rng.uniform(0, 0.3, (1, n)), worn[None] + rng.normal(0, 3e-5, (1, n)), rng.uniform(2e-5, 6e-5, (1, n)),
        np.ones((1, n), dtype=bool),
    )  # fmt: skip
    scatter = Scatter(2e-5, 0.12)
    rates = np.array([1e-11, 4e-11, 9e-11])
    logs = follow(paths, np.log(rates)[None], scatter)[0].logs[0]

    assert logs == pytest.approx([by_matrix(paths, r, scatter) for r in rates], rel=1e-10)


@pytest.mark.reasoned
def test_rows_that_are_filled_up_say_nothing() -> None:
    """A life among longer ones is followed as if alone."""
    at, size = np.array([0.0, 1e7, 2.2e7]), np.array([0.3, 0.3004, 0.3009])
    alone = one_life(at, size, 4e-5, 0.05)
    more = Paths(
        *(
            np.pad(a, ((0, 1), (0, 2)))
            for a in (alone.gap_m, alone.gap_share, alone.worn_m, alone.doubt_m, alone.there)
        )
    )
    log_rate, scatter = np.log([[2e-11, 4e-11]]), Scatter(2e-5, 0.1)
    one, two = follow(alone, log_rate, scatter)[0], follow(more, np.repeat(log_rate, 2, axis=0), scatter)[0]

    for a, b in ((one.logs, two.logs), (one.size_m, two.size_m), (one.spread_m2, two.spread_m2)):
        assert b[0] == pytest.approx(a[0], rel=1e-12)


def spread_rates() -> tuple[Floats, Floats]:
    """Rates about 4e-11 with a doubt of a fifth."""
    log_rate = np.log(4e-11) + 0.2 * np.linspace(-6, 6, 401)[None]
    weight = stats.norm.pdf(np.linspace(-6, 6, 401))[None]
    return log_rate, weight / weight.sum()


@pytest.mark.second_way
@pytest.mark.parametrize("ahead", [5e6, 2e7, 4e7])
def test_chance_against_an_integral(ahead: float) -> None:
    """The chance of the limit by brute integration over all rates."""
    log_rate, weight = spread_rates()
    scatter, share, left = Scatter(2e-5, 0.1), 0.1, 0.001
    state = follow(one_life(np.zeros(1), np.full(1, 0.3), 4e-5), log_rate, scatter)[0]
    found = reached_share(
        state, log_rate, weight, np.array([0.3 + left]), np.array([ahead]), np.array([share]), scatter
    )[0]

    def at(z: float) -> float:
        rate = 4e-11 * np.exp(0.2 * z)
        wide = 2e-5**2 + 4e-5**2 + rate**2 * ((share * ahead) ** 2 + 0.1**2 * REACH_M * ahead)
        return float(stats.norm.pdf(z) * stats.norm.cdf((rate * ahead - left) / wide**0.5))

    assert found == pytest.approx(integrate.quad(at, -8, 8, epsabs=1e-10)[0], abs=1e-6)


@pytest.mark.reasoned
@pytest.mark.parametrize("wanted", [0.05, 0.5, 0.95])
def test_distance_is_the_chance_turned_round(wanted: float) -> None:
    """At the distance found the chance is the one wanted; past the limit it is no distance; too far is the most told."""
    log_rate, weight = (np.repeat(a, 3, axis=0) for a in spread_rates())
    scatter, share = Scatter(2e-5, 0.1), np.full(3, 0.05)
    life = one_life(np.zeros(1), np.full(1, 0.3), 4e-5)
    state = follow(life.of(np.zeros(3, dtype=int)), log_rate, scatter)[0]
    limit = np.array([0.301, 0.299, 0.9])
    found = distance_at_m(state, log_rate, weight, limit, share, scatter, wanted, 5e8)

    assert found[1:] == pytest.approx([0.0, 5e8])
    chance = reached_share(state, log_rate, weight, limit, found, share, scatter)[0]
    assert chance == pytest.approx(wanted, abs=1e-4)


@pytest.mark.second_way
def test_fast_normal_share() -> None:
    """Abramowitz & Stegun's polynomial keeps to its 7.5e-8."""
    off = np.linspace(-9, 9, 3001)

    assert np.max(np.abs(normal_share(off) - stats.norm.cdf(off))) < 8e-8
