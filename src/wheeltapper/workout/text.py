"""Numbers as a sentence has them: sizes in inches, temperatures in Fahrenheit, ranges to three figures."""

from __future__ import annotations

from typing import Any

import numpy as np

from wheeltapper.units import MILE_M, WORKOUT_UNITS, from_si


def inches(size_m: float) -> str:
    """A small size as a US machinist writes it: '0.0015 in'."""
    return f"{from_si(size_m, 'in'):.4f} in"


def miles(distance_m: float) -> str:
    """A distance in whole miles: '12,000 mi'."""
    return f"{distance_m / MILE_M:,.0f} mi"


def percent(share: float) -> str:
    """A share to three figures: '4.24 %'; never rounded to none or to all."""
    if 0.999 < share < 1:
        return "over 99.9 %"
    return "under 0.0001 %" if 0 < share < 1e-6 else f"{100 * share:.3g} %"


def fahrenheit(*kelvin: Any) -> str:
    """A temperature or a range: '310 to 420 °F'."""
    return _both([from_si(float(k), "F") for value in kelvin for k in np.atleast_1d(value)])


def warmer(*rise: Any) -> str:
    """A difference of temperature or a range of it."""
    return _both([float(k) / WORKOUT_UNITS["F"].scale for value in rise for k in np.atleast_1d(value)])


def _both(values: list[float]) -> str:
    low, high = f"{min(values):.0f}", f"{max(values):.0f}"
    return f"{low} °F" if low == high else f"{low} to {high} °F"


def figures(values: Any, unit: str) -> str:
    """One number or a range to three figures: '11300 lbf', '106 to 141 %'."""
    ends = (np.min(np.asarray(values)), np.max(np.asarray(values)))
    told = sorted({_three(from_si(float(v), unit)) for v in ends}, key=float)
    return f"{' to '.join(told)} {unit}"


def _three(value: float) -> str:
    rounded = float(f"{value:.3g}")
    return f"{rounded:.0f}" if abs(rounded) >= 100 else f"{rounded:g}"
