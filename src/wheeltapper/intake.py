"""From the text of a visit file to a Visit: nothing understood is thrown away, nothing is guessed.

A field or entry that cannot be understood is taken out, named in a Problem, and the rest is kept. What is
taken out of a corner leaves a not-checked mark behind, so a statement that the rest of the corner is fine
can never cover the very thing that could not be read.
"""

from __future__ import annotations

import json
import tomllib
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from wheeltapper.problems import Problem, nearest
from wheeltapper.records import Visit

MOST_BYTES = 4_000_000
UNREADABLE = "unreadable entry"
Path = tuple[str | int, ...]


def visit_from_bytes(data: bytes, name: str) -> tuple[Visit | None, tuple[Problem, ...]]:
    """Read a visit file, TOML or JSON by its name.

    Args:
        data: the file as it stands.
        name: its name, used in Problems and to tell JSON from TOML.

    Returns:
        The visit, or None where not even a date and a trailer could be read, and the Problems.
    """
    if len(data) > MOST_BYTES:
        return None, (
            Problem(
                name,
                f"the file is over {MOST_BYTES // 1_000_000} MB",
                "a visit is text only: keep photos and sounds as files beside it.",
            ),
        )
    try:
        raw = _parse(data, name)
    except (ValueError, RecursionError) as slip:
        return None, (_not_parsed(name, slip),)
    if not isinstance(raw, dict) or not raw:
        return None, (
            Problem(
                name, "the visit is empty", "write at least date, technician, [unit] and one [[corner]]."
            ),
        )
    return _validated(raw, name)


def _parse(data: bytes, name: str) -> Any:
    text = data.decode("utf-8-sig")
    if name.lower().endswith(".json"):
        return json.loads(text, parse_float=str, parse_int=_short_int)
    return tomllib.loads(text, parse_float=str)


def _short_int(digits: str) -> int:
    return int(digits[:30])


def _not_parsed(name: str, slip: Exception) -> Problem:
    if isinstance(slip, UnicodeDecodeError):
        return Problem(name, "the file is not UTF-8 text", "save it as plain text, UTF-8, and try again.")
    if isinstance(slip, RecursionError):
        return Problem(
            name, "the file is nested too deep", "write it in the form that 'wheeltapper schema' prints."
        )
    form = "JSON" if name.lower().endswith(".json") else "TOML"
    return Problem(
        name, f"this is not {form}: {slip}", "mend the line named, or start from examples/visit.toml."
    )


def _validated(raw: dict[str, Any], name: str) -> tuple[Visit | None, tuple[Problem, ...]]:
    """Take out what cannot be understood, one round after the other, until the rest stands."""
    problems: list[Problem] = []
    while True:
        try:
            return Visit.model_validate(raw), tuple(problems)
        except ValidationError as faults:
            before = len(problems)
            for fault in _innermost_first(faults):
                if _take_out(raw, fault, problems):
                    continue
                return None, (*problems, _essential(fault, name))
            if len(problems) == before:  # nothing could be taken out: give up rather than loop
                return None, (
                    *problems,
                    Problem(name, "the visit cannot be read", "compare it with 'wheeltapper schema'."),
                )


def _innermost_first(faults: ValidationError) -> list[dict[str, Any]]:
    """Later list entries first, so that taking one out does not move those still to come."""
    rows = [
        dict(fault) for fault in faults.errors(include_url=False, include_context=False, include_input=False)
    ]
    return sorted(
        rows,
        key=lambda row: [(isinstance(k, int), k if isinstance(k, int) else 0) for k in row["loc"]],
        reverse=True,
    )


def _take_out(raw: dict[str, Any], fault: dict[str, Any], problems: list[Problem]) -> bool:
    """Remove the smallest thing that mends the fault. False where the visit cannot do without it."""
    path: Path = fault["loc"]
    unknown = fault["type"] == "extra_forbidden"
    cut = path if unknown else _smallest_optional(path)
    if not cut:
        return False
    taken = _pop(raw, cut)
    problems.append(_problem(raw, path, cut, fault))
    _mark_corner(raw, cut, taken)
    return True


