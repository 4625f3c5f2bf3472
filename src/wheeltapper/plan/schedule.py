"""When to look again: by distance and by date, whichever comes first, always with the basis."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date as Date

from wheeltapper.disposition.decide import Call
from wheeltapper.findings.facts import Findings, Gauged
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Interval, Tables
from wheeltapper.words import axle_of

PACE_MI = 1000  # miles a month, the private rhythm: a date for a distance, rounded down to whole months
NEW_WORK = ("brake-assembly", "hub-drum", "axle", "lining")


@dataclass(frozen=True)
class Next:
    """One thing that falls due, and why then."""

    what: str
    basis: str
    miles: int | None = None
    date: Date | None = None
    at_miles: int | None = None
    position: str | None = None
    every: bool = False
    part: str | None = None


def schedule(visit: Visit, calls: Iterable[Call], findings: Findings, tables: Tables) -> tuple[Next, ...]:
    """Everything that falls due after this visit, soonest first."""
    calls = list(calls)
    rows = {i.id: i for i in tables.intervals}
    out: list[Next] = []
    if visit.scope == "hub service":
        out += [_next(rows[f"retorque.{n}"], visit, tables) for n in (1, 2, 3)]
    if visit.unit.brake != "hydraulic disc":
        if _new_brakes(visit, calls):
            out.append(_next(rows["adjust.new"], visit, tables))
        out.append(_next(rows["adjust"], visit, tables, every=True))
    if visit.scope == "hub service":
        use = visit.unit.use or "no history"
        hubs = next(i for i in tables.intervals if i.what == "hubs off" and use in i.use)
        out += [*_interims(visit, calls, findings, tables, hubs), _next(hubs, visit, tables)]
        out += _looks(visit, calls, rows, tables)
    return tuple(sorted(out, key=lambda n: (n.date or Date.max, n.miles or 10**9, n.what, n.position or "")))


def _next(row: Interval, visit: Visit, tables: Tables, call: Call | None = None, every: bool = False) -> Next:
    due = months_on(visit.date, row.months) if row.months else None
    position, part = (call.position, call.part) if call else (None, None)
    basis = tables.sources[row.source]["say"]
    return Next(row.what, basis, row.miles, due, _at(row.miles, visit), position, every, part)


def _at(miles: int | None, visit: Visit) -> int | None:
    """The trailer's own count at which it falls due, where that count is known."""
    return None if miles is None or visit.mileage.now is None else round(visit.mileage.now) + miles


def _new_brakes(visit: Visit, calls: list[Call]) -> bool:
    """Are new shoes or drums going on, or were they fitted on the day of the visit?"""
    planned = any(c.call == "replace" and c.part in NEW_WORK for c in calls)
    return planned or any(f.date == visit.date and f.part in NEW_WORK for f in visit.fitted)


def _interims(
    visit: Visit, calls: list[Call], findings: Findings, tables: Tables, hubs: Interval
) -> list[Next]:
    """An earlier look where a part does not last to the next service; one for each axle and kind of part."""
    stays = {c.place for c in calls if c.call in {"owner decides", "keep", "dress"}}
    worst: dict[tuple[str, str], Gauged] = {}
    for g in findings.gauged:
        if (
            g.interim_mi is None
            or (g.position, g.part) not in stays
            or (hubs.miles is not None and g.interim_mi >= hubs.miles)
        ):
            continue
        if not any(
            findings.yes(g.position, f"{family}.remaining_short")
            for family in ("drum", "lining", "rotor", "pads")
        ):
            continue
        key = axle_of(g.position), g.part
        if key not in worst or g.interim_mi < (worst[key].interim_mi or 0):
            worst[key] = g
    return [_interim(g, visit, tables) for g in worst.values()]


def _interim(g: Gauged, visit: Visit, tables: Tables) -> Next:
    share, step = tables.limit("interim_share"), tables.limit("interim_step")
    basis = f"{share.value} % of what remains, rounded down to {step.value} mi, from {g.records} records"
    due = months_on(visit.date, max(1, (g.interim_mi or 0) // PACE_MI))
    return Next("interim check", basis, g.interim_mi, due, _at(g.interim_mi, visit), g.position, part=g.part)


def _looks(visit: Visit, calls: list[Call], rows: dict[str, Interval], tables: Tables) -> list[Next]:
    """Looks that a call asks for where no rate says how far it goes."""
    out = []
    for call in calls:
        rules = {*call.rules, *call.milder} if call.call != "replace" else set()
        rated = any(f.gauged is not None and f.gauged.rate_share is not None for f in call.facts)
        if (
            call.part in {"lining", "pads"}
            and rules & {"H12.thin", "H13.thin"}
            and call.call == "owner decides"
            and not rated
        ):
            out.append(_next(rows["look.lining"], visit, tables, call))
        elif call.part == "hub-drum" and rules & {"H5.medium", "H5.warped"}:
            out.append(_next(rows["look.magnet_face"], visit, tables, call))
        elif call.part == "brake-assembly" and "H14.film" in rules:
            out.append(_next(rows["look.weep"], visit, tables, call))
    return out


def months_on(day: Date, months: int) -> Date:
    """The same day so many months on, or the last day of a shorter month."""
    month = day.month - 1 + months
    year, month = day.year + month // 12, month % 12 + 1
    return Date(year, month, min(day.day, monthrange(year, month)[1]))
