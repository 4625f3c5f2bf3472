"""Currents and voltages of magnets in parallel on a lossy feed (C10)."""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

from wheeltapper.measure.margin import combined

COPPER_OHM_M = 1.7241e-8  # annealed copper at 20 C, the value the AWG tables are made with


def expected_a(volts_v: float, coils_ohm: Sequence[float]) -> float:
    """Current of coils in parallel at one voltage: the sum of V / R.

    Args:
        volts_v: voltage across the coils [V].
        coils_ohm: their resistances [ohm].

    Returns:
        Current [A].
    """
    return sum(volts_v / r for r in coils_ohm)


def expected_doubt_a(
    volts_v: float, volts_doubt_v: float, coils_ohm: Sequence[float], coil_doubt_ohm: float
) -> float:
    """Uncertainty of that current. The same meter reads every coil, so its error adds up plainly over them.

    Args:
        volts_v: voltage across the coils [V].
        volts_doubt_v: its expanded uncertainty [V].
        coils_ohm: resistances [ohm].
        coil_doubt_ohm: expanded uncertainty of each [ohm].

    Returns:
        Expanded uncertainty [A].
    """
    from_volts = sum(volts_doubt_v / r for r in coils_ohm)
    from_coils = sum(volts_v * coil_doubt_ohm / r**2 for r in coils_ohm)
    return combined((from_volts, from_coils))


def legs_missing(measured_a: float, expected: float, coils: int) -> int:
    """How many of the coils a shortfall of current is worth, to the nearest whole coil.

    Args:
        measured_a: current measured [A].
        expected: current that all coils should draw [A].
        coils: number of coils.

    Returns:
        Number of coils that seem not to be fed.
    """
    return round((expected - measured_a) / (expected / coils)) if coils and expected > 0 else 0


def wire_ohm(gauge_awg: int, length_m: float) -> float:
    """Resistance of a copper wire by American Wire Gauge at 20 C.

    Args:
        gauge_awg: AWG number.
        length_m: length of conductor, out and back [m].

    Returns:
        Resistance [ohm].

    References:
        AWG definition: diameter = 0.127 mm * 92 ** ((36 - n) / 39).
    """
    diameter_m: float = 0.127e-3 * 92 ** ((36 - gauge_awg) / 39)
    return COPPER_OHM_M * length_m / (pi * diameter_m**2 / 4)


def fed_through_wire(source_v: float, wire_r_ohm: float, coils_ohm: Sequence[float]) -> tuple[float, float]:
    """Coils in parallel behind a wire: the drop lowers the current, so nominal amperes must not be multiplied.

    Args:
        source_v: voltage at the plug [V].
        wire_r_ohm: resistance of the wire, out and back [ohm].
        coils_ohm: coil resistances [ohm].

    Returns:
        Current [A], and voltage left at the coils [V].
    """
    coil = 1 / sum(1 / r for r in coils_ohm)
    current_a = source_v / (coil + wire_r_ohm)
    return current_a, current_a * coil
