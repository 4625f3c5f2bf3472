"""A size against a limit, with the doubt of the gauge (C6), and how probable it is that it conforms.

Guard-banded by the whole expanded uncertainty: only what is clear of the limit by U counts as under it.
The probability beside the verdict follows JCGM 106:2012 for a one-sided limit; it never makes the verdict.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import erfc, sqrt
from typing import Literal

from wheeltapper.units import above, below

Verdict = Literal["under", "at the limit", "over"]
COVERAGE = 2.0  # gauges state expanded uncertainty with k = 2


def verdict(size: float, doubt: float, limit: float) -> Verdict:
    """Where a size stands against an upper limit (C6).

    Args:
        size: measured value, any one unit [SI].
        doubt: its expanded uncertainty, same unit [SI].
        limit: upper limit, same unit [SI].

    Returns:
        "under" where size + doubt is below the limit, "over" where size - doubt is above it.
    """
    if below(size + doubt, limit):
        return "under"
    return "over" if above(size - doubt, limit) else "at the limit"


def verdict_least(size: float, doubt: float, limit: float) -> Verdict:
    """The same against a lower limit: "under" still means on the good side.

    Args:
        size: measured value [SI].
        doubt: its expanded uncertainty [SI].
        limit: lower limit [SI].

    Returns:
        "under" where size - doubt is above the limit, "over" where size + doubt is below it.
    """
    return verdict(-size, doubt, -limit)


def conformance_share(size: float, doubt: float, limit: float) -> float:
    """Probability that the true value is at or under an upper limit, from the reading alone.

    Normal, with standard uncertainty doubt / 2 (k = 2), no prior knowledge.

    Args:
        size: measured value [SI].
        doubt: its expanded uncertainty, more than zero [SI].
        limit: upper limit [SI].

    Returns:
        Probability, 0 to 1.

    References:
        JCGM 106:2012, clause 7 (one-sided tolerance interval, normal probability density).
    """
    return 0.5 * erfc((size - limit) / (doubt / COVERAGE) / sqrt(2))


def conformance_share_least(size: float, doubt: float, limit: float) -> float:
    """The same for a lower limit.

    Args:
        size: measured value [SI].
        doubt: its expanded uncertainty, more than zero [SI].
        limit: lower limit [SI].

    Returns:
        Probability, 0 to 1.
    """
    return conformance_share(-size, doubt, -limit)


def combined(doubts: Sequence[float]) -> float:
    """Independent uncertainties put together: the root of the sum of their squares.

    Args:
        doubts: uncertainties of one kind, each already times its sensitivity [SI].

    Returns:
        Combined uncertainty of the same kind [SI].

    References:
        JCGM 100:2008 (GUM), 5.1.2, equation (10).
    """
    return sqrt(sum(d * d for d in doubts))
