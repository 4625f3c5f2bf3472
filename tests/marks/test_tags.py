"""Tags in pictures by a camera that shares no code: corners to a part of a pixel, how wide an edge is, mirrors, strangers."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import cv2
import numpy as np
import pytest

from marks.card_camera import Shot, met, photo, plain
from wheeltapper.measure.marks.card import card_of
from wheeltapper.measure.marks.tags import LIGHT, Grey, find_tags
from wheeltapper.reference.cards import ours

pytestmark = pytest.mark.second_way
WALL, FACE = card_of(ours("wall")), card_of(ours("face"))
TILTED = Shot(tilt_deg=-35, pan_deg=8, roll_deg=20, axis_deg=2, seed=11)


@cache
def picture(shot: Shot, name: str = "wall") -> Grey:
    """A picture, made once."""
    return photo(shot, plain(name))


@pytest.mark.parametrize(
    "shot", [Shot(seed=10), TILTED, replace(TILTED, roll_deg=-165, tilt_deg=50)], ids=repr
)
def test_corners_lie_where_the_rays_meet_them(shot: Shot) -> None:
    """Every corner back along its ray to the wall: within 0.07 mm of the table, a third of a pixel; the middles nearer."""
    tags = find_tags(picture(shot), WALL)
    assert tags.ids.tolist() == list(range(9))
    table = np.array([WALL.tags[int(i)] for i in tags.ids]) - WALL.middle_m
    away = met(shot, tags.corners_px) - table * 1e3

    assert np.abs(away).max() < 0.07
    assert np.abs(away.mean(axis=1)).max() < 0.02
    assert not tags.strange
    assert not tags.mirrored


@pytest.mark.parametrize("blur_px", [1.0, 1.5])
@pytest.mark.parametrize("one_way", [1.0, 2.0])
def test_an_edge_is_as_wide_as_the_blur(blur_px: float, one_way: float) -> None:
    """Seen square on, sigma of the edges is the blur that was laid on, with what pixels and texture add (0.6 px), in px and mm."""
    shot = Shot(radius_mm=None, blur_px=(blur_px, blur_px * one_way), away_mm=200, seed=12)
    tags = find_tags(picture(shot, "face"), FACE)
    wanted = np.hypot([blur_px, blur_px * one_way], 0.6)
    in_m = wanted * 0.2 / shot.focal_px

    assert np.median(tags.spread_px, axis=0) == pytest.approx(wanted, rel=0.08)
    assert np.median(tags.spread_m, axis=0) == pytest.approx(in_m, rel=0.08)


def test_black_and_white_are_the_inks() -> None:
    """Median greys of border and paper, against reflectances 0.04 and 0.85 through the camera's own curve."""
    tags = find_tags(picture(Shot(seed=10)), WALL)

    assert np.median(tags.white) == pytest.approx(255 * 0.85 ** (1 / 2.2), abs=2)
    assert np.median(tags.black) == pytest.approx(255 * 0.04 ** (1 / 2.2), abs=4)


def test_a_mirrored_picture_has_no_tags() -> None:
    """Left to right, and the other way up: both are mirrors; half a turn is none."""
    seen = picture(TILTED)
    for flipped in (seen[:, ::-1], seen[::-1]):
        tags = find_tags(np.ascontiguousarray(flipped), WALL)
        assert len(tags.ids) == 0
        assert tags.mirrored
        assert tags.corners_px.shape == (0, 4, 2)
    turned = find_tags(np.ascontiguousarray(seen[::-1, ::-1]), WALL)
    assert len(turned.ids) == 9


def test_the_other_card_is_strange() -> None:
    """The wall card's tags when the face card was named; an empty picture has none and is no mirror."""
    tags = find_tags(picture(TILTED), FACE)
    empty = find_tags(np.full((600, 800), 128, np.uint8), FACE)

    assert len(tags.ids) == 0
    assert tags.strange == tuple(range(9))
    assert (len(empty.ids), empty.strange, empty.mirrored) == (0, (), False)


def test_both_shapes_of_numbers_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """OpenCV 4 gives numbers as a column, OpenCV 5 as a row: the same tags."""
    finder: Any = cv2.aruco.ArucoDetector
    wanted = find_tags(picture(TILTED), WALL)

    class Column:
        def __init__(self, *given: Any) -> None:
            self.finder = finder(*given)

        def detectMarkers(self, grey: Grey) -> tuple[Any, Any, Any]:  # noqa: N802
            corners, ids, left = self.finder.detectMarkers(grey)
            return corners, np.reshape(ids, (-1, 1)), left

    monkeypatch.setattr(cv2.aruco, "ArucoDetector", Column)
    again = find_tags(picture(TILTED), WALL)

    assert np.array_equal(again.ids, wanted.ids)
    assert np.array_equal(again.corners_px, wanted.corners_px)


def test_a_number_seen_twice_is_left_out() -> None:
    """Two prints of one tag in a picture: nobody can say which is the card's."""
    seen = picture(Shot(seed=10)).copy()
    book = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    cv2.circle(seen, (500, 770), 110, 240, -1)
    seen[710:830, 440:560] = cv2.aruco.generateImageMarker(book, 4, 120)

    assert find_tags(seen, WALL).ids.tolist() == [0, 1, 2, 3, 5, 6, 7, 8]


def test_light_is_the_curve_of_photos() -> None:
    """sRGB (IEC 61966-2-1): 0 and 1 stay, and the two pieces meet; grey 118 is 18 % of the light, as photographers know."""
    assert (LIGHT[0], LIGHT[255]) == pytest.approx((0, 1))
    assert LIGHT[118] == pytest.approx(0.18, abs=0.002)
    assert np.all(np.diff(LIGHT) > 0)
