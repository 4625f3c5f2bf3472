"""Rates of many part lives pooled: each life leans on its group as far as its own records say little.

The logs of the rates of a group are normal about the group's own mean; the means of the groups are normal about one mean
of all. How widely lives and groups differ, how much one visit scatters and how much wear wanders are told from the records
themselves. Single lives are worked exactly on a grid of rates; groups see each life as a normal estimate with its doubt
(expectation propagation), with the mean of all integrated out (restricted likelihood). It knows no parts and no shops.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.measure.wear_path import Paths, Scatter, follow

Ints = np.ndarray
COARSE, FINE = 61, 61  # rates tried: over the whole range, then where the records leave room
TICKS = 9  # of each spread on its grid
LOWEST, HIGHEST = log(1e-13), log(1e-7)  # 0.000006 in to 6 in of wear in a thousand miles
ROUNDS, AGAIN = 8, 2  # of lives and groups telling each other: from nothing, and where the last pair left off
ENOUGH = 400  # lives that settle the two scatters: more say the same
# Before any record is seen (assumed, wide): a visit scatters by a thousandth of an inch or three times more or less, wear
# wanders by a tenth of itself in 10,000 miles or three times more or less, lives of a group differ by a factor 1.4.
VISIT_M, WANDER, LIVES, GROUPS = 2.5e-5, 0.1, 0.35, 0.35
WIDE = 1.1  # standard deviation of the logs of the first two
WIDE_LIVES = 0.6  # of the logs of the last two


@dataclass(frozen=True)
class Rates:
    """What is known of each life's rate before its own records are counted: mean and variance of its log."""

    mean: Floats
    variance: Floats


@dataclass(frozen=True)
class Pool:
    """All that the records of a shop's lives say of such lives."""

    scatter: Scatter
    lives_share: float  # standard deviation of the logs of rates within a group
    groups_share: float  # of the means of groups about the mean of all
    mean: float  # of all, natural log
    mean_variance: float
    group_mean: Floats
    group_variance: Floats
    lives: int


@dataclass(frozen=True)
class Grid:
    """Rates tried for each life, evenly spaced in their logs, and how well each explains its records."""

    log_rate: Floats
    logs: Floats


def grid(paths: Paths, scatter: Scatter, low: float = LOWEST, high: float = HIGHEST) -> Grid:
    """Rates worth trying for each life: first everywhere, then where its records leave room.

    Args:
        paths: records of the lives.
        scatter: of the visits and along the way.
        low: natural log of the lowest rate.
        high: natural log of the highest rate.

    Returns:
        The rates and the logs of their likelihoods.
    """
    ticks = np.linspace(low, high, COARSE)
    everywhere = np.broadcast_to(ticks, (len(paths.gap_m), COARSE))
    logs = follow(paths, everywhere, scatter)[0].logs
    room = logs > logs.max(axis=1, keepdims=True) - 14
    first, last = room.argmax(axis=1), COARSE - 1 - room[:, ::-1].argmax(axis=1)
    start = ticks[np.maximum(first - 1, 0)]
    end = ticks[np.minimum(last + 1, COARSE - 1)]
    fine = start[:, None] + (end - start)[:, None] * np.linspace(0, 1, FINE)
    return Grid(fine, follow(paths, fine, scatter)[0].logs)


def weighed(log_rate: Floats, logs: Floats, before: Rates) -> tuple[Floats, Floats]:
    """Probability of each rate from what was known before and the records, and how well the records were foretold.

    Args:
        log_rate: natural logs of the rates, evenly spaced along each row.
        logs: natural logs of their likelihoods.
        before: what was known of each life's rate before.

    Returns:
        Probabilities, each row adds up to 1, and the log of the likelihood of each life's records.
    """
    off2 = (log_rate - before.mean[:, None]) ** 2 / before.variance[:, None]
    both = logs - 0.5 * off2
    top = both.max(axis=1, keepdims=True)
    weight = np.exp(both - top)
    whole = weight.sum(axis=1)
    step = log_rate[:, 1] - log_rate[:, 0]
    said = np.log(whole * step) + top[:, 0] - 0.5 * np.log(2 * np.pi * before.variance)
    return weight / whole[:, None], said


def scatter_of(paths: Paths, group: Ints, groups: int) -> Scatter:
    """How much a visit scatters and wear wanders, told from some hundred lives.

    Args:
        paths: records of the lives; those of one record say nothing here.
        group: number of each life's group, from 0.
        groups: how many groups there are.

    Returns:
        Both scatters: the means of their logs over all that is likely.
    """
    rows = _told(paths)
    few = rows[np.linspace(0, len(rows) - 1, ENOUGH).astype(int)] if len(rows) > ENOUGH else rows
    return _scatter(paths.of(few), group[few], groups)


def _told(paths: Paths) -> Ints:
    """The lives that tell a rate: those of two records or more."""
    return np.flatnonzero(paths.there.sum(axis=1) >= 2)


