"""Sizes against limits at the very limit, counted out exactly, and conversions there and back."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest

from wheeltapper.units import INCH_M, MILE_M, UNITS, above, at_most, below, doubt_to_si, from_si, to_si

INCH_MM = Fraction(254, 10)
LIMITS = ("7.090", "10.090", "12.090", "12.340", "0.020", "0.060", "0.010", "0.0625", "0.03125", "0.094")
STEPS = tuple(range(-12, 13))  # hundred-thousandths of an inch about the limit


def texts(inches: Fraction) -> tuple[tuple[str, str], ...]:
    """One length as typed in inches and, exactly, in millimetres."""
    mm = inches * INCH_MM
    return tuple(
        (f"{Decimal(q.numerator) / Decimal(q.denominator):f}", unit)
        for q, unit in ((inches, "in"), (mm, "mm"))
    )


def cases() -> list[tuple[str, str, str, str, int]]:
    """Size and limit, each in inches or in millimetres, and on which side of the limit the size truly is."""
    out = []
    for limit, step in product(LIMITS, STEPS):
        true_limit = Fraction(limit)
        size = true_limit + Fraction(step, 100_000)
        for (size_text, size_unit), (limit_text, limit_unit) in product(texts(size), texts(true_limit)):
            out.append((size_text, size_unit, limit_text, limit_unit, (step > 0) - (step < 0)))
    return out


@pytest.mark.second_way
def test_sides_of_a_limit_counted_out() -> None:
    """Every one of a thousand sizes at and about ten limits falls on the side that exact fractions say."""
    wrong = []
    for size_text, size_unit, limit_text, limit_unit, side in cases():
        size, limit = to_si(float(size_text), size_unit), to_si(float(limit_text), limit_unit)
        if (above(size, limit), below(size, limit), at_most(size, limit)) != (side > 0, side < 0, side <= 0):
            wrong.append((size_text, size_unit, limit_text, limit_unit))

    assert len(cases()) == 1000
    assert wrong == []


@pytest.mark.second_way
def test_size_and_doubt_together_at_the_limit() -> None:
    """Size plus doubt that meet the limit exactly are at it, not over or under, in any mix of units."""
    wrong = []
    for limit, doubt in product(LIMITS[:4], ("0.001", "0.002", "0.003", "0.0005")):
        for (size, s), (u, v) in product(texts(Fraction(limit) - Fraction(doubt)), texts(Fraction(doubt))):
            total = to_si(float(size), s) + doubt_to_si(float(u), v)
            wrong += (
                [(size, u)]
                if above(total, to_si(float(limit), "in")) or below(total, to_si(float(limit), "in"))
                else []
            )

    assert wrong == []


@pytest.mark.reasoned
@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("value", [0.0, 1.0, -40.0, 12.34])
def test_there_and_back(unit: str, value: float) -> None:
    """A value comes back from SI as it went."""
    assert from_si(to_si(value, unit), unit) == pytest.approx(value, abs=1e-9)


@pytest.mark.reasoned
@pytest.mark.parametrize("value, unit, si", [
    (1, "in", 0.0254), (25.4, "mm", 0.0254), (1, "mi", 1609.344), (1, "km", 1000), (-40, "F", 233.15), (-40, "C", 233.15),
    (32, "F", 273.15), (212, "F", 373.15), (100, "%", 1), (1, "ft-lb", 0.3048 * 4.4482216152605), (1, "N m", 1),
])  # fmt: skip
def test_defined_conversions(value: float, unit: str, si: float) -> None:
    """Conversions that hold by definition: the inch, the mile, the pound force, the fixed points."""
    assert to_si(value, unit) == pytest.approx(si, rel=1e-12)


@pytest.mark.reasoned
def test_a_difference_of_temperature_has_no_offset() -> None:
    """30 F apart are 16.67 K apart, wherever on the scale."""
    assert doubt_to_si(30, "F") == pytest.approx(30 / 1.8)
    assert doubt_to_si(30, "F") == pytest.approx(to_si(130, "F") - to_si(100, "F"))


@pytest.mark.reasoned
def test_exact_constants() -> None:
    """The inch and the mile are exact, and 63 360 inches are a mile."""
    assert Fraction(str(INCH_M)) * 63360 == Fraction(str(MILE_M))
