"""Can this number be right? Text to number, windows, unit slips and readings that stand off (C5).

Nothing here converts a unit that a person wrote: it says that the other unit would fit, and a person answers.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from math import radians
from statistics import median_high, median_low

from wheeltapper.units import UNITS, WORKOUT_UNITS, from_si, to_si

CLOSE = re.compile(r"(.*\d)([A-Za-z]+)")  # no blank between number and unit: '12in'
NUMBER = re.compile(r"[-+]?\d*[.,]?\d+|[-+]?\d+[.,]?")
FRACTION = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)")
MOST_LETTERS = 40  # no gauge shows so many
OPEN_WORDS = {"open", "ol", "o.l.", "o.l", "no continuity", "infinite", "inf"}


def number(text: str) -> float | None:
    """The number a person wrote: '10.022', '10,022', '3/32', '12 1/4', 'open'.

    Args:
        text: as typed. A comma counts as the decimal mark; the window check catches a thousands comma.

    Returns:
        The value in the unit written beside it, infinity for an open circuit, None where it is no number.
    """
    word = text.strip().casefold()
    if len(word) >= MOST_LETTERS:
        return None
    if word in OPEN_WORDS:
        return float("inf")
    if match := FRACTION.fullmatch(word):
        whole, top, bottom = (int(part or 0) for part in match.groups())
        return float(whole + Fraction(top, bottom)) if bottom else None
    return float(word.replace(",", ".")) if NUMBER.fullmatch(word) else None


CLOCK = re.compile(r"(\d{1,2})(?::(\d\d))?\s*(?:o'clock)?")


def clock_angle_rad(text: str) -> float | None:
    """The angle of a clock position: '45' or '45 deg' in degrees, '1:30' or "3 o'clock" as on a clock face.

    Args:
        text: as typed; stud 1 stands at twelve, angles go clockwise.

    Returns:
        Angle from 0 to a whole turn [rad], or None where it is no clock position.
    """
    word = text.strip().casefold().removesuffix("deg").strip()
    match = CLOCK.fullmatch(word) if ":" in word or "clock" in word else None
    if match:
        hours, minutes = int(match[1]), int(match[2] or 0)
        return radians((hours % 12 + minutes / 60) * 30) if 1 <= hours <= 12 and minutes < 60 else None
    degrees = number(word)
    return radians(degrees) if degrees is not None and 0 <= degrees < 360 else None


def quantity(text: str) -> tuple[float, str] | None:
    """A number with its unit, '0.003 in'.

    Args:
        text: as typed.

    Returns:
        The value and the unit as written, or None where it is not a number with a known unit.
    """
    value, _, unit = text.strip().rpartition(" ")
    if text.strip().endswith("N m"):
        value, unit = text.strip().removesuffix("N m"), "N m"
    amount = number(value) if value else None
    return (amount, unit) if amount is not None and unit in UNITS else None


def amount_si(text: str | None, dimension: str) -> float | None:
    """An amount with its unit, of a stated dimension: '0.003 in', '12in', '110 ft-lb'.

    Args:
        text: as typed, or None.
        dimension: the dimension it must have.

    Returns:
        The value [SI], or None where it is missing, no finite number, or of another dimension.
    """
    written = (text or "").strip()
    value, _, unit = written.rpartition(" ")
    if close := CLOSE.fullmatch(written):
        value, unit = close.groups()
    if value.endswith(" N") and unit == "m":
        value, unit = value.removesuffix(" N"), "N m"
    known = WORKOUT_UNITS.get(unit)
    amount = number(value) if value else None
    fits_it = known is not None and known.dimension == dimension and amount not in (None, float("inf"))
    return to_si(amount, unit) if fits_it and amount is not None else None


def fits(value: float, unit: str, window: tuple[float, float]) -> bool:
    """Is the value, in its unit, inside a window of possible sizes?

    Args:
        value: number as written.
        unit: unit as written.
        window: lowest and highest possible, SI of the same dimension.

    Returns:
        True where it is inside.
    """
    return window[0] - 1e-9 <= to_si(value, unit) <= window[1] + 1e-9


def other_unit(value: float, unit: str, window: tuple[float, float]) -> str | None:
    """A unit of the same dimension in which the value would be possible (C5).

    Args:
        value: number as written.
        unit: unit as written.
        window: lowest and highest possible, SI.

    Returns:
        That unit, or None.
    """
    same = [name for name, u in UNITS.items() if u.dimension == UNITS[unit].dimension and name != unit]
    return next((name for name in same if fits(value, name, window)), None)


def shifted(value: float, unit: str, window: tuple[float, float]) -> float | None:
    """The number with its decimal mark moved up to three places, where that would be possible.

    Args:
        value: number as written.
        unit: unit as written.
        window: lowest and highest possible, SI.

    Returns:
        The shifted number in the same unit, or None.
    """
    return next((value * f for f in (0.1, 10.0, 0.01, 100.0, 0.001) if fits(value * f, unit, window)), None)


def standing_off(values: Sequence[float], distance: float) -> list[int]:
    """Which values stand further off the middle of them all than a distance (C5).

    Args:
        values: readings of one thing [SI].
        distance: how far is too far [SI].

    Returns:
        Indices of those to repeat first; with two that disagree, both.
    """
    if len(values) < 2:
        return []
    low, high = median_low(values), median_high(values)
    return [i for i, value in enumerate(values) if max(abs(value - low), abs(value - high)) > distance + 1e-7]


def written(value_si: float, unit: str, digits: int) -> str:
    """A window's edge as a person would write it, for a Problem.

    Args:
        value_si: value [SI].
        unit: unit to write it in.
        digits: decimals.

    Returns:
        Number and unit.
    """
    return f"{from_si(value_si, unit):.{digits}f} {unit}"
