"""Units: to and from SI, and the only comparisons allowed between a size and a limit.

Nothing else in the product multiplies by 0.0254. A conversion from inches does not land on the same
floating-point number as the limit it was printed as, so sizes meet limits only through `at_most`,
`below` and `above`, which share one tie width.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

INCH_M = 0.0254  # exact since 1959
MILE_M = 1609.344  # exact
FOOT_POUND_N_M = 1.3558179483314004  # exact: 0.3048 m x 4.4482216152605 N
TIE_M = 1e-7  # 0.1 micrometre: far below any gauge, far above rounding


@dataclass(frozen=True)
class Unit:
    """A unit a person may write: SI = value * scale + offset, of one dimension."""

    dimension: str
    scale: float
    offset: float = 0.0


UNITS: dict[str, Unit] = {
    "in": Unit("length", INCH_M),
    "mm": Unit("length", 1e-3),
    "ohm": Unit("resistance", 1.0),
    "V": Unit("voltage", 1.0),
    "A": Unit("current", 1.0),
    "F": Unit("temperature", 5 / 9, 459.67 * 5 / 9),
    "C": Unit("temperature", 1.0, 273.15),
    "ft-lb": Unit("torque", FOOT_POUND_N_M),
    "N m": Unit("torque", 1.0),
    "mi": Unit("distance", MILE_M),
    "km": Unit("distance", 1e3),
    "%": Unit("share", 0.01),
}

POUND_KG = 0.45359237  # exact since 1959
POUND_FORCE_N = 4.4482216152605  # exact: that mass under standard gravity
GRAVITY_M_S2 = 9.80665  # standard gravity, exact
FOOT_M = 12 * INCH_M
_PSI_PA = POUND_FORCE_N / INCH_M**2
_BTU_J = 1055.05585262  # international table
_FAHRENHEIT_K = 5 / 9

WORKOUT_UNITS: dict[str, Unit] = (
    UNITS
    | {  # what a computation may be given or give, beyond what a gauge shows
        "m": Unit("length", 1.0),
        "cm": Unit("length", 0.01),
        "um": Unit("length", 1e-6),
        "nm": Unit("length", 1e-9),
        "thou": Unit("length", 1e-3 * INCH_M),
        "ft": Unit("length", FOOT_M),
        "mm2": Unit("area", 1e-6),
        "in2": Unit("area", INCH_M**2),
        "m2": Unit("area", 1.0),
        "deg": Unit("angle", 0.017453292519943295),
        "rad": Unit("angle", 1.0),
        "turn": Unit("angle", 6.283185307179586),
        "tpi": Unit("thread count", 1 / INCH_M),
        "N": Unit("force", 1.0),
        "kN": Unit("force", 1e3),
        "lbf": Unit("force", POUND_FORCE_N),
        "kip": Unit("force", 1e3 * POUND_FORCE_N),
        "lb-in": Unit("torque", POUND_FORCE_N * INCH_M),
        "Pa": Unit("pressure", 1.0),
        "MPa": Unit("pressure", 1e6),
        "GPa": Unit("pressure", 1e9),
        "psi": Unit("pressure", _PSI_PA),
        "ksi": Unit("pressure", 1e3 * _PSI_PA),
        "Mpsi": Unit("pressure", 1e6 * _PSI_PA),
        "N/m": Unit("stiffness", 1.0),
        "N/mm": Unit("stiffness", 1e3),
        "kN/mm": Unit("stiffness", 1e6),
        "lbf/in": Unit("stiffness", POUND_FORCE_N / INCH_M),
        "kg": Unit("mass", 1.0),
        "lb": Unit("mass", POUND_KG),
        "s": Unit("time", 1.0),
        "min": Unit("time", 60.0),
        "h": Unit("time", 3600.0),
        "day": Unit("time", 86400.0),
        "m/s": Unit("speed", 1.0),
        "km/h": Unit("speed", 1 / 3.6),
        "mph": Unit("speed", MILE_M / 3600),
        "ft/s": Unit("speed", FOOT_M),
        "m/s2": Unit("acceleration", 1.0),
        "ft/s2": Unit("acceleration", FOOT_M),
        "g": Unit("acceleration", GRAVITY_M_S2),
        "Hz": Unit("frequency", 1.0),
        "kHz": Unit("frequency", 1e3),
        "rpm": Unit("turning", 1 / 60),
        "rev": Unit("revolutions", 1.0),
        "Mrev": Unit("revolutions", 1e6),
        "J": Unit("energy", 1.0),
        "kJ": Unit("energy", 1e3),
        "MJ": Unit("energy", 1e6),
        "ft-lbf": Unit("energy", FOOT_POUND_N_M),
        "BTU": Unit("energy", _BTU_J),
        "W": Unit("power", 1.0),
        "kW": Unit("power", 1e3),
        "hp": Unit("power", 550 * FOOT_POUND_N_M),
        "K": Unit("temperature", 1.0),
        "F deg": Unit("degrees", _FAHRENHEIT_K),  # a rise or a difference; only ever shown
        "1/K": Unit("expansion", 1.0),
        "ppm/K": Unit("expansion", 1e-6),
        "ppm/F": Unit("expansion", 1e-6 / _FAHRENHEIT_K),
        "1/F": Unit("expansion", 1 / _FAHRENHEIT_K),
        "kg/m3": Unit("density", 1.0),
        "J/kgK": Unit("specific heat", 1.0),
        "BTU/lbF": Unit("specific heat", _BTU_J / POUND_KG / _FAHRENHEIT_K),
        "ft-lbf/lbF": Unit("specific heat", FOOT_POUND_N_M / POUND_KG / _FAHRENHEIT_K),
        "W/mK": Unit("conductivity", 1.0),
        "W/m2K": Unit("heat transfer", 1.0),
        "W/m2": Unit("heat flux", 1.0),
        "m2/s": Unit("diffusivity", 1.0),
        "ohm/kft": Unit("resistance per length", 1 / (1e3 * FOOT_M)),
        "ohm/km": Unit("resistance per length", 1e-3),
    }
)

# Other ways to write a unit. Several names: the one of the dimension that is asked for, the first where any is.
WORKOUT_SPELLINGS: Mapping[str, tuple[str, ...]] = (
    dict.fromkeys(("lbf-ft", "lbf ft", "lb-ft", "lb ft", "ft lb", "ft lbf"), ("ft-lb", "ft-lbf"))
    | dict.fromkeys(("lbf-in", "lbf in", "lb in", "in-lb", "in-lbf", "in lb", "in lbf"), ("lb-in",))
    | {"ft-lb": ("ft-lb", "ft-lbf"), "ft-lbf": ("ft-lbf", "ft-lb"), "lb": ("lb", "lbf"), "lbs": ("lb", "lbf")}
    | dict.fromkeys(("Nm", "N-m"), ("N m",))
    | dict.fromkeys(("inch", "inches", '"'), ("in",))
    | {"mil": ("thou",), "mils": ("thou",), "\u00b5m": ("um",), "\u03bcm": ("um",), "micron": ("um",)}
    | {"kips": ("kip",), "days": ("day",), "hr": ("h",), "hours": ("h",), "minutes": ("min",), "sec": ("s",)}
    | {"\u00b0F": ("F",), "degF": ("F",), "deg F": ("F",), "\u00b0C": ("C",), "degC": ("C",), "deg C": ("C",)}
    | {"\u00b0": ("deg",), "degrees": ("deg",), "turns": ("turn",), "volts": ("V",), "amps": ("A",)}
    | {"ohms": ("ohm",), "\u03a9": ("ohm",), "miles": ("mi",), "kph": ("km/h",), "percent": ("%",)}
)


def to_si(value: float, unit: str) -> float:
    """A value in SI.

    Args:
        value: number as written [unit].
        unit: a name in WORKOUT_UNITS.

    Returns:
        The value [SI].

    Raises:
        KeyError: there is no such unit.
    """
    return value * WORKOUT_UNITS[unit].scale + WORKOUT_UNITS[unit].offset


def doubt_to_si(value: float, unit: str) -> float:
    """A difference, such as an uncertainty, in SI: the offset of a temperature scale does not apply.

    Args:
        value: difference as written [unit].
        unit: a name in WORKOUT_UNITS.

    Returns:
        The difference [SI].
    """
    return value * WORKOUT_UNITS[unit].scale


def from_si(value: float, unit: str) -> float:
    """A value in the unit a person reads.

    Args:
        value: the value [SI].
        unit: a name in WORKOUT_UNITS.

    Returns:
        The number to write [unit].
    """
    return (value - WORKOUT_UNITS[unit].offset) / WORKOUT_UNITS[unit].scale


def above(size: float, limit: float) -> bool:
    """Is the size past the limit by more than the tie width?

    Args:
        size: a size [SI].
        limit: what it is held against [SI].

    Returns:
        True past the limit; a tie is not past it.
    """
    return size > limit + TIE_M


def below(size: float, limit: float) -> bool:
    """Is the size short of the limit by more than the tie width?

    Args:
        size: a size [SI].
        limit: what it is held against [SI].

    Returns:
        True short of the limit; a tie is not short of it.
    """
    return size < limit - TIE_M


def at_most(size: float, limit: float) -> bool:
    """Is the size at or under the limit?

    Args:
        size: a size [SI].
        limit: what it is held against [SI].

    Returns:
        True at or under the limit; a tie counts as at it.
    """
    return not above(size, limit)
