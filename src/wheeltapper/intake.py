"""From the text of a visit file to a Visit: nothing understood is thrown away, nothing is guessed.

A field or entry that cannot be understood is taken out, named in a Problem, and the rest is kept. What is
taken out of a corner leaves a not-checked mark behind, so a statement that the rest of the corner is fine
can never cover the very thing that could not be read.
"""

from __future__ import annotations

import json
import re
import tomllib
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from wheeltapper.problems import Problem, nearest
from wheeltapper.records import Visit

MOST_BYTES = 4_000_000
UNREADABLE = "unreadable entry"
QUOTED = re.compile(r"""'([^']+)'|"([^"]+)\"""")
NAMES = ("position", "check", "what", "id")  # what an entry may be called by
ESSENTIAL = {"id", "axles", "brake"}  # of the unit
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
    return visit_from_data(raw, name)


def _parse(data: bytes, name: str) -> Any:
    text = data.decode("utf-8-sig")
    if not name.lower().endswith(".json"):
        return tomllib.loads(text, parse_float=str)
    raw = json.loads(text, parse_float=str, parse_int=_short_int, object_pairs_hook=_once)
    json.dumps(raw, ensure_ascii=False).encode()  # half a pair of letters, which JSON can write, is no text
    return raw


def _short_int(digits: str) -> int:
    return int(digits[:30])


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """A JSON object; a name that stands twice leaves a field nobody knows, so that it is asked about."""
    out: dict[str, Any] = {}
    for name, value in pairs:
        out[f"{name} (twice)" if name in out else name] = value
    return out


def _not_parsed(name: str, slip: Exception) -> Problem:
    if isinstance(slip, UnicodeError):
        return Problem(name, "the file is not UTF-8 text", "save it as plain text, UTF-8, and try again.")
    if isinstance(slip, RecursionError):
        return Problem(
            name, "the file is nested too deep", "write it in the form that 'wheeltapper schema' prints."
        )
    form = "JSON" if name.lower().endswith(".json") else "TOML"
    return Problem(
        name, f"this is not {form}: {slip}", "mend the line named, or start from examples/visit.toml."
    )


def visit_from_data(raw: dict[str, Any], name: str) -> tuple[Visit | None, tuple[Problem, ...]]:
    """Take out what cannot be understood, one round after the other, until the rest stands.

    Args:
        raw: the visit in plain data; it is changed.
        name: what it is called in Problems.

    Returns:
        As `visit_from_bytes`.
    """
    problems: list[Problem] = []
    while True:
        try:
            return Visit.model_validate(raw), tuple(problems)
        except ValidationError as found:
            faults: list[dict[str, Any]] = [
                dict(f) for f in found.errors(include_url=False, include_context=False)
            ]
        cuts: dict[Path, None] = {}
        for fault in faults:
            cut = _cut(raw, fault)
            if not cut:
                return None, (*problems, _essential(fault, name))
            if cut not in cuts:
                problems.append(_problem(raw, fault["loc"], fault))
                cuts[cut] = None
        _take_out(raw, [c for c in cuts if not any(c[:n] in cuts for n in range(1, len(c)))])


def _take_out(raw: dict[str, Any], cuts: list[Path]) -> None:
    """Remove these, later list entries first, and leave a mark where they stood."""
    marks = [mark for cut in cuts if (mark := _mark(raw, cut))]
    for cut in sorted(
        cuts, key=lambda c: [(isinstance(k, int), k if isinstance(k, int) else 0) for k in c], reverse=True
    ):
        _holder(raw, cut).pop(cut[-1])
    for where, row in marks:
        rows = where.get(row[0])
        where[row[0]] = [*(rows if isinstance(rows, list) else []), row[1]]


