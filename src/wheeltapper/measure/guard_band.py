"""How far inside a limit to stop, and how good a gauge must be to get there.

Guard bands for one part, of which nothing else is known, and the factors that calibration uses in place of a count
of the risk. What a band does to many parts is in `risk`. It knows no parts and makes no verdict.
"""

from __future__ import annotations

from math import inf
from typing import Any

import numpy as np

from wheeltapper.measure.number import Num, above_zero
from wheeltapper.measure.student import quantile
from wheeltapper.problems import NoAnswerError


def guard_for_one(gauge: Any, wanted_share: Any) -> Any:
    """The guard band at one limit that a reading just at the acceptance limit is out with a wanted probability.

    Args:
        gauge: standard uncertainty of a reading.
        wanted_share: probability that such a part is out, of which nothing else is known.

    Returns:
        Width: 1.645 times the uncertainty for 5 %, twice for 2.3 %.

    Raises:
        NoAnswerError: a share that is not between 0 and 1, or no uncertainty.

    References:
        JCGM 106:2012, 8.3.2; ISO 14253-1:2017 for 5 %.
    """
    above_zero("the gauge's uncertainty", gauge)
    return -gauge * quantile(wanted_share, inf)


def gauge_for(distance: Any, wanted_share: Any) -> Any:
    """How good a gauge must be to call a part that reads a distance inside its limit.

    Args:
        distance: from the reading to the limit, over zero.
        wanted_share: probability of being out that is still taken, under half.

    Returns:
        Largest standard uncertainty; twice that is the doubt a gauge may state with k = 2.

    Raises:
        NoAnswerError: no distance, or a share that is not between 0 and one half.

    References:
        JCGM 106:2012, 8.3.2, turned round.
    """
    above_zero("the distance from the limit", distance)
    if not np.all((np.asarray(wanted_share) > 0) & (np.asarray(wanted_share) < 0.5)):
        raise NoAnswerError(
            "the wanted risk is not between 0 and 50 %", "at 50 % any gauge would do; 2.3 % or 5 % is usual."
        )
    return -distance / quantile(wanted_share, inf)


def factor_rss(ratio: Num) -> Num:
    """Acceptance limit over tolerance by the root of the squares.

    Args:
        ratio: test uncertainty ratio: tolerance over expanded uncertainty with k = 2, over 1.

    Returns:
        sqrt(1 - 1 / ratio^2).

    Raises:
        NoAnswerError: a ratio of 1 or less.

    References:
        Uncertainty and tolerance subtracted as squares, common practice of calibration; no printed copy was read.
    """
    out: Num = np.sqrt(1 - 1 / _ratio(ratio) ** 2)
    return out


def factor_whole(ratio: Num) -> Num:
    """Acceptance limit over tolerance with the whole expanded uncertainty taken off.

    Args:
        ratio: test uncertainty ratio, over 1.

    Returns:
        1 - 1 / ratio.

    Raises:
        NoAnswerError: a ratio of 1 or less.

    References:
        JCGM 106:2012, 8.3.2, guard band w = U.
    """
    return 1 - 1 / _ratio(ratio)


def factor_quarter(ratio: Num) -> Num:
    """Acceptance limit over tolerance that asks for no guard band from a ratio of 4 on.

    Args:
        ratio: test uncertainty ratio, over 1.

    Returns:
        1.25 - 1 / ratio, and never more than 1.

    Raises:
        NoAnswerError: a ratio of 1 or less.

    References:
        Common practice of calibration; formula from a second-hand copy, no printed one was read.
    """
    out: Num = np.minimum(1.0, 1.25 - 1 / _ratio(ratio))
    return out


def factor_two_per_cent(ratio: Num) -> Num:
    """Acceptance limit over tolerance that keeps false accepts to 2 % whatever the spread of the parts.

    Args:
        ratio: test uncertainty ratio, over 1.

    Returns:
        1 - M / ratio with M = 1.04 - exp(0.38 ln ratio - 0.54); never more than 1.

    Raises:
        NoAnswerError: a ratio of 1 or less.

    References:
        ANSI/NCSL Z540.3 handbook, method 6 (the place from memory, the formula from a second-hand copy).
    """
    whole = _ratio(ratio)
    out: Num = np.minimum(1.0, 1 - (1.04 - np.exp(0.38 * np.log(whole) - 0.54)) / whole)
    return out


def _ratio(ratio: Num) -> Num:
    if not np.all(np.asarray(ratio) > 1):
        raise NoAnswerError(
            "the gauge's doubt is as large as the tolerance or larger",
            "take a better gauge; no factor mends that.",
        )
    return ratio
