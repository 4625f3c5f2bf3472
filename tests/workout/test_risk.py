"""Risks of a gauge and doubts put together as a person asks for them: texts in, numbers and sentences out."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from asking import answered, names, shown, slipped

DRUM = {"doubt": "0.004 in", "upper": "12.090 in"}
MOTION = {"doubt": "0.25 um", "factor": "1", "upper": "2 um", "spread": "gamma"}


@pytest.mark.published("jcgm-106-9.5.4")
def test_bearings_of_the_guide() -> None:
    """JCGM 106:2012, 9.5.4: 4.2 % out, 0.8 % wrongly accepted, 1.67 um for 0.1 % (second-hand copy read)."""
    parts = {"mean": "1 um", "deviation": "0.5 um"}
    plain = answered("gauge-risk", **MOTION, **parts)
    kept = answered("gauge-risk", **MOTION, **parts, wanted="0.1 %")

    assert shown(plain, "nonconforming") == pytest.approx(4.2380, abs=5e-5)
    assert shown(plain, "false_accept") == pytest.approx(0.8019, abs=5e-5)
    assert (shown(plain, "shape"), shown(plain, "scale")) == pytest.approx((4, 0.25))
    assert shown(kept, "accept_upper") == pytest.approx(1.67183, abs=5e-6)
    assert shown(kept, "upper_guard") == pytest.approx(0.32817, abs=5e-6)
    assert shown(kept, "false_accept") == pytest.approx(0.1)
    assert "ratio" not in names(kept)


@pytest.mark.published("guard-band-paper-page-7")
def test_limits_of_two_deviations() -> None:
    """A guard-band paper of the NCSL conferences, page 7 (quoted in a public test): 0.8 % and 1.5 %, as plain numbers."""
    a = answered("gauge-risk", doubt="1", factor="1", lower="-8", upper="8", deviation="4")
    same = answered(
        "gauge-risk", doubt="2", lower="-8", upper="8", in_limits=f"{100 * (1 - 2 * stats.norm.sf(2))} %"
    )

    assert shown(a, "false_accept") == pytest.approx(0.8, abs=0.05)
    assert shown(a, "false_reject") == pytest.approx(1.5, abs=0.05)
    assert shown(a, "ratio") == pytest.approx(4)
    assert shown(same, "false_accept") == pytest.approx(shown(a, "false_accept"), rel=1e-9)
    assert "8 bad ones" in a.says[0]


@pytest.mark.published("jcgm-106-clause-7")
def test_breakdown_voltage() -> None:
    """JCGM 106:2012, clause 7, in volts: 92 % (recalled and recomputed; the document was not seen)."""
    a = answered("conformance", reading="-5.47 V", doubt="0.05 V", factor="1", upper="-5.40 V")

    assert shown(a, "conforming") == pytest.approx(92, abs=0.5)
    assert shown(a, "conforming") + shown(a, "out") == pytest.approx(100)
    assert shown(a, "upper_room") == pytest.approx(1.4)


@pytest.mark.published("gum-h1")
def test_end_gauge() -> None:
    """JCGM 100:2008 (GUM), Annex H.1: 32 nm, 16.7 degrees of freedom cut to 16, U99 93 nm from the rounded 32 (second-hand)."""
    a = answered("combine-doubts", doubts="25 5.8 10 20 5e6 0.05", sensitivities="1 1 1 1 1e-6 575",
                 divide="1 1 2.571 3 1.7320508 1.7320508", freedoms="18 24 5 8 50 2", confidence="99 %")  # fmt: skip

    assert shown(a, "standard") == pytest.approx(32, abs=0.5)
    assert shown(a, "freedom") == pytest.approx(16.7, abs=0.1)
    assert shown(a, "freedom_whole") == 16
    assert shown(a, "coverage_whole") == pytest.approx(2.92, abs=0.005)
    assert shown(a, "contributions") == pytest.approx((25, 5.8, 3.9, 6.7, 2.9, 16.6), abs=0.05)
    assert sum(shown(a, "shares")) == pytest.approx(100)
    assert "Number 1 of 6 makes 62" in a.says[0]


@pytest.mark.second_way
def test_a_known_spread_helps() -> None:
    """The prior's mean and deviation enter as the other library's product of two normal curves."""
    a = answered(
        "conformance", reading="12.089 in", **DRUM, prior_mean="12.05 in", prior_deviation="0.002 in"
    )
    x = np.linspace(12.0, 12.14, 200_001)
    weight = stats.norm.pdf(x, 12.089, 0.002) * stats.norm.pdf(x, 12.05, 0.002)

    assert shown(a, "after_mean") == pytest.approx(np.average(x, weights=weight), rel=1e-9)
    assert shown(a, "conforming") == pytest.approx(100 * weight[x <= 12.09].sum() / weight.sum(), rel=1e-9)
    assert shown(a, "out_before") == pytest.approx(100 * stats.norm.sf(20), abs=1e-12)


@pytest.mark.second_way
def test_guard_band_for_a_risk() -> None:
    """Guard bands, acceptance limits and the gauge for a distance by the other library's normal quantiles."""
    a = answered(
        "guard-band", doubt="0.004 in", lower="12.00 in", upper="12.09 in", risk="1 %", distance="0.003 in"
    )
    z = float(stats.norm.isf(0.01))

    assert shown(a, "guard_risk") == pytest.approx(0.002 * z)
    assert shown(a, "accept_upper_risk") == pytest.approx(12.09 - 0.002 * z)
    assert shown(a, "accept_lower_two") == pytest.approx(12.004)
    assert shown(a, "ratio") == pytest.approx(0.045 / 0.004)
    assert shown(a, "doubt_for_distance") == pytest.approx(2 * 0.003 / z)


