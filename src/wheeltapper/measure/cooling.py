"""How a lump of metal warms and cools when it is as warm inside as outside: once, stop after stop, down a grade.

One temperature for the whole lump, one film coefficient to one air. `biot` says whether that holds (0.1 at most).
It gives no film coefficient: a rolling wheel's is known to no better than a factor, so callers give a range.
"""

from __future__ import annotations

import numpy as np

from wheeltapper.measure.number import Num, above_zero, not_negative
from wheeltapper.problems import NoAnswerError

BIOT_MOST = 0.1  # Holman, Heat Transfer, chapter 4: the whole may be taken as one temperature up to here


def biot(film_w_m2_k: Num, thick_m: Num, conductivity_w_m_k: Num) -> Num:
    """Biot number: how the resistance inside compares with that of the film outside.

    Args:
        film_w_m2_k: film coefficient [W/(m2 K)].
        thick_m: volume over cooled surface [m].
        conductivity_w_m_k: conductivity of the metal [W/(m K)].

    Returns:
        Ratio; up to 0.1 the lump may be taken as one temperature.

    Raises:
        NoAnswerError: any of them zero or less.

    References:
        Holman, Heat Transfer, chapter 4, lumped-heat-capacity system: h (V / A) / k < 0.1.
    """
    above_zero("the film coefficient", film_w_m2_k)
    above_zero("volume over surface", thick_m)
    above_zero("the conductivity", conductivity_w_m_k)
    return film_w_m2_k * thick_m / conductivity_w_m_k


def time_constant_s(mass_kg: Num, specific_heat_j_kg_k: Num, film_w_m2_k: Num, area_m2: Num) -> Num:
    """Time in which the lump loses 63 % of what it is warmer than the air.

    Args:
        mass_kg: its mass [kg].
        specific_heat_j_kg_k: its specific heat [J/(kg K)].
        film_w_m2_k: film coefficient [W/(m2 K)].
        area_m2: cooled surface [m2].

    Returns:
        Time constant m c / (h A) [s].

    Raises:
        NoAnswerError: any of them zero or less.
    """
    above_zero("the mass that cools", mass_kg)
    above_zero("the specific heat", specific_heat_j_kg_k)
    above_zero("the film coefficient", film_w_m2_k)
    above_zero("the cooled surface", area_m2)
    return mass_kg * specific_heat_j_kg_k / (film_w_m2_k * area_m2)


def cooling_time_s(start_k: Num, target_k: Num, air_k: Num, constant_s: Num) -> Num:
    """Time to cool (or warm) to a temperature.

    Args:
        start_k: temperature at the start [K].
        target_k: temperature to reach [K].
        air_k: temperature of the air [K].
        constant_s: time constant [s].

    Returns:
        Time [s].

    Raises:
        NoAnswerError: the target is not between start and air, so it is never reached; or no time constant.

    References:
        Holman, Heat Transfer, Example 4-1.
    """
    above_zero("the time constant", constant_s)
    left = (np.asarray(target_k) - air_k) / np.where(np.asarray(start_k) == air_k, np.nan, start_k - air_k)
    if not bool(np.all((left > 0) & (left <= 1))):
        raise NoAnswerError(
            "the temperature to reach is not between the start and the air",
            "give one on the way there; the air's own temperature is only ever approached.",
        )
    out: Num = constant_s * -np.log((target_k - air_k) / (start_k - air_k))
    return out


def holding_w(rise_k: Num, film_w_m2_k: Num, area_m2: Num) -> Num:
    """Heat flow that holds a lump so much warmer than the air.

    Args:
        rise_k: how much warmer [K].
        film_w_m2_k: film coefficient [W/(m2 K)].
        area_m2: cooled surface [m2].

    Returns:
        Power [W].

    Raises:
        NoAnswerError: a negative rise, no film coefficient or no surface.
    """
    not_negative("the rise", rise_k)
    above_zero("the film coefficient", film_w_m2_k)
    above_zero("the cooled surface", area_m2)
    return rise_k * film_w_m2_k * area_m2


def held_rise_k(power_w: Num, film_w_m2_k: Num, area_m2: Num) -> Num:
    """How much warmer than the air a lump ends under a steady heat flow.

    Args:
        power_w: heat flow into it [W].
        film_w_m2_k: film coefficient [W/(m2 K)].
        area_m2: cooled surface [m2].

    Returns:
        Rise over the air [K].

    Raises:
        NoAnswerError: a negative heat flow, no film coefficient or no surface.
    """
    not_negative("the heat flow", power_w)
    above_zero("the film coefficient", film_w_m2_k)
    above_zero("the cooled surface", area_m2)
    return power_w / (film_w_m2_k * area_m2)


def held_k(start_k: Num, final_k: Num, time_s: Num, constant_s: Num) -> Num:
    """Temperature on the way to a final one: under a steady heat flow, or to the air with none.

    Args:
        start_k: temperature at the start [K].
        final_k: temperature that it approaches [K].
        time_s: how long [s].
        constant_s: time constant [s].

    Returns:
        Temperature [K].

    Raises:
        NoAnswerError: a negative time or no time constant.

    References:
        Holman, Heat Transfer, chapter 4, lumped-heat-capacity system.
    """
    not_negative("the time", time_s)
    above_zero("the time constant", constant_s)
    out: Num = final_k + (start_k - final_k) * np.exp(-time_s / constant_s)
    return out


def after_stop_k(rise_k: Num, start_k: Num, gap_s: Num, constant_s: Num, stops: Num) -> Num:
    """How much warmer than the air a lump is just after the last of several like stops.

    Args:
        rise_k: rise made by each stop [K].
        start_k: how much warmer than the air it is before the first stop [K].
        gap_s: time from one stop to the next [s].
        constant_s: time constant of the cooling between [s].
        stops: how many stops, one or more.

    Returns:
        Rise over the air [K].

    Raises:
        NoAnswerError: a negative rise, no time between stops, no time constant, or stops that are not 1, 2, 3, ...

    References:
        Sum of a geometric series: rise (1 - r^n) / (1 - r) + start r^(n - 1), r = exp(-gap / constant).
    """
    not_negative("the rise of one stop", rise_k)
    above_zero("the time between stops", gap_s)
    above_zero("the time constant", constant_s)
    if not bool(np.all((np.asarray(stops) >= 1) & (np.asarray(stops) % 1 == 0))):
        raise NoAnswerError(
            "the stops are not a whole number of one or more", "give how many stops there were."
        )
    x = gap_s / constant_s
    out: Num = rise_k * (np.expm1(-stops * x) / np.expm1(-x)) + start_k * np.exp(-(stops - 1) * x)
    return out


def steady_stop_k(rise_k: Num, gap_s: Num, constant_s: Num) -> Num:
    """The top of the saw-tooth that like stops approach, over the air; the bottom is one rise lower.

    Args:
        rise_k: rise made by each stop [K].
        gap_s: time from one stop to the next [s].
        constant_s: time constant of the cooling between [s].

    Returns:
        Rise over the air just after a stop [K].

    Raises:
        NoAnswerError: a negative rise, no time between stops, or no time constant.
    """
    not_negative("the rise of one stop", rise_k)
    above_zero("the time between stops", gap_s)
    above_zero("the time constant", constant_s)
    out: Num = rise_k / -np.expm1(-gap_s / constant_s)
    return out
