"""A candidate against good drums of its model: do its families die faster, are some gone, is one split?

Damping is the first witness, splits the second; frequency alone is nearly none, for wear moves it more than a crack.
All spreads here were read off simulated drums; a library of real good drums takes their place as it grows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from wheeltapper.measure.ring.align import CATCH, Aligned, align, lowest_hz
from wheeltapper.measure.ring.profile import Profile, Voice
from wheeltapper.measure.student import tail
from wheeltapper.problems import NoAnswerError

SPREAD = 0.45  # of the dullness of one good drum (simulated, so that one in twenty is past p = 0.05)
SPREAD_FREEDOM = 8  # what that figure is worth, in degrees of freedom: by judgement, for it is no measurement
OF_REFERENCES = 1.35  # what one reference adds to its square (simulated)
CENTRE = 1.22  # dullness of good drums: some families always go unheard (simulated)
EVEN = 1.08  # dullness where what is left dies as in the references (simulated)
GONE = 4.5  # dullness of a candidate that has none of the reference's families (simulated)
LEFT = 1.4  # what the fall of what is left counts, so that good drums scatter about as much in either (simulated)
SPLITS_TO = 6.2  # times the lowest family: above, families lie so close that two of them look like one split (simulated)
SINGLE = (
    0.75  # of the references have one line at most where a split counts: one of five may hear a false one
)
MEETING = (
    (1.9, 2.5),
    (5.0, 6.1),
)  # times the lowest: where wear brings two families together (finite elements)
FEW = 3  # pairs from which damping can be told


@dataclass(frozen=True)
class Pair:
    """One family of the candidate and what the references say of it."""

    hz: float
    decay_per_s: float
    good_hz: float  # as the references, moved by scale and wear, would have it
    good_decay_per_s: float
    faster: float  # log of the decay over the references'


@dataclass(frozen=True)
class Compared:
    """What the candidate is against its references."""

    pairs: tuple[Pair, ...]
    faster: float | None  # how much faster its families die, log, median; None: too few pairs
    dullness: float  # of that, and of families that are gone; good drums lie about CENTRE
    p: float  # chance of so much dullness, or more, from a good drum
    split_share: float  # largest split beyond the references' own
    split_hz: float | None
    missing_share: float  # of the references' families
    references: int


def compare(
    candidate: Profile, references: Sequence[Profile], spread: tuple[float, float] | None = None
) -> Compared:
    """Hold a drum against good ones of its model.

    Args:
        candidate: the drum on the hook.
        references: good drums, one or more.
        spread: standard deviation of the damping statistic and its degrees of freedom; None: as simulated.

    Returns:
        The comparison.

    Raises:
        NoAnswerError: nothing rang in the candidate, or no reference did.
    """
    known = [r for r in references if r.voices]
    if not known or not candidate.voices:
        raise NoAnswerError(
            "there is nothing to compare", "record the drum, and a good drum of its model, again."
        )
    lain = [align(candidate, r) for r in known]
    pairs = _pairs(candidate, known, lain)
    dullness = _dullness(candidate, known, lain)
    sd, freedom = spread or (SPREAD, float(SPREAD_FREEDOM))
    p = float(tail((dullness - CENTRE) / (sd * sqrt(1 + OF_REFERENCES / len(known))), freedom))
    split, at = _split(candidate, known, lain)
    missing = float(np.mean([_missing(r, a) for r, a in zip(known, lain, strict=True)]))
    faster = float(np.median([x.faster for x in pairs])) if len(pairs) >= FEW else None
    return Compared(pairs, faster, dullness, p, split, at, missing, len(known))


def spread_of(groups: Sequence[Sequence[Profile]]) -> tuple[float, float]:
    """The spread between good drums: the simulated figure, and the more of it the library's own, the more it holds.

    Each drum is held against the others of its model, so a model with one drum tells nothing.

    Args:
        groups: good drums, model by model.

    Returns:
        Standard deviation of one good drum's dullness, and its degrees of freedom.
    """
    squares, freedom = SPREAD**2 * SPREAD_FREEDOM, float(SPREAD_FREEDOM)
    for group in groups:
        drums = [p for p in group if p.voices]
        for i, drum in enumerate(drums if len(drums) > 1 else []):
            rest = [*drums[:i], *drums[i + 1 :]]
            off = _dullness(drum, rest, [align(drum, r) for r in rest]) - CENTRE
            squares += off**2 / (1 + OF_REFERENCES / len(rest))
        freedom += max(0, len(drums) - 1)
    return sqrt(squares / freedom), freedom


def _dullness(candidate: Profile, references: Sequence[Profile], lain: Sequence[Aligned]) -> float:
    """The greater of two, for they fail differently: what is left with what is gone, and how fast what is left dies."""
    both = np.mean([_duller(candidate, r, a) for r, a in zip(references, lain, strict=True)], axis=0)
    return float(max(both[0], EVEN + LEFT * both[1]))


def _duller(candidate: Profile, reference: Profile, lain: Aligned) -> tuple[float, float]:
    """How much faster the families die that both have, log, mean: with those that are gone, and alone with the median."""
    if not lain.pairs:
        return GONE, 0.0
    i, j = np.array(lain.pairs).T
    faster = np.log(candidate.decay_per_s[i] / reference.decay_per_s[j])
    mean = float(faster.mean())
    return mean + GONE * (1 - len(j) / len(reference.voices)), (mean + float(np.median(faster))) / 2


def _pairs(candidate: Profile, references: Sequence[Profile], lain: Sequence[Aligned]) -> tuple[Pair, ...]:
    """Each family that some reference has too, against the mean of those that do."""
    out = []
    for i, voice in enumerate(candidate.voices):
        seen = [
            (r.voices[j], a.moved_hz[j])
            for r, a in zip(references, lain, strict=True)
            for k, j in a.pairs
            if k == i
        ]
        if not seen:
            continue
        good = float(np.exp(np.mean([np.log(v.decay_per_s) for v, _ in seen])))
        lies = float(np.mean([hz for _, hz in seen]))
        out.append(Pair(voice.hz, voice.decay_per_s, lies, good, float(np.log(voice.decay_per_s / good))))
    return tuple(out)


def _split(
    candidate: Profile, references: Sequence[Profile], lain: Sequence[Aligned]
) -> tuple[float, float | None]:
    """The largest split where the references have one line: two lines may be two families that wear has moved together."""
    best, at = 0.0, None
    for voice in candidate.voices:
        edges = voice.hz * (1 - voice.split_share / 2), voice.hz * (1 + voice.split_share / 2)
        lines = np.array([_lines(r, a, edges) for r, a in zip(references, lain, strict=True)])
        single = lines.any() and np.mean(lines < 2) >= SINGLE
        low = all(voice.hz < SPLITS_TO * (lowest_hz(r.hz) or voice.hz) for r in references)
        unsure = len(references) == 1 and _may_meet(candidate, voice)
        if voice.split_share > best and single and low and not unsure:
            best, at = voice.split_share, voice.hz
    return best, at


def _may_meet(candidate: Profile, voice: Voice) -> bool:
    """Does it lie where wear brings two families together, and is no third line there that would be the other of them?"""
    lowest = lowest_hz(candidate.hz)
    if lowest is None:
        return True
    for low, high in MEETING:
        if low < voice.hz / lowest < high:
            there = [v for v in candidate.voices if low < v.hz / lowest < high]
            return len(there) < 2
    return False


def _lines(reference: Profile, lain: Aligned, edges: tuple[float, float]) -> int:
    """How many lines of a reference, moved by scale and wear, lie about these edges."""
    half = np.array([v.split_share for v in reference.voices]) / 2
    lines = np.concatenate([lain.moved_hz * (1 - half), (lain.moved_hz * (1 + half))[half > 0]])
    return int(((lines > edges[0] * (1 - CATCH)) & (lines < edges[1] * (1 + CATCH))).sum())


def _missing(reference: Profile, lain: Aligned) -> float:
    """Share of a reference's families, by weight, that the candidate does not have."""
    weight = reference.weight
    have = {j for _, j in lain.pairs}
    return float(sum(w for j, w in enumerate(weight) if j not in have) / max(float(weight.sum()), 1e-12))
