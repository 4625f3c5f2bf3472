"""Inputs that are a range: a low and a high number where nobody knows better, and answers that say both ends.

An answer is worked out at every corner of the ranges given, and its lowest and highest are told. That is the whole
range only where the answer grows or falls all the way with each input, which every formula that uses this does.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.workout.formula import Given


def corners(g: Given, *names: str) -> tuple[Floats, ...]:
    """Each named input at all corners of all their ranges, as arrays of one length."""
    for name in names:
        if len(g.many(name)) not in (1, 2):
            raise NoAnswerError(
                f"{name} is not one number or two", f"give {name}, or its lowest and highest."
            )
    return grid(*(g.many(name) for name in names))


def grid(*values: Any) -> tuple[Floats, ...]:
    """Every combination of the values given, as arrays of one length."""
    meshes = np.meshgrid(*(np.asarray(v, dtype=np.float64) for v in values), indexing="ij")
    return tuple(np.ravel(mesh) for mesh in meshes)


def alike(*values: Any) -> tuple[Floats, ...]:
    """Numbers and arrays as arrays of one length."""
    return tuple(np.asarray(v, dtype=np.float64) for v in np.broadcast_arrays(*map(np.atleast_1d, values)))


def ends(values: Any) -> tuple[float, float]:
    """Lowest and highest."""
    return float(np.min(values)), float(np.max(values))
