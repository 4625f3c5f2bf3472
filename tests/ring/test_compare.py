"""A drum against good ones: wear keeps its matches, a crack is dull or split, and a good drum is neither.

Truth comes from the simulator, so these are statements about the simulator. Seeds are neither those of tuning nor of reporting.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from ring.drum_sound import FULL_WEAR_M, rows, wear_shift
from wheeltapper.measure.ring.align import align, bends_of, lowest_hz
from wheeltapper.measure.ring.compare import CENTRE, SPREAD, compare, spread_of
from wheeltapper.measure.ring.profile import Profile, Voice
from wheeltapper.problems import NoAnswerError

pytestmark = pytest.mark.reasoned


def drum(
    inches: int = 12,
    worn: float = 0.0,
    scale: float = 0.0,
    faster: float = 1.0,
    diameter: bool = False,
    leave: tuple[int, ...] = (),
) -> Profile:
    """A drum of the finite-element table: one family for each pair, worn by a share of the full wear."""
    voices, last = [], 0.0
    for i, (hz, move) in enumerate(wear_shift(inches)):
        if hz > 4000 or hz / (last or 1) < 1.005:
            continue
        last = hz
        f = hz * math.exp(scale) * (1 + worn * move)
        if i not in leave:
            voices.append(Voice(f, faster * 2 * math.pi * f * 1e-3, 0.1, 0.0))
    size = inches * 0.0254 + 2 * worn * FULL_WEAR_M if diameter else None
    return Profile(tuple(sorted(voices, key=lambda v: v.hz)), size)


@pytest.mark.parametrize("inches", [10, 12])
@pytest.mark.parametrize("worn", [0.0, 0.5, 1.0])
def test_a_worn_drum_keeps_its_matches(inches: int, worn: float) -> None:
    """Wear of 0.045 in moves the bending families by 5 to 8 %; with the diameter known most families find their own."""
    new, old = drum(inches, diameter=True), drum(inches, worn, scale=0.01, diameter=True)
    found = align(old, new)

    right = sum(np.argsort(np.argsort(old.hz))[i] == j for i, j in found.pairs)
    assert len(found.pairs) >= 0.75 * len(new.voices)  # by scale alone a fully worn drum kept 57 %
    assert (
        right >= len(found.pairs) - 2
    )  # families that wear has carried across each other may be taken for one another
    assert found.scale == pytest.approx(0.01, abs=0.006)
    assert found.wear == pytest.approx(worn, abs=0.15)


@pytest.mark.parametrize("inches", [10, 12])
def test_the_lowest_family_is_found_though_it_was_not_heard(inches: int) -> None:
    """From the others' places; without any family that a drum has there is none."""
    lowest = rows(inches, "good")[0].hz

    assert lowest_hz(drum(inches).hz) == pytest.approx(lowest, rel=0.02)
    assert lowest_hz(drum(inches, leave=(0, 1)).hz) == pytest.approx(lowest, rel=0.02)
    assert lowest_hz(np.array([9000.0, 9500.0])) is None
    assert np.ptp(bends_of(np.array([9000.0, 9500.0]))) == 0


def test_dying_faster_is_dull_and_louder_is_not() -> None:
    """All families three times as fast: the log of three, far from good drums; the same drum: none of it."""
    goods = [drum(scale=s) for s in (-0.01, 0.0, 0.01)]
    dull, same = compare(drum(faster=3), goods), compare(drum(), goods)

    assert dull.faster == pytest.approx(math.log(3), abs=1e-9)
    assert dull.p < 0.05 < same.p
    assert same.faster == pytest.approx(0, abs=1e-9)


def test_two_families_that_wear_has_brought_together_are_no_split() -> None:
    """Where one reference heard one line and the candidate two, a close pair counts only if a third line is there."""

    def pair(p: Profile, near: float, leave: float = 0.0) -> Profile:
        voices = [v for v in p.voices if not leave or abs(v.hz / leave - 1) > 0.01]
        close = min(voices, key=lambda v: abs(v.hz - near))
        return Profile(tuple(replace(v, split_share=0.015) if v is close else v for v in voices))

    hz = drum().hz
    third, other = (float(hz[np.abs(hz - x).argmin()]) for x in (1143.0, 1067.0))

    assert compare(pair(drum(), third, leave=other), [drum(leave=(2,))]).split_share == 0
    assert compare(pair(drum(), third), [drum()]).split_share == pytest.approx(0.015)


def test_more_dullness_is_never_likelier() -> None:
    """The chance of a good drum being so dull falls with every step."""
    chances = [compare(drum(faster=f), [drum()]).p for f in (0.5, 1, 1.5, 2, 3, 5, 10)]

    assert chances == sorted(chances, reverse=True)


def test_a_split_counts_only_where_the_good_drum_has_one_line() -> None:
    """1 % in a family that is single in the references counts; where a reference is split as well it does not."""

    def split(p: Profile, share: float) -> Profile:
        voices = tuple(
            Voice(v.hz, v.decay_per_s, v.share, share if 1900 < v.hz < 1950 else 0.0) for v in p.voices
        )
        return Profile(voices)

    assert compare(split(drum(), 0.01), [drum()]).split_share == pytest.approx(0.01)
    assert compare(split(drum(), 0.01), [drum(), split(drum(), 0.009)]).split_share == 0


def test_families_that_are_gone_count() -> None:
    """Half of the families unheard is duller than none unheard, though those that are left die as they should."""
    whole, half = compare(drum(), [drum()]), compare(drum(leave=(0, 3, 6, 8, 10, 12, 14, 16, 18)), [drum()])

    assert half.dullness > whole.dullness
    assert half.missing_share > 0.3
    assert whole.missing_share == 0


def test_the_spread_starts_at_the_simulated_and_learns() -> None:
    """No library: the simulated figure, eight degrees of freedom. Ten like drums of one model: more freedom."""
    assert spread_of([]) == (pytest.approx(SPREAD), 8)
    assert spread_of([[drum()]]) == (pytest.approx(SPREAD), 8)
    sd, freedom = spread_of([[drum(scale=s / 1000) for s in range(10)]])
    assert freedom == 17
    assert sd > 0
    assert CENTRE > 0


def test_nothing_to_compare_is_said() -> None:
    """A candidate or references without a family."""
    with pytest.raises(NoAnswerError, match="nothing to compare"):
        compare(Profile(()), [drum()])
    with pytest.raises(NoAnswerError, match="nothing to compare"):
        compare(drum(), [Profile(())])
