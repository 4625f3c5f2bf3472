"""Pooled rates: against scipy's optimiser and integrals, against leaving a life out, and the truth of made-up fleets."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy import integrate, optimize

from made_fleet import FAR_M, GROUPS, RATE, made, reached_m
from wheeltapper.measure.number import Floats
from wheeltapper.measure.wear_path import Paths, Scatter, distance_at_m, follow
from wheeltapper.measure.wear_pool import (
    Rates,
    before_own,
    before_records,
    grid,
    pooled,
    weighed,
)
from wheeltapper.units import INCH_M

SCATTER = Scatter(2e-5, 0.08)


def told(log_rate: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Mean and variance of each life's log rate."""
    mean = np.sum(weight * log_rate, axis=1)
    return mean, np.sum(weight * (log_rate - mean[:, None]) ** 2, axis=1)


@pytest.mark.second_way
def test_one_life_against_an_integral() -> None:
    """What a life's records and its group say together, by brute integration."""
    fleet = made(3, 8)
    tried = grid(fleet.paths, SCATTER)
    before = Rates(np.full(8, RATE + 0.2), np.full(8, 0.16))
    weight, said = weighed(tried.log_rate, tried.logs, before)
    mean, variance = told(tried.log_rate, weight)
    for i in np.flatnonzero(fleet.paths.there.sum(axis=1) >= 2):
        one = fleet.paths.of(np.array([i]))

        def height(z: float, power: int, one: Paths = one, whole: float = said[i]) -> float:
            logs = follow(one, np.array([[z]]), SCATTER)[0].logs[0, 0]
            prior = -0.5 * (z - RATE - 0.2) ** 2 / 0.16 - 0.5 * np.log(2 * np.pi * 0.16)
            return float(np.exp(logs - whole + prior) * z**power)

        near = (mean[i] - 8 * variance[i] ** 0.5, mean[i] + 8 * variance[i] ** 0.5)
        whole, first = (integrate.quad(height, *near, args=(k,), epsabs=1e-9)[0] for k in (0, 1))
        assert whole == pytest.approx(1.0, abs=2e-3)
        assert first / whole == pytest.approx(mean[i], abs=2e-3 * variance[i] ** 0.5)


def restricted(spreads: Floats, rate: Floats, group: np.ndarray) -> float:
    """Less the log of the restricted likelihood of rates known for sure, covariance written out."""
    lives, groups = np.exp(spreads)
    cover = lives**2 * np.eye(len(rate)) + groups**2 * (group[:, None] == group[None])
    inverse, ones = np.linalg.inv(cover), np.ones(len(rate))
    mean = ones @ inverse @ rate / (ones @ inverse @ ones)
    off = rate - mean
    return float(0.5 * (np.linalg.slogdet(cover)[1] + np.log(ones @ inverse @ ones) + off @ inverse @ off))


@pytest.mark.second_way
def test_spreads_against_an_optimiser() -> None:
    """Records so good that each rate is plain: the spreads are those of scipy's restricted maximum likelihood.

    The pool's are means over all that is likely, with a wide start: a tenth apart at most for 240 lives.
    """
    fleet = made(5, 240, most=4, visit_in=0.00001, gauge_in=0.00001, wander=0.001, share=0.0005)
    rows = np.flatnonzero(fleet.paths.there.sum(axis=1) >= 2)
    pool = pooled(fleet.paths, fleet.group, GROUPS, Scatter(2.5e-7, 0.001))
    best = optimize.minimize(
        restricted, np.log([0.3, 0.3]), args=(fleet.log_rate[rows], fleet.group[rows]), method="Nelder-Mead"
    )

    assert pool.lives_share == pytest.approx(np.exp(best.x[0]), rel=0.03)
    assert pool.groups_share == pytest.approx(np.exp(best.x[1]), rel=0.35)  # four groups say little of it
    means = np.array([fleet.log_rate[rows][fleet.group[rows] == g].mean() for g in range(GROUPS)])
    assert pool.group_mean == pytest.approx(means, abs=0.03)


