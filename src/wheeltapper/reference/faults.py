"""Reading raw rows into typed tables, collecting every fault on the way."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping
from fractions import Fraction
from math import isfinite
from typing import Any

from wheeltapper.problems import TablesError
from wheeltapper.reference import charges, metal
from wheeltapper.reference.money import cents_of
from wheeltapper.reference.tables import (
    BRAKES,
    STRENGTHS,
    Cause,
    Check,
    Interval,
    Labour,
    LimitRow,
    Pairing,
    Price,
    Raw,
    Rule,
    Standing,
    Tables,
    make,
)
from wheeltapper.units import WORKOUT_UNITS
from wheeltapper.words import CALLS, GRADES, PARTS

CAUSE_COLUMNS = {"for": "supports"}


def build(raw: Raw, fingerprint: str) -> Tables:
    """Typed tables. Raises TablesError naming every row that cannot be used, and why."""
    faults: list[str] = []

    def rows(table: str, key: str, reader: Callable[[Mapping[str, Any]], Any]) -> list[Any]:
        return _read(raw[table][key] if isinstance(raw[table], dict) else raw[table], table, reader, faults)

    bodies = dict(rows("drums", "", lambda row: (row["drum"], metal.drum_body(row))))
    metals = {table: rows(table, "", reader) for table, reader in metal.READERS.items()}
    tables = Tables(
        checks={c.check: c for c in rows("checks", "check", lambda row: make(Check, row))},
        limits={x.id: x for x in rows("limits", "limit", lambda row: make(LimitRow, row))},
        rules=tuple(rows("rules", "rule", _rule)),
        standing=tuple(rows("rules", "standing", lambda row: make(Standing, row))),
        pairings=tuple(rows("pairings", "pairing", _pairing)),
        causes=tuple(rows("causes", "cause", _cause)),
        work=raw["work"],
        prices=tuple(rows("prices", "", _price)),
        labour={
            x.code: x
            for x in rows("labour", "", lambda row: Labour(row["code"], row["say"], Fraction(row["hours"])))
        },
        taxes=tuple(rows("taxes", "", charges.tax)),
        fees=tuple(rows("fees", "", charges.fee)),
        intervals=tuple(rows("intervals", "interval", lambda row: make(Interval, row))),
        drums={name: body.nominal_m for name, body in bodies.items()},
        drum_bodies=bodies,
        materials={m.name: m for m in metals["materials"]},
        bearings={b.name: b for b in metals["bearings"]},
        fits=tuple(metals["fits"]),
        studs={s.name: s for s in metals["studs"]},
        grades={
            n: tuple(g for g in metals["grades"] if g.name == n)
            for n in dict.fromkeys(g.name for g in metals["grades"])
        },
        torques=tuple(metals["torques"]),
        heat_colours=tuple(metals["heat_colours"]),
        stages=tuple(metals["stages"]),
        settings=tuple(metals["settings"]),
        sources=raw["sources"]["source"],
        house=raw["house"],
        fingerprint=fingerprint,
    )
    faults += [
        fault
        for look in (_ids, _limits, _rules, _pairs, _sources, _checks, _causes, _house)
        for fault in look(tables)
    ]
    if faults:
        raise TablesError(sorted(set(faults)))
    return tables


def _read(rows: Any, table: str, reader: Callable[[Mapping[str, Any]], Any], faults: list[str]) -> list[Any]:
    made = []
    for number, row in enumerate(rows, 1):
        try:
            made.append(reader(row))
        except (TypeError, KeyError, ValueError, ZeroDivisionError) as slip:
            name = row.get("id") or row.get("check") or row.get("code") or f"row {number}"
            faults.append(f"{table}, {name}: {str(slip).replace('__init__() ', '')}")
    return made


def _rule(row: Mapping[str, Any]) -> Rule:
    part = row["part"]
    return make(Rule, {**row, "part": [part] if isinstance(part, str) else part})  # type: ignore[no-any-return]


def _pairing(row: Mapping[str, Any]) -> Pairing:
    rest = {k: v for k, v in row.items() if k not in {"when", "then"}}
    when, then = row["when"], row["then"]
    return Pairing(
        when_part=when["part"],
        when_call=when["call"],
        then_part=then["part"],
        then_call=then["call"],
        at=then["at"],
        **rest,
    )


def _cause(row: Mapping[str, Any]) -> Cause:
    return make(Cause, {CAUSE_COLUMNS.get(k, k): v for k, v in row.items()})  # type: ignore[no-any-return]


def _price(row: Mapping[str, Any]) -> Price:
    return Price(
        row["code"], row["part"], row["say"], cents_of(row["price"]), row["drum"], row["studs"], row["brake"]
    )


def _ids(t: Tables) -> list[str]:
    groups = {"rules": [r.id for r in t.rules], "pairings": [p.id for p in t.pairings], "causes": [c.id for c in t.causes],
              "prices": [p.code for p in t.prices], "intervals": [i.id for i in t.intervals]}  # fmt: skip
    return [
        f"{table}: '{id}' stands twice"
        for table, ids in groups.items()
        for id, n in Counter(ids).items()
        if n > 1
    ]


def _limits(t: Tables) -> list[str]:
    bad = []
    for row in t.limits.values():
        where = f"limits, {row.id}"
        if row.unit not in WORKOUT_UNITS:
            bad.append(f"{where}: unit '{row.unit}' is not known")
        if row.grade not in GRADES:
            bad.append(f"{where}: grade '{row.grade}' is not one of {', '.join(GRADES)}")
        if row.change not in {"house", "safer only", "fixed"}:
            bad.append(f"{where}: change '{row.change}' is not house, safer only or fixed")
        if row.change == "safer only" and row.safer not in {"higher", "lower"}:
            bad.append(f"{where}: safer must say higher or lower")
        try:
            values = [_finite(v) for v in (row.value, *row.allowed)]
        except ValueError:
            bad.append(f"{where}: '{row.value}' or its allowed range is not a number")
            continue
        if row.change == "house" and not (len(values) == 3 and values[1] <= values[0] <= values[2]):
            bad.append(
                f"{where}: {row.value} is outside what is allowed ({' to '.join(row.allowed) or 'no range given'})"
            )
    return bad


def _finite(text: str) -> float:
    value = float(text)
    if not isfinite(value):
        raise ValueError(text)
    return value


def _rules(t: Tables) -> list[str]:
    known = facts_of(t)
    bad = []
    for rule in t.rules:
        where = f"rules, {rule.id}"
        bad += [f"{where}: no such part '{part}'" for part in rule.part if part not in PARTS]
        bad += [f"{where}: no check states '{fact}'" for fact in rule.when if fact not in known]
        if not rule.when:
            bad.append(f"{where}: a rule needs at least one fact")
        if rule.call not in CALLS:
            bad.append(f"{where}: '{rule.call}' is not one of the five calls")
        if rule.strength not in STRENGTHS:
            bad.append(f"{where}: strength '{rule.strength}' is not fixed, house or judgement")
        if rule.strength == "fixed" and rule.call != "replace":
            bad.append(f"{where}: a fixed rule calls replace")
        if rule.call == "dress" and rule.action not in t.work["dress"]:
            bad.append(f"{where}: dress needs an action of work.toml, not '{rule.action}'")
    return bad


def _pairs(t: Tables) -> list[str]:
    bad = []
    for pair in t.pairings:
        where = f"pairings, {pair.id}"
        bad += [
            f"{where}: no such part '{part}'"
            for part in (pair.when_part, pair.then_part)
            if part not in PARTS
        ]
        bad += [
            f"{where}: '{call}' is not one of the five calls"
            for call in (pair.when_call, pair.then_call)
            if call not in CALLS
        ]
        if pair.at not in {"same wheel", "other end"}:
            bad.append(f"{where}: at '{pair.at}' is not 'same wheel' or 'other end'")
        if pair.need and pair.need not in facts_of(t):
            bad.append(f"{where}: no check states '{pair.need}'")
    return bad


def _sources(t: Tables) -> list[str]:
    rows: list[Any] = [*t.limits.values(), *t.rules, *t.standing, *t.pairings, *t.causes, *t.intervals]
    sized: list[Any] = [*t.materials.values(), *t.bearings.values(), *t.fits, *t.studs.values(), *t.torques, *t.heat_colours, *t.stages, *t.settings,
                        *(row for rows_of in t.grades.values() for row in rows_of)]  # fmt: skip
    named = [(row.id, row.source) for row in rows]
    named += [(next(iter(vars(row).values())), row.source) for row in sized]
    used = {source for _, source in named}
    bad = [
        f"{name}: source '{source}' is not in sources.toml"
        for name, source in named
        if source not in t.sources
    ]
    return bad + [f"sources: '{key}' is used by no row" for key in t.sources if key not in used]


def _checks(t: Tables) -> list[str]:
    bad = []
    for check in t.checks.values():
        bad += [
            f"checks, {check.check}: '{how}' is not look, feel, hear or measure"
            for how in check.how
            if how not in {"look", "feel", "hear", "measure"}
        ]
        bad += [
            f"checks, {check.check}: no such brake '{kind}'" for kind in check.brakes if kind not in BRAKES
        ]
        if check.part not in {*PARTS, "hub"}:
            bad.append(f"checks, {check.check}: no such part '{check.part}'")
    return bad


def _causes(t: Tables) -> list[str]:
    known = facts_of(t)
    named = [
        (c, f)
        for c in t.causes
        for f in (*c.needs, *c.any_of, *c.supports, *c.against, *c.settled_by, *c.settled_out_by)
    ]
    bad = [f"causes, {c.id}: no check states '{f}'" for c, f in named if f not in known]
    bad += [
        f"causes, {c.id}: no action '{c.action}' in work.toml"
        for c in t.causes
        if c.action and c.action not in t.work["dress"]
    ]
    return bad + [
        f"causes, {c.id}: a cause needs at least one fact" for c in t.causes if not (c.needs or c.any_of)
    ]


SWITCHES = ("rest_fine_covers_readings", "second_initial")


def _house(t: Tables) -> list[str]:
    switches = [key for key in SWITCHES if not isinstance(t.house[key], bool)]
    texts = [k for k, v in t.house.items() if k not in SWITCHES and not isinstance(v, str)]
    bad = [f"house, {key}: '{t.house[key]}' is not true or false" for key in switches]
    bad += [f"house, {key}: write '{t.house[key]}' in quotes" for key in texts]
    for key, read in (("rate", cents_of), ("deposit_percent", charges.percent_of), ("estimate_days", _days)):
        try:
            if key not in texts:
                read(t.house[key])
        except ValueError as slip:
            bad.append(f"house, {key}: {slip}")
    if "traffic" not in texts and t.house["traffic"] not in {"", "right", "left"}:
        bad.append(f"house, traffic: '{t.house['traffic']}' is not right or left")
    return bad + ([] if texts else _sending(t.house))


def _sending(house: Mapping[str, str]) -> list[str]:
    """How a sheet comes to its owner."""
    bad = [
        f"house, {key}: '{house[key]}' is not a whole number from 1 to {most}"
        for key, most in (
            ("link_days", 365),
            ("smtp_port", 65535),
            ("alarm_bearings", 20),
            ("alarm_units", 1000),
            ("alarm_visits", 20),
        )
        if not (house[key].isdecimal() and 1 <= int(house[key]) <= most)
    ]
    if house["smtp_security"] not in {"starttls", "tls", "none"}:
        bad.append(f"house, smtp_security: '{house['smtp_security']}' is not starttls, tls or none")
    if house["owner_address"] and not re.fullmatch(r"https?://[^\s/?#]+", house["owner_address"]):
        bad.append(f"house, owner_address: '{house['owner_address']}' is not like https://shop.example")
    if house["smtp_host"] and not re.fullmatch(r"[^@\s<>]+@[^@\s<>]+", house["mail_from"]):
        bad.append(f"house, mail_from: '{house['mail_from']}' is no address, and smtp_host needs one")
    return bad


def _days(text: str) -> int:
    if not text.isdecimal() or not 0 < int(text) <= 730:
        raise ValueError(f"'{text}' is not a number of days, 1 to 730")
    return int(text)


WORKED_OUT = (  # facts that findings/ works out from several checks
    "people.disagree", "heat_checks.patch_unsettled", "pattern.ahead_of_mate", "pattern.one_wheel", "pattern.one_side",
    "pattern.one_axle", "pattern.diagonal", "pattern.all_worn", "pattern.mate_rusty", "unit.spindle_fitting",
    "unit.salt_water", "unit.stood", "drum.worn", "magnet_face.worn", "lining.worn", "adjust.overdue",
    "torque.moved", "torque.moved_again", "torque.turned_far", "torque.ran_loose", "bearing.third_time", "fleet.unadjusted", "heat.braking_explains", "heat.braking_too_small",
    "hub.hot_no_run", "drum.ring_look_closer", "drum.ring_not_done", "mark.not_felt", "mark.at_edge", "mark.network", "mark.grown",
)  # fmt: skip


def facts_of(t: Tables) -> set[str]:
    """Every fact that some check, or findings/, can state."""
    return {fact for check in t.checks.values() for fact in check.all_facts} | set(WORKED_OUT)
