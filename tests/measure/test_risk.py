"""Risks against integrals taken another way by another library, and what must hold of them by reason."""

from __future__ import annotations

from itertools import pairwise
from math import inf
from typing import Any

import numpy as np
import pytest
from scipy import integrate, stats

from wheeltapper.measure.doubt import combine, readings_needed, repeats
from wheeltapper.measure.guard_band import (
    factor_quarter,
    factor_rss,
    factor_two_per_cent,
    factor_whole,
    gauge_for,
    guard_for_one,
)
from wheeltapper.measure.risk import (
    Band,
    Gamma,
    Normal,
    Spread,
    after_reading,
    conforming_share,
    gamma_of,
    guard_for,
    guarded,
    nonconforming_share,
    normal_of,
    risks,
)
from wheeltapper.problems import NoAnswerError

SEEDS = range(25)


def drawn(seed: int) -> tuple[Spread, float, Band, Band]:
    """Parts, gauge, limits and acceptance limits of every size and both kinds, one- and two-sided."""
    dice = np.random.default_rng(seed)
    shape, scale = 10 ** dice.uniform(-0.5, 2), 10 ** dice.uniform(-6, 1)
    deviation = shape**0.5 * scale
    parts: Spread = (
        Gamma(shape, scale, -deviation) if seed % 2 else Normal(dice.normal() * deviation, deviation)
    )
    mean = normal_of(parts).mean if isinstance(parts, Gamma) else parts.mean
    high = mean + deviation * dice.uniform(0.3, 3)
    low = mean - deviation * dice.uniform(0.3, 3) if seed % 3 else -inf
    gauge = deviation * 10 ** dice.uniform(-2, 0.5)
    return (
        parts,
        gauge,
        Band(low, high),
        Band(low + gauge * dice.uniform(-1, 0.2), high - gauge * dice.uniform(-0.2, 1)),
    )


def cdf_of(parts: Spread) -> Any:
    """The distribution function of the other library."""
    if isinstance(parts, Normal):
        return stats.norm(parts.mean, parts.deviation).cdf
    return stats.gamma(parts.shape, parts.start, parts.scale).cdf


def over_the_gauge(parts: Spread, gauge: float, limits: Band, accept: Band) -> tuple[float, float]:
    """False accepts and false rejects, integrated over the gauge's error where ours goes over the parts."""
    cdf = cdf_of(parts)

    def accepted_in_and_all(e: float) -> tuple[float, float]:
        low, high = accept.low - gauge * e, accept.high - gauge * e
        both = max(0.0, float(cdf(min(high, limits.high)) - cdf(max(low, limits.low))))
        return both, max(0.0, float(cdf(high) - cdf(low)))

    whole = float(cdf(limits.high) - cdf(limits.low))
    ends = [accept.low, accept.high, limits.low, limits.high]
    start = [parts.start] if isinstance(parts, Gamma) else []
    kinks = sorted(
        {
            float((a - t) / gauge)
            for a in ends[:2]
            for t in [*ends[2:], *start]
            if abs(a) != inf and abs(t) != inf
        }
    )
    cuts = sorted({-9.0, 9.0, *np.linspace(-8, 8, 17), *(k for k in kinks if abs(k) < 9)})

    def over(f: Any) -> float:
        return sum(
            integrate.quad(lambda e: stats.norm.pdf(e) * f(e), a, b, epsabs=1e-12, epsrel=1e-9)[0]
            for a, b in pairwise(cuts)
        )

    accept_wrong = over(lambda e: accepted_in_and_all(e)[1] - accepted_in_and_all(e)[0])
    return accept_wrong, over(lambda e: whole - accepted_in_and_all(e)[0])


@pytest.mark.second_way
@pytest.mark.parametrize("seed", SEEDS)
def test_risks_over_the_gauges_error(seed: int) -> None:
    """Both global risks, normal and gamma parts, one- and two-sided limits, integrated the other way round."""
    parts, gauge, limits, accept = drawn(seed)
    told = risks(parts, gauge, limits, accept)
    false_accept, false_reject = over_the_gauge(parts, gauge, limits, accept)

    assert told.false_accept == pytest.approx(false_accept, abs=1e-10)
    assert told.false_reject == pytest.approx(false_reject, abs=1e-10)


