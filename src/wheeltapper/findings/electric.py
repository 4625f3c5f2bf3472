"""Ohms, volts and amperes that must agree (C10): a contradiction points to the wiring, not to a magnet.

Behind a plug with too few volts nothing is judged, and what a wire should leave is no substitute for volts measured.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheeltapper.findings.bench import Bench
from wheeltapper.findings.facts import Fact, Sized
from wheeltapper.findings.reading import Readings
from wheeltapper.measure import electric
from wheeltapper.measure.plausible import amount_si
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import FOOT_M
from wheeltapper.words import TRAILER, Evidence, positions

TOTALS = (
    "supply.amps_low", "supply.amps_high", "supply.leg_dead_somewhere", "supply.amps_outside_window", "magnet.coil_in_doubt",
    "supply.volts_over_amps",
)  # fmt: skip
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
    full = at_full_apply(bench.readings, bench.position)
    dead = low = doubtful = None
    if full:
        volts, doubt = min((s.size, s.doubt) for s in full)
        plug = at_plug(bench.readings)
        fed = plug is None or plug[0] >= number("dead_volts")  # else the plug is dead, not this leg
        dead = volts < number("dead_volts") if fed else None
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
    plug = at_plug(bench.readings)
    if plug is None:
        return low, doubtful
    if plug[0] - volts > number("volt_drop") + doubt + plug[1]:
        return True, False
    return (None, None) if plug[0] < number("plug_volts") else (low, doubtful)


def at_plug(readings: Readings) -> tuple[float, float] | None:
    """Most volts measured at the plug and their doubt [V], or None."""
    return max(((s.size, s.doubt) for s in readings.of(TRAILER, "volts at plug")), default=None)


def whole(visit: Visit, tables: Tables, readings: Readings) -> list[Fact]:
    """Facts of the harness as a whole, at every wheel that they concern."""
    return [*totals(visit, tables, readings), *feed(visit, tables, readings), *wire(visit, tables, readings)]


def feed(visit: Visit, tables: Tables, readings: Readings) -> list[Fact]:
    """Volts at the plug that are too few to judge by, and volts at a magnet that are more than the plug's."""
    out: list[Fact] = []
    least, taken = tables.number("plug_volts"), readings.of(TRAILER, "volts at plug")
    optional = (TRAILER, "volts at plug") not in readings.doubted
    lowest, most = min((s.size for s in taken), default=None), at_plug(readings)
    low = None if lowest is None else lowest < least - 1e-9
    known: Evidence | None = "measured" if taken else None
    for wheel in positions(visit.unit.axles):
        out.append(Fact(wheel, "supply.plug_low", low, known, check="volts at plug", optional=optional, size=lowest, against=least))  # fmt: skip
        full = at_full_apply(readings, wheel)
        over = None
        if most is not None and full:
            over = any(s.size - s.doubt > most[0] + most[1] + 1e-9 for s in full)
        size, against = max((s.size for s in full), default=None), most[0] if most else None
        known_here: Evidence | None = "measured" if over is not None else None
        out.append(Fact(wheel, "supply.above_plug", over, known_here, check="volts at magnet", optional=True, size=size, against=against))  # fmt: skip
    return out


def wire(visit: Visit, tables: Tables, readings: Readings) -> list[Fact]:
    """Would the wire as written leave too few volts at sound magnets? Volts measured at a magnet speak for that magnet."""
    left = left_by_wire(visit, tables, readings)
    plug, least = at_plug(readings), tables.number("magnet_volts")
    thin = None if left is None else is_thin(left, tables)
    out = []
    for wheel in positions(visit.unit.axles):
        measured = bool(at_full_apply(readings, wheel))
        settled = measured and (plug is None or plug[0] >= tables.number("plug_volts"))
        answer = False if thin and settled else thin
        volts = None if left is None else left.magnet_v
        known: Evidence | None = None if left is None else "worked out"
        out.append(Fact(wheel, "supply.wire_thin", answer, known, check="volts at magnet", optional=True, size=volts, against=least))  # fmt: skip
    return out


@dataclass(frozen=True)
class Left:
    """What the brake wire as written takes, and leaves at sound magnets."""

    wire_ohm: float
    plug_v: float  # as measured, and no less than a good plug has
    magnet_v: float
    total_a: float


def left_by_wire(visit: Visit, tables: Tables, readings: Readings) -> Left | None:
    """All the coils behind the whole wire; a coil that is not sound, or not measured, counts as a sound one."""
    unit, ohm = visit.unit, wire_ohm(visit)
    if unit.brake != "electric drum" or ohm is None:
        return None
    low, high = (tables.number(f"magnet_ohm_{end}", unit.drum) for end in ("low", "high"))
    coils = [r if low <= r <= high else (low + high) / 2 for r, _ in coil_readings(visit, tables, readings)]
    plug = at_plug(readings)
    source = max(tables.number("plug_volts"), plug[0] if plug else 0.0)
    total, volts = electric.fed_through_wire(source, ohm, coils)
    return Left(ohm, source, volts, total)


