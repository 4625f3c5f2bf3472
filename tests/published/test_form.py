"""Circles, lobes and faces against certified data, printed examples and closed forms."""

from __future__ import annotations

from math import pi, radians, sqrt
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

from wheeltapper.measure.flatness import flatness
from wheeltapper.measure.form import least_squares_circle
from wheeltapper.measure.harmonics import blind_lobes
from wheeltapper.measure.readings import evenly_rad
from wheeltapper.measure.trace import trace, two_point
from wheeltapper.measure.zone import minimum_zone_circle

DATA = Path(__file__).parent / "data"
A = 0.05e-3
TWELVE = [.1120, .1528, .1475, .1056, .0468, -.0045, -.0224, -.0068, .0089, .0048, .0072, .0481]  # fmt: skip
Array = NDArray[np.float64]


def lines(name: str) -> list[list[str]]:
    """Cells of a data file under its '#' lines, which say where it comes from, and its heading."""
    text = (DATA / name).read_text("utf-8").splitlines()
    return [line.split(",") for line in text if not line.startswith("#")][1:]


NIST = {row[0]: row for row in lines("nist_ats_circles_fits.csv")}
ZONED = [name for name, row in NIST.items() if row[7]]


def nist(name: str) -> Array:
    """The points of one NIST set."""
    rows = [row[2:] for row in lines("nist_ats_circles.csv") if row[0] == name]
    assert len(rows) == int(NIST[name][1])
    return np.array(rows, float).T


def five_points() -> Array:
    """Five points of a public forum thread."""
    return np.array(lines("flatness_five_points.csv"), float).T


def two_rings() -> tuple[Array, Array, Array, Array]:
    """x, y, radius and angle of 16 points: every 45 degrees at 60 and at 90."""
    radius, angle = np.repeat([60.0, 90.0], 8), np.tile(evenly_rad(8), 2)
    return radius * np.cos(angle), radius * np.sin(angle), radius, angle


@pytest.mark.published("nist-ats")
@pytest.mark.parametrize("name", NIST)
def test_nist_circles(name: str) -> None:
    """NIST Algorithm Testing System, 2-D circles cir2dN.ds with certified cir2dN.fit: centre and diameter to 1e-9, the half arc too."""
    found = least_squares_circle(*nist(name))
    u, v, diameter = map(float, NIST[name][3:6])

    assert (found.x_m, found.y_m, found.diameter_m) == pytest.approx((u, v, diameter), abs=1e-9)


@pytest.mark.second_way
@pytest.mark.parametrize("name", ZONED)
def test_nist_circles_by_minimum_zone(name: str) -> None:
    """The same sets: peak to valley and ring as successive linear programming found them (own, not NIST's), four contacts in turn."""
    x, y = nist(name)
    found = least_squares_circle(x, y)
    ring = minimum_zone_circle(found, x, y)
    peak_to_valley, width, u, v = map(float, NIST[name][6:10])

    assert found.peak_to_valley_m == pytest.approx(peak_to_valley, abs=2e-9)
    assert ring.width_m == pytest.approx(width, abs=2e-9)
    assert (ring.x_m, ring.y_m) == pytest.approx((u, v), abs=2e-9)
    assert ring.proven
    assert ring.alternates
    assert len(ring.contacts) == 4


@pytest.mark.published("gander-golub-strebel-1994")
def test_circle_of_gander_golub_and_strebel() -> None:
    """Least-squares fitting of circles and ellipses, BIT 34 (1994) 558-578, circle example: geometric fit (4.7398, 2.9835), 4.7142.

    The points were read in public code that cites the paper; the printed result is from memory and fits the points.
    """
    found = least_squares_circle([1, 2, 5, 7, 9, 3], [7, 6, 8, 7, 5, 7])

    assert (found.x_m, found.y_m, found.radius_m) == pytest.approx((4.7398, 2.9835, 4.7142), abs=5e-5)


