"""The Sheet as a drawn, printable PDF: tagged for readers aloud, archivable, the same bytes on every run.

The text goes to the typesetter as data and never as markup, so whatever a person typed is printed as typed. The
layout is in `sheet.typ`; this file draws the pictures, names them and hands everything over. Nothing is fetched.
"""

from __future__ import annotations

import io
import json
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any
from unicodedata import category

import typst
from PIL import Image

from wheeltapper.report.drawing import call_mark, wheel_end
from wheeltapper.report.drawing_ruler import ruler
from wheeltapper.report.figure import drawn, is_wide, told
from wheeltapper.report.kept import SIGNED
from wheeltapper.report.sheet import Sheet
from wheeltapper.words import CALLS

HERE = Path(__file__).parent
LETTERED = ((0x20, 0x7E), (0xA0, 0x17F), (0x370, 0x3FF), (0x400, 0x45F), (0x2010, 0x2027), (0x2030, 0x203A))
ALSO = frozenset("€™−×÷≤≥≈→←↑↓½¼¾⅛⅜⅝⅞Ωω∞√")
LONG = 36  # letters without a gap that a line may hold


class SheetNotDrawnError(RuntimeError):
    """The typesetter had something to say about the sheet: our own fault, never the visit's."""


def pdf(sheet: Sheet, seen: Mapping[str, bytes] = MappingProxyType({})) -> bytes:
    """The Sheet as a PDF, letter size.

    Args:
        sheet: what is shown.
        seen: pictures of the visit's photos, small JPEGs without metadata, by the photo's hash. One that is not there is left out.

    Raises:
        SheetNotDrawnError: the typesetter had any warning.
    """
    data, pictures = _laid_out(sheet)
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


def _laid_out(sheet: Sheet) -> tuple[dict[str, Any], dict[str, str]]:
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
    for s, section in enumerate(plain.sections):
        for i, item in enumerate(section.items):
            data["sections"][s]["items"][i]["facts"] = joined(item.facts)
            if item.ruler:
                name = f"ruler-{s}-{i}.svg"
                pictures[name] = ruler(item.ruler)
                data["sections"][s]["items"][i]["picture"] = name
    return data, pictures


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


def framed(jpeg: bytes) -> str:
    """A JPEG inside an SVG, as the typesetter takes only text."""
    wide, high = Image.open(io.BytesIO(jpeg)).size
    held = f"data:image/jpeg;base64,{b64encode(jpeg).decode()}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" height="{high}">'
        f'<image width="{wide}" height="{high}" href="{held}"/></svg>'
    )


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


def printable(said: str) -> str:
    """A text as it can be printed: a letter that the fonts lack is named by its number, a run too long gets gaps."""
    text = "".join(c if _lettered(c) else " " if c.isspace() else f"[U+{ord(c):04X}]" for c in said)
    return " ".join(_gapped(word) for word in text.split(" "))


def _lettered(c: str) -> bool:
    known = category(c)[0] != "C"  # neither unassigned nor invisible
    return c in ALSO or (known and any(low <= ord(c) <= high for low, high in LETTERED))


def _gapped(word: str) -> str:
    if len(word) <= LONG:
        return word
    return "\u200b".join(word[i : i + LONG] for i in range(0, len(word), LONG))
