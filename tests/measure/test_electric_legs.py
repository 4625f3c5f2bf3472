"""Wires, legs and dead legs against circuits solved node by node."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wheeltapper.measure import electric, legs
from wheeltapper.problems import NoAnswerError

COILS = (3.1, 3.25, 3.4, 3.3, 3.15, 3.35, 3.2, 3.45)
PLUG = 12.6


def solved(coils: tuple[float, ...], feed: float, own: tuple[float, ...], dead: tuple[int, ...] = ()) -> tuple[float, list[float]]:  # fmt: skip
    """Total current and voltage at each magnet, by nodal analysis: a node after the feed and one at each magnet."""
    n = len(coils)
    matrix, source = np.zeros((n + 1, n + 1)), np.zeros(n + 1)
    feed_g = 1 / max(feed, 1e-9)
    matrix[0, 0] += feed_g
    source[0] += feed_g * PLUG
    for leg, (coil, lead) in enumerate(zip(coils, own, strict=True), 1):
        g = 0.0 if leg - 1 in dead else 1 / max(lead, 1e-9)
        matrix[0, 0] += g
        matrix[leg, leg] += g + 1 / coil
        matrix[0, leg] -= g
        matrix[leg, 0] -= g
    volts = np.linalg.solve(matrix, source)
    return float(sum(volts[1:] / np.asarray(coils))), [float(v) for v in volts[1:]]


def harness(total: float, coils: tuple[float, ...], feed: float = 0.0, **other: object) -> legs.Harness:
    """Readings with small doubts and no voltage known at a magnet."""
    plain = legs.Harness(
        total, 0.05, PLUG, 0.02, coils, (0.01,) * len(coils), (None,) * len(coils), 0.05, 2.0, feed
    )
    return replace(plain, **other)  # type: ignore[arg-type]


@pytest.mark.second_way
@pytest.mark.parametrize("feed", [0.0, 0.12, 0.5])
@pytest.mark.parametrize("count", [1, 2, 4, 6, 8])
def test_coils_behind_a_wire(feed: float, count: int) -> None:
    """Total current and what is left at the coils, from the node equations."""
    total, volts = solved(COILS[:count], feed, (0.0,) * count)
    current, left = electric.fed_through_wire(PLUG, feed, COILS[:count])

    assert current == pytest.approx(total, rel=1e-6)
    assert left == pytest.approx(volts[0], rel=1e-6)


@pytest.mark.second_way
@given(feed=st.floats(0.01, 0.6), own=st.lists(st.floats(0.0, 2.0), min_size=4, max_size=4))
def test_resistance_of_each_leg(feed: float, own: list[float]) -> None:
    """From solved voltages back: own resistance beyond the best leg never over the leg's own, shared never under the feed.

    With a best leg that has no lead of its own both are exact.
    """
    own[1] = 0.0
    total, volts = solved(COILS[:4], feed, tuple(own))
    shown, coils = np.asarray(volts), np.asarray(COILS[:4])
    found = electric.beyond_best_ohm(np.full(4, shown.max()), shown, coils)
    felt = electric.leg_ohm(np.full(4, PLUG), shown, coils)

    assert found == pytest.approx(own, abs=1e-6)
    assert (PLUG - shown.max()) / total == pytest.approx(feed, abs=1e-6)
    assert np.all(felt >= np.asarray(own) + feed - 1e-6)


@pytest.mark.second_way
@pytest.mark.parametrize("feed", [0.0, 0.1])
@pytest.mark.parametrize("count", [2, 4, 6])
def test_every_set_of_dead_legs_is_found(feed: float, count: int) -> None:
    """For each set of dead legs the current of the solved circuit brings that set back, with its voltages."""
    coils = COILS[:count]
    for size in range(count + 1):
        for dead in combinations(range(count), size):
            total, volts = solved(coils, feed, (0.0,) * count, dead)
            found = legs.explanations(harness(total, coils, feed))
            (ours,) = [e for e in found if e.dead == dead and e.weak is None and not e.shared]
            assert abs(ours.residual_share) < 1e-4
            assert ours.magnets_v == pytest.approx(volts, abs=1e-4)
            assert sum(e.likelihood_share for e in found) == pytest.approx(1)
            assert [e.legs for e in found] == sorted(e.legs for e in found)


@pytest.mark.second_way
@settings(deadline=None)
@given(extra=st.floats(0.8, 30), leg=st.integers(0, 3), feed=st.sampled_from([0.0, 0.1]))
def test_a_bad_splice_is_found_with_its_ohms(extra: float, leg: int, feed: float) -> None:
    """One leg with a resistance in it: among the explanations, with that resistance and that voltage."""
    own = tuple(extra if n == leg else 0.0 for n in range(4))
    total, volts = solved(COILS[:4], feed, own)
    (ours,) = [e for e in legs.explanations(harness(total, COILS[:4], feed)) if e.weak == leg and not e.dead]

    assert ours.extra_ohm == pytest.approx(extra, rel=1e-4)
    assert ours.magnets_v == pytest.approx(volts, abs=1e-4)
    assert ours.legs == 1


@pytest.mark.second_way
@given(extra=st.floats(0.2, 3))
def test_a_bad_feed_is_found_with_its_ohms(extra: float) -> None:
    """A resistance in the shared feed: among the explanations, after all that need fewer legs."""
    total, volts = solved(COILS[:4], 0.1 + extra, (0.0,) * 4)
    found = legs.explanations(harness(total, COILS[:4], 0.1))
    (ours,) = [e for e in found if e.shared]

    assert ours.extra_ohm == pytest.approx(extra, rel=1e-4)
    assert ours.magnets_v == pytest.approx(volts, abs=1e-4)
    assert ours.legs == 4


@pytest.mark.reasoned
def test_like_coils_cannot_be_told_apart_until_one_is_measured() -> None:
    """Half the current on four like magnets: six pairs alike; a voltage at one leaves three, at a second decides or halves."""
    coils = (3.2,) * 4
    total, _ = solved(coils, 0.0, (0.0,) * 4, (1, 2))
    blind = legs.explanations(harness(total, coils))
    pairs = [e for e in blind if e.legs == 2]
    one = harness(total, coils, magnets_v=(PLUG, None, None, None))
    after_one = [e for e in legs.explanations(one) if e.legs == 2]
    two = replace(one, magnets_v=(PLUG, 0.0, None, PLUG))

    assert [e.dead for e in pairs] == list(combinations(range(4), 2))
    assert len({round(e.likelihood_share, 9) for e in pairs}) == 1
    assert legs.best_leg(harness(total, coils), blind) == 0
    assert [e.dead for e in after_one] == [(1, 2), (1, 3), (2, 3)]
    assert [e.dead for e in legs.explanations(two)] == [(1, 2)]
    assert legs.best_leg(two, legs.explanations(two)) is None


@pytest.mark.reasoned
def test_unlike_coils_name_the_leg() -> None:
    """Coils that differ by more than the doubts: the current alone names the dead leg."""
    coils = (3.0, 3.3, 3.6, 3.9)
    for leg in range(4):
        total, _ = solved(coils, 0.0, (0.0,) * 4, (leg,))
        simplest = [e for e in legs.explanations(harness(total, coils)) if e.legs == 1 and e.dead]
        assert [e.dead for e in simplest] == [(leg,)]


@pytest.mark.reasoned
def test_a_coil_not_measured_widens_the_doubt() -> None:
    """0.6 A under the current of three legs: no dead leg explains it with measured coils, one does from 3.0 to 3.8 ohm."""
    total, _ = solved((3.4,) * 4, 0.0, (0.0,) * 4, (0,))
    sharp = legs.explanations(harness(total - 0.6, (3.4,) * 4))
    wide = legs.explanations(harness(total - 0.6, (3.4,) * 4, coil_doubts_ohm=(0.4,) * 4))

    assert not any(e.weak is None and not e.shared for e in sharp)
    assert [e.dead for e in wide if e.weak is None and not e.shared] == [(0,), (1,), (2,), (3,)]


@pytest.mark.reasoned
def test_current_that_nothing_explains() -> None:
    """More than all coils draw, and less than the magnets that were measured alive draw: no explanation."""
    assert legs.explanations(harness(17.0, (3.2,) * 4)) == ()
    assert legs.explanations(harness(1.0, (3.2,) * 4, magnets_v=(PLUG, PLUG, None, None))) == ()
    assert legs.best_leg(harness(17.0, (3.2,) * 4), ()) is None


@pytest.mark.reasoned
def test_a_voltage_at_a_magnet_rules_out_the_feed() -> None:
    """Half the current may be a bad feed, but not where one magnet shows the plug's volts."""
    total, _ = solved((3.2,) * 4, 0.8, (0.0,) * 4)

    assert any(e.shared for e in legs.explanations(harness(total, (3.2,) * 4)))
    known = harness(total, (3.2,) * 4, magnets_v=(PLUG, None, None, None))
    assert not any(e.shared for e in legs.explanations(known))


