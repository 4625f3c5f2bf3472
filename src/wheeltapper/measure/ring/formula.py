"""Two formulas that a ring can be held against: how high a free ring sings, and how damping shows in a decay."""

from __future__ import annotations

from math import hypot, inf, log, pi, sqrt

from wheeltapper.measure.number import above_zero
from wheeltapper.problems import NoAnswerError


def free_ring_hz(
    order: int, radius_m: float, area_m2: float, stiffness_m4: float, modulus_pa: float, density_kg_m3: float
) -> float:
    """Frequency at which a thin ring, free in space, bends in its own plane.

    Without shear and turning inertia it is too high: by 0.4 % at order 2 and 3 % at order 5 for a square section a
    tenth of the radius high (own finite elements). A drum is no ring: its web holds one edge.

    Args:
        order: waves round the ring, two or more.
        radius_m: of the middle of the section [m].
        area_m2: of the section [m2].
        stiffness_m4: second moment of area of the section about the axis parallel to the ring's [m4].
        modulus_pa: of elasticity [Pa].
        density_kg_m3: of the material [kg/m3].

    Returns:
        The frequency [Hz].

    Raises:
        NoAnswerError: an order under two, or a value that is not above zero.

    References:
        R. Hoppe, J. f. reine u. angew. Math. 73 (1871) 158-170; R. D. Blevins, Formulas for Dynamics, Acoustics and
        Vibration, Table 4.16 (as cited with NAFEMS Selected Benchmarks for Natural Frequency Analysis, Test 6).
    """
    if order < 2:
        raise NoAnswerError("a ring bends in two waves or more", "give an order of 2, 3, 4 and so on.")
    for said, value in (
        ("the radius", radius_m),
        ("the area", area_m2),
        ("the second moment of area", stiffness_m4),
        ("the modulus", modulus_pa),
        ("the density", density_kg_m3),
    ):
        above_zero(said, value)
    n2 = order * order
    root = sqrt(modulus_pa * stiffness_m4 / (density_kg_m3 * area_m2 * radius_m**4))
    return order * (n2 - 1) / sqrt(n2 + 1) * root / (2 * pi)


def log_decrement(first: float, later: float, swings: float) -> float:
    """Logarithm of the ratio of two amplitudes one whole swing apart.

    Args:
        first: an amplitude.
        later: another, so many swings later, in the same unit.
        swings: whole swings between the two; halves count as halves.

    Returns:
        The decrement; negative where the amplitude grows.

    Raises:
        NoAnswerError: a value that is not above zero.

    References:
        Definition; S. S. Rao, Mechanical Vibrations, 2.6.3 (from memory).
    """
    for said, value in (("an amplitude", first), ("an amplitude", later), ("the number of swings", swings)):
        above_zero(said, value)
    return log(first / later) / swings


def damping_of(decrement: float) -> float:
    """Damping as a share of critical, from the logarithmic decrement.

    Args:
        decrement: logarithm of the ratio of amplitudes one whole swing apart.

    Returns:
        The share.

    References:
        S. S. Rao, Mechanical Vibrations, 2.6.3 (from memory).
    """
    return decrement / hypot(2 * pi, decrement) if abs(decrement) < inf else 1.0


def decay_per_s(zeta: float, hz: float) -> float:
    """Decay of a damped oscillation's amplitude.

    Args:
        zeta: damping as a share of critical, less than one.
        hz: frequency as heard, that is with damping [Hz].

    Returns:
        The decay [1/s].

    Raises:
        NoAnswerError: damping at or over critical, where nothing rings.
    """
    if not 0 <= zeta < 1:
        raise NoAnswerError("at critical damping nothing rings", "give damping as a share from 0 to under 1.")
    return 2 * pi * hz * zeta / sqrt(1 - zeta * zeta)
