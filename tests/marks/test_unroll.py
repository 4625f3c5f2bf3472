"""The opening laid flat: dots on the wall come out where they are, and what the photo does not show is not known."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest

from marks.card_camera import AROUND_MM, TEXTURE_PX_PER_MM, Shot, photo, texture
from wheeltapper.measure.marks.card import card_of
from wheeltapper.measure.marks.fit import fit_pose
from wheeltapper.measure.marks.pose import Pose
from wheeltapper.measure.marks.tags import Grey, find_tags
from wheeltapper.measure.marks.unroll import BEYOND_M, COARSE_PX, unroll
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.cards import ours

CARD = replace(card_of(ours("wall")), thickness_m=0.0)
DOTS_MM = [
    (x, y) for x in (24, 40, 55, 70, 86) for y in (22, 34, 46, 51)
]  # the last row beyond the open side
SHOT = Shot(tilt_deg=30, pan_deg=-6, roll_deg=12, axis_deg=2, seed=21)


@cache
def dotted() -> tuple[Grey, Pose]:
    """A wall with dark dots of 1 mm, and the pose from the card beside them."""
    n, m = TEXTURE_PX_PER_MM, AROUND_MM
    width, height = (round(v * 1e3) for v in CARD.size_m)
    wall = np.full(((height + 2 * m) * n, (width + 2 * m) * n), 0.4)
    for x, y in DOTS_MM:
        at = (round((m + x) * n * 16 - 8), round((m + height - y) * n * 16 - 8))
        cv2.circle(wall, at, round(0.5 * n * 16), 0.05, -1, cv2.LINE_8, 4)
    grey = photo(SHOT, texture(ours("wall"), wall))
    size = (grey.shape[1], grey.shape[0])
    return grey, fit_pose(find_tags(grey, CARD), CARD, size, 1000.0, 0.1524)


@pytest.mark.second_way
@pytest.mark.parametrize("px_per_m", [None, 12_000.0])
def test_dots_come_out_where_they_are(px_per_m: float | None) -> None:
    """Centres of grey in the flat picture against where they were painted: 0.05 mm, beyond the open side too."""
    grey, pose = dotted()
    flat = unroll(grey, pose, CARD, px_per_m)
    dark = np.clip(150.0 - flat.grey, 0, None)
    for x, y in DOTS_MM:
        c, r = flat.to_pixels(np.array([[x, y]]) * 1e-3)[0]
        half = round(0.0012 * flat.px_per_m)
        rows, columns = np.mgrid[round(r) - half : round(r) + half + 1, round(c) - half : round(c) + half + 1]
        weight = dark[rows, columns]
        found = np.array([[(columns * weight).sum(), (rows * weight).sum()]]) / weight.sum()
        assert flat.to_card(found)[0] * 1e3 == pytest.approx([x, y], abs=0.05)


@pytest.mark.reasoned
def test_it_covers_the_opening_and_a_little_beyond() -> None:
    """As fine as the photo and no finer; left, top and size as the opening; all of it known."""
    grey, pose = dotted()
    flat = unroll(grey, pose, CARD)
    left, bottom, right, top = CARD.opening_m

    assert flat.px_per_m == pytest.approx(
        pose.px_per_m(np.array([(left + right) / 2, (bottom + top + BEYOND_M) / 2]))
    )
    assert 4_000 < flat.px_per_m < 8_000
    assert (flat.left_m, flat.top_m) == pytest.approx((left, top + BEYOND_M))
    rows, columns = flat.grey.shape
    assert (columns - 1) / flat.px_per_m == pytest.approx(right - left, abs=1 / flat.px_per_m)
    assert (rows - 1) / flat.px_per_m == pytest.approx(top + BEYOND_M - bottom, abs=1 / flat.px_per_m)
    assert flat.known.all()
    assert flat.grey.dtype == np.uint8


@pytest.mark.second_way
def test_the_coarse_net_is_as_good_as_asking_every_pixel() -> None:
    """The flat picture against the photo looked up pixel by pixel with the pose: never two greys apart."""
    grey, pose = dotted()
    flat = unroll(grey, pose, CARD)
    rows, columns = (
        v.ravel() for v in np.mgrid[3 : flat.grey.shape[0] : COARSE_PX + 1, 2 : flat.grey.shape[1] : 7]
    )
    at = pose.to_picture(flat.to_card(np.column_stack([columns, rows])))
    x, y = np.floor(at).astype(int).T
    fx, fy = (at - np.floor(at)).T
    g = grey.astype(float)
    direct = (g[y, x] * (1 - fx) + g[y, x + 1] * fx) * (1 - fy) + (
        g[y + 1, x] * (1 - fx) + g[y + 1, x + 1] * fx
    ) * fy

    assert np.abs(direct - flat.grey[rows, columns]).max() < 6  # remap counts in 32nds of a pixel
    assert np.abs(direct - flat.grey[rows, columns]).mean() < 0.6


@pytest.mark.reasoned
def test_what_the_photo_does_not_show_is_not_known() -> None:
    """The same photo cut off through the opening: the rest is the same, the lost part is black and not known."""
    grey, pose = dotted()
    whole = unroll(grey, pose, CARD, 6_000.0)
    cut = unroll(np.ascontiguousarray(grey[:, :530]), pose, CARD, 6_000.0)
    at = pose.to_picture(cut.to_card(np.column_stack(np.nonzero(~cut.known))[:, ::-1].astype(float)))

    assert 0.2 < cut.known.mean() < 0.8
    assert at[:, 0].min() > 528
    assert not cut.grey[~cut.known].any()
    assert np.array_equal(cut.grey[cut.known], whole.grey[cut.known])


@pytest.mark.reasoned
def test_a_small_print_opens_less() -> None:
    """Printed at 97 % and entered, the opening is 97 % as wide."""
    grey, pose = dotted()
    small = unroll(grey, replace(pose, print_scale=0.97), CARD, 6_000.0)

    assert small.left_m == pytest.approx(0.97 * CARD.opening_m[0])
    assert small.grey.shape[1] == int(0.97 * 0.074 * 6_000) + 1


@pytest.mark.reasoned
def test_an_opening_outside_the_photo_is_refused() -> None:
    """Nothing of it in the picture, or so far away that a millimetre is less than a pixel."""
    grey, pose = dotted()
    aside = replace(pose, view=replace(pose.view, at_m=pose.view.at_m + np.array([1.0, 0, 0])))
    far = replace(pose, view=replace(pose.view, at_m=pose.view.at_m * 20))
    for bad in (aside, far):
        with pytest.raises(NoAnswerError, match="not in the picture"):
            unroll(grey, bad, CARD)
