"""Energy of stops and grades, lumped cooling and the half space against worked examples of textbooks."""

from __future__ import annotations

import pytest

from wheeltapper.measure import cooling, half_space, heat

FOOT_M, POUND_N, POUND_KG, FOOT_POUND_J = 0.3048, 4.4482216152605, 0.45359237, 1.3558179483314004
FAHRENHEIT_K = 5 / 9
ZERO_C = 273.15


@pytest.mark.published("wentzell-16-5")
def test_car_stopped_by_a_drum() -> None:
    """Wentzell, Machine Design, Example 16.5 p. 365 (a second-hand copy of the working was read, not the book).

    3500 lb from 73 ft/s, g = 32.2 ft/s2: 289 619.6 ft lb; a 40 lb drum of 93 ft lb/(lb F) warms by 77.85 F; at 20 ft/s2
    it takes 3.65 s.
    """
    mass_kg = 3500 * POUND_N / (32.2 * FOOT_M)
    energy_j = heat.moving_j(mass_kg, 73 * FOOT_M, 0.0, 0.0)
    specific_heat = 93 * FOOT_POUND_J / POUND_KG / FAHRENHEIT_K

    assert energy_j / FOOT_POUND_J == pytest.approx(289_619.6, abs=0.1)
    rise_k = heat.bulk_rise_k(energy_j, 40 * POUND_KG, specific_heat)
    assert rise_k / FAHRENHEIT_K == pytest.approx(77.85, abs=0.01)
    assert heat.stop_time_s(73 * FOOT_M, 0.0, 20 * FOOT_M) == pytest.approx(3.65, abs=0.005)


@pytest.mark.published("openstax-college-physics-14-2")
def test_truck_down_a_hill() -> None:
    """OpenStax, College Physics, Example 14.2 (a second-hand copy of the working was read).

    10 000 kg come down 75 m on the brakes: 7.35e6 J warm 100 kg of 800 J/(kg C) by 92 C.
    """
    along_m = 75 * (1 + 0.05**2) ** 0.5 / 0.05  # any grade will do: here one in twenty
    energy_j = heat.grade_n(10_000.0, 0.05, 9.80) * along_m

    assert energy_j == pytest.approx(7.35e6, abs=0.005e6)
    assert heat.bulk_rise_k(energy_j, 100.0, 800.0) == pytest.approx(92, abs=0.5)


@pytest.mark.published("holman-4-1")
def test_steel_ball_in_air() -> None:
    """Holman, Heat Transfer, Example 4-1 (a second-hand copy of the working was read, not the book).

    A 5 cm steel ball, c = 460 J/(kg C), 7800 kg/m3, h = 10 W/(m2 C), from 450 C in air of 100 C reaches 150 C after
    5818 s (1.62 h).
    """
    radius_m = 0.025
    per_area = 7800 * radius_m / 3  # mass over surface
    constant_s = cooling.time_constant_s(per_area, 460.0, 10.0, 1.0)
    time_s = cooling.cooling_time_s(450 + ZERO_C, 150 + ZERO_C, 100 + ZERO_C, constant_s)

    assert time_s == pytest.approx(5818, abs=1)
    assert time_s / 3600 == pytest.approx(1.62, abs=0.005)


@pytest.mark.published("holman-4-2")
def test_thick_slab_held_and_heated() -> None:
    """Holman, Heat Transfer, Example 4-2 (a second-hand copy of the working was read, not the book).

    k = 45 W/(m C), 1.4e-5 m2/s, 35 C; 25 mm deep after 30 s: 118.5 C with the surface at 250 C, 79.3 C under 3.2e5 W/m2.
    """
    share = half_space.held_surface_share(0.025, 30.0, 1.4e-5)

    assert 35 + (250 - 35) * share == pytest.approx(118.5, abs=0.05)
    assert 35 + half_space.steady_flux_k(0.025, 30.0, 3.2e5, 45.0, 1.4e-5) == pytest.approx(79.3, abs=0.05)


@pytest.mark.published("eu-rail-tsi-slope")
def test_reference_slope_of_the_railways() -> None:
    """The EU rail interoperability text's reference slope for brakes (German and Dutch text read on a page).

    21 permille, 70 km/h, 40 km, axle load 22.5 t on two wheels: 45 kW a wheel for 34 min.
    """
    speed_m_s = 70 / 3.6
    power_w = heat.drag_w(heat.grade_n(22_500.0, 0.021, 9.80665), speed_m_s) * heat.one_brake_share(
        2.0, 0.0, 0.0
    )

    assert power_w / 1e3 == pytest.approx(45, abs=0.1)
    assert 40_000 / speed_m_s / 60 == pytest.approx(34, abs=0.5)
