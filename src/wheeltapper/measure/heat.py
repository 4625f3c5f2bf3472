"""Where the heat of a brake comes from: stops, long grades, a brake or bearing that drags. Numbers in, numbers out.

Ends at energy and power and the rise they make in a lump of metal; how the lump cools is in `cooling`, how hot its
skin gets in `half_space`. Knows no part names. It will not guess how brakes divide the work: shares are given.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from wheeltapper.measure.number import Num, above_zero, not_negative, part_of_one
from wheeltapper.problems import NoAnswerError

Explained = Literal["explained", "not explained", "cannot say"]


def moving_j(mass_kg: Num, from_m_s: Num, to_m_s: Num, turning_kg: Num) -> Num:
    """Energy of motion given up between two speeds.

    Args:
        mass_kg: mass on the road [kg].
        from_m_s: speed at the start [m/s].
        to_m_s: speed at the end, zero for a full stop [m/s].
        turning_kg: what turning wheels add, their inertia over the rolling radius squared; zero to leave it out [kg].

    Returns:
        Energy [J].

    Raises:
        NoAnswerError: no mass, a negative speed or turning mass, or the end is faster than the start.

    References:
        Any mechanics text: (m + I / r2) (v1^2 - v2^2) / 2.
    """
    above_zero("the mass", mass_kg)
    not_negative("the turning mass", turning_kg)
    _slower(from_m_s, to_m_s)
    return (mass_kg + turning_kg) * (from_m_s**2 - to_m_s**2) / 2


def stop_time_s(from_m_s: Num, to_m_s: Num, slowing_m_s2: Num) -> Num:
    """How long an even braking takes.

    Args:
        from_m_s: speed at the start [m/s].
        to_m_s: speed at the end [m/s].
        slowing_m_s2: deceleration [m/s2].

    Returns:
        Time [s].

    Raises:
        NoAnswerError: no deceleration, a negative speed, or the end is faster than the start.
    """
    _slower(from_m_s, to_m_s)
    above_zero("the deceleration", slowing_m_s2)
    return (from_m_s - to_m_s) / slowing_m_s2


def stop_distance_m(from_m_s: Num, to_m_s: Num, slowing_m_s2: Num) -> Num:
    """How far an even braking goes.

    Args:
        from_m_s: speed at the start [m/s].
        to_m_s: speed at the end [m/s].
        slowing_m_s2: deceleration [m/s2].

    Returns:
        Distance [m].

    Raises:
        NoAnswerError: no deceleration, a negative speed, or the end is faster than the start.
    """
    _slower(from_m_s, to_m_s)
    above_zero("the deceleration", slowing_m_s2)
    return (from_m_s**2 - to_m_s**2) / (2 * slowing_m_s2)


def _slower(from_m_s: Any, to_m_s: Any) -> None:
    not_negative("a speed", to_m_s)
    not_negative("a speed", from_m_s)
    if bool(np.any(np.asarray(to_m_s) > np.asarray(from_m_s))):
        raise NoAnswerError(
            "the end speed is higher than the start speed", "give the higher speed as the start."
        )


def grade_n(mass_kg: Num, grade_share: Num, gravity_m_s2: float) -> Num:
    """Pull of a grade along the road, positive downhill.

    Args:
        mass_kg: mass on the road [kg].
        grade_share: fall over level distance, 0.06 for a 6 % grade; negative uphill.
        gravity_m_s2: gravity [m/s2].

    Returns:
        Force [N].

    Raises:
        NoAnswerError: no mass.
    """
    above_zero("the mass", mass_kg)
    pull: Num = mass_kg * gravity_m_s2 * grade_share / np.sqrt(1 + grade_share**2)
    return pull


def rolling_n(mass_kg: Num, grade_share: Num, rolling_share: Num, gravity_m_s2: float) -> Num:
    """Rolling drag of tyres on a grade.

    Args:
        mass_kg: mass on the road [kg].
        grade_share: fall over level distance.
        rolling_share: rolling drag over the load on the road, about 0.01 for tyres.
        gravity_m_s2: gravity [m/s2].

    Returns:
        Force [N].

    Raises:
        NoAnswerError: no mass, or a rolling share outside 0 to 1.
    """
    above_zero("the mass", mass_kg)
    part_of_one("the rolling drag", rolling_share)
    drag: Num = mass_kg * gravity_m_s2 * rolling_share / np.sqrt(1 + grade_share**2)
    return drag


def air_n(drag_area_m2: Num, from_m_s: Num, to_m_s: Num, air_kg_m3: Num) -> Num:
    """Air drag, as its mean over the distance of an even braking; both speeds alike on a steady run.

    Args:
        drag_area_m2: drag coefficient times frontal area [m2].
        from_m_s: speed at the start [m/s].
        to_m_s: speed at the end [m/s].
        air_kg_m3: density of the air [kg/m3].

    Returns:
        Force [N]. Exact, since the square of the speed falls evenly with the distance.

    Raises:
        NoAnswerError: a negative drag area or speed, no air, or the end is faster than the start.
    """
    not_negative("the drag area", drag_area_m2)
    above_zero("the air's density", air_kg_m3)
    _slower(from_m_s, to_m_s)
    return air_kg_m3 * drag_area_m2 * (from_m_s**2 + to_m_s**2) / 4


def one_brake_share(brakes: Num, tow_share: Num, uneven_share: Num) -> Num:
    """What one brake takes of the whole work.

    Args:
        brakes: how many brakes share it.
        tow_share: part that the tow vehicle's brakes and engine take.
        uneven_share: how much more than its even part this brake takes; 0.2 is a fifth more, negative is less.

    Returns:
        Part of the whole, 0 to 1.

    Raises:
        NoAnswerError: fewer than one brake, a share outside 0 to 1, or one brake would take more than there is.
    """
    if not bool(np.all(np.asarray(brakes) >= 1)):
        raise NoAnswerError("fewer than one brake shares the work", "give how many brakes worked.")
    part_of_one("the tow vehicle's part", tow_share)
    share = (1 - tow_share) * (1 + uneven_share) / brakes
    part_of_one("what falls on this brake", share)
    return share


def rubbed_share(effusivity: Num, other_effusivity: Num, covered_share: Num) -> Num:
    """Part of the rubbing heat that goes into one of two faces, while both are thick.

    Args:
        effusivity: square root of conductivity x density x specific heat of the face that is rubbed all over
            [W s^0.5/(m2 K)].
        other_effusivity: the same of the pad that rubs it [W s^0.5/(m2 K)].
        covered_share: part of the face that pads cover at one time.

    Returns:
        Part into the face, 0 to 1.

    Raises:
        NoAnswerError: an effusivity of zero or less, or a covered share outside 0 to 1.

    References:
        Equal surface temperature of two half spaces (Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed., 2.9);
        its use for brakes: Limpert, Brake Design and Safety, chapter 3. From memory, neither page seen.
    """
    above_zero("an effusivity", effusivity)
    above_zero("an effusivity", other_effusivity)
    part_of_one("the covered part", covered_share)
    return effusivity / (effusivity + covered_share * other_effusivity)


def bulk_rise_k(energy_j: Num, mass_kg: Num, specific_heat_j_kg_k: Num) -> Num:
    """How much warmer a lump gets throughout, nothing lost meanwhile.

    Args:
        energy_j: heat that goes into it [J].
        mass_kg: its mass [kg].
        specific_heat_j_kg_k: its specific heat [J/(kg K)].

    Returns:
        Rise [K].

    Raises:
        NoAnswerError: negative heat, no mass or no specific heat.
    """
    not_negative("the heat", energy_j)
    above_zero("the mass that takes the heat", mass_kg)
    above_zero("the specific heat", specific_heat_j_kg_k)
    return energy_j / (mass_kg * specific_heat_j_kg_k)


def drag_w(force_n: Num, speed_m_s: Num) -> Num:
    """Heat flow of something that drags: force at the road times speed.

    Args:
        force_n: drag, reckoned at the road [N].
        speed_m_s: road speed [m/s].

    Returns:
        Power [W].

    Raises:
        NoAnswerError: a negative force or speed.
    """
    not_negative("the drag", force_n)
    not_negative("a speed", speed_m_s)
    return force_n * speed_m_s


def bearing_n_m(load_n: Num, bore_m: Num, friction_share: Num) -> Num:
    """Friction moment of a rolling bearing in good order, roughly.

    Args:
        load_n: load on the bearing [N].
        bore_m: its bore [m].
        friction_share: friction reckoned at the bore, 0.0017 to 0.0025 for tapered rollers.

    Returns:
        Moment [N m].

    Raises:
        NoAnswerError: a negative load, no bore, or friction outside 0 to 1.

    References:
        A bearing catalogue's page of friction coefficients (read): M = friction x load x bore / 2. A failing bearing has
        no published figure: its moment may be many times this.
    """
    not_negative("the load", load_n)
    above_zero("the bore", bore_m)
    part_of_one("the friction", friction_share)
    return friction_share * load_n * bore_m / 2


def bearing_w(moment_n_m: Num, speed_m_s: Num, tyre_m: Num) -> Num:
    """Heat flow of a bearing on a rolling wheel.

    Args:
        moment_n_m: friction moment [N m].
        speed_m_s: road speed [m/s].
        tyre_m: rolling radius of the tyre [m].

    Returns:
        Power [W].

    Raises:
        NoAnswerError: a negative moment or speed, or no tyre radius.
    """
    not_negative("the moment", moment_n_m)
    not_negative("a speed", speed_m_s)
    above_zero("the tyre's radius", tyre_m)
    return moment_n_m * speed_m_s / tyre_m


def explained(seen_low_k: float, seen_high_k: float, made_low_k: float, made_high_k: float) -> Explained:
    """Do the temperatures that a story can make reach what the metal shows?

    Args:
        seen_low_k: lowest peak that fits what is seen [K].
        seen_high_k: highest such peak [K].
        made_low_k: least peak that the story makes [K].
        made_high_k: most that it makes [K].

    Returns:
        "explained" where even the least it makes is as hot as the most that is asked, "not explained" where the most
        it makes is not as hot as the least asked, else "cannot say".

    Raises:
        NoAnswerError: a range upside down.
    """
    if seen_low_k > seen_high_k or made_low_k > made_high_k:
        raise NoAnswerError("a range of temperature is upside down", "give the low one first.")
    if made_low_k >= seen_high_k:
        return "explained"
    return "not explained" if made_high_k < seen_low_k else "cannot say"
