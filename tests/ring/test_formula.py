"""Free ring and logarithmic decrement against published numbers."""

from __future__ import annotations

from math import exp, inf, log, nan, pi

import pytest

from wheeltapper.measure.ring import damping_of, decay_per_s, free_ring_hz, log_decrement
from wheeltapper.problems import NoAnswerError


@pytest.mark.published("nafems-ring")
@pytest.mark.parametrize(("order", "hz"), [(2, 53.38), (3, 151.0)])
def test_nafems_ring(order: int, hz: float) -> None:
    """NAFEMS Selected Benchmarks for Natural Frequency Analysis (1987), Test 6: ring of 1 m radius, round section of 0.1 m."""
    area, stiffness = pi * 0.05**2, pi * 0.05**4 / 4

    assert free_ring_hz(order, 1.0, area, stiffness, 200e9, 8000.0) == pytest.approx(hz, abs=0.03)


@pytest.mark.published("sdls109")
@pytest.mark.parametrize(("order", "hz"), [(2, 211.65), (3, 598.64)])
def test_thick_ring_by_the_thin_formula(order: int, hz: float) -> None:
    """SDLS109 (code_aster V2.03.109) quotes the thin-ring formula for its ring: R .369, t .048, L .05 m, E 185 GPa, rho 7800."""
    hz_found = free_ring_hz(order, 0.369, 0.048 * 0.05, 0.05 * 0.048**3 / 12, 185e9, 7800.0)

    assert hz_found == pytest.approx(hz, rel=2e-4)


@pytest.mark.published("rao-2-14")
def test_shock_absorber() -> None:
    """S. S. Rao, Mechanical Vibrations, shock absorber of a motorcycle: to a quarter in half a swing, delta 2.7726, zeta .4037."""
    delta = log_decrement(1.0, 0.25, 0.5)

    assert delta == pytest.approx(2.7726, abs=5e-5)
    assert damping_of(delta) == pytest.approx(0.4037, abs=5e-5)


@pytest.mark.published("prakash-2-10")
def test_twenty_to_two_centimetres() -> None:
    """S. Prakash, Oscillations and Waves, ch. 2, Example 10, p. 112: 20 cm to 2 cm in 100 swings, decrement .023."""
    assert log_decrement(0.20, 0.02, 100) == pytest.approx(0.023, abs=5e-4)


@pytest.mark.reasoned
def test_decay_and_damping_undo_each_other() -> None:
    """The decrement of exp(-decay t) over one period gives the damping that gives the decay."""
    for zeta in (0.0, 1e-4, 1e-3, 0.05, 0.7):
        decay = decay_per_s(zeta, 480.0)
        if zeta:
            assert damping_of(log_decrement(1.0, exp(-decay / 480.0), 1)) == pytest.approx(zeta, rel=1e-9)
        assert damping_of(decay / 480.0) == pytest.approx(zeta, rel=1e-12)
    assert log_decrement(1.0, 2.0, 1) == pytest.approx(-log(2))


@pytest.mark.reasoned
def test_what_is_no_ring() -> None:
    """Sentences, not tracebacks."""
    for bad in (0.0, -1.0, nan, inf):
        with pytest.raises(NoAnswerError):
            free_ring_hz(2, bad, 1.0, 1.0, 1.0, 1.0)
        with pytest.raises(NoAnswerError):
            log_decrement(1.0, bad, 1.0)
    with pytest.raises(NoAnswerError):
        free_ring_hz(1, 1.0, 1.0, 1.0, 1.0, 1.0)
    with pytest.raises(NoAnswerError):
        decay_per_s(1.0, 480.0)
