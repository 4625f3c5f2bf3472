"""Stops, cooling and the half space against small steps in time and space, limits, and numbers that cannot be."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import special

from wheeltapper.measure import cooling, half_space, heat
from wheeltapper.problems import NoAnswerError

Floats = NDArray[np.float64]
K, ALPHA, FLUX, STOP_S = 46.0, 46 / (7200 * 460), 1.5e6, 4.0  # grey iron, a hard stop
EFFUSIVITY = (46 * 7200 * 460) ** 0.5


@cache
def stepped(wall_m: float, cells: int, seconds: float) -> tuple[Floats, Floats]:
    """Times and the temperature of every node of a slab under the flux of one stop: explicit finite differences."""
    dx = wall_m / cells
    dt = 0.4 * dx * dx / ALPHA
    rise = np.zeros(cells + 1)
    times, rows = [], []
    for step in range(int(seconds / dt)):
        flux = FLUX * max(0.0, 1 - (step + 0.5) * dt / STOP_S)
        flow = K * np.diff(rise) / dx  # towards the surface, between neighbours
        gain = np.empty_like(rise)
        gain[0], gain[-1] = 2 * (flow[0] + flux), -2 * flow[-1]
        gain[1:-1] = np.diff(flow)
        rise = rise + gain * dt * ALPHA / (K * dx)
        times.append((step + 1) * dt)
        rows.append(rise)
    return np.array(times), np.array(rows)


@pytest.mark.second_way
def test_one_stop_in_thick_metal_by_finite_differences() -> None:
    """The skin in and after a stop, its peak and when; and 5 mm deep, all within 0.3 % of the peak."""
    times, rows = stepped(0.08, 320, 8.0)
    skin = half_space.stop_rise_k(
        0.0 * times, times, FLUX + 0 * times, STOP_S + 0 * times, K + 0 * times, ALPHA + 0 * times
    )
    deep = half_space.stop_rise_k(
        0.005 + 0 * times, times, FLUX + 0 * times, STOP_S + 0 * times, K + 0 * times, ALPHA + 0 * times
    )
    peak = half_space.stop_peak_k(FLUX, STOP_S, EFFUSIVITY)

    late = times > 0.05
    assert np.max(np.abs(skin - rows[:, 0])[late]) < 0.003 * peak
    assert np.max(np.abs(deep - rows[:, 20])) < 0.003 * peak
    assert rows[:, 0].max() == pytest.approx(peak, rel=0.002)
    assert times[rows[:, 0].argmax()] == pytest.approx(STOP_S / 2, abs=0.01)


@pytest.mark.second_way
@pytest.mark.parametrize("wall_m", [0.006, 0.01, 0.02])
def test_one_stop_in_a_wall_by_finite_differences(wall_m: float) -> None:
    """Skin and back of a wall that loses nothing through its back, in and after the stop."""
    times, rows = stepped(wall_m, 60, 8.0)
    even = np.ones_like(times)
    for x, node in ((0.0, 0), (wall_m / 2, 30), (wall_m, 60)):
        ours = half_space.wall_rise_k(
            x * even, times, FLUX * even, STOP_S * even, K * even, ALPHA * even, wall_m
        )
        assert np.max(np.abs(ours - rows[:, node])[times > 0.05]) < 0.004 * ours.max()


@pytest.mark.reasoned
def test_constants_of_one_stop() -> None:
    """4 / (3 sqrt(2 pi)) = 0.531923 at half time and 2 / (3 sqrt(pi)) = 0.376126 at the stop, of q sqrt(t) / e."""
    unit = FLUX * STOP_S**0.5 / EFFUSIVITY
    at = [half_space.stop_rise_k(0.0, t, FLUX, STOP_S, K, ALPHA) / unit for t in (1.999, 2.0, 2.001, 4.0)]

    assert at[1] == pytest.approx(0.531923, abs=1e-6)
    assert at[3] == pytest.approx(0.376126, abs=1e-6)
    assert at[1] > max(at[0], at[2])
    assert half_space.stop_peak_k(FLUX, STOP_S, EFFUSIVITY) == pytest.approx(at[1] * unit, rel=1e-12)
    assert pytest.approx(at[3], rel=1e-12) == half_space.AT_STOP


@pytest.mark.reasoned
def test_a_wall_ends_as_warm_as_its_heat_makes_it() -> None:
    """Long after the stop the wall is even: all the heat over its mass. A very thick wall is a half space."""
    even = half_space.wall_rise_k(np.array([0.0, 0.004, 0.01]), np.full(3, 200.0), np.full(3, FLUX), np.full(3, STOP_S), np.full(3, K), np.full(3, ALPHA), 0.01)  # fmt: skip

    assert even == pytest.approx(heat.bulk_rise_k(FLUX * STOP_S / 2, 7200 * 0.01, 460.0), rel=1e-9)
    thick = half_space.wall_rise_k(0.002, 3.0, FLUX, STOP_S, K, ALPHA, 0.5)
    assert thick == pytest.approx(half_space.stop_rise_k(0.002, 3.0, FLUX, STOP_S, K, ALPHA), rel=1e-12)


@pytest.mark.second_way
def test_how_far_off_the_half_space_is() -> None:
    """The series of images against a slab under a steady flow: F + 1/3 - 2/pi^2 sum exp(-n^2 pi^2 F) / n^2."""
    n = np.arange(1, 200)
    for number in (0.05, 0.2, 0.3, 0.54, 2.0, 30.0):
        slab = number + 1 / 3 - 2 / np.pi**2 * np.sum(np.exp(-(n**2) * np.pi**2 * number) / n**2)
        assert half_space.wall_error_share(number) == pytest.approx(
            slab / (2 * (number / np.pi) ** 0.5) - 1, abs=1e-9
        )
    assert half_space.wall_error_share(0.3) < 0.01 < half_space.wall_error_share(0.35)
    assert half_space.fourier(4.0, ALPHA, 0.01) == pytest.approx(0.5556, abs=1e-4)


@pytest.mark.second_way
def test_error_functions() -> None:
    """erfc and its integrals against scipy: erfc to 1e-12, the third integral by quadrature, the scaled one far out."""
    x = np.linspace(-3, 8, 111)
    far = np.array([0.0, 0.5, 5.0, 24.9, 25.1, 80.0])
    fine = np.linspace(0.7, 9.0, 40_001)
    third = np.trapezoid((fine - 0.7) ** 2 / 2 * special.erfc(fine), fine)

    assert half_space.erfc(x) == pytest.approx(special.erfc(x), rel=1e-12)
    assert half_space.erfc_thrice(0.7) == pytest.approx(third, rel=1e-6)
    assert half_space.erfc_scaled(far) == pytest.approx(special.erfcx(far), rel=1e-12)
    assert half_space.erfc_once(0.0) == pytest.approx(np.pi**-0.5)


@pytest.mark.second_way
def test_moving_fluid_by_finite_differences() -> None:
    """Thick metal washed by a fluid, explicit steps with a film at the surface: skin and 10 mm deep after 60 s."""
    film, dx = 800.0, 0.0005
    dt, share = 0.4 * dx * dx / ALPHA, np.zeros(401)
    for _ in range(round(60 / dt)):
        flow = K * np.diff(share) / dx
        gain = np.zeros_like(share)
        gain[0], gain[1:-1] = 2 * (flow[0] + film * (1 - share[0])), np.diff(flow)
        share = share + gain * dt * ALPHA / (K * dx)

    for x, node in ((0.0, 0), (0.01, 20)):
        assert half_space.moving_air_share(x, round(60 / dt) * dt, ALPHA, K, film) == pytest.approx(
            share[node], abs=2e-4
        )


@pytest.mark.reasoned
def test_a_very_good_film_holds_the_surface() -> None:
    """With a film without end the fluid's answer is that of a held surface, with no overflow on the way."""
    held = half_space.held_surface_share(0.01, 20.0, ALPHA)

    assert half_space.moving_air_share(0.01, 20.0, ALPHA, K, 1e9) == pytest.approx(held, rel=1e-5)
    assert half_space.moving_air_share(0.0, 1e9, ALPHA, K, 1e3) == pytest.approx(1.0, abs=1e-3)


