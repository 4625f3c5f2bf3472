"""When to look again: by distance and by date, whichever comes first, always with the basis."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date as Date

from wheeltapper.disposition.decide import Call
from wheeltapper.findings.facts import Findings, Gauged
from wheeltapper.plan.foresight import OWN, RHYTHM, Foresight, Prediction
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Interval, Tables
from wheeltapper.words import axle_of

MONTH_DAYS = 365.2425 / 12
LONG_ENOUGH_DAYS = 14  # a shorter time says nothing of a pace
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
    prediction: Prediction = RHYTHM


def schedule(
    visit: Visit,
    calls: Iterable[Call],
    findings: Findings,
    tables: Tables,
    foresight: Foresight | None = None,
) -> tuple[Next, ...]:
    """Everything that falls due after this visit, soonest first; what the shop's records foretell only makes it sooner."""
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
        out += [*_interims(visit, calls, findings, tables, hubs, foresight), _next(hubs, visit, tables)]
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
    visit: Visit, calls: list[Call], findings: Findings, tables: Tables, hubs: Interval, foresight: Foresight | None
) -> list[Next]:  # fmt: skip
    """An earlier look where a part does not last to the next service; one for each axle and kind of part."""
    stays = {c.place for c in calls if c.call in {"owner decides", "keep", "dress"}}
    first: dict[tuple[str, str], Next] = {}
    for g in findings.gauged:
        if (g.position, g.part) not in stays:
            continue
        key = axle_of(g.position), g.part
        both = _own(g, visit, findings, tables), _foreseen(g, visit, foresight, hubs)
        for n in (n for n in both if n and (hubs.miles is None or (n.miles or 0) < hubs.miles)):
            first[key] = _sooner(first[key], n) if key in first else n
    return list(first.values())


def _sooner(a: Next, b: Next) -> Next:
    """The look with fewer miles, no later than the other's day."""
    near = b if (b.miles or 0) < (a.miles or 0) else a
    return replace(near, date=min((d for d in (a.date, b.date) if d), default=None))


def _own(g: Gauged, visit: Visit, findings: Findings, tables: Tables) -> Next | None:
    """By the part's own records (C7, C8)."""
    short = (f"{family}.remaining_short" for family in ("drum", "lining", "rotor", "pads"))
    if g.interim_mi is None or not any(findings.yes(g.position, name) for name in short):
        return None
    share, step = tables.limit("interim_share"), tables.limit("interim_step")
    basis = f"{share.value} % of what remains, rounded down to {step.value} mi, from {g.records} records"
    return _look(g, g.interim_mi, months_on(visit.date, max(1, g.interim_mi // PACE_MI)), basis, OWN, visit)


def _foreseen(g: Gauged, visit: Visit, foresight: Foresight | None, hubs: Interval) -> Next | None:
    """By what the shop's records foretell, where the pool has shown itself."""
    row = foresight.of(g.position, g.what) if foresight else None
    if row is None:
        return None
    by_date = (
        hubs.miles is None and hubs.months is not None
    )  # no distance asks for the hubs: only an earlier day is a check
    if by_date and (row.check_date is None or row.check_date >= months_on(visit.date, hubs.months or 0)):
        return None
    basis = "before the limit has been reached with one chance in twenty"
    if row.prediction == OWN:
        basis = "80 % of what remains at the rate of its last records, faster than the shop's others"
    return _look(g, row.check_mi, row.check_date, basis, row.prediction, visit)


def _look(
    g: Gauged, miles: int, day: Date | None, basis: str, prediction: Prediction, visit: Visit
) -> Next:  # fmt: skip
    return Next(
        "interim check", basis, miles, day, _at(miles, visit), g.position, part=g.part, prediction=prediction
    )


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
