"""Currents and voltages of magnets in parallel on a lossy feed (C10), wires by gauge, and the current's window.

Direct current, warm-up left out: a coil or a wire at working heat has more ohms than its table value at 20 C.
Which legs are dead is worked out in `legs.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi

import numpy as np

from wheeltapper.measure.margin import combined
from wheeltapper.measure.number import Num
from wheeltapper.problems import NoAnswerError
from wheeltapper.units import INCH_M

COPPER_OHM_M = 1.7241e-8  # annealed copper at 20 C, the value the AWG tables are made with
THICKEST_AWG = -3  # written 4/0 or 0000
THINNEST_AWG = 40
CIRCULAR_MIL_M2 = pi / 4 * (INCH_M / 1000) ** 2  # the area of a circle a thousandth of an inch wide


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


def wire_diameter_m(gauge_awg: Num) -> Num:
    """Diameter of a bare solid wire by American Wire Gauge.

    Args:
        gauge_awg: AWG number; 0 for 1/0, -1 for 2/0, -3 for 4/0.

    Returns:
        Diameter [m].

    Raises:
        NoAnswerError: the number is outside the gauge's own range.

    References:
        AWG definition (ASTM B258): 0.127 mm * 92 ** ((36 - n) / 39).
    """
    if not np.all((gauge_awg >= THICKEST_AWG) & (gauge_awg <= THINNEST_AWG)):
        raise NoAnswerError(
            "there is no wire of this gauge number",
            f"give an AWG number from {THICKEST_AWG} (4/0) to {THINNEST_AWG}.",
        )
    ratio: Num = 92 ** ((36 - gauge_awg) / 39)
    return 0.127e-3 * ratio


def wire_ohm_per_m(gauge_awg: Num) -> Num:
    """Resistance of each metre of copper wire by American Wire Gauge at 20 C.

    Args:
        gauge_awg: AWG number.

    Returns:
        Resistance for each metre of conductor [ohm/m].

    Raises:
        NoAnswerError: the number is outside the gauge's own range.

    References:
        AWG definition (ASTM B258); annealed copper 1.7241e-8 ohm m (IEC 60028).
    """
    return COPPER_OHM_M / (pi / 4 * wire_diameter_m(gauge_awg) ** 2)


def wire_ohm(gauge_awg: Num, length_m: Num) -> Num:
    """Resistance of a copper wire by American Wire Gauge at 20 C.

    Args:
        gauge_awg: AWG number.
        length_m: length of conductor, out and back [m].

    Returns:
        Resistance [ohm].

    Raises:
        NoAnswerError: the number is outside the gauge's own range.

    References:
        As wire_ohm_per_m.
    """
    return wire_ohm_per_m(gauge_awg) * length_m


def thinnest_awg(most_ohm: float, length_m: float) -> float:
    """Gauge number, not yet whole, of the copper wire that has just this resistance; round it down to be safe.

    Args:
        most_ohm: resistance that the wire may have [ohm].
        length_m: length of conductor, out and back [m].

    Returns:
        AWG number, no more than the thinnest there is.

    Raises:
        NoAnswerError: no resistance or no length was given, or not even the thickest wire is enough.

    References:
        AWG definition (ASTM B258), solved for the number.
    """
    if not (most_ohm > 0 and length_m > 0):
        raise NoAnswerError("no drop or no length is left for the wire", "give both more than zero.")
    bare_m = np.sqrt(COPPER_OHM_M * length_m / most_ohm * 4 / pi)
    number = 36 - 39 * float(np.log(bare_m / 0.127e-3) / np.log(92))
    if number < THICKEST_AWG:
        raise NoAnswerError("no wire of the gauge is thick enough", "shorten the run or allow a larger drop.")
    return min(number, float(THINNEST_AWG))


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


def leg_ohm(plug_v: Num, magnet_v: Num, coil_ohm: Num) -> Num:
    """Resistance between plug and magnet as this one leg feels it, out and back: all the drop over its own current.

    What other legs draw through a shared wire makes this larger than the wire is; see beyond_best_ohm.

    Args:
        plug_v: voltage at the plug [V].
        magnet_v: voltage at the magnet, at its two wires, while it draws [V].
        coil_ohm: resistance of the magnet's coil [ohm].

    Returns:
        Resistance [ohm].

    Raises:
        NoAnswerError: a coil or a voltage at a magnet is not more than zero, or is higher than at the plug.

    References:
        Ohm's law.
    """
    if not np.all((coil_ohm > 0) & (magnet_v > 0)):
        raise NoAnswerError(
            "a coil or its voltage is not more than zero",
            "leave out a magnet with no voltage: it draws nothing, so its leg is open and has no resistance to give.",
        )
    if not np.all(magnet_v <= plug_v):
        raise NoAnswerError(
            "a magnet shows more volts than the plug", "measure both at the same full apply, with one meter."
        )
    return (plug_v - magnet_v) / (magnet_v / coil_ohm)


def beyond_best_ohm(best_v: Num, magnet_v: Num, coil_ohm: Num) -> Num:
    """Resistance that surely is this leg's own: what it drops more than the leg that drops least, which shares the feed.

    Args:
        best_v: highest voltage at any magnet [V].
        magnet_v: voltage at this magnet [V].
        coil_ohm: resistance of its coil [ohm].

    Returns:
        Resistance, out and back; zero at the best leg [ohm].

    Raises:
        NoAnswerError: as leg_ohm.

    References:
        Kirchhoff's voltage law along the two legs from the point where they part.
    """
    return leg_ohm(best_v, magnet_v, coil_ohm)


def current_window_a(rated_a: Num, under_share: float, over_share: float) -> tuple[Num, Num]:
    """Lowest and highest average current of a brake that a rule allows around its rated current.

    Args:
        rated_a: the brake maker's rated current for one brake [A].
        under_share: how far under it may be, 0.30 for 30 %.
        over_share: how far over it may be, 0.20 for 20 %.

    Returns:
        Lowest and highest current [A].

    Raises:
        NoAnswerError: the rated current is not more than zero.

    References:
        49 CFR 570.58(a): not more than 20 % above and not less than 30 % below the maker's maximum current rating.
    """
    if not np.all(rated_a > 0):
        raise NoAnswerError(
            "a rated current is not more than zero", "give the maker's rated current for one brake."
        )
    return (1 - under_share) * rated_a, (1 + over_share) * rated_a
