"""Which letters the sheet's fonts have, and how a text is printed that has others."""

from __future__ import annotations

from unicodedata import category

LETTERED = ((0x20, 0x7E), (0xA0, 0x17F), (0x370, 0x3FF), (0x400, 0x45F), (0x2010, 0x2027), (0x2030, 0x203A))
ALSO = frozenset("€™−×÷≤≥≈→←↑↓½¼¾⅛⅜⅝⅞Ωω∞√")
LONG = 36  # letters without a gap that a line may hold


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
