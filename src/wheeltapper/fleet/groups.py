"""What a life is grouped by, the limit it goes to, and its records as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheeltapper.findings.bench import Bench
from wheeltapper.findings.reading import WINDOWS, read
from wheeltapper.findings.sweep import Sweep
from wheeltapper.fleet.lives import Life
from wheeltapper.measure.margin import COVERAGE
from wheeltapper.measure.wear_path import Paths
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import LimitGrade

ON_TIME = 1.5  # an adjustment so much later than due was let go: assumed
Group = tuple[str, str, str, str]


@dataclass(frozen=True)
class Goal:
    """Where a life ends, in sizes as they are read [m]."""

    limit_m: float
    grade: LimitGrade
    margin_m: float  # an assumed limit clears only this far short of it
    bottom_m: float  # twice the deepest groove or pit: the size that counts is so much over the one read (C1)


def group_of(life: Life) -> Group:
    """Axle rating, drum size, use, and whether brakes are kept adjusted, as the unit's visits say."""
    unit = life.now.unit
    rating = f"{unit.axle_rating_lb:g} lb" if unit.axle_rating_lb else "rating not known"
    return rating, unit.drum or "", unit.use or "no history", habit(life.now)


def habit(visit: Visit) -> str:
    """Are its brakes adjusted when due? From the follow-ups that a visit tells of."""
    told = [f for f in visit.follow_up if f.what == "adjust" and (f.done is not None or not f.was_done)]
    if not told:
        return "adjusting not known"
    kept = sum(f.done is not None and f.done <= ON_TIME * f.due for f in told)
    return "kept adjusted" if 2 * kept > len(told) else "adjusting let go"


def goal_of(life: Life, tables: Tables) -> Goal | None:
    """The limit that governs this life, as the visit with its last reading has it; None where none is known."""
    visit = life.visit
    readings = read(visit, tables)
    empty = Sweep(life.position, {}, {}, frozenset(), None)
    bench = Bench(visit, tables, readings, empty, [])
    what, riveted = life.what, "riveted" if visit.unit.lining == "riveted" else None
    if what == "friction diameter":
        held = bench.limit(what, bench.window, False, "drum_max", visit.unit.drum)
    elif what == "rotor thickness":
        held = bench.limit(what, WINDOWS["rotor"], True)
    else:
        row = "lining_min" if what == "lining thickness" else "pad_min"
        held = bench.limit(what, WINDOWS["lining"], True, row, riveted if row == "lining_min" else None)
    if held is None:
        return None
    depths = [s.size for kind in ("groove depth", "pit depth") for s in bench.taken(kind)]
    bottom = 2 * max(depths, default=0.0) if what == "friction diameter" and not life.as_new else 0.0
    margin = tables.number("assumed_margin") if held.grade == "assumed" else 0.0
    return Goal(held.value, held.grade, margin, bottom)


def paths_of(lives: Sequence[Life]) -> Paths:
    """The records of lives as arrays; sizes in the sense in which they grow."""
    most = max(len(life.records) for life in lives)
    shape = len(lives), most
    gap, share, worn, doubt = np.zeros(shape), np.zeros(shape), np.zeros(shape), np.full(shape, 1e-3)
    there = np.zeros(shape, dtype=bool)
    for i, life in enumerate(lives):
        n = len(life.records)
        at = np.array([r.at_m for r in life.records])
        gap[i, 1:n] = np.diff(at)
        share[i, :n] = life.shares
        worn[i, :n] = [life.sign * r.size_m for r in life.records]
        doubt[i, :n] = [r.doubt_m / COVERAGE for r in life.records]
        there[i, :n] = True
    return Paths(gap, share, worn, doubt, there)


def goal_m(life: Life, goal: Goal | None) -> float:
    """The limit in the sense in which the size grows, margin and groove taken off; not a number where none is known."""
    if goal is None:
        return float("nan")
    return life.sign * goal.limit_m - goal.margin_m - goal.bottom_m
