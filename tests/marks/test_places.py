"""The same place twice: the card's other lie is found again, another place is refused, growth carries both doubts."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from marks.flat_line import MM, Surface, seen_again, straight, taken
from wheeltapper.measure.marks.places import SamePlace, growth, same_place
from wheeltapper.measure.marks.size import Mark, measure_mark
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.problems import NoAnswerError

pytestmark = pytest.mark.reasoned
WALL = Surface(
    size_mm=(60.0, 32.0), corner_mm=(25.0, 18.0), px_per_mm=8.0, grooves=0.04, rust=0.10, grain=0.03
)
POINTS = np.array([[55.0, 35.0], [45.0, 30.0], [65.0, 42.0]]) * MM


@pytest.fixture(scope="module")
def wall() -> Unrolled:
    """A wall with one line."""
    return taken(replace(WALL, lines=(straight((55, 26), (57, 38)),)), 31)


def moved(points: np.ndarray, turn_rad: float, shift_mm: tuple[float, float]) -> np.ndarray:
    """Turned counterclockwise about the card's origin, then shifted."""
    c, s = np.cos(turn_rad), np.sin(turn_rad)
    return np.asarray(points @ np.array([[c, s], [-s, c]]) + np.multiply(shift_mm, MM))


@pytest.mark.parametrize("turn_deg, shift_mm", [(0.0, (0.0, 0.0)), (2.2, (-7.0, 1.5)), (-3.1, (9.0, 2.0))])
def test_the_cards_other_lie_is_found(wall: Unrolled, turn_deg: float, shift_mm: tuple[float, float]) -> None:
    """Points land within a tenth of a millimetre, inside three of the told standard uncertainties."""
    turn = np.radians(turn_deg)
    place = same_place(wall, seen_again(wall, 5, turn, shift_mm))
    off = place.moved(POINTS) - moved(POINTS, turn, shift_mm)

    assert np.abs(off).max() < min(0.1 * MM, 3 * place.sd_m)
    assert place.score > 2 * place.chance


def test_there_and_back(wall: Unrolled) -> None:
    """The earlier onto the later and the later onto the earlier undo each other."""
    other = seen_again(wall, 6, 0.02, (4.0, -1.0))
    back = same_place(other, wall).moved(same_place(wall, other).moved(POINTS))

    assert back == pytest.approx(POINTS, abs=0.1 * MM)


def test_another_resolution(wall: Unrolled) -> None:
    """A later photo with more points for each millimetre: card points stay where they are."""
    finer = taken(replace(WALL, px_per_mm=11.0, lines=(straight((55, 26), (57, 38)),)), 31)

    assert same_place(wall, finer).moved(POINTS) == pytest.approx(POINTS, abs=0.12 * MM)


def test_the_mark_can_be_left_out(wall: Unrolled) -> None:
    """Round the mark nothing is compared: the same answer here, where it has not grown."""
    other = seen_again(wall, 7, 0.01, (2.0, 1.0))
    line = moved(np.linspace([55, 26], [57, 38], 40) * MM, 0.01, (2.0, 1.0))

    assert same_place(wall, other, line).moved(POINTS) == pytest.approx(
        same_place(wall, other).moved(POINTS), abs=0.1 * MM
    )


@pytest.mark.parametrize("seed", [32, 33])
def test_another_place_is_refused(wall: Unrolled, seed: int) -> None:
    """Another wall with the same line at the same spot is not taken for the place; nor is a place out of reach."""
    other = taken(replace(WALL, lines=(straight((55, 26), (57, 38)),)), seed)
    with pytest.raises(NoAnswerError) as said:
        same_place(wall, other)
    assert "same place" in said.value.what
    with pytest.raises(NoAnswerError):
        same_place(wall, seen_again(wall, 5, 0.0, (40.0, 0.0)))


def mark_of(wall: Unrolled, start: tuple[float, float], end: tuple[float, float]) -> Mark:
    """Measured from tap to tap."""
    return measure_mark(wall, np.array([start, end]) * MM, 0.001, snap=False)


def test_growth_is_the_difference_with_both_doubts(wall: Unrolled) -> None:
    """By Pythagoras: doubts of equal kind add as squares; beyond doubt only where larger than them."""
    before, little, much = (mark_of(wall, (55, 26), (55, 26 + n)) for n in (8.0, 9.0, 14.0))

    assert growth(before, much).grown_m == pytest.approx(6 * MM)
    assert growth(before, much).doubt_m == pytest.approx(np.hypot(before.doubt_m, much.doubt_m))
    assert (growth(before, little).beyond_doubt, growth(before, much).beyond_doubt) == (False, True)
    assert growth(much, before).beyond_doubt is False


def test_growth_says_which_end(wall: Unrolled) -> None:
    """With a common place, the end that has moved is told, whichever was tapped first."""
    before, after = mark_of(wall, (55, 26), (55, 34)), mark_of(wall, (57, 39), (57, 27))
    place = SamePlace(0.0, np.array([2.0, 1.0]) * MM, 0.1 * MM, 0.9, 0.1)
    grown = growth(before, after, place)

    assert grown.ends_moved_m == pytest.approx((4 * MM, 0.0), abs=0.02 * MM)
    assert grown.apart_m is not None
    assert grown.apart_m < 2.5 * MM  # ways from tap to tap over bare surface stray
