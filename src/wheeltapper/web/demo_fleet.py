"""The earlier visits of the invented shop: a private tandem that comes back and a small fleet, worn by a simulation with a fixed seed.

Nothing here was measured on a trailer. It is there so that the ledger, the board and what is due have something to show.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date as Date
from datetime import timedelta
from typing import Any

import numpy as np

WHEELS = ("1-road", "1-curb", "2-road", "2-curb")
SEED = 417
GAUGES = (
    {"id": "G1", "kind": "drum gauge", "u": ["0.003 in"]}, {"id": "G4", "kind": "depth gauge", "u": ["0.002 in"]},
    {"id": "G5", "kind": "meter", "u": ["0.1 ohm", "0.1 V", "0.2 A"]}, {"id": "W1", "kind": "torque wrench", "u": ["4 ft-lb"]},
)  # fmt: skip
MARKED = {"what": "friction diameter", "value": "12.090", "unit": "in", "grade": "on the part"}
TANDEM = {
    "axles": 2, "brake": "electric drum", "drum": "12 in", "bolt_pattern": "6 on 5.5", "studs": "1/2-20", "axle_rating_lb": 5200,
    "lube": "grease",
}  # fmt: skip
FOLLOWED = {
    "follow_up": [
        {"what": "retorque", "due": due, "done": due, "moved": False, "by": "driver"} for due in (10, 25, 50)
    ]
}
TANDEM_BEFORE = (  # the two visits that examples/visit.toml tells of: day, count, then drum and lining wheel by wheel
    (Date(2024, 6, 11), 12600, (("12.011", "0.205"), ("12.010", "0.208"), ("12.007", "0.200"), ("12.014", "0.202"))),
    (Date(2025, 9, 2), 23200, (("12.034", "0.167"), ("12.022", "0.175"), ("12.014", "0.160"), ("12.028", "0.161"))),
)  # fmt: skip


@dataclass(frozen=True)
class Trailer:
    """One unit of the story: how it is used, how it wears, and what is found on it again and again."""

    id: str
    use: str
    days: tuple[int, ...]  # before today, of each earlier visit
    miles: int  # on its count at the last of them
    a_month: int
    quality: str = "hubometer"
    wear_in: float = 0.0018  # of the drum, in a thousand miles
    curb: float = 1.0  # how much faster the curb side wears
    found: tuple[tuple[str, str, str, str], ...] = ()  # position, how, check, word at every visit
    replaced: tuple[tuple[int, str, str], ...] = ()  # which visit, position, part
    followed: bool = True  # the three re-torques were told


FLEET = (
    Trailer("LH-201", "fleet", (940, 610, 280), 41800, 1300, replaced=((0, "2-curb", "bearing-set"), (1, "2-curb", "bearing-set"), (2, "2-curb", "bearing-set"))),
    Trailer("LH-202", "fleet", (700, 330), 30150, 1150, found=(("1-road", "look", "shoes", "well clear of the drum"), ("2-road", "look", "shoes", "well clear of the drum"))),
    Trailer("LH-203", "fleet", (690, 325), 28900, 1100, found=(("1-curb", "look", "shoes", "well clear of the drum"),)),
    Trailer("LH-204", "rental", (540, 160), 18700, 950, "trips", found=(("2-curb", "look", "shoes", "well clear of the drum"),)),
    Trailer("LH-205", "fleet", (900, 560, 210), 37300, 1200, wear_in=0.0012, curb=1.8),
    Trailer("LH-206", "salt water", (400, 26), 5200, 300, "guess", followed=False),
    Trailer("LH-207", "fleet", (6,), 12400, 1000, followed=False),
)  # fmt: skip


def visits(today: Date) -> list[tuple[Date, dict[str, Any]]]:
    """Every earlier visit with its day, oldest first, as a visit file would have it."""
    out = [(day, _of_the_tandem(day, miles, sizes)) for day, miles, sizes in TANDEM_BEFORE]
    for k, trailer in enumerate(FLEET):
        dice = np.random.default_rng(SEED + k)
        for number, ago in enumerate(trailer.days):
            out.append(
                (today - timedelta(days=ago), _visit(trailer, number, today - timedelta(days=ago), dice))
            )
    return sorted(out, key=lambda row: row[0])


def _of_the_tandem(day: Date, miles: int, sizes: tuple[tuple[str, str], ...]) -> dict[str, Any]:
    corners = [_sizes(at, [drum], lining) for at, (drum, lining) in zip(WHEELS, sizes, strict=True)]
    return (
        _said(
            day, {"id": "TF-0417", "use": "private"}, miles, "hubometer", corners, np.random.default_rng(SEED)
        )
        | FOLLOWED
    )


def _said(
    day: Date,
    unit: dict[str, str],
    miles: float,
    quality: str,
    corners: list[dict[str, Any]],
    dice: np.random.Generator,
) -> dict[str, Any]:
    """A whole visit that found nothing and went back on the road."""
    return {
        "date": day.isoformat(), "technician": "T2", "unit": TANDEM | unit, "mileage": {"now": miles, "quality": quality},
        "gauge": list(GAUGES), "limit": [MARKED], "corner": corners, "return_sheet": _returned(dice),
        "reading": [_read("volts at plug", "12.6", "V", "G5"), _read("total amps", "15.4", "A", "G5")],
    }  # fmt: skip


def _visit(trailer: Trailer, number: int, day: Date, dice: np.random.Generator) -> dict[str, Any]:
    before = (trailer.days[number] - trailer.days[-1]) / 30.44 * trailer.a_month
    miles = round(trailer.miles - before, -1)
    corners = [_corner(trailer, at, miles, dice) for at in WHEELS]
    unit = {"id": trailer.id, "use": trailer.use}
    done = [
        *({"position": p, "part": part, "action": "replaced", "by": "T2"} for k, p, part in trailer.replaced if k == number),
        *({"position": p, "part": "brake-assembly", "action": "adjusted", "by": "T2", "after": "photo"} for p, *_ in trailer.found),
    ]  # fmt: skip
    said = _said(day, unit, miles, trailer.quality, corners, dice) | ({"done": done} if done else {})
    last = number == len(trailer.days) - 1
    return said | FOLLOWED if trailer.followed or not last else said


def _corner(trailer: Trailer, at: str, miles: float, dice: np.random.Generator) -> dict[str, Any]:
    """Drum and shoes as worn by then, read with a gauge's scatter."""
    pace = trailer.wear_in * (trailer.curb if at.endswith("curb") else 1.0)
    worn = pace * miles / 1000 * (1 + 0.06 * WHEELS.index(at))
    drum, shoe = 12.0 + worn * 0.8 + dice.normal(0, 0.001, 4), 0.25 - worn * 1.6 + dice.normal(0, 0.001)
    corner = _sizes(at, [f"{d:.3f}" for d in drum], f"{max(shoe, 0.07):.3f}")
    for position, how, check, word in trailer.found:
        if position == at:
            corner.setdefault(how, []).append({"check": check, "found": [word]})
    return corner