@pytest.mark.reasoned
def test_time_to_a_temperature_goes_back() -> None:
    """The time found gives the share asked for; a share that is never reached has no time."""
    found = half_space.time_to_s(lambda t: half_space.held_surface_share(0.02, t, ALPHA), 0.25)

    assert half_space.held_surface_share(0.02, found, ALPHA) == pytest.approx(0.25, rel=1e-9)
    with pytest.raises(NoAnswerError):
        half_space.time_to_s(lambda t: half_space.held_surface_share(0.02, t, ALPHA), 1.5)


@pytest.mark.second_way
@pytest.mark.parametrize("stops", [1, 2, 7, 400])
def test_saw_tooth_by_small_steps(stops: int) -> None:
    """Stop, cool in ten thousandth parts of the gap, stop again: the closed sum, and where it ends."""
    rise, gap, constant, above, parts = 45.0, 90.0, 700.0, -12.0, 1000
    for i in range(stops):
        if i:
            for _ in range(parts):
                half = above - above * gap / parts / constant / 2
                above -= half * gap / parts / constant
        above += rise

    assert cooling.after_stop_k(rise, -12.0, gap, constant, float(stops)) == pytest.approx(above, rel=1e-6)
    if stops > 300:
        assert cooling.steady_stop_k(rise, gap, constant) == pytest.approx(above, rel=1e-6)


