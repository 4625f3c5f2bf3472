"""Wear rates, wear lines and groove bottoms as a person asks for them: texts in, numbers and sentences out."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from asking import answered, names, shown, slipped

DRUM = {
    "distance": "0 12000 24000 mi",
    "size": "10.000 10.018 10.045 in",
    "doubt": "0.003 in",
    "limit": "10.090 in",
}
LINING = {
    "distance": "0 10000 mi",
    "size": "0.250 0.190 in",
    "doubt": "0.010 in",
    "sense": "shrinks",
    "limit": "0.0625 in",
}
EVAPORATION = {
    "distance": "20 60 100 140 180 220 260 300 340 380",
    "size": "0.18 0.37 0.35 0.78 0.56 0.75 1.18 1.36 1.17 1.65",
}
GROOVE = {"surface": "12.060 in", "depth": "0.016 in", "surface_doubt": "0.002 in", "depth_doubt": "0.001 in"}


@pytest.mark.reasoned
def test_the_faster_of_two_rates() -> None:
    """By hand: all records 0.001875, the last interval 0.00225 in for 1,000 miles; 0.042 in left last 18,667 miles."""
    a = answered("wear-rate", **DRUM, new="10.000 in", service="18000 mi")

    assert shown(a, "all_per_1000_mi") == pytest.approx(0.001875)
    assert shown(a, "last_per_1000_mi") == pytest.approx(0.00225)
    assert shown(a, "rate_per_1000_mi") == pytest.approx(0.00225)
    assert shown(a, "faster") is False
    assert shown(a, "left") == pytest.approx(0.042)
    assert shown(a, "remaining") == pytest.approx(0.042 / 0.00225 * 1000)
    assert shown(a, "interim_check") == pytest.approx(14500)
    assert shown(a, "used") == pytest.approx(50)
    assert shown(a, "lasts_to_service") is True
    assert "18,667 mi" in a.says[0]


@pytest.mark.reasoned
def test_lining_without_the_doubt_taken_off() -> None:
    """A lining shrinks 0.006 in each 1,000 miles: 0.1275 in last 21,250, looked at again after 17,000."""
    a = answered("wear-rate", **LINING, take_doubt="no", service="25000 mi")

    assert shown(a, "rate_per_1000_mi") == pytest.approx(0.006)
    assert shown(a, "remaining") == pytest.approx(21250)
    assert shown(a, "interim_check") == pytest.approx(17000)
    assert shown(a, "lasts_to_service") is False
    assert any("does not last" in said for said in a.says)


@pytest.mark.reasoned
def test_settings_may_be_given() -> None:
    """The tables' settings give way to those asked for: share and step of the check, and what counts as faster."""
    a = answered("wear-rate", **DRUM, interim_share="50 %", step="1000 mi", faster="110 %")

    assert shown(a, "interim_check") == pytest.approx(9000)
    assert shown(a, "faster") is True
    assert any("faster lately" in said for said in a.says)


@pytest.mark.reasoned
@pytest.mark.parametrize("texts, said", [
    ({"distance": "0 mi", "size": "10.02 in"}, "1,000 mi apart"),
    ({"distance": "0 900 mi", "size": "10.00 10.02 in"}, "1,000 mi apart"),
    ({"distance": "0 9000 mi", "size": "10.000 10.006 in"}, "twice the gauge's doubt"),
])  # fmt: skip
def test_not_enough_to_say(texts: dict[str, str], said: str) -> None:
    """Too few, too near or too little changed: no rate, and why."""
    a = answered("wear-rate", **(DRUM | texts))

    assert "rate" not in names(a)
    assert said in a.says[0]


@pytest.mark.reasoned
def test_nothing_left() -> None:
    """A drum inside the gauge's doubt of its limit has nothing left and is not told miles."""
    a = answered("wear-rate", **(DRUM | {"limit": "10.047 in"}))

    assert shown(a, "remaining") == 0
    assert shown(a, "left") == pytest.approx(-0.001)
    assert "Nothing is left" in a.says[0]


@pytest.mark.reasoned
def test_too_little_left_for_another_look() -> None:
    """An eighth of a thousandth left is no interval of 500 miles: said, and not 'look again within 0 mi'."""
    a = answered("wear-rate", **(DRUM | {"limit": "10.0481 in"}))

    assert 0 < shown(a, "remaining") < 500
    assert shown(a, "interim_check") == 0
    assert "too little for another interval" in a.says[0]


@pytest.mark.published("johnson-ch11-evaporation")
def test_evaporation() -> None:
    """Johnson, Miller & Freund's Probability and Statistics for Engineers, ch. 11 (second-hand copy): all that is printed."""
    a = answered("wear-line", **EVAPORATION, at="190 450")

    assert shown(a, "slope") == pytest.approx(0.00383, abs=5e-6)
    assert shown(a, "intercept") == pytest.approx(0.069, abs=5e-4)
    assert shown(a, "residual") == pytest.approx(0.159, abs=5e-4)
    assert shown(a, "slope_t") == pytest.approx(8.75, abs=0.005)
    assert (shown(a, "line_low")[0], shown(a, "line_high")[0]) == pytest.approx((0.68, 0.92), abs=0.01)
    assert shown(a, "reading_low") == pytest.approx((0.42, 1.33), abs=0.01)
    assert shown(a, "reading_high") == pytest.approx((1.18, 2.25), abs=0.01)


