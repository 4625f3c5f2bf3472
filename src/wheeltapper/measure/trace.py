"""A dial carried round a drum or bore, or a two-point gauge turned in it: run-out, lobes, roundness, where to touch.

Angles are clockwise from stud 1 as seen from outside. Readings here are outward: more is further from the axis;
whoever reads a dial that grows inward turns the sign. No limit lives here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheeltapper.measure.form import least_squares_circle
from wheeltapper.measure.harmonics import (
    Blind,
    Harmonics,
    Lobe,
    blind_lobes,
    diameter_extremes,
    harmonics,
    shortfall_share,
)
from wheeltapper.measure.minimax import minimax
from wheeltapper.measure.number import Floats
from wheeltapper.measure.readings import Place, Round, clock_text, high_places, round_of
from wheeltapper.measure.zone import minimum_zone_circle
from wheeltapper.problems import NoAnswerError


@dataclass(frozen=True)
class Trace:
    """What a dial trace says."""

    readings: Round
    off_m: Floats  # how far each place stands outside (positive) or inside the least-squares circle
    waves: Harmonics  # of the radius; the first is the eccentricity
    total_m: float  # total run-out, TIR
    roundness_m: float  # peak to valley about the least-squares circle, RONt
    zone_m: float  # roundness by the minimum zone
    long_axis: Place | None  # largest diameter, as height over the mean diameter; None: needs five places
    short_axis: Place | None
    far: tuple[Place, ...]  # places furthest from the axis, off-centre taken out
    near: tuple[Place, ...]
    blind: Blind

    @property
    def eccentricity(self) -> Lobe:
        """Centre of the circle off the axis: amount and direction."""
        return self.waves.lobes[0]

    @property
    def ovality_m(self) -> float:
        """Spread of diameters that the two-lobed wave alone makes: four amplitudes."""
        return 4 * self.waves.amplitude_m(2)

    @property
    def diametral_m(self) -> float | None:
        """Out-of-round as largest less smallest diameter; None where the readings cannot tell."""
        if self.long_axis is None or self.short_axis is None:
            return None
        return self.long_axis.height_m - self.short_axis.height_m

    @property
    def twice_radial_m(self) -> float:
        """Twice the radial peak to valley: what odd lobes would be as a diameter, which no two-point gauge shows."""
        return 2 * self.roundness_m


@dataclass(frozen=True)
class Diameters:
    """What diameters in several directions say."""

    mean_m: float
    out_of_round_m: float  # largest reading less smallest
    waves: Harmonics | None  # of the RADIUS, even lobes only; None: needs three directions
    long_axis: Place  # as height over the mean; by the fit where there is one, else the largest reading
    short_axis: Place
    blind: Blind
    repeat_m: float

    @property
    def ovality_m(self) -> float | None:
        """Spread of diameters that the two-lobed wave alone makes, in whatever direction it lies."""
        return None if self.waves is None else 4 * self.waves.amplitude_m(2)

    @property
    def fitted_m(self) -> float:
        """Largest less smallest diameter of the fitted form, over all directions."""
        return self.long_axis.height_m - self.short_axis.height_m


def trace(
    angle_rad: Sequence[float] | Floats | None,
    reading_m: Sequence[float] | Floats,
    doubt_m: float = 0.0,
    radius_m: float | None = None,
) -> Trace:
    """Run-out, lobes and roundness from dial readings round an axis.

    Args:
        angle_rad: where each was read, any order; None: evenly, the first at stud 1 [rad].
        reading_m: readings, more is further out [m].
        doubt_m: the dial's expanded uncertainty, k = 2 [m].
        radius_m: radius at reading zero; None: the readings are small against it, which leaves out
            eccentricity^2 / (4 radius) of false ovality [m].

    Returns:
        The trace's parts.

    Raises:
        NoAnswerError: readings at fewer than four places, lengths that differ, numbers not finite, a
            radius that the readings use up.

    References:
        ISO 12181-1:2011 (RONt about the least-squares circle, minimum zone).
    """
    readings = round_of(angle_rad, reading_m)
    if readings.angle_rad.size < 4:
        raise NoAnswerError(
            "three places always lie on a circle", "read at least five, better eight or twelve, evenly round."
        )
    waves, off, zone = (_flat if radius_m is None else _bent)(readings, doubt_m, radius_m or 0.0)
    long, short = _axes(waves) if waves.highest >= 2 else (None, None)
    return Trace(
        readings=readings,
        off_m=off,
        waves=waves,
        total_m=float(np.ptp(readings.reading_m)),
        roundness_m=float(np.ptp(off)),
        zone_m=zone,
        long_axis=long,
        short_axis=short,
        far=high_places(readings.angle_rad, off),
        near=tuple(replace(p, height_m=-p.height_m) for p in high_places(readings.angle_rad, -off)),
        blind=blind_lobes(readings.angle_rad),
    )


def two_point(
    direction_rad: Sequence[float] | Floats | None, diameter_m: Sequence[float] | Floats, doubt_m: float = 0.0
) -> Diameters:
    """Out-of-round, ovality and long axis from diameters.

    Args:
        direction_rad: direction of each, half a turn is the same one again; None: evenly over half a turn [rad].
        diameter_m: the diameters [m].
        doubt_m: the gauge's expanded uncertainty, k = 2 [m].

    Returns:
        The spread, the even lobes, and what stays unseen.

    Raises:
        NoAnswerError: fewer than two directions, lengths that differ, numbers not finite.
    """
    doubled = None if direction_rad is None else 2 * np.asarray(direction_rad, float)
    readings = round_of(
        doubled, diameter_m
    )  # a diameter comes back after half a turn: twice its angle after one
    if readings.angle_rad.size < 2:
        raise NoAnswerError(
            "one direction shows no out-of-round", "measure at least three, better four or six directions."
        )
    waves = _of_radius(harmonics(readings, doubt_m, least=1))
    if waves.lobes:
        long, short = _axes(waves)
    else:
        long, short = (
            _reading_axis(readings, int(i), waves)
            for i in (readings.reading_m.argmax(), readings.reading_m.argmin())
        )
    return Diameters(
        mean_m=2 * waves.mean_m,
        out_of_round_m=float(np.ptp(readings.reading_m)),
        waves=waves if waves.lobes else None,
        long_axis=long,
        short_axis=short,
        blind=blind_lobes(readings.angle_rad / 2, two_point=True),
        repeat_m=readings.repeat_m,
    )


def _flat(readings: Round, doubt_m: float, _: float) -> tuple[Harmonics, Floats, float]:
    """Waves, form and minimum zone of deviations small against the radius."""
    angle = readings.angle_rad
    waves = _centred(harmonics(readings, doubt_m, least=1))
    terms = np.column_stack([np.ones(angle.size), np.cos(angle), np.sin(angle)])
    off = readings.reading_m - terms @ np.linalg.lstsq(terms, readings.reading_m, rcond=None)[0]
    return waves, off, 2 * minimax(terms, readings.reading_m).miss


def _bent(readings: Round, doubt_m: float, radius_m: float) -> tuple[Harmonics, Floats, float]:
    """The same as points in the plane: nothing left out, however far off-centre."""
    far = radius_m + readings.reading_m
    if far.min() <= 0:
        raise NoAnswerError(
            "the readings reach past the middle",
            "give the radius at reading zero, larger than every reading.",
        )
    x, y = far * np.cos(readings.angle_rad), far * np.sin(readings.angle_rad)
    circle = least_squares_circle(x, y)
    about = round_of(circle.angle_rad, circle.off_m)
    waves = _centred(harmonics(about, doubt_m, least=1))
    moved = float(np.hypot(circle.x_m, circle.y_m))
    first = waves.lobes[0]
    centre = replace(
        first,
        amplitude_m=moved,
        angle_rad=float(np.arctan2(circle.y_m, circle.x_m)) % (2 * np.pi),
        angle_doubt_rad=np.pi if moved <= first.doubt_m else float(np.arctan2(first.doubt_m, moved)),
        shortfall_m=moved * float(shortfall_share(1.0, about.gap_rad)),
    )
    whole = Harmonics(circle.radius_m - radius_m, (centre, *waves.lobes[1:]))
    return whole, circle.off_m, minimum_zone_circle(circle, x, y).width_m


def _centred(waves: Harmonics) -> Harmonics:
    if not waves.lobes:
        raise NoAnswerError(
            "the readings stand too close together to tell the centre", "read places all the way round."
        )
    return waves


def _of_radius(doubled: Harmonics) -> Harmonics:
    """Waves of the radius from waves of the diameter over twice the angle."""
    lobes = (
        replace(
            lobe,
            order=2 * lobe.order,
            amplitude_m=lobe.amplitude_m / 2,
            angle_rad=lobe.angle_rad / 2,
            doubt_m=lobe.doubt_m / 2,
            angle_doubt_rad=lobe.angle_doubt_rad / 2,
            shortfall_m=lobe.shortfall_m / 2,
        )
        for lobe in doubled.lobes
    )
    return Harmonics(doubled.mean_m / 2, tuple(lobes))


def _axes(waves: Harmonics) -> tuple[Place, Place]:
    long, short = diameter_extremes(waves)
    return _axis(long[0], long[1] - 2 * waves.mean_m), _axis(short[0], short[1] - 2 * waves.mean_m)


def _axis(angle_rad: float, height_m: float) -> Place:
    return Place(angle_rad, f"{clock_text(angle_rad)} to {clock_text(angle_rad + np.pi)}", height_m)


def _reading_axis(readings: Round, i: int, waves: Harmonics) -> Place:
    return _axis(float(readings.angle_rad[i]) / 2, float(readings.reading_m[i]) - 2 * waves.mean_m)
