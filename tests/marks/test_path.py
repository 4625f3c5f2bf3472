"""From two taps to a line: where it runs, where it ends, and which taps have no answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from marks.flat_line import MM, TUNING, Surface, crack_scene, straight, taken
from wheeltapper.measure.marks.path import KNOWN_M, follow
from wheeltapper.measure.marks.section import along, smoothed, spaced
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.problems import NoAnswerError

pytestmark = pytest.mark.reasoned
PLAIN = Surface(size_mm=(26.0, 24.0), corner_mm=(42.0, 20.0), grooves=0.03, rust=0.04, grain=0.02)
START, END = (52.0, 26.0), (56.0, 38.0)


@pytest.fixture(scope="module")
def picture() -> Unrolled:
    """One straight line."""
    return taken(replace(PLAIN, lines=(straight(START, END),)), 8)


def ends_mm(picture: Unrolled, taps_mm: object, **how: bool) -> np.ndarray:
    """Both ends."""
    return follow(picture, np.asarray(taps_mm, float) * MM, **how).ends_m / MM


def test_ends_of_a_straight_line(picture: Unrolled) -> None:
    """Within half a millimetre of the drawn ends, sideways within a tenth: the tip is too thin to be seen to its last."""
    ends = ends_mm(picture, [START, END])
    way = np.subtract(END, START) / np.hypot(*np.subtract(END, START))
    off = ends - [START, END]

    assert np.abs(off @ way).max() < 0.5
    assert np.abs(off @ [-way[1], way[0]]).max() < 0.1


@pytest.mark.parametrize("miss", [(0.9, -0.6), (-0.9, 0.4), (0.0, 1.2)])
def test_sloppy_taps_find_the_same_ends(picture: Unrolled, miss: tuple[float, float]) -> None:
    """A tap a millimetre off changes the ends by less than two tenths."""
    ends = ends_mm(picture, [np.add(START, miss), np.subtract(END, miss)])

    assert np.abs(ends - ends_mm(picture, [START, END])).max() < 0.2


def test_taps_swapped(picture: Unrolled) -> None:
    """The other way round: the same ends, in the other order, to a fifth of a pixel or so."""
    there, back = ends_mm(picture, [START, END]), ends_mm(picture, [END, START])

    assert back[::-1] == pytest.approx(there, abs=0.1)


def test_ends_as_dragged_are_kept(picture: Unrolled) -> None:
    """Without snapping the ends are those given, wherever they are; the way between follows the line."""
    given = [(53.0, 29.0), (55.0, 35.0)]
    trace = follow(picture, np.array(given) * MM, snap=False)
    off = trace.path_m / MM - START
    way = np.subtract(END, START) / np.hypot(*np.subtract(END, START))

    assert trace.ends_m / MM == pytest.approx(np.array(given), abs=1e-9)
    assert not trace.snapped
    assert np.abs(off @ [-way[1], way[0]]).max() < 0.15


@pytest.mark.parametrize("px_per_mm", [9.0, 14.0, 20.0])
def test_resolution_does_not_matter(px_per_mm: float) -> None:
    """The same line in a coarser or finer picture: the same length to a third of a millimetre."""
    surface = replace(PLAIN, px_per_mm=px_per_mm, lines=(straight(START, END),))
    ends = ends_mm(taken(surface, 8), [START, END])

    assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(np.hypot(4, 12), abs=0.5)


def test_another_place_of_the_card_does_not_matter(picture: Unrolled) -> None:
    """Moving the picture and the taps together moves the answer."""
    moved = replace(picture, left_m=picture.left_m + 0.013, top_m=picture.top_m - 0.007)
    taps, by = np.array([START, END]) * MM, np.array([0.013, -0.007])

    assert follow(moved, taps + by).ends_m - by == pytest.approx(follow(picture, taps).ends_m, abs=1e-6)


def test_wandering_line_is_followed() -> None:
    """Nine of ten places of the path lie within a quarter millimetre of the drawn line."""
    scene = crack_scene(TUNING.start + 21)
    line = scene.lines[0].points_mm
    path = follow(taken(scene, 21), line[[0, -1]] * MM).path_m / MM
    apart = np.linalg.norm(path[:, None] - spaced(line * MM)[None] / MM, axis=2).min(1)

    assert np.percentile(apart, 90) < 0.25


@pytest.mark.second_way
def test_cheapest_way_is_no_longer_than_a_drawn_one() -> None:
    """On a straight line the length along the path is the distance of its ends, within 3 %."""
    scene = replace(PLAIN, lines=(straight(START, END),))
    path = smoothed(follow(taken(scene, 3), np.array([START, END]) * MM).path_m, 0.25 * MM)

    assert along(path)[-1] == pytest.approx(np.linalg.norm(path[-1] - path[0]), rel=0.03)


@pytest.mark.parametrize(
    "taps_mm",
    [
        [START, START],
        [START, (52.3, 26.3)],
        [START, (90.0, 26.0)],
        [(np.nan, 26.0), END],
        [START, END, END],
        [START],
    ],
)
def test_taps_without_an_answer(picture: Unrolled, taps_mm: object) -> None:
    """The same point twice, less than a millimetre, outside the picture, not numbers, not two."""
    with pytest.raises(NoAnswerError) as said:
        ends_mm(picture, taps_mm)
    assert said.value.do


def test_tap_on_unknown_surface(picture: Unrolled) -> None:
    """Where the photo shows nothing within a sloppy tap's reach there is no answer."""
    known = picture.known.copy()
    row = round(float(picture.to_pixels(np.array([END]) * MM)[0, 1]))
    known[: row + round((KNOWN_M + 1 * MM) * picture.px_per_m)] = False

    with pytest.raises(NoAnswerError):
        ends_mm(replace(picture, known=known), [START, END])


def test_nothing_dark_between_the_taps() -> None:
    """A bare surface: no line, or at most some faint streak that stands out as little as its noise."""
    bare = taken(replace(PLAIN, grooves=0.0, rust=0.0, grain=0.0), 4)
    try:
        clear = max(follow(bare, np.array([START, END]) * MM).clear)
    except NoAnswerError:
        clear = 0.0

    assert clear < 4


@pytest.mark.parametrize("count", [2, 3, 40])
def test_spacing_keeps_the_ends(count: int) -> None:
    """Even spacing, same ends; smoothing leaves a straight line as it is."""
    path = np.linspace([0.0, 0.0], [3e-3, 4e-3], count)
    even = spaced(path)

    assert even[[0, -1]] == pytest.approx(path[[0, -1]])
    assert along(even)[-1] == pytest.approx(5e-3)
    assert smoothed(even, 0.25 * MM) == pytest.approx(even, abs=1e-12)
