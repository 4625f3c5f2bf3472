"""The two-sided line filter: what it sees, in which direction, and what must not matter to it."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest

from marks.flat_line import MM, Surface, straight, taken
from wheeltapper.measure.marks.response import DIRECTIONS, Response, line_response, log_light, part, sampled
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.problems import NoAnswerError

pytestmark = pytest.mark.reasoned
PLAIN = Surface(size_mm=(24.0, 20.0), corner_mm=(43.0, 24.0), grooves=0.02, rust=0.03, grain=0.02)
MIDDLE = (55.0, 34.0)


def at_angle(turn_rad: float, surface: Surface = PLAIN, long_mm: float = 10.0) -> Unrolled:
    """A straight line through the middle, so far counterclockwise from x."""
    way = np.array([np.cos(turn_rad), np.sin(turn_rad)]) * long_mm / 2
    line = straight(tuple(MIDDLE - way), tuple(MIDDLE + way))
    return taken(replace(surface, lines=(line,)), 5)


def in_middle(response: Response) -> tuple[float, float]:
    """Greatest strength within half a millimetre of the middle, and its direction."""
    col, row = response.to_pixels(np.array([MIDDLE]) * MM)[0]
    near = round(0.5 * MM * response.px_per_m)
    cut = np.s_[int(row) - near : int(row) + near + 1, int(col) - near : int(col) + near + 1]
    best = int(np.argmax(response.strength[cut]))
    return float(response.strength[cut].ravel()[best]), float(response.toward_rad[cut].ravel()[best])


@pytest.mark.parametrize("turn_deg", [30, 60, 90, 120, 150])
def test_direction_is_the_lines(turn_deg: float) -> None:
    """Within one step of directions, for lines that are not along the grooves. An axial line is at 90 degrees: the index
    of its direction times 180 does not fit one byte, which must not matter."""
    strength, toward = in_middle(line_response(at_angle(np.radians(turn_deg))))

    apart = abs((toward - np.radians(turn_deg) + np.pi / 2) % np.pi - np.pi / 2)
    assert strength > 8
    assert apart <= 0.75 * np.pi / DIRECTIONS


def test_every_direction_has_about_the_same_strength() -> None:
    """Without grooves in the surface and without damping a line is as strong whichever way it runs."""
    even = replace(PLAIN, grooves=0.0)
    strengths = [
        in_middle(line_response(at_angle(a, even), grooves=False))[0] for a in np.linspace(0, np.pi, 7)[:-1]
    ]

    assert min(strengths) > 0.6 * max(strengths)


def test_lines_along_the_grooves_are_damped_unless_asked() -> None:
    """By the factor 0.15 of the method; the switch brings them back."""
    picture = at_angle(0.0)
    damped, whole = (in_middle(line_response(picture, grooves=g))[0] for g in (True, False))

    assert damped < 0.4 * whole
    assert whole > 8


def test_damping_turns_with_the_drums_axis() -> None:
    """A line at 12 degrees is damped about grooves along x, not about grooves at -15 degrees."""
    picture = at_angle(np.radians(12), replace(PLAIN, grooves=0.0))
    along, turned = (in_middle(line_response(picture, np.radians(a)))[0] for a in (0.0, -15.0))

    assert turned > 1.5 * along


def test_a_step_is_no_line() -> None:
    """Dark on one side only: nothing, however strong; the same contrast as a line is seen."""
    grey = np.full((240, 240), 160, np.uint8)
    grey[:, 120:] = 40
    grey = cv2.GaussianBlur(grey, (0, 0), 1.0)
    noise = np.random.default_rng(1).normal(0, 2, grey.shape)
    step = Unrolled(
        np.clip(grey + noise, 0, 255).astype(np.uint8), 10_000.0, 0.0, 0.024, np.ones(grey.shape, bool)
    )
    lined = step.grey.copy()
    lined[60:180, 60:63] = 40

    assert line_response(step, grooves=False).strength[20:-20, 20:-20].max() < 9
    assert line_response(replace(step, grey=lined), grooves=False).strength[100:140, 58:65].max() > 30


@pytest.mark.parametrize("gain", [0.6, 1.4])
def test_brightness_of_the_lamp_does_not_matter(gain: float) -> None:
    """Logarithm of the light: a factor goes away, up to the offset and grey steps."""
    picture = at_angle(np.radians(80))
    other = replace(picture, grey=np.clip(np.rint(picture.grey * gain), 0, 255).astype(np.uint8))

    assert in_middle(line_response(other))[0] == pytest.approx(in_middle(line_response(picture))[0], rel=0.2)


def test_mirrored_picture_has_the_mirrored_response() -> None:
    """Left for right: same strengths; upright directions stay upright."""
    picture = at_angle(np.radians(90), replace(PLAIN, noise=1.0))
    there = line_response(picture)
    back = line_response(replace(picture, grey=picture.grey[:, ::-1].copy()))

    strong = there.strength > 10
    assert np.corrcoef(there.strength[strong], back.strength[:, ::-1][strong])[0, 1] > 0.9


def test_coarser_grid_keeps_card_points() -> None:
    """A picture finer than asked is made coarser; the line's ridge stays where it is, to a third of a pixel."""
    picture = at_angle(np.radians(90), replace(PLAIN, px_per_mm=20.0))
    for most in (20_000.0, 12_500.0, 8_000.0):
        response = line_response(picture, most_px_per_m=most)
        row = round(float(response.to_pixels(np.array([MIDDLE]) * MM)[0, 1]))
        band = response.strength[row - 3 : row + 4].mean(0)
        cols = np.flatnonzero(band > 0.5 * band.max())
        ridge = response.to_card(np.array([[np.average(cols, weights=band[cols]), row]]))[0, 0]
        assert ridge == pytest.approx(MIDDLE[0] * MM, abs=0.35 / most)


