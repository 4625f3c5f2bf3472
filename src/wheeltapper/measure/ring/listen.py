"""From a recording of taps to what rang: the whole way on one screen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.family import Family, family_of, without_ghosts
from wheeltapper.measure.ring.peaks import LOWEST_HZ, Spectrum, groups_of, rough_poles, spectrum_of
from wheeltapper.measure.ring.quality import GATES, Gates, Quality, quality_of, reasons_of
from wheeltapper.measure.ring.room import room_of
from wheeltapper.measure.ring.sound import sound_of
from wheeltapper.measure.ring.takes import Takes, takes_of
from wheeltapper.measure.ring.taps import Tap, taps_of

MOST_TAPS = 12  # more add nothing but time: the loudest are kept
LEAST_STRETCH_S = 0.08  # a shorter one is not measured
CURVE_S = 0.01


@dataclass(frozen=True)
class Curve:
    """Level of everything from LOWEST_HZ up after the taps, mean power of them, over its first value."""

    at_s: Floats  # after the tap
    level_db: Floats


@dataclass(frozen=True)
class Ring:
    """What was heard."""

    taps: tuple[Tap, ...]
    families: tuple[Family, ...]  # in order of frequency
    quality: Quality
    reasons: tuple[str, ...]  # to record again, words of REASONS
    spectrum: Spectrum | None  # for a picture; None without taps
    curve: Curve | None


def listen(samples: Floats, rate_hz: float, gates: Gates = GATES) -> Ring:
    """Find the taps in a recording and measure what rang after them.

    Args:
        samples: one channel, full scale one, evenly sampled.
        rate_hz: samples a second [Hz].
        gates: where a recording stops being good enough.

    Returns:
        Taps, families of modes, the recording's quality, and reasons to make it again.

    Raises:
        NoAnswerError: not one channel of finite numbers, hardly any of them, or a rate that no recorder has.
    """
    samples = np.asarray(samples, float)
    sound = sound_of(samples, rate_hz)
    taps = taps_of(sound)
    strokes = _strokes(taps)
    takes = takes_of(sound, strokes) if strokes else None
    seen = None if takes is None else spectrum_of(takes, sound.top_hz)
    families = () if takes is None or seen is None else _families(takes, seen)
    room = None if takes is None else room_of(families, takes)
    quality = quality_of(samples, sound, takes, taps, seen, families, room)
    curve = None if takes is None else _curve(takes)
    return Ring(taps, families, quality, reasons_of(quality, gates), seen, curve)


def _strokes(taps: tuple[Tap, ...]) -> tuple[Tap, ...]:
    """The taps to measure: those with room after them, the loudest where there are many."""
    long = [t for t in taps if t.length_s >= LEAST_STRETCH_S]
    loud = sorted(long, key=lambda t: -t.level_db)[:MOST_TAPS]
    return tuple(sorted(loud, key=lambda t: t.at_s))


def _families(takes: Takes, seen: Spectrum) -> tuple[Family, ...]:
    groups = groups_of(seen)
    rough = rough_poles(groups)
    found = [family_of(takes, group, rough) for group in groups]
    return without_ghosts([f for f in found if f is not None])


def _curve(takes: Takes) -> Curve:
    """Mean power after the taps in short frames."""
    length = takes.most()
    spectra = takes.spectra(length).copy()
    spectra[:, : int(LOWEST_HZ * length / takes.rate_hz)] = 0
    frame = max(1, int(CURVE_S * takes.rate_hz))
    count = length // frame
    signal = np.fft.irfft(spectra, length, axis=1)[:, : count * frame]
    power = (signal.reshape(len(signal), count, frame) ** 2).mean(axis=(0, 2))
    level = 10 * np.log10(np.maximum(power, 1e-300) / max(float(power[0]), 1e-300))
    after = np.arange(count) * frame / takes.rate_hz
    return Curve(after, np.maximum(level, -120.0))
