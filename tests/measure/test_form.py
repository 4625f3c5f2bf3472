"""Circles, rings, waves and traces against independent ways and against what must hold."""

from __future__ import annotations

from itertools import combinations
from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import least_squares, linprog, minimize
from scipy.stats import studentized_range

from wheeltapper.measure.form import circle_doubts_m, least_squares_circle
from wheeltapper.measure.minimax import minimax
from wheeltapper.measure.readings import evenly_rad, gap_rad, less_m, more_m
from wheeltapper.measure.trace import trace
from wheeltapper.measure.zone import (
    Ring,
    circumscribed_circle,
    inscribed_circle,
    minimum_zone_circle,
)
from wheeltapper.problems import NoAnswerError

Array = NDArray[np.float64]
U = 2.5e-5  # a dial's doubt


def scattered(seed: int, most: int = 11) -> tuple[Array, Array]:
    """Points about a circle: even or not, smooth, rough or on a coarse grid of readings."""
    dice = np.random.default_rng(seed)
    count = int(dice.integers(4, most))
    noise = float(dice.choice([1e-4, 1e-2, 0.1, 0.3]))
    angle = dice.uniform(0, 2 * pi, count) if seed % 3 else evenly_rad(count)
    radius = 1 + noise * dice.normal(size=count)
    radius = np.round(radius / noise) * noise if seed % 5 == 0 else radius
    return 3 + radius * np.cos(angle), -2 + radius * np.sin(angle)


def ring_of(x: Array, y: Array) -> Ring:
    """The minimum zone from nothing but the points."""
    return minimum_zone_circle(least_squares_circle(x, y), x, y)


