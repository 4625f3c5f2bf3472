"""The camera's model and its fit: against OpenCV's projection, plain trigonometry, scipy, and rays of another camera."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import cv2
import numpy as np
import pytest
from scipy.optimize import least_squares

from marks.card_camera import REPORTING, Shot, met, photo, plain, turned
from wheeltapper.measure.marks import camera
from wheeltapper.measure.marks.camera import View, rotation
from wheeltapper.measure.marks.card import Card, card_of, grid_m
from wheeltapper.measure.marks.fit import SOFT, cost_of, curve_alone, fit_pose, under_paper
from wheeltapper.measure.marks.pose import Pose, numbers, view_of
from wheeltapper.measure.marks.tags import Tags, find_tags
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.cards import ours

THIN = {
    name: replace(card_of(ours(name)), thickness_m=0.0) for name in ("wall", "face")
}  # as the test's camera has it
SIZE = (1344, 1008)
R_M = 0.1524


def space(points: Floats, radius_m: float | None, axis_rad: float) -> Floats:
    """Card points on the wall by plain trigonometry: angle is arc over radius."""
    if radius_m is None:
        return np.column_stack([points, np.zeros(len(points))])
    c, s = np.cos(axis_rad), np.sin(axis_rad)
    angle = points @ np.array([c, s]) / radius_m
    along = points @ np.array([-s, c])
    across = radius_m * np.sin(angle)
    return np.column_stack([across * c - along * s, across * s + along * c, radius_m * (1 - np.cos(angle))])


def opencv(points: Floats, view: View, radius_m: float | None) -> Floats:
    """The same picture by OpenCV."""
    matrix = np.array(
        [[view.focal_px, 0, (SIZE[0] - 1) / 2], [0, view.focal_px, (SIZE[1] - 1) / 2], [0, 0, 1]]
    )
    at = space(points, radius_m, view.axis_angle_rad)
    lens = np.array([view.k1, 0, 0, 0])
    return np.asarray(cv2.projectPoints(at, view.turn_rad, view.at_m, matrix, lens)[0].reshape(-1, 2))


def view(radius_m: float | None = R_M, tilt: float = 30, roll: float = 10, k1: float = 0.02) -> View:
    """A camera before the card."""
    axes = turned(Shot(tilt_deg=tilt, roll_deg=roll, pan_deg=7))
    turn = cv2.Rodrigues(axes)[0].ravel()
    curve = 0.0 if radius_m is None else 1 / radius_m
    return View(turn, np.array([0.004, -0.003, 0.15]), 1000.0, k1, 0.03 if radius_m else 0.0, curve)


def tags_of(card: Card, seen: View, noise_px: float = 0.0, seed: int = 0, swell_m: float = 0.0) -> Tags:
    """Corners as that camera shows them, by OpenCV, with noise."""
    ids = np.array(list(card.tags))
    away = np.array([[-1.0, 1], [1, 1], [1, -1], [-1, -1]]) * swell_m
    points = np.concatenate([card.tags[int(i)] + away for i in ids]) - card.middle_m
    radius = 1 / seen.curve_per_m if seen.curve_per_m else None
    pixels = opencv(points, seen, radius) + np.random.default_rng(seed).normal(0, noise_px, (len(points), 2))
    count = len(ids)
    fine = np.full((count, 2), 1e-4)
    corners = pixels.reshape(-1, 4, 2)
    return Tags(ids, corners, (), False, fine, fine * 7e3, np.full(count, 40.0), np.full(count, 230.0))


def wrong_shares(pose: Pose, card: Card, seen: View) -> Floats:
    """Errors of lengths over the opening, as shares: true points through OpenCV and back through the pose."""
    points = grid_m(card.opening_m, 0.012)
    radius = 1 / seen.curve_per_m if seen.curve_per_m else None
    back = pose.to_card(opencv(points - card.middle_m, seen, radius))
    i, j = np.triu_indices(len(points), 1)
    return np.asarray(
        np.linalg.norm(back[i] - back[j], axis=1) / np.linalg.norm(points[i] - points[j], axis=1) - 1
    )


@pytest.mark.second_way
@pytest.mark.parametrize("radius_m", [None, R_M, 0.127])
def test_the_picture_is_opencvs(radius_m: float | None) -> None:
    """Pinhole with k1 against cv2.projectPoints, the wall by plain trigonometry; and back to the card."""
    points = grid_m((-0.05, -0.03, 0.05, 0.03), 0.01)
    seen = view(radius_m)
    ours_px = camera.to_picture(points, seen, SIZE)

    assert ours_px == pytest.approx(opencv(points, seen, radius_m), abs=1e-6)
    assert camera.to_card(ours_px, seen, SIZE) == pytest.approx(points, abs=1e-9)


@pytest.mark.second_way
def test_a_turn_is_opencvs() -> None:
    """Rodrigues' formula, none and nearly half a turn too."""
    for turn in ([0.0, 0, 0], [0.3, -0.2, 1.1], [3.1, 0.1, 0.2]):
        assert rotation(np.array(turn)) == pytest.approx(cv2.Rodrigues(np.array(turn))[0], abs=1e-12)


