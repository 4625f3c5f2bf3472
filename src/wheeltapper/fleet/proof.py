"""Has the pooled model shown itself on this shop's own records? Only then is it used.

Each life's next reading is foretold from the readings before it, by a pool that has seen no life of that unit. The 90 %
window must have held about nine in ten of them. The rule (docs/prediction.md, decision 17):

1. at least LEAST readings foretold, on at least LEAST_UNITS units, each a thousand miles or more after the one before;
2. of the share held, the 95 % limits (Clopper and Pearson) reach up to 88 % and down to no less than 80 %;
3. not clearly more than 6.5 % came out more worn than the window, on the dangerous side (5 % promised; at 99 %);
4. not clearly outside 46 to 54 % came out more worn than the middle (at 99 %).

Readings of one unit may come out alike: the count is made smaller by as much (design effect).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.counted import alike_factor, limits_share
from wheeltapper.measure.number import Floats
from wheeltapper.measure.student import normal_share
from wheeltapper.measure.wear_path import Paths, follow
from wheeltapper.measure.wear_pool import Ints, before_records, pooled, scatter_of, weighed

LEAST, LEAST_UNITS = 60, 10
HELD, LOWEST_HELD = 0.90, 0.80
SLACK, SLACK_WORSE, SLACK_MIDDLE = 0.02, 0.015, 0.04  # a large fleet would show faults too small to matter
MANY = (
    150  # lives of which a fifth more or less hardly changes the two scatters: told once, not for each fold
)
FOLDS = 5
NODES, NODE_REACH = 101, 5.0  # rates tried for each life, and how far to each side of the group's mean


@dataclass(frozen=True)
class Proof:
    """How the model did on records that it had not seen."""

    predictions: int
    units: int
    held: int | None  # None: nothing was foretold
    more_worn: int | None  # past the window on the dangerous side
    above_middle: int | None
    alike: float  # design effect
    low: float  # 95 % limits of the share held
    high: float
    used: bool
    why: str

    @property
    def held_share(self) -> float | None:
        """Share of the readings that fell into their 90 % windows."""
        return None if self.held is None else self.held / self.predictions


def prove(paths: Paths, group: Ints, groups: int, unit: Ints, least_m: float) -> Proof:
    """Foretell what is known already, and judge by it; where there is too little of it, nothing is foretold."""
    counts = paths.there[:, 1:] & (paths.gap_m[:, 1:] >= least_m * (1 - 1e-9))
    n, units = int(counts.sum()), len(np.unique(unit[counts.any(axis=1)]))
    if n < LEAST or units < LEAST_UNITS:
        why = f"only {n} readings on {units} units could be foretold; it takes {LEAST} on {LEAST_UNITS}"
        return Proof(n, units, None, None, None, 1.0, 0.0, 1.0, False, why)
    told, owner = foretold(paths, group, groups, unit, least_m)
    return judged(told, owner)


def foretold(paths: Paths, group: Ints, groups: int, unit: Ints, least_m: float) -> tuple[Floats, Ints]:
    """Where each known reading fell in its prediction, 0 to 1, and its unit. Units in folds, each foretold by the others."""
    fold = unit % FOLDS
    scatter = scatter_of(paths, group, groups) if np.sum(paths.there.sum(axis=1) >= 2) >= MANY else None
    shares, owners = [], []
    for number in range(FOLDS):
        out = np.flatnonzero((fold == number) & (paths.there.sum(axis=1) >= 2))
        rest = np.flatnonzero(fold != number)
        if not len(out) or not len(rest):
            continue
        pool = pooled(paths.of(rest), group[rest], groups, scatter)
        before = before_records(pool, group[out])
        reach = NODE_REACH * np.sqrt(before.variance)
        log_rate = before.mean[:, None] + reach[:, None] * np.linspace(-1, 1, NODES)
        for k, step in enumerate(follow(paths.of(out), log_rate, pool.scatter)[1], 1):
            weight, _ = weighed(log_rate, step.logs, before)
            share = np.sum(weight * normal_share(step.off), axis=1)
            counts = step.there & (paths.gap_m[out, k] >= least_m * (1 - 1e-9))
            shares.append(share[counts])
            owners.append(unit[out][counts])
    return np.concatenate(shares), np.concatenate(owners)


def judged(told: Floats, owner: Ints) -> Proof:
    """The rule above, from where each reading fell."""
    n, units = len(told), len(np.unique(owner))
    inside = (told >= (1 - HELD) / 2) & (told <= (1 + HELD) / 2)
    held, worse, above = int(inside.sum()), int(np.sum(told > (1 + HELD) / 2)), int(np.sum(told > 0.5))
    alike = alike_factor(_by_unit(inside, owner))
    low, high = _limits(held, n, alike, 0.95)
    why = _why_not((low, high), _limits(worse, n, alike, 0.99), _limits(above, n, alike, 0.99))
    return Proof(n, units, held, worse, above, alike, low, high, not why, why or "it held what it promised")


def _by_unit(inside: Ints, owner: Ints) -> list[tuple[int, int]]:
    hits, tries = np.bincount(owner, inside), np.bincount(owner)
    return [(int(h), int(n)) for h, n in zip(hits, tries, strict=True) if n]


def _limits(hits: int, tries: int, alike: float, confidence: float) -> tuple[float, float]:
    """Limits of a share, as of so many independent tries as the count is worth."""
    worth = max(1, int(tries / alike))
    return limits_share(min(worth, round(hits * worth / tries)), worth, confidence)


def _why_not(held: tuple[float, float], worse: tuple[float, float], above: tuple[float, float]) -> str:
    """Why the model is not used, or ''."""
    if held[1] < HELD - SLACK:
        return "its 90 % windows held clearly fewer readings than that"
    if worse[0] > (1 - HELD) / 2 + SLACK_WORSE:
        return "clearly more readings came out more worn than its windows than one in twenty"
    if above[0] > 0.5 + SLACK_MIDDLE or above[1] < 0.5 - SLACK_MIDDLE:
        return "readings came out to one side of its middle"
    if held[0] < LOWEST_HELD:
        return "too few readings yet to show that its 90 % windows hold at least 80 %"
    return ""
