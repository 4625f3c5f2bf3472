"""Lobes: what part of an out-of-round is off-centre, oval, three-lobed, and what the readings cannot tell.

A least-squares fit of waves, so the readings may stand at any angles. As many lobes are told apart as the number
and placing of the readings allow and no more; what stays unseen is listed, for it is not proof of roundness.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.number import Floats, Num
from wheeltapper.measure.readings import TURN_RAD, Round

MOST_LOBES = 50  # undulations per turn kept: a usual cut-off of roundness traces
WORST_SHARE = 1 / 9  # what the worst-told wave may be worth against evenly spaced readings: 3 times the doubt
UNSEEN = 1e-6  # of a wave's size


@dataclass(frozen=True)
class Lobe:
    """A wave round the circle: how many lobes, its amplitude, its first high place, and the doubt of both."""

    order: int
    amplitude_m: float
    angle_rad: float  # 0 up to a turn / order; the others follow every turn / order
    doubt_m: float  # by the gauge and the placing of the readings, k = 2
    angle_doubt_rad: float  # half a lobe where the amplitude is inside its doubt: the place is not known
    shortfall_m: float  # what a high or low place between two readings may hide, at most

    @property
    def phase_rad(self) -> float:
        """The wave is amplitude x cos(order x angle - phase)."""
        return self.order * self.angle_rad


@dataclass(frozen=True)
class Harmonics:
    """The mean and the waves about it."""

    mean_m: float
    lobes: tuple[Lobe, ...]

    @property
    def highest(self) -> int:
        """Most lobes that these readings can tell apart."""
        return self.lobes[-1].order if self.lobes else 0

    def amplitude_m(self, order: int) -> float:
        """Amplitude of a wave, zero where the readings cannot tell it."""
        return next((lobe.amplitude_m for lobe in self.lobes if lobe.order == order), 0.0)


@dataclass(frozen=True)
class Blind:
    """Numbers of lobes that readings at these places do not see at all, or see only when turned the right way."""

    never: tuple[int, ...]
    by_chance: tuple[int, ...]


def harmonics(readings: Round, doubt_m: float = 0.0, least: int = 0) -> Harmonics:
    """Mean and waves of readings round a circle, by least squares.

    Args:
        readings: readings in order of angle.
        doubt_m: the gauge's expanded uncertainty of one reading, k = 2 [m].
        least: number of lobes to fit even where they are told badly, if they are told at all.

    Returns:
        The mean, and waves up to the most that the readings tell apart.

    References:
        Least squares on cosines and sines; for evenly spaced readings the discrete Fourier transform.
    """
    angle, reading = readings.angle_rad, readings.reading_m
    most = _most(angle, least)
    terms = _waves(angle, most)
    unknowns: Floats = np.asarray(np.linalg.lstsq(terms, reading, rcond=None)[0], float)
    spread: Floats = np.asarray(np.linalg.inv(terms.T @ terms) * doubt_m**2, float)
    gap = readings.gap_rad
    lobes = tuple(
        _lobe(n, unknowns[2 * n - 1 : 2 * n + 1], spread[2 * n - 1 : 2 * n + 1, 2 * n - 1 : 2 * n + 1], gap)
        for n in range(1, most + 1)
    )
    return Harmonics(float(unknowns[0]), lobes)


def blind_lobes(angle_rad: Floats, most: int = 12, two_point: bool = False) -> Blind:
    """Which numbers of lobes, from two up, these places cannot see.

    A wave is unseen where it looks like another size or another centre of a true circle at every reading.

    Args:
        angle_rad: where the readings stand [rad].
        most: largest number of lobes to look at.
        two_point: diameters: an odd number of lobes leaves them all alike, and the centre does not matter.

    Returns:
        Lobes never seen, and lobes seen only by chance.
    """
    angle = np.asarray(angle_rad, float)
    base = _waves(angle, 0 if two_point else 1)
    left, size, _ = np.linalg.svd(base, full_matrices=False)
    plane = left[:, size > 1e-9 * size[0]]
    never, by_chance = [], []
    for n in range(2, most + 1):
        wave = _waves(angle, n)[:, -2:] * (1 - (n % 2 if two_point else 0))
        worst, best = np.sort(
            np.append(np.linalg.svd(wave - plane @ (plane.T @ wave), compute_uv=False), 0.0)
        )[-2:]
        if best <= UNSEEN * np.sqrt(angle.size):
            never.append(n)
        elif worst <= UNSEEN * np.sqrt(angle.size):
            by_chance.append(n)
    return Blind(tuple(never), tuple(by_chance))


def shortfall_share(lobes: Num, gap_rad: Num) -> Num:
    """Share of a wave's amplitude that its crest may stand above the nearest reading, at most.

    Args:
        lobes: number of lobes.
        gap_rad: widest angle between two readings; 2 pi / N for N evenly spaced [rad].

    Returns:
        1 - cos(lobes x gap / 2), and 2 from where a whole valley fits between two readings.
    """
    turned = lobes * gap_rad / 2
    return 1 - np.cos(np.minimum(turned, np.pi))  # type: ignore[no-any-return]


def diameter_extremes(waves: Harmonics) -> tuple[tuple[float, float], tuple[float, float]]:
    """Largest and smallest diameter over all directions of a trace of radii, from its even waves.

    Args:
        waves: the waves of the radius.

    Returns:
        Direction (0 to pi) and diameter of the largest, then of the smallest [rad, m].
    """
    even = [lobe for lobe in waves.lobes if lobe.order % 2 == 0]
    order = np.array([lobe.order for lobe in even], float)
    size = np.array([2 * lobe.amplitude_m for lobe in even])
    at = np.array([lobe.angle_rad for lobe in even])
    largest = _crest(order, size, at)
    smallest = _crest(order, -size, at)
    return (largest[0], 2 * waves.mean_m + largest[1]), (smallest[0], 2 * waves.mean_m - smallest[1])


def _crest(order: Floats, size: Floats, at: Floats) -> tuple[float, float]:
    """Where a sum of even waves is highest, and how high: by steps over half a turn, then by Newton's method."""
    if not order.size or not np.abs(size).max():
        return 0.0, 0.0
    steps = np.linspace(0, np.pi, 40 * int(order.max()), endpoint=False)
    heights = np.cos(np.multiply.outer(steps, order) - order * at) @ size
    angle = float(steps[heights.argmax()])
    for _ in range(6):
        turned = order * (angle - at)
        bend = float(order**2 * size @ np.cos(turned))
        angle -= float(order * size @ np.sin(turned)) / bend if bend > 0 else 0.0
    found = float(np.cos(order * (angle - at)) @ size)
    return (
        (angle % np.pi, found)
        if found >= heights.max()
        else (float(steps[heights.argmax()]), float(heights.max()))
    )


