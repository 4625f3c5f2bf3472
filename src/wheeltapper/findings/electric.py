"""Ohms, volts and amperes that must agree (C10): a contradiction points to the wiring, not to a magnet."""

from __future__ import annotations

from wheeltapper.findings.bench import Bench
from wheeltapper.findings.facts import Fact
from wheeltapper.findings.reading import Readings
from wheeltapper.measure import electric
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import TRAILER, positions

FOOT_M = 0.3048
CASE_OPEN_OHM = 1e5  # any lower reading from coil to case counts as a path


def magnet(bench: Bench) -> list[Fact]:
    """The magnet's coil at one corner."""
    coil, case = bench.taken("magnet resistance"), bench.taken("magnet to case")
    answers: dict[str, bool | None] = dict.fromkeys(
        ("magnet.open", "magnet.shorted", "magnet.ohms_out_of_range")
    )
    if coil:
        answers = _coil(bench.tables, bench.visit, [(s.size, s.doubt) for s in coil])
    to_case = None if not case else min(s.size for s in case) < CASE_OPEN_OHM
    return bench.facts("magnet resistance", answers) + bench.facts(
        "magnet to case", {"magnet.shorted_to_case": to_case}
    )


def _coil(tables: Tables, visit: Visit, readings: list[tuple[float, float]]) -> dict[str, bool | None]:
    low, high = (tables.number(f"magnet_ohm_{end}", visit.unit.drum) for end in ("low", "high"))
    least, most = min(r + u for r, u in readings), max(r - u for r, u in readings)
    opened = most > tables.number("magnet_open_ohm")
    shorted = not opened and least < tables.number("magnet_short_share") * low
    outside = not opened and not shorted and (least < low - 1e-9 or most > high + 1e-9)
    return {"magnet.open": opened, "magnet.shorted": shorted, "magnet.ohms_out_of_range": outside}


def supply(bench: Bench) -> list[Fact]:
    """The voltage that reaches this magnet."""
    number = bench.tables.number
    taken = bench.taken("volts at magnet")
    full = [s for s in taken if s.at == "full apply"]
    answers: dict[str, bool | None] = dict.fromkeys(
        ("supply.dead", "supply.volts_low", "supply.on_when_released")
    )
    if full:
        volts = min(s.size for s in full)
        dead = volts < number("dead_volts")
        answers |= {
            "supply.dead": dead,
            "supply.volts_low": not dead and _low(bench, volts, max(s.doubt for s in full)),
        }
    if released := [s.size for s in taken if s.at == "released"]:
        answers["supply.on_when_released"] = max(released) > number("released_volts")
    return bench.facts("volts at magnet", answers)


def _low(bench: Bench, volts: float, doubt: float) -> bool | None:
    """Too little voltage, or too much lost on the way; None where the plug itself is too low to tell."""
    plug = bench.readings.of(TRAILER, "volts at plug")
    number = bench.tables.number
    if not plug:
        return volts + doubt < number("magnet_volts")
    at_plug = max(s.size for s in plug)
    if at_plug - volts > number("volt_drop") + doubt + plug[0].doubt:
        return True
    return None if at_plug < number("plug_volts") else volts + doubt < number("magnet_volts")


def totals(visit: Visit, tables: Tables, readings: Readings) -> list[Fact]:
    """Total amperes against what volts and ohms say, as facts of every wheel that it may concern."""
    wheels = positions(visit.unit.axles)
    names = ("supply.amps_low", "supply.amps_high", "supply.leg_dead_somewhere")
    compared = _compare(visit, tables, readings, wheels)
    if compared is None:
        return [
            Fact(w, name, None, None, check="total amps", optional=True) for w in wheels for name in names
        ]
    low, high, missing = compared
    fed = {w for w in wheels for s in readings.of(w, "volts at magnet") if s.at == "full apply"}
    dead = sum(
        1 for w in fed if min(s.size for s in readings.of(w, "volts at magnet")) < tables.number("dead_volts")
    )
    hidden = low and missing > dead
    out = []
    for wheel in wheels:
        for name, answer in zip(names, (low, high, hidden and wheel not in fed), strict=True):
            out.append(Fact(wheel, name, answer, "measured", check="total amps", optional=True))
    return out


def _compare(
    visit: Visit, tables: Tables, readings: Readings, wheels: tuple[str, ...]
) -> tuple[bool, bool, int] | None:
    """(low, high, legs missing), or None where the readings do not allow it: every coil must be known."""
    amps = readings.of(TRAILER, "total amps")
    coils = [readings.of(w, "magnet resistance") for w in wheels]
    volts, volts_doubt = _supply_volts(readings, wheels)
    if not amps or volts is None or not all(coils):
        return None
    sound = [
        min(s.size for s in c) for c in coils if min(s.size for s in c) < tables.number("magnet_open_ohm")
    ]
    if not sound or min(sound) <= 0:
        return None
    coil_doubt = max(s.doubt for c in coils for s in c)
    expected = _expected(visit, volts, sound)
    slack = (
        amps[0].doubt
        + electric.expected_doubt_a(volts, volts_doubt, sound, coil_doubt)
        + tables.number("amps_share") * expected
    )
    measured = amps[0].size
    return (
        measured < expected - slack,
        measured > expected + slack,
        electric.legs_missing(measured, expected, len(sound)),
    )


def _supply_volts(readings: Readings, wheels: tuple[str, ...]) -> tuple[float | None, float]:
    plug = readings.of(TRAILER, "volts at plug")
    if plug:
        return plug[0].size, plug[0].doubt
    return None, 0.0


def _expected(visit: Visit, volts: float, coils: list[float]) -> float:
    """Volts over ohms, behind the brake wire where its gauge and length are known."""
    unit = visit.unit
    if unit.wire_awg is None or unit.wire_feet is None:
        return electric.expected_a(volts, coils)
    return electric.fed_through_wire(volts, electric.wire_ohm(unit.wire_awg, unit.wire_feet * FOOT_M), coils)[
        0
    ]