@pytest.mark.second_way
def test_long_grade_by_small_steps() -> None:
    """A drum under a steady heat flow, in steps of a tenth of a second, against the closed curve and its end."""
    power, film, area, kg, c = 4000.0, 40.0, 0.3, 11.0, 460.0
    t_k = 300.0
    for _ in range(6000):
        half = t_k + 0.05 * (power - film * area * (t_k - 290)) / (kg * c)
        t_k += 0.1 * (power - film * area * (half - 290)) / (kg * c)
    final = 290 + cooling.held_rise_k(power, film, area)
    constant = cooling.time_constant_s(kg, c, film, area)

    assert cooling.held_k(300.0, final, 600.0, constant) == pytest.approx(t_k, rel=1e-7)
    assert cooling.held_k(300.0, final, 1e6, constant) == pytest.approx(final)
    assert cooling.holding_w(final - 290, film, area) == pytest.approx(power)


@pytest.mark.second_way
def test_stop_on_a_grade_by_small_steps() -> None:
    """Brake force that keeps an even deceleration against grade, rolling and air, times way, summed over the stop."""
    mass, v0, slowing, grade, rolling, area, air, g = 3200.0, 27.0, 3.0, 0.06, 0.01, 2.5, 1.2, 9.80665
    share, work, n = (1 + grade**2) ** -0.5, 0.0, 20_000
    for i in range(n):
        v = v0 * (1 - (i + 0.5) / n)
        force = (
            mass * slowing + mass * g * grade * share - rolling * mass * g * share - air * area * v * v / 2
        )
        work += force * v * (v0 / slowing / n)
    distance = heat.stop_distance_m(v0, 0.0, slowing)
    held = heat.rolling_n(mass, grade, rolling, g) + heat.air_n(area, v0, 0.0, air)
    ours = heat.moving_j(mass, v0, 0.0, 0.0) + (heat.grade_n(mass, grade, g) - held) * distance

    assert ours == pytest.approx(work, rel=1e-7)


@pytest.mark.reasoned
def test_shares_of_the_work() -> None:
    """Four brakes, half by the tow vehicle, one a fifth over its part; faces alike and covered whole share evenly."""
    assert heat.one_brake_share(4.0, 0.5, 0.2) == pytest.approx(0.15)
    assert heat.rubbed_share(9.0, 9.0, 1.0) == pytest.approx(0.5)
    assert heat.rubbed_share(12_000.0, 1_200.0, 0.5) == pytest.approx(1 / 1.05)
    assert heat.moving_j(100.0, 10.0, 5.0, 20.0) == pytest.approx(120 * 75 / 2)


@pytest.mark.reasoned
def test_drag_and_bearing() -> None:
    """100 N at 20 m/s is 2 kW; 0.0018 of 8 kN at a 40 mm bore is 0.288 N m, at 20 m/s on 0.36 m it is 16 W."""
    moment = heat.bearing_n_m(8000.0, 0.040, 0.0018)

    assert heat.drag_w(100.0, 20.0) == pytest.approx(2000)
    assert moment == pytest.approx(0.288)
    assert heat.bearing_w(moment, 20.0, 0.36) == pytest.approx(16)


@pytest.mark.reasoned
def test_when_a_story_explains_what_is_seen() -> None:
    """Explained from the high end up, not explained under the low end, nothing in between; each with its near miss."""
    assert heat.explained(500, 600, 600, 700) == "explained"
    assert heat.explained(500, 600, 599.9, 700) == "cannot say"
    assert heat.explained(500, 600, 300, 500) == "cannot say"
    assert heat.explained(500, 600, 300, 499.9) == "not explained"


@pytest.mark.reasoned
def test_arrays_give_what_numbers_give() -> None:
    """One call over a fleet is the same as one call for each wheel."""
    times = np.array([0.5, 2.0, 5.0])
    even = np.ones(3)
    fleet = half_space.stop_rise_k(0.001 * even, times, FLUX * even, STOP_S * even, K * even, ALPHA * even)
    teeth = cooling.after_stop_k(40 * even, 5 * even, 60 * times, 500 * even, np.array([1.0, 3.0, 9.0]))

    assert fleet == pytest.approx(
        [half_space.stop_rise_k(0.001, t, FLUX, STOP_S, K, ALPHA) for t in (0.5, 2.0, 5.0)]
    )
    assert teeth == pytest.approx([cooling.after_stop_k(40.0, 5.0, 60.0 * t, 500.0, n) for t, n in ((0.5, 1.0), (2.0, 3.0), (5.0, 9.0))])  # fmt: skip
    assert heat.moving_j(1000 * even, 20 * even, 0 * even, 0 * even) == pytest.approx(200_000)


