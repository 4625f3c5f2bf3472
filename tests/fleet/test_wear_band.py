"""The line through a life with its band: as wide as the records, the gauge and the miles make it, and no narrower."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from scipy import stats

from conftest import priced
from made_fleet import visit
from wheeltapper.fleet import wear_band
from wheeltapper.fleet.lives import Life, unit_lives
from wheeltapper.units import INCH_M, MILE_M

DAYS = (
    date(2024, 1, 10),
    date(2024, 7, 10),
    date(2025, 1, 10),
    date(2025, 7, 10),
    date(2026, 1, 10),
    date(2026, 7, 10),
)


def life(*sizes: str, quality: str = "hubometer", gauge: str = "0.0005 in") -> Life:
    """A drum read every 6,000 miles."""
    rows = [
        visit(
            "T-1", day, {"1-road": s}, mileage={"now": 1000 + 6000 * k, "quality": quality},
            gauge=[{"id": "G1", "kind": "drum gauge", "u": gauge}],
        )
        for k, (day, s) in enumerate(zip(DAYS, sizes, strict=False))
    ]  # fmt: skip
    return unit_lives(rows, priced()).lives[0]


def lining_of(*sizes: str) -> Life:
    """A lining read every 6,000 miles."""
    reading = [{"what": "lining thickness", "value": "0.1", "unit": "in", "gauge": "G1"}]
    rows = [
        visit("T-1", day, {}, mileage={"now": 6000 * k, "quality": "trips"},
              corner=[{"position": "1-road", "reading": [reading[0] | {"value": v}]}])
        for k, (day, v) in enumerate(zip(DAYS, sizes, strict=False))
    ]  # fmt: skip
    return unit_lives(rows, priced()).lives[0]


def wide(places: tuple[wear_band.Place, ...]) -> list[float]:
    """Heights of the band [in]."""
    return [(p.high_m - p.low_m) / INCH_M for p in places]


@pytest.mark.second_way
def test_the_band_is_the_limits_of_prediction() -> None:
    """Second way: scipy's line and Student's t, the textbook's limits of prediction of one more reading, 90 %."""
    sizes = ("12.010", "12.024", "12.030", "12.047", "12.052", "12.070")
    x, y = np.arange(6) * 6000.0 - 30_000, np.array([float(s) for s in sizes])
    fit = stats.linregress(x, y)
    s = np.sqrt(np.sum((y - fit.intercept - fit.slope * x) ** 2) / 4)
    for place in wear_band.band(life(*sizes))[::6]:
        at = place.at_m / MILE_M
        reach = (
            stats.t.ppf(0.95, 4) * s * np.sqrt(1 + 1 / 6 + (at - x.mean()) ** 2 / np.sum((x - x.mean()) ** 2))
        )
        middle = fit.intercept + fit.slope * at
        found = [v / INCH_M for v in (place.low_m, place.middle_m, place.high_m)]
        assert found == pytest.approx([middle - reach, middle, middle + reach], abs=1e-6)


@pytest.mark.reasoned
def test_records_on_a_line_are_no_surer_than_their_gauge() -> None:
    """No scatter at all: the band is that of one reading, 1.645 standard doubts to either side."""
    found = wide(wear_band.band(life("12.010", "12.020", "12.030", "12.040", gauge="0.004 in")))
    assert found == pytest.approx([2 * 1.645 * 0.002] * len(found), rel=1e-6)