@pytest.mark.published("guard-band-factors")
def test_guard_band_factors() -> None:
    """The four factors at a ratio of 2.5 (calibration practice, second-hand copy), from the ratio or from what makes it."""
    for texts in ({"ratio": "2.5"}, {"doubt": "4 um", "tolerance": "10 um"}):
        a = answered("guard-band", **texts)
        told = [shown(a, f"factor_{n}") for n in ("rss", "whole", "quarter", "two_per_cent")]
        assert told == pytest.approx([0.9165, 0.60, 0.85, 0.9142], abs=5e-5)


@pytest.mark.second_way
def test_repeats_with_the_gauge() -> None:
    """Mean, scatter and the t interval of the other library; the gauge's doubt goes on top as squares."""
    readings = [12.051, 12.053, 12.052, 12.050]
    a = answered(
        "repeat-readings", readings="12.051 12.053 12.052 12.050 in", doubt="0.002 in", wanted="0.0025 in"
    )
    bare = answered("repeat-readings", readings="12.051 12.053 12.052 12.050 in")
    low, high = stats.t.interval(0.95, 3, loc=np.mean(readings), scale=stats.sem(readings))

    assert shown(a, "mean") == pytest.approx(np.mean(readings))
    assert (shown(a, "smallest"), shown(a, "largest")) == pytest.approx((12.050, 12.053))
    assert shown(a, "standard") == pytest.approx(float(np.hypot(stats.sem(readings), 0.001)))
    assert shown(bare, "expanded") == pytest.approx((high - low) / 2)
    assert shown(a, "readings_needed") == 4
    assert any("never their mean" in said for said in a.says)


@pytest.mark.reasoned
def test_how_many_readings_by_a_known_scatter() -> None:
    """(1.96 s / U)^2 rounded up; a gauge that is worse than wanted is no matter of readings."""
    assert shown(answered("repeat-readings", scatter="0.5", wanted="0.1"), "readings_needed") == 97
    assert "gauge alone" in slipped("repeat-readings", scatter="0.5", wanted="0.1", doubt="0.2").what


@pytest.mark.reasoned
def test_readings_all_alike() -> None:
    """Readings without scatter leave the gauge's doubt, and the sheet says that the gauge may be too coarse."""
    a = answered("repeat-readings", readings="12.05 12.05 12.05 in", doubt="0.002 in")
    none = answered("repeat-readings", readings="12.05 12.05 12.05 in")

    assert shown(a, "standard") == pytest.approx(0.001)
    assert shown(a, "freedom") == "infinite"
    assert any("too coarse" in said for said in a.says)
    assert "expanded" not in names(none)


@pytest.mark.reasoned
def test_units_are_one_kind() -> None:
    """Inches and millimetres go together and the first sets the unit; inches and volts, or inches and none, do not."""
    mixed = answered("conformance", reading="12.085 in", doubt="0.1016 mm", upper="307.086 mm")
    same = answered("conformance", reading="12.085 in", **DRUM)

    assert shown(mixed, "conforming") == pytest.approx(shown(same, "conforming"))
    assert shown(mixed, "standard") == pytest.approx(0.002)
    assert "one kind" in slipped("conformance", reading="12.085 in", doubt="0.1 V", upper="12.09 in").what
    assert "one kind" in slipped("conformance", reading="12.085 in", doubt="0.1", upper="12.09 in").what


