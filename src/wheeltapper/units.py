"""Units: to and from SI, and the only comparisons allowed between a size and a limit.

Nothing else in the product multiplies by 0.0254. A conversion from inches does not land on the same
floating-point number as the limit it was printed as, so sizes meet limits only through `at_most`,
`below` and `above`, which share one tie width.
"""

from __future__ import annotations

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


def to_si(value: float, unit: str) -> float:
    """A value in SI.

    Args:
        value: number as written [unit].
        unit: a name in UNITS.

    Returns:
        The value [SI].

    Raises:
        KeyError: the unit is not in UNITS.
    """
    return value * UNITS[unit].scale + UNITS[unit].offset


def doubt_to_si(value: float, unit: str) -> float:
    """A difference, such as an uncertainty, in SI: the offset of a temperature scale does not apply.

    Args:
        value: difference as written [unit].
        unit: a name in UNITS.

    Returns:
        The difference [SI].
    """
    return value * UNITS[unit].scale


def from_si(value: float, unit: str) -> float:
    """A value in the unit a person reads.

    Args:
        value: the value [SI].
        unit: a name in UNITS.

    Returns:
        The number to write [unit].
    """
    return (value - UNITS[unit].offset) / UNITS[unit].scale


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
