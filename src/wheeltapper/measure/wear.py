"""Wear over distance: a straight line through records, the faster of two slopes, what is left (C7 to C9).

Distances are any one unit of length; the product uses metres throughout. Sizes grow or shrink: the caller
says which, and a rate here is always positive where the part wears. How sure a line is stands in `wear_line`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, fsum, sqrt

from wheeltapper.problems import NoAnswerError
from wheeltapper.units import at_most


@dataclass(frozen=True)
class Line:
    """A least-squares line: size = intercept + slope * distance, with standard errors from three records on."""

    slope: float
    intercept: float
    slope_error: float | None
    residual: float | None
    records: int
    middle_m: float  # mean distance of the records
    level_m: float  # mean size, which is the line's own there
    spread_m2: float  # sum of the squares of the distances from the middle
    explained_share: float | None  # share of the spread of sizes that the line explains, R squared

    @property
    def intercept_error(self) -> float | None:
        """Standard error of the intercept."""
        if self.residual is None:
            return None
        return self.residual * sqrt(1 / self.records + self.middle_m**2 / self.spread_m2)


@dataclass(frozen=True)
class Rate:
    """Wear for each metre driven, and whether the last interval wore faster than all records together."""

    share: float
    faster: bool
    records: int


def line(distance_m: Sequence[float], size_m: Sequence[float]) -> Line:
    """Least-squares straight line through records.

    Args:
        distance_m: where each record was taken [m].
        size_m: what was measured there [m].

    Returns:
        Slope, intercept and, from three records on, the standard error of the slope and of the residuals.

    Raises:
        NoAnswerError: fewer than two records, all at one distance, or lists of different lengths.

    References:
        NIST StRD linear regression, data set Norris, is reproduced to ten digits.
    """
    n = len(distance_m)
    if n != len(size_m):
        raise NoAnswerError("distances and sizes are not equally many", "give each record both.")
    if n < 2 or max(distance_m) == min(distance_m):
        raise NoAnswerError("a line needs two records at different distances", "add a record from elsewhere.")
    mean_x, mean_y = fsum(distance_m) / n, fsum(size_m) / n
    sxx = fsum((x - mean_x) ** 2 for x in distance_m)
    slope = fsum((x - mean_x) * (y - mean_y) for x, y in zip(distance_m, size_m, strict=True)) / sxx
    intercept = mean_y - slope * mean_x
    if n == 2:
        return Line(slope, intercept, None, None, n, mean_x, mean_y, sxx, None)
    rss = fsum((y - intercept - slope * x) ** 2 for x, y in zip(distance_m, size_m, strict=True))
    syy = fsum((y - mean_y) ** 2 for y in size_m)
    residual, explained = sqrt(rss / (n - 2)), 1 - rss / syy if syy else None
    return Line(slope, intercept, residual / sqrt(sxx), residual, n, mean_x, mean_y, sxx, explained)


def rate(
    distance_m: Sequence[float], worn_m: Sequence[float], doubt_m: float, least_m: float, faster_share: float
) -> Rate | None:
    """The faster of the all-record slope and the last interval's slope (C7).

    Args:
        distance_m: where each record was taken, in ascending order [m].
        worn_m: material gone at each, growing as the part wears [m].
        doubt_m: expanded uncertainty of one record [m].
        least_m: least distance between first and last record [m].
        faster_share: how much faster the last interval must be to count as faster, 1.3 for 30 %.

    Returns:
        The rate, or None where there is not enough to say: fewer than two records, too close together, or a
        change of no more than twice the doubt. A last interval that could not say so alone does not count.
    """
    far = len(distance_m) >= 2 and distance_m[-1] - distance_m[0] >= least_m * (1 - 1e-12)
    if not far or at_most(worn_m[-1] - worn_m[0], 2 * doubt_m):
        return None
    overall = line(distance_m, worn_m).slope
    gap, change = distance_m[-1] - distance_m[-2], worn_m[-1] - worn_m[-2]
    tells = gap >= least_m * (1 - 1e-12) and not at_most(change, 2 * doubt_m)
    last = change / gap if tells else overall
    return Rate(max(overall, last), last > faster_share * overall, len(distance_m))


def remaining_m(left_m: float, rate_share: float) -> float:
    """Distance until the wear allowance is gone (C8, C9); never negative.

    Args:
        left_m: allowance left, gauge doubt already taken off where it counts [m].
        rate_share: wear for each metre driven, more than zero.

    Returns:
        Distance [m].
    """
    return max(0.0, left_m / rate_share)


def interim(remaining: float, share: float, step: float) -> int:
    """Where the interim check falls: a share of what remains, rounded down to a step (C8).

    Args:
        remaining: distance left, in the unit of the step [mi].
        share: share of it, 0.8 for 80 %.
        step: rounding step [mi].

    Returns:
        Distance, a multiple of the step, possibly zero [mi].
    """
    return int(floor(remaining * share / step + 1e-9) * step)


def used_share(size_m: float, nominal_m: float, limit_m: float) -> float:
    """Wear used (C4): 0 when new, 1 at the limit, more past it.

    Args:
        size_m: governing size [m].
        nominal_m: size when new [m].
        limit_m: size at the limit [m].

    Returns:
        Share of the allowance.

    Raises:
        ZeroDivisionError: the limit is the nominal size.
    """
    return (size_m - nominal_m) / (limit_m - nominal_m)
