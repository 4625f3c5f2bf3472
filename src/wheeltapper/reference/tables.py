"""The tables, read, typed and validated: every fault at once, before any visit is examined.

Rows are data that a shop's engineer may read and change in a folder of their own (`house.py` lays it over
ours). A broken table is never half used: `house.load` raises TablesError with all faults.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date as Date
from fractions import Fraction
from functools import cached_property
from importlib.resources import files
from typing import Any, get_args

from wheeltapper.reference.charges import Fee, Tax
from wheeltapper.reference.metal import (
    Bearing,
    DrumBody,
    FitRow,
    Grade,
    HeatColour,
    Material,
    SettingRow,
    StageRow,
    Stud,
    TorqueRow,
)
from wheeltapper.reference.money import cents_of
from wheeltapper.units import doubt_to_si, to_si
from wheeltapper.words import BrakeKind, CallWord, LimitGrade, Part

TOML_TABLES = ("checks", "limits", "sources", "rules", "pairings", "causes", "work", "intervals", "house")
CSV_TABLES = (
    "drums", "prices", "labour", "taxes", "fees", "materials", "bearings", "fits", "studs", "grades", "torques", "heat_colours",
    "stages", "settings",
)  # fmt: skip
BRAKES: tuple[BrakeKind, ...] = get_args(BrakeKind)
STRENGTHS = ("fixed", "house", "judgement")
Raw = dict[str, Any]


@dataclass(frozen=True)
class Check:
    """One check of the sweep: what to look at, feel, hear or measure, and the facts it can state."""

    check: str
    part: str  # "hub" stands for the hub-drum, or the hub-rotor where the brake is a disc
    how: tuple[str, ...]
    ask: str
    good: str
    station: str = ""  # where on the way round the wheel
    found: Mapping[str, str] = field(default_factory=dict)
    facts: tuple[str, ...] = ()
    brakes: tuple[str, ...] = BRAKES
    scopes: tuple[str, ...] = ("hub service",)
    places: tuple[str, ...] = ()
    optional: bool = False
    of_trailer: bool = False
    dimension: str = ""
    at: tuple[str, ...] = ()
    window: str = ""
    only_if: str = ""
    dial: bool = False  # read at clock positions, many values that belong together

    @cached_property
    def all_facts(self) -> tuple[str, ...]:
        """Every fact this check can state."""
        return tuple(dict.fromkeys((*self.found.values(), *self.facts)))


@dataclass(frozen=True)
class LimitRow:
    """A number a verdict is held against; `value` and `unit` as printed in the source."""

    id: str
    say: str
    value: str
    unit: str
    grade: LimitGrade
    change: str
    source: str
    since: Date
    at: str = ""
    safer: str = ""
    allowed: tuple[str, ...] = ()

    @cached_property
    def si(self) -> float:
        """The value in SI."""
        return to_si(float(self.value), self.unit)

    @cached_property
    def difference_si(self) -> float:
        """The value as a difference, in SI: 30 F of difference are no temperature."""
        return doubt_to_si(float(self.value), self.unit)


@dataclass(frozen=True)
class Rule:
    """Facts that must all hold, and the call they make on a part."""

    id: str
    part: tuple[Part, ...]
    when: tuple[str, ...]
    call: CallWord
    strength: str
    why: str
    owner: str
    source: str
    since: Date
    at: str = ""
    action: str = ""

    @property
    def head(self) -> str:
        """The rule's printed id: 'F1.felt' and 'F1.edge' are both F1."""
        return self.id.split(".")[0]


@dataclass(frozen=True)
class Standing:
    """A rule that holds for a whole visit; `where` names the file that enforces it."""

    id: str
    say: str
    where: str
    source: str
    since: Date


@dataclass(frozen=True)
class Pairing:
    """A call that brings another with it."""

    id: str
    when_part: Part
    when_call: CallWord
    then_part: Part
    then_call: CallWord
    at: str
    why: str
    owner: str
    source: str
    since: Date
    need: str = ""

    @property
    def head(self) -> str:
        """The pairing's printed id."""
        return self.id.split(".")[0]


@dataclass(frozen=True)
class Cause:
    """A possible cause: what must be seen, what speaks for and against it, the check that separates it."""

    id: str
    say: str
    needs: tuple[str, ...]
    separate_by: str
    prevent: str
    source: str
    any_of: tuple[str, ...] = ()
    supports: tuple[str, ...] = ()
    against: tuple[str, ...] = ()
    settled_by: tuple[str, ...] = ()
    settled_out_by: tuple[str, ...] = ()
    work: str = ""
    action: str = ""


