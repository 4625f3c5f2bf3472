"""Which leg is dead, and how much resistance sits in a weak one: the harness worked through from what was measured.

Made only where the current or a voltage is not as it should be. It names possible legs; the facts and calls of a
supply stay with `electric.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from wheeltapper.findings.electric import coil_readings
from wheeltapper.findings.facts import Fact, Key, Sized, Worked
from wheeltapper.findings.reading import Readings
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import FOOT_M
from wheeltapper.words import TRAILER, positions

if TYPE_CHECKING:
    from wheeltapper.measure.legs import Explanation

ODD = ("supply.amps_low", "supply.amps_high", "supply.amps_outside_window", "supply.dead")
PART_SHARE = 0.9  # explanations are named until they hold so much of the likelihood


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


@dataclass(frozen=True)
class Leg:
    """The resistance that one leg feels, and what its wire alone would have [ohm]."""

    ohm: float
    wire_ohm: float | None
    plug_v: float
    magnet_v: float


def find(visit: Visit, tables: Tables, readings: Readings, facts: dict[Key, Fact]) -> list[Worked]:
    """The harness as a whole, where its current is odd, and every leg that loses too much."""
    wheels = positions(visit.unit.axles)
    plug = max(readings.of(TRAILER, "volts at plug"), key=lambda s: s.size, default=None)
    if visit.unit.brake != "electric drum" or plug is None:
        return []
    out = []
    for wheel in wheels:
        low = facts.get((wheel, "supply.volts_low"))
        leg = _leg(visit, tables, readings, wheel, plug) if low is not None and low.answer is True else None
        if leg is not None:
            out.append(Worked(wheel, "leg", "supply", leg))
    odd = any((f := facts.get((w, name))) and f.answer is True for w in wheels for name in ODD)
    whole = _whole(visit, tables, readings, plug) if odd else None
    return out if whole is None else [Worked(TRAILER, "legs", "supply", whole), *out]


def _leg(visit: Visit, tables: Tables, readings: Readings, wheel: str, plug: Sized) -> Leg | None:
    from wheeltapper.measure import electric

    volts = _lowest(readings, wheel)
    coil = coil_readings(visit, tables, readings)[positions(visit.unit.axles).index(wheel)][0]
    if volts is None or not 0 < volts.size <= plug.size or not 0 < coil < tables.number("magnet_open_ohm"):
        return None
    unit = visit.unit
    known = unit.wire_awg is not None and unit.wire_feet is not None
    wire = electric.wire_ohm(float(unit.wire_awg or 0), (unit.wire_feet or 0) * FOOT_M) if known else None
    return Leg(float(electric.leg_ohm(plug.size, volts.size, coil)), wire, plug.size, volts.size)


def _whole(visit: Visit, tables: Tables, readings: Readings, plug: Sized) -> Legs | None:
    from wheeltapper.findings.electric import expected_a, rated_a
    from wheeltapper.measure import electric, legs

    amps = min(readings.of(TRAILER, "total amps"), key=lambda s: s.size, default=None)
    coils = coil_readings(visit, tables, readings)
    sound = [r for r, _ in coils if 0 < r < tables.number("magnet_open_ohm")]
    if amps is None or len(sound) != len(coils):  # an open coil is found by its ohms, not by the current
        return None
    wheels = positions(visit.unit.axles)
    volts = [_lowest(readings, w) for w in wheels]
    unit = visit.unit
    wire = (
        electric.wire_ohm(float(unit.wire_awg), unit.wire_feet * FOOT_M)
        if unit.wire_awg and unit.wire_feet
        else 0.0
    )
    harness = legs.Harness(
        amps.size, amps.doubt, plug.size, plug.doubt, tuple(sound), tuple(u for _, u in coils),
        tuple(None if v is None else min(v.size, plug.size) for v in volts),
        max((v.doubt for v in volts if v), default=plug.doubt), tables.number("dead_volts"), wire,
    )  # fmt: skip
    found = legs.explanations(harness)
    best = legs.best_leg(harness, found) if found else None
    return Legs(
        amps.size, amps.size / len(wheels), rated_a(visit, tables), expected_a(visit, plug.size, sound) / len(wheels),
        wheels, found, None if best is None else wheels[best], any(v is None for v in volts),
    )  # fmt: skip


def _lowest(readings: Readings, wheel: str) -> Sized | None:
    taken = [s for s in readings.of(wheel, "volts at magnet") if s.at == "full apply"]
    return min(taken, key=lambda s: s.size, default=None)
