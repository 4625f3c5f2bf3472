"""Metals by name or by their numbers: what heats, and the two parts of a fit."""

from __future__ import annotations

from wheeltapper.measure import half_space, number
from wheeltapper.reference.metal import Material
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Ask, Given
from wheeltapper.workout.inputs import given_or
from wheeltapper.workout.named import row_named

POISSON_CAN_BE = (0.0, 0.4999)  # at one half a metal could not be squeezed at all
METAL_ASKS = (
    Ask("material", "word", "a row of the materials table", default="grey iron"),
    Ask("specific_heat", "specific heat", "in place of the table's", "c", default=""),
    Ask("density", "density", "in place of the table's", "rho", default=""),
    Ask("conductivity", "conductivity", "in place of the table's", "k", default=""),
)
DIFFUSIVITY_ASK = Ask("diffusivity", "diffusivity", "in place of conductivity over density and specific heat", "alpha", default="")  # fmt: skip


def _metal(g: Given, tables: Tables, ask: str = "material") -> Material:
    return row_named(tables.materials, "material", str(g[ask]))


def conductivity(g: Given, tables: Tables) -> float:
    """As given, else of the material [W/(m K)]."""
    return given_or(g, "conductivity", 0.0) or _metal(g, tables).conductivity_w_m_k


def density(g: Given, tables: Tables) -> float:
    """As given, else of the material [kg/m3]."""
    return given_or(g, "density", 0.0) or _metal(g, tables).density_kg_m3


def specific_heat(g: Given, tables: Tables) -> float:
    """As given, else of the material [J/(kg K)]."""
    return given_or(g, "specific_heat", 0.0) or _metal(g, tables).specific_heat_j_kg_k


def diffusivity(g: Given, tables: Tables) -> float:
    """As given, else from the metal [m2/s]."""
    if g.has("diffusivity"):
        number.above_zero("the diffusivity", g.number("diffusivity"))
        return g.number("diffusivity")
    return half_space.diffusivity_m2_s(conductivity(g, tables), density(g, tables), specific_heat(g, tables))


def elastic_asks(inner: str, outer: str) -> tuple[Ask, ...]:
    """The metals of both parts of a fit, by name or by their numbers."""
    rows: list[Ask] = []
    for part, default, mark in (("inner", inner, "i"), ("outer", outer, "o")):
        rows += [
            Ask(part, "word", f"material of the {part} part", default=default),
            Ask(f"{part}_modulus", "pressure", "in place of the table's", f"E{mark}", default=""),
            Ask(
                f"{part}_poisson",
                "number",
                "in place of the table's",
                f"nu{mark}",
                default="",
                within=POISSON_CAN_BE,
            ),
            Ask(f"{part}_expansion", "expansion", "in place of the table's", f"a{mark}", default=""),
        ]
    return tuple(rows)


def modulus(g: Given, tables: Tables, part: str) -> float:
    """Elastic modulus of 'inner' or 'outer': as given, else of its material [Pa]."""
    name = f"{part}_modulus"
    return given_or(g, name, 0.0) or _metal(g, tables, part).modulus_pa


def poisson(g: Given, tables: Tables, part: str) -> float:
    """Poisson's ratio of 'inner' or 'outer': as given, else of its material."""
    name = f"{part}_poisson"
    return g.number(name) if g.has(name) else _metal(g, tables, part).poisson_share


def expansion(g: Given, tables: Tables, part: str) -> float:
    """Expansion of 'inner' or 'outer': as given, else of its material [1/K]."""
    name = f"{part}_expansion"
    return g.number(name) if g.has(name) else _metal(g, tables, part).expansion_per_k
