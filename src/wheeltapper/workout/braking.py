"""What a brake has to take from the road: a stop, or a steady run down a grade."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure import cooling, heat, number
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import one_way, over_zero
from wheeltapper.workout.metal import METAL_ASKS, specific_heat
from wheeltapper.workout.ranges import alike, corners
from wheeltapper.workout.rows import spread
from wheeltapper.workout.text import fahrenheit, warmer

MASS_ASKS = (
    Ask("mass", "mass", "mass on the road that is braked; or give its weight", "m", default=""),
    Ask("weight", "force", "weight, where a text divides it by a gravity of its own", "W", default=""),
    Ask(
        "gravity",
        "acceleration",
        "gravity, for grades and for a weight",
        "g",
        default="1 g",
        within=(0.0, 100.0),
    ),
)
DRAG_ASKS = (
    Ask("grade", "share", "fall over level distance, negative uphill", "s", default="0 %", within=(-1.0, 1.0)),
    Ask("rolling", "share", "rolling drag over the load, one number or low and high; tyres about 1 %", "f", "0 %", True),
    Ask("drag_area", "area", "air drag: coefficient times frontal area", "Cd A", default="0 m2"),
    Ask("air_density", "density", "density of the air", "rho_a", default="1.2 kg/m3"),
)  # fmt: skip
SHARE_ASKS = (
    Ask("tow_share", "share", "part that the tow vehicle's brakes and engine take, one number or low and high", "", "0 %", True),
    Ask("brakes", "number", "how many brakes share the rest", "z", default="1", within=(1.0, 100.0), whole=True),
    Ask("uneven", "share", "how much more than its even part this brake takes, one number or low and high", "", "0 %", True),
    Ask("drum_share", "share", "part of the heat that goes into the drum and not the lining, one number or low and high", "", "100 %", True),
)  # fmt: skip
STOP_ASKS = (
    *MASS_ASKS,
    Ask("from_speed", "speed", "speed when braking begins; left out: from both the time and the distance of the stop", "v1", default=""),
    Ask("to_speed", "speed", "speed when it ends", "v2", default="0 mph"),
    Ask("slowing", "acceleration", "deceleration; or give the time or the distance of the stop", "a", default=""),
    Ask("stop_time", "time", "time of the stop", "t", default=""),
    Ask("stop_distance", "length", "distance of the stop", "d", default="", within=(0.0, 1e4)),
    Ask("turning_mass", "mass", "what turning wheels add: inertia over rolling radius squared", "I/r2", default="0 kg"),
    *DRAG_ASKS,
    *SHARE_ASKS,
)  # fmt: skip
LOSSES = ("rolling", "tow_share", "uneven", "drum_share")


@dataclass(frozen=True)
class Stop:
    """One stop: floats where every input is one number, arrays over the corners where some are ranges [SI]."""

    moving: float
    grade: float
    lost: Floats
    brakes: Floats
    one: Floats
    drum: Floats
    time: float | None
    distance: float | None


def mass(g: Given) -> float:
    """The mass on the road [kg]."""
    way = one_way(g, "write mass='3500 lb'.", mass="the mass", weight="the weight")
    return g.number("mass") if way == "mass" else g.number("weight") / gravity(g)


def gravity(g: Given) -> float:
    """Gravity as given [m/s2]."""
    over_zero(g, "gravity")
    return g.number("gravity")


def stop(g: Given) -> Stop:
    """One stop from the inputs STOP_ASKS."""
    kg, v1, v2 = mass(g), first_speed(g), g.number("to_speed")
    over_zero(g, "from_speed")
    rolling, tow, uneven, drum = corners(g, *LOSSES)
    share = heat.one_brake_share(*alike(g.number("brakes"), tow, uneven))
    number.part_of_one("the drum's part of the heat", drum)
    slowing = _slowing(g, v1, v2)
    moving = heat.moving_j(kg, v1, v2, g.number("turning_mass"))
    time = heat.stop_time_s(v1, v2, slowing) if slowing else None
    distance = heat.stop_distance_m(v1, v2, slowing) if slowing else None
    if distance is None and (g.number("grade") or g.number("drag_area") or np.any(rolling)):
        raise NoAnswerError(
            "a grade or drag needs the length of the stop", "give slowing, stop_time or stop_distance."
        )
    along = heat.grade_n(kg, g.number("grade"), gravity(g)) * (distance or 0.0)
    lost = (_rolling(g, kg, rolling) + _air(g, v1, v2)) * (distance or 0.0)
    whole = np.maximum(moving + along - lost, 0.0)
    return Stop(moving, along, lost, whole * (1 - tow), whole * share, whole * share * drum, time, distance)


def first_speed(g: Given) -> float:
    """Speed when braking begins: as given, else what an even stop of that time and distance begins with [m/s]."""
    if g.has("from_speed"):
        return g.number("from_speed")
    if not (g.has("stop_time") and g.has("stop_distance")):
        raise NoAnswerError(
            "the speed is not known when braking begins", "give from_speed, or both stop_time and stop_distance."
        )  # fmt: skip
    over_zero(g, "stop_time", "stop_distance")
    speed = 2 * g.number("stop_distance") / g.number("stop_time") - g.number("to_speed")
    if speed <= g.number("to_speed"):
        raise NoAnswerError("so short a distance in that time is no braking", "read time and distance again.")
    return speed


def _slowing(g: Given, v1: float, v2: float) -> float | None:
    told = [name for name in ("slowing", "stop_time", "stop_distance") if g.has(name)]
    if not g.has("from_speed"):
        told.remove("stop_distance")  # it told the speed
    if len(told) > 1:
        raise NoAnswerError(f"{' and '.join(told)} say the same thing twice", "give one of them.")
    if not told:
        return None
    value = g.number(told[0])
    over_zero(g, told[0])
    return {"slowing": value, "stop_time": (v1 - v2) / value, "stop_distance": (v1**2 - v2**2) / (2 * value)}[told[0]]  # fmt: skip


def _rolling(g: Given, kg: float, rolling: Floats) -> Floats:
    on_road, grade, share = alike(kg, g.number("grade"), rolling)
    return heat.rolling_n(on_road, grade, share, gravity(g))


def _air(g: Given, v1: float, v2: float) -> float:
    return heat.air_n(g.number("drag_area"), v1, v2, g.number("air_density"))


def stop_results(s: Stop, v1: float) -> tuple[Result, ...]:
    """What a textbook prints of a stop."""
    rows = [
        Result("moving_energy", s.moving, "kJ", "energy of motion given up"),
        Result("grade_energy", s.grade, "kJ", "added by the grade over the stop"),
        spread("lost_energy", s.lost, "kJ", "taken by rolling and air drag"),
        spread("brake_energy", s.brakes, "kJ", "left for all these brakes"),
        spread("one_brake", s.one, "kJ", "taken by one brake"),
        spread("one_drum", s.drum, "kJ", "that goes into its drum"),
    ]
    if s.time is not None and s.distance is not None:
        rows += [
            Result("time", s.time, "s", "time of the stop"),
            Result("distance", s.distance, "m", "distance of the stop"),
            spread("mean_power", s.brakes / s.time, "kW", "of all these brakes, mean over the stop"),
            spread("first_power", s.brakes / s.distance * v1, "kW", "of all these brakes when the stop begins"),
            spread("one_first_power", s.one / s.distance * v1, "kW", "of one brake when the stop begins"),
        ]  # fmt: skip
    return tuple(rows)


def _stop_heat(g: Given, tables: Tables) -> Answer:
    s = stop(g)
    rows = [*stop_results(s, first_speed(g))]
    if not g.has("from_speed"):
        rows.insert(0, Result("from_speed", first_speed(g), "mph", "speed when braking began, 2 d/t - v2"))
    says = []
    if g.has("drum_mass"):
        rise = heat.bulk_rise_k(*alike(s.drum, g.number("drum_mass"), specific_heat(g, tables)))
        end = g.number("start") + rise
        rows += [spread("rise", rise, "K", "of the whole drum, nothing lost meanwhile"), spread("end", end, "F", "the drum after it")]  # fmt: skip
        says.append(
            f"One such stop warms the whole drum by {warmer(rise)}, to {fahrenheit(end)}. Its rubbed skin is hotter for some seconds: see surface-heat."
        )
    return Answer(tuple(rows), tuple(says))


def _descent(g: Given, tables: Tables) -> Answer:
    kg, v = mass(g), g.number("speed")
    over_zero(g, "speed", "length")
    rolling, tow, uneven, drum, film = corners(g, *LOSSES, "film")
    number.part_of_one("the drum's part of the heat", drum)
    pull = heat.grade_n(kg, g.number("grade"), gravity(g))
    held = _rolling(g, kg, rolling) + _air(g, v, v)
    whole = heat.drag_w(*alike(np.maximum(pull - held, 0.0), v))
    one = whole * heat.one_brake_share(*alike(g.number("brakes"), tow, uneven))
    time = g.number("length") / v
    rows = (
        Result("pull", pull, "N", "pull of the grade"),
        spread("drag", held, "N", "held back by rolling and air"),
        spread("brake_power", whole * (1 - tow), "kW", "left for all these brakes"),
        spread("one_brake", one, "kW", "of one brake"),
        Result("time", time, "min", "down the grade"),
        spread("one_energy", one * time, "MJ", "taken by one brake on the way"),
    )
    warm, says = _warmed(g, tables, one * drum, film, time)
    if not np.any(whole):
        says = ("Rolling and air alone hold this speed: the brakes have nothing to do.", *says)
    return Answer((*rows, *warm), says)


def _warmed(
    g: Given, tables: Tables, power: Floats, film: Floats, time: float
) -> tuple[tuple[Result, ...], tuple[str, ...]]:
    """The drum on the way down, where its mass and cooled surface are given."""
    if not (g.has("drum_mass") and g.has("area")):
        return (), ()
    kg, c, h, area = alike(g.number("drum_mass"), specific_heat(g, tables), film, g.number("area"))
    constant = cooling.time_constant_s(kg, c, h, area)
    final = g.number("air") + cooling.held_rise_k(power, h, area)
    foot = cooling.held_k(*alike(g.number("start"), final, time, constant))
    rows = (
        spread("time_constant", constant, "min", "63 % of the way to the final temperature"),
        spread("foot", foot, "F", "the whole drum at the foot of the grade"),
        spread("final", final, "F", "where it would end on an endless grade"),
    )
    said = f"At the foot of the grade the whole drum is at {fahrenheit(foot)}; an endless grade would take it to {fahrenheit(final)}."
    return rows, (said,)


def _heat_asks(*more: Ask) -> tuple[Ask, ...]:
    return (DRUM_ASK, *METAL_ASKS[:2], START_ASK, *more)


FILM_ASK = Ask("film", "heat transfer", "film coefficient, one number or low and high; 20 to 80 is assumed for a rolling wheel", "h", "20 80 W/m2K", True)  # fmt: skip
FILM_SAID = "The film range is assumed: no published figure for a light trailer's drum was found"
DRUM_ASK = Ask("drum_mass", "mass", "mass of the drum that takes the heat", "md", default="")
START_ASK = Ask("start", "temperature", "the drum before", "T0", default="70 F")
AREA_ASK = Ask("area", "area", "surface that the air cools", "A", default="")
AIR_ASK = Ask("air", "temperature", "temperature of the air", "Ta", default="70 F")

FORMULAS = (
    Formula(
        name="stop-heat",
        say="energy, time and power of a stop, the part of one brake, and how much its drum warms",
        asks=(*STOP_ASKS, *_heat_asks()),
        work=_stop_heat,
        formula="E = (m + I/r2)(v1^2 - v2^2)/2 + m g sin(atan s) d - (f m g cos(atan s) + rho_a Cd A (v1^2 + v2^2)/4) d; "
        "without v1: v1 = 2 d/t - v2; one brake E (1 - tow)(1 + uneven)/z; rise = E x drum share / (md c)",
        source="energy balance; Wentzell, Machine Design, Example 16.5 p. 365 (second-hand copy read)",
        holds="an even deceleration; one temperature for the whole drum and nothing lost meanwhile, so the rise is a most for the bulk and a "
        "least for the skin. How brakes divide the work is given, never guessed",
        guard="tests/published/test_heat.py: Wentzell Example 16.5, OpenStax College Physics Example 14.2",
    ),
    Formula(
        name="descent-heat",
        say="power and energy of one brake on a long grade at a steady speed, and how hot its drum gets",
        asks=(
            *MASS_ASKS,
            Ask("speed", "speed", "steady speed", "v"),
            Ask("length", "distance", "length of the grade", "L"),
            *DRAG_ASKS,
            *SHARE_ASKS,
            *_heat_asks(AIR_ASK, AREA_ASK, FILM_ASK),
        ),
        work=_descent,
        formula="P = (m g sin(atan s) - f m g cos(atan s) - rho_a Cd A v^2/2) v (1 - tow)(1 + uneven)/z; "
        "T = Tf + (T0 - Tf) exp(-h A t/(md c)), Tf = Ta + P x drum share/(h A)",
        source="force balance; the EU rail TSI's reference slope for thermal capacity (21 permille, 70 km/h, 40 km: 45 kW a wheel)",
        holds="steady speed, one temperature for the whole drum, one film coefficient; radiation only as part of the film. "
        f"{FILM_SAID}. The grade severity constants in circulation are not used",
        guard="tests/published/test_heat.py: rail TSI slope; tests/measure/test_heat.py: stepped in small times",
    ),
)
