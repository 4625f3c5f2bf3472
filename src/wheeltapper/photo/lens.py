"""From what a camera wrote down to its focal length in pixels; none where it is not said or may not be believed.

It is a start for the fit of the card, never a scale: no length is measured from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from wheeltapper.units import INCH_M

FILM_M = (36e-3, 24e-3)  # equivalent focal lengths are told by its diagonal
DENSITY_M = {
    0: INCH_M,
    2: INCH_M,
    3: 1e-2,
    4: 1e-3,
}  # the length that a density is told for, by its number in EXIF
WHOLE_SENSOR = (4 / 3, 3 / 2)  # sides of sensors; any other picture was cut from one
SAME_SIDES = 0.012
SENSOR_M = (3e-3, 60e-3)  # width
FILM_FOCAL_M = (10e-3, 300e-3)  # from the widest phone to a long lens
AGREE = 0.10  # two ways to the focal length that differ by more tell nothing
ZOOMED = 1.02


@dataclass(frozen=True)
class Lens:
    """What a camera wrote into a photo; zero where it did not."""

    focal_mm: float
    film_mm: float  # focal length that would see as much on film
    zoom: float  # by cutting
    wide: float  # the picture's sides when it was written
    high: float
    density: float  # of the sensor, pixels to a length
    density_unit: float


def focal_px(lens: Lens, columns: int, rows: int) -> float | None:
    """The focal length of a picture in its own pixels.

    A picture counts as whole when its sides are those of a sensor (4 to 3 or 3 to 2) and those that the camera wrote
    down, and when nobody zoomed by cutting. By the film equivalent f35 it is f35 / 43.27 mm times the diagonal in pixels;
    by the lens it is its focal length times the sensor's pixels to the length. Some phones tell f35 by the width instead:
    that is 4 % more at 4 to 3.

    Args:
        lens: what the camera wrote.
        columns: the picture's width, evenly reduced or not.
        rows: its height.

    Returns:
        Focal length [px]; None where it is not said, cannot be, or the picture was cut.
    """
    long, short = max(columns, rows), min(columns, rows)
    if not _whole(lens, long / short):
        return None
    ways = (_by_film(lens, hypot(long, short)), _by_sensor(lens, long))
    found = [f for f in ways if f is not None and _plausible(f, hypot(long, short))]
    if not found or max(found) > (1 + AGREE) * min(found):
        return None
    return found[0]


def _whole(lens: Lens, sides: float) -> bool:
    """Whether nothing was cut off."""
    if lens.zoom > ZOOMED or not any(abs(sides / whole - 1) < SAME_SIDES for whole in WHOLE_SENSOR):
        return False
    if min(lens.wide, lens.high) <= 0:
        return True
    written = max(lens.wide, lens.high) / min(lens.wide, lens.high)
    return abs(written / sides - 1) < SAME_SIDES


def _plausible(focal: float, diagonal: float) -> bool:
    return FILM_FOCAL_M[0] <= focal / diagonal * hypot(*FILM_M) <= FILM_FOCAL_M[1]


def _by_film(lens: Lens, diagonal: float) -> float | None:
    return lens.film_mm * 1e-3 / hypot(*FILM_M) * diagonal if lens.film_mm > 0 else None


def _by_sensor(lens: Lens, long: int) -> float | None:
    """By the sensor's density, which is that of the picture as the camera wrote it."""
    told_for_m, written = DENSITY_M.get(int(lens.density_unit)), max(lens.wide, lens.high)
    if told_for_m is None or min(lens.density, lens.focal_mm, written) <= 0:
        return None
    sensor_m = written / lens.density * told_for_m
    return lens.focal_mm * 1e-3 / sensor_m * long if SENSOR_M[0] <= sensor_m <= SENSOR_M[1] else None