@dataclass(frozen=True)
class Price:
    """A part of the price book; cents is None where the shop has not priced it."""

    code: str
    part: str
    say: str
    cents: int | None
    drum: str = ""
    studs: str = ""
    brake: str = ""


@dataclass(frozen=True)
class Labour:
    """A piece of work; hours as printed."""

    code: str
    say: str
    hours: Fraction


@dataclass(frozen=True)
class Interval:
    """When to look again."""

    id: str
    what: str
    source: str
    miles: int | None = None
    months: int | None = None
    use: tuple[str, ...] = ()


@dataclass(frozen=True)
class Tables:
    """All tables, as one frozen thing with a fingerprint of what they say."""

    checks: Mapping[str, Check]
    limits: Mapping[str, LimitRow]
    rules: tuple[Rule, ...]
    standing: tuple[Standing, ...]
    pairings: tuple[Pairing, ...]
    causes: tuple[Cause, ...]
    work: Raw
    prices: tuple[Price, ...]
    labour: Mapping[str, Labour]
    taxes: tuple[Tax, ...]
    fees: tuple[Fee, ...]
    intervals: tuple[Interval, ...]
    drums: Mapping[str, float]
    drum_bodies: Mapping[str, DrumBody]
    materials: Mapping[str, Material]
    bearings: Mapping[str, Bearing]
    fits: tuple[FitRow, ...]
    studs: Mapping[str, Stud]
    grades: Mapping[str, tuple[Grade, ...]]  # the rows of each, by size
    torques: tuple[TorqueRow, ...]
    heat_colours: tuple[HeatColour, ...]
    stages: tuple[StageRow, ...]
    settings: tuple[SettingRow, ...]
    sources: Mapping[str, Raw]
    house: Raw
    fingerprint: str

    def limit(self, id: str, size: str | None = None) -> LimitRow:
        """The row of that id, the one for the size first. Raises KeyError where there is none."""
        return self.limits.get(f"{id}.{size}") or self.limits[id]

    def number(self, id: str, size: str | None = None) -> float:
        """The value of a limit row, in SI."""
        return self.limit(id, size).si

    @cached_property
    def check_of(self) -> Mapping[str, str]:
        """The check that states a fact, by the fact's name; the last one where several do."""
        return {name: c.check for c in self.checks.values() for name in c.all_facts}

    @cached_property
    def price_of(self) -> Mapping[str, Price]:
        """The rows of the price book by code."""
        return {p.code: p for p in self.prices}

    @cached_property
    def dress_rules(self) -> Mapping[str, Rule]:
        """The rules that call dress, by id."""
        return {r.id: r for r in self.rules if r.call == "dress"}

    @cached_property
    def order_of(self) -> Mapping[str, int]:
        """The place of every code in the books: parts, then labour."""
        return {code: i for i, code in enumerate((*self.price_of, *self.labour))}

    @cached_property
    def pairings_of(self) -> Mapping[tuple[str, str], tuple[Pairing, ...]]:
        """The pairings that a part and a call bring, by that part and call."""
        out: dict[tuple[str, str], tuple[Pairing, ...]] = {}
        for p in self.pairings:
            out[p.when_part, p.when_call] = (*out.get((p.when_part, p.when_call), ()), p)
        return out

    def fit(self, what: str, nominal_m: float) -> FitRow | None:
        """The row of fits.csv for a nominal size, or None where the table does not reach."""
        return next((f for f in self.fits if f.what == what and f.over_m < nominal_m <= f.to_m + 1e-9), None)

    def grade(self, name: str, diameter_m: float) -> Grade | None:
        """The row of a stud's grade for its thread, or None where the table has none of that size."""
        rows = self.grades.get(name, ())
        return next((r for r in rows if r.from_m - 1e-9 <= diameter_m <= r.to_m + 1e-9), None)

    @property
    def rate_cents(self) -> int | None:
        """Money for one hour of labour, in cents; None where the shop has set none."""
        return cents_of(self.house["rate"])


def ours() -> Raw:
    """Our own tables as raw rows."""
    room = files(__package__)
    raw: Raw = {
        name: tomllib.loads((room / f"{name}.toml").read_text("utf-8"), parse_float=str)
        for name in TOML_TABLES
    }
    return raw | {name: csv_rows((room / f"{name}.csv").read_text("utf-8")) for name in CSV_TABLES}


def csv_rows(text: str) -> list[dict[str, str]]:
    """Rows of a CSV table with '#' comment lines."""
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return [{k: v or "" for k, v in row.items() if k} for row in csv.DictReader(lines)]


def make(kind: type, row: Mapping[str, Any]) -> Any:
    """A record of a kind from a row: lists become tuples. Raises TypeError for unknown or missing columns."""
    return kind(**{k: tuple(v) if isinstance(v, list) else v for k, v in row.items()})