def _sizes(at: str, drum: list[str], lining: str) -> dict[str, Any]:
    read = [
        _read("friction diameter", drum, "in", "G1"),
        _read("lining thickness", lining, "in", "G4", at="primary"),
    ]
    return {"position": at, "rest_fine": "T2", "reading": read}


def _returned(dice: np.random.Generator) -> dict[str, Any]:
    wheels = [
        {
            "position": at, "end_play": "0.003 in", "method": "seated while turning, backed off, set by dial", "new_seal": True, "new_pin": True,
            "faces_clean": True, "seats_match": True, "magnet_volts": f"{12.0 + dice.uniform(0, 0.3):.1f} V",
            "hub_temperature": f"{96 + dice.integers(0, 12)} F",
            "torque": {"value": "110 ft-lb", "stages": ["25 ft-lb", "55 ft-lb"], "source": "wheel label", "wrench": "W1", "by": "T2", "second": "T1"},
        }
        for at in WHEELS
    ]  # fmt: skip
    return {
        "wheel": wheels, "adjusted": True, "plug_volts": "12.6 V", "total_amps": "15.4 A", "breakaway_locks": True, "bedding_stops": 25,
        "run_miles": 4, "ambient": "70 F", "by": "T2", "out": True,
    }  # fmt: skip


def _read(what: str, value: Any, unit: str, gauge: str, **more: str) -> dict[str, Any]:
    return {
        "what": what,
        "value": value if isinstance(value, list) else [value],
        "unit": unit,
        "gauge": gauge,
    } | more
