"""Many visits in, what is ahead out: each part's rate, how far it goes with its 90 % window, and when to look next.

The pooled model answers where it has shown itself on this shop's own records (`proof.py`); elsewhere the part's own
records do, as on the sheet (C7, C8). Every answer says which of the two it is, and why.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date as Date

import numpy as np

from wheeltapper.fleet.ahead import Ahead, by_own_records, by_pool
from wheeltapper.fleet.groups import Group, goal_m, goal_of, group_of, paths_of
from wheeltapper.fleet.lives import Life, lives
from wheeltapper.fleet.proof import Proof, prove
from wheeltapper.fleet.told import told_of
from wheeltapper.measure.wear_pool import Ints, Pool, pooled
from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables

ANOTHER = "no part of this kind was in the pool"


@dataclass(frozen=True)
class Family:
    """What was found out about one kind of size."""

    what: str
    lives: int
    groups: tuple[Group, ...]  # in the pool's order
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
    for what, mine in _by_kind(found):
        family = _family(what, mine, tables)
        families.append(family)
        out += _ahead(mine, mine, family, tables, on, ask_mi)
    return Outlook(_soonest_first(out), tuple(families), tuple(sorted(set(problems))))


def ahead_of(
    visits: Iterable[Visit], families: Iterable[Family], pooled_on: Date, tables: Tables, on: Date, ask_mi: float | None = None
) -> tuple[Ahead, ...]:  # fmt: skip
    """What is ahead of one unit's parts, by what a shop's records said on an earlier day: quick.

    Args:
        visits: of that unit, in any order.
        families: what was found out about the shop's lives.
        pooled_on: the day it was found out; visits of that day and later were not in it.
        tables: ours, with the shop's laid over them.
        on: the day it is asked.
        ask_mi: how likely is each limit reached before so many miles from the unit's last visit [mi].

    Returns:
        Every life that is still on, soonest first.
    """
    known = [v for v in visits if v.date <= on]
    before = {(b.position, b.what): b for b in lives((v for v in known if v.date < pooled_on), tables)[0]}
    of, out = {f.what: f for f in families}, []
    for what, mine in _by_kind(lives(known, tables)[0]):
        seen = [_the_same(life, before.get((life.position, life.what))) for life in mine]
        out += _ahead(mine, seen, of.get(what), tables, on, ask_mi)
    return _soonest_first(out)


def _by_kind(found: Iterable[Life]) -> list[tuple[str, list[Life]]]:
    rows: dict[str, list[Life]] = {}
    for life in found:
        rows.setdefault(life.what, []).append(life)
    return sorted(rows.items())


def _soonest_first(rows: Iterable[Ahead]) -> tuple[Ahead, ...]:
    return tuple(sorted(rows, key=lambda a: (a.check_date or Date.max, a.unit, a.position, a.what)))


def _the_same(life: Life, before: Life | None) -> Life | None:
    """A life as it was known earlier; None where another part was on then."""
    same = before is not None and before.records[0].date == life.records[0].date
    return before if same else None


def _family(what: str, mine: list[Life], tables: Tables) -> Family:
    paths, names = paths_of(mine), tuple(sorted({group_of(life) for life in mine}))
    group, units = _numbers([group_of(life) for life in mine], names), sorted({life.unit for life in mine})
    unit = _numbers([life.unit for life in mine], units)
    proof = prove(paths, group, len(names), unit, tables.number("rate_least_miles"))
    return Family(what, len(mine), names, proof, pooled(paths, group, len(names)) if proof.used else None)


def _numbers(names: Iterable[object], known: Sequence[object]) -> Ints:
    """The number of each name among those known, -1 where it is not."""
    number = {name: i for i, name in enumerate(known)}
    return np.array([number.get(name, -1) for name in names], dtype=int)


def _ahead(
    mine: list[Life], seen: Sequence[Life | None], family: Family | None, tables: Tables, on: Date, ask_mi: float | None
) -> list[Ahead]:  # fmt: skip
    """Each life by the pool that has shown itself, else by its own records."""
    goals = [goal_of(life, tables) for life in mine]
    if family is None or family.pool is None:
        why = family.proof.why if family else ANOTHER
        return [by_own_records(*pair, tables, on, ask_mi, why) for pair in zip(mine, goals, strict=True)]
    pool, limit = family.pool, np.array([goal_m(*pair) for pair in zip(mine, goals, strict=True)])
    told = told_of(
        mine, seen, pool, _numbers([group_of(life) for life in mine], family.groups), limit, ask_mi
    )
    rows = zip(mine, goals, told, strict=True)
    return [by_pool(life, goal, row, pool.scatter, tables, on, ask_mi) for life, goal, row in rows]
