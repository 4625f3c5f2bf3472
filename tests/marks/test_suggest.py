"""Lines that nobody has tapped: counts, lengths and words against drawn scenes and against scikit-image."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from marks.flat_line import MM, Surface, crack_scene, network, straight, taken
from wheeltapper.measure.marks.suggest import PATTERNS, branch_points, lasting, suggest

pytestmark = pytest.mark.reasoned
PLAIN = Surface(size_mm=(40.0, 28.0), corner_mm=(35.0, 20.0), grooves=0.03, rust=0.05, grain=0.02)


def test_clean_surface_has_nothing() -> None:
    """No line, no length, no branch."""
    seen = suggest(taken(PLAIN, 1))

    assert seen.pattern == PATTERNS[0]
    assert (seen.pieces, seen.total_m, seen.density_per_m, len(seen.branches_m)) == ((), 0.0, 0.0, 0)
    assert seen.spread is None


def test_one_line() -> None:
    """One piece as long as drawn, to a millimetre, in its direction; density is length over area."""
    seen = suggest(taken(replace(PLAIN, lines=(straight((50, 25), (56, 41)),)), 2))

    assert seen.pattern == PATTERNS[1]
    assert len(seen.pieces) == 1
    assert seen.pieces[0].end_to_end_m == pytest.approx(np.hypot(6, 16) * MM, abs=1 * MM)
    assert seen.pieces[0].toward_rad == pytest.approx(np.arctan2(16, 6), abs=0.03)
    assert seen.density_per_m == pytest.approx(seen.total_m / (40 * MM * 28 * MM), rel=0.02)


def test_three_lines() -> None:
    """Three apart: three pieces, the longest first; a suggestion reads up to a millimetre and a half long, by its blur."""
    lines = tuple(straight((x, 26), (x + 2, 26 + long)) for x, long in ((42, 8), (54, 14), (66, 10)))
    seen = suggest(taken(replace(PLAIN, lines=lines), 3))

    assert seen.pattern == PATTERNS[2]
    assert [p.end_to_end_m / MM for p in seen.pieces] == pytest.approx(
        [np.hypot(2, n) for n in (14, 10, 8)], abs=1.5
    )


def test_a_cross_branches_once() -> None:
    """Two crossing lines: four arms and one branch point where they cross."""
    lines = straight((48, 26), (58, 42), 0.4), straight((58, 26), (48, 42), 0.4)
    seen = suggest(taken(replace(PLAIN, lines=lines), 4))

    assert len(seen.pieces) == 4
    assert seen.branches_m.mean(0) == pytest.approx(np.array([53, 34]) * MM, abs=0.6 * MM)


def test_network_and_patch() -> None:
    """Many short fine lines: a network, all over or in one patch."""
    over = suggest(taken(replace(PLAIN, lines=network(5, 26)), 5))
    patch = suggest(taken(replace(PLAIN, lines=network(6, 16, (38, 22, 50, 34))), 6))

    assert (over.pattern, over.spread) == (PATTERNS[3], "all over the opening")
    assert (patch.pattern, patch.spread) == (PATTERNS[3], "in one patch")


def test_grooves_switch() -> None:
    """A scratch along the grooves is left out unless asked for."""
    picture = taken(replace(PLAIN, lines=(straight((45, 34), (65, 34.5), 0.3),)), 7)

    assert suggest(picture).total_m < 4 * MM
    assert suggest(picture, grooves=False).total_m > 17 * MM


def test_resolution_does_not_matter() -> None:
    """Total length in a coarser and a finer picture of one scene: within a tenth."""
    totals = [suggest(taken(crack_scene(12, px_per_mm=p), 12)).total_m for p in (10.0, 18.0)]

    assert totals[0] == pytest.approx(totals[1], rel=0.1)


@pytest.mark.second_way
def test_lasting_is_hysteresis() -> None:
    """Against scikit-image's growing of the strong places inside the weak ones: the same where no piece is too short."""
    from skimage.morphology import reconstruction

    strength = np.random.default_rng(1).gamma(1.0, 2.0, (80, 90)).astype(np.float32)
    grown = reconstruction(strength > 9.0, strength > 4.5, footprint=np.ones((3, 3)))

    assert np.array_equal(lasting(strength, 9.0, 4.5, 0.0), grown > 0)


@pytest.mark.second_way
def test_short_pieces_go_by_regionprops() -> None:
    """Against scikit-image's region boxes: what is left has at least the asked diagonal."""
    from skimage.measure import label, regionprops

    strength = np.random.default_rng(2).gamma(1.0, 2.0, (80, 90)).astype(np.float32)
    for region in regionprops(label(lasting(strength, 6.0, 3.0, 9.0), connectivity=2)):
        top, left, bottom, right = region.bbox
        assert np.hypot(bottom - top, right - left) >= 9.0


@pytest.mark.parametrize(
    "rows, count", [("010 010 111", 1), ("010 010 010", 0), ("101 010 101", 1), ("000 111 000", 0)]
)
def test_branch_points_by_eye(rows: str, count: int) -> None:
    """A T upside down, a line, a cross, a line."""
    bones = np.array([[int(c) for c in r] for r in rows.split()], np.uint8)

    assert int(branch_points(np.pad(bones, 2)).sum()) == count