@pytest.mark.reasoned
def test_wires_as_arrays() -> None:
    """Gauges in an array, each as alone; a thinner wire has more ohms."""
    gauges = np.array([10.0, 12.0, 14.0])
    ohms = electric.wire_ohm(gauges, np.array([20.0, 20.0, 20.0]))

    assert ohms == pytest.approx([electric.wire_ohm(g, 20.0) for g in (10.0, 12.0, 14.0)], rel=1e-14)
    assert np.all(np.diff(ohms) > 0)


@pytest.mark.reasoned
@pytest.mark.parametrize("asked", [
    lambda: electric.wire_ohm(-4, 10.0),
    lambda: electric.wire_ohm(41, 10.0),
    lambda: electric.wire_ohm_per_m(float("nan")),
    lambda: electric.thinnest_awg(0.0, 10.0),
    lambda: electric.thinnest_awg(1e-6, 100.0),
    lambda: electric.leg_ohm(12.0, 0.0, 3.2),
    lambda: electric.leg_ohm(12.0, 11.0, 0.0),
    lambda: electric.leg_ohm(12.0, 12.5, 3.2),
    lambda: electric.current_window_a(0.0, 0.3, 0.2),
    lambda: legs.explanations(harness(1.0, ())),
    lambda: legs.explanations(harness(1.0, (3.2,) * 9)),
    lambda: legs.explanations(harness(1.0, (3.2, 0.0))),
    lambda: legs.explanations(harness(1.0, (3.2, 3.2), magnets_v=(None,))),
    lambda: legs.explanations(harness(1.0, (3.2, 3.2), coil_doubts_ohm=(0.1, 4.0))),
    lambda: legs.explanations(harness(-1.0, (3.2, 3.2))),
    lambda: legs.explanations(harness(1.0, (3.2, 3.2), total_doubt_a=0.0)),
    lambda: legs.explanations(harness(1.0, (3.2, 3.2), magnets_v=(14.0, None))),
    lambda: legs.explanations(harness(1.0, (3.2, 3.2), magnets_v=(-1.0, None))),
])  # fmt: skip
def test_what_cannot_be_answered(asked: object) -> None:
    """Gauges that do not exist, no coils, too many, no doubt, volts over the plug's: refused, with what to do."""
    assert callable(asked)
    with pytest.raises(NoAnswerError) as slip:
        asked()

    assert len(slip.value.what) > 10
    assert slip.value.do.endswith(".")
