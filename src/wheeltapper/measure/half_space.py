"""How hot the skin of thick metal gets, and how deep the heat reaches: closed solutions for the half space.

One dimension, constant material. A wall is a half space only while the heat has not reached its back: `wall_error_share`
says how far off that is, and `wall_rise_k` takes the wall as it is, with no heat out of its back. It does not know spots:
heat that gathers in a patch makes the patch hotter than anything here.
"""

from __future__ import annotations

from collections.abc import Callable
from math import erfc as one_erfc
from math import pi, sqrt
from typing import Any

import numpy as np

from wheeltapper.measure.number import Floats, Num, above_zero, not_negative
from wheeltapper.problems import NoAnswerError

PEAK = 4 / (
    3 * sqrt(2 * pi)
)  # highest surface rise of one stop, over flux x sqrt(time) / effusivity; at half the time
AT_STOP = 2 / (3 * sqrt(pi))  # the same when it stands
_SCALED_FROM = (
    25.0  # beyond this exp(x^2) erfc(x) is taken from its series; six terms there are good to 1e-16
)
MOST_IMAGES = 200  # of a wall: past them it has long been at one temperature all through
THIN = ("the wall is so thin that all of it is equally hot", "use stop-heat, or read the wall again.")
_each_erfc = np.vectorize(one_erfc, otypes=[float])


def erfc(x: Num) -> Num:
    """Complementary error function.

    Args:
        x: any number or array.

    Returns:
        erfc(x), to the last digits of a float.
    """
    out: Num = _each_erfc(x)[()]
    return out


def erfc_once(x: Num) -> Num:
    """First integral of erfc from x to infinity.

    Args:
        x: any number or array.

    Returns:
        ierfc(x) = exp(-x^2) / sqrt(pi) - x erfc(x).

    References:
        Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed., appendix II.
    """
    out: Num = np.exp(-(x**2)) / sqrt(pi) - x * erfc(x)
    return out


def erfc_thrice(x: Num) -> Num:
    """Third integral of erfc from x to infinity.

    Args:
        x: any number or array.

    Returns:
        i3erfc(x), from 2n i^n = i^(n-2) - 2x i^(n-1).

    References:
        Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed., appendix II.
    """
    once = erfc_once(x)
    twice = (erfc(x) - 2 * x * once) / 4
    return (once - 2 * x * twice) / 6


def erfc_scaled(x: Num) -> Num:
    """exp(x^2) erfc(x) for x of zero or more, without overflow.

    Args:
        x: zero or more.

    Returns:
        The product, 1 at zero and falling.

    References:
        Abramowitz & Stegun, Handbook of Mathematical Functions, 7.1.23, for large x.
    """
    near, far = np.minimum(x, _SCALED_FROM), np.maximum(x, _SCALED_FROM)
    term, series = np.ones_like(far), np.ones_like(far)
    for n in range(1, 6):
        term = term * (1 - 2 * n) / (2 * far**2)
        series = series + term
    out: Num = np.where(
        np.asarray(x) <= _SCALED_FROM, np.exp(near**2) * _each_erfc(near), series / (far * sqrt(pi))
    )[()]
    return out


def diffusivity_m2_s(conductivity_w_m_k: Num, density_kg_m3: Num, specific_heat_j_kg_k: Num) -> Num:
    """Thermal diffusivity.

    Args:
        conductivity_w_m_k: conductivity [W/(m K)].
        density_kg_m3: density [kg/m3].
        specific_heat_j_kg_k: specific heat [J/(kg K)].

    Returns:
        Diffusivity k / (rho c) [m2/s].

    Raises:
        NoAnswerError: any of them zero or less.
    """
    above_zero("the conductivity", conductivity_w_m_k)
    above_zero("the density", density_kg_m3)
    above_zero("the specific heat", specific_heat_j_kg_k)
    return conductivity_w_m_k / (density_kg_m3 * specific_heat_j_kg_k)


def effusivity(conductivity_w_m_k: Num, diffusivity_m2_s: Num) -> Num:
    """Thermal effusivity, the square root of conductivity x density x specific heat.

    Args:
        conductivity_w_m_k: conductivity [W/(m K)].
        diffusivity_m2_s: diffusivity [m2/s].

    Returns:
        Effusivity [W s^0.5/(m2 K)].

    Raises:
        NoAnswerError: either zero or less.
    """
    above_zero("the conductivity", conductivity_w_m_k)
    above_zero("the diffusivity", diffusivity_m2_s)
    out: Num = conductivity_w_m_k / np.sqrt(diffusivity_m2_s)
    return out


def held_surface_share(depth_m: Num, time_s: Num, diffusivity_m2_s: Num) -> Num:
    """How far the metal at a depth has followed a surface that is held at one temperature.

    Args:
        depth_m: depth under the surface [m].
        time_s: time since the surface was changed [s].
        diffusivity_m2_s: diffusivity [m2/s].

    Returns:
        Part of the step of the surface, 0 to 1: T = start + share (surface - start).

    Raises:
        NoAnswerError: a negative depth, no time or no diffusivity.

    References:
        Carslaw & Jaeger, 2nd ed., 2.4; Holman, Heat Transfer, chapter 4, semi-infinite solid.
    """
    out: Num = erfc(_eta(depth_m, time_s, diffusivity_m2_s))
    return out


