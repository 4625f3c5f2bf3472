"""Inputs that are a range: a low and a high number where nobody knows better, and answers that say both ends.

An answer is worked out at every corner of the ranges given, and its lowest and highest are told. That is the whole
range only where the answer grows or falls all the way with each input, which every formula that uses this does.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError, nearest
from wheeltapper.reference.metal import Material
from wheeltapper.reference.tables import Tables
from wheeltapper.units import WORKOUT_UNITS, from_si
from wheeltapper.workout.formula import Ask, Given, Result

METAL_ASKS = (
    Ask("material", "word", "a row of the materials table", default="grey iron"),
    Ask("specific_heat", "specific heat", "in place of the table's", "c", default=""),
    Ask("density", "density", "in place of the table's", "rho", default=""),
    Ask("conductivity", "conductivity", "in place of the table's", "k", default=""),
)


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


def spread(name: str, values: Any, unit: str, say: str) -> Result:
    """A result with both its ends, or as one number where both are the same."""
    low, high = ends(values)
    return Result(name, low if low == high else (low, high), unit, say)


def fahrenheit(*kelvin: Any) -> str:
    """A temperature or a range as written on a US bench: '310 to 420 °F'."""
    return _both([from_si(float(k), "F") for value in kelvin for k in np.atleast_1d(value)])


def warmer(*rise: Any) -> str:
    """A difference of temperature or a range as written on a US bench."""
    return _both([float(k) / WORKOUT_UNITS["F"].scale for value in rise for k in np.atleast_1d(value)])


def _both(values: list[float]) -> str:
    low, high = f"{min(values):.0f}", f"{max(values):.0f}"
    return f"{low} °F" if low == high else f"{low} to {high} °F"


def conductivity(g: Given, tables: Tables) -> float:
    """As given, else of the material [W/(m K)]."""
    return g.number("conductivity") if g.has("conductivity") else _metal(g, tables).conductivity_w_m_k


def density(g: Given, tables: Tables) -> float:
    """As given, else of the material [kg/m3]."""
    return g.number("density") if g.has("density") else _metal(g, tables).density_kg_m3


def specific_heat(g: Given, tables: Tables) -> float:
    """As given, else of the material [J/(kg K)]."""
    return g.number("specific_heat") if g.has("specific_heat") else _metal(g, tables).specific_heat_j_kg_k


def _metal(g: Given, tables: Tables) -> Material:
    found = tables.materials.get(str(g["material"]))
    if found is None:
        raise NoAnswerError(
            f"there is no material '{g['material']}'", nearest(str(g["material"]), tables.materials)
        )
    return found
