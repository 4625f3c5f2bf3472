"""What a pool says of single lives: how fast, how far, and how likely each limit is before so many miles."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wheeltapper.fleet.ahead import Told
from wheeltapper.fleet.groups import paths_of
from wheeltapper.fleet.lives import Life
from wheeltapper.measure.number import Floats
from wheeltapper.measure.wear_path import Followed, Scatter, distance_at_m, follow, moved, reached_share
from wheeltapper.measure.wear_pool import Ints, Pool, Rates, before_own, before_records, grid, weighed
from wheeltapper.units import MILE_M

NEAR, MIDDLE, FAR = 0.05, 0.50, 0.95  # the window of 90 %
MOST_MI = 300_000  # farther ahead nothing is told
NODE_REACH, NODES = 5.0, 101


def told_of(
    mine: Sequence[Life], seen: Sequence[Life | None], pool: Pool, group: Ints, limit: Floats, ask_mi: float | None
) -> list[Told]:  # fmt: skip
    """What the pool says of each life, from its unit's last visit on.

    Args:
        mine: the lives.
        seen: each as the pool was told of it, None where it was not.
        pool: the shop's lives.
        group: number of each life's group in the pool, -1 where it has none there.
        limit: of each, in the sense in which its size grows [m].
        ask_mi: how likely is each limit reached before so many miles from the unit's last visit [mi].

    Returns:
        One for each life.
    """
    state, log_rate, weight = _now(mine, pool, _before(seen, pool, group))
    counted = np.array([life.way.shares[-1] for life in mine])
    ends = [
        distance_at_m(state, log_rate, weight, limit, counted, pool.scatter, share, MOST_MI * MILE_M) / MILE_M
        for share in (NEAR, MIDDLE, FAR)
    ]
    chance = _chance(state, log_rate, weight, limit, counted, pool.scatter, ask_mi)
    rates = _quantiles(log_rate, weight)
    doubt = np.sqrt(
        np.sum(weight * np.exp(2 * log_rate), axis=1) - np.sum(weight * np.exp(log_rate), axis=1) ** 2
    )
    columns = [*rates[:3], doubt, *ends]
    return [
        Told(*(float(c[i]) for c in columns), None if chance is None else float(chance[i]))  # type: ignore[call-arg]
        for i in range(len(mine))
    ]


def _before(seen: Sequence[Life | None], pool: Pool, group: Ints) -> Rates:
    """What the other lives say of each one's rate: what it told the pool itself is taken out again."""
    before = before_records(pool, group)
    known = [(i, s) for i, s in enumerate(seen) if s is not None and len(s.records) > 1 and group[i] >= 0]
    if not known:
        return before
    at = np.array([i for i, _ in known])
    own = before_own(pool, group[at], grid(paths_of([s for _, s in known]), pool.scatter))
    mean, variance = before.mean.copy(), before.variance.copy()
    mean[at], variance[at] = own.mean, own.variance
    return Rates(mean, variance)


def _now(mine: Sequence[Life], pool: Pool, rates: Rates) -> tuple[Followed, Floats, Floats]:
    """Where each life stands at its unit's last visit, for each rate, and how likely each rate is."""
    paths, mean, variance = paths_of(mine), rates.mean, rates.variance
    low, high = mean - NODE_REACH * np.sqrt(variance), mean + NODE_REACH * np.sqrt(variance)
    tried = grid(paths, pool.scatter, float(low.min()), float(high.max()))
    low, high = np.maximum(low, tried.log_rate[:, 0]), np.minimum(high, tried.log_rate[:, -1])
    high = np.maximum(high, low + 1e-3)
    log_rate = low[:, None] + (high - low)[:, None] * np.linspace(0, 1, NODES)
    state, _ = follow(paths, log_rate, pool.scatter)
    weight, _ = weighed(log_rate, state.logs, rates)
    gap = np.array([[-life.records[-1].at_m] for life in mine])
    share = np.array([[life.since_share] for life in mine])
    return moved(state, np.exp(log_rate), gap, share, pool.scatter), log_rate, weight


def _quantiles(log_rate: Floats, weight: Floats) -> tuple[Floats, Floats, Floats]:
    """The rates under which 5, 50 and 95 % lie."""
    below = np.cumsum(weight, axis=1) - 0.5 * weight
    each = [
        np.exp([np.interp(q, b, r) for b, r in zip(below, log_rate, strict=True)])
        for q in (NEAR, MIDDLE, FAR)
    ]
    return each[0], each[1], each[2]


def _chance(
    state: Followed, log_rate: Floats, weight: Floats, limit: Floats, counted: Floats, scatter: Scatter, ask_mi: float | None
) -> Floats | None:  # fmt: skip
    if ask_mi is None:
        return None
    ahead = np.full(len(limit), ask_mi * MILE_M)
    return reached_share(state, log_rate, weight, limit, ahead, counted, scatter)
