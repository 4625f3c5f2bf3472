"""What an input can be at all: least and most by what it measures, whole where it counts.

A wide window, not a limit: inside it a number may still be wrong, outside it somebody slipped with a digit or a unit.
No row here has a source; each is far beyond anything in a trailer shop or a textbook of its subject.
"""

from __future__ import annotations

from collections.abc import Mapping

from wheeltapper.problems import Problem
from wheeltapper.units import WORKOUT_UNITS, doubt_to_si, from_si
from wheeltapper.workout.amounts import Amount
from wheeltapper.workout.formula import Ask

DIFFERENCE = "temperature difference"
FRICTION_CAN_BE = (0.0, 3.0)  # nothing in a shop rubs harder; zero is taken where the formula can
WINDOWS: Mapping[str, tuple[float, float]] = {  # SI
    "length": (-10.0, 10.0), "area": (0.0, 100.0), "angle": (-630.0, 630.0), "thread count": (0.0, 8000.0), "distance": (0.0, 1e10),
    "temperature": (0.0, 4000.0), DIFFERENCE: (-3000.0, 3000.0), "pressure": (-2e12, 2e12), "force": (-1e8, 1e8), "torque": (-1e7, 1e7),
    "stiffness": (0.0, 1e14), "mass": (0.0, 1e7), "time": (0.0, 1e9), "speed": (0.0, 350.0), "acceleration": (-1000.0, 1000.0),
    "turning": (0.0, 1e4), "revolutions": (0.0, 1e15), "energy": (0.0, 1e12), "expansion": (-0.001, 0.001), "density": (0.0, 25e3),
    "specific heat": (0.0, 15e3), "conductivity": (0.0, 5e3), "heat transfer": (0.0, 1e6), "heat flux": (-1e10, 1e10),
    "diffusivity": (0.0, 0.01), "voltage": (-1e3, 1e3), "current": (-1e4, 1e4), "resistance": (0.0, 1e9), "share": (-100.0, 100.0),
    "number": (-1e9, 1e9), "gauge": (-3.0, 56.0), "any": (-1e15, 1e15), "power": (-1e12, 1e12),
}  # fmt: skip
LEAST = 1e-15  # SI; what is not nothing and is nearer to nothing than this was never measured
AGAIN = "read it again, the number and its unit."


def impossible(ask: Ask, value: float, amount: Amount) -> Problem | None:
    """What speaks against an input that cannot be, in the unit it was written in; None where it can."""
    least, most = ask.within or WINDOWS.get(ask.dimension, WINDOWS["any"])
    said = f"{ask.name.replace('_', ' ')} {amount[0]:g} {amount[1]}".strip()
    if ask.dimension == "temperature" and value <= 0:
        return Problem(ask.name, f"{said} is at or below absolute zero: nothing is so cold", AGAIN)
    if 0 < abs(value) < LEAST:
        return Problem(ask.name, f"{said} is nearer to nothing than can be measured", AGAIN)
    if value < least - 1e-12:
        bound = "negative" if least == 0 else f"less than {_bound(ask, least, amount)}, the least it can be"
        return Problem(ask.name, f"{said} is {bound}", AGAIN)
    if value > most * (1 + 1e-12) + 1e-12:
        return Problem(
            ask.name, f"{said} is more than {_bound(ask, most, amount)}, the most it can be", AGAIN
        )
    if ask.whole and value != round(value):
        return Problem(ask.name, f"{said} is not a whole number", f"count them: write {ask.name}={round(value) or 1}.")  # fmt: skip
    return None


def _bound(ask: Ask, bound: float, amount: Amount) -> str:
    """An end of the window in the unit that the person wrote."""
    unit = amount[1]
    if not unit:
        return f"{bound:g}"
    scale = doubt_to_si(1.0, unit)
    told = bound / scale if ask.dimension == DIFFERENCE else from_si(bound, unit)
    return f"{told:.3g} {unit}"


def kind_of(unit: str) -> str:
    """The dimension of a unit, 'number' for none."""
    return WORKOUT_UNITS[unit].dimension if unit else "number"
