"""Tones and damping as a person asks for them."""

from __future__ import annotations

import pytest

from asking import answered, shown, slipped


@pytest.mark.published("sdls109")
def test_tones_of_the_published_ring() -> None:
    """SDLS109 (code_aster V2.03.109): R .369, t .048, L .05 m, E 185 GPa, rho 7800: 211.65 and 598.64 Hz by the thin formula."""
    answer = answered(
        "ring-tone", across="738 mm", height="48 mm", width="50 mm", material_modulus="185 GPa", density="7800 kg/m3", count="2",
    )  # fmt: skip

    assert shown(answer, "tones") == pytest.approx((211.65, 598.64), rel=2e-4)
    assert shown(answer, "waves") == (2, 3)
    assert any("never clears a drum" in said for said in answer.says)


@pytest.mark.published("rao-2-14")
def test_damping_of_the_published_absorber() -> None:
    """S. S. Rao, Mechanical Vibrations, shock absorber of a motorcycle: to a quarter in half a swing, delta 2.7726, zeta .4037."""
    answer = answered("ring-damping", first="1", later="0.25", swings="0.5")

    assert shown(answer, "decrement") == pytest.approx(2.7726, abs=5e-5)
    assert shown(answer, "damping") == pytest.approx(40.37, abs=5e-3)


@pytest.mark.reasoned
def test_damping_with_its_tone() -> None:
    """A thousandth after 480 swings at 480 Hz: it falls by 60 dB in one second."""
    answer = answered("ring-damping", first="1000", later="1", swings="480", tone="480 Hz")

    assert shown(answer, "falls_by_60_db") == pytest.approx(1.0)
    assert shown(answer, "left_after_1_s") == pytest.approx(0.1)


@pytest.mark.reasoned
def test_what_does_not_ring() -> None:
    """A sound that grows, and a wall thicker than the ring."""
    assert "not the smaller one" in slipped("ring-damping", first="1", later="2", swings="1").what
    high = slipped("ring-tone", across="10 in", height="6 in", width="1 in")
    assert "higher than the ring's radius" in high.what