def narrowest(x: Array, y: Array) -> float:
    """Least width over every centre where the perpendiculars of two pairs meet: the answer is among them."""
    points = np.column_stack([x, y])
    best = np.inf
    for (a, b), (c, d) in combinations(combinations(points, 2), 2):
        rows = 2 * np.array([b - a, d - c])
        if abs(np.linalg.det(rows)) > 1e-10:
            centre = np.linalg.solve(rows, [b @ b - a @ a, d @ d - c @ c])
            best = min(best, float(np.ptp(np.hypot(*(points - centre).T))))
    return best


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(40))
def test_ring_like_trying_every_pair(seed: int) -> None:
    """On few points the ring is the narrowest that any two pairs hold, and its contacts go out, in, out, in."""
    x, y = scattered(seed, 9)
    ring = ring_of(x, y)

    assert ring.width_m == pytest.approx(narrowest(x, y), abs=1e-10)
    assert ring.proven
    assert ring.width_m < 1e-12 or ring.alternates


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(6))
def test_ring_like_a_simplex_search(seed: int) -> None:
    """On 120 points no downhill search from near finds less, and the contacts touch both circles."""
    dice = np.random.default_rng(seed)
    angle = np.sort(dice.uniform(0, 2 * pi, 120))
    radius = 0.127 + 5e-5 * np.cos(2 * angle) + 1e-5 * dice.normal(size=120)
    x, y = radius * np.cos(angle) + 1e-3, radius * np.sin(angle)
    ring = ring_of(x, y)

    def width(centre: Array) -> float:
        return 1e6 * float(np.ptp(np.hypot(x - 1e-5 * centre[0] - 1e-3, y - 1e-5 * centre[1])))

    found = minimize(
        width, [0, 0], method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-9, "maxiter": 4000}
    )
    assert 1e6 * ring.width_m == pytest.approx(found.fun, abs=1e-4)
    assert 1e6 * ring.width_m <= found.fun + 1e-9
    off = np.hypot(x - ring.x_m, y - ring.y_m)[list(ring.contacts)]
    ends = [ring.outer_m if side > 0 else ring.inner_m for side in ring.sides]
    assert off == pytest.approx(ends, abs=1e-12)
    assert ring.alternates
    assert ring.proven


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(40))
def test_exchange_like_linear_programming(seed: int) -> None:
    """The largest miss is what a linear programme finds, with ties, repeated places and whole numbers too."""
    dice = np.random.default_rng(seed)
    count = int(dice.integers(6, 40))
    angle = dice.choice(evenly_rad(24), count) if seed % 2 else dice.uniform(0, 2 * pi, count)
    angle[:3] = [0, 2, 4]
    terms = np.column_stack([np.ones(count), np.cos(angle), np.sin(angle)])
    values = np.round(dice.normal(size=count), 0 if seed % 4 == 0 else 8)
    found = minimax(terms, values)

    bounds = np.vstack(
        [np.column_stack([-terms, -np.ones(count)]), np.column_stack([terms, -np.ones(count)])]
    )
    theirs = linprog(
        [0, 0, 0, 1], bounds, np.append(-values, values), bounds=[(None, None)] * 3 + [(0, None)]
    )
    assert found.miss == pytest.approx(theirs.fun, abs=1e-9)
    balance = (np.array(found.sides) * found.weights) @ terms[list(found.contacts)]
    assert balance == pytest.approx(np.zeros(3), abs=1e-9)
    assert found.weights.sum() == pytest.approx(1)


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(30))
def test_circle_like_scipys_least_squares(seed: int) -> None:
    """No start leads a general optimiser to a better circle, and ours stands where the sum of squares is level."""
    dice = np.random.default_rng(seed)
    count, arc = int(dice.integers(4, 12)), dice.uniform(0.3, 2 * pi)
    angle, noise = dice.uniform(0, arc, count), dice.choice([1e-4, 1e-2, 0.1])
    radius = 1 + noise * dice.normal(size=count)
    x, y = radius * np.cos(angle), radius * np.sin(angle)
    found = least_squares_circle(x, y)

    costs = [
        2 * least_squares(lambda p: np.hypot(x - p[0], y - p[1]) - p[2], [*dice.normal(size=2), 1.0]).cost
        for _ in range(8)
    ]
    assert found.sum_of_squares_m2 <= min(costs) * (1 + 1e-6) + 1e-16
    toward = np.column_stack([np.cos(found.angle_rad), np.sin(found.angle_rad), np.ones(count)])
    assert found.off_m @ toward == pytest.approx(np.zeros(3), abs=1e-6 * noise)


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(30))
def test_touching_circles(seed: int) -> None:
    """The smallest circle over all points is the smallest over any two or three; the largest inside cannot grow nearby."""
    x, y = scattered(3 * seed, 9)
    points = np.column_stack([x, y])
    over = circumscribed_circle(x, y)

    def reach(centre: Array) -> float:
        return float(np.hypot(*(points - centre).T).max())

    trios = [
        _round_three(*map(complex, points[list(t)] @ [1, 1j])) for t in combinations(range(len(points)), 3)
    ]
    pairs = [(a + b) / 2 for a, b in combinations(points, 2)]
    assert over.radius_m == pytest.approx(
        min(map(reach, [*pairs, *[t for t in trios if t is not None]])), rel=1e-9
    )
    if gap_rad(np.arctan2(y + 2, x - 3)) < 2.5:
        inside = inscribed_circle(ring_of(x, y), x, y)
        shifts = 1e-4 * np.column_stack([np.cos(evenly_rad(72)), np.sin(evenly_rad(72))])
        radii = [np.hypot(*(points - [inside.x_m, inside.y_m] - s).T).min() for s in shifts]
        assert max(radii) < inside.radius_m


def _round_three(a: complex, b: complex, c: complex) -> Array | None:
    """Centre of the circle through three points of the complex plane."""
    w = (c - a) / (b - a)
    if abs(w.imag) < 1e-9:
        return None
    centre = (b - a) * (w - abs(w) ** 2) / (2j * w.imag) + a
    return np.array([centre.real, centre.imag])


@pytest.mark.reasoned
@settings(max_examples=20, deadline=None)
@given(st.integers(0, 500), st.floats(-50, 50), st.floats(0, 2 * pi), st.sampled_from([1e-4, 0.1, 25.4]))
def test_moved_turned_and_scaled(seed: int, shift: float, turn: float, scale: float) -> None:
    """A part moved, turned or measured in another unit has the same form."""
    x, y = scattered(seed)
    if len({*zip(x, y, strict=True)}) < 4:
        return
    was = least_squares_circle(x, y)
    u = scale * (x * np.cos(turn) - y * np.sin(turn) + shift)
    v = scale * (x * np.sin(turn) + y * np.cos(turn) - shift)
    now = least_squares_circle(u, v)

    assert now.sum_of_squares_m2 == pytest.approx(scale**2 * was.sum_of_squares_m2, rel=1e-8)
    if was.radius_m < 10:  # a circle much larger than its points is known poorly
        assert now.radius_m == pytest.approx(scale * was.radius_m, rel=1e-6)
    assert now.peak_to_valley_m == pytest.approx(scale * was.peak_to_valley_m, rel=1e-5, abs=1e-11 * scale)
    rings = minimum_zone_circle(was, x, y), minimum_zone_circle(now, u, v)
    assert rings[1].width_m == pytest.approx(scale * rings[0].width_m, rel=1e-6, abs=1e-11 * scale)


