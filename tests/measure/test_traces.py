"""Traces of readings round a part: ovals between four directions, gaps, crowded readings, words for places."""

from __future__ import annotations

from itertools import combinations
from math import nan, pi

import numpy as np
import pytest
from numpy.typing import NDArray

from wheeltapper.measure.form import least_squares_circle
from wheeltapper.measure.harmonics import harmonics, shortfall_share
from wheeltapper.measure.minimax import least_spread
from wheeltapper.measure.readings import clock_text, evenly_rad, round_of
from wheeltapper.measure.trace import trace, two_point
from wheeltapper.measure.zone import (
    minimum_zone_circle,
)
from wheeltapper.problems import NoAnswerError

Array = NDArray[np.float64]
U = 2.5e-5  # a dial's doubt


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(10))
def test_traces_ring_like_a_ring_of_points(seed: int) -> None:
    """Small deviations: the trace's minimum zone is that of the points they stand for, to e^2 / R."""
    dice = np.random.default_rng(seed)
    reading = 1e-5 * dice.normal(size=16)
    far, angle = 0.15 + reading, evenly_rad(16)

    assert trace(angle, reading).zone_m == pytest.approx(
        minimum_zone_circle(
            least_squares_circle(far * np.cos(angle), far * np.sin(angle)),
            far * np.cos(angle),
            far * np.sin(angle),
        ).width_m,
        abs=1e-8,
    )
    assert trace(angle, reading, radius_m=0.15).zone_m == pytest.approx(
        trace(angle, reading).zone_m, abs=1e-8
    )


@pytest.mark.reasoned
def test_the_oval_between_four_directions() -> None:
    """An oval turned by 22.5 degrees shows four directions only 0.7 of itself; the fit gives all of it and its axis."""
    direction = evenly_rad(8)[:4]
    found = two_point(direction, 0.254 + 1e-4 * np.cos(2 * (direction - pi / 8)), U)

    assert found.out_of_round_m == pytest.approx(2e-4 * np.cos(pi / 4), rel=1e-9)
    assert found.ovality_m == pytest.approx(2e-4, rel=1e-9)
    assert found.long_axis.angle_rad == pytest.approx(pi / 8, abs=1e-9)
    assert found.long_axis.clock == "12:45 to 6:45"
    assert found.waves is not None
    assert 4 * found.waves.lobes[0].doubt_m == pytest.approx(2 * U * np.sqrt(2 / 4), rel=1e-9)


@pytest.mark.reasoned
def test_two_directions_place_no_oval() -> None:
    """Two diameters differ, and that is all: no wave is fitted."""
    found = two_point(None, [0.2541, 0.2540])

    assert found.waves is None
    assert found.ovality_m is None
    assert found.out_of_round_m == pytest.approx(1e-4)
    assert (found.long_axis.clock, found.short_axis.clock) == ("12:00 to 6:00", "3:00 to 9:00")


@pytest.mark.reasoned
def test_shortfall_between_readings() -> None:
    """A crest midway between two of N readings stands a (1 - cos(pi n / N)) above them, never more than its valley."""
    assert shortfall_share(2.0, 2 * pi / 8) == pytest.approx(1 - np.cos(pi / 4))
    assert np.asarray(shortfall_share(np.array([1.0, 4.0, 16.0]), np.full(3, pi / 4))) == pytest.approx(
        [1 - np.cos(pi / 8), 1, 2]
    )
    turned = evenly_rad(8)
    seen = np.cos(2 * (turned - pi / 8)).max()
    wave = harmonics(round_of(turned, np.cos(2 * (turned - pi / 8)))).lobes[1]
    assert wave.shortfall_m == pytest.approx(1 - seen)


@pytest.mark.reasoned
def test_crowded_readings_tell_fewer_lobes() -> None:
    """Twelve readings on a third of the turn tell no five lobes apart, and the doubt says how little they tell of one."""
    even, crowded = evenly_rad(12), evenly_rad(12) / 3
    reading = np.random.default_rng(3).normal(size=12)

    assert trace(even, reading, U).waves.highest == 5
    assert trace(crowded, reading, U).waves.highest < 3
    assert trace(crowded, reading, U).eccentricity.doubt_m > 3 * trace(even, reading, U).eccentricity.doubt_m


@pytest.mark.reasoned
@pytest.mark.parametrize(("degrees", "word"), [(0, "12:00"), (30, "1:00"), (45, "1:30"), (135, "4:30"), (359, "12:00"), (352, "11:45"), (-90, "9:00"), (402.5, "1:25")])  # fmt: skip
def test_clock_words(degrees: float, word: str) -> None:
    """Half a degree is a minute; stud 1 is 12:00, whatever the turn."""
    assert clock_text(degrees * pi / 180) == word


@pytest.mark.second_way
def test_least_width_never_too_large() -> None:
    """The least width of a set, looked for in fixed directions, is just under the true one by rotating its hull."""
    points = np.random.default_rng(5).normal(size=(30, 2))
    edges = np.array([b - a for a, b in combinations(points, 2)])
    across = np.column_stack([-edges[:, 1], edges[:, 0]]) / np.hypot(*edges.T)[:, None]
    true = np.ptp(points @ across.T, axis=0).min()

    assert true - 0.05 < least_spread(points, points) <= true


@pytest.mark.reasoned
@pytest.mark.parametrize(("x", "y", "what"), [
    ([0, 1], [0, 1], "fewer than three"),
    ([2, 2, 2, 2], [1, 1, 1, 1], "fewer than three"),
    ([0, 1, 2, 3], [0, 1, 2, 3], "straight line"),
    ([0, 1, 2], [0, 1], "not equally long"),
    ([0, 1, nan, 3], [0, 1, 2, 4], "not a finite number"),
    ([], [], "fewer than three"),
    ([-3, -1, 1, 3], [1e-7, 2e-7, -2e-7, -1e-7], "straight line"),
])  # fmt: skip
def test_no_circle(x: list[float], y: list[float], what: str) -> None:
    """Points that settle no circle are told so, with what to do."""
    with pytest.raises(NoAnswerError, match=what) as slip:
        least_squares_circle(x, y)
    assert slip.value.do.endswith(".")


@pytest.mark.reasoned
def test_no_ring_no_trace() -> None:
    """Three places are always round; a radius that the readings use up is none."""
    triangle = least_squares_circle([0, 1, 0], [0, 0, 1])
    with pytest.raises(NoAnswerError, match="three points always lie on a circle"):
        minimum_zone_circle(triangle, [0, 1, 0], [0, 0, 1])
    with pytest.raises(NoAnswerError, match="three places"):
        trace([0, 1, 2, 2 * pi], [0, 1, 2, 3])
    with pytest.raises(NoAnswerError, match="past the middle"):
        trace(None, [0, -1, 0, -1], radius_m=0.5)
    with pytest.raises(NoAnswerError, match="one direction"):
        two_point([0, pi], [1, 1])
    with pytest.raises(NoAnswerError, match="too close together"):
        trace([0, 1e-5, 2e-5, 3e-5], [0, 1, 0, 1])
