"""Numbers with units as a person writes them: '12 1/4 in', '0.112 0.153 in', '1 in, 2 mm'.

A number takes the unit that follows it, or the one behind the next numbers. Nothing is guessed: a comma that could
part thousands or be a decimal mark is asked about, and a number that no unit follows is none.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from math import isfinite

from wheeltapper.measure import plausible
from wheeltapper.problems import NoAnswerError
from wheeltapper.units import WORKOUT_SPELLINGS

Amount = tuple[float, str]  # number and unit as written in WORKOUT_UNITS; '' for none
SIGNED = re.compile(r"[-+]?\d*[.,]?\d+(?:[eE][-+]?\d+)?|[-+]?\d+[.,](?:[eE][-+]?\d+)?")
_MIXED = re.compile(r"\d+[ -]\d{1,2}/(?:2|4|8|16|32|64)(?!\d)|\d+/\d+")
_THOUSANDS = re.compile(r"[-+]?[1-9]\d{0,2}(?:,\d{3})+")
_BEGINS = re.compile(r"[-+]?(?:\d+(?:[.,]\d+|\.(?!\d))?|[.,]\d+)(?:[eE][-+]?\d+)?")
_APART = re.compile(r"(?:[;\s]|,(?=\s))*")
_CHUNK = re.compile(r"[^;\s]+")
NUMBERS = "write plain numbers, a list with blanks between them, then the unit."
GAUGE = re.compile(r"([1-4])/0")  # of a wire


def any_number(text: str) -> float | None:
    """A number, 'inf' and 'open' among them, or None where it is none."""
    return float(text.replace(",", ".")) if SIGNED.fullmatch(text) else plausible.number(text)


def number(text: str) -> float | None:
    """A number that has an end: 1e999 is none."""
    value = any_number(text)
    return value if value is not None and isfinite(value) else None


def gauge(text: str) -> float | None:
    """The number of a wire gauge: 14 for '14' or '14 AWG', 0 for '1/0', -3 for '4/0'; None where it is none."""
    word = re.sub(r"\s*(awg|ga|gauge)\.?$", "", text.strip(), flags=re.IGNORECASE)
    many = GAUGE.fullmatch(word)
    return 1.0 - int(many[1]) if many else number(word)


def amounts(text: str, units: Iterable[str], do: str) -> list[Amount]:
    """Every number of a text with its unit, of those that may be; a number without one has ''. `do` says which units.

    Raises:
        NoAnswerError: something in it is neither.
    """
    spelled = _spellings(units)
    found: list[Amount] = []
    waiting, at = 0, 0
    while (at := _APART.match(text, at).end()) < len(text):  # type: ignore[union-attr]  # it matches nothing too
        name, end = _unit_at(text, at, spelled) if waiting else ("", at)
        if name:
            found[-waiting:] = [(value, name) for value, _ in found[-waiting:]]
            waiting = 0
        else:
            if waiting and text[at].isalpha() and not re.search(r"[;\s]", text[at:]):
                raise NoAnswerError(f"'{text}' has no unit that fits", do)
            value, end = _number_at(text, at)
            found.append((value, ""))
            waiting += 1
        at = end
    return found


def _spellings(units: Iterable[str]) -> list[tuple[str, str]]:
    """Every way to write one of these units and the unit it is, the longest first."""
    names = tuple(units)
    ways = {name: name for name in names}
    for spelled, stands_for in WORKOUT_SPELLINGS.items():
        known = [name for name in stands_for if name in names]
        if known:
            ways.setdefault(spelled, known[0])
    return sorted(ways.items(), key=lambda way: -len(way[0]))


def _unit_at(text: str, at: int, spelled: list[tuple[str, str]]) -> tuple[str, int]:
    for way, name in spelled:
        end = at + len(way)
        if text.startswith(way, at) and (end == len(text) or text[end] in " \t\n;,"):
            return name, end
    return "", at


def _number_at(text: str, at: int) -> tuple[float, int]:
    """The number that begins here and where it ends."""
    word = _CHUNK.match(text, at)
    chunk = word[0].rstrip(",") if word else ""
    match = _MIXED.match(text, at) or _BEGINS.match(text, at)
    value = number(match[0]) if match else None
    if match and _THOUSANDS.fullmatch(match[0]):
        raise NoAnswerError(
            f"'{match[0]}' could be two numbers", f"write {match[0].replace(',', '')} or {match[0].replace(',', '.')}."
        )  # fmt: skip
    glued = match is not None and match.end() < len(text) and text[match.end()] in "-+./0123456789"
    if match is None or value is None or glued:
        raise NoAnswerError(f"'{chunk}' is not a number", NUMBERS)
    return value, match.end()
