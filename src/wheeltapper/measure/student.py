"""Student's t and the normal spread: how far off a figure may be when it rests on few readings.

Written out here so that the product needs no statistics library; the tests hold it against one. It knows no
readings and no limits: it turns a distance in standard deviations into a probability, and back.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import erfc, inf, pi, sqrt
from typing import Any

import numpy as np

from wheeltapper.measure.number import Floats, Num
from wheeltapper.problems import NoAnswerError

_MANY = 2000.0  # degrees of freedom from which the series in 1/freedom is good to the last digits of a float
_FAR = 1e100  # farther off than this every tail is nothing; keeps squares inside what a float can hold
_STEPS = 400  # far more than the continued fraction takes below _MANY
_each_erfc = np.vectorize(erfc, otypes=[float])


def normal_tail(off: Num) -> Num:
    """Share of a normal spread that lies more than so many standard deviations above its middle.

    Args:
        off: distance in standard deviations, negative below the middle.

    Returns:
        Share, 0 to 1.

    References:
        Abramowitz & Stegun, Handbook of Mathematical Functions, 26.2.29.
    """
    out: Num = (0.5 * _each_erfc(np.asarray(off) / sqrt(2)))[()]
    return out


def normal_share(off: Floats) -> Floats:
    """Share of a normal spread that lies under a distance from its middle, fast, for millions at once.

    Args:
        off: distances in standard deviations.

    Returns:
        Shares, 0 to 1, good to 1e-7: where the digits of a far tail count, take `normal_tail`.

    References:
        Abramowitz & Stegun, Handbook of Mathematical Functions, 26.2.17.
    """
    t = 1 / (1 + 0.2316419 * np.abs(off))
    five = 0.319381530, -0.356563782, 1.781477937, -1.821255978, 1.330274429
    above = np.zeros_like(t)
    for a in reversed(five):
        above = (above + a) * t
    above = above * np.exp(-0.5 * off * off) / sqrt(2 * pi)
    out: Floats = np.where(off > 0, 1 - above, above)
    return out


def tail(off: Any, freedom: Any) -> Any:
    """Share of Student's t that lies above a distance.

    Args:
        off: distance in standard errors, negative below the middle.
        freedom: degrees of freedom, not only whole ones; infinite for the normal spread.

    Returns:
        Share, 0 to 1, good to ten digits and mostly to thirteen, far out as well.

    Raises:
        NoAnswerError: no degrees of freedom.

    References:
        Abramowitz & Stegun, 26.7.1 with 26.5.8 (incomplete beta as a continued fraction); from 2000 degrees of freedom on
        26.7.8 carried three terms further, as in Algorithm 395, Communications of the ACM 13 (1970), 617.
    """
    t, nu = (np.asarray(each, dtype=np.float64) for each in np.broadcast_arrays(off, freedom))
    _some_freedom(nu)
    far = np.minimum(np.abs(t), _FAR)
    many, few = _tail_of_many(far, np.maximum(nu, _MANY)), _tail_of_few(far, np.minimum(nu, _MANY))
    above = np.where(nu > _MANY, many, few)
    return np.where(t < 0, 1 - above, above)[()]


def _some_freedom(nu: Floats) -> None:
    if not np.all(nu > 0):
        raise NoAnswerError(
            "the degrees of freedom are not over zero", "two readings have one; give at least that."
        )


def _tail_of_many(t: Floats, nu: Floats) -> Floats:
    """The same normal distance by a series in 1/freedom, t of zero or more."""
    nu = np.minimum(nu, 1e30)
    a = nu - 0.5
    b = 48 * a * a
    z2 = a * np.log1p(t * t / nu)
    z = np.sqrt(z2)
    third = (((4 * z2 + 33) * z2 + 240) * z2 + 855) * z / (10 * b * (b + 0.8 * z2 * z2 + 100))
    tails: Floats = np.asarray(normal_tail(z + (z2 + 3) * z / b - third))
    return tails


def _tail_of_few(t: Floats, nu: Floats) -> Floats:
    """By the incomplete beta function, t of zero or more; near the middle by what lies inside."""
    x, y = nu / (nu + t * t), t * t / (nu + t * t)
    front = np.exp(-0.5 * nu * np.log1p(t * t / nu)) * np.sqrt(y) * _gamma_step(nu / 2) / sqrt(pi)
    outside = x < (nu / 2 + 1) / (nu / 2 + 2.5)
    a, b = np.where(outside, nu / 2, 0.5), np.where(outside, 0.5, nu / 2)
    part = 0.5 * front / a * _beta_fraction(a, b, np.where(outside, x, y))
    return np.where(outside, part, 0.5 - part)


def _gamma_step(x: Floats) -> Floats:
    """Gamma(x + 1/2) / Gamma(x), carried up to where its series in 1/x is exact to a float."""
    down = np.ones_like(x)
    for k in range(12):
        down = down * (x + k) / (x + k + 0.5)
    z = x + 12
    logs = -1 / (8 * z) + 1 / (192 * z**3) - 1 / (640 * z**5) + 17 / (14336 * z**7) - 31 / (18432 * z**9)
    step: Floats = down * np.sqrt(z) * np.exp(logs)
    return step


def _beta_fraction(a: Floats, b: Floats, x: Floats) -> Floats:
    """The continued fraction of the incomplete beta function, from its front (Lentz's way)."""
    tiny = 1e-300
    c, d = np.ones_like(x), 1 / (1 - (a + b) * x / (a + 1))
    h = d
    for m in range(1, _STEPS):
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        for step in (even, odd):
            d, c = 1 + step * d, 1 + step / c
            d, c = 1 / np.where(d == 0, tiny, d), np.where(c == 0, tiny, c)
            h = h * d * c
        if np.all(np.abs(d * c - 1) < 2e-15):
            break
    return h


def density(off: Any, freedom: Any) -> Any:
    """Height of Student's t at a distance.

    Args:
        off: distance in standard errors.
        freedom: degrees of freedom; infinite for the normal spread.

    Returns:
        Probability for each unit of the distance.

    References:
        Abramowitz & Stegun, 26.7.1.
    """
    nu = np.minimum(np.asarray(freedom, dtype=np.float64), 1e30)
    t = np.minimum(np.abs(off), _FAR)
    height = np.exp(-0.5 * (nu + 1) * np.log1p(t * t / nu)) * _gamma_step(nu / 2)
    return (height / np.sqrt(nu * pi))[()]


def quantile(share: Any, freedom: Any) -> Any:
    """The distance under which a share of Student's t lies.

    Args:
        share: share under it, over 0 and under 1.
        freedom: degrees of freedom, not only whole ones; infinite for the normal spread.

    Returns:
        Distance in standard errors, negative for less than half.

    Raises:
        NoAnswerError: a share that is not between 0 and 1, or no degrees of freedom.

    References:
        JCGM 100:2008 (GUM), table G.2, is reproduced to its printed digits.
    """
    p, nu = (np.asarray(each, dtype=np.float64) for each in np.broadcast_arrays(share, freedom))
    if not np.all((p > 0) & (p < 1)):
        raise NoAnswerError(
            "a share is not between 0 and 100 %", "give one over nothing and short of certain."
        )
    wanted = np.minimum(p, 1 - p)
    high = np.ones_like(wanted)
    while np.any(short := tail(high, nu) > wanted):
        high = np.where(short, 2 * high, high)
    t = np.where(high > 1, high / 2, 0.0)
    # The tail is hollow: from its near side the tangent never steps over the answer, and soon is at it.
    for _ in range(60):
        step = (tail(t, nu) - wanted) / density(t, nu)
        t = t + step
        if np.all(np.abs(step) <= 1e-10 * (1 + t)):
            break
    return np.where(p < 0.5, -t, t)[()]


def coverage_factor(confidence_share: Any, freedom: Any) -> Any:
    """How many standard errors to each side hold a share of Student's t.

    Args:
        confidence_share: share inside, 0.95 for 95 %.
        freedom: degrees of freedom; infinite for the normal spread.

    Returns:
        Factor k: 1.96 for 95 % of the normal spread.

    Raises:
        NoAnswerError: a share that is not between 0 and 1, or no degrees of freedom.

    References:
        JCGM 100:2008 (GUM), G.3 and table G.2.
    """
    return quantile((1 + confidence_share) / 2, freedom)


def effective_freedom(doubts: Sequence[float] | Floats, freedoms: Sequence[float] | Floats) -> Any:
    """Degrees of freedom of a doubt that is put together from several, by Welch and Satterthwaite.

    Args:
        doubts: independent standard uncertainties, each times its sensitivity; the last axis is put together.
        freedoms: degrees of freedom of each; infinite where it is known for sure.

    Returns:
        Effective degrees of freedom, infinite where all are.

    Raises:
        NoAnswerError: no degrees of freedom, or nothing in doubt.

    References:
        JCGM 100:2008 (GUM), G.4.1, equation (G.2b).
    """
    u, nu = np.asarray(doubts, dtype=np.float64), np.asarray(freedoms, dtype=np.float64)
    total = np.sqrt(np.sum(u * u, axis=-1, keepdims=True))
    _some_freedom(nu)
    if not np.all(total > 0):
        raise NoAnswerError("none of the doubts is over zero", "give at least one that is.")
    parts = np.sum((u / total) ** 4 / nu, axis=-1)
    return np.where(parts > 0, 1 / np.where(parts > 0, parts, 1.0), inf)[()]
