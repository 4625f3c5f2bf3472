"""A worn size over time: does it contradict earlier records, how fast does it wear, how far does it go."""

from __future__ import annotations

from dataclasses import dataclass, replace

from wheeltapper.findings.bench import Bench
from wheeltapper.findings.facts import Gauged, Sized
from wheeltapper.problems import Problem
from wheeltapper.units import above
from wheeltapper.words import Part

PARTS: dict[str, tuple[Part, ...]] = {  # whose fitting starts the life of what is measured
    "friction diameter": ("hub-drum", "axle"),
    "lining thickness": ("lining", "brake-assembly", "axle"),
    "rotor thickness": ("rotor", "axle"),
    "pad thickness": ("pads", "axle"),
}

TIE = 1e-9  # a part that lasts exactly to the next service lasts to it, in inches as in millimetres


@dataclass(frozen=True)
class Aged:
    """A size with its wear: `contradicts` where the part seems to have grown back."""

    gauged: Gauged
    contradicts: bool
    short: bool
    none_left: bool


def over_time(bench: Bench, gauged: Gauged, worst: Sized) -> Aged:
    """The size with its rate and what remains (C7 to C9).

    A part that lasts to the next service is not short. One that lasts less than one rounded interim check
    has nothing left to offer.
    """
    records = bench.records(gauged.what, PARTS[gauged.what])
    sign = -1.0 if gauged.least else 1.0
    back = [p for p in records if above(sign * (p.size - worst.size), 2 * max(p.doubt or 0.0, worst.doubt))]
    if back:
        bench.problems.append(_grown_back(bench, gauged))
        return Aged(gauged, True, False, False)
    rate = bench.wear_rate(records, sign * worst.size, worst.doubt, sign)
    if rate is None:
        return Aged(gauged, False, False, False)
    remaining, interim = bench.ahead(_left(bench, gauged), rate)
    gauged = replace(
        gauged,
        rate_share=rate.share,
        faster=rate.faster,
        records=rate.records,
        remaining_m=remaining,
        interim_mi=interim,
    )
    short = (
        remaining is not None and remaining < bench.next_service_m() * (1 - TIE) and gauged.verdict == "under"
    )
    return Aged(gauged, False, short and interim != 0, short and interim == 0)


def _left(bench: Bench, gauged: Gauged) -> float:
    """Allowance left: drums and rotors with the gauge doubt taken off (C8), linings and pads without (C9)."""
    margin = bench.tables.number("assumed_margin") if gauged.grade == "assumed" else 0.0
    if gauged.least:
        doubt = gauged.doubt if gauged.what == "rotor thickness" else 0.0
        return gauged.size - gauged.limit - margin - doubt
    return gauged.limit - margin - gauged.doubt - gauged.size


def _grown_back(bench: Bench, gauged: Gauged) -> Problem:
    how = "thicker" if gauged.least else "smaller"
    return Problem(
        f"{bench.position}, {gauged.what}", f"{how} than at an earlier visit, and no replacement is on record",
        "see whether the position was mixed up or the part was changed elsewhere, then measure again.",
    )  # fmt: skip
