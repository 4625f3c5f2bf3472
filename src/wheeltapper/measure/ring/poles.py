"""Decaying oscillations fitted to a narrow band of several taps at once: one set of poles, each tap its own amplitudes.

A stretch of N samples of a decaying oscillation has, at the N frequencies of its own transform, exactly the
spectrum c / (1 - exp((s - i w) / rate)). So the fit is made there: no window, no filter, no sample thrown away,
white noise stays white, and neighbouring modes are columns of the same shape with their poles held.

The least-squares problem is separable: amplitudes are eliminated (variable projection), and as the model is a
holomorphic function of each pole s = -decay + 2 pi i frequency, each Gauss-Newton step is one small complex system.

References:
    G. H. Golub and V. Pereyra, SIAM J. Numer. Anal. 10 (1973) 413-432 (variable projection); L. Kaufman, BIT 15 (1975)
    49-57 (the shorter derivative); R. Roy and T. Kailath, IEEE Trans. ASSP 37 (1989) 984-995 (ESPRIT, the start). All
    from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.sound import Complexes

MOST_STEPS = 8
SETTLED = 0.04  # a step of so many standard deviations changes nothing
GIVE_UP_AFTER = 2  # steps, by which nearly all of the fall has happened
OUT_OF_REACH = 1.5
MOST_ROWS = 24  # of the matrix whose directions give the start
SETTLING = 3  # samples at either end that the start's Hann gain smears


@dataclass(frozen=True)
class Band:
    """Spectra of equally long stretches in a narrow band."""

    omega: Floats  # (bins,) angular frequencies [rad/s]
    spectra: Complexes  # (bins, taps)
    rate_hz: float
    length: int  # samples of each stretch
    aside: Complexes  # (bins, columns) orthonormal, taken out: neighbours and what is smooth
    late_s: float = 0.0  # so long after the tap's own start do the stretches begin


@dataclass(frozen=True)
class Poles:
    """Poles that fit best, and how well."""

    s: Complexes  # (poles,) -decay + i angular frequency [1/s]
    amplitudes: Complexes  # (poles, taps) at the start
    spread: Floats  # (poles,) standard deviation of decay, and of angular frequency [1/s]
    squares: float  # what is left
    freedom: float  # complex numbers left over: bins less columns, times taps

    @property
    def noise(self) -> float:
        """Power of what is left, in each bin of each tap."""
        return self.squares / max(self.freedom, 1.0)


def band_of(
    spectra: Complexes,
    length: int,
    rate_hz: float,
    edges_hz: tuple[float, float],
    near: Complexes,
    late_s: float = 0.0,
) -> Band:
    """Cut a band out of the spectra of some stretches.

    Args:
        spectra: (taps, bins) transforms of real stretches, from zero frequency up.
        length: samples of each stretch.
        rate_hz: samples a second [Hz].
        edges_hz: lowest and highest frequency [Hz].
        near: (neighbours,) rough poles outside the band, whose skirts reach into it.
        late_s: how long after the start, at which amplitudes are told, the stretches begin [s].

    Returns:
        The band, with neighbours' skirts and a straight line taken out.
    """
    first = max(1, int(np.ceil(edges_hz[0] * length / rate_hz)))
    last = max(first + 1, int(edges_hz[1] * length / rate_hz) + 1)
    some = spectra[:, first:last].T
    omega = 2 * np.pi * rate_hz / length * np.arange(first, first + some.shape[0])
    aside = _aside(omega, near, rate_hz)
    return Band(omega, some - aside @ (aside.conj().T @ some), rate_hz, length, aside, late_s)


def _aside(omega: Floats, near: Complexes, rate_hz: float) -> Complexes:
    """Orthonormal columns of what is not wanted, never more than a quarter of the bins."""
    bins = len(omega)
    line = np.linspace(-1.0, 1.0, bins) if bins > 1 else np.zeros(1)
    columns = [np.ones(bins, complex), line.astype(complex)]
    if len(near):
        order = np.argsort(np.abs(near.imag - omega.mean()))
        columns += list(_shape(omega, near[order], rate_hz).T)
    some = np.column_stack(columns[: max(0, bins // 8)] or [np.zeros((bins, 0))])
    return np.asarray(np.linalg.qr(some / np.maximum(np.abs(some).max(axis=0), 1e-300))[0])


def _shape(omega: Floats, s: Complexes, rate_hz: float) -> Complexes:
    """(bins, poles) 1 / (1 - exp((s - i w) / rate))."""
    return np.asarray(-1.0 / np.expm1((s[None, :] - 1j * omega[:, None]) / rate_hz))


def start(band: Band) -> tuple[Floats, Complexes]:
    """Directions in which the band's time signals of all taps lie.

    Args:
        band: the band.

    Returns:
        Strengths, greatest first, and (rows, rows) directions as columns; none for a band too narrow.
    """
    bins = len(band.omega)
    gain = _taper(bins)[:, None]
    signal = np.fft.ifft(band.spectra * gain, axis=0)[SETTLING : bins - SETTLING].T
    rows = min(MOST_ROWS, signal.shape[1] // 2)
    if rows < 2:
        return np.zeros(0), np.zeros((0, 0), complex)
    hankel = sliding_window_view(signal, rows, axis=1).reshape(-1, rows)
    strength, ways = np.linalg.eigh(hankel.T @ hankel.conj())
    return strength[::-1], ways[:, ::-1]


@lru_cache(256)
def _taper(bins: int) -> Floats:
    return np.asarray(np.sin(np.pi * (np.arange(bins) + 0.5) / bins) ** 2)


def started(band: Band, ways: Complexes, count: int) -> Complexes:
    """Rough poles by the turn between two overlapping parts of the directions (ESPRIT).

    Args:
        band: the band.
        ways: directions, as `start` gives them.
        count: number of poles, fewer than rows.

    Returns:
        (count,) poles.
    """
    some = ways[:, :count]
    turn = _solved(some[:-1].conj().T @ some[:-1], some[:-1].conj().T @ some[1:])
    step_s = band.length / band.rate_hz / len(band.omega)
    z = np.linalg.eigvals(turn)
    s = np.log(np.where(z == 0, 1e-12, z)) / step_s
    width = 2 * np.pi / step_s
    return _inside(band, s.real + 1j * (band.omega[0] + np.mod(s.imag, width)))


def _solved(matrix: Complexes, right: Complexes) -> Complexes:
    """Solve a small system, by least squares where it is singular."""
    try:
        return np.asarray(np.linalg.solve(matrix, right))
    except np.linalg.LinAlgError:
        return np.asarray(np.linalg.lstsq(matrix, right, rcond=None)[0])


def _inside(band: Band, s: Complexes) -> Complexes:
    """Poles moved to where they can be: decaying, in the band."""
    low, high = float(band.omega[0]), float(band.omega[-1])
    decay = np.minimum(np.maximum(-s.real, 0.05), max(high - low, 1.0))
    return np.asarray(-decay + 1j * np.minimum(np.maximum(s.imag, low), high))


def fitted(band: Band, s: Complexes, hoped: float = np.inf) -> Poles:
    """Least squares over all taps from a rough start, with standard deviations.

    The standard deviations hold for white noise of the power that is left over; a room's echo is no such noise.

    Args:
        band: the band.
        s: (poles,) rough poles.
        hoped: sum of squares under which the result is of use; the descent is given up where that is out of reach.

    Returns:
        The best poles near the start.
    """
    at = _state(band, s)
    damp = 0.0
    for taken in range(MOST_STEPS):
        if taken == GIVE_UP_AFTER and at.squares > OUT_OF_REACH * hoped:
            break
        step = _step(at, damp)
        small = _small(at, step)
        tried = _state(band, _inside(band, at.s + step))
        if tried.squares < at.squares:
            at, damp = tried, damp / 10 if damp > 1e-3 else 0.0
        elif small or damp > 1e3:
            break
        else:
            damp = max(10 * damp, 1e-1)
            continue
        if small:
            break
    return _told(band, at)


@dataclass(frozen=True)
class _State:
    """Where the descent stands."""

    s: Complexes
    squares: float
    normal: Complexes  # (poles, poles)
    pull: Complexes  # (poles,)
    amplitudes: Complexes  # (poles, taps) of the bare shapes
    freedom: float


def _state(band: Band, s: Complexes) -> _State:
    """What is left at some poles, and the system for the next step."""
    shape = _shape(band.omega, s, band.rate_hz)
    slope = shape * (shape - 1) / band.rate_hz
    both = np.concatenate([shape, slope], axis=1)
    both = both - band.aside @ (band.aside.conj().T @ both)
    count = len(s)
    mine, slope = both[:, :count], both[:, count:]
    back = mine.conj().T @ np.concatenate([band.spectra, both], axis=1)
    taps = band.spectra.shape[1]
    part = _solved(
        back[:, taps : taps + count], back[:, [*range(taps), *range(taps + count, taps + 2 * count)]]
    )
    amplitudes = part[:, :taps]
    left = band.spectra - mine @ amplitudes
    slope = slope - mine @ part[:, taps:]
    normal = (slope.conj().T @ slope) * (amplitudes.conj() @ amplitudes.T)
    pull = ((slope.conj().T @ left) * amplitudes.conj()).sum(axis=1)
    squares = float(np.vdot(left, left).real)
    freedom = taps * (len(band.omega) - band.aside.shape[1] - count) - count
    return _State(s, squares, normal, pull, amplitudes, float(freedom))


def _step(at: _State, damp: float) -> Complexes:
    normal = at.normal
    if damp:
        normal = normal + np.diag(damp * np.diag(normal).real + 1e-300)
    return _solved(normal, at.pull)


def _small(at: _State, step: Complexes) -> bool:
    """Is the step small against the standard deviations, or against anything?"""
    noise = at.squares / max(at.freedom, 1.0)
    size = float((step.conj() @ at.normal @ step).real)
    return size <= SETTLED**2 * noise or bool(np.all(np.abs(step) < 1e-9 * np.abs(at.s)))


def _told(band: Band, at: _State) -> Poles:
    """Amplitudes of the time signals, and the spread of the poles."""
    noise = at.squares / max(at.freedom, 1.0)
    inverse = _solved(at.normal, np.eye(len(at.s), dtype=complex))
    spread = np.sqrt(np.abs(noise * np.diag(inverse).real / 2))
    whole = -np.expm1(at.s * (band.length / band.rate_hz)) * np.exp(at.s * band.late_s)
    return Poles(at.s, at.amplitudes / whole[:, None], spread, at.squares, at.freedom)
