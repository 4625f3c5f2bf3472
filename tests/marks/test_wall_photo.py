"""The rendered photos' truth against a second way: what OpenCV's tag detector finds in them, and plain geometry.

Quick, small renders; nothing of the product's photo measurement takes part.
"""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from wall_lens import as_shown, ideal_of, photo_of
from wall_marks import KINDS, Mark, Window, marks_of
from wall_photo import FAULTS, Photo, Shot, as_json, render, shot_of
from wall_scene import stand
from wall_stage import laid
from wall_texture import coverage, widths_mm

SMALL: dict[str, Any] = {
    "size_px": (560, 420),
    "spp": 3,
    "paint_px_per_mm": 8.0,
    "away_mm": 150.0,
    "jpeg_quality": 95,
}


@cache
def photo(**changes: Any) -> Photo:
    """A small photo, made once."""
    return render(Shot(**(SMALL | {"soft_px": 0.5, "sharpen": 0.0} | changes)))


def found(pixels: NDArray[np.uint8]) -> dict[int, NDArray[np.float64]]:
    """Tag corners (4, 2) that OpenCV finds, by id."""
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    settings.cornerRefinementWinSize = 3
    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    large = cv2.resize(
        cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY), None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC
    )
    corners, ids, _ = cv2.aruco.ArucoDetector(family, settings).detectMarkers(large)
    many = [] if ids is None else ids.ravel()
    return {int(i): (c.reshape(4, 2).astype(float) - 0.5) / 2 for i, c in zip(many, corners, strict=True)}


@pytest.mark.second_way
@pytest.mark.parametrize(
    "changes",
    [
        {"tilt_deg": 20.0},
        {"tilt_deg": 45.0, "bed": "wall 10", "distortion": 0.03, "roll_deg": 8.0, "seed": 3},
        {"bed": "face", "away_mm": 200.0, "distortion": -0.02, "side_deg": 10.0, "seed": 4},
    ],
)
def test_tags_lie_where_the_truth_says(changes: dict[str, Any]) -> None:
    """OpenCV's detector against Mitsuba's rays. Bright paper eats into dark tags, which draws every corner inwards by up
    to a pixel; middles stay, but for noise, and the mean over all tags must hit a seventh of a pixel."""
    shown = photo(**changes)
    tags = found(shown.pixels)

    assert len(tags) >= len(shown.truth.tags_px) - 1
    off = np.array([corners - shown.truth.tags_px[name] for name, corners in tags.items()])
    assert np.abs(off).max() < 2
    assert np.abs(off.mean(axis=1)).max() < 0.6
    assert np.abs(off.mean(axis=(0, 1))).max() < 0.15