@pytest.mark.reasoned
def test_a_true_circle_has_no_form() -> None:
    """Points of a perfect circle, many of them symmetric: nothing is left, by every measure."""
    for count in (4, 5, 8, 360):
        angle = evenly_rad(count)
        found = least_squares_circle(5 + np.cos(angle), np.sin(angle))
        ring = minimum_zone_circle(found, 5 + np.cos(angle), np.sin(angle))

        assert (found.x_m, found.radius_m) == pytest.approx((5, 1), abs=1e-14)
        assert found.peak_to_valley_m < 1e-14
        assert ring.width_m < 1e-14
        assert ring.proven


@pytest.mark.reasoned
def test_symmetric_lobes_by_ring() -> None:
    """n even lobes of amplitude a have a ring 2 a wide about the same centre, however many points tie."""
    for lobes in (2, 3, 4, 6):
        angle = evenly_rad(24 * lobes)
        far = 1 + 0.01 * np.cos(lobes * angle)
        ring = ring_of(far * np.cos(angle), far * np.sin(angle))

        assert ring.width_m == pytest.approx(0.02, abs=1e-13)
        assert (ring.x_m, ring.y_m) == pytest.approx((0, 0), abs=1e-12)


@pytest.mark.reasoned
@pytest.mark.parametrize("arc", [0.05, 0.2, 0.5, 3.0])
def test_short_arcs_come_back(arc: float) -> None:
    """Exact points of an arc give their circle back; on a short one its radius is sure to U sqrt(720 / n) / arc^2 only.

    The bend of a parabola over n even points on a length L has a variance of 180 u^2 / (n L^4), for many points.
    """
    angle = np.linspace(0, arc, 120)
    found = least_squares_circle(10 * np.cos(angle), 10 * np.sin(angle))
    doubt = circle_doubts_m(found, U)[2]

    assert found.radius_m == pytest.approx(10, rel=1e-7)
    assert found.arc_rad == pytest.approx(arc, rel=1e-6)
    if arc < 1:
        assert doubt == pytest.approx(U * np.sqrt(720 / 120) / arc**2, rel=0.1)


@pytest.mark.reasoned
def test_doubts_on_a_full_circle() -> None:
    """n points evenly round: the radius is sure to U / sqrt(n), the centre to U sqrt(2 / n) each way."""
    angle = evenly_rad(16)
    doubts = circle_doubts_m(least_squares_circle(np.cos(angle), np.sin(angle)), U)

    assert doubts == pytest.approx((U * np.sqrt(2 / 16), U * np.sqrt(2 / 16), U / 4), rel=1e-9)


@pytest.mark.second_way
def test_doubts_by_chance() -> None:
    """On a half circle the spread of 1,500 fits to noisy points is what the normal matrix says."""
    dice, angle = np.random.default_rng(1), np.linspace(0, pi, 9)
    fits = []
    for _ in range(1500):
        far = 0.1 + U / 2 * dice.normal(size=9)
        found = least_squares_circle(far * np.cos(angle), far * np.sin(angle))
        fits.append((found.x_m, found.y_m, found.radius_m))
    said = circle_doubts_m(least_squares_circle(0.1 * np.cos(angle), 0.1 * np.sin(angle)), U)

    assert 2 * np.std(fits, axis=0) == pytest.approx(said, rel=0.05)


@pytest.mark.second_way
@pytest.mark.parametrize("count", [2, 4, 8, 36, 360])
def test_range_of_the_gauges_errors(count: int) -> None:
    """What a true part may show: the quantile of the range of normal numbers, as scipy's studentized range has it."""
    share = 0.5 + 0.5 * 0.9544997361036416
    theirs = studentized_range.ppf(share, count, np.inf)

    assert less_m(2.0, count) == pytest.approx(theirs, rel=2e-4)


