"""The maths says its units: signature and docstring of every public function agree."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable
from typing import Any

import pytest

import wheeltapper.measure
from wheeltapper import units

pytestmark = pytest.mark.reasoned
UNIT = {
    "m": "m",
    "s": "s",
    "k": "K",
    "pa": "Pa",
    "n": "N",
    "n_m": "N m",
    "hz": "Hz",
    "v": "V",
    "a": "A",
    "ohm": "ohm",
    "kg": "kg",
    "w": "W",
    "mi": "mi",
    "j": "J",
    "rad": "rad",
    "rev": "rev",
    "m2": "m2",
    "m_s": "m/s",
    "m_s2": "m/s2",
    "n_per_m": "N/m",
    "ohm_per_m": "ohm/m",
    "per_m": "1/m",
    "per_k": "1/K",
    "kg_m3": "kg/m3",
    "w_m2": "W/m2",
    "w_m_k": "W/(m K)",
    "w_m2_k": "W/(m2 K)",
    "j_kg_k": "J/(kg K)",
    "m2_s": "m2/s",
}
ROOMS = [
    importlib.import_module(f"wheeltapper.measure.{m.name}")
    for m in pkgutil.iter_modules(wheeltapper.measure.__path__)
]
Function = Callable[..., Any]


def functions() -> list[Function]:
    """Every public function of the maths and of units.py."""
    return [
        f for room in (*ROOMS, units) for name, f in vars(room).items()
        if inspect.isfunction(f) and f.__module__ == room.__name__ and not name.startswith("_")
    ]  # fmt: skip


def section(f: Function, title: str) -> str:
    """The text of a section of the docstring, '' where there is none."""
    found = re.search(rf"^{title}:\n((?:    .*\n?|\n)+)", inspect.getdoc(f) or "", re.MULTILINE)
    return found[1] if found else ""


def described(f: Function) -> dict[str, str]:
    """Each argument of the Args section with its text."""
    rows = re.findall(r"^    (\w+): ((?:.*\n?)(?:^ {8}.*\n?)*)", section(f, "Args"), re.MULTILINE)
    return dict(rows)


def unit_of(name: str) -> str | None:
    """The unit that a name's ending promises."""
    ending = next((e for e in sorted(UNIT, key=len, reverse=True) if name.endswith(f"_{e}")), None)
    return UNIT[ending] if ending else None


@pytest.mark.parametrize("f", functions(), ids=lambda f: f"{f.__module__.rpartition('.')[2]}.{f.__name__}")
def test_arguments_and_units(f: Function) -> None:
    """The Args section names just the arguments, and each ending has its unit in brackets, the return's too."""
    names = list(inspect.signature(f).parameters)
    said = described(f)

    assert list(said) == names
    assert {n: unit for n in names if (unit := unit_of(n)) and f"[{unit}]" not in said[n]} == {}
    returned = unit_of(f.__name__)
    assert section(f, "Returns").strip()
    assert returned is None or f"[{returned}]" in section(f, "Returns")
