"""What some lines come to: parts, labour, the shop's fees, taxes. Whole cents; each fee and tax is rounded once, on its whole base."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from wheeltapper.plan.quote import Line, total, whole
from wheeltapper.reference.charges import Fee
from wheeltapper.reference.tables import Tables


@dataclass(frozen=True)
class Charge:
    """A fee or a tax as it stands on a bill."""

    say: str
    cents: int | None  # None where what it is on has no price


@dataclass(frozen=True)
class Bill:
    """Lines added up; None wherever a price is missing."""

    parts_cents: int | None
    labour_cents: int | None
    hours: Fraction
    fees: tuple[Charge, ...]
    taxes: tuple[Charge, ...]
    total_cents: int | None


def bill(lines: Iterable[Line], tables: Tables) -> Bill:
    """The bill of some lines; a job without lines has no fees."""
    rows = [row for row in lines if row.qty]
    sums = {
        "parts": total(r for r in rows if r.hours is None),
        "labour": total(r for r in rows if r.hours is not None),
    }
    fees = tuple(_fee(row, sums) for row in tables.fees) if rows else ()
    fees = tuple(fee for fee in fees if fee.cents != 0)
    sums["fees"] = _sum(fee.cents for fee in fees)
    taxes = tuple(
        Charge(
            f"{row.say}, {float(row.percent):g} % of {' and '.join(row.on)}",
            _share(row.percent, row.on, sums),
        )
        for row in tables.taxes
        if row.percent and rows
    )
    everything = _sum([*sums.values(), *(tax.cents for tax in taxes)])
    hours = sum((r.hours for r in rows if r.hours is not None), Fraction(0))
    return Bill(sums["parts"], sums["labour"], hours, fees, taxes, everything)


def _fee(row: Fee, sums: dict[str, int | None]) -> Charge:
    share = _share(row.percent, row.of, sums) if row.percent else 0
    cents = None if share is None else row.cents + share
    if cents is not None and row.most_cents is not None:
        cents = min(cents, row.most_cents)
    return Charge(row.say, cents)


def _share(percent: Fraction, on: Iterable[str], sums: dict[str, int | None]) -> int | None:
    base = _sum(sums[name] for name in on)
    return None if base is None else whole(percent * base / 100)


def _sum(cents: Iterable[int | None]) -> int | None:
    rows = list(cents)
    return None if None in rows else sum(c for c in rows if c is not None)
