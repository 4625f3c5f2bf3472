"""Fleets that are made up, with known truth: as arrays for the maths, as visits for the whole way."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import log
from typing import Any

import numpy as np

from wheeltapper.intake import visit_from_data
from wheeltapper.measure.number import Floats
from wheeltapper.measure.wear_path import REACH_M, Paths
from wheeltapper.records import Visit
from wheeltapper.units import INCH_M, MILE_M

RATE = log(0.006 * INCH_M / (1000 * MILE_M))  # six thousandths in a thousand miles
GROUPS = 4


@dataclass(frozen=True)
class Made:
    """A fleet with its truth."""

    paths: Paths
    group: np.ndarray
    unit: np.ndarray
    log_rate: Floats
    true_m: Floats  # size at each record, wandering and all


def made(
    seed: int,
    lives: int,
    most: int = 6,
    apart: float = 0.4,
    groups: float = 0.3,
    visit_in: float = 0.0008,
    wander: float = 0.08,
    gauge_in: float = 0.0015,
    share: float = 0.05,
    bend: float = 0.0,
    slip: float = 0.0,
) -> Made:
    """A fleet as the model thinks of one; `bend` makes wear speed up with age, `slip` makes some readings far off."""
    rng = np.random.default_rng(seed)
    group = rng.integers(0, GROUPS, lives)
    log_rate = (RATE + groups * rng.normal(size=GROUPS))[group] + apart * rng.normal(size=lives)
    shape = lives, most
    gap = np.exp(rng.normal(log(6000), 0.4, shape)) * MILE_M
    gap[:, 0] = 0
    driven = gap * (1 + share * rng.normal(size=shape))
    age = np.cumsum(gap, axis=1) / REACH_M
    wear = driven * (1 + bend * age) + wander * np.sqrt(REACH_M * gap) * rng.normal(size=shape)
    true = 12 * INCH_M + np.cumsum(np.exp(log_rate)[:, None] * wear, axis=1)
    off = np.hypot(visit_in, gauge_in) * INCH_M * rng.normal(size=shape)
    off = np.where(rng.random(shape) < slip, 12 * off, off)
    there = np.arange(most)[None] < rng.integers(1, most + 1, lives)[:, None]
    paths = Paths(
        np.where(there, gap, 0.0), np.full(shape, share), np.where(there, true + off, 0.0), np.full(shape, gauge_in * INCH_M), there
    )  # fmt: skip
    return Made(paths, group, np.arange(lives) // 4, log_rate, true)


STEP_M = 250 * MILE_M
FAR_M = 400_000 * MILE_M


def reached_m(fleet: Made, left_m: float, wander: float = 0.08, seed: int = 0) -> Floats:
    """How far each life truly goes until so much more is gone: driven on in short steps, wandering as before [m]."""
    rng = np.random.default_rng(seed)
    steps = int(FAR_M / STEP_M)
    wear = np.full(len(fleet.log_rate), 0.0)
    out = np.full(len(fleet.log_rate), FAR_M)
    for k in range(1, steps + 1):
        wear = wear + np.exp(fleet.log_rate) * (
            STEP_M + wander * np.sqrt(REACH_M * STEP_M) * rng.normal(size=len(wear))
        )
        out = np.where((wear >= left_m) & (out == FAR_M), k * STEP_M, out)
    return out


UNIT: dict[str, Any] = {
    "axles": 2,
    "brake": "electric drum",
    "drum": "12 in",
    "axle_rating_lb": 5200,
    "use": "fleet",
}
LIMIT = {"what": "friction diameter", "value": "12.090", "unit": "in", "grade": "on the part"}


def visit(name: str, day: date, sizes: dict[str, str], **more: Any) -> Visit:
    """One visit with drums measured, from plain data."""
    data = {
        "date": day.isoformat(), "technician": "T1", "unit": UNIT | {"id": name} | more.pop("unit", {}),
        "gauge": [{"id": "G1", "kind": "drum gauge", "u": "0.003 in"}], "limit": [LIMIT],
        "corner": [
            {"position": at, "rest_fine": "T1", "reading": [{"what": "friction diameter", "value": s, "unit": "in", "gauge": "G1"}]}
            for at, s in sizes.items()
        ],
    } | more  # fmt: skip
    read, slips = visit_from_data(data, "visit")
    assert read is not None, slips
    return read


def yard(seed: int, units: int, visits: int = 5, bend: float = 0.0) -> list[Visit]:
    """Visits of a fleet, every half year, by hubometer."""
    rng = np.random.default_rng(seed)
    out = []
    for number in range(units):
        rate = np.exp(log(0.0015) + 0.4 * rng.normal(size=4))  # inches in a thousand miles
        pace, day, miles, worn = float(np.exp(rng.normal(6.6, 0.3))), date(2022, 1, 10), 0.0, np.zeros(4)
        for k in range(visits):
            if k:
                days = int(rng.integers(150, 220))
                step = pace * days / 30.44 * float(np.exp(0.1 * rng.normal()))
                day, miles = day + timedelta(days=days), miles + step
                worn = worn + rate * step / 1000 * (1 + bend * k)
            read = 12.0 + worn + 0.0017 * rng.normal(size=4)
            sizes = {
                at: f"{s:.3f}" for at, s in zip(("1-road", "1-curb", "2-road", "2-curb"), read, strict=True)
            }
            counted = {"now": round(miles), "quality": "hubometer"}
            out.append(visit(f"U-{number:04d}", day, sizes, mileage=counted))
    return out
