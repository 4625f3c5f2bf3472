"""A visit on which every check of the tables is answered, and every way to make it worse.

Made from `reference/checks.toml`, so a new check, a new word or a new brake kind is covered by itself.
"""

from __future__ import annotations

import copy
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

import pytest

from conftest import examined, priced
from wheeltapper.flow import Examination
from wheeltapper.reference.tables import Check, Tables
from wheeltapper.words import CALLS, CallWord, positions

Data = dict[str, Any]
HOWS = ("look", "feel", "hear")
NOMINAL_IN = 10
MOST_SECONDS = 8

# Readings by the window of their check, from fine to worse: in each column (place, text) of one set.
DRUM = (
    (("mid 0", "10.020"), ("mid 45", "10.021"), ("mid 90", "10.020"), ("mid 135", "10.019"), ("open", "10.021"), ("closed", "10.020")),
    (("mid 0", "10.050"), ("mid 45", "10.051"), ("mid 90", "10.050"), ("mid 135", "10.049"), ("open", "10.051"), ("closed", "10.050")),
    (("mid 0", "10.070"), ("mid 45", "10.071"), ("mid 90", "10.070"), ("mid 135", "10.069"), ("open", "10.071"), ("closed", "10.070")),
    (("mid 0", "10.088"), ("mid 45", "10.089"), ("mid 90", "10.088"), ("mid 135", "10.087"), ("open", "10.089"), ("closed", "10.088")),
    (("mid 0", "10.100"), ("mid 45", "10.101"), ("mid 90", "10.100"), ("mid 135", "10.099"), ("open", "10.101"), ("closed", "10.100")),
)  # fmt: skip
OVAL = (DRUM[0], (("mid 0", "10.020"), ("mid 45", "10.029"), ("mid 90", "10.037"), ("mid 135", "10.028"), ("open", "10.030"), ("closed", "10.029")))  # fmt: skip
BELL = (DRUM[0], (("mid 0", "10.020"), ("mid 45", "10.021"), ("mid 90", "10.020"), ("mid 135", "10.019"), ("open", "10.034"), ("closed", "10.020")))  # fmt: skip
ROTOR = tuple(
    tuple((at, text) for at in ("0", "90", "180", "270")) for text in ("25.1", "24.2", "22.95", "22.0")
)
WORSE: dict[str, tuple[tuple[tuple[tuple[str, str], ...], ...], ...]] = {
    "drum": (DRUM, OVAL, BELL),
    "rotor": (ROTOR,),
    "lining": (tuple((("thinnest", text),) for text in ("0.180", "0.090", "0.064", "0.040")),),
    "ohm": (tuple((("", text),) for text in ("3.3", "2.5", "1.0")), tuple((("", text),) for text in ("3.3", "4.6", "open"))),
    "volt": (tuple((("full apply", text), ("released", "0.0")) for text in ("12.2", "9.0", "0.4")),),
    "depth": (tuple((("", text),) for text in ("0.004", "0.015", "0.050", "0.100")),),
    "share": (tuple((("", text),) for text in ("2", "40")),),
    "temperature": (((("on arrival", "90"),), (("on arrival", "180"),)),),
}  # fmt: skip
UNIT_OF = {
    "length": "in",
    "resistance": "ohm",
    "voltage": "V",
    "current": "A",
    "temperature": "F",
    "share": "%",
}
AROUND = ("0", "45", "90", "135", "180", "225", "270", "315")


def _dial(*texts: str) -> tuple[tuple[str, str], ...]:
    """Eight dial readings evenly round."""
    return tuple(zip(AROUND, texts, strict=True))


FLAT = _dial("0.000", "0.001", "0.000", "-0.001", "0.000", "0.001", "0.000", "-0.001")
WARPED = _dial("0.012", "0.000", "-0.012", "0.000", "0.012", "0.000", "-0.012", "0.000")
OFF = _dial("0.012", "0.008", "0.000", "-0.008", "-0.012", "-0.008", "0.000", "0.008")
BY_CHECK = {  # checks whose readings are not those of their window
    "magnet to case": (((("case", "open"),), (("case", "40"),)),),
    "band dial": ((FLAT, WARPED), (FLAT, OFF)),
    "hub face dial": ((FLAT, WARPED),),
    "magnet face dial": ((FLAT, WARPED),),
    "cup bore": (tuple((("inner", inner), ("outer", "2.4396")) for inner in ("3.2630", "3.2641", "3.2650", "3.2670")),),
    "cup diameter": (((("inner", "3.2655"), ("outer", "2.4412")),),),
    "seal bore diameter": (tuple((("bore", "3.3760"), ("seal", seal)) for seal in ("3.3800", "3.3774", "3.3750")),),
    "cap bore diameter": (tuple((("bore", "2.4400"), ("cap", cap)) for cap in ("2.4440", "2.4401", "2.4380")),),
}  # fmt: skip
FINE_GAUGE = {"dial", "bore"}


class Finding(NamedTuple):
    """One finding that a check may state at a place of it."""

    check: str
    place: str | None
    word: str


@contextmanager
def soon(seconds: int = MOST_SECONDS) -> Iterator[None]:
    """Fails what takes longer: an endless loop must not hang the whole run."""

    def late(*_: object) -> None:
        pytest.fail(f"not done after {seconds} seconds")

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def here(brake: str, tables: Tables | None = None) -> list[Check]:
    """The checks of a corner with this brake, opened for service."""
    rows = (tables or priced()).checks.values()
    return [c for c in rows if brake in c.brakes and "hub service" in c.scopes and not c.of_trailer]


