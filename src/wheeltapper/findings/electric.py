"""Ohms, volts and amperes that must agree (C10): a contradiction points to the wiring, not to a magnet."""

from __future__ import annotations

from collections.abc import Sequence

from wheeltapper.findings.bench import Bench
from wheeltapper.findings.facts import Fact, Sized
from wheeltapper.findings.reading import Readings
from wheeltapper.measure import electric
from wheeltapper.measure.plausible import amount_si
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import FOOT_M
from wheeltapper.words import TRAILER, positions

TOTALS = ("supply.amps_low", "supply.amps_high", "supply.leg_dead_somewhere", "supply.amps_outside_window")
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
    """The voltage that reaches this magnet. A reading that cannot tell is no answer, whoever vouches for the rest."""
    check, number = "volts at magnet", bench.tables.number
    taken = bench.taken(check)
    full = [s for s in taken if s.at == "full apply"]
    dead = low = doubtful = None
    if full:
        volts, doubt = min((s.size, s.doubt) for s in full)
        dead = volts < number("dead_volts")
        low, doubtful = (False, False) if dead else _low(bench, volts, doubt)
    answers = {"supply.dead": dead, "supply.volts_low": low, "supply.volts_in_doubt": doubtful}
    released = [s.size for s in taken if s.at == "released"]
    on = max(released) > number("released_volts") if released else None
    return bench.facts(check, answers, vouch=not full) + bench.facts(check, {"supply.on_when_released": on})


def _low(bench: Bench, volts: float, doubt: float) -> tuple[bool | None, bool | None]:
    """(too low, at the limit inside the doubt); unknown where the plug itself is too low to tell."""
    number = bench.tables.number
    least = number("magnet_volts")
    low, doubtful = volts + doubt < least, volts - doubt < least <= volts + doubt
    plug = bench.readings.of(TRAILER, "volts at plug")
    if not plug:
        return low, doubtful
    at_plug, plug_doubt = max((s.size, s.doubt) for s in plug)
    if at_plug - volts > number("volt_drop") + doubt + plug_doubt:
        return True, False
    return (None, None) if at_plug < number("plug_volts") else (low, doubtful)


def totals(visit: Visit, tables: Tables, readings: Readings) -> list[Fact]:
    """Total amperes against what volts and ohms say, as facts of every wheel that it may concern."""
    wheels = positions(visit.unit.axles)
    compared = _compare(visit, tables, readings)
    if compared is None:
        return [Fact(w, n, None, None, check="total amps", optional=True) for w in wheels for n in TOTALS]
    low, high, missing = compared
    fed = {w: v for w in wheels if (v := _lowest(readings.of(w, "volts at magnet"))) is not None}
    dead = sum(1 for volts in fed.values() if volts < tables.number("dead_volts"))
    hidden = low and missing > dead
    outside = not dead and _outside_window(visit, tables, readings)
    answers = {w: (low, high, hidden and w not in fed, outside and w not in fed) for w in wheels}
    return [
        Fact(w, name, answer, "measured", check="total amps", optional=True)
        for w in wheels
        for name, answer in zip(TOTALS, answers[w], strict=True)
    ]


def _outside_window(visit: Visit, tables: Tables, readings: Readings) -> bool:
    """Is the average current of a brake surely outside its window, by the harness rating and by volts over ohms?"""
    brakes = len(positions(visit.unit.axles))
    amps, plug = readings.of(TRAILER, "total amps"), readings.of(TRAILER, "volts at plug")
    coils = [r for r, _ in coil_readings(visit, tables, readings) if 0 < r < tables.number("magnet_open_ohm")]
    bench = electric.expected_a(max(s.size for s in plug), coils) / brakes
    ratings = (rated_a(visit, tables), bench)
    low, high = 1 - tables.number("amps_under"), 1 + tables.number("amps_over")
    least, most = (
        min((s.size + s.doubt) / brakes for s in amps),
        max((s.size - s.doubt) / brakes for s in amps),
    )
    return all(least < rating * low or most > rating * high for rating in ratings)


def rated_a(visit: Visit, tables: Tables) -> float:
    """Rated current of one magnet in the harness [A]: the maker's where it is on the visit, else the table's."""
    stated = amount_si(visit.unit.magnet_amps, "current")
    return stated if stated and stated > 0 else tables.number("magnet_rated_amps", visit.unit.drum)


def _lowest(taken: Sequence[Sized]) -> float | None:
    return min((s.size for s in taken if s.at == "full apply"), default=None)


def _compare(visit: Visit, tables: Tables, readings: Readings) -> tuple[bool, bool, int] | None:
    """(low, high, legs missing), or None without amperes or volts at the plug."""
    amps, plug = readings.of(TRAILER, "total amps"), readings.of(TRAILER, "volts at plug")
    coils = [c for c in coil_readings(visit, tables, readings) if 0 < c[0] < tables.number("magnet_open_ohm")]
    if not amps or not plug:
        return None
    if not coils:  # nothing can draw, so any current is one too many
        return False, any(s.size > s.doubt for s in amps), 0
    ohms, coil_doubt = [r for r, _ in coils], max(u for _, u in coils)
    volts, volts_doubt = max((s.size, s.doubt) for s in plug)
    expected = expected_a(visit, volts, ohms)
    slack = max(s.doubt for s in amps) + tables.number("amps_share") * expected
    slack += electric.expected_doubt_a(volts, volts_doubt, ohms, coil_doubt)
    least, most = min(s.size for s in amps), max(s.size for s in amps)
    missing = electric.legs_missing(least, expected, len(ohms))
    return least < expected - slack, most > expected + slack, missing


def coil_readings(visit: Visit, tables: Tables, readings: Readings) -> list[tuple[float, float]]:
    """Resistance and doubt of every coil; one without a reading counts as anywhere in the sound range."""
    low, high = (tables.number(f"magnet_ohm_{end}", visit.unit.drum) for end in ("low", "high"))
    sound = (low + high) / 2, (high - low) / 2
    taken = (readings.of(w, "magnet resistance") for w in positions(visit.unit.axles))
    return [max(((s.size, s.doubt) for s in rows), default=sound) for rows in taken]


def expected_a(visit: Visit, volts: float, coils: list[float]) -> float:
    """Volts over ohms, behind the brake wire where its gauge and length are known."""
    unit = visit.unit
    if unit.wire_awg is None or unit.wire_feet is None:
        return electric.expected_a(volts, coils)
    return electric.fed_through_wire(volts, electric.wire_ohm(unit.wire_awg, unit.wire_feet * FOOT_M), coils)[
        0
    ]
