"""The shop's books, out as CSV and in again: prices, hours, taxes, fees. What comes in is checked whole before it counts.

A spreadsheet's marks at the start and semicolons between columns are understood; a decimal comma is not guessed at. The file
that stood before stays under `.earlier`, named by the fingerprint of the tables it was part of: every sheet prints that.
"""

from __future__ import annotations

import csv
import io
import os
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from shutil import copytree, ignore_patterns
from tempfile import NamedTemporaryFile, TemporaryDirectory
from typing import Literal, get_args

from wheeltapper.problems import TablesError
from wheeltapper.reference.house import CSV_KEYS, laid_over, load
from wheeltapper.reference.tables import csv_rows, ours

Book = Literal["prices", "labour", "taxes", "fees"]
BOOKS: tuple[Book, ...] = get_args(Book)
MOST_BYTES = 2_000_000
EARLIER = ".earlier"
Rows = list[dict[str, str]]


@dataclass(frozen=True)
class Laid:
    """What became of a book: the faults that kept it out, or what it changes."""

    faults: tuple[str, ...]
    changes: tuple[str, ...]
    text: str = ""


def book_out(name: Book, house: Path | None) -> str:
    """A book as it counts now, ours with the shop's rows over it, as CSV text."""
    return _text(_rows(name, house))


def book_in(name: Book, data: bytes, house: Path, only_try: bool = False) -> Laid:
    """Lay a book over ours: the whole file takes the place of the shop's own one of that name.

    Args:
        name: which book.
        data: the file, CSV.
        house: the shop's house folder; made if it is not there.
        only_try: say what it would do and change nothing.
    """
    laid = _looked_at(name, data, house)
    if laid.faults or only_try:
        return laid
    house.mkdir(parents=True, exist_ok=True)
    there = house / f"{name}.csv"
    if there.is_file():
        kept = house / EARLIER / f"{name}-{load(house).fingerprint}.csv"
        kept.parent.mkdir(exist_ok=True)
        kept.write_bytes(there.read_bytes())
    with NamedTemporaryFile("w", encoding="utf-8", newline="", dir=house, prefix=".", delete=False) as part:
        part.write(laid.text)
        part.flush()
        os.fsync(part.fileno())
    Path(part.name).replace(there)
    return laid


def _looked_at(name: Book, data: bytes, house: Path) -> Laid:
    """Everything that can be said against a book, with the shop's other tables beside it."""
    if len(data) > MOST_BYTES:
        return Laid((f"{name}.csv: it is over {MOST_BYTES // 1_000_000} MB",), ())
    try:
        rows = csv_rows(_comma(data.decode("utf-8-sig")))
    except UnicodeDecodeError:
        return Laid((f"{name}.csv: it is not UTF-8: in the spreadsheet save it as 'CSV UTF-8'",), ())
    except csv.Error as slip:
        return Laid((f"{name}.csv: it is no CSV: {slip}",), ())
    faults = _twice(name, rows) if rows else [f"{name}.csv: it has no rows"]
    if faults:
        return Laid(tuple(faults), ())
    text = _text(rows)
    with TemporaryDirectory() as beside:
        tried = Path(beside) / "house"
        if house.is_dir():
            copytree(house, tried, ignore=ignore_patterns(EARLIER, "atlas"))
        tried.mkdir(exist_ok=True)
        (tried / f"{name}.csv").write_text(text, "utf-8")
        try:
            load(tried)
        except TablesError as broken:
            return Laid(broken.faults, ())
        return Laid((), tuple(_changes(name, _rows(name, house), _rows(name, tried))), text)


def _rows(name: Book, house: Path | None) -> Rows:
    raw = ours()
    if house is not None and house.is_dir():
        raw, faults = laid_over(raw, house)
        if faults:
            raise TablesError(faults)
    rows: Rows = raw[name]
    return rows


def _text(rows: Rows) -> str:
    out = io.StringIO()
    columns = list(dict.fromkeys(column for row in rows for column in row))
    book = csv.DictWriter(out, columns, lineterminator="\n", restval="")
    book.writeheader()
    book.writerows(rows)
    return out.getvalue()


def _comma(text: str) -> str:
    """The text with commas between its columns, where a spreadsheet put semicolons."""
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    if not lines or "," in lines[0] or ";" not in lines[0]:
        return text
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(csv.reader(lines, delimiter=";"))
    return out.getvalue()


def _twice(name: Book, rows: Rows) -> list[str]:
    keys = Counter(_key(name, row) for row in rows)
    return [f"{name}.csv: '{key}' stands twice" for key, n in keys.items() if n > 1]


def _key(name: Book, row: dict[str, str]) -> str:
    return " ".join(filter(None, (row.get(k, "") for k in CSV_KEYS[name])))


def _changes(name: Book, before: Rows, after: Rows) -> list[str]:
    old = {_key(name, row): row for row in before}
    new = {_key(name, row): row for row in after}
    out = [f"{key}: no longer in the shop's book" for key in old if key not in new]
    for key, row in new.items():
        was = old.get(key, {})
        out += [
            f"{key}, {k}: {was.get(k) or '(nothing)'} -> {v or '(nothing)'}"
            for k, v in row.items()
            if was.get(k, "") != v
        ]
    return out
