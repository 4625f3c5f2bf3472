"""The JSON Schema of the visit file, with the words that the tables know."""

from __future__ import annotations

from typing import Any

from wheeltapper.findings.sweep import FINE
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Check, Tables
from wheeltapper.units import UNITS


def visit_schema(tables: Tables) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a visit; checks, answers, readings and places are listed by name."""
    schema = Visit.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "Wheeltapper visit"
    looks = [c for c in tables.checks.values() if c.found]
    readings = [c for c in tables.checks.values() if c.dimension]
    defs = schema["$defs"]
    _answers(defs["Look"], looks)
    _readings(defs["Reading"], readings)
    defs["NotChecked"]["properties"]["check"]["enum"] = [
        c.check for c in tables.checks.values() if not c.of_trailer
    ]
    for name in ("Limit", "Past"):
        defs[name]["properties"]["what"]["enum"] = [c.check for c in readings]
    defs["Unit"]["properties"]["drum"]["enum"] = [*tables.drums, None]
    return schema


def _answers(look: dict[str, Any], checks: list[Check]) -> None:
    look["properties"]["check"]["enum"] = [c.check for c in checks]
    look["oneOf"] = [
        {"properties": {"check": {"const": c.check}, "found": _one_or_more([FINE, *c.found]), "place": {"enum": [*c.places, None]}},
         "title": f"{c.check} ({' or '.join(c.how)}; {', '.join(c.brakes)})", "description": c.ask}
        for c in checks
    ]  # fmt: skip


def _readings(reading: dict[str, Any], checks: list[Check]) -> None:
    reading["properties"]["what"]["enum"] = [c.check for c in checks]
    reading["oneOf"] = [
        {"properties": {"what": {"const": c.check}, "at": _places(c), "unit": {"enum": _units(c.dimension)}},
         "title": f"{c.check} ({'of the trailer' if c.of_trailer else 'of a corner'}; {', '.join(c.brakes)})", "description": c.ask}
        for c in checks
    ]  # fmt: skip


def _places(check: Check) -> dict[str, Any]:
    """Where a reading may be taken: the check's own places, or any clock position for a dial."""
    return {} if check.dial else _one_or_more([*check.at, None])


def _one_or_more(words: list[str | None]) -> dict[str, Any]:
    return {"anyOf": [{"enum": words}, {"type": "array", "items": {"enum": words}}]}


def _units(dimension: str) -> list[str]:
    return [name for name, unit in UNITS.items() if unit.dimension == dimension]
