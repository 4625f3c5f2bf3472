"""Which legs of a harness are not fed: every set of dead legs that explains the measured current.

Each magnet hangs on its own leg behind one shared feed. Total amperes, volts at the plug and the ohms of the
coils leave only some sets of dead legs; a voltage known at a magnet settles its leg. Beside dead legs it looks
for one leg, or the shared feed, with resistance in it, where no set of dead legs alone fits; two bad splices at
once are not looked for. Its answers are possible explanations with the doubts of the readings, never a finding.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import exp, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.margin import COVERAGE
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

MOST_LEGS = 8


@dataclass(frozen=True)
class Harness:
    """What was measured at full apply, each with its expanded uncertainty. `magnets_v`: None where not measured."""

    total_a: float
    total_doubt_a: float
    plug_v: float
    plug_doubt_v: float
    coils_ohm: tuple[float, ...]
    coil_doubts_ohm: tuple[float, ...]  # half of the range where a coil was not measured
    magnets_v: tuple[float | None, ...]
    magnet_doubt_v: float
    dead_v: float  # under this a leg is not fed
    feed_ohm: float = 0.0  # of the shared wire, out and back


@dataclass(frozen=True)
class Explanation:
    """Legs, counted from 0, that are not fed; and at most one resistance, in a leg or in the shared feed."""

    dead: tuple[int, ...]
    weak: int | None
    shared: bool
    extra_ohm: float  # resistance in the weak leg or in the shared feed, 0 where there is none
    residual_share: float  # measured less explained current, over its doubt
    likelihood_share: float  # among all explanations given, each held as likely as another beforehand
    magnets_v: tuple[float, ...]  # what each magnet should show

    @property
    def legs(self) -> int:
        """How many legs it needs to be at fault; a fault in the shared feed is one of all legs."""
        return len(self.magnets_v) if self.shared else len(self.dead) + (self.weak is not None)


@dataclass(frozen=True)
class _Sets:
    """Every set of the unmeasured legs: which are fed, what that draws, and the doubt of it."""

    open_legs: NDArray[np.int_]
    fed: NDArray[np.bool_]  # one row for each set
    siemens: Floats
    current: Floats
    doubt: Floats
    known_a: float


def explanations(harness: Harness) -> tuple[Explanation, ...]:
    """Every explanation of the total current inside the doubts: fewest legs first, then the likeliest.

    Args:
        harness: the readings.

    Returns:
        The explanations; none where the current is more than all coils can draw, or is contradicted by the voltages.

    Raises:
        NoAnswerError: no coils or too many, lists of different length, or a reading that cannot be.

    References:
        Ohm's and Kirchhoff's laws. Likelihood: normal density of the current with u = U / 2; for a resistance of
        unknown size the density spread evenly over all currents that it could leave.
    """
    _check(harness)
    sets = _sets(harness)
    found = [*_dead(harness, sets), *_weak(harness, sets), *_shared(harness, sets)]
    whole = sum(e.likelihood_share for e in found)
    told = [replace(e, likelihood_share=e.likelihood_share / whole) for e in found]
    return tuple(sorted(told, key=lambda e: (e.legs, -round(e.likelihood_share, 12), e.dead, e.weak or 0)))


def _check(h: Harness) -> None:
    n = len(h.coils_ohm)
    if not 1 <= n <= MOST_LEGS or not n == len(h.coil_doubts_ohm) == len(h.magnets_v):
        raise NoAnswerError(
            f"this takes one to {MOST_LEGS} magnets, with ohms for each",
            "give one resistance for each magnet.",
        )
    if min(h.coils_ohm) <= 0 or any(
        not 0 <= d < r for d, r in zip(h.coil_doubts_ohm, h.coils_ohm, strict=True)
    ):
        raise NoAnswerError(
            "a coil has no resistance more than its doubt", "measure each coil with its plug pulled."
        )
    if h.plug_v <= 0 or h.total_a < 0 or h.feed_ohm < 0 or any(v is not None and v < 0 for v in h.magnets_v):
        raise NoAnswerError(
            "a voltage, a current or a wire is under zero", "give the readings without their sign."
        )
    if any(v is not None and v > h.plug_v + h.plug_doubt_v + h.magnet_doubt_v for v in h.magnets_v):
        raise NoAnswerError("a magnet shows more volts than the plug", "measure both at the same full apply.")
    if h.total_doubt_a <= 0 or min(h.plug_doubt_v, h.magnet_doubt_v) < 0:
        raise NoAnswerError(
            "a meter without doubt", "give the doubt of the ammeter, more than zero, and of the voltmeter."
        )


def _sets(h: Harness) -> _Sets:
    coils, doubts = np.asarray(h.coils_ohm), np.asarray(h.coil_doubts_ohm)
    measured = np.array([v is not None for v in h.magnets_v])
    volts = np.array([v or 0.0 for v in h.magnets_v])
    open_legs = np.flatnonzero(~measured)
    fed = (np.arange(2**open_legs.size)[:, None] >> np.arange(open_legs.size)) & 1 == 0
    siemens = fed @ (1 / coils[open_legs])
    known = float((volts / coils)[measured].sum())
    through = 1 + h.feed_ohm * siemens
    current = (known + h.plug_v * siemens) / through
    per_siemens = (h.plug_v - h.feed_ohm * known) / through**2
    ohms = (
        per_siemens * (fed @ (doubts / coils**2)[open_legs])
        + (volts * doubts / coils**2)[measured].sum() / through
    )
    metered = (h.magnet_doubt_v / coils)[measured & (volts > 0)].sum() / through
    parts = (np.full_like(current, h.total_doubt_a), h.plug_doubt_v * siemens / through, ohms, metered)
    return _Sets(open_legs, fed, siemens, current, np.sqrt(sum(p**2 for p in parts)), known)


def _dead(h: Harness, s: _Sets) -> list[Explanation]:
    """Sets of dead legs that fit as they are."""
    off = (h.total_a - s.current) / s.doubt
    return [
        _explanation(h, s, row, float(off[row]), COVERAGE / s.doubt[row] * _normal(COVERAGE * off[row]))
        for row in map(int, np.flatnonzero(np.abs(off) <= 1 + 1e-9))
    ]


def _weak(h: Harness, s: _Sets) -> list[Explanation]:
    """Sets of dead legs and one more leg that draws something between nothing and all, clear of both by the doubt."""
    found, node_v = [], h.plug_v - h.feed_ohm * h.total_a
    for place, leg in enumerate(s.open_legs):
        with_leg = np.flatnonzero(s.fed[:, place])
        without = with_leg + (1 << place)
        high, low = s.current[with_leg], s.current[without]
        between = (h.total_a < high - s.doubt[with_leg]) & (h.total_a > low + s.doubt[without])
        for row in map(int, with_leg[between]):
            coil = h.coils_ohm[leg]
            leg_a = h.total_a - s.known_a - node_v * (s.siemens[row] - 1 / coil)
            density = 1 / (s.current[row] - s.current[row + (1 << place)])
            found.append(_explanation(h, s, row, 0.0, density, int(leg), node_v / leg_a - coil))
    return found


def _shared(h: Harness, s: _Sets) -> list[Explanation]:
    """All unmeasured legs sound, and a resistance in the feed: no voltage measured at a magnet may contradict it."""
    if not s.siemens[0] or not s.known_a < h.total_a < s.current[0] - s.doubt[0]:
        return []
    node_v = (h.total_a - s.known_a) / s.siemens[0]
    if any(v is not None and v > node_v + h.magnet_doubt_v + h.plug_doubt_v for v in h.magnets_v):
        return []
    extra = (h.plug_v - node_v) / h.total_a - h.feed_ohm
    return [_explanation(h, s, 0, 0.0, 1 / (s.current[0] - s.known_a), None, extra)]


def _explanation(
    h: Harness,
    s: _Sets,
    row: int,
    residual: float,
    density: float,
    weak: int | None = None,
    extra: float = 0.0,
) -> Explanation:
    """One row of the sets as an explanation, with the voltage that each magnet should then show."""
    unfed = {int(leg) for leg in s.open_legs[~s.fed[row]]}
    shared = weak is None and bool(extra > 0)
    node_v = h.plug_v - (h.feed_ohm + (extra if shared else 0.0)) * (
        s.current[row] if not extra else h.total_a
    )
    shown = [
        v
        if v is not None
        else 0.0
        if leg in unfed
        else node_v * (coil / (coil + extra) if leg == weak else 1.0)
        for leg, (v, coil) in enumerate(zip(h.magnets_v, h.coils_ohm, strict=True))
    ]
    silent = {leg for leg, v in enumerate(h.magnets_v) if v is not None and v < h.dead_v}
    return Explanation(
        tuple(sorted(unfed | silent)),
        weak,
        shared,
        float(extra),
        residual,
        float(density),
        tuple(map(float, shown)),
    )


def _normal(z: float) -> float:
    return exp(-z * z / 2) / sqrt(2 * pi)


def best_leg(harness: Harness, found: Sequence[Explanation]) -> int | None:
    """The magnet whose voltage, measured next, leaves the fewest explanations on average.

    Args:
        harness: the readings.
        found: the explanations that are left.

    Returns:
        The leg, counted from 0; None where no voltage at a magnet tells them apart.

    References:
        Expected share of the likelihood that is left: sum of the squares of the groups that one reading separates,
        two voltages counting as one where twice the meter's doubt bridges them.
    """
    asked = [leg for leg, v in enumerate(harness.magnets_v) if v is None]
    left = {leg: _left(harness, found, leg) for leg in asked}
    best = min(asked, key=lambda leg: left[leg], default=None)
    whole = sum(e.likelihood_share for e in found) ** 2
    return best if best is not None and left[best] < whole * (1 - 1e-9) else None


def _left(h: Harness, found: Sequence[Explanation], leg: int) -> float:
    """Sum of squares of the groups of explanations that a voltage at one leg keeps apart."""
    ordered = sorted(found, key=lambda e: e.magnets_v[leg])
    groups = [ordered[0].likelihood_share] if ordered else []
    for before, after in pairwise(ordered):
        if after.magnets_v[leg] - before.magnets_v[leg] > 2 * h.magnet_doubt_v:
            groups.append(0.0)
        groups[-1] += after.likelihood_share
    return sum(g * g for g in groups)
