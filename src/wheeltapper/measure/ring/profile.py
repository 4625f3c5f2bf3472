"""A drum by its ring, short enough to keep: where its families lie, how fast they die, how far they are split."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.family import Family
from wheeltapper.measure.ring.listen import Ring

LOW_HZ = 1_500.0  # families below tell damping best: above, a room's echo makes a cracked drum sound better
ALIKE = 3.0  # times, that the two of a pair may differ in decay (simulated)
FAINT_SHARE = 0.1  # of the stronger line: a fainter one is no pair (simulated)
HIGH_WEIGHT = 0.5  # what those above count (simulated)


@dataclass(frozen=True)
class Voice:
    """One family of modes."""

    hz: float
    decay_per_s: float
    share: float  # of the loudness of all, by amplitude
    split_share: float  # 0 where the pair is not told apart


@dataclass(frozen=True)
class Profile:
    """The families of a drum in order of frequency, and the diameter it had then."""

    voices: tuple[Voice, ...]
    diameter_m: float | None = None

    @property
    def hz(self) -> Floats:
        """(families,) frequencies [Hz]."""
        return np.array([v.hz for v in self.voices])

    @property
    def decay_per_s(self) -> Floats:
        """(families,) decay rates of amplitude [1/s]."""
        return np.array([v.decay_per_s for v in self.voices])

    @property
    def weight(self) -> Floats:
        """(families,) what each counts in a weighted median: by its amplitude, less above LOW_HZ."""
        return np.array([v.share * (1.0 if v.hz < LOW_HZ else HIGH_WEIGHT) for v in self.voices])


def profile_of(ring: Ring, diameter_m: float | None = None) -> Profile:
    """What is kept of a recording.

    Args:
        ring: what was heard.
        diameter_m: inside diameter of the drum [m]; None: not measured.

    Returns:
        The profile.
    """
    total = sum(f.amplitude for f in ring.families) or 1.0
    voices = tuple(
        Voice(f.hz, f.decay_per_s, f.amplitude / total, f.split_share if told_apart(f) else 0.0)
        for f in ring.families
    )
    return Profile(voices, diameter_m)


def told_apart(family: Family) -> bool:
    """Is it the split of a pair? The two of a pair die about alike; a motor's tone beside a mode does not die.

    Args:
        family: a family.

    Returns:
        True where its two strongest lines are a pair of the drum's, farther apart than their width.
    """
    if not family.split_counts:
        return False
    two = sorted(family.modes, key=lambda m: -m.amplitude)[:2]
    slow, fast = sorted(m.decay_per_s for m in two)
    return two[1].amplitude > FAINT_SHARE * two[0].amplitude and fast < ALIKE * slow
