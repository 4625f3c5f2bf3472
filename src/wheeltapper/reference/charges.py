"""Taxes and fees: rows of taxes.csv and fees.csv, typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, get_args

from wheeltapper.reference.money import cents_of

Base = Literal["parts", "labour", "fees"]
BASES: tuple[Base, ...] = get_args(Base)


@dataclass(frozen=True)
class Tax:
    """A tax: so many percent of what it is on."""

    code: str
    say: str
    percent: Fraction
    on: tuple[Base, ...]


@dataclass(frozen=True)
class Fee:
    """A fee of the shop: an amount for each job, and so many percent of parts or labour."""

    code: str
    say: str
    cents: int
    percent: Fraction
    of: tuple[Base, ...]
    most_cents: int | None


def tax(row: Mapping[str, str]) -> Tax:
    """A row of taxes.csv. Raises ValueError."""
    return Tax(row["code"], row["say"], percent_of(row["percent"]), _bases(row["on"], BASES))


def fee(row: Mapping[str, str]) -> Fee:
    """A row of fees.csv. Raises ValueError."""
    share = percent_of(row["percent"] or "0")
    of = _bases(row["of"], BASES[:2]) if share else ()
    return Fee(
        row["code"], row["say"], cents_of(row["amount"]) or 0, share, of, cents_of(row["at_most"])
    )  # fmt: skip


def percent_of(text: str) -> Fraction:
    """A number of percent, '8.25'. Raises ValueError."""
    try:
        share = Fraction(text.strip())
    except (ValueError, ZeroDivisionError):
        share = Fraction(-1)
    if not 0 <= share <= 100 or "/" in text or "e" in text.lower():
        raise ValueError(f"'{text}' is not a number of percent, 0 to 100, with a point: 8.25")
    return share


def _bases(text: str, known: tuple[Base, ...]) -> tuple[Base, ...]:
    words = text.split()
    if not words or set(words) - set(known):
        raise ValueError(f"'{text}' is not one or more of {', '.join(known)}, with blanks between")
    return tuple(b for b in known if b in words)
