"""What a person wrote, as a number or not, and what is asked about it."""

from __future__ import annotations

from math import inf, radians

import pytest

from wheeltapper.measure import plausible
from wheeltapper.measure.plausible import fits, number, other_unit, quantity, shifted, standing_off

pytestmark = pytest.mark.reasoned
DRUM = (9.990 * 0.0254, 10.250 * 0.0254)


@pytest.mark.parametrize("text, value", [
    ("10.022", 10.022), ("10,022", 10.022), (" 10.022 ", 10.022), ("3/32", 0.09375), ("12 1/4", 12.25), ("12-1/4", 12.25),
    (".085", 0.085), ("10.", 10.0), ("-1", -1.0), ("+2", 2.0), ("open", inf), ("OL", inf), ("No Continuity", inf), ("0", 0.0),
])  # fmt: skip
def test_numbers(text: str, value: float) -> None:
    """Decimal point or comma, fractions of an inch, and the words for an open circuit."""
    assert number(text) == value


@pytest.mark.parametrize("text", [
    "", " ", "nan", "NaN", "1e999", "1e3", "-inf", "--1", "1.2.3", "1,234.5", "10 022", "ten", "10.022 in", "1/0", "3/", "/3", "1/2/3",
    "0x10", "10.02?", "≈10", "1_0", "'10'", "9" * 400 + "/1", "9" * 5000 + "/1", "1/" + "9" * 5000, "²", "½",
])  # fmt: skip
def test_what_is_no_number(text: str) -> None:
    """Anything else is no number, however long, and is never guessed at."""
    assert number(text) is None


@pytest.mark.parametrize("text, stated", [
    ("0.003 in", (0.003, "in")), ("110 ft-lb", (110, "ft-lb")), ("150 N m", (150, "N m")), ("97 F", (97, "F")), ("3 %", (3, "%")), ("1/64 in", (1 / 64, "in")),
    ("0.003", None), ("in", None), ("0.003in", None), ("0.003 inch", None), ("", None), (" N m", None), ("x in", None), ("0.003 furlong", None),
])  # fmt: skip
def test_quantities(text: str, stated: tuple[float, str] | None) -> None:
    """A number and a known unit with a space between, or nothing."""
    assert quantity(text) == stated


@pytest.mark.parametrize("value, unit, other, moved", [
    (10.022, "in", None, None), (10.022, "mm", "in", None), (254.6, "in", "mm", None), (100.22, "in", None, 10.022),
    (1.0022, "in", None, 10.022), (10022, "in", None, 10.022), (5.0, "in", None, None),
])  # fmt: skip
def test_what_would_fit(value: float, unit: str, other: str | None, moved: float | None) -> None:
    """A value outside the window: the unit, or the place of the decimal mark, with which it would be possible."""
    inside = fits(value, unit, DRUM)

    assert (None if inside else other_unit(value, unit, DRUM)) == other
    assert (None if inside or other else shifted(value, unit, DRUM)) == (
        None if moved is None else pytest.approx(moved)
    )


@pytest.mark.parametrize("values, odd", [
    ([10.020, 10.021, 10.022], []), ([10.020, 10.021, 10.220], [2]), ([10.020, 10.220], [0, 1]), ([10.020], []), ([], []),
    ([10.020, 10.070], []), ([10.020, 10.020, 10.071], [2]),
])  # fmt: skip
def test_what_stands_off(values: list[float], odd: list[int]) -> None:
    """More than 0.050 from the median of the others; with two that disagree, both; exactly 0.050 is not more."""
    assert standing_off([v * 0.0254 for v in values], 0.050 * 0.0254) == odd


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("0", 0), ("45", 45), ("45 deg", 45), ("359.5", 359.5), ("12:00", 0), ("1:30", 45), ("3 o'clock", 90), ("11:59", 359.5), ("6:00", 180)],
)  # fmt: skip
def test_clock_positions(text: str, degrees: float) -> None:
    """Degrees from stud 1 clockwise, or as on a clock face: an hour is 30 degrees."""
    angle = plausible.clock_angle_rad(text)

    assert angle is not None
    assert angle == pytest.approx(radians(degrees))


@pytest.mark.parametrize("text", ["", "360", "-5", "13:00", "0:30", "1:60", "noon", "open", "1:3", "top"])
def test_no_clock_positions(text: str) -> None:
    """What is no place on the circle is not guessed at."""
    assert plausible.clock_angle_rad(text) is None


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [("20 deg", "angle", 0.3490658503988659), ("0.003 in", "length", 7.62e-5), ("100 N m", "torque", 100.0), ("14 1/2 in", "length", 0.3683)],
)  # fmt: skip
def test_amounts(text: str, dimension: str, si: float) -> None:
    """A number with a unit of the dimension asked for."""
    assert plausible.amount_si(text, dimension) == pytest.approx(si)


@pytest.mark.parametrize("text", [None, "", "20", "deg", "20 in", "open deg", "20 furlongs", "twenty deg"])
def test_no_amounts(text: str | None) -> None:
    """Nothing, no unit, another dimension, no finite number: no amount."""
    assert plausible.amount_si(text, "angle") is None
