"""Times and holds circle, ring and face against general optimisers on the same numbers, side by side in one run.

Run: python benchmarks/form.py. Prints the median time of each, the ratio to ours, and how much worse its result is. Never
part of the tests: times depend on the machine; quote ratios of one run.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from statistics import median

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares, linprog, minimize

from wheeltapper.measure.flatness import flatness
from wheeltapper.measure.form import least_squares_circle
from wheeltapper.measure.trace import trace
from wheeltapper.measure.zone import minimum_zone_circle

Array = NDArray[np.float64]
REPEATS = 15
FINE = {"xatol": 1e-10, "fatol": 1e-12, "maxiter": 20000, "maxfev": 20000}


def timed(work: Callable[[], float]) -> tuple[float, float]:
    """Median time in ms, and the result."""
    result = work()
    times = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1e3 * median(times), result


def table(title: str, unit: str, ours: Callable[[], float], others: dict[str, Callable[[], float]]) -> None:
    """One computation, ours first."""
    mine, best = timed(ours)
    print(f"{title}\n  {'ours':38} {mine:9.2f} ms            {best:.12g} {unit}")
    for name, work in others.items():
        spent, found = timed(work)
        print(f"  {name:38} {spent:9.2f} ms {spent / mine:8.1f} x  {found - best:+.2e} {unit}")


def bore(count: int) -> tuple[Array, Array]:
    """Points of an invented drum bore in mm: off-centre, oval, three-lobed, rough by 2 um."""
    angle = np.arange(count) * 2 * np.pi / count
    form = 0.05 * np.cos(2 * angle - 1) + 0.02 * np.cos(3 * angle)
    radius = 152.4 + form + 0.002 * np.random.default_rng(0).normal(size=count)
    return radius * np.cos(angle) + 0.3, radius * np.sin(angle) - 0.2


def circle(x: Array, y: Array) -> None:
    """Least-squares circle: the sum of squares reached."""
    start = [x.mean(), y.mean(), np.hypot(x - x.mean(), y - y.mean()).mean()]

    def off(p: Array) -> Array:
        return np.asarray(np.hypot(x - p[0], y - p[1]) - p[2])

    def squares(p: Array) -> float:
        return float(off(p) @ off(p))

    table(f"Least-squares circle, {len(x)} points", "mm2", lambda: least_squares_circle(x, y).sum_of_squares_m2, {
        "scipy least_squares (trf)": lambda: 2 * least_squares(off, start, xtol=1e-15, ftol=1e-15, gtol=1e-15).cost,
        "scipy least_squares (lm)": lambda: 2 * least_squares(off, start, method="lm").cost,
        "scipy minimize, Nelder-Mead": lambda: float(minimize(squares, start, method="Nelder-Mead", options=FINE).fun),
        "scipy minimize, SLSQP": lambda: float(minimize(squares, start, method="SLSQP", options={"ftol": 1e-14}).fun),
    })  # fmt: skip


def ring(x: Array, y: Array) -> None:
    """Minimum zone: the width reached, every one from the least-squares circle; ours also proves that none is narrower."""
    first = least_squares_circle(x, y)
    start = np.array([first.x_m, first.y_m])

    def width(p: Array) -> float:
        return float(np.ptp(np.hypot(x - p[0], y - p[1])))

    def slsqp() -> float:
        def room(p: Array) -> Array:
            far = np.hypot(x - p[0], y - p[1])
            return np.concatenate([p[3] - far, far - p[2]])

        far = np.hypot(x - start[0], y - start[1])
        limits = [{"type": "ineq", "fun": room}]
        found = minimize(
            lambda p: p[3] - p[2], [*start, far.min(), far.max()], method="SLSQP", constraints=limits
        )
        return width(found.x)

    table(f"Minimum-zone circle, {len(x)} points", "mm", lambda: minimum_zone_circle(first, x, y).width_m, {
        "scipy minimize, Nelder-Mead": lambda: width(minimize(width, start, method="Nelder-Mead", options=FINE).x),
        "scipy minimize, SLSQP on the limits": slsqp,
        "scipy linprog, once about the LS centre": lambda: programme(x, y, start),
    })  # fmt: skip


def programme(x: Array, y: Array, centre: Array) -> float:
    """The ring by one linear programme about a centre."""
    far = np.hypot(x - centre[0], y - centre[1])
    terms = np.column_stack([np.ones(len(x)), (x - centre[0]) / far, (y - centre[1]) / far])
    return 2 * chebyshev(terms, far)


def chebyshev(terms: Array, values: Array) -> float:
    """Least largest miss by a linear programme."""
    one = np.ones(len(values))
    rows = np.vstack([np.column_stack([-terms, -one]), np.column_stack([terms, -one])])
    found = linprog([0, 0, 0, 1], rows, np.append(-values, values), bounds=[(None, None)] * 3 + [(0, None)])
    return float(found.fun)


def face() -> None:
    """Flatness of an invented hub face of 64 points in mm: saddle, tilt, rough by 5 um."""
    angle, radius = np.tile(np.arange(16) * np.pi / 8, 4), np.repeat([40.0, 55.0, 70.0, 85.0], 16)
    x, y = radius * np.cos(angle), radius * np.sin(angle)
    rough = 0.005 * np.random.default_rng(1).normal(size=64)
    z = 0.04 * (radius / 85) ** 2 * np.cos(2 * angle) + 2e-3 * x + rough

    def width(p: Array) -> float:
        return float(np.ptp(z - p[0] * x - p[1] * y) / np.sqrt(1 + p[0] ** 2 + p[1] ** 2))

    table("Minimum-zone flatness, 64 points", "mm", lambda: flatness(x, y, z).zone.width_m, {
        "scipy minimize, Nelder-Mead": lambda: float(minimize(width, [0, 0], method="Nelder-Mead", options=FINE).fun),
        "scipy linprog (along z, not square)": lambda: 2 * chebyshev(np.column_stack([np.ones(64), x, y]), z),
    })  # fmt: skip


def main() -> None:
    """Measure and print."""
    for count in (12, 360):
        circle(*bore(count))
        ring(*bore(count))
    face()
    reading = np.random.default_rng(2).normal(size=36)
    spent, _ = timed(lambda: trace(None, 1e-5 * reading, 1e-5).zone_m)
    print(f"Whole dial trace, 36 readings\n  {'ours':38} {spent:9.2f} ms")


if __name__ == "__main__":
    main()
