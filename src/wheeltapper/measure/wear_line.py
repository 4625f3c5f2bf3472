"""How sure a straight line through wear records is: limits about it, and the chance of having passed a limit.

A line knows how far it may be off only from how its own records scatter: it cannot know that the next thousand miles
are downhill. It stands apart from `wear` because it needs numpy, and most visits do not.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from wheeltapper.measure.student import coverage_factor, quantile, tail
from wheeltapper.measure.wear import Line
from wheeltapper.problems import NoAnswerError

Of = Literal["line", "reading"]  # the true line itself, or the next reading, which scatters about it


def size_at_m(line: Line, distance_m: Any) -> Any:
    """Size on the line at a distance.

    Args:
        line: a line through records.
        distance_m: one distance or an array [m].

    Returns:
        Size [m].
    """
    return line.level_m + line.slope * (distance_m - line.middle_m)


def error_at_m(line: Line, distance_m: Any, of: Of) -> Any:
    """Standard error of the line at a distance, or of one more reading there.

    Args:
        line: a line through three records or more.
        distance_m: one distance or an array [m].
        of: "line" for the mean size there, "reading" for the next reading.

    Returns:
        Standard error: s sqrt(1/n + (x - mean)^2 / Sxx), with 1 more under the root for a reading [m].

    Raises:
        NoAnswerError: fewer than three records.

    References:
        Johnson, Miller & Freund's Probability and Statistics for Engineers, ch. 11, limits of prediction.
    """
    off = np.asarray(distance_m, dtype=np.float64) - line.middle_m
    under = _own(of) + 1 / line.records + off**2 / line.spread_m2
    return (_residual_m(line) * np.sqrt(under))[()]


def interval_m(line: Line, distance_m: Any, confidence_share: Any, of: Of) -> tuple[Any, Any]:
    """Limits that hold the line at a distance, or one more reading there, with a stated confidence.

    Args:
        line: a line through three records or more.
        distance_m: one distance or an array [m].
        confidence_share: share inside, 0.95 for 95 %.
        of: "line" for the mean size there, "reading" for the next reading.

    Returns:
        Lower and upper limit [m].

    Raises:
        NoAnswerError: fewer than three records, or a confidence that is not between 0 and 1.

    References:
        Johnson, Miller & Freund's Probability and Statistics for Engineers, ch. 11, is reproduced.
    """
    middle, error = size_at_m(line, distance_m), error_at_m(line, distance_m, of)
    reach = coverage_factor(confidence_share, line.records - 2) * error
    return middle - reach, middle + reach


def past_share(line: Line, distance_m: Any, limit_m: Any, of: Of) -> Any:
    """Probability that the size is over a limit at a distance.

    Args:
        line: a line through three records or more, of a size that grows (turn the sign of one that shrinks).
        distance_m: one distance or an array [m].
        limit_m: the limit [m].
        of: "line" for the mean size there, "reading" for the next reading.

    Returns:
        Probability, 0 to 1; where the records lie exactly on a line, 0 or 1.

    Raises:
        NoAnswerError: fewer than three records.

    References:
        Student's t of the limit's distance in standard errors, n - 2 degrees of freedom, as in the limits of
        prediction turned round.
    """
    short = np.asarray(limit_m - size_at_m(line, distance_m), dtype=np.float64)
    error = np.asarray(error_at_m(line, distance_m, of), dtype=np.float64)
    certain = np.where(short < 0, -np.inf, np.inf)
    return tail(np.where(error > 0, short / np.where(error > 0, error, 1.0), certain), line.records - 2)


def meeting_distance_m(line: Line, limit_m: Any) -> Any:
    """The distance at which the line itself meets a limit.

    Args:
        line: a line through two records or more, of a size that grows (turn the sign of one that shrinks).
        limit_m: the limit [m].

    Returns:
        Distance, counted as the records are [m].

    Raises:
        NoAnswerError: a line that does not grow.
    """
    if line.slope <= 0:
        raise NoAnswerError(
            "the records show no wear", "measure again later; no distance can be told from them."
        )
    return line.middle_m + (limit_m - line.level_m) / line.slope


def passing_distance_m(line: Line, limit_m: Any, wanted_share: Any, of: Of) -> Any:
    """The distance at which the probability of being over a limit has grown to a wanted one.

    Args:
        line: a line through three records or more, of a size that grows (turn the sign of one that shrinks).
        limit_m: the limit [m].
        wanted_share: probability of being over the limit.
        of: "line" for the mean size there, "reading" for the next reading.

    Returns:
        Distance, counted as the records are [m]; before the last record where it has passed already.

    Raises:
        NoAnswerError: fewer than three records, a line that does not grow, or records that scatter so much that the
            probability never comes to the wanted one, or never was under it.

    References:
        The limit of prediction set equal to the limit: a quadratic in the distance.
    """
    if line.slope <= 0:
        raise NoAnswerError(
            "the records show no wear", "no distance can be told from them; measure again later."
        )
    error, gap = _residual_m(line), np.asarray(limit_m - line.level_m, dtype=np.float64)
    reach = quantile(1 - np.asarray(wanted_share), line.records - 2) * error
    still = reach**2 * (_own(of) + 1 / line.records)  # what is in doubt at the middle
    a, b, c = line.slope**2 - reach**2 / line.spread_m2, line.slope * gap, gap**2 - still
    inside = b**2 - a * c
    tells = (a > 0) | ((a < 0) & (inside >= 0) & (gap * reach > 0))
    if not np.all(tells):
        raise NoAnswerError(
            "the records scatter too much to tell that distance",
            "want a probability nearer to half, or add records.",
        )
    root = (b - np.sign(reach) * np.sqrt(np.maximum(inside, 0.0))) / a
    return (line.middle_m + root)[()]


def _own(of: Of) -> float:
    return 1.0 if of == "reading" else 0.0


def _residual_m(line: Line) -> float:
    if line.residual is None:
        raise NoAnswerError("two records say nothing of how sure the line is", "take at least three records.")
    return line.residual
