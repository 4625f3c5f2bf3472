"""How long a rolling bearing lasts under its loads: rating life, reliability, duty that changes.

Rating life is a statement about many bearings, well lubricated and clean: it says nothing of water, lost grease
or a loose cup, which end most trailer bearings. What a wheel puts on its two bearings is in
`wheel_load.py`, what end play does to them in `roller_load.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import log

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

Amount = float | Floats
BALL, ROLLER = 3.0, 10 / 3  # life exponents of ISO 281
MILLION_REV = 1e6
LEAST, SCALE, SLOPE = 0.02, 4.439, 1.483  # Weibull life of a bearing in rating lives: x0, theta - x0, b


def equivalent_load_n(
    radial_n: Amount,
    thrust_n: Amount,
    radial_factor: Amount,
    thrust_factor: Amount,
    ring_factor: Amount = 1.0,
) -> Amount:
    """Radial load that would do the same harm as radial and thrust load together.

    Args:
        radial_n: radial load [N].
        thrust_n: thrust load [N].
        radial_factor: X.
        thrust_factor: Y.
        ring_factor: V, 1; older books take 1.2 where the outer ring turns.

    Returns:
        P = X V Fr + Y Fa [N].

    References:
        ISO 281:2007, 7.2 (there without V); Jindal, Machine Design, example 18-2 (with V).
    """
    return radial_factor * ring_factor * radial_n + thrust_factor * thrust_n


def rating_life_rev(rating_n: Amount, load_n: Amount, exponent: Amount) -> Amount:
    """Revolutions that nine in ten bearings reach.

    Args:
        rating_n: basic dynamic rating on a million revolutions [N].
        load_n: equivalent load, over zero [N].
        exponent: 3 for balls, 10/3 for rollers.

    Returns:
        L10 [rev].

    Raises:
        NoAnswerError: there is no load, or no rating.

    References:
        ISO 281:2007, 7.3 and 8.3.
    """
    if np.any(np.asarray(load_n) <= 0) or np.any(np.asarray(rating_n) <= 0):
        raise NoAnswerError("a load or rating is not over zero", "give both as forces over zero.")
    return MILLION_REV * (rating_n / load_n) ** exponent


def needed_rating_n(load_n: Amount, life_rev: Amount, exponent: Amount, life_factor: Amount = 1.0) -> Amount:
    """Basic rating that a wanted life needs.

    Args:
        load_n: equivalent load [N].
        life_rev: life wanted [rev].
        exponent: 3 for balls, 10/3 for rollers.
        life_factor: lives for each rating life at the reliability wanted (a1); 1 at 90 %.

    Returns:
        Rating on a million revolutions [N].

    References:
        ISO 281:2007, 9.2; Budynas and Nisbett, Mechanical Engineering Design, 8th ed., section 11-6.
    """
    return load_n * (life_rev / (MILLION_REV * life_factor)) ** (1 / exponent)


def rating_on_basis_n(rating_n: Amount, given_rev: Amount, wanted_rev: Amount, exponent: Amount) -> Amount:
    """A rating stated on one number of revolutions, restated on another.

    Args:
        rating_n: rating as printed [N].
        given_rev: the revolutions it is printed for, such as 90 million [rev].
        wanted_rev: the revolutions wanted, such as a million [rev].
        exponent: 3 for balls, 10/3 for rollers.

    Returns:
        Rating on the other basis [N].
    """
    return rating_n * (given_rev / wanted_rev) ** (1 / exponent)


def life_s(life_rev: Amount, turning_hz: Amount) -> Amount:
    """Running time of a life at a steady speed.

    Args:
        life_rev: life [rev].
        turning_hz: turns for each second [Hz].

    Returns:
        Time [s].

    Raises:
        NoAnswerError: it stands still.
    """
    if np.any(np.asarray(turning_hz) <= 0):
        raise NoAnswerError("the hub stands still", "give a speed over zero.")
    return life_rev / turning_hz


def life_m(life_rev: Amount, rolling_radius_m: Amount) -> Amount:
    """Road distance of a life.

    Args:
        life_rev: life [rev].
        rolling_radius_m: rolling radius of the tyre [m].

    Returns:
        Distance [m].
    """
    return life_rev * 2 * np.pi * rolling_radius_m


def a1_iso(reliability_share: Amount) -> Amount:
    """Life factor for a reliability by the formula behind the table of ISO 281:2007.

    Args:
        reliability_share: 0.9 to under 1.

    Returns:
        a1: 1 at 90 %, 0.25 at 99 %.

    References:
        ISO 281:2007, table 12 (0.64, 0.55, 0.47, 0.37, 0.25); formula of ISO/TR 1281-2, from memory:
        0.95 (ln(1/S) / ln(1/0.9))^(2/3) + 0.05.
    """
    return 0.95 * weibull_life(reliability_share, 0.0, scale_of_l10(1.5), 1.5) + 0.05


def a1_older(reliability_share: Amount) -> Amount:
    """Life factor for a reliability as printed before 2007: two-parameter Weibull, slope 1.5.

    Args:
        reliability_share: over 0 and under 1.

    Returns:
        a1: 1 at 90 %, 0.62 at 95 %, 0.21 at 99 %.

    References:
        ISO 281:1990, table 10, and bearing makers' adjustment factors.
    """
    return weibull_life(reliability_share, 0.0, scale_of_l10(1.5), 1.5)


def weibull_life(
    reliability_share: Amount, least: float = LEAST, scale: float = SCALE, slope: float = SLOPE
) -> Amount:
    """Life that a share of bearings reaches, in rating lives.

    Args:
        reliability_share: over 0 and under 1.
        least: shortest life, x0; 0 makes it a two-parameter law.
        scale: characteristic life over the shortest, theta - x0.
        slope: Weibull slope, b.

    Returns:
        Lives for each rating life: x0 + (theta - x0) ln(1/R)^(1/b).

    Raises:
        NoAnswerError: a reliability of 0 or 100 % has no life, or the law is none.

    References:
        Budynas and Nisbett, Mechanical Engineering Design, 8th ed., section 11-4 and problems 11-1 and 11-3.
    """
    share = np.asarray(reliability_share)
    if not np.all((share > 0) & (share < 1)):
        raise NoAnswerError("the reliability is not between 0 and 100 %", "give for instance 90 %.")
    _lawful(least, scale, slope)
    life: Amount = least + scale * np.log(1 / reliability_share) ** (1 / slope)
    return life


def weibull_reliability_share(
    lives: Amount, least: float = LEAST, scale: float = SCALE, slope: float = SLOPE
) -> Amount:
    """Share of bearings that reach a life.

    Args:
        lives: the life, in rating lives.
        least: shortest life, x0.
        scale: characteristic life over the shortest, theta - x0.
        slope: Weibull slope, b.

    Returns:
        Reliability; 1 up to the shortest life.

    Raises:
        NoAnswerError: the law is none.

    References:
        Budynas and Nisbett, Mechanical Engineering Design, 8th ed., section 11-4.
    """
    _lawful(least, scale, slope)
    share: Amount = np.exp(-((np.maximum(lives - least, 0.0) / scale) ** slope))
    return share


def _lawful(least: float, scale: float, slope: float) -> None:
    if least < 0 or scale <= 0 or not 0.2 <= slope <= 20:
        raise NoAnswerError(
            "these are no Weibull numbers", "give x0 of zero or more, theta - x0 over zero, b about 1 to 1.5."
        )


def scale_of_l10(slope: float, least: float = 0.0) -> float:
    """The Weibull scale that makes nine in ten reach just one rating life.

    Args:
        slope: Weibull slope, b.
        least: shortest life, x0.

    Returns:
        theta - x0: 4.48 for a slope of 1.5 and no shortest life.
    """
    return float((1 - least) / log(1 / 0.9) ** (1 / slope))


def mixed_load_n(loads_n: Sequence[Amount], shares: Sequence[float], exponent: float) -> Amount:
    """The steady load that uses up life as fast as loads that take turns.

    Args:
        loads_n: equivalent load of each kind of running; arrays of corners alike [N].
        shares: share of all revolutions each has; they sum to 1.
        exponent: 3 for balls, 10/3 for rollers.

    Returns:
        Load [N].

    Raises:
        NoAnswerError: as many shares as loads are needed, none negative, 1 in all.

    References:
        Palmgren's and Miner's rule; Budynas and Nisbett, Mechanical Engineering Design, 8th ed., section 11-7.
    """
    fair = len(loads_n) == len(shares) and min(shares, default=-1.0) >= 0 and abs(sum(shares) - 1) < 1e-6
    if not fair:
        raise NoAnswerError("the shares do not fit the loads", "give one share for each load, 100 % in all.")
    harm = sum(np.asarray(load) ** exponent * share for load, share in zip(loads_n, shares, strict=True))
    mean: Amount = harm ** (1 / exponent)
    return mean


def pair_life_rev(lives_rev: Sequence[Amount], slope: float = 1.5) -> Amount:
    """L10 of a hub in which any of its bearings may be the first to fail.

    Args:
        lives_rev: L10 of each bearing; arrays of corners alike [rev].
        slope: Weibull slope, 1.5 as in the older reliability factors; 9/8 is Lundberg's for rollers.

    Returns:
        L10 of all together, shorter than the shortest [rev].

    References:
        Product of two-parameter Weibull survivals with one slope.
    """
    hazard = sum(np.asarray(life) ** -slope for life in lives_rev)
    life: Amount = hazard ** (-1 / slope)
    return life