def _smallest_optional(path: Path) -> Path:
    """The list entry a fault sits in, or the field itself at the top; () for what a visit must have."""
    for depth in range(len(path), 0, -1):
        if isinstance(path[depth - 1], int):
            return path[:depth]
    essential = {"date", "technician"}
    if path[0] in essential or (
        path[0] == "unit" and (len(path) == 1 or path[1] in {"id", "axles", "brake"})
    ):
        return ()
    return path[:2] if path[0] in {"unit", "mileage"} and len(path) > 1 else path[:1]


def _pop(raw: Any, path: Path) -> Any:
    for key in path[:-1]:
        raw = raw[key]
    try:
        return raw.pop(path[-1])
    except (KeyError, IndexError, TypeError, AttributeError):
        return None  # an outer thing that held it has already been taken out


def _mark_corner(raw: dict[str, Any], cut: Path, taken: Any) -> None:
    if cut[0] != "corner" or len(cut) < 3 or not isinstance(cut[1], int):
        return
    corner = raw["corner"][cut[1]]
    if len(cut) == 3 and cut[2] in {"by", "position"}:
        return
    check = UNREADABLE
    owner = _holder(corner, cut) if len(cut) > 4 else taken
    if isinstance(owner, dict):
        check = str(owner.get("check") or owner.get("what") or UNREADABLE)
    marks = corner.get("not_checked")
    corner["not_checked"] = [
        *(marks if isinstance(marks, list) else []),
        {"check": check, "why": "the entry could not be read"},
    ]


def _holder(corner: Any, cut: Path) -> Any:
    try:
        return corner[cut[2]][cut[3]]
    except (KeyError, IndexError, TypeError):
        return None


def _problem(raw: dict[str, Any], path: Path, cut: Path, fault: dict[str, Any]) -> Problem:
    where = _where(raw, path)
    field = str(path[-1])
    if fault["type"] == "extra_forbidden":
        return Problem(where, f"'{field}' is not a field here", nearest(field, _fields(path)))
    if fault["type"] == "missing":
        return Problem(where, f"'{field}' is missing", "add it: the entry was left out of the examination.")
    if fault["type"] == "literal_error":
        return Problem(where, f"'{field}' has a word that is not known here", nearest_of(fault))
    return Problem(
        where, f"'{field}': {fault['msg'].lower()}", "mend it: it was left out of the examination."
    )


def nearest_of(fault: dict[str, Any]) -> str:
    """The known words that a literal fault lists, as a sentence."""
    return "write " + str(fault["msg"]).removeprefix("Input should be ") + "."


def _where(raw: dict[str, Any], path: Path) -> str:
    if path[0] == "corner" and len(path) > 1 and isinstance(path[1], int):
        corners = raw.get("corner")
        corner = corners[path[1]] if isinstance(corners, list) and path[1] < len(corners) else {}
        named = corner.get("position") if isinstance(corner, dict) else None
        head = str(named or f"corner {path[1] + 1}")
        return ", ".join([head, *(_step(step) for step in path[2:])])
    return ", ".join(_step(step) for step in path)


def _step(step: str | int) -> str:
    return f"entry {step + 1}" if isinstance(step, int) else str(step)


def _fields(path: Path) -> list[str]:
    """The fields that the record at the path's parent knows."""
    model: Any = Visit
    for key in path[:-1]:
        if isinstance(key, str) and key in model.model_fields:
            model = _record_in(model.model_fields[key].annotation) or model
    return list(model.model_fields)


def _record_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for arg in get_args(annotation) if (found := _record_in(arg))), None)


def _essential(fault: dict[str, Any], name: str) -> Problem:
    field = ".".join(str(step) for step in fault["loc"])
    return Problem(
        name,
        f"a visit cannot be examined without '{field}' ({str(fault['msg']).lower()})",
        f"add {field}; 'wheeltapper schema' says in what form.",
    )
