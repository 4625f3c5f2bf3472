"""A recording made ready for listening: one transform gives the slow band that holds the modes and the fast one that holds the taps.

Everything later works on these two, at a quarter of the samples or less. No filter here delays anything: the
gains are real and even, so a tap stays where it was.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

Complexes = NDArray[np.complex128]

SLOW_HZ = 11_000.0  # least rate of the slow band: modes up to PASS_HZ, and room for the filter to fall
PASS_HZ = 4_300.0  # the gain is one up to here
STOP_HZ = 5_400.0  # and nothing from here
CLICK_HZ = (1_500.0, 12_000.0)  # where a tap of a small hammer stands out over a shop's noise (simulated)
HOP_S = 0.002
LEAST_RATE_HZ = 7_900.0  # telephone sound: modes up to 3.6 kHz just fit
MOST_RATE_HZ = 400_000.0
LEAST_SAMPLES = 64
SMOOTH = np.unique([
    2**a * 3**b * 5**c for a in range(26) for b in range(12) for c in range(6) if 2**a * 3**b * 5**c < 4e7
])  # fmt: skip


@dataclass(frozen=True)
class Sound:
    """A recording in two bands."""

    seconds_s: float
    rate_hz: float  # of the slow band
    slow: Floats  # the recording below PASS_HZ, same loudness
    click: Floats  # mean power of the fast band in hops of HOP_S
    hop_s: float

    @property
    def top_hz(self) -> float:
        """The highest frequency at which a mode can be measured."""
        return min(PASS_HZ, 0.45 * self.rate_hz)


def sound_of(samples: Floats, rate_hz: float) -> Sound:
    """Split a recording into the two bands.

    Args:
        samples: one channel, any scale, evenly sampled.
        rate_hz: samples a second [Hz].

    Returns:
        The recording in two bands.

    Raises:
        NoAnswerError: not one channel of finite numbers, fewer than LEAST_SAMPLES, a rate that no recorder has,
            or a loudness that no recorder makes.
    """
    samples = _checked(samples, rate_hz)
    step = max(1, int(rate_hz // SLOW_HZ))
    count = smooth_at_least(-(-len(samples) // step)) * step
    spectrum = np.fft.rfft(samples - samples.mean(), count)
    hz = rate_hz / count
    kept = count // step // 2 + 1
    slow_rate = rate_hz / step
    low = spectrum[:kept].copy()
    if step > 1:
        low *= _falling(
            np.arange(kept, dtype=float) * hz, min(PASS_HZ, 0.40 * slow_rate), min(STOP_HZ, 0.495 * slow_rate)
        )
    slow = np.fft.irfft(low, count // step)[: len(samples) // step] / step
    click, hop_s = _click(spectrum, hz, count / rate_hz, len(samples) / rate_hz)
    return Sound(len(samples) / rate_hz, slow_rate, slow, click, hop_s)


def smooth_at_least(count: int) -> int:
    """The least length of at least so many whose factors are 2, 3 and 5: transforms of it are fast.

    Args:
        count: a length.

    Returns:
        The length.
    """
    return int(SMOOTH[np.searchsorted(SMOOTH, count)])


def smooth_at_most(count: int) -> int:
    """The greatest length of at most so many whose factors are 2, 3 and 5.

    Args:
        count: a length of one or more.

    Returns:
        The length.
    """
    return int(SMOOTH[np.searchsorted(SMOOTH, count, side="right") - 1])


def _checked(samples: Floats, rate_hz: float) -> Floats:
    samples = np.asarray(samples, float)
    if not (np.isfinite(rate_hz) and LEAST_RATE_HZ <= rate_hz <= MOST_RATE_HZ):
        raise NoAnswerError(
            "the sampling rate is not that of a sound recording",
            "record with a phone's own recorder or camera, at 8 kHz or more.",
        )
    if samples.ndim != 1 or len(samples) < LEAST_SAMPLES:
        raise NoAnswerError(
            "there is no sound to listen to", "record one second of quiet, then four to six taps."
        )
    if not np.isfinite(samples).all() or np.abs(samples).max() > 1e12:
        raise NoAnswerError(
            "the recording holds values that are no sound", "record again, or send the file again."
        )
    return samples


def _falling(hz: Floats, full_hz: float, none_hz: float) -> Floats:
    """A gain of one that falls to nothing along half a cosine, which rings for only a few milliseconds."""
    at = np.clip((hz - full_hz) / (none_hz - full_hz), 0.0, 1.0)
    return np.asarray(0.5 + 0.5 * np.cos(np.pi * at))


def _click(spectrum: Complexes, hz: float, whole_s: float, seconds_s: float) -> tuple[Floats, float]:
    """Power of the fast band in hops, from its one-sided spectrum: the square of the envelope needs no rectifier."""
    first, last = int(CLICK_HZ[0] / hz), min(int(CLICK_HZ[1] / hz), len(spectrum))
    count = smooth_at_least(last - first)
    band = np.zeros(count, complex)
    band[: last - first] = spectrum[first:last]
    envelope = np.fft.ifft(band) * (count / (2 * (len(spectrum) - 1)))
    each = max(1, round(HOP_S * count / whole_s))
    power = 2 * (envelope.real**2 + envelope.imag**2)
    power = power[: int(seconds_s / whole_s * count)]
    hops = max(1, len(power) // each)
    return power[: hops * each].reshape(hops, -1).mean(axis=1), each * whole_s / count
