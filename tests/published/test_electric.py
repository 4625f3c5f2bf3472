"""Wire, coils and voltage drop against printed tables."""

from __future__ import annotations

import pytest

from wheeltapper.measure.electric import expected_a, fed_through_wire, wire_ohm

FOOT_M = 0.3048


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
