"""How far a hub's bearings would last under their load alone: what a worn one is held against.

A bearing that load cannot have worn out was set wrong, ran dry or wet, or had dirt in it. The share of the load on
the inner bearing and the cornering are assumed as ranges.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheeltapper.findings.facts import Fact, Key, Worked, said_yes
from wheeltapper.findings.fit import named
from wheeltapper.findings.pattern import BEARING_BAD
from wheeltapper.measure.plausible import amount_si
from wheeltapper.records import Visit
from wheeltapper.reference.metal import Bearing
from wheeltapper.reference.tables import Tables
from wheeltapper.units import POUND_FORCE_N
from wheeltapper.words import positions

ROLLER = 10 / 3
INNER_SHARE = (0.6, 0.75)  # of the wheel's load on the inner bearing: assumed
CORNER_SHARE = 0.1  # of the wheel's load as steady side thrust: assumed


@dataclass(frozen=True)
class Life:
    """Distance that nine in ten such bearings last (ISO 281, L10), for the assumed split of the load."""

    inner: Bearing
    outer: Bearing
    wheel_n: float
    load_assumed: bool
    rolling_m: float
    inner_m: tuple[float, float]
    outer_m: tuple[float, float]


def find(visit: Visit, tables: Tables, facts: dict[Key, Fact]) -> list[Worked]:
    """The life of the bearings at every wheel where one was found bad and its numbers are known."""
    bad = [w for w in positions(visit.unit.axles) if any(said_yes(facts, w, name) for name in BEARING_BAD)]
    unit = visit.unit
    pair = [named(text, tables) for text in (unit.inner_bearing or "", unit.outer_bearing or "")]
    load = _wheel_n(visit)
    radius = amount_si(unit.tire_radius, "length")
    if not bad or load is None or not radius or radius < 0 or [len(found) for found in pair] != [1, 1]:
        return []
    life = _life(pair[0][0], pair[1][0], load, unit.loaded_lb is None, radius)
    return [Worked(wheel, "bearing life", "bearing-set", life) for wheel in bad] if life else []


def _wheel_n(visit: Visit) -> float | None:
    """Load of one wheel: its part of the weight on the axles, else of the axle's rating."""
    unit = visit.unit
    if unit.loaded_lb is not None:
        return unit.loaded_lb * POUND_FORCE_N / len(positions(unit.axles))
    return None if unit.axle_rating_lb is None else unit.axle_rating_lb * POUND_FORCE_N / 2


def _life(inner: Bearing, outer: Bearing, wheel_n: float, assumed: bool, rolling_m: float) -> Life | None:
    from wheeltapper.measure import bearing, wheel_load

    if inner.thrust_factor is None or outer.thrust_factor is None:
        return None
    inner_lives: list[float] = []
    outer_lives: list[float] = []
    for share in INNER_SHARE:
        loads = wheel_load.opposed_pair(
            share * wheel_n,
            (1 - share) * wheel_n,
            CORNER_SHARE * wheel_n,
            inner.thrust_factor,
            outer.thrust_factor,
        )
        for ring, load, lives in (
            (inner, loads.equivalent_a_n, inner_lives),
            (outer, loads.equivalent_b_n, outer_lives),
        ):
            turns = bearing.rating_life_rev(ring.dynamic_n, load, ROLLER)
            lives.append(float(bearing.life_m(turns, rolling_m)))
    return Life(
        inner,
        outer,
        wheel_n,
        assumed,
        rolling_m,
        (min(inner_lives), max(inner_lives)),
        (min(outer_lives), max(outer_lives)),
    )
