"""Flatness and face run-out against trying every support, linear programming, and what must hold."""

from __future__ import annotations

from itertools import combinations
from math import nan, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import linprog, minimize

from wheeltapper.measure.flatness import face_points_m, face_runout, flatness
from wheeltapper.measure.readings import evenly_rad
from wheeltapper.problems import NoAnswerError

Array = NDArray[np.float64]
KINDS = ("noise", "saddle", "dish", "thick", "grid")


def face(seed: int, most: int = 11) -> Array:
    """A face of some kind turned any way in space: one point to a row."""
    dice = np.random.default_rng(seed)
    points = dice.normal(size=(int(dice.integers(5, most)), 3))
    kind = KINDS[seed % len(KINDS)]
    if kind == "noise":
        points[:, 2] *= 1e-3
    elif kind == "saddle":
        points[:, 2] = 0.01 * points[:, 0] * points[:, 1]
    elif kind == "dish":
        points[:, 2] = 0.05 * (points[:, 0] ** 2 + points[:, 1] ** 2)
    elif kind == "grid":
        points = dice.permutation(np.unique(np.round(dice.normal(size=(40, 3))).clip(-2, 2), axis=0))[
            : len(points)
        ]
    return np.asarray(points @ np.linalg.qr(dice.normal(size=(3, 3)))[0])


def closest(points: Array) -> float:
    """Least width over every normal that is square to two edges: 3-1 and 2-2 supports are among them."""
    edges = np.array([b - a for a, b in combinations(points, 2)])
    best = np.inf
    for a, b in combinations(edges, 2):
        normal = np.cross(a, b)
        length = float(np.linalg.norm(normal))
        if length > 1e-9:
            best = min(best, float(np.ptp(points @ normal / length)))
    return best


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(60))
def test_zone_like_trying_every_support(seed: int) -> None:
    """Saddle, dish, noise, a thick cloud, a coarse grid, turned any way: no three-one or two-two support is closer."""
    points = face(seed)
    found = flatness(*points.T)

    assert found.zone.width_m == pytest.approx(closest(points), abs=1e-11)
    assert found.zone.proven
    assert np.ptp(points @ found.zone.normal) == pytest.approx(found.zone.width_m, abs=1e-12)
    assert found.zone.width_m <= found.least_squares_m + 1e-12


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(12))
def test_zone_like_linear_programming(seed: int) -> None:
    """A face of 64 points with little tilt: the linear programme's width, made square to the plane."""
    dice = np.random.default_rng(seed)
    x, y = (axis.ravel() for axis in np.meshgrid(np.linspace(-90, 90, 8), np.linspace(-90, 90, 8)))
    z = 1e-3 * x + 0.02 * dice.normal(size=64) + (seed % 3 - 1) * 1e-5 * x * y
    terms = np.column_stack([np.ones(64), x, y])
    bounds = np.vstack([np.column_stack([-terms, -np.ones(64)]), np.column_stack([terms, -np.ones(64)])])
    theirs = linprog([0, 0, 0, 1], bounds, np.append(-z, z), bounds=[(None, None)] * 3 + [(0, None)])
    found = flatness(x, y, z)

    square = 2 * theirs.fun / np.sqrt(1 + theirs.x[1] ** 2 + theirs.x[2] ** 2)
    assert found.zone.width_m == pytest.approx(square, abs=1e-9)
    assert found.zone.proven


@pytest.mark.second_way
@pytest.mark.parametrize("seed", range(6))
def test_zone_like_a_simplex_search(seed: int) -> None:
    """Sixty points on a strong tilt: a downhill search over two angles finds no closer planes."""
    points = np.random.default_rng(seed).normal(size=(60, 3)) * [1, 1, 0.01]
    turn = np.linalg.qr(np.random.default_rng(seed + 99).normal(size=(3, 3)))[0]
    found = flatness(*(points @ turn).T)

    def width(way: Array) -> float:
        normal = np.array([way[0], way[1], 1.0])
        return float(np.ptp(points @ normal) / np.linalg.norm(normal))

    theirs = minimize(
        width, [0, 0], method="Nelder-Mead", options={"xatol": 1e-12, "fatol": 1e-14, "maxiter": 4000}
    )
    assert found.zone.width_m <= theirs.fun + 1e-12
    assert found.zone.width_m == pytest.approx(theirs.fun, rel=1e-5)
    assert found.zone.proven


@pytest.mark.reasoned
@settings(max_examples=40, deadline=None)
@given(st.integers(0, 500), st.floats(-100, 100), st.sampled_from([1e-3, 1.0, 25.4]))
def test_moved_turned_and_scaled(seed: int, shift: float, scale: float) -> None:
    """A face moved, turned or measured in another unit is as flat."""
    points = face(seed)
    turn = np.linalg.qr(np.random.default_rng(seed + 1).normal(size=(3, 3)))[0]
    was, now = flatness(*points.T), flatness(*(scale * (points @ turn + shift)).T)

    assert now.zone.width_m == pytest.approx(scale * was.zone.width_m, rel=1e-9, abs=1e-11 * scale)
    assert now.least_squares_m == pytest.approx(scale * was.least_squares_m, rel=1e-9, abs=1e-11 * scale)