@pytest.mark.second_way
def test_evaporation_chances() -> None:
    """Correlation, chance slope and the chance of passing a limit by the other library's regression and t."""
    a = answered("wear-line", **EVAPORATION, at="190", limit="1.0", confidence="90 %", chance="10 %")
    x, y = (np.array(EVAPORATION[k].split(), dtype=float) for k in ("distance", "size"))
    fit = stats.linregress(x, y)

    assert shown(a, "correlation") == pytest.approx(fit.rvalue)
    assert shown(a, "slope_by_chance") == pytest.approx(100 * fit.pvalue, rel=1e-7)
    assert shown(a, "slope_high") == pytest.approx(fit.slope + stats.t.ppf(0.95, 8) * fit.stderr)
    assert shown(a, "intercept_error") == pytest.approx(fit.intercept_stderr)
    assert shown(a, "reading_past")[0] == pytest.approx(12.892, abs=5e-4)
    assert shown(a, "meets") == pytest.approx((1 - fit.intercept) / fit.slope)
    again = answered("wear-line", **EVAPORATION, at=str(shown(a, "reading_passes")), limit="1.0")
    assert shown(again, "reading_past")[0] == pytest.approx(10)


@pytest.mark.reasoned
def test_a_shrinking_size_is_the_growing_one_turned_round() -> None:
    """Thickness less is wear more: the same distances and chances for sizes with their signs turned."""
    grown = answered("wear-line", distance="0 1 2 3 4 mi", size="1 2.1 2.9 4.2 5 mm", limit="8 mm", at="5 mi")
    shrunk = answered(
        "wear-line",
        distance="0 1 2 3 4 mi",
        size="9 7.9 7.1 5.8 5 mm",
        limit="2 mm",
        at="5 mi",
        sense="shrinks",
    )

    for name in ("meets", "line_passes", "reading_passes", "left_to_pass", "line_past", "reading_past"):
        assert shown(shrunk, name) == pytest.approx(shown(grown, name), rel=1e-9)
    assert shown(shrunk, "slope") == pytest.approx(-shown(grown, "slope"))
    assert shown(grown, "slope") == pytest.approx(1.01)
    assert any("past the last record" in said for said in grown.says)


@pytest.mark.reasoned
def test_two_records_make_a_line_without_limits() -> None:
    """Two records tell where the line meets a limit, and that they say nothing of how sure it is."""
    a = answered(
        "wear-line",
        distance="0 10000 mi",
        size="0.25 0.20 in",
        sense="shrinks",
        limit="0.10 in",
        at="20000 mi",
    )

    assert shown(a, "meets") == pytest.approx(30000)
    assert shown(a, "line") == pytest.approx((0.15,))
    assert names(a).isdisjoint({"residual", "line_low", "reading_past", "reading_passes"})
    assert any("two records say nothing" in said for said in a.says)


@pytest.mark.reasoned
def test_groove_decides() -> None:
    """12.060 + 2 x 0.016 in with 0.002 + 2 x 0.001 in of doubt; the surface alone would pass."""
    a = answered("groove-bottom", **GROOVE, limit="12.090 in")

    assert shown(a, "bottom") == pytest.approx(12.092)
    assert shown(a, "doubt") == pytest.approx(0.004)
    assert shown(a, "doubt_of_squares") == pytest.approx(0.002 * 2**0.5)
    assert shown(a, "verdict").startswith("at the limit")
    assert shown(a, "room") == pytest.approx(-0.002)
    assert shown(a, "conformance") == pytest.approx(100 * stats.norm.cdf(-1))
    assert "groove decides" in a.says[0]


@pytest.mark.reasoned
def test_groove_without_a_limit() -> None:
    """Without a limit there is a size and a doubt and no verdict; a shallow groove inside its limit changes nothing."""
    assert names(answered("groove-bottom", **GROOVE)) == {"bottom", "doubt", "doubt_of_squares"}
    shallow = answered("groove-bottom", **(GROOVE | {"depth": "0.001 in"}), limit="12.090 in")
    assert shown(shallow, "verdict") == "inside the limit"
    assert shallow.says == ("The part maker's limit governs.",)


@pytest.mark.reasoned
@pytest.mark.parametrize("name, texts, what", [
    ("wear-rate", DRUM | {"size": "10.0 10.1 in"}, "equally many"),
    ("wear-rate", DRUM | {"distance": "0 24000 12000 mi"}, "do not rise"),
    ("wear-rate", DRUM | {"size": "10.060 10.050 10.040 in"}, "worn further at an earlier"),
    ("wear-rate", DRUM | {"doubt": "0 in"}, "doubt is zero"),
    ("wear-rate", DRUM | {"new": "10.090 in"}, "same size"),
    ("wear-rate", DRUM | {"step": "0 mi"}, "rounding step"),
    ("wear-rate", DRUM | {"interim_share": "400 %"}, "look again"),
    ("wear-line", {"distance": "1 1", "size": "1 2"}, "different distances"),
    ("wear-line", {"distance": "1 2 3", "size": "1 2"}, "equally many"),
    ("wear-line", EVAPORATION | {"confidence": "100 %", "at": "190"}, "not between 0 and 100"),
    ("groove-bottom", GROOVE | {"depth": "-0.01 in"}, "depth is negative"),
])  # fmt: skip
def test_what_has_no_answer(name: str, texts: dict[str, str], what: str) -> None:
    """Each slip is told in words with what to do, never as an error of ours."""
    assert what in slipped(name, **texts).what


@pytest.mark.reasoned
def test_a_line_that_does_not_grow_tells_no_distance() -> None:
    """The line and its figures are told all the same."""
    a = answered("wear-line", distance="0 1 2 mi", size="3 2 1 in", limit="5 in")

    assert shown(a, "slope") == pytest.approx(-1)
    assert "meets" not in names(a)
    assert any("no wear" in said for said in a.says)
