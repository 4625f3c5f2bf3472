"""What the colour of the metal says of its heat, and whether the braking described can have made it.

A colour is a range of temperatures, on cast iron only a rough guide. What a driver tells is a range too: the load,
the share the trailer's brakes do, the air that cools. Only ranges that lie clear of each other say anything.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheeltapper.findings.facts import Fact, Key, Worked, said_yes
from wheeltapper.problems import NoAnswerError
from wheeltapper.records import Braking, Visit
from wheeltapper.reference.metal import DrumBody, HeatColour, Material
from wheeltapper.reference.tables import Tables
from wheeltapper.units import GRAVITY_M_S2, MILE_M, POUND_KG, to_si
from wheeltapper.words import positions

COLOURS = {  # facts that state a colour -> rows of heat_colours.csv
    "drum.blue_band": "blue", "hub.blue": "blue", "magnet_face.blue": "blue", "spindle.blue": "blue",
    "drum.brown": "brown tint", "bearing.heat_tint": "straw",
}  # fmt: skip
OF_BEARING = {"bearing.heat_tint", "spindle.blue"}
AIR_K = 298.15
BEYOND_K = 1100.0  # linings fade hundreds of degrees before: no braking makes a drum hotter; assumed
SHARE = (0.5, 1.0)  # of the trailer's own braking that its brakes do, the tow vehicle does the rest: assumed
FILM_W_M2_K = (20.0, 80.0)  # a drum behind a wheel, slow to fast: assumed
SLOWING_M_S2 = 3.0  # a firm stop: assumed
ROLLING_SHARE = 0.012  # tyres and air on a slow grade: assumed
COOLED_BANDS = 4.0  # outside of drum and flange, in areas of the swept band: assumed
WORN_IN_SHARE = (0.85, 0.98)  # heat that goes into the iron and not the lining: assumed


@dataclass(frozen=True)
class Heated:
    """A colour beside the peak temperature that the braking described makes of this drum [K]."""

    colour: HeatColour
    made_k: tuple[float, float] | None
    verdict: str  # explained, not explained, cannot say, cannot be, or '' where no braking was described
    load_assumed: bool
    bearing_only: bool  # seen on cone, cup or spindle alone


def find(visit: Visit, tables: Tables, facts: dict[Key, Fact]) -> tuple[list[Fact], list[Worked]]:
    """Facts and computations of every wheel that shows a heat colour."""
    colours = {c.colour: c for c in tables.heat_colours}
    made: tuple[float, float] | None = None
    out: list[Fact] = []
    worked = []
    for wheel in positions(visit.unit.axles):
        seen = [name for name in COLOURS if said_yes(facts, wheel, name)]
        hottest = max((colours[COLOURS[name]] for name in seen), key=lambda c: c.low_k, default=None)
        if hottest is not None:
            made = made or _told_k(visit, tables)
            found = _heated(hottest, made, visit, OF_BEARING.issuperset(seen))
            worked.append(Worked(wheel, "heat", "hub-drum", found))
        verdict = found.verdict if hottest is not None else ""
        out += [_fact(wheel, "heat.braking_explains", verdict, "explained"),
                _fact(wheel, "heat.braking_too_small", verdict, "not explained")]  # fmt: skip
    return out, worked


def _fact(wheel: str, name: str, verdict: str, means: str) -> Fact:
    answer = verdict == means if verdict in {"explained", "not explained"} else None
    return Fact(wheel, name, answer, "worked out" if verdict else None, optional=True)


def _heated(colour: HeatColour, made: tuple[float, float] | None, visit: Visit, bearing_only: bool) -> Heated:
    from wheeltapper.measure import heat

    if made is None:
        verdict = ""
    elif made[0] > BEYOND_K:
        verdict = "cannot be"
    else:
        verdict = heat.explained(colour.low_k, colour.high_k, *made)
    return Heated(colour, made, verdict, visit.unit.loaded_lb is None, bearing_only)


def _told_k(visit: Visit, tables: Tables) -> tuple[float, float] | None:
    """The peak that the story makes; None where it is no story a drum can live through."""
    try:
        return peak_k(visit, tables)
    except NoAnswerError:
        return None


def peak_k(visit: Visit, tables: Tables) -> tuple[float, float] | None:
    """Least and most peak temperature of a drum's band from the braking described, or None where that is not known."""
    body = tables.drum_bodies.get(visit.unit.drum or "")
    mass = _mass_kg(visit)
    told = visit.braking
    if body is None or mass is None or told is None:
        return None
    per_brake = mass / len(positions(visit.unit.axles))
    iron = tables.materials["grey iron"]
    peaks = [_after_stops(told, body, iron, per_brake), _after_grade(told, body, iron, per_brake)]
    known = [p for p in peaks if p is not None]
    return (max(low for low, _ in known), max(high for _, high in known)) if known else None