def full(brake: str = "electric drum", axles: int = 1) -> Data:
    """Everything answered and fine, nothing left to anybody's word."""
    wheels = positions(axles)
    visit: Data = {
        "date": "2026-05-14", "technician": "T1", "unit": unit(brake, axles),
        "gauge": [{"id": "G1", "kind": "gauge", "u": ["0.003 in", "0.1 ohm", "0.1 V", "0.2 A", "2 F", "1 %"]},
                  {"id": "G2", "kind": "bore gauge", "u": ["0.0003 in"]}],
        "limit": [{"what": "rotor thickness", "value": "22.9", "unit": "mm", "grade": "on the part"}] if "disc" in brake else
                 [{"what": "friction diameter", "value": "10.090", "unit": "in", "grade": "on the part"}],
        "corner": [corner(wheel, brake) for wheel in wheels],
    }  # fmt: skip
    if brake == "electric drum":
        amps = f"{12.5 / 3.3 * len(wheels):.1f}"
        visit["reading"] = [
            {"what": "volts at plug", "value": "12.5", "unit": "V", "gauge": "G1"},
            {"what": "total amps", "value": amps, "unit": "A", "gauge": "G1"},
        ]
    return visit


def unit(brake: str, axles: int) -> Data:
    """The trailer."""
    size = {"rotor_new": "25.4 mm"} if "disc" in brake else {"drum": f"{NOMINAL_IN} in"}
    return {
        "id": "TF-9",
        "axles": axles,
        "brake": brake,
        "bolt_pattern": "5 on 4.5",
        "use": "private",
        "inner_bearing": "25580/25520",
        "outer_bearing": "15123/15245",
        **size,
    }


def corner(position: str, brake: str) -> Data:
    """One corner with every check answered fine."""
    out: Data = {"position": position, "look": [], "feel": [], "hear": [], "reading": []}
    for check in here(brake):
        if check.found:
            how = next(h for h in HOWS if h in check.how)
            out[how] += [entry(check.check, place, "fine") for place in check.places or (None,)]
        elif not check.only_if:
            out["reading"] += readings(check, 0, 0)
    return out


def entry(check: str, place: str | None, found: str) -> Data:
    """One answered look."""
    return {"check": check, "found": [found]} | ({"place": place} if place else {})


def readings(check: Check, column: int, row: int) -> list[Data]:
    """The readings of a check in one of its columns, the worse the larger the row."""
    table = _table(check)
    unit = "mm" if check.window == "rotor" else UNIT_OF[check.dimension]
    return [
        {
            "what": check.check,
            "at": at if at in check.at or check.dial else check.at[0],
            "value": text,
            "unit": unit,
            "gauge": "G2" if check.window in FINE_GAUGE else "G1",
        }
        for at, text in table[column][row]
    ]


def columns(check: Check) -> list[int]:
    """How many rows each column of a measured check has."""
    return [len(rows) for rows in _table(check)]


def _table(check: Check) -> tuple[tuple[tuple[tuple[str, str], ...], ...], ...]:
    """Columns of a measured check: its own, or those of its window."""
    return BY_CHECK.get(check.check) or WORSE[check.window]


def findings(brake: str) -> list[Finding]:
    """Every finding that a look, a feel or an ear can state here."""
    return [
        Finding(c.check, place, word)
        for c in here(brake)
        for place in c.places or (None,)
        for word in c.found
    ]


def with_finding(visit: Data, position: str, finding: Finding) -> Data:
    """The visit with one more finding; 'fine' at its place gives way to it."""
    visit = copy.deepcopy(visit)
    rows = [row for how in HOWS for row in at(visit, position)[how]]
    row = next(r for r in rows if (r["check"], r.get("place")) == (finding.check, finding.place))
    row["found"] = [*(w for w in row["found"] if w != "fine"), finding.word]
    return visit


def with_readings(visit: Data, position: str, check: Check, column: int, row: int) -> Data:
    """The visit with the readings of one check replaced."""
    visit = copy.deepcopy(visit)
    mine = at(visit, position)
    mine["reading"] = [r for r in mine["reading"] if r["what"] != check.check] + readings(check, column, row)
    return visit


def without(visit: Data, position: str, check: str) -> Data:
    """The visit with one check of a corner not answered."""
    visit = copy.deepcopy(visit)
    mine = at(visit, position)
    for how in HOWS:
        mine[how] = [row for row in mine[how] if row["check"] != check]
    mine["reading"] = [row for row in mine["reading"] if row["what"] != check]
    return visit


def at(visit: Data, position: str) -> Data:
    """The corner at a position."""
    return next(c for c in visit["corner"] if c["position"] == position)


def run(visit: Data, tables: Tables | None = None) -> Examination:
    """Examine, or fail if that takes too long."""
    with soon():
        return examined(visit, tables)


def severities(examination: Examination) -> dict[tuple[str, str], int]:
    """How severe each part's call is; a part that is not named is fine."""
    return {c.place: CALLS.index(c.call) for c in examination.calls}


def milder(before: Examination, after: Examination) -> list[str]:
    """The parts whose call has become milder, in words."""
    new = severities(after)
    return [
        f"{place[0]} {place[1]}: {CALLS[was]} -> {CALLS[new.get(place, 0)]}"
        for place, was in severities(before).items()
        if new.get(place, 0) < was
    ]


def called(examination: Examination) -> dict[tuple[str, str], CallWord]:
    """The call of each part."""
    return {c.place: c.call for c in examination.calls}


def paths(node: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Every place in plain data, down to its leaves."""
    inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    return [found for key, child in inner for found in ((*path, key), *paths(child, (*path, key)))]