@pytest.mark.reasoned
def test_fractions_and_commas_are_read() -> None:
    """'12 1/16 in' is one size, '0,1 0,2 mm' are two, and exponents count."""
    assert shown(answered("conformance", reading="12 1/16 in", **DRUM), "upper_room") == pytest.approx(13.75)
    a = answered("combine-doubts", doubts="0,3 4e-1 mm")
    assert shown(a, "standard") == pytest.approx(0.5)
    assert shown(a, "freedom") == "infinite"
    assert shown(a, "expanded_k2") == pytest.approx(1.0)


@pytest.mark.reasoned
def test_almost_no_risk_is_not_called_none() -> None:
    """Parts far inside their limit: under 0.01 in a thousand, never 0 and never a number with an exponent."""
    a = answered("gauge-risk", doubt="0.001 in", upper="12.09 in", mean="12.0 in", deviation="0.001 in")

    assert "under 0.01 bad ones" in a.says[0]


@pytest.mark.reasoned
def test_past_the_limit_is_said() -> None:
    """Acceptance past a limit is told as what it is, and a probability never as a verdict."""
    a = answered("gauge-risk", **DRUM, mean="12.05 in", deviation="0.01 in", guard="-0.003 in")

    assert shown(a, "accept_upper") == pytest.approx(12.093)
    assert shown(a, "upper_guard") == pytest.approx(-0.003)
    assert any("past its limit" in said for said in a.says)
    assert any("no verdict" in said for said in a.says)


@pytest.mark.reasoned
@pytest.mark.parametrize("name, texts, what", [
    ("conformance", {"reading": "12.05 in", "doubt": "0.004 in"}, "no limit"),
    ("conformance", {"reading": "12.05 in", "doubt": "0 in", "upper": "12.09 in"}, "zero or less"),
    ("conformance", {"reading": "12.05 in", **DRUM, "lower": "13 in"}, "not under the upper"),
    ("conformance", {"reading": "12.05 in", **DRUM, "prior_mean": "12 in"}, "prior_deviation is missing"),
    ("conformance", {"reading": "12.05 12.06 in", **DRUM}, "more than one"),
    ("conformance", {"reading": "twelve", **DRUM}, "not a number"),
    ("conformance", {"reading": "inf in", **DRUM}, "not a number"),
    ("conformance", {"reading": "70 F", "doubt": "1 F", "upper": "80 F"}, "zero is no nothing"),
    ("gauge-risk", {**DRUM, "deviation": "0.01 in"}, "mean is missing"),
    ("gauge-risk", {**DRUM, "mean": "12 in"}, "not given once"),
    ("gauge-risk", {**DRUM, "mean": "12 in", "in_limits": "90 %"}, "in_limits needs"),
    ("gauge-risk", {"doubt": "1", "lower": "0", "upper": "8", "in_limits": "100 %"}, "not between"),
    ("gauge-risk", {**DRUM, "mean": "12 in", "deviation": "0.1 in", "guard": "0.1 in", "wanted": "1 %"}, "twice"),
    ("gauge-risk", {**DRUM, "mean": "12 in", "deviation": "0.01 in", "wanted": "1 %"}, "measured or not"),
    ("guard-band", {}, "nothing to work from"),
    ("guard-band", {"distance": "0.01 in", "factor": "-2"}, "factor"),
    ("guard-band", {"ratio": "0.9"}, "as large as the tolerance"),
    ("combine-doubts", {"doubts": "1 2", "freedoms": "3 4 5"}, "equally long"),
    ("combine-doubts", {"doubts": "1 2", "divide": "0"}, "divisor"),
    ("combine-doubts", {"doubts": "1 2", "divide": "1 2 3"}, "equally long"),
    ("combine-doubts", {"doubts": "1 2", "freedoms": "many"}, "not a list of numbers"),
    ("combine-doubts", {"doubts": "0 0"}, "none of the doubts"),
    ("repeat-readings", {}, "not given once"),
    ("repeat-readings", {"readings": "12.05 in"}, "one reading"),
    ("repeat-readings", {"scatter": "1"}, "nothing to work out"),
    ("repeat-readings", {"scatter": "1", "wanted": "1", "factor": "0"}, "factor 0 is less"),
])  # fmt: skip
def test_what_has_no_answer(name: str, texts: dict[str, str], what: str) -> None:
    """Each slip is told in words with what to do, never as an error of ours."""
    assert what in slipped(name, **texts).what
