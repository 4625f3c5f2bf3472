"""What a gauge's doubt costs: bad parts taken for good, good parts taken for bad, and where to accept instead.

One reading of one part is `conforming_share`; a gauge used on many parts, whose spread is known, is `risks`. Sizes
are any one unit, the same throughout, and every doubt here is a standard uncertainty: half of what a gauge states
with k = 2. It knows no parts and makes no verdict: a probability never overrules a limit (see `margin`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Any

import numpy as np

from wheeltapper.measure.number import Floats, Num, above_zero
from wheeltapper.measure.student import normal_tail
from wheeltapper.problems import NoAnswerError

_REACH = 9.0  # standard deviations: farther out lies 1e-19 of a normal spread
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)  # for each slice, which spans at most two reaches
_SMOOTH = 8.0  # a gamma spread is integrated over a root of its size, so that it starts at least this flat


@dataclass(frozen=True)
class Normal:
    """A normal spread of true sizes."""

    mean: Any
    deviation: Any


@dataclass(frozen=True)
class Gamma:
    """A gamma spread of true sizes that cannot be less than `start`, such as a run-out or a wear."""

    shape: Any
    scale: Any
    start: Any = 0.0


Spread = Normal | Gamma


@dataclass(frozen=True)
class Band:
    """From a lower to an upper limit; an infinite one is no limit."""

    low: Any = -inf
    high: Any = inf


@dataclass(frozen=True)
class Risks:
    """Shares of all parts: truly out, accepted, accepted though out, rejected though in."""

    nonconforming: Any
    accepted: Any
    false_accept: Any
    false_reject: Any

    @property
    def accepted_out(self) -> Any:
        """Share of the accepted parts that is truly out; nothing where none is accepted."""
        return self.false_accept / np.where(self.accepted > 0, self.accepted, 1.0)

    @property
    def rejected_in(self) -> Any:
        """Share of the rejected parts that is truly in; nothing where none is rejected."""
        rejected = 1 - self.accepted
        return self.false_reject / np.where(rejected > 0, rejected, 1.0)


def normal_of(spread: Gamma) -> Normal:
    """The normal spread of the same mean and standard deviation.

    Args:
        spread: a gamma spread.

    Returns:
        Mean start + shape scale, standard deviation sqrt(shape) scale.
    """
    return Normal(spread.start + spread.shape * spread.scale, np.sqrt(spread.shape) * spread.scale)


def gamma_of(mean: Num, deviation: Num, start: Num) -> Gamma:
    """The gamma spread of a mean and a standard deviation.

    Args:
        mean: mean of the parts.
        deviation: their standard deviation.
        start: the least size possible, under the mean.

    Returns:
        The spread.

    Raises:
        NoAnswerError: the mean is not above the least size, or there is no deviation.
    """
    above_zero("the mean of the parts over their least size", np.asarray(mean) - start)
    above_zero("the spread of the parts", deviation)
    return Gamma(((mean - start) / deviation) ** 2, deviation**2 / (mean - start), start)


def after_reading(parts: Normal, reading: Num, gauge: Num) -> Normal:
    """What is known of a part from the spread it comes from and one reading together.

    Args:
        parts: spread of the parts before anything was read.
        reading: what the gauge read.
        gauge: standard uncertainty of the reading.

    Returns:
        The spread of the true size: its mean lies between both, weighted by how sure each is.

    Raises:
        NoAnswerError: no spread or no uncertainty.

    References:
        JCGM 106:2012, Annex A (normal prior, normal likelihood; the clause from memory).
    """
    above_zero("the spread of the parts", parts.deviation)
    above_zero("the gauge's uncertainty", gauge)
    both = parts.deviation**2 + gauge**2
    mean = (reading * parts.deviation**2 + parts.mean * gauge**2) / both
    return Normal(mean, parts.deviation * gauge / np.sqrt(both))


def conforming_share(reading: Num, gauge: Num, limits: Band, parts: Spread | None = None) -> Any:
    """Probability that the true size is within limits, from one reading and what was known before it.

    Args:
        reading: what the gauge read.
        gauge: standard uncertainty of the reading.
        limits: tolerance limits.
        parts: spread that the part comes from; None where nothing is known of it.

    Returns:
        Probability, 0 to 1. For a part that is accepted, the rest is the specific consumer's risk; for one that is
        rejected, the probability itself is the specific producer's risk.

    Raises:
        NoAnswerError: no uncertainty, no spread, or limits in the wrong order.

    References:
        JCGM 106:2012, clauses 6.2 and 7.
    """
    _check(limits, gauge, parts)
    if isinstance(parts, Gamma):
        x, weight = _slices(parts, gauge, (limits.low, limits.high), (reading,))
        off = (x - _last(reading)) / _last(gauge)
        logs = -0.5 * off**2
        weight = weight * np.exp(logs - logs.max(axis=-1, keepdims=True))
        return (np.sum(weight * _inside(x, limits), axis=-1) / np.sum(weight, axis=-1))[()]
    known = Normal(reading, gauge) if parts is None else after_reading(parts, reading, gauge)
    return _between(limits, known)


def nonconforming_share(parts: Spread, limits: Band) -> Any:
    """Share of parts that is out of limits, before anyone measures.

    Args:
        parts: spread of the parts.
        limits: tolerance limits.

    Returns:
        Share, 0 to 1.

    Raises:
        NoAnswerError: no spread, or limits in the wrong order.
    """
    _check(limits, 1.0, parts)
    if isinstance(parts, Normal):
        return normal_tail((limits.high - parts.mean) / parts.deviation) + normal_tail(
            (parts.mean - limits.low) / parts.deviation
        )
    x, weight = _slices(parts, 1.0, (limits.low, limits.high), ())
    return np.sum(weight * ~_inside(x, limits), axis=-1)[()]


def risks(parts: Spread, gauge: Num, limits: Band, accept: Band) -> Risks:
    """What a gauge makes of many parts: global consumer's and producer's risk.

    Args:
        parts: spread of the parts' true sizes.
        gauge: standard uncertainty of a reading.
        limits: tolerance limits.
        accept: acceptance limits, between which a reading lets the part go.

    Returns:
        `false_accept` is the global consumer's risk R_C, `false_reject` the global producer's risk R_P: shares of
        all parts that are measured.

    Raises:
        NoAnswerError: no uncertainty, no spread, or limits in the wrong order.

    References:
        JCGM 106:2012, 9.5.2 (both as double integrals), 9.5.4 (an example).
    """
    _check(limits, gauge, parts)
    _check(accept, gauge, parts)
    x, weight = _slices(parts, gauge, (limits.low, limits.high), (accept.low, accept.high))
    low, high = _last(accept.low), _last(accept.high)
    over, under = normal_tail((high - x) / _last(gauge)), normal_tail((x - low) / _last(gauge))
    taken = normal_tail((x - high) / _last(gauge)) - under
    good = _inside(x, limits)
    shares = (~good, taken, taken * ~good, (over + under) * good)
    return Risks(*(np.sum(weight * share, axis=-1)[()] for share in shares))


def guarded(limits: Band, guard: Num) -> Band:
    """Acceptance limits drawn in from the tolerance limits.

    Args:
        limits: tolerance limits.
        guard: width of the guard band; negative moves them outwards.

    Returns:
        Acceptance limits.
    """
    return Band(limits.low + guard, limits.high - guard)


def guard_for(parts: Spread, gauge: Num, limits: Band, wanted_share: Num) -> Any:
    """The guard band that keeps the global consumer's risk to a wanted share.

    Args:
        parts: spread of the parts' true sizes.
        gauge: standard uncertainty of a reading.
        limits: tolerance limits.
        wanted_share: share of all parts that may be accepted though they are out.

    Returns:
        Width, the same at both limits; negative where the wanted risk would even allow acceptance past the limit.

    Raises:
        NoAnswerError: a wanted share of nothing, or one so large that no part need be measured to keep to it; no
            uncertainty, no spread, or limits in the wrong order.

    References:
        JCGM 106:2012, 9.5.4 (acceptance limit for a wanted consumer's risk).
    """
    above_zero("the wanted share of false accepts", wanted_share)
    if np.any(np.asarray(wanted_share) >= nonconforming_share(parts, limits)):
        raise NoAnswerError(
            "no more parts than that are out of limits, measured or not",
            "want a smaller share, or do not measure.",
        )
    like = parts if isinstance(parts, Normal) else normal_of(parts)
    whole = 6 * _REACH * (like.deviation + gauge) + _farthest(limits, like.mean)
    width = np.asarray(limits.high, dtype=np.float64) - limits.low
    most = np.where(np.isfinite(width), np.minimum(width / 2, whole), whole)

    def excess(guard: Any) -> Any:
        return risks(parts, gauge, limits, guarded(limits, guard)).false_accept - wanted_share

    return _falls_to_zero(excess, -whole, most)


def _check(limits: Band, gauge: Any, parts: Spread | None) -> None:
    above_zero("the gauge's uncertainty", gauge)
    if isinstance(parts, Normal):
        above_zero("the spread of the parts", parts.deviation)
    elif parts is not None:
        above_zero("the shape of the gamma spread", parts.shape)
        above_zero("the scale of the gamma spread", parts.scale)
    if not np.all(np.asarray(limits.low) < limits.high):
        raise NoAnswerError("the lower limit is not under the upper one", "swap them, or leave one out.")


def _between(limits: Band, known: Normal) -> Any:
    """Share of a normal spread between limits, from the nearer side so that no digits are lost."""
    low, high = ((edge - known.mean) / known.deviation for edge in (limits.low, limits.high))
    above = np.asarray(low + high) > 0
    near, far = np.where(above, low, -high), np.where(above, high, -low)
    return (normal_tail(near) - normal_tail(far))[()]


def _last(value: Any) -> Any:
    """With one more axis, along which a spread is cut into slices."""
    return np.asarray(value, dtype=np.float64)[..., None]


def _inside(x: Floats, limits: Band) -> Any:
    return (x >= _last(limits.low)) & (x <= _last(limits.high))


def _farthest(limits: Band, mean: Any) -> Any:
    ends = [np.abs(np.asarray(edge, dtype=np.float64) - mean) for edge in (limits.low, limits.high)]
    return sum(np.where(np.isfinite(end), end, 0.0) for end in ends)


def _slices(
    parts: Spread, gauge: Any, edges: tuple[Any, ...], soft: tuple[Any, ...]
) -> tuple[Floats, Floats]:
    """Sizes along a last axis with the share of parts that each stands for (Gauss-Legendre in slices).

    A spread is cut wherever something happens: at the tolerance limits (`edges`), and a gauge's reach to either
    side of where its normal curve turns (`soft`). No slice is then wider than the smaller of the two curves.
    """
    cuts = [*edges, *(at + k * _REACH * gauge for at in soft for k in (-1, 0, 1))]
    if isinstance(parts, Normal):
        places = [(cut - parts.mean) / parts.deviation for cut in cuts]
        z, width = _nodes([-_REACH, 0.0, _REACH, *places], -_REACH, _REACH)
        weight = width * np.exp(-0.5 * z * z)
        x = _last(parts.mean) + _last(parts.deviation) * z
    else:
        x, weight = _gamma_slices(parts, cuts)
    return x, weight / np.sum(weight, axis=-1, keepdims=True)


def _gamma_slices(parts: Gamma, cuts: list[Any]) -> tuple[Floats, Floats]:
    """The same for a gamma spread, over a root of the size that is smooth where the density is not."""
    shape = np.asarray(parts.shape, dtype=np.float64)
    root = np.ceil(_SMOOTH / shape)
    far = shape + _REACH * np.sqrt(shape) + 40
    bulk = [shape - _REACH * np.sqrt(shape), shape, shape + _REACH * np.sqrt(shape)]
    sizes = [np.zeros_like(far), far, *bulk, *((cut - parts.start) / parts.scale for cut in cuts)]
    places = [np.clip(size, 0.0, far) ** (1 / root) for size in sizes]
    w, width = _nodes(places, 0.0, np.inf)
    root, shape = _last(root), _last(shape)
    logs = (root * shape - 1) * np.log(np.maximum(w, 1e-300)) - w**root
    weight = width * np.exp(logs - logs.max(axis=-1, keepdims=True))
    return _last(parts.start) + _last(parts.scale) * w**root, weight


def _nodes(places: list[Any], low: float, high: float) -> tuple[Floats, Floats]:
    """Nodes and widths of a quadrature between places, in order along a last axis."""
    cut = np.sort(np.stack(np.broadcast_arrays(*(np.clip(p, low, high) for p in places)), axis=-1), axis=-1)
    middle, half = (cut[..., 1:] + cut[..., :-1]) / 2, (cut[..., 1:] - cut[..., :-1]) / 2
    x = middle[..., None] + half[..., None] * _NODES
    width = half[..., None] * _WEIGHTS
    return x.reshape(*x.shape[:-2], -1), width.reshape(*width.shape[:-2], -1)


def _falls_to_zero(excess: Callable[[Any], Any], low: Any, high: Any) -> Any:
    """Where a falling function is zero, by halving, to the last digits."""
    for _ in range(70):
        middle = (low + high) / 2
        over = np.asarray(excess(middle)) > 0
        low, high = np.where(over, middle, low), np.where(over, high, middle)
    return ((low + high) / 2)[()]
