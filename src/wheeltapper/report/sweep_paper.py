"""The sweep on paper, for the day the phone is dead: every row of the screens with its number, and boxes to write in.

The rows and their numbers come from `findings/numbered.py`, so that what was written is typed in by the same numbers. Nothing
on it is answered beforehand. The layout is in `sweep_paper.typ`; black only, the same bytes on every run.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import typst

from wheeltapper.findings.numbered import WHY_NOT, Numbered, Window, after_point, printed, rows_of, windows
from wheeltapper.records import Reading, Visit
from wheeltapper.reference.tables import LimitRow, Tables
from wheeltapper.report import wording
from wheeltapper.report.drawing import wheel_end
from wheeltapper.report.drawing_ink import DEEP, INK, PAPER, SHADE, SOFT
from wheeltapper.report.lettering import printable
from wheeltapper.report.pdf import SheetNotDrawnError
from wheeltapper.report.sheet import Corner
from wheeltapper.words import positions

HERE = Path(__file__).parent
PAPERS = {"letter": "us-letter", "a4": "a4"}
BLACK = {
    PAPER: "#fff",
    SHADE: "#fff",
    DEEP: "#777",
    SOFT: "#000",
    INK: "#000",
}  # a printer may have no colour
MOST_WORDS = 10  # of a check: each is typed as one digit, the tenth as 0
LAST_LETTERS = 240  # of the last visit on a wheel's page
WHOLE = {"ohm": 2, "V": 2, "A": 2, "%": 3, "F": 3, "C": 3}  # digits before the point
LIMITS: dict[str, tuple[tuple[str, str], ...]] = {  # what a reading is held against: in words, and the row
    "friction diameter": (("at most", "drum_max"),), "groove depth": (("keep to", "groove_keep"), ("at most", "groove_most")),
    "pit depth": (("at most", "pit_depth"),), "pit share": (("at most", "pit_share"),),
    "magnet face depth": (("keep to", "magnet_face_keep"), ("at most", "magnet_face_most")), "band dial": (("out of round at most", "out_of_round"),),
    "magnet face dial": (("flat within", "magnet_face_flat"),), "hub face gap": (("at most", "hub_face_gap"),),
    "lining thickness": (("at least", "lining_min"),), "pad thickness": (("at least", "pad_min"),),
    "magnet resistance": (("from", "magnet_ohm_low"), ("to", "magnet_ohm_high")), "volts at magnet": (("at least", "magnet_volts"),),
    "volts at plug": (("at least", "plug_volts"),), "hub temperature": (("stop at", "hub_heat_stop"),),
    "end play": (("from", "end_play_low"), ("to", "end_play_most")), "end play, heavy": (("to", "end_play_heavy"),),
}  # fmt: skip


def sweep_pdf(
    visit: Visit, tables: Tables, last: Visit | None = None, paper: str = "letter", length: str = "in"
) -> bytes:
    """The whole sweep of a trailer as a PDF: two pages a wheel, which are the two sides of one sheet, and one for the trailer.

    Args:
        visit: which trailer: its axles, brakes and drums.
        tables: the checks and limits.
        last: its last visit, from which what was found and read is shown small; none where it was never seen.
        paper: 'letter' or 'a4'.
        length: what the shop's gauges show, 'in' or 'mm'.

    Raises:
        SheetNotDrawnError: the typesetter had any warning.
    """
    made = _compiled(visit, tables, last, paper, length, format="pdf", pdf_standards=["ua-1", "a-2b"])
    assert isinstance(made, bytes)
    return made


def _compiled(
    visit: Visit, tables: Tables, last: Visit | None, paper: str, length: str, **how: Any
) -> bytes | list[bytes]:
    data = _laid_out(visit, tables, last, paper, length)
    drawn = wheel_end(Corner("", ()), visit.unit.brake, lettered=False)
    for colour, grey in BLACK.items():
        drawn = drawn.replace(colour, grey)
    files: Any = {  # by name: a dict is taken, though the typesetter's types do not say so
        "main": (HERE / "sweep_paper.typ").read_bytes(),
        "sweep.json": json.dumps(data, ensure_ascii=False).encode(),
        "wheel.svg": drawn.encode(),
    }
    try:
        made, warnings = typst.compile_with_warnings(
            files, ignore_system_fonts=True, font_paths=[str(HERE / "fonts")], **how
        )
    except typst.TypstError as fault:
        raise SheetNotDrawnError(str(fault)) from fault
    if warnings:
        raise SheetNotDrawnError("; ".join(str(w) for w in warnings))
    assert isinstance(made, bytes | list)
    return made


def _laid_out(visit: Visit, tables: Tables, last: Visit | None, paper: str, length: str) -> dict[str, Any]:
    """All of it as plain data."""
    unit, rows = visit.unit, rows_of(visit, tables)
    answers = [r for r in rows if not r.at]
    stations = dict.fromkeys(r.check.station for r in answers)
    facts = (unit.brake, unit.drum, unit.bolt_pattern, unit.studs)
    return {
        "paper": PAPERS[paper], "unit": printable(unit.id), "facts": printable(", ".join(f for f in facts if f)),
        "fingerprint": tables.fingerprint, "day": [visit.date.year, visit.date.month, visit.date.day],
        "reasons": [f"{letter} {why}" for letter, why in zip("abcdef", WHY_NOT, strict=True)],
        "stations": [{"name": s, "rows": [_answer(r) for r in answers if r.check.station == s]} for s in stations],
        "numbers": [_number(r, visit, tables, length) for r in rows if r.at],
        "wheels": [{"position": p, "last": _last(last, p)} for p in positions(unit.axles)],
        "seen": f"Last here {wording.day(last.date)}" if last else "Never here before",
        "trailer": [_number(r, visit, tables, length) for r in rows_of(visit, tables, of_trailer=True)],
        "end_play": [_held("end play", visit, tables), _held("end play, heavy", visit, tables)],
        "brake": unit.brake,
    }  # fmt: skip


def _answer(row: Numbered) -> dict[str, Any]:
    """A check with its words, each with the digit that it is typed as."""
    return {
        "n": row.number,
        "said": row.said,
        "extra": row.check.optional,
        "words": [[str(i % MOST_WORDS), word] for i, word in enumerate(row.check.found, 1)],
    }


def _number(row: Numbered, visit: Visit, tables: Tables, length: str) -> dict[str, Any]:
    """A reading with a box for each digit."""
    possible = {w[0]: w for w in windows(row.check, visit, tables)}
    shown = possible.get(length) or next(iter(possible.values()), None)
    asked = row.check.only_if and wording.fact_name(row.check.only_if, tables)
    return {
        "n": row.number, "said": row.said, "only": f"if {asked}" if asked else "", "at": list(row.at),
        "gauge": not row.limit, "open": row.check.dimension == "resistance", "limit": "" if row.limit else _held(row.check.check, visit, tables),
        **_boxes(row, shown, length),
    }  # fmt: skip


def _boxes(row: Numbered, window: Window | None, length: str) -> dict[str, Any]:
    """What is printed before the digits, how many boxes there are before and after the point, and the unit."""
    if window is None:  # a drum whose size nobody knows
        return {
            "sign": False,
            "before": "",
            "whole": 2 if length == "in" else 3,
            "after": 3 if length == "in" else 2,
            "unit": length,
        }
    unit, low, high, _, _ = window
    before = printed(row.check, window)
    whole = WHOLE.get(unit, len(str(int(max(abs(low), abs(high))))))
    return {
        "sign": row.check.dial, "before": before, "whole": 0 if before else whole, "after": after_point(window),
        "unit": unit,
    }  # fmt: skip


def _held(what: str, visit: Visit, tables: Tables) -> str:
    """The limit with where it comes from; what is cast or printed for the part goes before it."""
    size = "riveted" if what == "lining thickness" and visit.unit.lining == "riveted" else visit.unit.drum
    rows: list[tuple[str, LimitRow]] = []
    for said, id in LIMITS.get(what, ()):
        if id in tables.limits or f"{id}.{size}" in tables.limits:
            rows.append((said, tables.limit(id, size)))
    if not rows:
        return ""
    sources = dict.fromkeys(f"{r.grade}: {tables.sources[r.source]['say']}" for _, r in rows)
    return ", ".join(f"{said} {r.value} {r.unit}" for said, r in rows) + f" ({'; '.join(sources)})"


def _last(last: Visit | None, position: str) -> list[str]:
    """What was found and read here last time, as much of it as leaves the rows their page."""
    said = [printable(text) for text in _before(last, position)] if last else []
    shown = [text for i, text in enumerate(said) if sum(map(len, said[: i + 1])) <= LAST_LETTERS]
    more = len(said) - len(shown)
    return [*shown, f"and {more} more on its sheet"] if more else shown


def _before(last: Visit, position: str) -> Iterator[str]:
    for corner in (c for c in last.corner if c.position == position):
        for look in (k for k in (*corner.look, *corner.feel, *corner.hear) if k.found != ("fine",)):
            yield f"{look.check}{f', {look.place}' if look.place else ''}: {', '.join(look.found)}"
        yield from (_reading(r) for r in corner.reading)


def _reading(r: Reading) -> str:
    at = f", {'/'.join(r.at)}" if r.at else ""
    return f"{r.what}{at}: {' '.join(r.value)} {r.unit}"
