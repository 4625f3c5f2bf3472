"""Each group of peaks measured: how many modes it holds, their frequency and decay, how far a pair is split, how fast it dies.

Two answers to "how fast" stand side by side, for they fail differently: the poles of the best model, and the early
fall of the band's power, which knows of no model.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.early import Early, early_of
from wheeltapper.measure.ring.formula import damping_of
from wheeltapper.measure.ring.peaks import Group
from wheeltapper.measure.ring.poles import Band, Poles, band_of, fitted, start, started
from wheeltapper.measure.ring.sound import Complexes, smooth_at_most
from wheeltapper.measure.ring.takes import Takes

MOST_MODES = 4
NEAR_HZ = 400.0  # skirts of modes farther away are straight lines here
WHOLE = (
    2.4  # times the T15 of the band: nine tenths of what can be known about the decay, and the rest is noise
)
SHORT = 1.35  # the same where a room is heard: 20 dB of decay
ROOM = 10.0  # what is left over, in parts of the noise before the taps, from which the early part alone is used (simulated)
SLOW_S = (
    0.2  # a band that takes longer to fall has time: there the start is left out, for room and codec blur it
)
SKIP_S = 0.04
BETTER = 10.0  # fall of the Bayes criterion that one more mode must bring
LESS_LEFT = 0.45  # and of the power left over
ADDS = 0.004  # share of the band's power that a further mode must explain: less is what codecs and rooms do
FAINT = 0.04  # and its least amplitude, of the strongest in the group
PLAIN = 1.3  # left over in parts of the noise: nothing more to find
COUNTS = 2.0  # a split counts from so many half-power widths
SNR_DB = 6.0
DECAY_PER_S = (0.25, 400.0)
DOUBT_SHARE = 0.30
EXPLAINED = 0.60
GHOST_SHARE = 0.03  # a family so near a stronger one
GHOST_SIZE = 0.12  # and so much weaker is the room's


@dataclass(frozen=True)
class Mode:
    """One decaying oscillation."""

    hz: float
    hz_sd: float
    decay_per_s: float
    decay_sd_per_s: float
    amplitude: float  # root mean square over the taps, at the start of the stretch, scale of the recording

    @property
    def zeta(self) -> float:
        """Damping as a share of critical."""
        return damping_of(self.decay_per_s / self.hz)

    @property
    def width_hz(self) -> float:
        """Width of the resonance at half its power."""
        return self.decay_per_s / pi


@dataclass(frozen=True)
class Family:
    """Modes measured together: alone, or the two of a pair, or more that happen to lie close."""

    modes: tuple[Mode, ...]  # in order of frequency
    early: Early | None  # None where the band falls too little or too soon
    explained_share: float  # of the band's power
    window_s: float
    snr_db: float  # power of the modes over what is left
    room_ratio: float | None  # what is left over the noise before the taps; None: there was no quiet
    taps: int

    @property
    def strongest(self) -> Mode:
        """The mode with the greatest amplitude."""
        return max(self.modes, key=lambda m: m.amplitude)

    @property
    def hz(self) -> float:
        """Frequency, weighted by power."""
        return self._mean([m.hz for m in self.modes])

    @property
    def decay_per_s(self) -> float:
        """Decay, weighted by power."""
        return self._mean([m.decay_per_s for m in self.modes])

    @property
    def amplitude(self) -> float:
        """Root of the sum of squares of the modes' amplitudes."""
        return float(np.sqrt(sum(m.amplitude**2 for m in self.modes)))

    @property
    def split_share(self) -> float:
        """Distance of the two strongest modes, of their frequency; zero for one mode."""
        pair = self._pair()
        return 0.0 if pair is None else (pair[1].hz - pair[0].hz) / (pair[0].hz + pair[1].hz) * 2

    @property
    def split_sd(self) -> float:
        """Standard deviation of `split_share`."""
        pair = self._pair()
        return 0.0 if pair is None else float(np.hypot(pair[0].hz_sd, pair[1].hz_sd)) / self.hz

    @property
    def split_counts(self) -> bool:
        """Is the pair farther apart than twice its half-power width? A closer one may be the model's way with noise."""
        pair = self._pair()
        return (
            pair is not None and pair[1].hz - pair[0].hz > COUNTS * (pair[0].width_hz + pair[1].width_hz) / 2
        )

    def _pair(self) -> tuple[Mode, Mode] | None:
        if len(self.modes) < 2:
            return None
        two = sorted(self.modes, key=lambda m: -m.amplitude)[:2]
        return (two[0], two[1]) if two[0].hz < two[1].hz else (two[1], two[0])

    def _mean(self, values: list[float]) -> float:
        power = [max(m.amplitude, 1e-150) ** 2 for m in self.modes]
        return sum(v * p for v, p in zip(values, power, strict=True)) / sum(power)