@pytest.mark.second_way
@pytest.mark.parametrize("seed", SEEDS)
def test_nonconforming_like_scipy(seed: int) -> None:
    """The share that is out before anyone measures, by the distribution functions of the other library."""
    parts, gauge, limits, _ = drawn(seed)
    cdf = cdf_of(parts)
    expected = 1 - float(cdf(limits.high) - cdf(limits.low))

    assert nonconforming_share(parts, limits) == pytest.approx(expected, abs=1e-12)
    assert risks(parts, gauge, limits, limits).nonconforming == pytest.approx(expected, abs=1e-12)


@pytest.mark.second_way
@pytest.mark.parametrize("seed", [s for s in SEEDS if s % 2])
def test_reading_with_a_gamma_prior_like_scipy(seed: int) -> None:
    """Prior times likelihood, integrated over the prior's own probability, above and below the limit."""
    parts, gauge, limits, _ = drawn(seed)
    assert isinstance(parts, Gamma)
    law, gauge = stats.gamma(parts.shape, parts.start, parts.scale), max(gauge, law_deviation(parts) / 5)
    reading = limits.high - 0.7 * gauge
    cuts = [float(law.cdf(reading + k * gauge)) for k in np.linspace(-9, 9, 37)]

    def weight(low: float, high: float) -> float:
        steps = sorted({low, high, *(c for c in cuts if low < c < high)})
        return sum(
            integrate.quad(
                lambda p: np.exp(-0.5 * ((reading - law.ppf(p)) / gauge) ** 2), a, b, epsabs=1e-13
            )[0]
            for a, b in pairwise(steps)
        )

    low, high = float(law.cdf(limits.low)), float(law.cdf(limits.high))
    expected = weight(low, high) / weight(0.0, 1.0)
    assert conforming_share(reading, gauge, limits, parts) == pytest.approx(expected, abs=1e-9)


def law_deviation(parts: Gamma) -> float:
    """Standard deviation of a gamma spread."""
    return float(normal_of(parts).deviation)


@pytest.mark.second_way
def test_guard_for_one_like_scipy() -> None:
    """The guard band of one reading is the normal quantile; the gauge for a distance is the same turned round."""
    shares = np.array([1e-6, 0.001, 0.0228, 0.05, 0.3])

    assert guard_for_one(2.0, shares) == pytest.approx(2 * stats.norm.isf(shares), rel=1e-12)
    assert gauge_for(guard_for_one(2.0, shares), shares) == pytest.approx(np.full(5, 2.0), rel=1e-12)


@pytest.mark.second_way
def test_repeats_like_scipy() -> None:
    """Mean, scatter and standard error, for one row of readings and for many rows at once."""
    rows = np.random.default_rng(3).normal(10, 0.1, (4, 6))
    told = repeats(rows)

    assert told.mean == pytest.approx(rows.mean(axis=1))
    assert told.of_mean == pytest.approx(stats.sem(rows, axis=1), rel=1e-12)
    assert repeats(rows[2]).deviation == pytest.approx(stats.tstd(rows[2]), rel=1e-12)


@pytest.mark.second_way
def test_combined_of_one_mean_is_the_t_interval() -> None:
    """One doubt with its freedom makes the confidence interval of a mean as the other library has it."""
    readings = np.random.default_rng(4).normal(5, 1, 7)
    told = repeats(readings)
    low, high = stats.t.interval(0.95, 6, loc=readings.mean(), scale=stats.sem(readings))

    assert combine([told.of_mean], 1.0, [told.freedom]).expanded == pytest.approx((high - low) / 2, rel=1e-12)


@pytest.mark.second_way
@pytest.mark.parametrize(
    "scatter, wanted, gauge", [(1.0, 0.5, 0.0), (1.0, 0.5, 0.1), (0.3, 0.5, 0.2), (5.0, 0.5, 0.24)]
)
def test_readings_needed_by_trying_each(scatter: float, wanted: float, gauge: float) -> None:
    """The least number that meets the wanted doubt, by trying every number with the other library's t."""

    def doubt(n: int) -> float:
        mean = scatter / n**0.5
        total = float(np.hypot(mean, gauge))
        return float(stats.t.ppf(0.975, (n - 1) * (total / mean) ** 4)) * total

    least = next(n for n in range(2, 100_000) if doubt(n) <= wanted)
    assert readings_needed(scatter, wanted, gauge) == least


