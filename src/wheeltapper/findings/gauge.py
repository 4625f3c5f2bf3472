"""One value and its gauge: whether the number can be right, and what doubt the gauge gives it."""

from __future__ import annotations

from wheeltapper.measure import plausible
from wheeltapper.records import Gauge
from wheeltapper.reference.tables import Check
from wheeltapper.units import UNITS, doubt_to_si

BARELY_MM = 0.1  # a depth or a lining of less, in mm, was probably read in inches
DIGITS = {"in": 3, "mm": 2}


def gauge_doubt(gauge: Gauge, dimension: str) -> tuple[float | None, str]:
    """Expanded uncertainty of a gauge in a dimension, SI; or None and why not."""
    stated = [q for text in gauge.u if (q := plausible.quantity(text)) is not None]
    fitting = [q for q in stated if UNITS[q[1]].dimension == dimension]
    if not fitting:
        return None, f"states no uncertainty of a {dimension}"
    value, unit = fitting[0]
    if not 0 < value < float("inf"):
        return None, f"has an uncertainty of {value:g} {unit}: no gauge is that good"
    return doubt_to_si(value, unit), ""


def impossible(
    value: float, text: str, unit: str, check: Check, window: tuple[float, float]
) -> tuple[str, str] | None:
    """What to ask about a value that cannot be right, or None."""
    if value == float("inf"):
        return (
            None
            if check.dimension == "resistance"
            else (f"'{text}' is no value for it", "write what the gauge shows.")
        )
    barely = check.window in {"depth", "lining"} and unit == "mm" and 0 < value < BARELY_MM
    if plausible.fits(value, unit, window) and not barely:
        return None
    other = plausible.other_unit(value, unit, window)
    if other:
        return (
            f"{text} {unit} cannot be right; {text} {other} could",
            f"was it read in {other}? Write the unit it was read in: nothing is converted on a guess.",
        )
    moved = plausible.shifted(value, unit, window)
    low, high = (plausible.written(edge, unit, DIGITS.get(unit, 1)) for edge in window)
    hint = f" Was it {moved:.4g}?" if moved is not None else ""
    return (
        f"{text} {unit} cannot be right (possible: {low} to {high})",
        f"measure again and write what the gauge shows.{hint}",
    )
