"""The table of bearings and fits against sizes as catalogues print them."""

from __future__ import annotations

import pytest

from conftest import priced
from wheeltapper.units import from_si, to_si

HALF_DIGIT_MM = 0.0013  # the table has inches to four decimals


@pytest.mark.published("metric-bearing-catalogue")
@pytest.mark.parametrize(
    ("name", "bore", "cup", "width"),
    [
        ("L44643/L44610", 25.400, 50.292, 14.224),
        ("L44649/L44610", 26.988, 50.292, 14.224),
        ("LM11949/LM11910", 19.050, 45.237, 15.494),
        ("LM67048/LM67010", 31.750, 59.131, 15.875),
        ("L68149/L68111", 34.988, 59.974, 15.875),
        ("L68149/L68110", 34.988, 59.131, 15.875),
        ("LM48548/LM48510", 34.925, 65.088, 18.034),
        ("15123/15245", 31.750, 61.999, 18.161),
        ("25580/25520", 44.450, 82.931, 23.812),
        ("14125A/14276", 31.750, 69.012, 19.845),
        ("02475/02420", 31.750, 68.262, 22.225),
        ("387A/382A", 57.150, 96.838, 21.000),
    ],
)
def test_sizes_in_millimetres(name: str, bore: float, cup: float, width: float) -> None:
    """Bore, cup and set width as metric catalogues of inch tapered rollers print them (recalled; the table's inches were read)."""
    row = priced().bearings[name]

    assert from_si(row.bore_m, "mm") == pytest.approx(bore, abs=HALF_DIGIT_MM)
    assert from_si(row.cup_od_m, "mm") == pytest.approx(cup, abs=HALF_DIGIT_MM)
    assert from_si(row.width_m, "mm") == pytest.approx(width, abs=HALF_DIGIT_MM)


@pytest.mark.published("trailer-hub-fits")
@pytest.mark.parametrize(
    ("cup", "low", "high"),
    [
        ("L44610", 1.9780, 1.9795),
        ("LM67010", 2.3260, 2.3275),
        ("L68111", 2.3592, 2.3607),
        ("15245", 2.4389, 2.4404),
        ("02420", 2.6855, 2.6870),
        ("14276", 2.7150, 2.7165),
        ("25520", 3.2620, 3.2640),
        ("382A", 3.8095, 3.8115),
    ],
)
def test_bore_windows(cup: str, low: float, high: float) -> None:
    """Hub bores for trailer wheels by an engineering manual's table 79: under 3 in the cup less 0.0020 to 0.0005 in, over it less 0.0030 to 0.0010."""
    od = next(b.cup_od_m for b in priced().bearings.values() if b.cup == cup)
    row = priced().fit("hub bore", od)

    assert row is not None
    assert (od + row.low_m, od + row.high_m) == pytest.approx((to_si(low, "in"), to_si(high, "in")), abs=1e-9)


@pytest.mark.reasoned
def test_near_misses_stay_apart() -> None:
    """Two bores 0.0025 in apart and two cups 0.0332 in apart are four different sizes in the table."""
    rows = priced().bearings
    bores = rows["L68149/L68111"].bore_m - rows["LM48548/LM48510"].bore_m
    cups = rows["L68149/L68111"].cup_od_m - rows["L68149/L68110"].cup_od_m

    assert from_si(bores, "in") == pytest.approx(0.0025)
    assert from_si(cups, "in") == pytest.approx(0.0332)