@pytest.mark.second_way
def test_a_life_taken_out_is_as_if_never_seen() -> None:
    """What the others say of a life, by taking its part out, against pooling without it."""
    fleet = made(7, 24)
    pool = pooled(fleet.paths, fleet.group, GROUPS, SCATTER)
    out = before_own(pool, fleet.group, grid(fleet.paths, SCATTER))
    for i in np.flatnonzero(fleet.paths.there.sum(axis=1) >= 3)[:6]:
        rest = np.flatnonzero(np.arange(24) != i)
        without = pooled(fleet.paths.of(rest), fleet.group[rest], GROUPS, SCATTER)
        fresh = before_records(without, fleet.group[[i]])
        assert out.mean[i] == pytest.approx(fresh.mean[0], abs=0.25 * fresh.variance[0] ** 0.5)
        assert out.variance[i] == pytest.approx(fresh.variance[0], rel=0.45)


@pytest.mark.reasoned
def test_nothing_known_is_wide() -> None:
    """Without a life of two records the pool says next to nothing, and a group without lives leans on the others."""
    fleet = made(1, 6)
    one = replace(fleet.paths, there=fleet.paths.there & (np.arange(6)[None] < 1))
    bare = before_records(pooled(one, fleet.group, GROUPS), np.array([0]))
    pool = pooled(made(2, 60).paths, np.zeros(60, dtype=int), 2)
    known, strange = before_records(pool, np.array([0, 1])).variance

    assert bare.variance[0] > 1.0
    assert strange > known


@pytest.mark.reasoned
def test_own_records_narrow_the_window() -> None:
    """With each record more a life's rate is surer; with one it is its group's."""
    fleet = made(11, 60)
    pool = pooled(fleet.paths, fleet.group, GROUPS, SCATTER)
    before = before_records(pool, fleet.group)
    long = np.flatnonzero(fleet.paths.there.all(axis=1))
    widths = []
    for most in range(1, 7):
        cut = replace(fleet.paths, there=fleet.paths.there & (np.arange(6)[None] < most)).of(long)
        tried = grid(cut, SCATTER)
        weight, _ = weighed(tried.log_rate, tried.logs, Rates(before.mean[long], before.variance[long]))
        widths.append(told(tried.log_rate, weight)[1].mean() ** 0.5)

    assert widths[0] == pytest.approx(before.variance[long].mean() ** 0.5, rel=0.01)
    assert all(b < a for a, b in pairwise(widths))


@pytest.mark.reasoned
def test_true_rates_lie_in_their_windows() -> None:
    """Made-up fleets: nine in ten true rates lie in the 90 % windows, scatters and all told from the records."""
    held = tries = 0
    for seed in range(5):
        fleet = made(300 + seed, 160)
        pool = pooled(fleet.paths, fleet.group, GROUPS)
        tried = grid(fleet.paths, pool.scatter)
        weight, _ = weighed(tried.log_rate, tried.logs, before_own(pool, fleet.group, tried))
        step = tried.log_rate[:, 1:2] - tried.log_rate[:, :1]
        below = np.sum(
            weight * np.clip((fleet.log_rate[:, None] - tried.log_rate) / step + 0.5, 0, 1), axis=1
        )
        held += int(np.sum((below > 0.05) & (below < 0.95)))
        tries += len(below)

    assert 0.87 <= held / tries <= 0.93


@pytest.mark.reasoned
def test_true_distances_to_a_limit_lie_in_their_windows() -> None:
    """Made-up fleets driven on until 0.03 in more is truly gone: nine in ten get there within the 90 % window told."""
    held = tries = 0
    for seed in range(5):
        fleet = made(800 + seed, 160)
        last = fleet.paths.there.sum(axis=1) - 1
        limit = fleet.true_m[np.arange(160), last] + 0.03 * INCH_M
        pool = pooled(fleet.paths, fleet.group, GROUPS)
        tried = grid(fleet.paths, pool.scatter)
        before = before_own(pool, fleet.group, tried)
        near, far = before.mean - 5 * before.variance**0.5, before.mean + 5 * before.variance**0.5
        log_rate = near[:, None] + (far - near)[:, None] * np.linspace(0, 1, 201)
        state, _ = follow(fleet.paths, log_rate, pool.scatter)
        weight, _ = weighed(log_rate, state.logs, before)
        ends = [
            distance_at_m(state, log_rate, weight, limit, np.zeros(160), pool.scatter, share, FAR_M)
            for share in (0.05, 0.95)
        ]
        true = reached_m(fleet, 0.03 * INCH_M, seed=seed)
        held += int(np.sum((true >= ends[0]) & (true <= ends[1])))
        tries += 160

    assert 0.87 <= held / tries <= 0.93
