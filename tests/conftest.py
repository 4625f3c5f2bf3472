"""What every test may use: the example house's tables, and a visit from plain data."""

from __future__ import annotations

import os
import tomllib
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from wheeltapper.flow import Examination, examine
from wheeltapper.intake import visit_from_bytes
from wheeltapper.reference.house import load
from wheeltapper.reference.tables import Tables

settings.register_profile("ci", derandomize=True)  # the same examples for everybody; local runs look further
if os.environ.get("CI"):
    settings.load_profile("ci")

ROOT = Path(__file__).parent.parent
CASES = ROOT / "tests" / "cases"
ON = date(2026, 11, 25)


@cache
def priced() -> Tables:
    """Our tables with the example shop's laid over them."""
    return load(ROOT / "examples" / "house")


@cache
def bases() -> dict[str, Any]:
    """Starts that cases lie over."""
    return tomllib.loads((CASES / "bases.toml").read_text("utf-8"), parse_float=str)


def laid_over(base: dict[str, Any], visit: dict[str, Any]) -> dict[str, Any]:
    """A visit over its base; wheels not mentioned are on it as 'rest fine' by T1."""
    whole = base | visit
    whole["unit"] = base["unit"] | visit.get("unit", {})
    corners = list(visit.get("corner", []))
    if not visit.get("only_these"):
        named = {c["position"] for c in corners}
        wheels = [f"{n}-{side}" for n in range(1, whole["unit"]["axles"] + 1) for side in ("road", "curb")]
        corners += [{"position": w, "rest_fine": "T1"} for w in wheels if w not in named]
    whole.pop("only_these", None)
    return whole | {"corner": corners}


def examined(visit: dict[str, Any], tables: Tables | None = None) -> Examination:
    """Examine a visit given as plain data, through the same door as a file."""
    import json

    read, slips = visit_from_bytes(json.dumps(visit, default=str).encode(), "visit.json")
    assert read is not None, slips
    return examine(read, tables or priced(), ON, slips)


@pytest.fixture
def tables() -> Tables:
    """The example shop's tables."""
    return priced()
