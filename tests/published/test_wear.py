"""The wear line against certified and printed regressions."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from wheeltapper.measure.wear import Line, line

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, float]]:
    """A data file with '#' header lines that say where it comes from."""
    lines = [text for text in (DATA / name).read_text("utf-8").splitlines() if not text.startswith("#")]
    return [{k: float(v) for k, v in row.items()} for row in csv.DictReader(lines)]


@pytest.fixture(scope="module")
def norris() -> Line:
    """The line through NIST's Norris data."""
    table = rows("nist_strd_norris.csv")
    return line([row["x"] for row in table], [row["y"] for row in table])


@pytest.mark.published("nist-strd-norris")
@pytest.mark.parametrize("what, certified", [
    ("intercept", -0.262323073774029),
    ("slope", 1.00211681802045),
    ("slope_error", 0.429796848199937e-03),
    ("residual", 0.884796396144373),
])  # fmt: skip
def test_nist_norris(norris: Line, what: str, certified: float) -> None:
    """NIST Statistical Reference Datasets, linear regression, Norris: the certified values, to 1e-10 of each."""
    assert getattr(norris, what) == pytest.approx(certified, rel=1e-10)


@pytest.fixture(scope="module")
def evaporation() -> Line:
    """The line through the evaporation example."""
    table = rows("regression_evaporation.csv")
    return line([row["air_velocity_cm_s"] for row in table], [row["evaporation_mm2_s"] for row in table])


@pytest.mark.published("johnson-ch11-evaporation")
@pytest.mark.parametrize("what, printed, half_digit", [
    ("slope", 0.00383, 0.000005),
    ("intercept", 0.069, 0.0005),
    ("residual", 0.159, 0.0005),
])  # fmt: skip
def test_evaporation(evaporation: Line, what: str, printed: float, half_digit: float) -> None:
    """Johnson, Miller & Freund's Probability and Statistics for Engineers, ch. 11, evaporation of droplets: as printed."""
    assert getattr(evaporation, what) == pytest.approx(printed, abs=half_digit)


@pytest.mark.published("johnson-ch11-evaporation")
def test_evaporation_t(evaporation: Line) -> None:
    """The same example's t of the slope, printed 8.75."""
    assert evaporation.slope_error is not None
    assert evaporation.slope / evaporation.slope_error == pytest.approx(8.75, abs=0.005)