def pooled(paths: Paths, group: Ints, groups: int, scatter: Scatter | None = None) -> Pool:
    """Pool the lives.

    Args:
        paths: records of the lives; those of one record say nothing here.
        group: number of each life's group, from 0.
        groups: how many groups there are; some may be without lives.
        scatter: where it is known already; told from the lives where not.

    Returns:
        Scatters, spreads and means. Without a life of two records: what was assumed before any.

    References:
        Gelman et al., Bayesian Data Analysis, ch. 5 (partial pooling) and 13.8 (expectation propagation); from memory.
    """
    rows = _told(paths)
    if not len(rows):
        nothing = Grid(np.zeros((0, FINE)), np.zeros((0, FINE)))
        return _assumed(nothing, groups, scatter or Scatter(VISIT_M, WANDER))
    known = scatter or scatter_of(paths, group, groups)
    return _spreads(grid(paths.of(rows), known), group[rows], groups, known, None)[0]


def _scatter(paths: Paths, group: Ints, groups: int) -> Scatter:
    """The two scatters: means of their logs over a grid, which is then drawn closer."""
    middle, reach = np.array([log(VISIT_M), log(WANDER)]), 2.2 * np.array([WIDE, WIDE])
    pool: Pool | None = None
    for _ in range(2):
        ticks = [np.linspace(m - r, m + r, 5) for m, r in zip(middle, reach, strict=True)]
        at = np.array([(a, b) for a in ticks[0] for b in ticks[1]])
        widest = grid(paths, _of_logs(at[-1])).log_rate  # holds the rates of every other pair too
        said = []
        for pair in at:
            scatter = _of_logs(pair)
            tried = Grid(widest, follow(paths, widest, scatter)[0].logs)
            pool, fit = _spreads(tried, group, groups, scatter, pool)
            said.append(fit - 0.5 * np.sum((pair - (log(VISIT_M), log(WANDER))) ** 2) / WIDE**2)
        weight = np.exp(np.array(said) - max(said))
        weight /= weight.sum()
        middle = weight @ at
        reach = np.clip(2.2 * np.sqrt(weight @ (at - middle) ** 2), reach / 5, reach)
    return _of_logs(middle)


def _of_logs(pair: Floats) -> Scatter:
    return Scatter(float(np.exp(pair[0])), float(np.exp(pair[1])))


def _spreads(
    tried: Grid, group: Ints, groups: int, scatter: Scatter, start: Pool | None
) -> tuple[Pool, float]:
    """Lives and groups tell each other until they agree; the pool, and how well it foretells the records."""
    pool = start or _assumed(tried, groups, scatter)
    fit = 0.0
    for _ in range(ROUNDS if start is None else AGAIN):
        within = pool.lives_share**2
        before = Rates(pool.group_mean[group], np.full(len(group), within))
        weight, said = weighed(tried.log_rate, tried.logs, before)
        mean = np.sum(weight * tried.log_rate, axis=1)
        variance = np.sum(weight * (tried.log_rate - mean[:, None]) ** 2, axis=1)
        own = np.maximum(1 / np.maximum(variance, 1e-8) - 1 / within, 1e-4)  # what its records add
        own_mean = (mean / np.maximum(variance, 1e-8) - before.mean / within) / own
        pool = _groups(own, np.clip(own_mean, LOWEST - 20, HIGHEST + 20), group, groups, scatter)
        fit = float(said.sum()) - 0.5 * (log(pool.lives_share / LIVES) / WIDE_LIVES) ** 2
    return pool, fit


def _assumed(tried: Grid, groups: int, scatter: Scatter) -> Pool:
    """Where to start: all lives about the rate that suits most of them."""
    best = np.take_along_axis(tried.log_rate, tried.logs.argmax(axis=1)[:, None], axis=1)
    mean = float(np.median(best)) if len(best) else (LOWEST + HIGHEST) / 2
    wide = 4.0 if len(best) == 0 else GROUPS**2
    return Pool(scatter, LIVES, GROUPS, mean, wide, np.full(groups, mean), np.full(groups, wide), len(best))


def _groups(own: Floats, mean: Floats, group: Ints, groups: int, scatter: Scatter) -> Pool:
    """Spreads within and between groups and the means of groups, from each life's own mean and precision.

    Both spreads run over a grid, drawn closer once; what follows is averaged over it with its restricted likelihood.
    """
    low, high = np.array([log(0.04), log(0.02)]), np.array([log(1.6), log(1.2)])
    for _ in range(2):
        within, between = (np.linspace(a, b, TICKS) for a, b in zip(low, high, strict=True))
        said, means, variances = _over(own, mean, group, groups, np.exp(within), np.exp(between))
        said = said - 0.5 * (((within - log(LIVES)) / WIDE_LIVES) ** 2)[:, None]
        said = said - 0.5 * (((between - log(GROUPS)) / WIDE_LIVES) ** 2)[None, :]
        weight = np.exp(said - said.max())
        weight /= weight.sum()
        seen = weight > 1e-4
        sides = np.flatnonzero(seen.any(axis=1)), np.flatnonzero(seen.any(axis=0))
        low, high = _closer((within, between), sides)
    middle = np.einsum("tb,tbg->g", weight, means)
    spread = np.einsum("tb,tbg->g", weight, variances + (means - middle) ** 2)
    lives = float(np.sqrt(weight.sum(axis=1) @ np.exp(2 * within)))
    apart = float(np.sqrt(weight.sum(axis=0) @ np.exp(2 * between)))
    return Pool(
        scatter, lives, apart, float(middle[-1]), float(spread[-1]), middle[:-1], spread[:-1], len(own)
    )