@pytest.mark.second_way
def test_the_linear_fit_is_not_taken() -> None:
    """The usual fit of the circle's equation gives (4.74233, 3.83512), 4.10876 on those points: a worse circle by the distances."""
    x, y = np.array([1.0, 2, 5, 7, 9, 3]), np.array([7.0, 6, 8, 7, 5, 7])
    p, q, c = np.linalg.lstsq(np.column_stack([2 * x, 2 * y, np.ones(6)]), x * x + y * y, rcond=None)[0]
    radius = sqrt(c + p * p + q * q)
    found = least_squares_circle(x, y)

    assert (p, q, radius) == pytest.approx((4.74233, 3.83512, 4.10876), abs=1e-5)
    assert found.sum_of_squares_m2 == pytest.approx(1.2275991, abs=5e-8)
    assert np.sum((np.hypot(x - p, y - q) - radius) ** 2) > 1.1 * found.sum_of_squares_m2


@pytest.mark.second_way
def test_three_waves_in_twelve_readings() -> None:
    """Readings of .08 cos(t - 40) + .03 cos(2t - 100) + .006 cos(3t - 10) + .05, rounded to 4 digits: the Fourier transform's values."""
    found = trace([radians(30 * i) for i in range(12)], TWELVE)
    spectrum = np.fft.rfft(TWELVE) / 6
    waves = found.waves

    assert [w.amplitude_m for w in waves.lobes] == pytest.approx(np.abs(spectrum[1:6]).tolist(), abs=1e-12)
    assert [w.amplitude_m for w in waves.lobes[:3]] == pytest.approx([0.08001, 0.03001, 0.00599], abs=5e-6)
    degrees = [np.degrees(w.phase_rad) for w in waves.lobes[:3]]
    assert degrees == pytest.approx([40.01, 99.98, 9.93], abs=0.01)
    assert waves.mean_m == pytest.approx(0.0500, abs=5e-6)
    assert found.total_m == pytest.approx(0.1752, abs=1e-12)
    assert found.ovality_m == pytest.approx(4 * waves.lobes[1].amplitude_m)


@pytest.mark.reasoned
def test_an_oval_by_trace_and_by_gauge() -> None:
    """r = R + a cos 2t with a = 0.05 mm: largest less smallest diameter is 4 a = 0.20 mm, by dial and by two-point gauge."""
    angle = evenly_rad(24)
    dial = trace(angle, A * np.cos(2 * angle))
    gauge = two_point(evenly_rad(8)[:4], 0.254 + 2 * A * np.cos(2 * evenly_rad(8)[:4]))

    assert dial.diametral_m == pytest.approx(4 * A, abs=1e-15)
    assert dial.roundness_m == pytest.approx(2 * A, abs=1e-15)
    assert gauge.out_of_round_m == pytest.approx(4 * A, abs=1e-12)
    assert gauge.ovality_m == pytest.approx(4 * A, abs=1e-12)
    assert [p.clock for p in dial.far] == ["12:00", "6:00"]


@pytest.mark.reasoned
def test_three_lobes_by_trace_and_by_gauge() -> None:
    """r = R + a cos 3t: every diameter alike, radial peak to valley 2 a = 0.10 mm; the gauge says it is blind to it."""
    angle = evenly_rad(24)
    dial = trace(angle, A * np.cos(3 * angle))
    far = 0.127 + A * np.cos(3 * angle)
    gauge = two_point(angle[:12], far[:12] + far[12:])

    assert dial.diametral_m == pytest.approx(0, abs=1e-12)
    assert dial.roundness_m == pytest.approx(2 * A, abs=1e-12)
    assert dial.twice_radial_m == pytest.approx(4 * A, abs=1e-12)
    assert gauge.out_of_round_m == pytest.approx(0, abs=1e-12)
    assert 3 in gauge.blind.never


@pytest.mark.reasoned
@pytest.mark.parametrize("count", range(3, 14))
def test_what_so_many_places_cannot_see(count: int) -> None:
    """k even places: n lobes look like a size where k divides n, like an off-centre where it divides n - 1 or n + 1."""
    found = blind_lobes(evenly_rad(count), 20)

    assert found.never == tuple(n for n in range(2, 21) if n % count in {0, 1, count - 1})
    assert found.by_chance == tuple(
        n for n in range(2, 21) if n % count == count / 2 and n not in found.never
    )


