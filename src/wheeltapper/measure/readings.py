"""Lists of readings as they come from a dial and a chalk mark: checked, sorted, and named by the clock.

Every measurement of form starts here, so that a missing or impossible reading stops it with a sentence and
not with a wrong roundness. It judges no reading: a reading that stands off is still a reading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import erf, pi, sqrt

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError

TURN_RAD = 2 * pi
SAME_PLACE_RAD = 1e-6  # two readings nearer than this stand at one place; 0 and 360 degrees too
ONE_SIDED = 0.5 * (1 + erf(2 / sqrt(2)))  # what k = 2 means on one side: 97.7 %
LEVEL_M = 1e-9  # differences under this are level to any gauge
STEP_MIN = 5  # a place is named to five minutes of the clock: 2.5 degrees, a finger's width on a drum


@dataclass(frozen=True)
class Place:
    """A place to go and touch: its angle, its clock word, and how far it stands off."""

    angle_rad: float
    clock: str
    height_m: float

    @classmethod
    def at(cls, angle_rad: float, height_m: float) -> Place:
        """A place by its angle."""
        return cls(angle_rad, clock_text(angle_rad), height_m)


@dataclass(frozen=True)
class Round:
    """Readings round a circle in order of angle, one to a place."""

    angle_rad: Floats
    reading_m: Floats
    repeat_m: float  # largest difference between readings at one place; zero where none was repeated

    @property
    def gap_rad(self) -> float:
        """The widest angle without a reading."""
        return gap_rad(self.angle_rad)


def columns(*lists: Sequence[float] | Floats) -> tuple[Floats, ...]:
    """Lists that belong together, as arrays.

    Args:
        lists: numbers of one kind each, in the same order.

    Returns:
        The same, as arrays of one length.

    Raises:
        NoAnswerError: the lengths differ, or a number is not finite.
    """
    arrays = tuple(np.atleast_1d(np.asarray(each, float)) for each in lists)
    if len({a.shape for a in arrays}) != 1:
        lengths = ", ".join(str(a.size) for a in arrays)
        raise NoAnswerError(
            f"the lists are not equally long ({lengths})", "give every point each of its numbers."
        )
    if not all(np.isfinite(a).all() for a in arrays):
        raise NoAnswerError(
            "a reading is not a finite number", "read that place again, or leave the point out."
        )
    return arrays


def round_of(angle_rad: Sequence[float] | Floats | None, reading_m: Sequence[float] | Floats) -> Round:
    """Readings in order of angle, those at one place averaged.

    A trace that ends where it began, at 360 degrees, so counts its first place once; how far the two
    differ is kept, for it shows a dial that moved.

    Args:
        angle_rad: where each was read, any order, any turn [rad]; None: evenly, the first at zero.
        reading_m: the readings [m].

    Returns:
        The readings in order, angles from zero to under one turn.

    Raises:
        NoAnswerError: the lengths differ, or a number is not finite.
    """
    if angle_rad is None:
        angle_rad = evenly_rad(np.size(reading_m))
    given, readings = columns(angle_rad, reading_m)
    angles = np.mod(given, TURN_RAD)
    angles = np.where(angles > TURN_RAD - SAME_PLACE_RAD, 0.0, angles)
    order = np.argsort(angles, kind="stable")
    angles, readings = angles[order], readings[order]
    first = np.flatnonzero(np.diff(angles, prepend=-1.0) > SAME_PLACE_RAD)
    counts = np.diff(np.append(first, angles.size))
    differ = np.maximum.reduceat(readings, first) - np.minimum.reduceat(readings, first)
    return Round(angles[first], np.add.reduceat(readings, first) / counts, float(differ.max(initial=0.0)))


def evenly_rad(count: int) -> Floats:
    """Angles evenly round the circle, the first at zero.

    Args:
        count: how many.

    Returns:
        The angles [rad].
    """
    return np.asarray(np.arange(count) * (TURN_RAD / max(1, count)), float)


def gap_rad(angle_rad: Floats) -> float:
    """The widest angle between neighbours round a circle.

    Args:
        angle_rad: angles, any order [rad].

    Returns:
        Widest gap, a whole turn for one angle [rad].
    """
    ordered = np.sort(np.mod(angle_rad, TURN_RAD))
    return float(np.diff(ordered, append=ordered[0] + TURN_RAD).max())


def clock_text(angle_rad: float) -> str:
    """An angle as a person finds it: '4:30' with stud 1 at 12 o'clock, clockwise as seen from outside.

    Args:
        angle_rad: clockwise from stud 1 [rad].

    Returns:
        Hour and minute to five minutes, which are 2.5 degrees.
    """
    minutes = round(angle_rad / TURN_RAD * 720 / STEP_MIN) * STEP_MIN % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def high_places(angle_rad: Floats, height_m: Floats) -> tuple[Place, ...]:
    """Every place that stands out: higher than its neighbours and in the top quarter of the whole height.

    Args:
        angle_rad: angles in order round the circle [rad].
        height_m: how far each place stands out; turn the sign for the low places [m].

    Returns:
        The places, highest first; none where all are level.
    """
    low, high = float(height_m.min()), float(height_m.max())
    if high - low <= LEVEL_M:
        return ()
    before, after = np.roll(height_m, 1), np.roll(height_m, -1)
    top = (height_m > before) & (height_m >= after) & (height_m >= high - (high - low) / 4)
    order = sorted(np.flatnonzero(top), key=lambda i: (-height_m[i], i))
    return tuple(Place.at(float(angle_rad[i]), float(height_m[i])) for i in order)


def more_m(doubt_m: float) -> float:
    """How much greater than measured a peak-to-valley may be, by the gauge's doubt alone.

    What is measured is at least the difference between the readings of the truly highest and the truly
    lowest place; two readings make that difference, so it is right within sqrt(2) times the doubt of one,
    whatever the number of readings. The same holds for a minimum zone, by the weights of its contacts.

    Args:
        doubt_m: the gauge's expanded uncertainty, k = 2 [m].

    Returns:
        Upper part of the doubt of a peak-to-valley, one-sided at k = 2 [m].

    References:
        Own derivation; independent errors, propagated as JCGM 100:2008 (GUM), 5.1.2, equation (10).
    """
    return sqrt(2) * doubt_m


def less_m(doubt_m: float, count: int) -> float:
    """How much smaller than measured a peak-to-valley may be: what the gauge alone makes of a true part.

    The highest of many readings is high by luck too. A perfect part shows up to this much, so a smaller
    peak-to-valley proves no fault of form.

    Args:
        doubt_m: the gauge's expanded uncertainty, k = 2 [m].
        count: number of readings.

    Returns:
        Lower part of the doubt: the range of so many normal errors, one-sided at k = 2 [m].

    References:
        H. A. David and H. N. Nagaraja, Order Statistics, 3rd ed., 2.3, distribution of the range (from memory).
    """
    return _range_of_normals(count) * doubt_m / 2


@cache
def _range_of_normals(count: int) -> float:
    """The width that the range of so many standard normal numbers keeps to with probability ONE_SIDED."""
    if count < 2:
        return 0.0
    x = np.linspace(-8.5, 8.5, 1701)
    below = np.array([0.5 * (1 + erf(v / sqrt(2))) for v in x])
    density = count * np.exp(-x * x / 2) / sqrt(2 * pi) * (x[1] - x[0])
    low, high = 0.0, 17.0
    for _ in range(50):
        middle = (low + high) / 2
        inside = np.interp(x + middle, x, below, right=1.0) - below
        low, high = (middle, high) if density @ inside ** (count - 1) < ONE_SIDED else (low, middle)
    return high