def _waves(angle: Floats, most: int) -> Floats:
    """Columns: one, then cosine and sine of each number of lobes."""
    turned = np.multiply.outer(angle, np.arange(1, most + 1))
    pairs = np.stack([np.cos(turned), np.sin(turned)], axis=-1).reshape(angle.size, 2 * most)
    return np.column_stack([np.ones(angle.size), pairs])


def _most(angle: Floats, least: int) -> int:
    """The most lobes that the readings tell apart well; fewer where they crowd together."""
    low, high = 0, min((angle.size - 1) // 2, MOST_LOBES)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if _worth(angle, middle) >= WORST_SHARE else (low, middle - 1)
    return least if low < least and _worth(angle, least) > UNSEEN else low


def _worth(angle: Floats, most: int) -> float:
    """What the worst-told mixture of waves is worth, against one evenly read: 1 is as good as can be."""
    if angle.size < 2 * most + 1:
        return 0.0
    terms = _waves(angle, most)
    return float(np.linalg.eigvalsh(terms.T @ terms)[0]) / (angle.size / 2)


def _lobe(order: int, pair: Floats, spread: Floats, gap: float) -> Lobe:
    size = float(np.hypot(*pair))
    along = pair / size if size else np.array([1.0, 0.0])
    across = np.array([-along[1], along[0]])
    doubt = float(np.sqrt(max(0.0, float(along @ spread @ along))))
    sideways = float(np.sqrt(max(0.0, float(across @ spread @ across))))
    turn = TURN_RAD / order
    place = float(np.arctan2(pair[1], pair[0])) / order % turn
    return Lobe(
        order=order,
        amplitude_m=size,
        angle_rad=0.0 if turn - place < 1e-12 else place,
        doubt_m=doubt,
        angle_doubt_rad=turn / 2
        if size <= doubt
        else min(turn / 2, float(np.arctan2(sideways, size)) / order),
        shortfall_m=size * float(shortfall_share(float(order), gap)),
    )
