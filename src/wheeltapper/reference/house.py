"""The shop's own rows laid over ours: a folder with any of our tables, holding only what differs.

limits.toml may move a value as its row allows; prices.csv, labour.csv, house.toml, intervals.toml and
causes.toml replace rows of the same key or add new ones; rules.toml may add rules that are stricter or
milder by judgement, but cannot touch a fixed one. `differences` says what a folder changes.
"""

from __future__ import annotations

import hashlib
import json
import tomllib
from functools import cache
from math import isfinite
from pathlib import Path
from typing import Any

from wheeltapper.problems import TablesError, nearest
from wheeltapper.reference.faults import build
from wheeltapper.reference.tables import CSV_TABLES, TOML_TABLES, Raw, Tables, csv_rows, ours

KEYS = {"limits": ("limit", "id"), "rules": ("rule", "id"), "pairings": ("pairing", "id"), "causes": ("cause", "id"),
        "intervals": ("interval", "id"), "checks": ("check", "check")}  # fmt: skip
CSV_KEYS = {"prices": ("part", "drum", "studs", "brake"), "labour": ("code",), "taxes": ("code",), "fees": ("code",), "drums": ("drum",), "materials": ("material",),
            "bearings": ("cone", "cup"), "fits": ("what", "over_in"), "studs": ("studs",), "grades": ("grade", "from"),
            "torques": ("studs", "nut", "wheel", "at"), "heat_colours": ("colour",),
            "stages": ("stage",), "settings": ("method",)}  # fmt: skip
SENDING = {"link_days", "owner_address", "mail_from", "smtp_host", "smtp_port", "smtp_security"}
NOT_A_HOUSE_MATTER = {"sources": "add a source beside a new row in that row's own words", "work": "ask for a change of the product",
                      "checks": "ask for a change of the product", "pairings": "ask for a change of the product",
                      "fits": "ask for a change of the product", "heat_colours": "ask for a change of the product"}  # fmt: skip


def load(folder: Path | None = None) -> Tables:
    """Our tables with a shop's laid over them. Raises TablesError with every fault found."""
    if folder is None:
        return _ours_typed()
    raw, faults = laid_over(ours(), folder)
    if faults:
        raise TablesError(faults)
    return build(raw, fingerprint(raw))


@cache
def _ours_typed() -> Tables:
    raw = ours()
    return build(raw, fingerprint(raw))