def family_of(takes: Takes, group: Group, rough: Complexes) -> Family | None:
    """Measure one group of peaks.

    Args:
        takes: the stretches after the taps.
        group: peaks and the band they are measured in.
        rough: (peaks,) rough poles of all groups [1/s].

    Returns:
        The family, or None where nothing in the band can be measured well enough.
    """
    away = (rough.imag < 2 * pi * group.edges_hz[0]) | (rough.imag > 2 * pi * group.edges_hz[1])
    close = np.abs(rough.imag - 2 * pi * group.middle_hz) < 2 * pi * NEAR_HZ
    near = rough[away & close]
    whole = takes.most()
    band = band_of(takes.spectra(whole), whole, takes.rate_hz, group.edges_hz, near)
    noise = takes.noise(float(band.omega[0]), float(band.omega[-1]))
    early, fall_s, floor = early_of(band, noise)
    noise = None if noise is None else floor
    band = _band(takes, group, near, WHOLE * fall_s)
    best = _best(band, noise, len(group.hz))
    if best is not None and noise and best.noise > ROOM * noise * band.length:
        slow = fall_s > SLOW_S
        band = _band(takes, group, near, (WHOLE if slow else SHORT) * fall_s, SKIP_S if slow else 0.0)
        best = _best(band, noise, len(group.hz)) or best
    return None if best is None else _told(takes, band, best, noise, early)


def _band(takes: Takes, group: Group, near: Complexes, seconds_s: float, skip_s: float = 0.0) -> Band:
    skip = round(skip_s * takes.rate_hz)
    length = (
        takes.rung(seconds_s) if not skip else smooth_at_most(min(takes.rung(seconds_s), takes.most() - skip))
    )
    return band_of(
        takes.spectra(length, skip), length, takes.rate_hz, group.edges_hz, near, skip / takes.rate_hz
    )


def _best(band: Band, noise: float | None, peaks: int) -> Poles | None:
    """One pole more for as long as each brings enough."""
    strength, ways = start(band)
    total = float(np.vdot(band.spectra, band.spectra).real)
    best: Poles | None = None
    for count in range(1, min(MOST_MODES, len(strength) - 1, len(band.omega) // 4) + 1):
        hoped = np.inf if best is None else LESS_LEFT ** (count - len(best.s)) * best.squares
        more = fitted(band, started(band, ways, count), hoped)
        if best is None or (_better(band, best, more) and _sound(band, more)):
            best = more
        elif count > peaks:
            break
        at_noise = noise is not None and best.noise < PLAIN * noise * band.length and count >= peaks
        if at_noise or best.squares < ADDS * total:
            break
    return best


def _better(band: Band, few: Poles, more: Poles) -> bool:
    """Do the added poles earn their place?"""
    count = band.spectra.size
    added = len(more.s) - len(few.s)
    gain = 2 * count * np.log(max(few.squares, 1e-300) / max(more.squares, 1e-300))
    cost = 2 * added * (1 + band.spectra.shape[1]) * np.log(2 * count)
    enough = few.squares - more.squares > ADDS * float(np.vdot(band.spectra, band.spectra).real)
    return bool(gain - cost > BETTER and more.squares < LESS_LEFT**added * few.squares and enough)


def _sound(band: Band, poles: Poles) -> bool:
    """No pole is faint against the others, and none sits at the edge of where it can be."""
    size = np.sqrt(np.mean(np.abs(poles.amplitudes) ** 2, axis=1))
    inside = (poles.s.imag > band.omega[0]) & (poles.s.imag < band.omega[-1])
    return bool(size.min() > FAINT * size.max() and inside.all())


def _told(takes: Takes, band: Band, best: Poles, noise: float | None, early: Early | None) -> Family | None:
    """The family in numbers, with those of its modes that can be trusted."""
    size = np.sqrt(np.mean(np.abs(2 * best.amplitudes) ** 2, axis=1))
    modes = [_mode(best, i, float(size[i])) for i in np.argsort(best.s.imag) if _trusted(band, best, int(i))]
    total = float(np.vdot(band.spectra, band.spectra).real)
    explained = 1 - best.squares / max(total, 1e-300)
    snr_db = 10 * np.log10(max(total - best.squares, 1e-300) / max(best.squares, 1e-300))
    if not modes or explained < EXPLAINED or snr_db < SNR_DB:
        return None
    ratio = None if not noise else best.noise / (noise * band.length)
    return Family(
        tuple(modes),
        early,
        explained,
        band.length / band.rate_hz,
        float(snr_db),
        ratio,
        band.spectra.shape[1],
    )


def _mode(best: Poles, i: int, amplitude: float) -> Mode:
    s, spread = best.s[i], float(best.spread[i])
    return Mode(float(s.imag) / (2 * pi), spread / (2 * pi), -float(s.real), spread, amplitude)


def _trusted(band: Band, best: Poles, i: int) -> bool:
    decay = -float(best.s[i].real)
    inside = band.omega[0] < best.s[i].imag < band.omega[-1]
    return bool(DECAY_PER_S[0] < decay < DECAY_PER_S[1] and best.spread[i] < DOUBT_SHARE * decay and inside)


def without_ghosts(families: list[Family]) -> tuple[Family, ...]:
    """Leave out families that are close to a much stronger one: a room repeats a loud mode beside itself.

    Args:
        families: families in any order.

    Returns:
        The others, in order of frequency.
    """
    hz = np.array([f.hz for f in families])
    size = np.array([f.amplitude for f in families])
    close = np.abs(hz[:, None] - hz[None, :]) < GHOST_SHARE * hz[None, :]
    ghost = (close & (size[:, None] < GHOST_SIZE * size[None, :])).any(axis=1)
    return tuple(families[i] for i in np.argsort(hz) if not ghost[i])


def loudness(families: tuple[Family, ...]) -> Floats:
    """Share of each family in the power of all.

    Args:
        families: the families.

    Returns:
        (families,) shares that add up to one.
    """
    power = np.array([f.amplitude**2 for f in families])
    return np.asarray(power / max(float(power.sum()), 1e-300))