@pytest.mark.reasoned
def test_two_records_widen_beyond_themselves() -> None:
    """Two gauges: at a record its own doubt and that of a reading; far ahead the doubt of the slope leads."""
    two = life("12.010", "12.030", gauge="0.004 in")
    ends = wide(wear_band.band(two))
    on = wide(wear_band.ahead(two, 0.02 * INCH_M / (6000 * MILE_M), 12_000 * MILE_M))

    assert ends[-1] == pytest.approx(2 * 1.645 * np.hypot(0.002, 0.002), rel=1e-3)
    assert ends[len(ends) // 2] < ends[-1] < on[-1]
    assert on == sorted(on)


@pytest.mark.reasoned
def test_the_quality_of_the_miles_widens_what_is_ahead() -> None:
    """The same sizes and counts; each worse kind of count makes the window ahead wider, and leaves the readings alone."""
    rate = 0.010 * INCH_M / (6000 * MILE_M)
    ahead = [
        wide(wear_band.ahead(life("12.010", "12.020", "12.031", quality=q), rate, 20_000 * MILE_M))
        for q in ("hubometer", "owner's figure", "trips", "guess", "unknown")
    ]
    assert [row[-1] for row in ahead] == sorted({row[-1] for row in ahead})
    assert len({round(row[0], 9) for row in ahead}) == 1
    assert all(row[-1] > row[0] for row in ahead)


@pytest.mark.reasoned
def test_linings_fall_and_one_record_has_no_line() -> None:
    """The line ahead of a lining goes down; a single record leads nowhere."""
    lining = lining_of("0.180", "0.150")
    ahead = wear_band.ahead(lining, 0.03 * INCH_M / (6000 * MILE_M), 6000 * MILE_M)

    assert ahead[-1].middle_m / INCH_M == pytest.approx(0.120)
    assert wear_band.band(life("12.010")) == ()
    assert wear_band.ahead(life("12.010"), 1e-9, 1e7) == ()
    assert wear_band.ahead(lining, 1e-9, -1.0) == ()


@pytest.mark.second_way
def test_the_window_is_where_the_band_crosses_the_limit() -> None:
    """Second way: the quadratic of the limits of prediction solved with scipy's t, where only the records are in doubt."""
    sizes = ("12.010", "12.024", "12.030", "12.047", "12.052", "12.062")
    x, y = np.arange(6) * 6000.0 - 30_000, np.array([float(s) for s in sizes])
    fit = stats.linregress(x, y)
    s = np.sqrt(np.sum((y - fit.intercept - fit.slope * x) ** 2) / 4)
    at = np.linspace(0, 60_000, 600_001)
    reach = stats.t.ppf(0.95, 4) * s * np.sqrt(1 + 1 / 6 + (at - x.mean()) ** 2 / np.sum((x - x.mean()) ** 2))
    reach = np.hypot(reach, 1.645 * 0.02 * fit.slope * at)  # a hubometer's 2 %
    middle = 12.062 + fit.slope * at
    early, late = at[np.argmax(middle + reach >= 12.090)], at[np.argmax(middle - reach >= 12.090)]
    found = wear_band.window(life(*sizes), fit.slope * INCH_M / MILE_M, 12.090 * INCH_M)

    assert found[1] is not None
    assert [found[0] / MILE_M, found[1] / MILE_M] == pytest.approx([early, late], abs=40)


@pytest.mark.reasoned
def test_the_window_of_a_worse_count_is_wider_and_one_past_its_limit_starts_now() -> None:
    """Early is earlier and late is later; late may be beyond what can be told; a part past its limit has no distance."""
    rate = 0.010 * INCH_M / (6000 * MILE_M)
    found = [
        wear_band.window(life("12.010", "12.020", "12.030", quality=q), rate, 12.090 * INCH_M)
        for q in ("hubometer", "trips", "guess", "unknown")
    ]
    early = [a for a, _ in found]
    late = [np.inf if b is None else b for _, b in found]

    assert early == sorted(early, reverse=True)
    assert late == sorted(late)
    assert early[0] > early[-1]
    assert late[0] < 45_000 * MILE_M < late[-1]
    assert wear_band.window(life("12.080", "12.095", "12.110"), rate, 12.090 * INCH_M)[0] == 0


@pytest.mark.reasoned
def test_a_rate_of_the_shop_fans_out_from_the_last_record() -> None:
    """At the record the reading's doubt; far on, the slow and the fast rate lead; a lining's fan is the other way up."""
    slow, middle, fast = (r * INCH_M / (1000 * MILE_M) for r in (0.001, 0.002, 0.004))
    places = wear_band.fan(life("12.010", gauge="0.004 in"), (slow, middle, fast), 100_000 * MILE_M)
    first, last = places[0], places[-1]

    assert wide(places)[0] == pytest.approx(2 * 1.645 * 0.002)
    assert last.middle_m / INCH_M == pytest.approx(12.210)
    assert last.high_m / INCH_M == pytest.approx(12.410, abs=0.001)
    assert last.low_m / INCH_M == pytest.approx(12.110, abs=0.001)
    assert first.at_m == 0
    thin = wear_band.fan(lining_of("0.180", "0.170"), (slow, middle, fast), 50_000 * MILE_M)[-1]
    assert [v / INCH_M for v in (thin.low_m, thin.middle_m, thin.high_m)] == pytest.approx(
        [-0.03, 0.07, 0.12], abs=0.006
    )
    assert wear_band.fan(life("12.010"), (slow, middle, fast), 0.0) == ()
