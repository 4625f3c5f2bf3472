"""Many visits in, what is ahead out: each part's rate, how far it goes with its 90 % window, and when to look next.

The pooled model answers where it has shown itself on this shop's own records (`proof.py`); elsewhere the part's own
records do, as on the sheet (C7, C8). Every answer says which of the two it is, and why.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date as Date

import numpy as np

from wheeltapper.fleet.ahead import Ahead, Told, by_own_records, by_pool
from wheeltapper.fleet.groups import goal_m, goal_of, group_of, paths_of
from wheeltapper.fleet.lives import Life, lives
from wheeltapper.fleet.proof import Proof, numbered, prove
from wheeltapper.measure.number import Floats
from wheeltapper.measure.wear_path import Followed, Scatter, distance_at_m, follow, moved, reached_share
from wheeltapper.measure.wear_pool import Ints, Pool, before_own, before_records, grid, pooled, weighed
from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import MILE_M

NEAR, MIDDLE, FAR = 0.05, 0.50, 0.95  # the window of 90 %
MOST_MI = 300_000  # farther ahead nothing is told
NODE_REACH, NODES = 5.0, 101


@dataclass(frozen=True)
class Family:
    """What was found out about one kind of size."""

    what: str
    lives: int
    groups: int
    proof: Proof
    pool: Pool | None  # None where the model is not used


@dataclass(frozen=True)
class Outlook:
    """Every life that is still on, soonest first, and what stands behind it."""

    ahead: tuple[Ahead, ...]
    families: tuple[Family, ...]
    problems: tuple[Problem, ...]


def look_ahead(visits: Iterable[Visit], tables: Tables, on: Date, ask_mi: float | None = None) -> Outlook:
    """What is ahead of every part life of a shop.

    Args:
        visits: all of them, in any order.
        tables: ours, with the shop's laid over them.
        on: the day it is asked; what fell due before it is late.
        ask_mi: how likely is each limit reached before so many miles from the unit's last visit [mi].

    Returns:
        The outlook.
    """
    found, problems = lives((v for v in visits if v.date <= on), tables)
    families, out = [], []
    for what in sorted({life.what for life in found}):
        mine = [life for life in found if life.what == what]
        family, ahead = _family(what, mine, tables, on, ask_mi)
        families.append(family)
        out += ahead
    out.sort(key=lambda a: (a.check_date or Date.max, a.unit, a.position, a.what))
    return Outlook(tuple(out), tuple(families), tuple(sorted(set(problems))))


def _family(
    what: str, mine: list[Life], tables: Tables, on: Date, ask_mi: float | None
) -> tuple[Family, list[Ahead]]:
    paths = paths_of(mine)
    group, names = numbered([group_of(life) for life in mine])
    unit, _ = numbered([life.unit for life in mine])
    proof = prove(paths, group, len(names), unit, tables.number("rate_least_miles"))
    goals = [goal_of(life, tables) for life in mine]
    if not proof.used:
        alone = [
            by_own_records(*pair, tables, on, ask_mi, proof.why) for pair in zip(mine, goals, strict=True)
        ]
        return Family(what, len(mine), len(names), proof, None), alone
    pool = pooled(paths, group, len(names))
    limit = np.array([goal_m(*pair) for pair in zip(mine, goals, strict=True)])
    told = _told(mine, pool, group, limit, ask_mi)
    rows = [
        by_pool(life, goal, row, pool.scatter, tables, on, ask_mi)
        for life, goal, row in zip(mine, goals, told, strict=True)
    ]
    return Family(what, len(mine), len(names), proof, pool), rows


def _told(mine: Sequence[Life], pool: Pool, group: Ints, limit: Floats, ask_mi: float | None) -> list[Told]:
    """What the pool says of each life, from its unit's last visit on."""
    state, log_rate, weight = _now(mine, pool, group)
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


def _now(mine: Sequence[Life], pool: Pool, group: Ints) -> tuple[Followed, Floats, Floats]:
    """Where each life stands at its unit's last visit, for each rate, and how likely each rate is."""
    paths = paths_of(mine)
    before = before_records(pool, group)
    own = before_own(pool, group, grid(paths, pool.scatter))
    alone = paths.there.sum(axis=1) < 2
    mean, variance = np.where(alone, before.mean, own.mean), np.where(alone, before.variance, own.variance)
    rates = type(before)(mean, variance)
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
