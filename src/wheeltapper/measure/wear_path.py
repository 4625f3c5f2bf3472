"""Records of many part lives along their wear lines, all at once: how well a rate explains them, and what comes next.

A life starts at an unknown size and wears at its own rate. The doubt of each distance, and wear that is not the same on
every road, make the true size wander off the line as it goes; each reading has its gauge's doubt and a scatter on top. For
a stated rate the best estimate of the true size is exact (a Kalman filter with nothing known of the first size), and every
rate is tried on a grid. Sizes grow as the part wears: the caller turns the sign of those that shrink. It knows no parts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.measure.student import normal_share
from wheeltapper.units import MILE_M

REACH_M = 10_000 * MILE_M  # the wander is stated for this distance


@dataclass(frozen=True)
class Paths:
    """Records of many lives: one row a life, one column a record in order; short rows are filled up with no record."""

    gap_m: Floats  # distance from the record before; 0 for the first
    gap_share: Floats  # standard doubt of that distance, as a share of it
    worn_m: Floats  # size, growing as the part wears
    doubt_m: Floats  # standard uncertainty of the reading
    there: np.ndarray  # is there such a record?

    def of(self, rows: np.ndarray) -> Paths:
        """Some of the lives."""
        return Paths(
            self.gap_m[rows],
            self.gap_share[rows],
            self.worn_m[rows],
            self.doubt_m[rows],
            self.there[rows],
        )


@dataclass(frozen=True)
class Scatter:
    """What makes records leave their line beyond gauge and distance."""

    visit_m: float  # standard deviation of one visit's reading about the true size
    wander_share: float  # standard deviation of the wear of REACH_M, as a share of it


@dataclass(frozen=True)
class Followed:
    """The true size after the last record for each rate tried, and how well the rate explains the records."""

    logs: Floats  # natural log of the likelihood
    size_m: Floats
    spread_m2: Floats  # variance of the true size


@dataclass(frozen=True)
class Step:
    """One record as foretold from those before it, for each rate tried."""

    logs: Floats  # of the records before
    off: Floats  # how far over what was foretold it came, in standard deviations
    there: np.ndarray


def follow(paths: Paths, log_rate: Floats, scatter: Scatter) -> tuple[Followed, tuple[Step, ...]]:
    """Follow every life along the line of each rate.

    Args:
        paths: records of the lives.
        log_rate: natural logs of the rates tried, one row a life.
        scatter: of the visits and along the way.

    Returns:
        Where each life stands at its last record, and each record from the second on as it was foretold.

    References:
        Durbin & Koopman, Time Series Analysis by State Space Methods, ch. 2 and 5 (local level, diffuse start); from memory.
    """
    rate = np.exp(log_rate)
    size = np.broadcast_to(paths.worn_m[:, :1], rate.shape)
    spread = np.broadcast_to(scatter.visit_m**2 + paths.doubt_m[:, :1] ** 2, rate.shape)
    state, steps = Followed(np.zeros(rate.shape), size, spread), []
    for k in range(1, paths.gap_m.shape[1]):
        before = moved(state, rate, paths.gap_m[:, k, None], paths.gap_share[:, k, None], scatter)
        there = paths.there[:, k]
        noise = before.spread_m2 + scatter.visit_m**2 + paths.doubt_m[:, k, None] ** 2
        miss = paths.worn_m[:, k, None] - before.size_m
        gain = there[:, None] * before.spread_m2 / noise
        said = -0.5 * there[:, None] * (np.log(2 * pi * noise) + miss**2 / noise)
        steps.append(Step(state.logs, miss / np.sqrt(noise), there))
        state = Followed(state.logs + said, before.size_m + gain * miss, before.spread_m2 * (1 - gain))
    return state, tuple(steps)


def moved(state: Followed, rate: Floats, gap_m: Floats, gap_share: Floats, scatter: Scatter) -> Followed:
    """The true size a distance further on, before anything is read there.

    Args:
        state: where the lives stand.
        rate: wear for each metre driven.
        gap_m: distance driven on [m].
        gap_share: standard doubt of that distance, as a share of it.
        scatter: of the visits and along the way.

    Returns:
        Where they stand then.
    """
    loose = (gap_share * gap_m) ** 2 + scatter.wander_share**2 * REACH_M * gap_m
    return replace(state, size_m=state.size_m + rate * gap_m, spread_m2=state.spread_m2 + rate**2 * loose)


def reached_share(
    state: Followed, log_rate: Floats, weight: Floats, limit_m: Floats, ahead_m: Floats, ahead_share: Floats, scatter: Scatter
) -> Floats:  # fmt: skip
    """Probability that the true size is at its limit or past it, some distance on.

    Args:
        state: where the lives stand, for each rate.
        log_rate: natural logs of the rates.
        weight: probability of each rate, a row adds up to 1.
        limit_m: limit of each life, in the sense in which its size grows [m].
        ahead_m: distance on, one for each life [m].
        ahead_share: standard doubt of that distance as it will be counted, as a share of it.
        scatter: of the visits and along the way.

    Returns:
        Probability for each life.
    """
    then = moved(state, np.exp(log_rate), ahead_m[:, None], ahead_share[:, None], scatter)
    off = (then.size_m - limit_m[:, None]) / np.sqrt(then.spread_m2)
    out: Floats = np.sum(weight * normal_share(off), axis=1)
    return out


def distance_at_m(
    state: Followed, log_rate: Floats, weight: Floats, limit_m: Floats, ahead_share: Floats, scatter: Scatter,
    wanted_share: float, most_m: float,
) -> Floats:  # fmt: skip
    """The distance on at which the probability of having reached the limit has grown to a wanted one.

    Args:
        state: where the lives stand, for each rate.
        log_rate: natural logs of the rates.
        weight: probability of each rate, a row adds up to 1.
        limit_m: limit of each life, in the sense in which its size grows [m].
        ahead_share: standard doubt of distances as they will be counted, as a share.
        scatter: of the visits and along the way.
        wanted_share: probability, 0.05 for the near end of a 90 % window.
        most_m: farther than this nothing is told [m].

    Returns:
        Distance, 0 where it has been reached, most_m where it is not reached within it [m].
    """
    low, high = np.zeros(len(limit_m)), np.full(len(limit_m), most_m)
    for _ in range(26):  # to a foot or so of a million miles, by halves of the square root
        middle = ((np.sqrt(low) + np.sqrt(high)) / 2) ** 2
        over = reached_share(state, log_rate, weight, limit_m, middle, ahead_share, scatter) >= wanted_share
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    found: Floats = np.where(high < most_m * 1e-9, 0.0, high)
    return found
