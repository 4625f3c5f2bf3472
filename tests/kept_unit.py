"""A unit with many visits in a shop: whole sweeps, readings that wear, drums that are replaced, photos. All of it made up."""

from __future__ import annotations

import secrets
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from wheeltapper.store import keep
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import KeptVisit

WHEELS = ("1-road", "1-curb", "2-road", "2-curb")
CHECKS = ("wheel", "nuts", "cap", "rim and chamfer", "band line", "band surface", "heat colour", "magnet face", "seal bore", "hub", "hub face", "pilot",
          "studs", "grease", "seal", "spindle", "shoes", "adjuster and springs", "backing plate", "magnet", "wiring")  # fmt: skip
GAUGES = [
    {"id": "G1", "kind": "drum gauge", "u": ["0.003 in"]},
    {"id": "G2", "kind": "depth gauge", "u": ["0.005 in"]},
]
LIMIT = {
    "what": "friction diameter",
    "value": "12.090",
    "unit": "in",
    "grade": "on the part",
}
UNIT = {"id": "TF-0417", "axles": 2, "brake": "electric drum", "drum": "12 in", "axle_rating_lb": 5200, "use": "fleet"}  # fmt: skip
START = date(2022, 1, 10)


def entry(body: dict[str, Any], kind: str = "piece") -> Entry:
    """An entry as a phone makes it."""
    return Entry.model_validate(
        {"id": secrets.token_hex(16), "at": keep.now(), "by": "T1", "kind": kind, "body": body}
    )


def kept(*bodies: dict[str, Any]) -> KeptVisit:
    """A visit with these entries, and what the Yard shows of it."""
    from wheeltapper.web import live

    visit = keep.open_visit()
    keep.add(visit, [entry(b) for b in bodies], "bench")
    live.told(KeptVisit.objects.get(pk=visit.pk))
    return KeptVisit.objects.get(pk=visit.pk)


def gate(day: date, **more: Any) -> dict[str, Any]:
    """What the gate enters."""
    unit = UNIT | more.pop("unit", {})
    return {
        "date": day.isoformat(),
        "technician": "T1",
        "unit": unit,
        "gauge": GAUGES,
        "limit": [LIMIT],
        **more,
    }


def counted(miles: float, quality: str = "hubometer") -> dict[str, Any]:
    """Its mileage."""
    return {"mileage": {"now": miles, "quality": quality}}


def sized(position: str, *values: str, what: str = "friction diameter", **more: Any) -> dict[str, Any]:
    """Readings at one wheel."""
    gauge = "G1" if what == "friction diameter" else "G2"
    reading = {"what": what, "value": list(values), "unit": "in", "gauge": gauge, **more}
    return {"corner": [{"position": position, "reading": [reading]}]}


def swept(position: str) -> Iterator[dict[str, Any]]:
    """Every check of a wheel answered fine, one tap each."""
    for check in CHECKS:
        yield {"corner": [{"position": position, "look": [{"check": check, "found": ["fine"]}]}]}


def many(visits: int) -> list[KeptVisit]:
    """So many visits of one tandem, a month and 1,500 miles apart; its drums are replaced where they come to the limit."""
    from wheeltapper.store import history

    out: list[KeptVisit] = []
    drums = dict.fromkeys(WHEELS, 12.000)
    for k in range(visits):
        bodies = [gate(START + timedelta(days=30 * k), **counted(1000 + 1500 * k))]
        last = history.last_of("TF-0417")
        carried = last.carried(last.visit.unit, last.visit.mileage) if last else None
        bodies += (
            [carried.model_dump(mode="json", exclude_none=True, exclude_defaults=True)] if carried else []
        )
        for i, wheel in enumerate(WHEELS):
            drums[wheel] += 0.004 + 0.001 * i + 0.0005 * ((k * (i + 3)) % 5)
            bodies += swept(wheel)
            across = [f"{drums[wheel] - 0.001 * (n % 2):.3f}" for n in range(4)]
            bodies += [
                sized(wheel, *across),
                sized(wheel, f"{0.200 - 0.005 * (k % 25):.3f}", what="lining thickness"),
            ]
            if k % 25 == 24:
                bodies.append(
                    {
                        "done": [
                            {"position": wheel, "part": "brake-assembly", "action": "replaced", "by": "T1"}
                        ]
                    }
                )
            if drums[wheel] > 12.080:
                bodies.append(
                    {"done": [{"position": wheel, "part": "hub-drum", "action": "replaced", "by": "T1"}]}
                )
                drums[wheel] = 12.000
        bodies.append({"exit": {"how": "on a hauler", "by": "T1"}})
        out.append(kept(*bodies))
    return out