@pytest.mark.second_way
def test_flatness_of_five_points() -> None:
    """Five points of a public thread: 0.072097 by least squares, 0.067262 by the minimum zone (own values: hull pairs, linear programming, simplex search)."""
    found = flatness(*five_points())

    assert found.least_squares_m == pytest.approx(0.072097, abs=1e-6)
    assert found.zone.width_m == pytest.approx(0.067262, abs=1e-6)
    assert found.zone.kind == "2-2"


@pytest.mark.reasoned
def test_one_point_over_three() -> None:
    """An equilateral triangle with its middle 0.03 high: both ways 0.03, three points against one."""
    x, y = 70 * np.cos(evenly_rad(3)), 70 * np.sin(evenly_rad(3))
    found = flatness([*x, 0], [*y, 0], [0, 0, 0, 0.03])

    assert found.least_squares_m == pytest.approx(0.03, abs=1e-12)
    assert found.zone.width_m == pytest.approx(0.03, abs=1e-12)
    assert found.zone.kind == "3-1"


@pytest.mark.reasoned
def test_two_lobed_face_on_a_tilt() -> None:
    """z = .04 (r/90)^2 cos 2t + .001 x - .0005 y: 0.08 square to the tilted face, held by two edges."""
    x, y, radius, angle = two_rings()
    found = flatness(x, y, 0.04 * (radius / 90) ** 2 * np.cos(2 * angle) + 0.001 * x - 0.0005 * y)

    assert found.zone.width_m == pytest.approx(0.08 / sqrt(1 + 0.001**2 + 0.0005**2), abs=1e-12)
    assert found.zone.width_m == pytest.approx(0.0799999500, abs=1e-10)
    assert found.least_squares_m == pytest.approx(0.080000, abs=5e-7)
    assert found.tilt_rad == pytest.approx(np.arctan(sqrt(0.001**2 + 0.0005**2)), rel=1e-4)
    assert found.zone.proven


@pytest.mark.reasoned
def test_dish_on_a_tilt() -> None:
    """z = .002 x + .001 y, .05 higher on the outer ring: 0.04999988 both ways."""
    x, y, radius, _ = two_rings()
    found = flatness(x, y, 0.002 * x + 0.001 * y + 0.05 * (radius == 90))

    assert found.zone.width_m == pytest.approx(0.04999988, abs=1e-8)
    assert found.zone.width_m == pytest.approx(0.05 / sqrt(1 + 0.002**2 + 0.001**2), abs=1e-12)
    assert found.least_squares_m == pytest.approx(0.04999988, abs=1e-7)


@pytest.mark.second_way
def test_faces_of_the_hull_are_not_enough() -> None:
    """On the two-lobed face the best pair of planes on a face of the convex hull is 0.13657 apart, not 0.08: edges count too."""
    x, y, radius, angle = two_rings()
    points = np.column_stack([x, y, 0.04 * (radius / 90) ** 2 * np.cos(2 * angle) + 0.001 * x - 0.0005 * y])
    normals = np.unique(ConvexHull(points, qhull_options="Qt").equations[:, :3].round(12), axis=0)
    faces_only = float(np.ptp(points @ normals.T, axis=0).min())

    assert faces_only == pytest.approx(0.13657, abs=1e-4)
    assert flatness(*points.T).zone.width_m < 0.6 * faces_only


@pytest.mark.reasoned
def test_a_face_stood_on_edge_is_as_flat() -> None:
    """Turned by 60 degrees, the two-lobed face has the same minimum zone: tilt, however strong, does not count."""
    x, y, radius, angle = two_rings()
    z = 0.04 * (radius / 90) ** 2 * np.cos(2 * angle)
    cos, sin = np.cos(pi / 3), np.sin(pi / 3)
    turned = flatness(cos * x + sin * z, y, -sin * x + cos * z)

    assert turned.zone.width_m == pytest.approx(0.08, abs=1e-12)
    assert turned.tilt_rad == pytest.approx(pi / 3, abs=1e-6)
