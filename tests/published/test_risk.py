"""Risks of a gauge, doubts put together and Student's t against the guides of the Joint Committee and a calibration paper."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from wheeltapper.measure.doubt import combine, repeats
from wheeltapper.measure.guard_band import (
    factor_quarter,
    factor_rss,
    factor_two_per_cent,
    factor_whole,
    guard_for_one,
)
from wheeltapper.measure.risk import (
    Band,
    Gamma,
    Normal,
    conforming_share,
    guard_for,
    nonconforming_share,
    risks,
)
from wheeltapper.measure.student import coverage_factor, effective_freedom

MOTION = Gamma(4.0, 0.25)  # radial error motion of bearings, um
UP_TO_2 = Band(high=2.0)


@pytest.mark.published("jcgm-106-9.5.4")
def test_bearings_out_of_limits() -> None:
    """JCGM 106:2012, 9.5.4, radial error motion at most 2 um, gamma(4, 1/4): 4.2 % out (second-hand copy: 0.042380)."""
    assert nonconforming_share(MOTION, UP_TO_2) == pytest.approx(0.042380, abs=5e-7)


@pytest.mark.published("jcgm-106-9.5.4")
def test_bearings_accepted_wrongly() -> None:
    """The same example, u = 0.25 um and no guard band: 0.8 % accepted though out (second-hand copy: 0.008019)."""
    told = risks(MOTION, 0.25, UP_TO_2, UP_TO_2)

    assert told.false_accept == pytest.approx(0.008019, abs=5e-7)
    assert told.nonconforming == pytest.approx(0.042380, abs=5e-7)


@pytest.mark.published("jcgm-106-9.5.4")
def test_bearings_acceptance_limit() -> None:
    """The same example: accepting up to 1.67 um keeps wrong acceptance to 0.1 % (second-hand copy: 1.67183)."""
    assert 2 - guard_for(MOTION, 0.25, UP_TO_2, 0.001) == pytest.approx(1.67183, abs=5e-6)


@pytest.mark.published("guard-band-paper-page-7")
def test_limits_of_two_deviations() -> None:
    """A paper on guard bands from the NCSL conferences, page 7: limits of 2 sigma, uncertainty ratio 4: 0.8 % and 1.5 %.

    The paper was not seen; the values are quoted in a public test of these risks.
    """
    told = risks(Normal(0.0, 4.0), 1.0, Band(-8.0, 8.0), Band(-8.0, 8.0))

    assert told.false_accept == pytest.approx(0.008, abs=5e-4)
    assert told.false_reject == pytest.approx(0.015, abs=5e-4)


@pytest.mark.published("jcgm-106-clause-7")
def test_breakdown_voltage_without_a_prior() -> None:
    """JCGM 106:2012, clause 7: T_U = -5.40 V, y = -5.47 V, u = 0.05 V gives 0.92 (recalled and recomputed, not seen)."""
    assert conforming_share(-5.47, 0.05, Band(high=-5.40)) == pytest.approx(0.92, abs=0.005)


@pytest.mark.published("jcgm-106-8.3.2")
@pytest.mark.parametrize("outside, bands", [(0.022750, 2.0), (0.05, 1.6449)])
def test_guard_band_of_one_reading(outside: float, bands: float) -> None:
    """JCGM 106:2012, 8.3.2: a guard band of 2 u leaves 2.275 %, one of 1.645 u leaves 5 % (document not seen)."""
    assert guard_for_one(0.0015, outside) == pytest.approx(bands * 0.0015, rel=1e-4)


@pytest.mark.published("jcgm-106-table-1")
@pytest.mark.parametrize("sure, z", [(0.80, 0.84), (0.90, 1.28), (0.95, 1.64), (0.99, 2.33), (0.999, 3.09)])
def test_room_for_a_probability(sure: float, z: float) -> None:
    """JCGM 106:2012, 7.3, Table 1: z for a one-sided limit and a normal density (recalled and recomputed, not seen)."""
    assert guard_for_one(1.0, 1 - sure) == pytest.approx(z, abs=0.0051)


@pytest.mark.published("guard-band-factors")
def test_factors_at_two_and_a_half() -> None:
    """Calibration practice at a test uncertainty ratio of 2.5; the formulas were read in a second-hand copy only."""
    told = [f(2.5) for f in (factor_rss, factor_whole, factor_quarter, factor_two_per_cent)]

    assert told == pytest.approx([0.9165, 0.60, 0.85, 0.9142], abs=5e-5)


@pytest.mark.published("gum-h1")
def test_end_gauge() -> None:
    """JCGM 100:2008 (GUM), Annex H.1: combined 32 nm, effective degrees of freedom 16.7, cut to 16 (second-hand copy).

    The standard 25 nm (18); the difference 5.8 (24), 3.9 (5), 6.7 (8); expansion 2.9 (50); temperature 16.6 (2).
    """
    c = combine([25, 5.8, 3.9, 6.7, 2.9, 16.6], 1.0, [18, 24, 5, 8, 50, 2])

    assert c.standard == pytest.approx(32, abs=0.5)
    assert c.freedom == pytest.approx(16.7, abs=0.1)
    assert c.expanded == pytest.approx(
        68, abs=1.2
    )  # printed from the rounded 32 nm; from 31.67 nm it is 66.9


@pytest.mark.published("gum-h1")
@pytest.mark.parametrize("confidence, freedom, printed", [(0.95, 15.78, 68.0), (0.99, 16.0, 93.0)])
def test_end_gauge_expanded(confidence: float, freedom: float, printed: float) -> None:
    """GUM Annex H.1, expanded from the printed 32 nm: 68 nm (second-hand copy), 93 nm (recalled and recomputed)."""
    assert coverage_factor(confidence, freedom) * 32 == pytest.approx(printed, abs=0.5)


@pytest.mark.published("gum-h1")
def test_end_gauge_difference() -> None:
    """GUM Annex H.1.3.2: 5.8 (24), 3.9 (5) and 6.7 nm (8) make 9.7 nm with 25.6 degrees of freedom (recalled, recomputed)."""
    assert effective_freedom([5.8, 3.9, 6.7], [24, 5, 8]) == pytest.approx(
        25.6, abs=0.2
    )  # printed from the rounded 9.7
    assert combine([5.8, 3.9, 6.7], 1.0, [24, 5, 8]).standard == pytest.approx(9.7, abs=0.05)


@pytest.mark.published("gum-table-g2")
@pytest.mark.parametrize("freedom, at_95, at_95_45, at_99", [
    (1, 12.71, 13.97, 63.66), (2, 4.30, 4.53, 9.92), (3, 3.18, 3.31, 5.84), (5, 2.57, 2.65, 4.03), (10, 2.23, 2.28, 3.17),
    (20, 2.09, 2.13, 2.85), (50, 2.01, 2.05, 2.68), (inf, 1.960, 2.000, 2.576),
])  # fmt: skip
def test_t_of_the_gum(freedom: float, at_95: float, at_95_45: float, at_99: float) -> None:
    """JCGM 100:2008 (GUM), table G.2, Student's t (recalled and recomputed; the document was not at hand)."""
    told = coverage_factor(np.array([0.95, 0.9545, 0.99]), freedom)

    assert told == pytest.approx([at_95, at_95_45, at_99], abs=0.0051)


TEMPERATURES = [
    96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68, 100.95, 101.11, 101.20,
    101.57, 101.84, 102.36, 102.72,
]  # fmt: skip


@pytest.mark.published("gum-4.4.3")
def test_repeated_temperatures() -> None:
    """JCGM 100:2008 (GUM), 4.4.3, table 1: 20 readings, mean 100.14, s 1.49, of the mean 0.33 (recalled and recomputed)."""
    told = repeats(TEMPERATURES)

    assert told.mean == pytest.approx(100.145, abs=5e-4)
    assert told.deviation == pytest.approx(1.489, abs=5e-4)
    assert told.of_mean == pytest.approx(0.333, abs=5e-4)
    assert told.freedom == 19