@pytest.mark.reasoned
@pytest.mark.parametrize("seed", range(0, 60, 7))
def test_the_contacts_hold_the_planes(seed: int) -> None:
    """Four points touch, upper and lower as said, and everything else lies between."""
    found = flatness(*face(seed).T)
    zone = found.zone
    touching = zone.off_m[list(zone.contacts)] * np.array(zone.sides)

    assert touching == pytest.approx([zone.width_m / 2] * 4, abs=1e-11)
    assert np.abs(zone.off_m).max() == pytest.approx(zone.width_m / 2, abs=1e-11)
    assert zone.kind in {"3-1", "2-2"}


@pytest.mark.reasoned
def test_a_true_plane_is_flat() -> None:
    """Points of a tilted plane: nothing is left, and the tilt and its way are right."""
    x, y = face_points_m(evenly_rad(8), 0.1)
    found = flatness(x, y, 0.003 * x + 0.004 * y)

    assert found.least_squares_m < 1e-15
    assert found.zone.width_m < 1e-15
    assert found.zone.proven
    assert np.tan(found.tilt_rad) == pytest.approx(0.005)
    assert found.uphill_rad == pytest.approx(np.arctan2(4, 3))


@pytest.mark.reasoned
def test_high_and_low_places() -> None:
    """A bump and a hollow are found by number, tilt or not."""
    x, y = face_points_m(np.tile(evenly_rad(12), 2), np.repeat([0.06, 0.1], 12))
    z = 0.01 * x
    z[5] += 1e-4
    z[17] -= 1e-4
    found = flatness(x, y, z)

    assert found.high[0] == 5
    assert found.low[0] == 17


@pytest.mark.reasoned
def test_wobble_told_from_warp() -> None:
    """Tilt of 0.1 mm at the rim, high at 3 o'clock, and a saddle of 0.02 mm: run-out is both, each is told."""
    angle = evenly_rad(16)
    found = face_runout(angle, 1e-4 * np.sin(angle) + 1e-5 * np.cos(2 * angle), 0.0, 0.08)
    x, y = face_points_m(angle, 0.08)
    whole = flatness(x, y, 1e-4 * np.sin(angle) + 1e-5 * np.cos(2 * angle))

    assert found.wobble_m == pytest.approx(2e-4, rel=1e-9)
    assert found.wobble_at.clock == "3:00"
    assert found.tilt_rad == pytest.approx(np.arctan(1e-4 / 0.08), rel=1e-9)
    assert found.warp_m == pytest.approx(2e-5, rel=1e-9)
    assert [p.clock for p in found.high] == ["12:00", "6:00"]
    assert whole.zone.width_m == pytest.approx(found.warp_zone_m, rel=1e-5)


@pytest.mark.reasoned
def test_one_circle_sees_no_dish() -> None:
    """A cone reads the same all the way round one circle; with a second circle it shows."""
    angle = evenly_rad(8)
    x, y = face_points_m(np.tile(angle, 2), np.repeat([0.05, 0.1], 8))

    assert face_runout(angle, np.full(8, 3e-4)).total_m == 0
    assert face_runout(angle, np.full(8, 3e-4)).blind.never == (7, 8, 9)
    assert flatness(x, y, np.repeat([0.0, 3e-4], 8)).zone.width_m == pytest.approx(3e-4)


@pytest.mark.reasoned
def test_doubt_of_the_tilt() -> None:
    """n points evenly on a circle of radius r: the slope is sure to U / r sqrt(2 / n)."""
    x, y = face_points_m(evenly_rad(18), 0.1)

    assert flatness(x, y, np.zeros(18), 2e-5).doubt_tilt_rad == pytest.approx(2e-5 / 0.1 * np.sqrt(2 / 18))


@pytest.mark.reasoned
@pytest.mark.parametrize(("x", "y", "z", "what"), [
    ([0, 1, 0], [0, 0, 1], [0, 0, 0], "three points"),
    ([1] * 6, [2] * 6, [3] * 6, "three points"),
    ([0, 1, 2, 3, 4], [0, 1, 2, 3, 4], [0, 2, 4, 6, 8], "straight line"),
    ([0, 1, 0, 1], [0, 0, 1, 1], [0, 0, 0], "not equally long"),
    ([0, 1, 0, 1], [0, 0, 1, 1], [0, 0, 0, nan], "not a finite number"),
])  # fmt: skip
def test_no_flatness(x: list[float], y: list[float], z: list[float], what: str) -> None:
    """Points that settle no planes are told so, with what to do."""
    with pytest.raises(NoAnswerError, match=what) as slip:
        flatness(x, y, z)
    assert slip.value.do.endswith(".")


@pytest.mark.reasoned
def test_no_radius() -> None:
    """A radius of nothing is none, and each point needs its own or all the same."""
    with pytest.raises(NoAnswerError, match="zero or less"):
        face_runout(evenly_rad(8), np.zeros(8), 0.0, 0.0)
    with pytest.raises(NoAnswerError, match="less than zero"):
        face_points_m([0, pi], -0.1)
    with pytest.raises(NoAnswerError, match="not equally long"):
        face_points_m([0, 1, 2], [0.1, 0.2])
