"""Signals whose best possible accuracy is known: the Cramer-Rao bound of decaying oscillations in white noise.

References:
    S. M. Kay, Fundamentals of Statistical Signal Processing, vol. 1 (1993), 3.9 (bound for signals in white noise; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.ring.family import Family
from wheeltapper.measure.ring.listen import _families
from wheeltapper.measure.ring.peaks import spectrum_of
from wheeltapper.measure.ring.sound import Sound, sound_of
from wheeltapper.measure.ring.takes import Takes

Array = NDArray[np.float64]
RATE_HZ = 44_100
SECONDS_S = 1.5
ZETA = 1e-3


@dataclass(frozen=True)
class Tones:
    """Decaying oscillations of unit amplitude that start at once."""

    hz: Array
    decay_per_s: Array
    phase_rad: Array

    def signal(self, seconds_s: float = SECONDS_S) -> Array:
        """Their sum."""
        t = np.arange(int(seconds_s * RATE_HZ)) / RATE_HZ
        waves = np.exp(-self.decay_per_s[:, None] * t)
        return np.asarray(
            (waves * np.cos(2 * np.pi * self.hz[:, None] * t + self.phase_rad[:, None])).sum(axis=0)
        )

    def bound(self, snr_db: float, seconds_s: float = SECONDS_S) -> tuple[Array, Array]:
        """Least standard deviations of frequency [Hz] and decay [1/s] that any unbiased estimator has."""
        t = np.arange(int(seconds_s * RATE_HZ)) / RATE_HZ
        rows = []
        for hz, decay, phase in zip(self.hz, self.decay_per_s, self.phase_rad, strict=True):
            wave = np.exp(-decay * t + 1j * (2 * np.pi * hz * t + phase))
            rows += [(2j * np.pi * t * wave).real, (-t * wave).real, wave.real, (1j * wave).real]
        slopes = np.array(rows)
        spread = np.sqrt(np.diag(np.linalg.inv(slopes @ slopes.T)) * 0.5 * 10 ** (-snr_db / 10))
        return spread[0::4], spread[1::4]


def one_tone(dice: np.random.Generator) -> Tones:
    """A single mode near 500 Hz."""
    return _tones(np.array([500.0 + dice.uniform(-5, 5)]), dice)


def six_tones(dice: np.random.Generator) -> Tones:
    """Six modes far apart."""
    return _tones(np.array([482.0, 755.0, 1068.0, 1143.0, 1923.0, 2604.0]) + dice.uniform(-5, 5, 6), dice)


def pairs(dice: np.random.Generator) -> Tones:
    """Three pairs, split by .25 to .36 %."""
    middle = np.array([482.0, 1143.0, 1923.0]) + dice.uniform(-5, 5, 3)
    split = np.array([0.0036, 0.0030, 0.0025])
    return _tones(np.sort(np.concatenate([middle * (1 - split / 2), middle * (1 + split / 2)])), dice)


def _tones(hz: Array, dice: np.random.Generator) -> Tones:
    return Tones(hz, 2 * np.pi * ZETA * hz, dice.uniform(0, 2 * np.pi, len(hz)))


def noisy(tones: Tones, snr_db: float, dice: np.random.Generator) -> Array:
    """The signal in white noise; SNR is the power of one undamped unit mode over that of the noise."""
    clean = tones.signal()
    return np.asarray(clean + dice.normal(size=len(clean)) * np.sqrt(0.5 * 10 ** (-snr_db / 10)))


def families_in(samples: Array) -> tuple[Family, ...]:
    """What our search finds in a stretch that starts on its first sample, with no hint of where or how many."""
    sound: Sound = sound_of(samples, RATE_HZ)
    takes = Takes(sound.rate_hz, sound.slow, (0,), (len(sound.slow),), sound.slow[:0])
    return _families(takes, spectrum_of(takes, sound.top_hz))


def found(samples: Array, tones: Tones) -> tuple[Array, Array]:
    """Frequency and decay of the found mode nearest to each true one; not a number where none is within 5 Hz."""
    modes = [m for f in families_in(samples) for m in f.modes]
    hz, decay = np.full(len(tones.hz), np.nan), np.full(len(tones.hz), np.nan)
    for i, true in enumerate(tones.hz):
        near = [m for m in modes if abs(m.hz - true) < 5.0]
        if near:
            best = min(near, key=lambda m: abs(m.hz - true))
            hz[i], decay[i] = best.hz, best.decay_per_s
    return hz, decay