def _cut(raw: dict[str, Any], fault: dict[str, Any]) -> Path:
    """The smallest thing that mends the fault when it is taken out; () for what a visit cannot do without."""
    path = _existing(raw, fault["loc"])
    if not path:
        return ()
    if fault["type"] == "extra_forbidden" and len(path) == len(fault["loc"]):
        return path
    for depth in range(len(path), 0, -1):
        if isinstance(path[depth - 1], int):
            return path[:depth]
    if path[0] in {"date", "technician"} or (path[0] == "unit" and (len(path) == 1 or path[1] in ESSENTIAL)):
        return ()
    return path[:2] if path[0] in {"unit", "mileage"} else path[:1]


def _existing(raw: Any, loc: Path) -> Path:
    """As much of a fault's path as the file really has: a text where a list may stand has no entries."""
    path: list[str | int] = []
    here: Any = raw
    for key in loc:
        if not isinstance(here, list | dict) or not _has(here, key):
            return tuple(path) or (loc if loc and loc[0] in {"unit", *ESSENTIAL} else ())
        path.append(key)
        here = _holder(here, (key, ""))
    return tuple(path)


def _holder(raw: Any, path: Path) -> Any:
    for key in path[:-1]:
        raw = raw[key]
    return raw


def _mark(raw: dict[str, Any], cut: Path) -> tuple[dict[str, Any], tuple[str, dict[str, Any]]] | None:
    """What to leave behind: in a corner a check that was not made, among the limits one that cannot be read."""
    if cut[0] == "limit" and len(cut) > 1 and isinstance(cut[1], int):
        entry = raw["limit"][cut[1]]
        row = entry if isinstance(entry, dict) else {}
        kept = {"what": str(row.get("what", "?")), "value": UNREADABLE, "unit": "in", "grade": "on the part"}
        return (raw, ("limit", kept)) if len(cut) == 2 else None
    if (
        cut[0] != "corner"
        or len(cut) < 3
        or not isinstance(cut[1], int)
        or cut[2:] in {("by",), ("position",)}
    ):
        return None
    corner = raw["corner"][cut[1]]
    entry = _holder(raw, (*cut[:4], "")) if len(cut) > 3 else None
    check = entry.get("check") or entry.get("what") if isinstance(entry, dict) else None
    return corner, ("not_checked", {"check": str(check or UNREADABLE), "why": "the entry could not be read"})


def _problem(raw: dict[str, Any], path: Path, fault: dict[str, Any]) -> Problem:
    where = _where(raw, path)
    field = str(next((step for step in reversed(path) if isinstance(step, str)), path[-1]))
    if fault["type"] == "extra_forbidden":
        return Problem(where, f"'{field}' is not a field here", nearest(field, _fields(path)))
    if fault["type"] == "missing":
        return Problem(where, f"'{field}' is missing", "add it: the entry was left out of the examination.")
    if fault["type"] == "too_short":
        return Problem(
            where, f"'{field}' says nothing", "write what was found or read, or take the entry out."
        )
    if fault["type"] == "literal_error":
        return Problem(where, f"{field} '{fault.get('input', '')}' is not known here", _known_word(fault))
    return Problem(
        where, f"'{field}': {fault['msg'].lower()}", "mend it: it was left out of the examination."
    )


def _known_word(fault: dict[str, Any]) -> str:
    """A sentence naming the known word that is nearest to what was written."""
    known = [a or b for a, b in QUOTED.findall(str(fault["msg"]))]
    return nearest(str(fault.get("input", "")), known)


def _where(raw: dict[str, Any], path: Path) -> str:
    """The path in words: a corner by its position, an entry by its check or reading where it names one."""
    words: list[str] = []
    here: Any = raw
    for step in path:
        here = _holder(here, (step, "")) if isinstance(here, list | dict) and _has(here, step) else None
        called = [here[k] for k in NAMES if isinstance(here.get(k), str)] if isinstance(here, dict) else []
        words.append(called[0] if isinstance(step, int) and called else _step(step))
    return ", ".join(words[1:] if path[0] == "corner" and len(path) > 1 else words)


def _has(holder: Any, step: str | int) -> bool:
    if isinstance(holder, dict):
        return step in holder
    return isinstance(step, int) and step < len(holder)


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