def test_a_line_is_seen_up_to_an_edge() -> None:
    """Where the known surface ends across a line, the line is as strong as in its middle."""
    picture = at_angle(np.radians(90))
    known = picture.known.copy()
    edge = round(float(picture.to_pixels(np.array([MIDDLE]) * MM)[0, 1]))
    known[:edge] = False
    grey = picture.grey.copy()
    grey[:edge] = 255
    response = line_response(replace(picture, grey=grey, known=known))
    col, row = np.rint(response.to_pixels(np.array([MIDDLE]) * MM)[0]).astype(int)

    assert (
        response.strength[row + 2, col - 3 : col + 4].max()
        > 0.6 * response.strength[row + 30, col - 3 : col + 4].max()
    )
    assert not response.strength[: row - 1].any()


@pytest.mark.second_way
def test_the_ridge_is_where_scikit_image_sees_it() -> None:
    """Against sato, a filter by second derivatives: the strongest column of each row agrees within a pixel."""
    from skimage.filters import sato

    picture = at_angle(np.radians(90), replace(PLAIN, px_per_mm=12.0))
    ours = line_response(picture).strength
    theirs = sato(picture.grey.astype(float), sigmas=[1, 2], black_ridges=True)
    first, last = (round(float(picture.to_pixels(np.array([[55, y]]) * MM)[0, 1])) for y in (37.0, 31.0))

    assert np.abs(ours[first:last].argmax(1) - theirs[first:last].argmax(1)).max() <= 1


def test_a_part_keeps_its_place() -> None:
    """Card points of a part are those of the whole."""
    whole = at_angle(1.0)
    cut = part(whole, np.array([50.0, 30.0]) * MM, np.array([58.0, 36.0]) * MM)
    inner = cut.to_pixels(np.array([MIDDLE]) * MM)
    outer = whole.to_pixels(np.array([MIDDLE]) * MM)

    assert np.all(np.rint(inner) >= 0)
    assert sampled(cut.grey.astype(np.float32), inner) == pytest.approx(
        sampled(whole.grey.astype(np.float32), outer), abs=1e-3
    )


def test_logarithm_grows_with_light() -> None:
    """Every grey level has its own value, in order."""
    assert np.all(np.diff(log_light(np.arange(256, dtype=np.uint8))) > 0)


def test_no_answer() -> None:
    """Too coarse, nothing known, or a part that is not there."""
    picture = at_angle(1.0)
    with pytest.raises(NoAnswerError, match="nearer"):
        line_response(replace(picture, px_per_m=2_000.0))
    with pytest.raises(NoAnswerError, match="no surface"):
        line_response(replace(picture, known=np.zeros_like(picture.known)))
    with pytest.raises(NoAnswerError, match="not in the picture"):
        part(picture, np.array([0.2, 0.2]), np.array([0.21, 0.21]))


def test_many_places_are_sampled_at_once() -> None:
    """More than a short integer counts: a slope's values are the columns themselves; outside is not a number."""
    slope = np.tile(np.arange(50, dtype=np.float32), (40, 1))
    points = np.random.default_rng(1).uniform([0, 0], [49, 39], (40_000, 2))

    assert sampled(slope, points) == pytest.approx(points[:, 0], abs=0.04)
    assert np.isnan(sampled(slope, np.array([[-3.0, 5.0], [20.0, 60.0]]))).all()