def fingerprint(raw: Raw) -> str:
    """Twelve hex digits that stand for everything the tables say of trailers and money; how a sheet is sent changes no sheet."""
    said = raw | {"house": {k: v for k, v in raw["house"].items() if k not in SENDING}}
    text = json.dumps(said, sort_keys=True, default=str, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def laid_over(raw: Raw, folder: Path) -> tuple[Raw, list[str]]:
    """Raw tables with the folder's rows over them, and the faults of those rows."""
    if not folder.is_dir():
        return raw, [f"{folder}: there is no such folder"]
    faults: list[str] = []
    known = {f"{n}.toml" for n in TOML_TABLES} | {f"{n}.csv" for n in CSV_TABLES}
    for path in sorted(folder.iterdir()):
        name, ending = path.stem, path.suffix
        if path.name.startswith(".") or ending == ".md" or (path.name == "atlas" and path.is_dir()):
            continue  # the atlas folder has the shop's own photos of good parts
        if path.name not in known:
            faults.append(f"{path.name}: not a table; {nearest(path.name, known)}")
        elif name in NOT_A_HOUSE_MATTER:
            faults.append(f"{path.name}: a shop cannot change this table; {NOT_A_HOUSE_MATTER[name]}")
        else:
            _lay(raw, name, path, faults)
    return raw, faults


def _lay(raw: Raw, name: str, path: Path, faults: list[str]) -> None:
    try:
        text = path.read_text("utf-8")
        rows: Any = csv_rows(text) if name in CSV_TABLES else tomllib.loads(text, parse_float=str)
    except (ValueError, OSError) as slip:
        faults.append(f"{path.name}: {slip}")
        return
    if name == "house":
        unknown = [
            f"house.toml: '{k}' is not a setting; {nearest(k, raw['house'])}"
            for k in rows
            if k not in raw["house"]
        ]
        faults.extend(unknown)
        raw["house"] = raw["house"] | rows
    elif name in CSV_TABLES:
        raw[name] = _csv_over(raw[name], rows, name, faults)
    else:
        key, id = KEYS[name]
        faults.extend(f"{path.name}: '[[{k}]]' is not a row here; write [[{key}]]" for k in rows if k != key)
        raw[name] = raw[name] | {key: _rows_over(raw[name][key], rows.get(key, []), name, id, faults)}


def _csv_over(
    ours: list[dict[str, str]], theirs: list[dict[str, str]], name: str, faults: list[str]
) -> list[dict[str, str]]:
    columns = list(ours[0])
    merged = {tuple(row[k] for k in CSV_KEYS[name]): row for row in ours}
    for number, row in enumerate(theirs, 1):
        strange = [c for c in row if c not in columns]
        lacking = [c for c in CSV_KEYS[name] if c not in row]
        if strange or lacking:
            faults.append(f"{name}.csv, row {number}: columns must be {', '.join(columns)}")
            continue
        key = tuple(row[k] for k in CSV_KEYS[name])
        merged[key] = merged.get(key, dict.fromkeys(columns, "")) | row
    return list(merged.values())


def _rows_over(ours: list[Raw], theirs: list[Raw], name: str, id: str, faults: list[str]) -> list[Raw]:
    merged = {row[id]: row for row in ours}
    for row in theirs:
        old = merged.get(row.get(id, ""))
        fault = _forbidden(name, row, old, id)
        if fault:
            faults.append(f"{name}.toml, {row.get(id, 'a row without id')}: {fault}")
        else:
            merged[row[id]] = (old or {}) | row
    return list(merged.values())


def _forbidden(name: str, row: Raw, old: Raw | None, id: str) -> str:
    """Why the row may not stand, or '' where it may."""
    if not row.get(id):
        return f"every row needs '{id}'"
    if name == "limits":
        return _limit_forbidden(row, old)
    if name == "rules" and old is not None:
        return (
            "a fixed rule stays as it is"
            if old["strength"] == "fixed"
            else "our rule stays; add one of your own id beside it"
        )
    if name == "rules" and (row.get("strength") == "fixed" or str(row[id]).startswith("F")):
        return "a shop's rule is 'house' or 'judgement', with an id that does not start with F"
    return ""


def _limit_forbidden(row: Raw, old: Raw | None) -> str:
    """Why a limit row may not stand, or '' where it may."""
    if old is None:
        return "there is no such limit"
    extra = set(row) - {"id", "value", "unit", "grade", "source", "at", "since"}
    if extra:
        return f"{', '.join(sorted(extra))} cannot be changed"
    if row.get("unit", old["unit"]) != old["unit"]:
        return f"give the value in {old['unit']}"
    try:
        new = float(str(row.get("value", old["value"])))
        return _out_of_bounds(new, old) if isfinite(new) else f"'{row['value']}' is not a number"
    except ValueError:
        return f"'{row['value']}' is not a number"


def _out_of_bounds(new: float, old: Raw) -> str:
    was = float(old["value"])
    if new < 0 <= was:
        return f"{new:g} is less than nothing"
    if old["change"] == "fixed" and new != was:
        return "this limit is fixed"
    if old["change"] == "safer only" and (new < was if old["safer"] == "higher" else new > was):
        return f"this limit may only go {old['safer']} than {old['value']} {old['unit']}"
    if old["change"] == "house" and not float(old["allowed"][0]) <= new <= float(old["allowed"][1]):
        return f"{new:g} is outside what is allowed, {old['allowed'][0]} to {old['allowed'][1]} {old['unit']}"
    return ""


def differences(folder: Path) -> list[tuple[str, str, str]]:
    """What a folder changes: (row, what ours says, what theirs says), '' where a row is new."""
    before, after = ours(), laid_over(ours(), folder)[0]
    rows = []
    for name in (*TOML_TABLES, *CSV_TABLES):
        old, new = _by_key(name, before[name]), _by_key(name, after[name])
        for key, row in new.items():
            was = old.get(key)
            if was == row:
                continue
            if isinstance(row, dict):
                changed = [k for k in row if not was or was.get(k) != row[k]]
                rows += [
                    (f"{name}: {key} {k}", str(was.get(k, "")) if was else "", str(row[k]))
                    for k in changed
                    if row[k] != ""
                ]
            else:
                rows.append((f"{name}: {key}", str(was if was is not None else ""), str(row)))
    return rows


def _by_key(name: str, table: Any) -> Raw:
    if name in KEYS:
        key, id = KEYS[name]
        return {row[id]: row for row in table[key]}
    if name in CSV_KEYS:
        return {" ".join(row[k] for k in CSV_KEYS[name] if row[k]): row for row in table}
    return dict(table) if isinstance(table, dict) else {}
