"""Times the pooled wear model on 5,000 lives of 1,250 units, and counts how well it foretells made-up fleets.

Run: PYTHONPATH=tests python benchmarks/ahead.py. Never part of the tests: times depend on the machine, and every fleet here is
made up by the model's own idea of one, or by a stated departure from it.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from made_fleet import GROUPS, made, yard
from wheeltapper.fleet.lives import lives
from wheeltapper.fleet.proof import foretold, judged, prove
from wheeltapper.measure.wear_path import distance_at_m, follow
from wheeltapper.measure.wear_pool import Rates, before_own, grid, pooled, weighed
from wheeltapper.reference.house import load
from wheeltapper.units import INCH_M, MILE_M

FLEETS: dict[str, dict[str, float]] = {
    "as the model thinks": {},
    "one reading in 20 far off": {"slip": 0.05},
    "one reading in 10 far off": {"slip": 0.1},
    "a visit scatters 0.004 in": {"visit_in": 0.004},
    "miles 30 % in doubt": {"share": 0.3},
    "a tenth faster each 10,000 mi": {"bend": 0.1},
    "three tenths faster": {"bend": 0.3},
    "as fast again": {"bend": 1.0},
}
THOUSAND = 1000 * MILE_M


def speed() -> None:
    """The model alone, and visits to lives."""
    fleet = made(1, 5000)
    start = time.process_time(), time.perf_counter()
    prove(fleet.paths, fleet.group, GROUPS, fleet.unit, THOUSAND)
    pool = pooled(fleet.paths, fleet.group, GROUPS)
    tried = grid(fleet.paths, pool.scatter)
    weight, _ = weighed(tried.log_rate, tried.logs, before_own(pool, fleet.group, tried))
    state, _ = follow(fleet.paths, tried.log_rate, pool.scatter)
    limit, share = np.full(5000, 12.09 * INCH_M), np.full(5000, 0.02)
    for wanted in (0.05, 0.5, 0.95):
        distance_at_m(state, tried.log_rate, weight, limit, share, pool.scatter, wanted, 3e5 * MILE_M)
    print(
        f"5,000 lives, proof and windows: {time.process_time() - start[0]:.1f} s of one core ({time.perf_counter() - start[1]:.1f} s by the clock)"
    )
    visits = yard(1, 200)
    first = time.process_time()
    found, _ = lives(visits, load(None))
    print(f"{len(visits)} visits to {len(found)} lives: {time.process_time() - first:.1f} s of one core")


def coverage() -> None:
    """Share of readings in their 90 % windows, and how often the rule lets the model speak, 20 fleets of 160 lives each."""
    print("fleet                            readings  in 90 %  more worn  over middle  used")
    for name, how in FLEETS.items():
        shares, used = [], 0
        for seed in range(20):
            fleet = made(9000 + seed, 160, **how)  # type: ignore[arg-type]
            told, owner = foretold(fleet.paths, fleet.group, GROUPS, fleet.unit, THOUSAND)
            shares.append(told)
            used += judged(told, owner).used
        share = np.concatenate(shares)
        held = np.mean((share > 0.05) & (share < 0.95))
        print(
            f"{name:32s} {len(share):8d}  {held:7.3f}  {np.mean(share > 0.95):9.3f}  {np.mean(share > 0.5):11.3f}  {used}/20"
        )


def small_shops() -> None:
    """The same for shops of a few units, and how often wear that speeds up passes the rule."""
    for lives_ in (30, 48, 80):
        shares, used = [], 0
        for seed in range(25):
            fleet = made(4000 + seed, lives_)
            shares.append(foretold(fleet.paths, fleet.group, GROUPS, fleet.unit, THOUSAND)[0])
            used += prove(fleet.paths, fleet.group, GROUPS, fleet.unit, THOUSAND).used
        share = np.concatenate(shares)
        passed = sum(
            prove(m.paths, m.group, GROUPS, m.unit, THOUSAND).used
            for bend in (0.3, 1.0)
            for m in (made(5000 + seed, lives_, bend=bend) for seed in range(20))
        )
        held = np.mean((share > 0.05) & (share < 0.95))
        print(
            f"{lives_} lives: {held:.3f} of {len(share)} held, used {used}/25; ever faster, and passed: {passed}/40"
        )


def true_rates() -> None:
    """Do the 90 % windows of the rate hold the true rate, by how many records a life has?"""
    hits: dict[int, list[bool]] = {}
    for seed in range(20):
        fleet = made(7000 + seed, 160)
        pool = pooled(fleet.paths, fleet.group, GROUPS)
        tried = grid(fleet.paths, pool.scatter)
        before: Rates = before_own(pool, fleet.group, tried)
        weight, _ = weighed(tried.log_rate, tried.logs, before)
        step = tried.log_rate[:, 1:2] - tried.log_rate[:, :1]
        below = np.sum(
            weight * np.clip((fleet.log_rate[:, None] - tried.log_rate) / step + 0.5, 0, 1), axis=1
        )
        for n, b in zip(fleet.paths.there.sum(axis=1), below, strict=True):
            hits.setdefault(int(n), []).append(bool(0.05 < b < 0.95))
    for n in sorted(hits):
        print(
            f"lives of {n} records: {np.mean(hits[n]):.3f} of {len(hits[n])} true rates in their 90 % windows"
        )


if __name__ == "__main__":
    speed()
    coverage()
    small_shops()
    true_rates()
