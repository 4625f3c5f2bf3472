"""The focal length in pixels from what a camera wrote, and when it is not believed."""

from __future__ import annotations

from dataclasses import replace
from math import hypot, nan

import pytest

from wheeltapper.photo.lens import Lens, focal_px

pytestmark = pytest.mark.reasoned
BARE = Lens(0, 0, 0, 0, 0, 0, 0)
PHONE = replace(BARE, focal_mm=5.7, film_mm=26.0, wide=4000, high=3000)


def test_by_the_film_equivalent() -> None:
    """43.27 mm of diagonal on film are the picture's diagonal; a picture reduced evenly or held upright scales."""
    assert focal_px(PHONE, 4000, 3000) == pytest.approx(26 / hypot(36, 24) * 5000)
    assert focal_px(PHONE, 1500, 2000) == pytest.approx(26 / hypot(36, 24) * 2500)
    assert focal_px(replace(BARE, film_mm=50), 6000, 4000) == pytest.approx(50 / 36 * 6000)


def test_by_the_sensor() -> None:
    """A sensor 24 mm wide with 6000 pixels: 250 to the millimetre, 6350 to the inch; a lens of 30 mm is 7500 pixels."""
    camera = replace(BARE, focal_mm=30, wide=6000, high=4000)
    for density, unit in ((250, 4), (2500, 3), (6350, 2)):
        assert focal_px(replace(camera, density=density, density_unit=unit), 6000, 4000) == pytest.approx(
            7500
        )
    half = replace(camera, density=250, density_unit=4)
    assert focal_px(half, 3000, 2000) == pytest.approx(3750)


@pytest.mark.parametrize(
    ("lens", "columns", "rows"),
    [
        (BARE, 4000, 3000),
        (PHONE, 4000, 2250),  # sixteen to nine: cut from a sensor
        (PHONE, 3000, 3000),
        (PHONE, 3000, 2000),  # the sides of another sensor than the camera wrote down
        (replace(PHONE, zoom=2.0), 4000, 3000),
        (replace(PHONE, film_mm=4.0), 4000, 3000),
        (replace(PHONE, film_mm=6000.0), 4000, 3000),
        (replace(PHONE, film_mm=-26.0), 4000, 3000),
        (replace(PHONE, film_mm=nan, focal_mm=nan), 4000, 3000),
        (replace(PHONE, density=250, density_unit=4), 4000, 3000),  # a 16 mm sensor: the two ways disagree
        (replace(BARE, focal_mm=30, wide=6000, high=4000, density=5, density_unit=4), 6000, 4000),
        (replace(BARE, focal_mm=30, wide=6000, high=4000, density=250, density_unit=1), 6000, 4000),
    ],
)
def test_when_it_is_not_believed(lens: Lens, columns: int, rows: int) -> None:
    """Not said, cut, zoomed, silly, or two ways that contradict each other: none."""
    assert focal_px(lens, columns, rows) is None
