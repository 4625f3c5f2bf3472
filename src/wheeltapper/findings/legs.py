"""Which leg is dead, and how much resistance sits in a weak one: the harness worked through from what was measured.

Made only where the current or a voltage is not as it should be. It names possible legs; the facts and calls of a
supply stay with `electric.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from wheeltapper.findings.electric import (
    believed,
    coil_readings,
    is_thin,
    left_by_wire,
    lowest_volts,
    wire_ohm,
    without_ohms,
)
from wheeltapper.findings.facts import Fact, Key, Sized, Worked, said_yes
from wheeltapper.findings.reading import Readings
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import TRAILER, positions

if TYPE_CHECKING:
    from wheeltapper.measure.legs import Explanation, Harness

ODD = ("supply.amps_low", "supply.amps_high", "supply.amps_outside_window", "supply.dead", "magnet.shorted")


@dataclass(frozen=True)
class Legs:
    """What can explain the current: wheels by explanation, likeliest first, and where to measure next."""

    amps_a: float
    each_a: float  # average of one brake
    rated_a: float
    bench_a: float
    wheels: tuple[str, ...]
    explanations: tuple[Explanation, ...]
    next_wheel: str | None
    unmeasured: bool  # voltages at some magnets are not known
    wire_ohm: float  # of the brake wire, in bench_a; 0 where it is not known
    high: bool  # more amperes than the coils explain
    shorted: tuple[Shorted, ...]
    no_ohms: tuple[str, ...]  # wheels whose coil was not measured
    too_few: tuple[str, ...]  # wheels that get too few volts, as measured


@dataclass(frozen=True)
class Shorted:
    """A coil whose ohms say shorted, and what it alone draws at the plug's volts."""

    wheel: str
    ohm: float
    draws_a: float


@dataclass(frozen=True)
class Wire:
    """What the brake wire as written leaves at sound magnets, and the volts that were measured there."""

    awg: int
    feet: float
    wire_ohm: float
    plug_v: float
    plug_measured: bool
    total_a: float
    magnet_v: float
    least_v: float
    fed_well: tuple[str, ...]  # wheels that measure enough all the same
    measured_v: tuple[float, float] | None  # least and most measured there
    not_measured: tuple[str, ...]


@dataclass(frozen=True)
class Leg:
    """The resistance that one leg feels, and what its wire alone would have [ohm]."""

    ohm: float
    wire_ohm: float | None
    shared_ohm: float | None  # what this leg would feel where all magnets share the wire
    plug_v: float
    magnet_v: float


def find(visit: Visit, tables: Tables, readings: Readings, facts: dict[Key, Fact]) -> list[Worked]:
    """The harness as a whole, where its current is odd, and every leg that loses too much."""
    wheels = positions(visit.unit.axles)
    plug = max(readings.of(TRAILER, "volts at plug"), key=lambda s: s.size, default=None)
    if visit.unit.brake != "electric drum":
        return []
    out = _wire(visit, tables, readings, facts)
    if plug is None:
        return out
    for wheel in wheels:
        low = said_yes(facts, wheel, "supply.volts_low")
        leg = _leg(visit, tables, readings, wheel, plug) if low else None
        if leg is not None:
            out.append(Worked(wheel, "leg", "supply", leg))
    odd = any(said_yes(facts, w, name) for w in wheels for name in ODD)
    contradicted = any(
        said_yes(facts, w, "supply.above_plug") for w in wheels
    )  # nothing is worked out of those
    whole = _whole(visit, tables, readings, plug, facts) if odd and not contradicted else None
    return out if whole is None else [Worked(TRAILER, "legs", "supply", whole), *out]