@pytest.mark.second_way
@pytest.mark.parametrize("form", [0.0, 3 * U])
def test_peak_to_valley_keeps_to_its_doubt(form: float) -> None:
    """Of 500 noisy traces at least 96 % lie within each side of the doubt, by circle and by ring, oval or true."""
    dice, angle = np.random.default_rng(2), evenly_rad(12)
    true = form * np.cos(2 * angle) / 2
    seen = [trace(angle, true + U / 2 * dice.normal(size=12)) for _ in range(500)]
    for sizes in (np.array([s.roundness_m for s in seen]), np.array([s.zone_m for s in seen])):
        assert np.mean(form <= sizes + more_m(U)) > 0.96
        assert np.mean(form >= sizes - less_m(U, 12)) > 0.96


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(10))
def test_uneven_waves_like_scipys_least_squares(seed: int) -> None:
    """Angles as they come, unsorted: the waves that made the readings come back, each with its high place."""
    dice = np.random.default_rng(seed)
    angle = dice.permutation(evenly_rad(14) + dice.uniform(-0.08, 0.08, 14))
    size, at = dice.uniform(0.1, 1, 3), dice.uniform(0, 2 * pi, 3)
    reading = 0.3 + sum(a * np.cos(n * angle - p) for n, a, p in zip((1, 2, 3), size, at, strict=True))
    found = trace(angle, reading)

    assert found.waves.highest >= 4
    assert [w.amplitude_m for w in found.waves.lobes[:3]] == pytest.approx(size.tolist(), abs=1e-12)
    assert [w.phase_rad for w in found.waves.lobes[:3]] == pytest.approx(at.tolist(), abs=1e-9)
    assert max(w.amplitude_m for w in found.waves.lobes[3:]) < 1e-12
    steps = np.linspace(0, pi, 20001)
    widths = 2 * 0.3 + 2 * size[1] * np.cos(2 * steps - at[1])
    assert found.diametral_m == pytest.approx(float(np.ptp(widths)), abs=1e-6)


@pytest.mark.reasoned
def test_off_centre_is_not_oval() -> None:
    """A true circle far off its axis reads as an oval of e^2 / (4 R) unless the radius is told; then as none."""
    radius, off, angle = 0.1, 0.004, evenly_rad(24)
    reading = off * np.cos(angle) + np.sqrt(radius**2 - (off * np.sin(angle)) ** 2) - radius
    plain, told = trace(angle, reading), trace(angle, reading, radius_m=radius)

    assert plain.waves.amplitude_m(2) == pytest.approx(off**2 / (4 * radius), rel=1e-2)
    assert told.roundness_m < 1e-15
    assert told.zone_m < 1e-14
    assert told.eccentricity.amplitude_m == pytest.approx(off, rel=1e-12)
    assert told.waves.mean_m == pytest.approx(0, abs=1e-15)


@pytest.mark.reasoned
def test_readings_in_any_order_and_back_at_the_start() -> None:
    """Order does not matter; a closing reading at 360 degrees counts with that at 0, and their difference is kept."""
    angle = np.append(evenly_rad(8), 2 * pi)
    reading = np.array([0.0, 1, 3, 2, 0, 1, 0, -1, 0.4]) * 1e-4
    shuffled = np.random.default_rng(0).permutation(9)
    found, mixed = trace(angle, reading), trace(angle[shuffled] - 4 * pi, reading[shuffled])

    assert found.readings.angle_rad.size == 8
    assert found.readings.reading_m[0] == pytest.approx(0.2e-4)
    assert found.readings.repeat_m == pytest.approx(0.4e-4)
    assert mixed.roundness_m == pytest.approx(found.roundness_m, abs=1e-15)
    assert mixed.zone_m == pytest.approx(found.zone_m, abs=1e-15)


@pytest.mark.reasoned
def test_half_a_circle_holds_no_plug() -> None:
    """What is open on one side lets it out."""
    angle = np.linspace(0, 2, 9)
    x, y = np.cos(angle), np.sin(angle) + 1e-3 * np.cos(5 * angle)
    with pytest.raises(NoAnswerError, match="half of the circle open"):
        inscribed_circle(ring_of(x, y), x, y)