@pytest.mark.second_way
def test_the_ends_of_a_crack_are_dark_in_the_photo() -> None:
    """Along the true line the photo is darker than three pixels beside it: the truth lies on what was painted."""
    shown = photo(kind="crack in band", seed=5, away_mm=140.0)
    mark, px = shown.truth.marks[0], shown.truth.lines_px[0]
    grey = cv2.cvtColor(shown.pixels, cv2.COLOR_RGB2GRAY).astype(np.float32)
    middle = px[len(px) // 5 : -len(px) // 5]
    col, row = middle.astype(np.float32).T[:, :, None]
    on, left, right = (float(cv2.remap(grey, col + d, row, cv2.INTER_LINEAR).mean()) for d in (0, -3, 3))

    assert mark.kind == "crack"
    assert on < 0.85 * min(left, right)


@pytest.mark.reasoned
def test_the_wall_is_unrolled_without_stretch() -> None:
    """Chords of the world's circle: 10 mm along the wall is an angle of 10 / R, whose chord is 2 R sin(5 / R)."""
    bed, lay = laid(Shot(turn_deg=0.0))
    at = bed.at(lay.to_surface(np.array([[40.0, 20.0], [50.0, 20.0], [40.0, 30.0]])))

    assert np.linalg.norm(at[1] - at[0]) == pytest.approx(2 * 152.4 * np.sin(5 / 152.4), abs=1e-9)
    assert np.linalg.norm(at[2] - at[0]) == pytest.approx(10, abs=1e-9)
    assert np.hypot(at[:, 0], at[:, 1]) == pytest.approx(np.full(3, 152.4))


@pytest.mark.reasoned
def test_a_turned_card_tells_the_same_lengths() -> None:
    """To the card's frame and back is the same place, and no length changes on the way."""
    _, lay = laid(Shot(turn_deg=3.0))
    there = np.array([[0.0, 0.0], [30.0, 40.0]])
    here = lay.to_card(there)

    assert lay.to_surface(here) == pytest.approx(there)
    assert np.hypot(*(here[1] - here[0])) == pytest.approx(50)


@pytest.mark.second_way
def test_the_table_and_the_marks_agree() -> None:
    """Interpolated in the table or asked of rays, a mark's line appears in the same place."""
    shown = photo(kind="crack in band", seed=5, away_mm=140.0)
    truth = shown.truth

    assert truth.px(truth.marks[0].line_mm) == pytest.approx(truth.lines_px[0], abs=0.03)


@pytest.mark.reasoned
def test_a_seed_makes_one_photo() -> None:
    """The same settings, the same bytes; another seed, others."""
    small = SMALL | {"size_px": (160, 120), "spp": 1, "paint_px_per_mm": 4.0}
    one, same, other = (render(Shot(seed=s, **small)).jpeg for s in (1, 1, 2))

    assert one == same
    assert one != other


@pytest.mark.reasoned
@pytest.mark.parametrize("k", [-0.03, 0.0, 0.03])
def test_distortion_goes_there_and_back(k: float) -> None:
    """`photo_of` undoes `ideal_of`."""
    shot = Shot(distortion=k, middle_off_px=(5.0, -3.0))
    px = np.random.default_rng(1).uniform(0, 1500, (50, 2))

    assert photo_of(shot, ideal_of(shot, px)) == pytest.approx(px, abs=1e-6)


@pytest.mark.reasoned
@pytest.mark.parametrize("width", [0.3, 1.0, 4.2])
def test_a_line_keeps_its_darkness_times_width(width: float) -> None:
    """Across a straight line the covered shares of pixels add up to its width, however thin it is."""
    line = np.array([[20.3, 5.0], [20.3, 55.0]])
    covered = coverage((60, 40), line, np.full(2, width))

    assert covered[30].sum() == pytest.approx(width, abs=0.01)


@pytest.mark.reasoned
@pytest.mark.parametrize("kind", KINDS)
def test_marks_are_what_they_are_called(kind: str) -> None:
    """Lengths, widths and edges as the kind says, for many seeds; a crack thins to nothing at its ends."""
    window = Window(-37, 27, 37, 60, True)
    for seed in range(30):
        for mark in marks_of(kind, window, np.random.default_rng(seed)):
            assert mark.along_mm >= mark.end_to_end_mm > 0.5
            assert mark.reaches_edge == (kind == "crack at edge")
            if mark.kind == "crack":
                assert 5 < mark.end_to_end_mm < 41
                assert 0.2 <= mark.width_mm <= 0.5
                assert widths_mm(mark)[-1] == 0
                assert mark.line_mm[:, 1].max() <= window.top + 0.3


@pytest.mark.reasoned
def test_a_diagonal_mark_tells_its_angle() -> None:
    """From (0, 0) to (3, 4): five long, atan(3 / 4) off the axis."""
    mark = Mark("crack", np.array([[0.0, 0.0], [3.0, 4.0]]), 0.3, (0.0, 0.0))

    assert mark.end_to_end_mm == pytest.approx(5)
    assert mark.angle_deg == pytest.approx(np.degrees(np.arctan(0.75)))


@pytest.mark.reasoned
def test_an_upright_photo_is_kept_lying_and_shown_upright() -> None:
    """The file's EXIF rotation gives the picture that the truth speaks of."""
    small = SMALL | {"size_px": (120, 160), "spp": 1, "paint_px_per_mm": 4.0}
    shown = render(Shot(**small))

    assert shown.pixels.shape == (160, 120, 3)
    assert np.array_equal(as_shown(shown.jpeg), shown.pixels)
    assert json.loads(as_json(shown))["marks"][0]["kind"] == "crack"


@pytest.mark.reasoned
def test_chance_keeps_the_phone_out_of_the_metal() -> None:
    """For many seeds: inside the drum's mouth it is nearer to the axis than the wall is; faults are those offered."""
    for seed in range(200):
        shot = shot_of(seed, "clean")
        eye, _, _ = stand(shot, *laid(shot))
        radius = laid(shot)[0].radius_mm
        assert shot.bed == "face" or eye[2] > 55 or np.hypot(eye[0], eye[1]) < radius - 10
        assert shot.fault in FAULTS
