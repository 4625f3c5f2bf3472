"""A doubt put together: what repeats show, what the gauge owns up to, and how many readings it takes.

The way of the GUM: standard uncertainties, each with its sensitivity and its degrees of freedom, make one combined
uncertainty and a factor for it. Numbers are any one unit, the same throughout. It takes its parts for independent,
and cannot find a cause that nobody listed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Any

import numpy as np

from wheeltapper.measure.number import Floats, above_zero
from wheeltapper.measure.student import coverage_factor, effective_freedom
from wheeltapper.problems import NoAnswerError

_MOST = 1 << 40  # nobody takes more readings than that


@dataclass(frozen=True)
class Repeats:
    """What repeated readings say: their mean, their scatter, and the standard uncertainty of the mean (type A)."""

    mean: Any
    deviation: Any
    of_mean: Any
    freedom: float


@dataclass(frozen=True)
class Combined:
    """A combined standard uncertainty and the expanded one; `shares` is each part's share of its square."""

    standard: Any
    freedom: Any
    factor: Any
    expanded: Any
    shares: Any


def repeats(readings: Any) -> Repeats:
    """Mean and scatter of repeated readings of one size.

    Args:
        readings: at least two; repeats along the last axis.

    Returns:
        Mean, standard deviation of one reading, standard uncertainty of the mean, degrees of freedom.

    Raises:
        NoAnswerError: fewer than two readings, or one that is not a finite number.

    References:
        JCGM 100:2008 (GUM), 4.2, equations (3) to (5).
    """
    each: Floats = np.atleast_1d(np.asarray(readings, dtype=np.float64))
    count = each.shape[-1]
    if count < 2:
        raise NoAnswerError("one reading shows no scatter", "read at least twice, better four times or more.")
    if not np.all(np.isfinite(each)):
        raise NoAnswerError("a reading is not a finite number", "read that one again, or leave it out.")
    deviation = np.std(each, axis=-1, ddof=1)
    return Repeats(np.mean(each, axis=-1), deviation, deviation / np.sqrt(count), count - 1.0)


def combine(doubts: Any, sensitivities: Any, freedoms: Any, confidence_share: Any = 0.95) -> Combined:
    """Independent doubts put together, with the factor that their degrees of freedom ask for.

    Args:
        doubts: standard uncertainties; those along the last axis are put together.
        sensitivities: by how much the result moves for each of its causes; 1 where the cause is the result's own.
        freedoms: degrees of freedom of each; infinite where it is known for sure.
        confidence_share: share that the expanded uncertainty shall hold, 0.95 for 95 %.

    Returns:
        Combined and expanded uncertainty, effective degrees of freedom, factor, and shares of the variance.

    Raises:
        NoAnswerError: lists of different lengths, a negative doubt, none over zero, or no degrees of freedom.

    References:
        JCGM 100:2008 (GUM), 5.1.2, G.4.1 and G.6.4; Annex H.1 is reproduced.
    """
    try:
        u, c, nu = np.broadcast_arrays(
            *(np.atleast_1d(np.asarray(a, float)) for a in (doubts, sensitivities, freedoms))
        )
    except ValueError:
        raise NoAnswerError(
            "the lists are not equally long", "give each doubt its sensitivity and freedom."
        ) from None
    if not np.all(np.isfinite(u) & (u >= 0) & np.isfinite(c)):
        raise NoAnswerError("a doubt is negative or not a number", "give each as zero or more.")
    parts = u * c
    freedom = effective_freedom(parts, nu)
    standard = np.sqrt(np.sum(parts**2, axis=-1))
    factor = coverage_factor(confidence_share, freedom)
    return Combined(standard, freedom, factor, factor * standard, (parts / standard[..., None]) ** 2)


def readings_needed(
    scatter: Any, wanted: Any, gauge: Any = 0.0, confidence_share: Any = 0.95, freedom: float | None = None
) -> Any:
    """How many readings it takes until the doubt of their mean meets a wanted one.

    Args:
        scatter: standard deviation of one reading.
        wanted: expanded uncertainty that the mean shall have at most.
        gauge: standard uncertainty that all readings share and that no repeating takes away.
        confidence_share: share that the expanded uncertainty shall hold, 0.95 for 95 %.
        freedom: degrees of freedom behind the scatter, infinite where it is well known; None where the readings
            themselves have to show it.

    Returns:
        Least whole number; at least two where the readings show their own scatter.

    Raises:
        NoAnswerError: the gauge alone leaves more doubt than wanted; no scatter or no wanted doubt.

    References:
        JCGM 100:2008 (GUM), 4.2.3, 5.1.2 and G.4.1, turned round.
    """
    above_zero("the scatter of the readings", scatter)
    above_zero("the wanted doubt", wanted)
    if np.any(coverage_factor(confidence_share, inf) * np.asarray(gauge) >= wanted):
        raise NoAnswerError(
            "the gauge alone leaves more doubt than that", "take a better gauge; more readings do not help."
        )

    def enough(count: Any) -> Any:
        return _doubt_of_mean(scatter, gauge, count, confidence_share, freedom) <= np.asarray(wanted)

    least = 2 if freedom is None else 1
    low, high = _between(enough, least)
    while np.any(high - low > 1):
        middle = np.maximum((low + high) // 2, least)
        fits = enough(middle)
        low, high = np.where(fits, low, middle), np.where(fits, middle, high)
    return high[()]


def _between(enough: Any, least: int) -> tuple[Any, Any]:
    """A count that is not enough and one that is, by doubling."""
    high = np.full(np.shape(enough(np.asarray(least))), least)
    low = high - 1
    while np.any(short := ~np.asarray(enough(high))):
        if np.max(high) > _MOST:
            raise NoAnswerError(
                "no number of readings meets that", "want a larger doubt, or take a better gauge."
            )
        low, high = np.where(short, high, low), np.where(short, 2 * high, high)
    return low, high


def _doubt_of_mean(scatter: Any, gauge: Any, count: Any, confidence_share: Any, freedom: float | None) -> Any:
    """Expanded uncertainty of the mean of so many readings."""
    mean = np.asarray(scatter) / np.sqrt(count)
    total = np.hypot(mean, gauge)
    own = (count - 1.0) if freedom is None else freedom
    return coverage_factor(confidence_share, own * (total / mean) ** 4) * total
