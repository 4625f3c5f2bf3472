"""Wire, coils and voltage drop against printed tables."""

from __future__ import annotations

from math import pi

import pytest

from wheeltapper.measure.electric import (
    CIRCULAR_MIL_M2,
    current_window_a,
    expected_a,
    fed_through_wire,
    thinnest_awg,
    wire_diameter_m,
    wire_ohm,
    wire_ohm_per_m,
)

FOOT_M = 0.3048
INCH_M = 0.0254


@pytest.mark.published("lessons-in-electric-circuits-wire-table")
@pytest.mark.parametrize("awg, ohm_per_km, ohm_per_kft", [
    (10, 3.28, 0.9989),
    (12, 5.21, 1.588),
    (14, 8.29, 2.525),
    (16, 13.2, 4.016),
    (18, 21.0, 6.385),
])  # fmt: skip
def test_copper_wire_table(awg: int, ohm_per_km: float, ohm_per_kft: float) -> None:
    """Copper at 20 C by AWG number: a printed ohm-per-km table, and Lessons in Electric Circuits, Reference vol., ch. 3.

    Printed tables round the diameter to three or four digits: 0.4 %.
    """
    assert wire_ohm(awg, 1000) == pytest.approx(ohm_per_km, rel=0.004)
    assert wire_ohm(awg, 1000 * FOOT_M) == pytest.approx(ohm_per_kft, rel=0.004)


@pytest.mark.published("magnet-faq")
@pytest.mark.parametrize("magnets, at_12_v, at_13_v", [(2, 7.5, 8.2), (4, 15.0, 16.3), (6, 22.6, 24.5)])
def test_magnet_amperes(magnets: int, at_12_v: float, at_13_v: float) -> None:
    """Two published question pages on 10 and 12 in electric brakes, 3.2 ohm a magnet: amperes at 12 and 13 V, 1 %."""
    coils = [3.2] * magnets

    assert expected_a(12, coils) == pytest.approx(at_12_v, rel=0.01)
    assert expected_a(13, coils) == pytest.approx(at_13_v, rel=0.01)


@pytest.mark.published("low-voltage-drop-page")
def test_voltage_drop() -> None:
    """A published low-voltage calculator: 5 A over 50 ft one way of 14 AWG loses 1.26 V, 10.5 % of 12 V."""
    drop = 5 * wire_ohm(14, 2 * 50 * FOOT_M)

    assert drop == pytest.approx(1.26, abs=0.005)
    assert drop / 12 == pytest.approx(0.105, abs=0.0005)


@pytest.mark.reasoned
def test_the_drop_lowers_the_current() -> None:
    """Two 3.2 ohm coils behind 30 ft of 14 AWG out and back, 12 V: 12 / (1.6 + 0.1515) = 6.851 A, 10.96 V left."""
    current_a, left_v = fed_through_wire(12, wire_ohm(14, 2 * 30 * FOOT_M), [3.2, 3.2])

    assert current_a == pytest.approx(6.851, abs=0.001)
    assert left_v == pytest.approx(10.96, abs=0.005)
    assert current_a < expected_a(12, [3.2, 3.2])


@pytest.mark.published("lessons-in-electric-circuits-wire-table")
@pytest.mark.parametrize("awg, inch, mils", [
    (10, 0.1019, 10380), (12, 0.08081, 6530), (14, 0.06408, 4107), (16, 0.05082, 2583), (18, 0.04030, 1624),
])  # fmt: skip
def test_wire_diameters(awg: int, inch: float, mils: float) -> None:
    """Lessons in Electric Circuits, Reference vol., ch. 3: bare diameters and circular mils, as many digits as printed."""
    across = wire_diameter_m(awg)

    assert across / INCH_M == pytest.approx(inch, abs=6e-5 if inch > 0.1 else 6e-6)
    assert pi / 4 * across**2 / CIRCULAR_MIL_M2 == pytest.approx(mils, abs=5.5 if mils > 10000 else 1)


@pytest.mark.published("magnet-chart-harness")
@pytest.mark.parametrize("each, brakes, printed", [
    (2.5, 2, 5), (2.5, 4, 10), (2.5, 6, 15), (3.0, 2, 6), (3.0, 4, 12), (3.0, 6, 18),
])  # fmt: skip
def test_harness_chart_lies_inside_its_own_window(each: float, brakes: int, printed: float) -> None:
    """An axle maker's service manual chart (7 in 2.5 A, 10 and 12 in 3.0 A): its totals over its brakes are the rating.

    Bench current at 12 V over the same chart's 3.2 ohm, 3.75 A, is over 120 % of that rating: two limits, not one.
    """
    low, high = current_window_a(each, 0.30, 0.20)

    assert printed / brakes == each
    assert low < printed / brakes < high
    assert expected_a(12, [3.2]) > current_window_a(3.0, 0.30, 0.20)[1]


@pytest.mark.published("49cfr570.58")
@pytest.mark.parametrize("rated, low, high", [(3.0, 2.10, 3.60), (3.75, 2.63, 4.50), (2.5, 1.75, 3.00)])
def test_window_of_the_rule(rated: float, low: float, high: float) -> None:
    """49 CFR 570.58(a): not more than 20 % over and not less than 30 % under the maximum current rating.

    The two shares were read in a state rule with the same limits; the amperes are their arithmetic.
    """
    assert current_window_a(rated, 0.30, 0.20) == pytest.approx((low, high), abs=0.0051)


@pytest.mark.reasoned
@pytest.mark.parametrize("awg, drop", [(16, 2.9), (14, 1.8), (12, 1.14), (10, 0.72)])
def test_drop_of_a_four_brake_trailer(awg: int, drop: float) -> None:
    """12 A over 30 ft out and back: copper of the printed tables times the run."""
    assert 12 * wire_ohm(awg, 60 * FOOT_M) == pytest.approx(drop, abs=0.05 if drop > 1.5 else 0.005)


@pytest.mark.reasoned
@pytest.mark.parametrize("awg", [-3, 0, 4, 10, 12, 14, 18, 40])
def test_gauge_of_a_resistance(awg: int) -> None:
    """The gauge of a wire's own resistance is that gauge."""
    assert thinnest_awg(wire_ohm(awg, 25.0), 25.0) == pytest.approx(awg, abs=1e-9)


@pytest.mark.reasoned
def test_what_follows_from_the_definition() -> None:
    """36 AWG is 5 mils and 4/0 is 460 mils exactly; six gauges thinner has 92^(12/39) times the ohms."""
    assert wire_diameter_m(36) / INCH_M == pytest.approx(0.005, rel=1e-12)
    assert wire_diameter_m(-3) / INCH_M == pytest.approx(0.46, rel=1e-12)
    assert wire_ohm_per_m(16) / wire_ohm_per_m(10) == pytest.approx(92 ** (12 / 39), rel=1e-12)
