"""Numbers as a sentence has them: sizes and temperatures in the reader's units, ranges to three figures.

A US machinist's, inches and Fahrenheit, where nothing else was written.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from wheeltapper.units import WORKOUT_UNITS, from_si
from wheeltapper.workout.reader import READER

DECIMALS = {"in": 4, "mm": 3}


def inches(size_m: float) -> str:
    """A small size: '0.0015 in', or '0.038 mm' for who wrote millimetres."""
    unit = READER.get().unit("in")
    return f"{from_si(size_m, unit):.{DECIMALS[unit]}f} {unit}"


def miles(distance_m: float) -> str:
    """A distance in whole miles or kilometres: '12,000 mi'."""
    unit = READER.get().unit("mi")
    return f"{from_si(distance_m, unit):,.0f} {unit}"


def percent(share: float) -> str:
    """A share to three figures: '4.24 %'; never rounded to none or to all."""
    if 0.999 < share < 1:
        return "over 99.9 %"
    return "under 0.0001 %" if 0 < share < 1e-6 else f"{100 * share:.3g} %"


def fahrenheit(*kelvin: Any) -> str:
    """A temperature or a range: '310 to 420 °F', or in Celsius for who wrote that."""
    unit = READER.get().unit("F")
    return _both([from_si(float(k), unit) for value in kelvin for k in np.atleast_1d(value)], unit)


def warmer(*rise: Any) -> str:
    """A difference of temperature or a range of it, in the same degrees."""
    unit = READER.get().unit("F")
    scale = WORKOUT_UNITS[unit].scale
    return _both([float(k) / scale for value in rise for k in np.atleast_1d(value)], unit)


def _both(values: list[float], unit: str) -> str:
    low, high = f"{min(values):.0f}", f"{max(values):.0f}"
    return f"{low} °{unit}" if low == high else f"{low} to {high} °{unit}"


def figures(values: Any, unit: str) -> str:
    """One number or a range to three figures: '11300 lbf', '106 to 141 %'."""
    unit = READER.get().unit(unit)
    ends = (np.min(np.asarray(values)), np.max(np.asarray(values)))
    told = sorted({_three(from_si(float(v), unit)) for v in ends}, key=float)
    return f"{' to '.join(told)} {unit}"


def _three(value: float) -> str:
    rounded = float(f"{value:.3g}")
    return f"{rounded:.0f}" if abs(rounded) >= 100 else f"{rounded:g}"