def _wire(visit: Visit, tables: Tables, readings: Readings, facts: dict[Key, Fact]) -> list[Worked]:
    """The wire, where it should leave too few volts; and the wheels that measure enough all the same."""
    left, unit = left_by_wire(visit, tables, readings), visit.unit
    if left is None or not is_thin(left, tables) or unit.wire_awg is None or unit.wire_feet is None:
        return []
    volts = {w: v.size for w in positions(unit.axles) if (v := lowest_volts(readings, w)) is not None}
    well = {w: v for w, v in volts.items() if (f := facts.get((w, "supply.volts_low"))) and f.answer is False}
    well = {w: v for w, v in well.items() if not said_yes(facts, w, "supply.dead")}
    span = (min(well.values()), max(well.values())) if well else None
    plug = bool(readings.of(TRAILER, "volts at plug"))
    found = Wire(
        unit.wire_awg, unit.wire_feet, left.wire_ohm, left.plug_v, plug, left.total_a, left.magnet_v,
        tables.number("magnet_volts"), tuple(well), span, tuple(w for w in positions(unit.axles) if w not in volts),
    )  # fmt: skip
    return [Worked(TRAILER, "wire", "supply", found)]


def _leg(visit: Visit, tables: Tables, readings: Readings, wheel: str, plug: Sized) -> Leg | None:
    from wheeltapper.measure import electric

    volts = lowest_volts(readings, wheel)
    coil = coil_readings(visit, tables, readings)[positions(visit.unit.axles).index(wheel)][0]
    if volts is None or not 0 < volts.size <= plug.size or not 0 < coil < tables.number("magnet_open_ohm"):
        return None
    unit = visit.unit
    wire = wire_ohm(visit)
    felt = float(electric.leg_ohm(plug.size, volts.size, coil))
    shared = None if wire is None else wire * len(positions(unit.axles))
    return Leg(felt, wire, shared, plug.size, volts.size)


def _whole(
    visit: Visit, tables: Tables, readings: Readings, plug: Sized, facts: dict[Key, Fact]
) -> Legs | None:
    from wheeltapper.findings.electric import expected_a, rated_a
    from wheeltapper.measure import legs

    amps = min(readings.of(TRAILER, "total amps"), key=lambda s: s.size, default=None)
    coils = coil_readings(visit, tables, readings)
    sound = [r for r, _ in coils if 0 < r < tables.number("magnet_open_ohm")]
    if amps is None or plug.size <= 0 or len(sound) != len(coils):  # an open coil is found by its ohms
        return None
    wheels = positions(visit.unit.axles)
    harness = _harness(visit, tables, readings, amps, plug)
    high = any(said_yes(facts, w, "supply.amps_high") for w in wheels)
    shorted = [w for w in wheels if said_yes(facts, w, "magnet.shorted")]
    found = () if high or shorted else legs.explanations(harness)  # dead legs only ever take current away
    best = legs.best_leg(harness, found) if found else None
    return Legs(
        amps.size, amps.size / len(wheels), rated_a(visit, tables), expected_a(visit, plug.size, sound, harness.feed_ohm > 0) / len(wheels),
        wheels, found, None if best is None else wheels[best], any(v is None for v in harness.magnets_v), harness.feed_ohm,
        high, tuple(Shorted(w, r, plug.size / r) for w, r in zip(wheels, sound, strict=True) if w in shorted),
        without_ohms(visit, readings), tuple(w for w in wheels if said_yes(facts, w, "supply.volts_low")),
    )  # fmt: skip


def _harness(visit: Visit, tables: Tables, readings: Readings, amps: Sized, plug: Sized) -> Harness:
    from wheeltapper.measure import legs

    coils, unit = coil_readings(visit, tables, readings), visit.unit
    volts = [lowest_volts(readings, w) for w in positions(unit.axles)]
    wire = (wire_ohm(visit) or 0.0) if believed(visit, tables, readings) else 0.0
    return legs.Harness(
        amps.size, amps.doubt, plug.size, plug.doubt, tuple(r for r, _ in coils), tuple(u for _, u in coils),
        tuple(None if v is None else min(v.size, plug.size) for v in volts),
        max((v.doubt for v in volts if v), default=plug.doubt), tables.number("dead_volts"), wire,
    )  # fmt: skip
