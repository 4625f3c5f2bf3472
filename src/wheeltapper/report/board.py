"""The board in words, and as CSV: units, what is due, and units of a list on their way in."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Collection, Iterable, Mapping
from datetime import date as Date
from typing import Any

from pydantic import ValidationError

from wheeltapper.plan.schedule import Next, months_on
from wheeltapper.problems import Problem
from wheeltapper.records import Unit
from wheeltapper.report import due_words, wording

TOLD = ("axles", "brake", "drum", "bolt_pattern", "studs", "axle_rating_lb", "use", "owner")
UNITS = ("unit", *TOLD, "last_visit", "state", "worst_wheel", "worst_part", "worst_call", "wear_wheel", "wear_of", "wear_gone_percent",
         "next_due", "spent_12_months", "spent_in_all")  # fmt: skip
DUE = (
    "unit",
    "what",
    "wheel",
    "part",
    "on",
    "by_date",
    "after_miles",
    "at_count",
    "pace_a_month",
    "pace_assumed",
    "come_in",
    "visit",
    "basis",
)
WRITES = ("=", "+", "-", "@", "\t", "\r")  # what a spreadsheet would take for a sum
MOST_BYTES = 2_000_000
MOST_UNITS = 20_000
MOST_SLIPS = 40


def due_said(item: Mapping[str, Any]) -> str:
    """'brake adjust: at 200 mi or by 21 Mar 2026'."""
    place = f", {item['position']} {item['part']}" if item["position"] and item["part"] else ""
    named = due_words.in_the_shop(item["what"])
    return f"{named}{place}: {wording.due(Next(item['what'], '', item['miles'], item['by']))}"


def wear_said(position: str, what: str, gone_share: float) -> str:
    """How much of what a part may wear is gone."""
    gone = "all" if gone_share >= 1 else f"{max(0, int(100 * gone_share))} %"
    return f"{position} {what}: {gone} of its wear gone"


def spent(rows: Iterable[Mapping[str, Any]], on: Date) -> tuple[int | None, int | None]:
    """What the estimates of a unit came to within a year, and in all [cents]; None where one has a line without a price."""
    since = months_on(on, -12)
    all_ = [(Date.fromisoformat(r["date"]), r["cents"]) for r in rows]
    year = [cents for day, cents in all_ if day > since]
    whole = [cents for _, cents in all_]
    return _sum(year), _sum(whole)


def _sum(cents: list[int | None]) -> int | None:
    return None if any(c is None for c in cents) else sum(c for c in cents if c is not None)


def money_text(cents: int | None) -> str:
    """An amount for a cell: '1240.00'; empty where it is not known."""
    return "" if cents is None else f"{cents // 100}.{cents % 100:02d}"


def lines(told: Mapping[str, Any]) -> Iterable[str]:
    """The board as plain text: what keeps coming back, then the units."""
    for a in told["alarms"]:
        unit = f"{a['units'][0]}: " if len(a["units"]) == 1 else ""
        yield f"again  {unit}{a['say']}"
        yield f"       may also be {a['else_']}; look at {a['look']}"
    for u in told["units"]:
        worst = (
            f"{u['worst_wheel']} {u['worst_part']}: {u['worst_call']}"
            if u["worst_call"]
            else "every part kept or put right"
        )
        yield f"{u['unit']}  ·  {u['state'] or 'never here'}" + (f"  ·  {worst}" if u["last_visit"] else "")
        if u["next_due"]:
            late = "LATE, " if u["next_due"] < told["on"] else ""
            yield f"       {late}next due {wording.day(Date.fromisoformat(u['next_due']))}"


def csv_text(columns: tuple[str, ...], rows: Iterable[Mapping[str, Any]]) -> str:
    """Rows as CSV; a cell that a spreadsheet would take for a sum gets a mark before it."""
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, lineterminator="\r\n", restval="", extrasaction="ignore")
    writer.writeheader()
    writer.writerows({k: _marked(row.get(k)) for k in columns} for row in rows)
    return out.getvalue()


def _marked(value: Any) -> str:
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(WRITES) else text


def _bare(text: str) -> str:
    return text[1:] if text[:1] == "'" and text[1:].startswith(WRITES) else text


def units_of(
    data: bytes, tag_of: Callable[[str], str], offered: Mapping[str, Collection[str]]
) -> tuple[list[tuple[str, dict[str, str]]], list[Problem]]:
    """The units of a list; with any fault none of them.

    Args:
        tag_of: a name as it is compared: two that are alike there are one unit.
        offered: what the gate offers of a column, so that nothing comes in which it could not show.
        data: a CSV file; columns `unit` and those of TOLD; those that only go out are not read.
    """
    rows, slips = _rows(data)
    out: list[tuple[str, dict[str, str]]] = []
    names: dict[str, int] = {}
    for number, row in rows:
        where = f"row {number}"
        name = row.get("unit", "")[:81]
        tag = tag_of(name)
        if not tag or len(name) > 80:
            slips.append(
                Problem(
                    where,
                    "it names no unit, or one of over 80 letters",
                    "write its tag or plate in the column unit.",
                )
            )
            continue
        if tag in names:
            slips.append(
                Problem(where, f"'{name}' stands in row {names[tag]} already", "leave one of the two.")
            )
        names[tag] = number
        told = {k: row[k] for k in TOLD if row.get(k)}
        slips += [*_slips(where, name, told), *_unknown(where, told, offered)]
        out.append((name, told))
    if not rows and not slips:
        slips.append(Problem("the list", "it has no rows", "write one row for each unit."))
    return ([], slips) if slips else (out, [])


def _slips(where: str, name: str, told: Mapping[str, str]) -> list[Problem]:
    """Against the facts of a unit, as the gate would take them."""
    if len(told.get("owner", "")) > 80:
        return [Problem(f"{where}, owner", "it is over 80 letters", "write a shorter name.")]
    facts = {k: v for k, v in told.items() if k != "owner"}
    try:
        Unit.model_validate({"axles": "1", "brake": "electric drum", **facts, "id": name})
    except ValidationError as wrong:
        return [
            Problem(f"{where}, {'.'.join(map(str, f['loc']))}", f["msg"].lower(), "mend that cell.")
            for f in wrong.errors()
        ]
    return []


def _unknown(
    where: str, told: Mapping[str, str], offered: Mapping[str, Collection[str]]
) -> Iterable[Problem]:
    for column, words in offered.items():
        if column in told and told[column] not in words:
            yield Problem(
                f"{where}, {column}", f"'{told[column][:40]}' is not known at the gate", f"write one of: {', '.join(words)}; or leave it empty."
            )  # fmt: skip


def _rows(data: bytes) -> tuple[list[tuple[int, dict[str, str]]], list[Problem]]:
    if len(data) > MOST_BYTES:
        return [], [Problem("the list", f"it is over {MOST_BYTES // 1_000_000} MB", "take it apart.")]
    try:
        text = data.decode("utf-8-sig")
        head = text.partition("\n")[0]
        reader = csv.DictReader(
            io.StringIO(text, newline=""),
            delimiter=";" if ";" in head and "," not in head else ",",
            strict=True,
        )
        columns = [_column(c) for c in reader.fieldnames or ()]
        slips = _head_slips(columns)
        rows = [] if slips else list(enumerate(reader, 2))
    except UnicodeDecodeError:
        return [], [Problem("the list", "it is not UTF-8", "in the spreadsheet save it as 'CSV UTF-8'.")]
    except csv.Error as slip:
        return [], [Problem("the list", f"it is no CSV: {slip}", "save it as CSV again.")]
    if len(rows) > MOST_UNITS:
        return [], [Problem("the list", f"it has over {MOST_UNITS} rows", "take it apart.")]
    known = {c: _column(c) for c in reader.fieldnames or ()}
    full = [(number, row) for number, row in rows if any(row.values())]
    slips += [
        Problem(f"row {number}", "it has more or fewer cells than there are columns", "put a cell that has a comma in it into quotes.")
        for number, row in full
        if None in row or None in row.values()
    ]  # fmt: skip
    if slips:
        return [], slips
    return [(n, {known[k]: _bare(v.strip()) for k, v in row.items()}) for n, row in full], []


def _column(name: str) -> str:
    return name.strip().lower().replace(" ", "_")


def _head_slips(columns: list[str]) -> list[Problem]:
    if "unit" not in columns:
        do = "name the columns in the first row: unit, axles, brake, ..."
        return [Problem("the list", "it has no column named unit", do)]
    strange = [c for c in columns if c and c not in UNITS]
    if strange:
        do = f"name it one of: {', '.join(('unit', *TOLD))}; or take it out."
        return [Problem("the list", f"the column '{strange[0][:40]}' is not known", do)]
    twice = [c for c in columns if c and columns.count(c) > 1]
    return (
        [Problem("the list", f"the column '{twice[0]}' stands twice", "leave one of the two.")]
        if twice
        else []
    )