@pytest.mark.second_way
@pytest.mark.parametrize(
    "shot", [Shot(tilt_deg=40, pan_deg=5, roll_deg=100, axis_deg=3, k1=-0.03), Shot(radius_mm=None)]
)
def test_rays_of_another_camera_meet_the_same_points(shot: Shot) -> None:
    """The test's own rays and quadratic formula, against the product's way from pixel to card."""
    axes = turned(shot)
    curve = 0.0 if shot.radius_mm is None else 1e3 / shot.radius_mm
    seen = View(
        cv2.Rodrigues(axes)[0].ravel(),
        np.array([0, 0, shot.away_mm / 1e3]),
        shot.focal_px,
        shot.k1,
        float(np.radians(shot.axis_deg)),
        curve,
    )
    pixels = np.random.default_rng(3).uniform([150, 250], [850, 650], (50, 2))

    assert camera.to_card(pixels, seen, shot.size_px) * 1e3 == pytest.approx(met(shot, pixels), abs=1e-6)


@pytest.mark.reasoned
def test_arc_and_chord() -> None:
    """Two ends w apart on the card are 2 R sin(w / 2R) apart in space, and the arch is R (1 - cos(w / 2R)) deep."""
    w = 0.08
    a, b = camera.bent(np.array([[-w / 2, 0.01], [w / 2, 0.01]]), 1 / R_M, 0.0)
    almost = camera.bent(np.array([[w / 2, 0.0]]), 1e-6, 0.2)[0]

    assert np.linalg.norm(a - b) == pytest.approx(2 * R_M * np.sin(w / 2 / R_M))
    assert a[2] == pytest.approx(R_M * (1 - np.cos(w / 2 / R_M)))
    assert almost == pytest.approx([w / 2, 0, 0], abs=1e-8)


@pytest.mark.reasoned
def test_a_ray_that_misses_and_a_point_behind() -> None:
    """A ray away from the wall meets nothing, a point behind the camera is in no picture: not a number, not a guess."""
    seen = replace(
        view(None, tilt=0, roll=0), turn_rad=np.array([np.pi / 2, 0, 0]), at_m=np.array([0, 0.05, 0.1])
    )  # looks along the face
    assert (
        np.isnan(camera.to_card(np.array([[671.5, 100.0], [671.5, 900.0]]), seen, SIZE)).any(axis=1).sum()
        == 1
    )
    assert np.isnan(camera.to_picture(np.array([[0.0, 1.0], [0.0, -1.0]]), seen, SIZE)).any()


@pytest.mark.reasoned
def test_tilt_is_the_angle_to_the_upright() -> None:
    """Square on over the middle 0, turned about x by 40 degrees 40; round the wall the upright turns with the arc."""
    straight = View(cv2.Rodrigues(turned(Shot()))[0].ravel(), np.array([0, 0, 0.15]), 1000.0, 0, 0, 1 / R_M)
    leaning = replace(straight, turn_rad=cv2.Rodrigues(turned(Shot(tilt_deg=40)))[0].ravel())
    aside = np.array([0.04, 0.0])
    x, z = R_M * np.sin(0.04 / R_M), R_M * (1 - np.cos(0.04 / R_M))

    assert camera.tilt_rad(np.zeros(2), straight) == pytest.approx(0, abs=1e-6)
    assert np.degrees(camera.tilt_rad(np.zeros(2), leaning)) == pytest.approx(40)
    assert camera.tilt_rad(aside, straight) == pytest.approx(
        abs(np.arctan2(x, 0.15 - z) - 0.04 / R_M), abs=1e-6
    )


