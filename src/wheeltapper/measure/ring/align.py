"""Two drums side by side: which family of one is which of the other, though casting and wear have moved them all.

A casting's scale moves every family alike; wear moves those that bend the rim most. Both are sought together, so that a
worn good drum keeps its matches; a measured diameter says how much of it is wear.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.profile import Profile
from wheeltapper.units import INCH_M

WAVES = (  # frequency over the lowest, and share by which FULL_WEAR_M moves it: mean of two modelled drums, finite elements
    (1.00, -0.053), (1.60, -0.026), (2.19, -0.016), (2.36, -0.072), (3.97, -0.076), (5.44, -0.013), (5.87, -0.077),
    (6.75, -0.009), (7.05, -0.026), (7.36, -0.027), (7.77, -0.023), (8.09, -0.040),
)  # fmt: skip
FULL_WEAR_M = 0.045 * INCH_M  # off the radius
LOWEST_HZ = (300.0, 800.0)  # where the lowest family of a drum of 10 to 12 1/4 in lies, with room
SCALE = np.linspace(-0.06, 0.06, 49)  # of castings of one model (simulated: 1.2 %, twice over)
WEAR = np.linspace(-1.2, 1.2, 25)  # difference of wear, in FULL_WEAR_M
WEAR_KNOWN = 0.12  # how well two measured diameters tell it
SCALE_SD, WEAR_SD = 0.017, 0.6
REACH = 0.006  # a family is the same within so much after alignment (simulated)
CATCH = 0.012
SOFT = 0.003


@dataclass(frozen=True)
class Aligned:
    """How a candidate lies on a reference."""

    scale: float  # log of the casting's scale
    wear: float  # more of it, in FULL_WEAR_M
    pairs: tuple[tuple[int, int], ...]  # family of the candidate, of the reference
    moved_hz: Floats  # where scale and wear put the reference's families [Hz]


def align(candidate: Profile, reference: Profile) -> Aligned:
    """Find scale, wear and the pairs.

    Args:
        candidate: the drum on the hook.
        reference: a good drum of its model.

    Returns:
        Scale, wear, and the pairs of families.
    """
    bends = bends_of(reference.hz)
    expect, sd = _wear_known(candidate, reference)
    scale, wear = _best(candidate, reference, bends, expect, sd)
    pairs = _pairs(candidate, reference, bends, scale, wear, CATCH)
    for reach in (CATCH, REACH):
        scale, wear = _refined(candidate, reference, bends, pairs, (scale, wear), (expect, sd))
        pairs = _pairs(candidate, reference, bends, scale, wear, reach)
    return Aligned(scale, wear, pairs, reference.hz * np.exp(scale + wear * bends))


def bends_of(hz: Floats) -> Floats:
    """Log share by which FULL_WEAR_M moves each family, by its place over the lowest.

    Args:
        hz: (families,) frequencies of one drum [Hz].

    Returns:
        (families,) log shares, negative.
    """
    ratio, moves = np.array(WAVES).T
    lowest = lowest_hz(hz)
    if lowest is None:
        return np.full(len(hz), float(np.log1p(moves.mean())))
    which = np.abs(np.log(hz[:, None] / lowest / ratio)).argmin(axis=1)
    return np.asarray(np.log1p(moves[which]))


def lowest_hz(hz: Floats) -> float | None:
    """The lowest family of a drum, also where it was not heard: from which the others lie as those of the models do.

    Args:
        hz: (families,) frequencies of one drum, in order [Hz].

    Returns:
        Its frequency [Hz]; None where none fits a drum.
    """
    ratio = np.array(WAVES)[:, 0]
    guesses = (hz[:3, None] / ratio[None, :4]).ravel()
    guesses = guesses[(guesses > LOWEST_HZ[0]) & (guesses < LOWEST_HZ[1])]
    if not len(guesses):
        return None
    near = np.abs(np.log(hz[None, :, None] / guesses[:, None, None] / ratio)).min(axis=2)
    return float(guesses[np.exp(-((near / 0.02) ** 2)).sum(axis=1).argmax()])


def _wear_known(candidate: Profile, reference: Profile) -> tuple[float, float]:
    """Expected difference of wear and its spread."""
    if candidate.diameter_m is None or reference.diameter_m is None:
        return 0.0, WEAR_SD
    return (candidate.diameter_m - reference.diameter_m) / 2 / FULL_WEAR_M, WEAR_KNOWN


def _best(
    candidate: Profile, reference: Profile, bends: Floats, expect: float, sd: float
) -> tuple[float, float]:
    """The best place of a grid: many near pairs, little scale and little unexpected wear."""
    wears = WEAR if sd == WEAR_SD else expect + WEAR_KNOWN * np.linspace(-2, 2, 5)
    scale, wear = (a.ravel() for a in np.meshgrid(SCALE, wears))
    moved = np.log(reference.hz)[None, :] + scale[:, None] + wear[:, None] * bends
    near = np.abs(moved[:, :, None] - np.log(candidate.hz)[None, None, :]).min(axis=2)
    score = np.exp(-0.5 * (near / (2 * SOFT)) ** 2).sum(axis=1)
    score -= 0.25 * ((scale / SCALE_SD) ** 2 + ((wear - expect) / sd) ** 2)
    best = int(score.argmax())
    return float(scale[best]), float(wear[best])


def _pairs(
    candidate: Profile, reference: Profile, bends: Floats, scale: float, wear: float, reach: float
) -> tuple[tuple[int, int], ...]:
    """Nearest first, each family once."""
    moved = np.log(reference.hz) + scale + wear * bends
    apart = np.abs(np.log(candidate.hz)[:, None] - moved[None, :])
    out: list[tuple[int, int]] = []
    for flat in np.argsort(apart, axis=None):
        i, j = divmod(int(flat), len(moved))
        if apart[i, j] > reach:
            break
        if all(i != a and j != b for a, b in out):
            out.append((i, j))
    return tuple(sorted(out))


def _refined(
    candidate: Profile,
    reference: Profile,
    bends: Floats,
    pairs: tuple[tuple[int, int], ...],
    at: tuple[float, float],
    known: tuple[float, float],
) -> tuple[float, float]:
    """Least squares on the pairs that bends with outliers, held by what is known of scale and wear."""
    if not pairs:
        return at
    i, j = np.array(pairs).T
    ratio = np.log(candidate.hz[i] / reference.hz[j])
    terms = np.column_stack([np.ones(len(i)), bends[j]])
    held = np.diag([1 / SCALE_SD**2, 1 / known[1] ** 2])
    x = np.array(at)
    for _ in range(6):
        weight = 1 / np.maximum(SOFT, np.abs(ratio - terms @ x)) / SOFT
        left = terms.T @ (weight[:, None] * terms) + held
        x = np.linalg.solve(left, terms.T @ (weight * ratio) + held @ np.array([0.0, known[0]]))
    return float(x[0]), float(x[1])
