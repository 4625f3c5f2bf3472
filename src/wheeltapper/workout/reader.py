"""Which units a person reads: those they wrote. Millimetres in, millimetres out; so with every other kind.

A kind of quantity that was not given follows the rest where all of it is of one system; else a computation's own unit
stays. Only what is shown changes: every result stays in SI underneath.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextvars import ContextVar
from dataclasses import dataclass, field

from wheeltapper.units import WORKOUT_UNITS
from wheeltapper.workout.formula import Formula, Given

PAIRS = (  # inch and metric units that stand for each other; the first pair that fits is taken
    ("in", "mm"), ("in", "cm"), ("in", "um"), ("thou", "um"), ("ft", "m"), ("in2", "mm2"), ("lbf", "kN"), ("lbf", "N"), ("ft-lb", "N m"),
    ("lb-in", "N m"), ("ksi", "MPa"), ("psi", "MPa"), ("Mpsi", "GPa"), ("lbf/in", "kN/mm"), ("lbf/in", "N/mm"), ("lb", "kg"),
    ("mph", "km/h"), ("ft/s", "m/s"), ("ft/s2", "m/s2"), ("F", "C"), ("F deg", "K"), ("mi", "km"), ("ohm/kft", "ohm/km"),
    ("BTU", "kJ"), ("ft-lbf", "J"), ("hp", "kW"),
)  # fmt: skip
INCH = {inch for inch, _ in PAIRS} | {"kip", "tpi", "ppm/F", "1/F", "BTU/lbF", "ft-lbf/lbF"}
METRIC = {metric for _, metric in PAIRS} | {"N/m", "Pa", "kg/m3", "MJ", "m2", "nm"}
FOLLOWING = {  # kinds that follow the rest; energy and power do only where they were given themselves
    "length", "area", "force", "torque", "pressure", "stiffness", "mass", "speed", "temperature", "distance", "thread count",
}  # fmt: skip
TOGETHER = {"force": "torque", "torque": "force"}  # who writes one of them reads the other in its system


@dataclass(frozen=True)
class Reader:
    """Units by kind of quantity, and the system of all of them where it is one."""

    units: Mapping[str, str] = field(default_factory=dict)  # as written, by dimension, the first of each
    system: str = ""  # 'inch', 'metric' or '' where they differ or none was written

    def unit(self, unit: str) -> str:
        """The unit that this reader sees in place of a computation's own."""
        kind = _kind(unit)
        mine = self.units.get(kind) or self.units.get(TOGETHER.get(kind, ""), "")
        system = _system(mine) or (self.system if kind in FOLLOWING else "")
        if not system or system == _system(unit) or not _system(unit):
            return unit
        if kind == "force" and mine == "N":
            return mine
        pairs = {inch: metric for inch, metric in reversed(PAIRS)} if system == "metric" else {metric: inch for inch, metric in reversed(PAIRS)}  # fmt: skip
        return pairs.get(unit, unit)


TRADE = Reader()
READER: ContextVar[Reader] = ContextVar(
    "READER", default=TRADE
)  # whoever reads the sentences of this computation


def reader_of(formula: Formula, g: Given) -> Reader:
    """The reader behind the inputs given; a stud's name counts as what it is written in."""
    units: dict[str, str] = {}
    systems = [""]
    for unit in g.units.values():
        units.setdefault(_kind(unit), unit)
        systems.append(_system(unit) if _kind(unit) in FOLLOWING else "")
    if "stud" in {a.name for a in formula.asks} and g.has("stud"):
        systems.append("metric" if str(g["stud"]).startswith("M") else "inch")
    told = set(systems) - {""}
    return Reader(units, told.pop() if len(told) == 1 else "")


def _kind(unit: str) -> str:
    dimension = WORKOUT_UNITS[unit].dimension if unit else ""
    return "temperature" if dimension == "degrees" else dimension


def _system(unit: str) -> str:
    return "inch" if unit in INCH else "metric" if unit in METRIC else ""