def moving_air_share(
    depth_m: Num, time_s: Num, diffusivity_m2_s: Num, conductivity_w_m_k: Num, film_w_m2_k: Num
) -> Num:
    """How far the metal at a depth has followed an air (or other fluid) that suddenly washes the surface.

    Args:
        depth_m: depth under the surface [m].
        time_s: time since then [s].
        diffusivity_m2_s: diffusivity [m2/s].
        conductivity_w_m_k: conductivity [W/(m K)].
        film_w_m2_k: film coefficient [W/(m2 K)].

    Returns:
        Part of the way from the start to the fluid's temperature, 0 to 1.

    Raises:
        NoAnswerError: a negative depth, or any other of zero or less.

    References:
        Carslaw & Jaeger, 2nd ed., 2.7; Holman, Heat Transfer, chapter 4, semi-infinite solid with convection.
    """
    above_zero("the conductivity", conductivity_w_m_k)
    above_zero("the film coefficient", film_w_m2_k)
    eta = _eta(depth_m, time_s, diffusivity_m2_s)
    film = film_w_m2_k * np.sqrt(diffusivity_m2_s * time_s) / conductivity_w_m_k
    out: Num = erfc(eta) - np.exp(-(eta**2)) * erfc_scaled(eta + film)
    return out


def steady_flux_k(
    depth_m: Num, time_s: Num, flux_w_m2: Num, conductivity_w_m_k: Num, diffusivity_m2_s: Num
) -> Num:
    """Rise at a depth under a constant heat flow into the surface.

    Args:
        depth_m: depth under the surface [m].
        time_s: time since it began [s].
        flux_w_m2: heat flow for each area [W/m2].
        conductivity_w_m_k: conductivity [W/(m K)].
        diffusivity_m2_s: diffusivity [m2/s].

    Returns:
        Rise [K].

    Raises:
        NoAnswerError: a negative depth, no time, no conductivity or no diffusivity.

    References:
        Carslaw & Jaeger, 2nd ed., 2.9 (7); Holman, Heat Transfer, Example 4-2 (b).
    """
    above_zero("the conductivity", conductivity_w_m_k)
    eta = _eta(depth_m, time_s, diffusivity_m2_s)
    out: Num = 2 * flux_w_m2 * np.sqrt(diffusivity_m2_s * time_s) / conductivity_w_m_k * erfc_once(eta)
    return out


def stop_rise_k(
    depth_m: Num,
    time_s: Num,
    first_flux_w_m2: Num,
    stop_s: Num,
    conductivity_w_m_k: Num,
    diffusivity_m2_s: Num,
) -> Num:
    """Rise at a depth in and after one stop, whose heat flow falls evenly from its first value to nothing.

    Args:
        depth_m: depth under the surface [m].
        time_s: time since the stop began; it may be longer than the stop [s].
        first_flux_w_m2: heat flow for each area when the stop begins [W/m2].
        stop_s: how long the stop takes [s].
        conductivity_w_m_k: conductivity [W/(m K)].
        diffusivity_m2_s: diffusivity [m2/s].

    Returns:
        Rise [K]. At the surface it is highest at half the time.

    Raises:
        NoAnswerError: a negative depth, no time, no conductivity or no diffusivity.

    References:
        Carslaw & Jaeger, 2nd ed., 2.9 (flux as a power of time), added up by Duhamel's theorem.
    """
    above_zero("the time of the stop", stop_s)
    above_zero("the conductivity", conductivity_w_m_k)
    unit = first_flux_w_m2 / effusivity(conductivity_w_m_k, diffusivity_m2_s)
    after = np.maximum(time_s - stop_s, 0.0)
    falling = _ramp(depth_m, time_s, diffusivity_m2_s) - _ramp(depth_m, after, diffusivity_m2_s)
    eta = _eta(depth_m, time_s, diffusivity_m2_s)
    out: Num = unit * (2 * np.sqrt(time_s) * erfc_once(eta) - falling / stop_s)
    return out


def _ramp(depth_m: Any, time_s: Any, diffusivity_m2_s: Any) -> Any:
    """The answer to a flux that grows as time, over 1 / effusivity; zero before it begins."""
    begun = np.where(np.asarray(time_s) > 0, time_s, 1.0)
    grown = 8 * begun**1.5 * erfc_thrice(_eta(depth_m, begun, diffusivity_m2_s))
    return np.where(np.asarray(time_s) > 0, grown, 0.0)[()]


