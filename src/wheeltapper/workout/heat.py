"""Cooling, stop after stop, and a drag that holds a temperature; with the other heat computations as one list.

A film coefficient is never known to better than a factor, so it is a range and so is what comes of it.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from wheeltapper.measure import cooling, heat
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout import braking, colour, surface
from wheeltapper.workout.braking import AIR_ASK, AREA_ASK, DRUM_ASK, FILM_ASK, FILM_SAID, START_ASK
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import one_way, over_zero
from wheeltapper.workout.metal import METAL_ASKS, conductivity, density, specific_heat
from wheeltapper.workout.ranges import alike, grid
from wheeltapper.workout.rows import spread
from wheeltapper.workout.text import fahrenheit, warmer

NEAR_STEADY = 0.95


def _repeated(g: Given, tables: Tables) -> Answer:
    rise, gap, constant = grid(_rise(g, tables), g.many("gap"), _constants(g, tables))
    air, stops = g.number("air"), g.number("stops")
    after = air + cooling.after_stop_k(*alike(rise, g.number("start") - air, gap, constant, stops))
    steady = air + cooling.steady_stop_k(rise, gap, constant)
    left = np.exp(-gap / constant)
    many = np.maximum(np.ceil(np.log(1 / (1 - NEAR_STEADY)) * constant / gap), 1.0)
    rows = (
        spread("rise", rise, "K", "made by each stop"),
        spread("time_constant", constant, "s", "m c / (h A)"),
        spread("left_share", left, "%", "of what it is warmer than the air, left at the next stop"),
        spread("after", after, "F", "just after the last stop"),
        spread("before", after - rise, "F", "just before it"),
        spread("steady_after", steady, "F", "just after each stop when many have gone by"),
        spread("steady_before", steady - rise, "F", "just before each stop then"),
        spread("stops_to_95", many, "", "stops from cold that bring it to 95 % of that"),
    )  # fmt: skip
    said = (
        f"After {stops:.0f} such stop{'s' if stops != 1 else ''} the whole drum is at {fahrenheit(after)}; many of them bring it to "
        f"{fahrenheit(steady)} and no further. The skin is hotter for some seconds in each stop."
    )
    return Answer(rows, (said,))


def _rise(g: Given, tables: Tables) -> Any:
    if one_way(g, "write rise='40 F'.", rise="the rise", energy="the energy of one stop") == "rise":
        return g.many("rise")
    kg = _needed(g, "drum_mass", "an energy")
    return heat.bulk_rise_k(*alike(g.many("energy"), kg, specific_heat(g, tables)))


def _needed(g: Given, name: str, why: str) -> float:
    if not g.has(name):
        raise NoAnswerError(f"{why} needs {name}", f"give {name}.")
    return g.number(name)


def _constants(g: Given, tables: Tables) -> Any:
    """Time constants, as given or from the drum and its film."""
    if g.has("time_constant"):
        return g.many("time_constant")
    kg, area = _needed(g, "drum_mass", "the cooling"), _needed(g, "area", "the cooling")
    return cooling.time_constant_s(*alike(kg, specific_heat(g, tables), g.many("film"), area))


def _cooling(g: Given, tables: Tables) -> Answer:
    (film,), above = grid(g.many("film")), g.number("start") - g.number("air")
    thick, area = _lump(g, tables)
    biot = cooling.biot(*alike(film, thick, conductivity(g, tables)))
    constant = cooling.time_constant_s(
        *alike(density(g, tables) * thick, specific_heat(g, tables), film, 1.0)
    )
    rows = [
        Result("thick", thick, "mm", "volume over cooled surface"),
        spread("biot", biot, "", "h (V/A) / k"),
        spread("time_constant", constant, "s", "63 % of the way to the air's temperature"),
        spread("first_flux", film * above, "W/m2", "heat flow off each area at the start"),
    ]
    if area is not None:
        rows.append(spread("first_flow", film * above * area, "W", "heat flow at the start"))
    says = () if np.max(biot) <= cooling.BIOT_MOST else (
        "The Biot number is over 0.1: the inside lags behind the surface, so one temperature for the whole is only rough.",
    )  # fmt: skip
    capacity = None if area is None else density(g, tables) * thick * area * specific_heat(g, tables)
    return Answer((*rows, *_when(g, constant, capacity)), says)


def _when(g: Given, constant: Floats, capacity: float | None) -> tuple[Result, ...]:
    """Temperature at a time, or time to a temperature."""
    start, air = g.number("start"), g.number("air")
    rows: list[Result] = []
    if g.has("time"):
        then = cooling.held_k(*alike(start, air, g.number("time"), constant))
        rows.append(spread("temperature", then, "C", "after that time"))
        if capacity is not None:
            rows.append(spread("given_up", capacity * (start - then), "kJ", "heat given up until then"))
    if g.has("target"):
        took = cooling.cooling_time_s(*alike(start, g.number("target"), air, constant))
        rows.append(spread("target_time", took, "s", "until the target is reached"))
    return tuple(rows)


def _lump(g: Given, tables: Tables) -> tuple[float, float | None]:
    """Volume over surface [m], and the surface [m2] where it is known."""
    if g.has("ball"):
        over_zero(g, "ball")
        return g.number("ball") / 6, float(np.pi) * g.number("ball") ** 2
    if g.has("drum_mass") and g.has("area"):
        over_zero(g, "drum_mass", "area")
        return g.number("drum_mass") / density(g, tables) / g.number("area"), g.number("area")
    return _needed(g, "thick", "what cools has no size: without drum_mass and area, or ball, it"), None


def _drag(g: Given, _: Tables) -> Answer:
    speed, air = g.number("speed"), g.number("air")
    film, area = alike(g.many("film"), g.number("area"))
    moment, tyre = _bearing_moment(g), g.number("tyre") if g.has("tyre") else None
    if moment and tyre is None:
        raise NoAnswerError("a bearing's heat needs the tyre's rolling radius", "give tyre.")
    from_brake = heat.drag_w(g.number("drag"), speed)
    from_bearing = heat.bearing_w(moment, speed, tyre) if tyre is not None else 0.0
    rise = cooling.held_rise_k(*alike(from_brake + from_bearing, film, area))
    rows = [
        Result("brake_power", from_brake, "W", "heat flow of the dragging brake"),
        Result("bearing_moment", moment, "N m", "friction of the bearing"),
        Result("bearing_power", from_bearing, "W", "heat flow of the bearing"),
        spread("rise", rise, "K", "over the air, held as long as it rolls like this"),
        spread("temperature", air + rise, "F", "held"),
    ]
    says = [
        f"Held at {fahrenheit(air + rise)}, {warmer(rise)} over the air; it is the film that makes this wide."
    ]
    more, said = _holding(g) if g.has("held") else ((), ())
    return Answer((*rows, *more), (*says, *said))


def _holding(g: Given) -> tuple[tuple[Result, ...], tuple[str, ...]]:
    """The drag that a temperature found asks for."""
    over_zero(g, "speed")
    power = cooling.holding_w(*alike(g.number("held") - g.number("air"), g.many("film"), g.number("area")))
    rows = (
        spread("hold_power", power, "W", "heat flow that holds the temperature found"),
        spread("hold_drag", power / g.number("speed"), "lbf", "as a drag at the road"),
    )
    said = "A hub that keeps a temperature after miles without braking needs that much heat from a drag or a bearing."
    return rows, (said,)


def _bearing_moment(g: Given) -> float:
    """Friction moment as given, or from load, bore and friction; nothing where neither is given [N m]."""
    if g.has("bearing_moment"):
        return g.number("bearing_moment")
    if not g.has("bearing_load"):
        return 0.0
    bore = _needed(g, "bore", "a bearing's load")
    return heat.bearing_n_m(g.number("bearing_load"), bore, g.number("friction"))


DRUM_ASKS = (DRUM_ASK, *METAL_ASKS)

FORMULAS = (
    *braking.FORMULAS,
    *surface.FORMULAS,
    *colour.FORMULAS,
    Formula(
        name="repeated-stops",
        say="how hot a drum gets stop after stop, with cooling between, and where it ends",
        asks=(
            Ask("rise", "temperature difference", "rise of the whole drum in one stop, one number or low and high; or give energy", "dT", "", True),
            Ask("energy", "energy", "energy of one stop into the drum, one number or low and high", "E", "", True),
            Ask("gap", "time", "from one stop to the next, one number or low and high", "t", many=True),
            Ask("stops", "number", "how many", "n", default="1", within=(1.0, 1e5), whole=True),
            Ask("time_constant", "time", "in place of mass, film and surface, one number or low and high", "tau", "", True),
            *DRUM_ASKS[:3],
            AREA_ASK,
            FILM_ASK,
            AIR_ASK,
            START_ASK,
        ),
        work=_repeated,
        formula="r = exp(-t/tau), tau = md c/(h A); over the air just after stop n: dT (1 - r^n)/(1 - r) + (T0 - Ta) r^(n-1); many: dT/(1 - r)",
        source="geometric series over lumped cooling (Holman, Heat Transfer, chapter 4); in brake texts as repeated braking (Limpert, from memory)",
        holds=f"like stops, short beside the gaps; one temperature for the whole drum; one film coefficient. {FILM_SAID}",
        guard="tests/measure/test_heat.py: stepped in small times",
    ),
    Formula(
        name="cooling",
        say="how a lump of metal cools in air: temperature after a time, or time to a temperature",
        asks=(
            Ask("start", "temperature", "temperature at the start", "T0"),
            Ask("air", "temperature", "temperature of the air", "Ta", default="70 F"),
            Ask("film", "heat transfer", "film coefficient, one number or low and high; 5 to 15 is assumed for still air", "h", "5 15 W/m2K", True),
            Ask("time", "time", "a time, to learn the temperature", "t", default=""),
            Ask("target", "temperature", "a temperature, to learn the time", "T", default=""),
            *DRUM_ASKS,
            AREA_ASK,
            Ask("thick", "length", "volume over cooled surface, in place of mass and area", "V/A", default=""),
            Ask("ball", "length", "diameter of a ball, in place of mass and area", "D", default=""),
        ),
        work=_cooling,
        formula="T = Ta + (T0 - Ta) exp(-t/tau), tau = rho c (V/A)/h; Biot number h (V/A)/k",
        source="Holman, Heat Transfer, chapter 4, lumped-heat-capacity system, Example 4-1",
        holds="one temperature for the whole: Biot number up to 0.1. One film coefficient all the way, radiation only as part of it",
        guard="tests/published/test_heat.py: Holman Example 4-1",
    ),
    Formula(
        name="drag-heat",
        say="the temperature that a dragging brake or a bearing holds, and the drag that a temperature asks for",
        asks=(
            Ask("speed", "speed", "road speed", "v"),
            Ask("drag", "force", "drag of the brake, at the road", "F", default="0 lbf"),
            Ask("bearing_moment", "torque", "friction moment of the bearings; or give load, bore and friction", "M", default=""),
            Ask("bearing_load", "force", "load on the bearings", "P", default=""),
            Ask("bore", "length", "bearing bore", "d", default=""),
            Ask("friction", "share", "friction at the bore; tapered rollers in good order 0.17 to 0.25 %", "mu", default="0.25 %"),
            Ask("tyre", "length", "rolling radius of the tyre", "r", default="", within=(0.0, 2.0)),
            Ask("area", "area", "surface that the air cools", "A"),
            FILM_ASK,
            AIR_ASK,
            Ask("held", "temperature", "a temperature found, to learn what drag holds it", "T", default=""),
        ),
        work=_drag,
        formula="P = F v + M v/r, M = mu P d/2; T = Ta + P/(h A)",
        source="energy balance; friction of tapered roller bearings 0.0017 to 0.0025 from a bearing catalogue's table (page read)",
        holds=f"long enough to come to rest at one temperature; bearings in good order: a failing one has no published figure. {FILM_SAID}",
        guard="tests/measure/test_heat.py: power held and given back; tests/workout/test_heat.py",
    ),
)  # fmt: skip
