"""Size and form of a bore from a few gauge readings: numbers in, numbers out.

Knows no part names and no limits. A two-point gauge cannot see odd lobes: three-lobed form leaves every
diameter equal (see `tests/published/test_diameter.py`), so a small out-of-round is not proof of roundness.
"""

from __future__ import annotations

from collections.abc import Sequence


def at_groove_bottom_m(surface_m: float, depth_m: float) -> float:
    """Diameter at the bottom of a groove or pit (C1): both walls count.

    Args:
        surface_m: diameter of the surface [m].
        depth_m: depth below it [m].

    Returns:
        Diameter at the bottom [m].
    """
    return surface_m + 2 * depth_m


def doubt_at_groove_bottom_m(surface_doubt_m: float, depth_doubt_m: float) -> float:
    """Uncertainty of that diameter, summed plainly, which is the cautious way (C1).

    Args:
        surface_doubt_m: expanded uncertainty of the diameter [m].
        depth_doubt_m: expanded uncertainty of the depth [m].

    Returns:
        Expanded uncertainty [m].
    """
    return surface_doubt_m + 2 * depth_doubt_m


def out_of_round_m(diameters_m: Sequence[float]) -> float:
    """Largest less smallest of at least four directions at one depth (C2).

    Args:
        diameters_m: diameters in different directions [m].

    Returns:
        Difference [m]. For an oval r = R + a cos 2t it is 4 a.

    Raises:
        ValueError: fewer than four directions.
    """
    if len(diameters_m) < 4:
        raise ValueError("out-of-round needs four directions at one depth")
    return spread_m(diameters_m)


def spread_m(diameters_m: Sequence[float]) -> float:
    """Largest less smallest: from few directions the out-of-round is at least this.

    Args:
        diameters_m: diameters [m].

    Returns:
        Difference, zero for one reading [m].
    """
    return max(diameters_m) - min(diameters_m)


def taper_m(open_m: Sequence[float], closed_m: Sequence[float]) -> float:
    """Mean at the open edge less mean at the closed edge (C3); positive is bell-mouthed.

    Args:
        open_m: diameters at the open edge [m].
        closed_m: diameters at the closed edge [m].

    Returns:
        Difference [m].
    """
    return _mean(open_m) - _mean(closed_m)


def barrel_m(middle_m: Sequence[float], open_m: Sequence[float], closed_m: Sequence[float]) -> float:
    """How far the middle stands over both edges (positive: barrel) or under both (negative: waist) (C3).

    Args:
        middle_m: diameters at mid-depth [m].
        open_m: diameters at the open edge [m].
        closed_m: diameters at the closed edge [m].

    Returns:
        Mean of the middle less the nearer edge mean, zero where the middle lies between the edges [m].
    """
    middle, edges = _mean(middle_m), (_mean(open_m), _mean(closed_m))
    return max(0.0, middle - max(edges)) + min(0.0, middle - min(edges))


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
