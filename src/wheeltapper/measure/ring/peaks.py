"""Where modes are likely: peaks of the mean spectrum after the taps, and which of them belong together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.sound import Complexes, smooth_at_least
from wheeltapper.measure.ring.takes import Takes

LOOK_S = 0.35
OVER_DB = 12.0  # over floor and noise (simulated)
PROMINENT_DB = 6.0
LOWEST_HZ = 250.0
FLOOR_HZ = 150.0  # the floor is what 30 % of the spectrum in so wide a band stays under
FLOOR_SHARE = 0.30
TOGETHER_HZ = 14.0
TOGETHER_SHARE = 0.017
MOST_GROUPS = 24
STEP_HZ = 1.5  # of the spectrum


@dataclass(frozen=True)
class Spectrum:
    """Mean power after the taps, and in the quiet before them."""

    hz: Floats
    power: Floats
    noise: Floats  # all zero where there was no quiet


@dataclass(frozen=True)
class Group:
    """Peaks so close that they are measured together."""

    hz: tuple[float, ...]
    power: float
    edges_hz: tuple[float, float]

    @property
    def middle_hz(self) -> float:
        """Middle of the peaks."""
        return (self.hz[0] + self.hz[-1]) / 2


def spectrum_of(takes: Takes, top_hz: float) -> Spectrum:
    """Mean spectrum of the first LOOK_S after each tap, loud at the start as the ring is.

    Args:
        takes: the stretches.
        top_hz: the highest frequency asked for [Hz].

    Returns:
        Power by frequency.
    """
    length = int(LOOK_S * takes.rate_hz)
    window = np.cos(np.linspace(0, np.pi / 2, length)) ** 2
    size = smooth_at_least(int(max(length, takes.rate_hz / STEP_HZ)))
    hz = np.arange(int(top_hz * size / takes.rate_hz) + 1) * takes.rate_hz / size
    rows = [
        takes.slow[s : s + min(n, length)] for s, n in zip(takes.starts, takes.lengths, strict=True) if n > 0
    ]
    power = _power(rows, window, size)[: len(hz)]
    quiet = [takes.quiet[i : i + length] for i in range(0, len(takes.quiet) - length + 1, length)]
    noise = _power(quiet, window, size)[: len(hz)] if quiet else np.zeros(len(hz))
    return Spectrum(hz, power, noise)


def _power(rows: list[Floats], window: Floats, size: int) -> Floats:
    table = np.zeros((len(rows), len(window)))
    for i, row in enumerate(rows):
        table[i, : len(row)] = row
    return np.asarray((np.abs(np.fft.rfft(table * window, size)) ** 2).mean(axis=0) / np.sum(window**2))


def groups_of(seen: Spectrum) -> tuple[Group, ...]:
    """Peaks that stand out, in groups, each with the band to measure it in.

    Args:
        seen: the mean spectrum.

    Returns:
        The strongest groups in order of frequency.
    """
    level = 10 * np.log10(np.maximum(seen.power, 1e-300))
    floor = np.maximum(_floor(level, seen.hz), 10 * np.log10(np.maximum(_smooth(seen.noise), 1e-300)))
    places = _prominent(level, floor, int(np.searchsorted(seen.hz, LOWEST_HZ)))
    found: list[list[int]] = []
    for i in places:
        near = max(TOGETHER_HZ, TOGETHER_SHARE * seen.hz[i])
        if found and seen.hz[i] - seen.hz[found[-1][-1]] < near:
            found[-1].append(i)
        else:
            found.append([i])
    strong = sorted(found, key=lambda g: -max(seen.power[g]))[:MOST_GROUPS]
    return _edged(seen, sorted(strong))


def _edged(seen: Spectrum, found: list[list[int]]) -> tuple[Group, ...]:
    """Bands reach to half way to the next group, and no farther than is worth while."""
    out = []
    for k, group in enumerate(found):
        low, high = float(seen.hz[group[0]]), float(seen.hz[group[-1]])
        before = float(seen.hz[found[k - 1][-1]]) if k else 0.0
        after = float(seen.hz[found[k + 1][0]]) if k + 1 < len(found) else np.inf
        reach = _reach_hz(high)
        edges = max(low - reach, (low + before) / 2), min(high + reach, (high + after) / 2)
        out.append(Group(tuple(float(seen.hz[i]) for i in group), float(max(seen.power[group])), edges))
    return tuple(out)


def _reach_hz(hz: float) -> float:
    """How far a band reaches beyond its outermost peak: some widths of a well damped mode of zeta 0.5 %."""
    return float(np.clip(0.03 * hz + 10, 25.0, 90.0))


def rough_poles(groups: tuple[Group, ...]) -> Complexes:
    """A rough pole for each peak, damped as sound iron is.

    Args:
        groups: the groups.

    Returns:
        (peaks,) poles [1/s].
    """
    hz = np.array([f for g in groups for f in g.hz])
    return np.asarray(2 * np.pi * hz * (-1.5e-3 + 1j))


def _floor(level: Floats, hz: Floats) -> Floats:
    """A low percentile in a wide band, every few lines, joined by straight pieces."""
    wide = min(len(level), max(3, int(FLOOR_HZ / (hz[1] - hz[0]))))
    step = max(1, wide // 6)
    views = sliding_window_view(np.pad(level, wide // 2, mode="reflect"), wide)[::step]
    rank = int(FLOOR_SHARE * wide)
    low = np.partition(views, rank, axis=1)[:, rank]
    return np.interp(np.arange(len(level)), np.arange(len(low)) * step, low)


def _smooth(noise: Floats) -> Floats:
    """Running mean over a few lines: a single look at noise is rough."""
    return np.convolve(noise, np.full(9, 1 / 9), mode="same")


def _prominent(level: Floats, floor: Floats, first: int) -> list[int]:
    """Local tops over the floor that a valley parts from every higher one."""
    tops = np.flatnonzero((level[1:-1] > level[:-2]) & (level[1:-1] >= level[2:])) + 1
    tops = tops[(tops >= first) & (level[tops] > floor[tops] + OVER_DB)]
    return [int(i) for i in tops if level[i] - _saddle(level, int(i)) >= PROMINENT_DB]


def _saddle(level: Floats, at: int) -> float:
    """The higher of the two valleys between a top and the next higher ground."""
    left, right = np.flatnonzero(level[:at] > level[at]), np.flatnonzero(level[at + 1 :] > level[at])
    low = level[(left[-1] if len(left) else 0) : at].min()
    high = level[at + 1 : (at + 2 + right[0] if len(right) else None)].min()
    return float(max(low, high))