BAD: list[tuple[str, Callable[[], object]]] = [
    ("mass", lambda: heat.moving_j(0.0, 20.0, 0.0, 0.0)),
    ("mass", lambda: heat.moving_j(float("nan"), 20.0, 0.0, 0.0)),
    ("speed", lambda: heat.moving_j(1000.0, -20.0, -30.0, 0.0)),
    ("end speed", lambda: heat.moving_j(1000.0, 20.0, 30.0, 0.0)),
    ("turning", lambda: heat.moving_j(1000.0, 20.0, 0.0, -1.0)),
    ("deceleration", lambda: heat.stop_time_s(20.0, 0.0, 0.0)),
    ("deceleration", lambda: heat.stop_distance_m(20.0, 0.0, -3.0)),
    ("mass", lambda: heat.grade_n(-1.0, 0.06, 9.8)),
    ("rolling", lambda: heat.rolling_n(1.0, 0.06, 1.2, 9.8)),
    ("drag area", lambda: heat.air_n(-1.0, 20.0, 0.0, 1.2)),
    ("air's density", lambda: heat.air_n(1.0, 20.0, 0.0, 0.0)),
    ("brake", lambda: heat.one_brake_share(0.0, 0.0, 0.0)),
    ("tow vehicle", lambda: heat.one_brake_share(4.0, 1.5, 0.0)),
    ("this brake", lambda: heat.one_brake_share(1.0, 0.0, 0.5)),
    ("effusivity", lambda: heat.rubbed_share(0.0, 1.0, 0.5)),
    ("heat", lambda: heat.bulk_rise_k(-1.0, 1.0, 460.0)),
    ("specific heat", lambda: heat.bulk_rise_k(1.0, 1.0, 0.0)),
    ("drag", lambda: heat.drag_w(-1.0, 20.0)),
    ("bore", lambda: heat.bearing_n_m(1.0, 0.0, 0.0018)),
    ("radius", lambda: heat.bearing_w(1.0, 20.0, 0.0)),
    ("upside down", lambda: heat.explained(600, 500, 300, 400)),
    ("film", lambda: cooling.biot(0.0, 0.01, 46.0)),
    ("surface", lambda: cooling.time_constant_s(10.0, 460.0, 20.0, 0.0)),
    ("time", lambda: cooling.held_k(400.0, 300.0, -1.0, 100.0)),
    ("time constant", lambda: cooling.held_k(400.0, 300.0, 1.0, 0.0)),
    ("between", lambda: cooling.cooling_time_s(400.0, 300.0, 300.0, 100.0)),
    ("between", lambda: cooling.cooling_time_s(400.0, 410.0, 300.0, 100.0)),
    ("between", lambda: cooling.cooling_time_s(300.0, 300.0, 300.0, 100.0)),
    ("between stops", lambda: cooling.after_stop_k(40.0, 0.0, 0.0, 100.0, 3.0)),
    ("whole number", lambda: cooling.after_stop_k(40.0, 0.0, 60.0, 100.0, 0.0)),
    ("whole number", lambda: cooling.after_stop_k(40.0, 0.0, 60.0, 100.0, 2.5)),
    ("rise", lambda: cooling.steady_stop_k(-40.0, 60.0, 100.0)),
    ("heat flow", lambda: cooling.held_rise_k(-1.0, 20.0, 0.3)),
    ("rise", lambda: cooling.holding_w(-1.0, 20.0, 0.3)),
    ("conductivity", lambda: half_space.diffusivity_m2_s(0.0, 7200.0, 460.0)),
    ("time", lambda: half_space.held_surface_share(0.01, 0.0, ALPHA)),
    ("depth", lambda: half_space.held_surface_share(-0.01, 1.0, ALPHA)),
    ("diffusivity", lambda: half_space.steady_flux_k(0.01, 1.0, 1e5, K, 0.0)),
    ("time of the stop", lambda: half_space.stop_peak_k(FLUX, 0.0, EFFUSIVITY)),
    ("wall", lambda: half_space.wall_rise_k(0.0, 1.0, FLUX, STOP_S, K, ALPHA, 0.0)),
    ("depth", lambda: half_space.wall_rise_k(0.02, 1.0, FLUX, STOP_S, K, ALPHA, 0.01)),
    ("Fourier", lambda: half_space.wall_error_share(0.0)),
]  # fmt: skip


@pytest.mark.reasoned
@pytest.mark.parametrize("said, make", BAD)
def test_numbers_that_cannot_be(said: str, make: Callable[[], object]) -> None:
    """Each names what is wrong and what to do."""
    with pytest.raises(NoAnswerError) as slip:
        make()

    assert said in slip.value.what
    assert slip.value.do.endswith(".")