@pytest.mark.reasoned
def test_readings_needed_with_a_known_scatter() -> None:
    """With a known scatter it is (z s / U)^2 rounded up; one reading may do; an array gives an array."""
    assert readings_needed(0.5, 0.1, freedom=inf) == int(np.ceil((1.959964 * 5) ** 2))
    assert readings_needed(0.01, 0.1, freedom=inf) == 1
    assert readings_needed(np.array([0.5, 0.01]), 0.1, freedom=inf).tolist() == [97, 1]


@pytest.mark.reasoned
@pytest.mark.parametrize("seed", SEEDS)
def test_parts_are_counted_once(seed: int) -> None:
    """Accepted parts are the good ones not rejected and the bad ones accepted; shares of each side follow."""
    told = risks(*drawn(seed))

    assert told.accepted == pytest.approx(
        1 - told.nonconforming - told.false_reject + told.false_accept, abs=1e-13
    )
    assert told.accepted_out * told.accepted == pytest.approx(told.false_accept)
    assert told.rejected_in * (1 - told.accepted) == pytest.approx(told.false_reject)


@pytest.mark.reasoned
@pytest.mark.parametrize("seed", SEEDS)
def test_guard_band_brings_the_wanted_risk(seed: int) -> None:
    """Acceptance limits drawn in by the answer have just the wanted risk, wherever that lies."""
    parts, gauge, limits, _ = drawn(seed)
    for part in (0.003, 0.2, 0.9):
        wanted = part * float(nonconforming_share(parts, limits))
        guard = guard_for(parts, gauge, limits, wanted)

        assert risks(parts, gauge, limits, guarded(limits, guard)).false_accept == pytest.approx(
            wanted, rel=1e-7
        )


@pytest.mark.reasoned
def test_a_perfect_gauge_errs_in_nothing() -> None:
    """As the gauge gets better both risks go to nothing, and accepted parts are the good ones."""
    told = risks(Normal(0.0, 1.0), 1e-9, Band(-1.0, 2.0), Band(-1.0, 2.0))

    assert max(told.false_accept, told.false_reject) < 1e-8
    assert told.accepted == pytest.approx(1 - told.nonconforming, abs=1e-8)


@pytest.mark.reasoned
def test_a_prior_that_says_nothing() -> None:
    """A prior a million times wider than the gauge leaves the answer of the reading alone; a narrow one rules."""
    limits = Band(9.0, 11.0)
    alone = conforming_share(10.5, 0.4, limits)

    assert conforming_share(10.5, 0.4, limits, Normal(0.0, 4e5)) == pytest.approx(alone, abs=1e-5)
    assert conforming_share(10.5, 0.4, limits, Normal(12.0, 1e-6)) == pytest.approx(0.0, abs=1e-12)
    assert after_reading(Normal(2.0, 3.0), 6.0, 3.0).mean == pytest.approx(4.0)
    assert after_reading(Normal(2.0, 3.0), 6.0, 3.0).deviation == pytest.approx(3 / 2**0.5)


@pytest.mark.reasoned
def test_gamma_of_a_large_shape_is_normal() -> None:
    """With a million as its shape a gamma spread is the normal one of its mean and deviation, to its skewness."""
    parts = Gamma(1e6, 1e-3)
    limits = Band(high=normal_of(parts).mean + 1.5 * law_deviation(parts))
    like = normal_of(parts)

    assert risks(parts, 0.3, limits, limits).false_accept == pytest.approx(
        risks(like, 0.3, limits, limits).false_accept, abs=2e-4
    )
    back = gamma_of(like.mean, like.deviation, 0.0)
    assert (back.shape, back.scale) == pytest.approx((1e6, 1e-3))


@pytest.mark.reasoned
def test_both_sides_alike() -> None:
    """Turning every sign round changes no risk; far from a limit no digits are lost to rounding."""
    up = risks(Normal(1.0, 2.0), 0.5, Band(-2.0, 3.0), Band(-1.5, 2.5))
    down = risks(Normal(-1.0, 2.0), 0.5, Band(-3.0, 2.0), Band(-2.5, 1.5))

    assert (up.false_accept, up.false_reject) == pytest.approx(
        (down.false_accept, down.false_reject), rel=1e-12
    )
    assert 1 - conforming_share(0.0, 1.0, Band(high=8.0)) == pytest.approx(6.2e-16, abs=2e-16)
    assert conforming_share(0.0, 1.0, Band(low=20.0)) == pytest.approx(2.7536e-89, rel=1e-4)


