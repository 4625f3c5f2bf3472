"""How fast a band dies away at first, without any model of modes: a straight line through the level in dB."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.poles import Band

FALL_DB = 16.0  # the line is laid through the first so much (simulated)
SMOOTH_S = 0.025
LEVEL_DB = 15.0  # fall of what is still to come, by which windows are measured
LEAST_POINTS = 4
TO_DB = 20 / np.log(10)  # dB of amplitude in one e-fold
OVER_NOISE = 2.0


@dataclass(frozen=True)
class Early:
    """The early fall of a band's power."""

    decay_per_s: float  # of amplitude, as a mode's
    decay_sd_per_s: float
    fall_db: float  # how far the line was followed
    at_s: Floats  # after the start of the stretch
    level_db: Floats  # over the first value


def early_of(band: Band, noise: float | None) -> tuple[Early | None, float, float]:
    """The early fall, the time in which what is still to come falls by LEVEL_DB, and the noise under it.

    Args:
        band: a narrow band of the whole stretches.
        noise: its noise power in one bin of one sample's length before the taps; None: there was no quiet.

    Returns:
        The fall, None where too few values stand over the noise; the time [s]; and the noise power, the lesser of
        that before the taps and that at the stretches' end.
    """
    bins = len(band.omega)
    step_s = band.length / band.rate_hz / bins
    power = _power(band)
    to_bin = band.length * float(np.sum(_gain(bins) ** 2)) / bins**2
    end = float(power[-max(3, bins // 5) : -1].mean())
    floor = end if noise is None else min(end, noise * to_bin)
    clean = power - floor
    to_come = np.cumsum(clean[::-1])[::-1]
    under = np.flatnonzero(to_come <= to_come[0] * 10 ** (-LEVEL_DB / 10))
    fall_s = (int(under[0]) if len(under) else bins) * step_s
    return _line(clean, floor, step_s), max(fall_s, step_s), floor / to_bin


def _power(band: Band) -> Floats:
    """Power of the band's signal over time, mean of the taps."""
    signal = np.fft.ifft(band.spectra * _gain(len(band.omega))[:, None], axis=0)
    return np.asarray((signal.real**2 + signal.imag**2).mean(axis=1))


@lru_cache(256)
def _gain(bins: int) -> Floats:
    """A gain whose signal hardly rings: flat in the middle, falling along a cosine."""
    at = np.abs(np.linspace(-1, 1, bins))
    return np.asarray(np.where(at < 0.5, 1.0, np.cos(np.pi * (at - 0.5)) ** 2))


def _line(clean: Floats, floor: float, step_s: float) -> Early | None:
    """Least squares on the logarithm, from the top to FALL_DB below or to the noise."""
    wide = max(1, round(SMOOTH_S / step_s))
    smooth = np.convolve(clean, np.full(wide, 1 / wide), mode="valid")
    top = int(np.argmax(smooth[: max(1, len(smooth) // 8)]))
    smooth = smooth[top:]
    least = max(float(smooth[0]) * 10 ** (-FALL_DB / 10), OVER_NOISE * floor / max(1, wide) ** 0.5)
    under = np.flatnonzero(smooth <= least)
    count = int(under[0]) if len(under) else len(smooth)
    if count < LEAST_POINTS or smooth[0] <= 0:
        return None
    level = 10 * np.log10(smooth[:count] / smooth[0])
    at = np.arange(count, dtype=float) * step_s
    slope, spread = _slope(at, level)
    return Early(-slope / TO_DB, spread / TO_DB, float(-level.min()), at + top * step_s, level)


def _slope(at: Floats, level: Floats) -> tuple[float, float]:
    """Slope of the least-squares line and its standard deviation, as if the values were independent."""
    x = at - at.mean()
    square = float(x @ x)
    slope = float(x @ level) / square
    left = level - level.mean() - slope * x
    return slope, float(np.sqrt(left @ left / max(len(x) - 2, 1) / square))