def _closer(ticks: tuple[Floats, Floats], sides: tuple[Ints, Ints]) -> tuple[Floats, Floats]:
    """The part of each range that counts, one step wider."""
    pairs = [(t[max(s[0] - 1, 0)], t[min(s[-1] + 1, len(t) - 1)]) for t, s in zip(ticks, sides, strict=True)]
    return np.array([a for a, _ in pairs]), np.array([b for _, b in pairs])


def _over(
    own: Floats, mean: Floats, group: Ints, groups: int, within: Floats, between: Floats
) -> tuple[Floats, Floats, Floats]:
    """Every spread within against every one between: log of the likelihood, mean and variance of each group, all last."""
    loose = 1 + own * within[:, None] ** 2
    weight = own / loose
    cell = group + groups * np.arange(len(within))[:, None]

    def summed(value: Floats) -> Floats:
        flat: Floats = np.bincount(cell.ravel(), value.ravel(), groups * len(within)).astype(np.float64)
        return flat.reshape(len(within), groups)

    whole = summed(weight)
    known = whole > 0
    centre = summed(weight * mean) / np.where(known, whole, 1.0)
    about = (mean - np.take_along_axis(centre, np.broadcast_to(group, weight.shape), axis=1)) ** 2
    lives = -0.5 * np.log(loose).sum(axis=1) - 0.5 * np.sum(weight * about, axis=1)
    said, means, variances = _apart(known, np.where(known, whole, 1.0), centre, between)
    return lives[:, None] + said, means, variances


def _apart(known: Ints, whole: Floats, centre: Floats, between: Floats) -> tuple[Floats, Floats, Floats]:
    """Groups about the mean of all, which is integrated out; a group without lives has that mean."""
    known, whole, centre = known[:, None, :], whole[:, None, :], centre[:, None, :]
    apart = between[None, :, None] ** 2
    precise = np.where(known, 1 / (apart + 1 / whole), 0.0)
    total = np.maximum(precise.sum(axis=2, keepdims=True), 1e-6)
    middle = (precise * centre).sum(axis=2, keepdims=True) / total
    said = np.sum(np.where(known, np.log(np.where(known, precise, 1.0) / whole), 0.0), axis=2)
    said = 0.5 * (said - np.sum(precise * (centre - middle) ** 2, axis=2) - np.log(total[:, :, 0]))
    lean = precise * apart  # how far a group's own lives count: not at all where there are none
    means = np.concatenate([lean * centre + (1 - lean) * middle, middle], axis=2)
    bare = np.concatenate([apart * (1 - lean) + (1 - lean) ** 2 / total, apart + 1 / total], axis=2)
    return said, means, bare


def before_records(pool: Pool, group: Ints) -> Rates:
    """What the pool says of the rate of a life that it has not seen.

    Args:
        pool: the shop's lives.
        group: number of each life's group, -1 for one without.

    Returns:
        Mean and variance of the log of each rate.
    """
    mean, variance = np.append(pool.group_mean, pool.mean), np.append(pool.group_variance, pool.mean_variance)
    return Rates(mean[group], variance[group] + pool.lives_share**2)


def before_own(pool: Pool, group: Ints, tried: Grid) -> Rates:
    """The same for lives that are in the pool, with what they told it taken out again.

    Args:
        pool: the shop's lives.
        group: number of each life's group.
        tried: rates tried for each life.

    Returns:
        Mean and variance of the log of each rate, as the other lives have it.
    """
    within = pool.lives_share**2
    mean, variance = pool.group_mean[group], pool.group_variance[group]
    weight, _ = weighed(tried.log_rate, tried.logs, Rates(mean, np.full(len(group), within)))
    after = np.sum(weight * tried.log_rate, axis=1)
    spread = np.sum(weight * (tried.log_rate - after[:, None]) ** 2, axis=1)
    own = np.maximum(1 / np.maximum(spread, 1e-8) - 1 / within, 0.0)
    own_mean = np.where(
        own > 0, (after / np.maximum(spread, 1e-8) - mean / within) / np.where(own > 0, own, 1.0), mean
    )
    told = own / (1 + own * within)
    least = 1 / (pool.mean_variance + variance)
    left = np.maximum(1 / variance - told, least)
    taken = 1 / variance - left
    return Rates((mean / variance - taken * own_mean) / left, 1 / left + within)
