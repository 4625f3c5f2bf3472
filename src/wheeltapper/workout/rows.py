"""Results as rows: one number or a curve, a range with both its ends, a share."""

from __future__ import annotations

from typing import Any

import numpy as np

from wheeltapper.workout.formula import Result
from wheeltapper.workout.ranges import ends


def row(name: str, values: Any, unit: str, say: str) -> Result:
    """A result of one number or of a curve."""
    value = tuple(float(v) for v in values) if np.ndim(values) else float(values)
    return Result(name, value, unit, say)


def spread(name: str, values: Any, unit: str, say: str) -> Result:
    """A result with both its ends, or as one number where both are the same."""
    low, high = ends(values)
    return Result(name, low if low == high else (low, high), unit, say)
