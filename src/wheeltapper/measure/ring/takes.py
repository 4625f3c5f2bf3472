"""The stretches after the taps, cut to any length and transformed once for all bands that need that length."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.sound import Complexes, Sound, smooth_at_most
from wheeltapper.measure.ring.taps import LONGEST_S, Tap

QUIET_S = 0.15  # least stretch before the first tap that tells the noise
GUARD_S = 0.02  # stop listening to the quiet so long before the first tap
STEP = 1.25  # lengths are rounded to a ladder, so that bands share transforms
MOST_OF_TAPS = 0.6  # a length must be had by so many of the taps


@dataclass
class Takes:
    """Stretches of a recording below PASS_HZ, one for each tap, and the quiet before."""

    rate_hz: float
    slow: Floats
    starts: tuple[int, ...]
    lengths: tuple[int, ...]
    quiet: Floats  # (0,) where there is none
    _kept: dict[tuple[int, int], Complexes] = field(default_factory=dict)
    _noise: dict[int, Floats] = field(default_factory=dict)

    def most(self) -> int:
        """The greatest length that most of the taps have [samples]."""
        order = sorted(self.lengths, reverse=True)
        return order[max(1, round(MOST_OF_TAPS * len(order))) - 1]

    def rung(self, seconds_s: float) -> int:
        """A length on the ladder, near so many seconds [samples]."""
        most = self.most()
        steps = max(0, round(np.log(most / max(seconds_s * self.rate_hz, 1.0)) / np.log(STEP)))
        return smooth_at_most(max(16, min(most, int(most * STEP**-steps))))

    def spectra(self, length: int, skip: int = 0) -> Complexes:
        """(taps, bins) transforms of `length` samples after each tap that has them, the first `skip` left out."""
        if (length, skip) not in self._kept:
            firsts = [s + skip for s, n in zip(self.starts, self.lengths, strict=True) if n >= length]
            rows = np.zeros((len(firsts), length))
            for row, first in zip(rows, firsts, strict=True):
                some = self.slow[first : first + length]
                row[: len(some)] = some
            self._kept[length, skip] = np.fft.rfft(rows, axis=1)
        return self._kept[length, skip]

    def noise(self, omega_low: float, omega_high: float) -> float | None:
        """Noise power in one bin of a transform of one sample's length, before the taps; None: no quiet."""
        count = len(self.quiet)
        if count < QUIET_S * self.rate_hz:
            return None
        if count not in self._noise:
            self._noise[count] = np.abs(np.fft.rfft(self.quiet)) ** 2 / count
        to_bin = count / self.rate_hz / (2 * np.pi)
        first, last = int(omega_low * to_bin), int(omega_high * to_bin) + 1
        return float(self._noise[count][first : last + 1].mean())


def takes_of(sound: Sound, taps: tuple[Tap, ...], longest_s: float = LONGEST_S) -> Takes:
    """Cut the stretches out of a recording.

    Args:
        sound: the recording.
        taps: the strokes, at least one.
        longest_s: use no more than so much of each [s].

    Returns:
        The stretches and the quiet before the first tap.
    """
    rate = sound.rate_hz
    starts = tuple(min(len(sound.slow), round(t.start_s * rate)) for t in taps)
    ends = [min(len(sound.slow), round(t.end_s * rate)) for t in taps]
    lengths = tuple(min(int(longest_s * rate), e - s) for s, e in zip(starts, ends, strict=True))
    before = int((taps[0].at_s - GUARD_S) * rate) if taps else 0
    length = smooth_at_most(before) if before > 0 else 0
    return Takes(
        rate, sound.slow, starts, lengths, sound.slow[before - length : before] if length else sound.slow[:0]
    )