@pytest.mark.reasoned
def test_many_corners_at_once() -> None:
    """Arrays of parts, gauges and limits give the same as one at a time."""
    means, gauges = np.array([0.0, 0.5, 1.0]), np.array([0.1, 0.4, 1.0])
    limits = Band(np.array([-inf, -2.0, -1.0]), 2.0)
    whole = risks(Normal(means, 1.0), gauges, limits, guarded(limits, gauges))
    guards = guard_for(Normal(means, 1.0), gauges, limits, 0.002)
    gammas = risks(Gamma(np.array([0.4, 4.0]), 0.25), 0.25, Band(high=2.0), Band(high=2.0))
    one = Band(-2.0, 2.0)

    assert whole.false_accept[1] == pytest.approx(
        risks(Normal(0.5, 1.0), 0.4, one, guarded(one, 0.4)).false_accept
    )
    assert guards[1] == pytest.approx(guard_for(Normal(0.5, 1.0), 0.4, one, 0.002))
    assert gammas.false_accept[1] == pytest.approx(0.0080191, abs=5e-8)


@pytest.mark.reasoned
def test_factors_grow_to_one() -> None:
    """A better gauge never moves an acceptance limit inwards, and none is over the tolerance."""
    ratios = np.linspace(1.01, 50, 400)
    for factor in (factor_rss, factor_whole, factor_quarter, factor_two_per_cent):
        told = factor(ratios)
        assert np.all(np.diff(told) >= 0), factor
        assert np.all((told > 0) & (told <= 1)), factor


@pytest.mark.reasoned
def test_the_factor_of_two_per_cent_keeps_its_word() -> None:
    """Whatever the share of parts in limits, the method's own factor keeps false accepts to 2 %, give or take a rounding."""
    for ratio in (1.5, 2.0, 3.0, 4.0):
        band = Band(-1.0, 1.0)
        accept = guarded(band, 1 - factor_two_per_cent(ratio))
        spreads = 1 / stats.norm.isf((1 - np.linspace(0.3, 0.99, 40)) / 2)
        assert np.max(risks(Normal(0.0, spreads), 1 / (2 * ratio), band, accept).false_accept) < 0.0205


@pytest.mark.reasoned
def test_what_has_no_answer() -> None:
    """What cannot be worked out is refused in words that say what to do."""
    parts, limits = Normal(0.0, 1.0), Band(-2.0, 2.0)
    with pytest.raises(NoAnswerError, match="gauge's uncertainty"):
        risks(parts, 0.0, limits, limits)
    with pytest.raises(NoAnswerError, match="lower limit"):
        conforming_share(0.0, 1.0, Band(2.0, 1.0))
    with pytest.raises(NoAnswerError, match="spread of the parts"):
        nonconforming_share(Normal(0.0, 0.0), limits)
    with pytest.raises(NoAnswerError, match="shape"):
        nonconforming_share(Gamma(-1.0, 1.0), limits)
    with pytest.raises(NoAnswerError, match="measured or not"):
        guard_for(parts, 0.1, limits, 0.05)
    with pytest.raises(NoAnswerError, match="as large as the tolerance"):
        factor_rss(1.0)
    with pytest.raises(NoAnswerError, match="not between 0 and 50"):
        gauge_for(1.0, 0.5)
    with pytest.raises(NoAnswerError, match="over their least size"):
        gamma_of(1.0, 0.5, 2.0)


@pytest.mark.reasoned
def test_doubts_that_have_no_answer() -> None:
    """One reading, a gauge that is worse than wanted, and lists that do not fit are refused in words."""
    with pytest.raises(NoAnswerError, match="one reading"):
        repeats([1.0])
    with pytest.raises(NoAnswerError, match="not a finite number"):
        repeats([1.0, float("nan")])
    with pytest.raises(NoAnswerError, match="gauge alone"):
        readings_needed(1.0, 0.5, 0.3)
    with pytest.raises(NoAnswerError, match="equally long"):
        combine([1.0, 2.0], 1.0, [3.0, 4.0, 5.0])
    with pytest.raises(NoAnswerError, match="negative"):
        combine([1.0, -2.0], 1.0, 9.0)