@pytest.mark.second_way
@pytest.mark.parametrize(("name", "radius_m"), [("wall", R_M), ("face", None)])
def test_the_fit_is_scipys(name: str, radius_m: float | None) -> None:
    """The same cost by scipy's least squares over OpenCV's projection, from another start: the same lengths.

    soft-L1 for the corners and plain squares for what is likely, with the corners' sigma as the fit found it.
    """
    card, true = THIN[name], view(radius_m)
    tags = tags_of(card, true, noise_px=0.2, seed=4)
    pose = fit_pose(tags, card, SIZE, 1000.0, radius_m)
    points = np.concatenate([card.tags[int(i)] for i in tags.ids]) - card.middle_m
    signs = np.tile([[-1.0, 1], [1, 1], [1, -1], [-1, -1]], (len(tags.ids), 1))
    pixels = tags.corners_px.reshape(-1, 2)
    left = pose.to_picture(points + card.middle_m) - pixels
    sigma = 1.4826 * np.median(np.abs(left)) * np.sqrt(left.size / (left.size - 10))

    def remains(p: Floats) -> Floats:
        at = view_of(np.concatenate([p[:8], p[8:10] if radius_m else [0.0, 0.0]]))
        r = (
            (opencv(points + p[-1] * signs, at, 1 / at.curve_per_m if radius_m else None) - pixels) / sigma
        ).ravel()
        likely = [(p[6] - np.log(1000)) / 0.03, p[7] / 0.05, p[-1] / 1e-4]
        likely += [p[8] / 0.1, (p[9] - 1 / R_M) / (0.1 / R_M)] if radius_m else []
        return np.concatenate([np.sign(r) * np.sqrt(cost_of(r)), likely])

    start = np.append(numbers(true) if radius_m else numbers(true)[:8], 0.0)
    found = least_squares(
        remains, start, x_scale=np.maximum(np.abs(start), 1e-3), xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    theirs = replace(
        pose, view=view_of(np.concatenate([found.x[:8], found.x[8:10] if radius_m else [0.0, 0.0]]))
    )
    ends_px = pose.to_picture(np.array([card.opening_m[:2], card.opening_m[2:]]))

    a, b = pose.to_card(ends_px), theirs.to_card(ends_px)
    assert np.linalg.norm(b[0] - b[1]) == pytest.approx(np.linalg.norm(a[0] - a[1]), rel=2e-4)
    assert theirs.view.curve_per_m == pytest.approx(pose.view.curve_per_m, abs=0.02)


@pytest.mark.reasoned
def test_soft_l1_is_a_square_near_zero_and_straight_far_out() -> None:
    """The published form 2 c^2 (sqrt(1 + (r/c)^2) - 1)."""
    assert cost_of(np.array([1e-3]))[0] == pytest.approx(1e-6, rel=1e-5)
    far = cost_of(np.array([1e4, 2e4]))
    assert far[1] - far[0] == pytest.approx(2 * SOFT * 1e4, rel=1e-3)


@pytest.mark.reasoned
@pytest.mark.parametrize("roll", [0, 90, 180, -120])
@pytest.mark.parametrize("tilt", [-60, 0, 45])
def test_true_corners_give_the_true_camera(roll: float, tilt: float) -> None:
    """Without noise, any way up and tilted: lengths to 0.002 %, the axis and the curve too; with or without the record."""
    card, true = THIN["wall"], view(tilt=tilt, roll=roll)
    tags = tags_of(card, true)
    for focal in (1000.0, None):
        pose = fit_pose(tags, card, SIZE, focal, R_M)
        assert np.abs(wrong_shares(pose, card, true)).max() < 5e-5
        assert pose.axis_angle_rad == pytest.approx(0.03, abs=1e-3)
        assert pose.curve_per_m == pytest.approx(1 / R_M, rel=2e-3)
        assert pose.rms_px < 0.02


@pytest.mark.second_way
def test_scale_in_pictures_on_fresh_seeds() -> None:
    """Pictures of another camera, tilted 0 to 45 degrees: every error of lengths over the opening, against the targets.

    Targets: 0.1 % in the median and 0.3 mm over the opening in 95 of 100. Two drums and a face, axis off by 3 degrees.
    """
    shares, errors = [], []
    for name, radius, seed in (("wall", 152.4, 0), ("wall", 127.0, 1), ("face", None, 2)):
        rng = np.random.default_rng(REPORTING[seed])
        tilt, pan, roll, off = rng.uniform([0, -12, -180, -3], [45, 12, 180, 3])
        shot = Shot(radius, -1.0, 150 if radius else 220, tilt, pan, roll, off if radius else 0.0, seed=seed)
        card = THIN[name]
        tags = find_tags(photo(shot, plain(name)), card)
        pose = fit_pose(tags, card, shot.size_px, 1000 * 1.02, radius and radius / 1e3)
        at = pose.to_picture(grid_m(card.opening_m, 0.012))
        there = pose.to_card(at)
        i, j = np.triu_indices(len(at), 1)
        true = np.linalg.norm((met(shot, at)[i] - met(shot, at)[j]), axis=1)
        wrong = np.linalg.norm(there[i] - there[j], axis=1) * 1e3 - true
        errors.append(wrong)
        shares.append(wrong / true)

    assert np.median(np.abs(np.concatenate(shares))) < 0.001
    assert np.percentile(np.abs(np.concatenate(errors)), 95) < 0.3


@pytest.mark.reasoned
def test_two_of_the_fits_doubts_cover_the_errors() -> None:
    """Corners with 0.3 px of noise on fresh seeds: 90 of 100 lengths lie within twice the fit's own term, none at 5."""
    card, errors = THIN["wall"], []
    a, b = np.array([0.02, 0.03]), np.array([0.085, 0.045])
    for seed in range(18):
        true = view(tilt=-45 + 5 * seed, roll=20 * seed)
        pose = fit_pose(tags_of(card, true, 0.3, REPORTING[100 + seed]), card, SIZE, 1000.0, R_M)
        there = pose.to_card(opencv(np.array([a, b]) - card.middle_m, true, R_M))
        wrong = np.linalg.norm(there[0] - there[1]) - np.linalg.norm(a - b)
        errors.append(abs(wrong) / pose.doubt_of(there[0], there[1]).fit_m)

    assert np.mean(np.array(errors) < 2) >= 0.9
    assert max(errors) < 5


@pytest.mark.reasoned
def test_a_doubt_has_its_named_terms() -> None:
    """Print and paper go with the length; a measured bar is surer; together they add as squares; the share is the same."""
    card, tags = card_of(ours("wall")), tags_of(THIN["wall"], view(), 0.1)
    plain_print = fit_pose(tags, card, SIZE, 1000.0, R_M)
    measured = fit_pose(tags, card, SIZE, 1000.0, R_M, bar_measured=True)
    a, b = np.array([0.03, 0.03]), np.array([0.08, 0.03])
    doubt, surer = plain_print.doubt_of(a, b), measured.doubt_of(a, b)

    assert doubt.print_m == pytest.approx(0.002 * 0.05)
    assert surer.print_m == pytest.approx(0.001 * 0.05)
    assert 0.0002 / 0.15 * 0.05 <= doubt.thickness_m < 0.0003 / 0.15 * 0.05
    assert doubt.total_m**2 == pytest.approx(doubt.fit_m**2 + doubt.print_m**2 + doubt.thickness_m**2)
    shares = plain_print.scale_doubt_share(np.array([[0.055, 0.03], [0.09, 0.05]]))
    assert np.all((shares > 0.002) & (shares < 0.01))
    assert plain_print.doubt_of(a, a).total_m == pytest.approx(0, abs=1e-12)


@pytest.mark.reasoned
def test_a_small_print_that_is_entered_is_true_and_one_that_is_not_is_three_percent_off() -> None:
    """Printed at 97 %: the bar tells; what is not entered shows in no residual."""
    card, scale = THIN["wall"], 0.97
    small = replace(
        card, tags={i: c * scale for i, c in card.tags.items()}, size_m=(0.110 * scale, 0.050 * scale)
    )
    true = view()
    tags = tags_of(small, true)
    entered = fit_pose(tags, card, SIZE, 1000.0, R_M, print_scale=scale, bar_measured=True)
    silent = fit_pose(tags, card, SIZE, 1000.0, R_M)
    at = opencv(np.array([[-0.03, 0.0], [0.03, 0.01]]), true, R_M)
    lengths = [np.linalg.norm(np.subtract(*p.to_card(at))) for p in (entered, silent)]
    wanted = np.hypot(0.06, 0.01)

    assert lengths[0] == pytest.approx(wanted, rel=1e-4)
    assert lengths[1] == pytest.approx(wanted / scale, rel=0.005)
    assert silent.rms_px < 0.1


@pytest.mark.reasoned
def test_swollen_ink_does_not_bend_the_scale() -> None:
    """Every tag 0.1 mm larger all round: its middle stays, and so do lengths to 0.01 %."""
    card, true = THIN["wall"], view()
    pose = fit_pose(tags_of(card, true, swell_m=1e-4), card, SIZE, 1000.0, R_M)

    assert np.abs(wrong_shares(pose, card, true)).max() < 1e-4


@pytest.mark.reasoned
def test_the_mark_lies_under_the_paper() -> None:
    """A paper t thick at distance d hides a surface farther off: lengths there are t / d longer than the print says."""
    card, true = THIN["face"], view(None, tilt=0, roll=0, k1=0.0)
    thick = replace(card, thickness_m=0.001)
    tags = tags_of(card, true)
    at = opencv(np.array([[-0.03, 0.0], [0.03, 0.01]]), true, None)
    lengths = [
        np.linalg.norm(np.subtract(*fit_pose(tags, c, SIZE, 1000.0).to_card(at))) for c in (card, thick)
    ]
    away = float((true.at_m @ rotation(true.turn_rad))[2])
    round_wall = under_paper(view(), 0.001)

    assert lengths[1] / lengths[0] == pytest.approx(1 + 0.001 / abs(away), rel=2e-4)
    assert 1 / round_wall.curve_per_m == pytest.approx(R_M + 0.001)


@pytest.mark.reasoned
def test_a_wrong_drum_size_hardly_moves_the_scale_but_widens_the_doubt() -> None:
    """12 in chosen for a 10 in drum: the tags tell the curve; the doubt counts the arch between the two."""
    card, true = THIN["wall"], view(0.127)
    tags = tags_of(card, true, 0.1)
    right, wrong = (fit_pose(tags, card, SIZE, 1000.0, r) for r in (0.127, R_M))
    ends = np.array([[0.03, 0.03], [0.08, 0.03]])

    assert np.abs(wrong_shares(wrong, card, true)).max() < 0.002
    assert wrong.doubt_of(*ends).thickness_m > 3 * right.doubt_of(*ends).thickness_m


@pytest.mark.reasoned
@pytest.mark.parametrize(("chosen", "lies"), [(R_M, None), (None, R_M), (R_M, 0.127), (R_M, R_M)])
def test_the_picture_alone_tells_the_curve(chosen: float | None, lies: float | None) -> None:
    """Whatever was chosen, the curve found alone is the card's own, within its doubt."""
    card = THIN["wall"]
    tags = tags_of(card, view(lies), 0.1)
    curve, sd = curve_alone(tags, card, fit_pose(tags, card, SIZE, 1000.0, chosen), 1000.0)

    assert curve == pytest.approx(1 / lies if lies else 0.0, abs=max(4 * sd, 0.02))
    assert 0 < sd < 0.2


@pytest.mark.reasoned
def test_too_few_tags_are_refused() -> None:
    """Three tags fix no camera with eleven unknowns."""
    tags: Any = replace(tags_of(THIN["wall"], view()), ids=np.arange(3))
    with pytest.raises(NoAnswerError, match="only 3 tags"):
        fit_pose(tags, THIN["wall"], SIZE)


@pytest.mark.reasoned
@pytest.mark.parametrize("radius_m", [R_M, None])
def test_corners_that_no_camera_shows_end_in_words(radius_m: float | None) -> None:
    """Strewn, swapped, all in one place, all on a line: refused in words, or a fit that is poor by its own rms."""
    card, rng = THIN["wall"], np.random.default_rng(6)
    true = tags_of(card, view()).corners_px
    strewn = rng.uniform(0, 1000, true.shape)
    one_place, on_a_line = np.full(true.shape, 500.0), true.copy()
    on_a_line[..., 1] = 500
    ends = []
    for corners in (strewn, true[rng.permutation(9)], one_place, on_a_line):
        tags = replace(tags_of(card, view()), corners_px=corners)
        try:
            ends.append(fit_pose(tags, card, SIZE, 1000.0, radius_m).rms_px > 10 or corners is on_a_line)
        except NoAnswerError as slip:
            ends.append("no camera fits" in slip.what)

    assert all(ends)