def stop_peak_k(first_flux_w_m2: Num, stop_s: Num, effusivity: Num) -> Num:
    """Highest surface rise of one stop, reached at half its time.

    Args:
        first_flux_w_m2: heat flow for each area when the stop begins [W/m2].
        stop_s: how long the stop takes [s].
        effusivity: square root of conductivity x density x specific heat [W s^0.5/(m2 K)].

    Returns:
        Rise [K]: 4 / (3 sqrt(2 pi)) q sqrt(t) / e. The short form sqrt(5 / 18) in brake texts is 0.9 % lower.

    Raises:
        NoAnswerError: no stopping time or no effusivity.
    """
    above_zero("the time of the stop", stop_s)
    above_zero("the effusivity", effusivity)
    out: Num = PEAK * first_flux_w_m2 * np.sqrt(stop_s) / effusivity
    return out


def wall_rise_k(
    depth_m: Num,
    time_s: Num,
    first_flux_w_m2: Num,
    stop_s: Num,
    conductivity_w_m_k: Num,
    diffusivity_m2_s: Num,
    wall_m: float,
) -> Num:
    """The same rise in a wall of a thickness that loses no heat through its back.

    Args:
        depth_m: depth under the rubbed surface, at most the wall [m].
        time_s: time since the stop began [s].
        first_flux_w_m2: heat flow for each area when the stop begins [W/m2].
        stop_s: how long the stop takes [s].
        conductivity_w_m_k: conductivity [W/(m K)].
        diffusivity_m2_s: diffusivity [m2/s].
        wall_m: thickness of the wall [m].

    Returns:
        Rise [K].

    Raises:
        NoAnswerError: a depth outside the wall, no wall, no time, no conductivity or no diffusivity.

    References:
        Method of images over `stop_rise_k`: Carslaw & Jaeger, 2nd ed., 3.8 (from memory for the clause).
    """
    above_zero("the wall's thickness", wall_m)
    if bool(np.any(np.asarray(depth_m) > wall_m)):
        raise NoAnswerError("the depth is more than the wall's thickness", "give a depth inside the wall.")
    reach = 6.5 * float(
        np.max(np.sqrt(np.asarray(diffusivity_m2_s) * time_s))
    )  # beyond, erfc is under 1e-5 of 1e-3

    def at(x: Any) -> Any:
        return stop_rise_k(x, time_s, first_flux_w_m2, stop_s, conductivity_w_m_k, diffusivity_m2_s)

    rise: Num = at(depth_m)
    if reach > MOST_IMAGES * wall_m:
        raise NoAnswerError(*THIN)
    for image in range(int(reach / wall_m) + 2):
        rise = rise + at(2 * (image + 1) * wall_m - depth_m) + at(2 * (image + 1) * wall_m + depth_m)
    return rise


def fourier(time_s: Num, diffusivity_m2_s: Num, wall_m: Num) -> Num:
    """Fourier number of a wall: how far the heat has come through it.

    Args:
        time_s: time [s].
        diffusivity_m2_s: diffusivity [m2/s].
        wall_m: thickness [m].

    Returns:
        Ratio; up to about 0.3 the wall is a half space to 1 % at its rubbed surface.

    Raises:
        NoAnswerError: any of them zero or less.
    """
    above_zero("the time", time_s)
    above_zero("the diffusivity", diffusivity_m2_s)
    above_zero("the wall's thickness", wall_m)
    return time_s * diffusivity_m2_s / wall_m**2


def wall_error_share(fourier: float) -> float:
    """How much too low the half space puts the surface of a wall, under a steady heat flow.

    Args:
        fourier: Fourier number of the wall.

    Returns:
        Part of the half space's rise that must be added; 0.01 is one per cent.

    Raises:
        NoAnswerError: a Fourier number of zero or less.

    References:
        Images: 2 sqrt(pi) times the sum of ierfc(n / sqrt(Fourier number)), n = 1, 2, ...
    """
    above_zero("the Fourier number", fourier)
    if 6.5 * sqrt(fourier) > MOST_IMAGES:
        raise NoAnswerError(*THIN)
    n: Floats = np.arange(1, 8 + int(7 * sqrt(fourier)), dtype=np.float64)
    return float(2 * sqrt(pi) * np.sum(erfc_once(n / sqrt(fourier))))


def time_to_s(share_at: Callable[[float], float], wanted: float) -> float:
    """The time at which something that only grows with time reaches a value, by halving.

    Args:
        share_at: value at a time [s].
        wanted: value to reach.

    Returns:
        Time, to 12 digits [s].

    Raises:
        NoAnswerError: it is not reached between a microsecond and thirty years.
    """
    low, high = 1e-6, 1e9
    if not share_at(low) <= wanted <= share_at(high):
        raise NoAnswerError(
            "the wanted temperature is never reached", "give one between the start and the source of heat."
        )
    for _ in range(110):
        middle = sqrt(low * high)
        low, high = (middle, high) if share_at(middle) < wanted else (low, middle)
    return high


def _eta(depth_m: Any, time_s: Any, diffusivity_m2_s: Any) -> Any:
    not_negative("the depth", depth_m)
    above_zero("the time", time_s)
    above_zero("the diffusivity", diffusivity_m2_s)
    return depth_m / (2 * np.sqrt(diffusivity_m2_s * time_s))