def is_thin(left: Left, tables: Tables) -> bool:
    """Held to the figures that measured volts are held to."""
    drop = left.plug_v - left.magnet_v
    return left.magnet_v < tables.number("magnet_volts") or drop > tables.number("volt_drop") + 1e-9


def totals(visit: Visit, tables: Tables, readings: Readings) -> list[Fact]:
    """Total amperes against what volts and ohms say, as facts of every wheel that it may concern."""
    wheels = positions(visit.unit.axles)
    compared = _compare(visit, tables, readings)
    if compared is None:
        optional = (TRAILER, "total amps") not in readings.doubted
        return [
            Fact(w, n, None, None, check="total amps", optional=optional or n.startswith("magnet"))
            for w in wheels
            for n in TOTALS
        ]
    answers = _by_wheel(visit, tables, readings, compared)
    return [
        Fact(w, name, answer, "measured", check="total amps", optional=True)
        for w in wheels
        for name, answer in zip(TOTALS, answers[w], strict=True)
    ]


def _by_wheel(
    visit: Visit, tables: Tables, readings: Readings, compared: tuple[bool, bool, int]
) -> dict[str, tuple[bool, ...]]:
    """The answers of TOTALS at every wheel. Volts measured at a magnet say more of its feed than the total does."""
    low, high, missing = compared
    wheels = positions(visit.unit.axles)
    fed = {w: v for w in wheels if (v := lowest_volts(readings, w)) is not None}
    dead = sum(1 for volts in fed.values() if volts.size < tables.number("dead_volts"))
    hidden = low and missing > dead
    outside = not dead and _outside_window(visit, tables, readings)
    bare, over = set(without_ohms(visit, readings)), _more_than_all(visit, tables, readings)
    out: dict[str, tuple[bool, ...]] = {}
    for w in wheels:
        known = w in fed
        out[w] = (low, high, hidden and not known, outside and not known, high and w in bare, over and known)
    return out


def _more_than_all(visit: Visit, tables: Tables, readings: Readings) -> bool:
    """Would the volts measured at magnets alone draw more than all of the amperes, beyond doubt?"""
    amps, coils = readings.of(TRAILER, "total amps"), coil_readings(visit, tables, readings)
    drawn = slack = 0.0
    for wheel, (ohm, doubt) in zip(positions(visit.unit.axles), coils, strict=True):
        volts = lowest_volts(readings, wheel)
        if volts is not None and ohm < tables.number("magnet_open_ohm"):
            least = volts.size / (ohm + doubt)
            drawn, slack = drawn + least, slack + tables.number("amps_share") * least
    return drawn - slack > max(s.size + s.doubt for s in amps)


def without_ohms(visit: Visit, readings: Readings) -> tuple[str, ...]:
    """Wheels whose coil nobody measured."""
    return tuple(w for w in positions(visit.unit.axles) if not readings.of(w, "magnet resistance"))


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


def lowest_volts(readings: Readings, wheel: str) -> Sized | None:
    """The least voltage measured at a magnet at full apply."""
    return min(at_full_apply(readings, wheel), key=lambda s: s.size, default=None)


def at_full_apply(readings: Readings, wheel: str) -> list[Sized]:
    """Voltages measured at a magnet at full apply."""
    return [s for s in readings.of(wheel, "volts at magnet") if s.at == "full apply"]


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
    expected = expected_a(visit, volts, ohms, believed(visit, tables, readings))
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


def expected_a(visit: Visit, volts: float, coils: list[float], believed: bool = True) -> float:
    """Volts over ohms, behind the brake wire where its gauge and length are known and believed."""
    ohm = wire_ohm(visit) if believed else None
    return (
        electric.expected_a(volts, coils) if ohm is None else electric.fed_through_wire(volts, ohm, coils)[0]
    )


def wire_ohm(visit: Visit) -> float | None:
    """Resistance of the brake wire as written [ohm], or None."""
    unit = visit.unit
    if unit.wire_awg is None or unit.wire_feet is None:
        return None
    return float(electric.wire_ohm(float(unit.wire_awg), unit.wire_feet * FOOT_M))


def believed(visit: Visit, tables: Tables, readings: Readings) -> bool:
    """No magnet measured more volts than the wire as written can leave; such a wire counts in no sum."""
    left = left_by_wire(visit, tables, readings)
    wheels = positions(visit.unit.axles)
    taken = (s for w in wheels for s in at_full_apply(readings, w))
    slack = tables.number("amps_share") * (left.plug_v - left.magnet_v) if left else 0.0
    return left is None or all(s.size - s.doubt <= left.magnet_v + slack for s in taken)
