"""The Sheet as a drawn, printable PDF: tagged for readers aloud, archivable, the same bytes on every run.

The text goes to the typesetter as data and never as markup, so whatever a person typed is printed as typed. The
layout is in `sheet.typ`; this file draws the pictures, names them and hands everything over. Nothing is fetched.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from functools import cache
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType
from typing import Any

import typst

from wheeltapper.report.beside import Beside
from wheeltapper.report.drawing import call_mark, wheel_end
from wheeltapper.report.drawing_ruler import ruler
from wheeltapper.report.figure import drawn, is_wide, told
from wheeltapper.report.kept import SIGNED
from wheeltapper.report.lettering import printable
from wheeltapper.report.sheet import Sheet
from wheeltapper.report.small_picture import framed
from wheeltapper.words import CALLS

HERE = Path(__file__).parent
GOOD_SAID = "good: the same view of a good part"


class SheetNotDrawnError(RuntimeError):
    """The typesetter had something to say about the sheet: our own fault, never the visit's."""


def pdf(sheet: Sheet, seen: Mapping[str, bytes] = MappingProxyType({})) -> bytes:
    """The Sheet as a PDF, letter size.

    Args:
        sheet: what is shown.
        seen: pictures as small JPEGs without metadata: those that its pairs name (`small_picture.small_pictures`), and the visit's photos
            by their hash. What is not there is left out.

    Raises:
        SheetNotDrawnError: the typesetter had any warning.
    """
    data, pictures = _laid_out(sheet, seen)
    pictures |= _photos(sheet, data, seen)
    files: Any = {  # by name: a dict is taken, though the typesetter's types do not say so
        "main": _template(),
        "sheet.json": json.dumps(data, ensure_ascii=False).encode(),
        **{name: svg.encode() for name, svg in pictures.items()},
    }
    try:
        made, warnings = typst.compile_with_warnings(
            files,
            format="pdf",
            ignore_system_fonts=True,
            font_paths=[str(HERE / "fonts")],
            pdf_standards=["ua-1", "a-2b"],
        )
    except typst.TypstError as fault:
        raise SheetNotDrawnError(str(fault)) from fault
    if warnings:
        raise SheetNotDrawnError("; ".join(str(w) for w in warnings))
    assert isinstance(made, bytes)
    return made


def _laid_out(sheet: Sheet, seen: Mapping[str, bytes]) -> tuple[dict[str, Any], dict[str, str]]:
    """The Sheet as plain data, every ruler and corner with the name of its picture; and the pictures."""
    plain = _printable(sheet)
    data = asdict(plain)
    day = datetime.strptime(sheet.date, "%d %b %Y")  # the visit's day, so that the bytes stay the same
    data["day"] = {"year": day.year, "month": day.month, "day": day.day}
    pictures = {f"mark-{call}.svg": call_mark(call) for call in CALLS} | {"mark-none.svg": call_mark(None)}
    for i, corner in enumerate(plain.corners):
        pictures[f"corner-{i}.svg"] = wheel_end(corner, plain.brake)
        data["corners"][i]["picture"] = f"corner-{i}.svg"
        data["corners"][i]["told"] = _told(corner.position, corner.calls)
    for i, reckoned in enumerate(plain.worked):
        shown = data["worked"][i]
        shown.pop("figure")
        shown["picture"] = f"figure-{i}.svg" if reckoned.figure else None
        if reckoned.figure:
            pictures[f"figure-{i}.svg"] = drawn(reckoned.figure)
            shown |= {"told": told(reckoned.figure), "wide": is_wide(reckoned.figure)}
    shown, drawn_too = _items(sheet, plain, seen)
    data["sections"] = [row | {"items": items} for row, items in zip(data["sections"], shown, strict=True)]
    return data, pictures | drawn_too


def _items(
    sheet: Sheet, plain: Sheet, seen: Mapping[str, bytes]
) -> tuple[list[list[dict[str, Any]]], dict[str, str]]:
    """Every item of every section with the names of its pictures; and the pictures."""
    pictures: dict[str, str] = {}
    shown: list[list[dict[str, Any]]] = []
    for said, section in zip(plain.sections, sheet.sections, strict=True):
        shown.append([])
        for item, whole in zip(said.items, section.items, strict=True):
            name = f"ruler-{len(shown)}-{len(shown[-1])}.svg"
            if item.ruler:
                pictures[name] = ruler(item.ruler)
            pairs = [_pair(b, seen) for b in whole.beside]
            pictures |= {_file(n): framed(seen[n]) for pair in pairs for n, _ in pair}
            cells = [[{"file": _file(n), "said": text} for n, text in pair] for pair in pairs if pair]
            shown[-1].append(asdict(item) | {"facts": joined(item.facts), "picture": name, "beside": cells})
    return shown, pictures


def _pair(pair: Beside, seen: Mapping[str, bytes]) -> list[tuple[str, str]]:
    """The good part, then the photo or else the rendered one: what each is called and what it says, where its bytes are there."""
    found = pair.photo if pair.photo in seen else pair.rendered
    said = f"{printable(pair.said)}: " + ("this part" if found == pair.photo else "rendered, not this part")
    return [(name, text) for name, text in ((pair.good, GOOD_SAID), (found, said)) if name in seen]


def _file(name: str) -> str:
    """A name of our own for a picture: what a person called it never reaches the typesetter."""
    return f"seen-{sha256(name.encode()).hexdigest()[:16]}.svg"


def _photos(sheet: Sheet, data: dict[str, Any], seen: Mapping[str, bytes]) -> dict[str, str]:
    """What a kept visit adds: its photos, each under a name of our own, and the line that ties the sheet to its record."""
    if sheet.kept is None:
        return {}
    data |= {"signed": SIGNED, "record": sheet.kept.said}
    pictures = {}
    for i, photo in enumerate(sheet.kept.photos):
        name = f"photo-{i}.svg" if photo.sha256 in seen else None
        data["kept"]["photos"][i]["file"] = name
        if name:
            pictures[name] = framed(seen[photo.sha256])
    return pictures


def joined(facts: tuple[str, ...]) -> list[str]:
    """Facts that state one reading, as one line: the reading once, then what it says."""
    lines: dict[str, list[str]] = {}
    for fact in facts:
        reading, colon, says = fact.rpartition(": ")
        lines.setdefault(reading + colon, []).append(says)
    return [reading + "; ".join(says) for reading, says in lines.items()]


def _told(position: str, calls: tuple[tuple[str, Any], ...]) -> str:
    said = ", ".join(f"{part} {call}" for part, call in calls) or "nothing looked at yet"
    return f"Exploded wheel end {position}: {said}"


@cache
def _template() -> bytes:
    return (HERE / "sheet.typ").read_bytes()


def _printable(value: Any) -> Any:
    """The same records with every text made of letters that the fonts have."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, tuple):
        return tuple(_printable(v) for v in value)
    if hasattr(value, "__dataclass_fields__"):
        return type(value)(**{k: _printable(getattr(value, k)) for k in value.__dataclass_fields__})
    return value