def _mass_kg(visit: Visit) -> float | None:
    """Mass on the axles: as stated, else all that they may carry."""
    unit = visit.unit
    rated = None if unit.axle_rating_lb is None else unit.axle_rating_lb * unit.axles
    pounds = unit.loaded_lb if unit.loaded_lb is not None else rated
    return None if pounds is None else pounds * POUND_KG


def _after_stops(told: Braking, body: DrumBody, iron: Material, mass_kg: float) -> tuple[float, float] | None:
    """Peak of the band in the last of so many stops: the iron warmed by those before, and the flash of this one."""
    if told.from_mph is None:
        return None
    from wheeltapper.measure import cooling, half_space, heat

    speed, stops = to_si(told.from_mph, "mph"), told.stops or 1
    lasts = heat.stop_time_s(speed, 0.0, SLOWING_M_S2)
    spreads = half_space.diffusivity_m2_s(
        iron.conductivity_w_m_k, iron.density_kg_m3, iron.specific_heat_j_kg_k
    )
    draws = half_space.effusivity(iron.conductivity_w_m_k, spreads)
    out = []
    for share, film, into in zip(SHARE, reversed(FILM_W_M2_K), WORN_IN_SHARE, strict=True):
        energy = share * into * heat.moving_j(mass_kg, speed, 0.0, 0.0)
        rise = heat.bulk_rise_k(energy, body.warmed_kg, iron.specific_heat_j_kg_k)
        constant = cooling.time_constant_s(body.warmed_kg, iron.specific_heat_j_kg_k, film, _cooled_m2(body))
        gap = max(lasts, (told.minutes_apart or 0.0) * 60)  # no stop begins before the one before has ended
        warm = AIR_K + cooling.after_stop_k(rise, 0.0, gap, constant, stops) - rise
        flash = half_space.stop_peak_k(2 * energy / lasts / _band_m2(body), lasts, draws)
        out.append(float(warm + max(flash, rise)))
    return out[0], out[1]


def _after_grade(told: Braking, body: DrumBody, iron: Material, mass_kg: float) -> tuple[float, float] | None:
    """Temperature at the foot of a grade held at one speed on the brakes."""
    if told.grade_percent is None or told.grade_miles is None or told.grade_mph is None:
        return None
    from wheeltapper.measure import cooling, heat

    grade, speed = told.grade_percent / 100, to_si(told.grade_mph, "mph")
    push = heat.grade_n(mass_kg, grade, GRAVITY_M_S2) - heat.rolling_n(
        mass_kg, grade, ROLLING_SHARE, GRAVITY_M_S2
    )
    lasts = told.grade_miles * MILE_M / speed
    out = []
    for share, film, into in zip(SHARE, reversed(FILM_W_M2_K), WORN_IN_SHARE, strict=True):
        power = max(0.0, share * into * heat.drag_w(push, speed))
        area = _cooled_m2(body)
        constant = cooling.time_constant_s(body.warmed_kg, iron.specific_heat_j_kg_k, film, area)
        final = AIR_K + cooling.held_rise_k(power, film, area)
        out.append(float(cooling.held_k(AIR_K, final, lasts, constant)))
    return out[0], out[1]


def _band_m2(body: DrumBody) -> float:
    return 3.141592653589793 * body.nominal_m * body.band_m


def _cooled_m2(body: DrumBody) -> float:
    return COOLED_BANDS * _band_m2(body)
