"""What is ahead of a shop's part lives, as text and as JSON: distances, dates, and how much they may be believed."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Any

from wheeltapper.fleet.ahead import Ahead
from wheeltapper.fleet.outlook import Family, Outlook
from wheeltapper.fleet.what_if import NowOrLater
from wheeltapper.plan.quote import Line
from wheeltapper.report import wording
from wheeltapper.report.record import problems
from wheeltapper.units import INCH_M, MILE_M

STOOD_MONTHS = 5  # so many months stood age seals, shoes and bearings, whatever the miles say
STEP_MI = 100  # distances are shown rounded down to this


def text(outlook: Outlook, asked_mi: float | None, choices: Iterable[NowOrLater], currency: str) -> str:
    """The outlook as plain text."""
    return "\n".join(_lines(outlook, asked_mi, choices, currency)) + "\n"


def _lines(
    outlook: Outlook, asked_mi: float | None, choices: Iterable[NowOrLater], currency: str
) -> Iterator[str]:
    for family in outlook.families:
        yield family_said(family)
    for choice in choices:
        yield ""
        yield from _choice(choice, currency)
    unit = ""
    for a in outlook.ahead:
        if a.unit != unit:
            yield f"\n{a.unit}  ·  last here {wording.day(a.last)}  ·  miles: {a.quality}  ·  {_pace(a)}"
            unit = a.unit
            if a.stood_months >= STOOD_MONTHS:
                yield f"  stood {a.stood_months:.0f} months: seals, shoes and bearings age without miles"
        yield from _life(a, asked_mi)


def family_said(family: Family) -> str:
    """One sentence on what was used for a kind of size, and why."""
    proof = family.proof
    held = ""
    if proof.held is not None:
        limits = f"{proof.low * 100:.0f} to {proof.high * 100:.0f} %"
        held = f" Of {proof.predictions} readings foretold on {proof.units} units its 90 % windows held {proof.held} ({limits})."
    used = "pooled over the shop's records" if proof.used else "each part by its own records alone (C7, C8)"
    return f"{family.what}: {family.lives} parts, {used}: {proof.why}.{held}"


def _pace(a: Ahead) -> str:
    return f"about {a.pace_mi:,.0f} miles a month" + (" (assumed: no two counts)" if a.pace_assumed else "")


def _life(a: Ahead, asked_mi: float | None) -> Iterator[str]:
    late = "  LATE" if a.late else ""
    yield f"  {a.position} {a.what}: {check_said(a)}{late}"
    yield f"      {distance_said(a)}"
    if asked_mi is not None:
        said = "nobody can say" if a.chance is None else wording.percent(a.chance)
        yield f"      chance of its limit before {asked_mi:,.0f} miles: {said}"


def check_said(a: Ahead) -> str:
    """When to look again, by distance and by date."""
    by = f"by {wording.day(a.check_date)}" if a.check_date else "no date"
    if a.check_mi is None:
        return f"next check {by}"
    at = f" (at {a.at_mi:,} on its count)" if a.at_mi is not None else ""
    return f"next check in {a.check_mi:,} miles{at} or {by}, whichever is first"


def distance_said(a: Ahead) -> str:
    """How far it goes, how sure that is, and what says so."""
    rate = f"{(a.rate_share or 0) * 1000 * MILE_M / INCH_M:.4f} in for each 1,000 miles"
    if a.how in {"not enough to say", "no limit known"}:
        return f"{a.how}, from {_records(a)}" + (f"; {rate}" if a.rate_share is not None else "")
    middle = f"about {_miles(a.middle_mi)} left"
    if a.near_mi is not None:
        middle += f", 90 % sure of {_miles(a.near_mi)} to {_miles(a.far_mi)}"
    return f"{middle}; {rate}; {a.how}, from {_records(a)}"


def _records(a: Ahead) -> str:
    return f"{a.records} record" + ("s" if a.records != 1 else "")


def _miles(miles: float | None) -> str:
    return wording.miles(int((miles or 0.0) // STEP_MI * STEP_MI))


def _choice(c: NowOrLater, currency: str) -> Iterator[str]:
    yield f"{c.unit}, axle {c.axle}, {c.part} at both ends, now or {c.miles:,.0f} miles later"
    yield f"  now {wording.money(c.now_cents, currency)}; later {wording.money(c.later_cents, currency)} at today's prices"
    if c.worst_end is None or c.at_most is None:
        yield "  chance of a limit before then: nobody can say"
        return
    worst, most = wording.percent(c.worst_end), wording.percent(c.at_most)
    yield f"  waiting gains {c.gained_mi:,.0f} miles; chance of a limit before then: {worst} at the worse end, {most} at most at either"


def as_json(outlook: Outlook, choices: Iterable[NowOrLater]) -> str:
    """The outlook for a program; distances in miles from each unit's last visit, rates in inches for 1,000 miles."""
    data = {
        "families": [_family(f) for f in outlook.families],
        "parts": [_part(a) for a in outlook.ahead],
        "choices": [_choice_data(c) for c in choices],
        "problems": problems(outlook.problems),
    }
    return json.dumps(data, indent=1, ensure_ascii=False) + "\n"


def _family(f: Family) -> dict[str, Any]:
    p = f.proof
    return {
        "what": f.what, "lives": f.lives, "groups": len(f.groups), "pooled": p.used, "why": p.why, "predictions": p.predictions,
        "units": p.units, "held": p.held, "held_from": round(p.low, 4), "held_to": round(p.high, 4), "more_worn": p.more_worn,
        "say": family_said(f),
    }  # fmt: skip


def _part(a: Ahead) -> dict[str, Any]:
    rates = {
        k: _rate(v)
        for k, v in (("rate", a.rate_share), ("rate_from", a.slow_share), ("rate_to", a.fast_share))
    }
    far = {"remaining_mi": a.middle_mi, "remaining_from_mi": a.near_mi, "remaining_to_mi": a.far_mi}
    dates = {
        "date": a.middle_date,
        "date_from": a.near_date,
        "date_to": a.far_date,
        "check_date": a.check_date,
    }
    return {
        "unit": a.unit, "position": a.position, "what": a.what, "how": a.how, "why": a.why, "records": a.records,
        "last": a.last.isoformat(), **rates, **{k: None if v is None else int(v) for k, v in far.items()},
        **{k: None if v is None else v.isoformat() for k, v in dates.items()}, "check_mi": a.check_mi, "at_mi": a.at_mi,
        "late": a.late, "miles_are": a.quality, "pace_mi_month": round(a.pace_mi), "pace_assumed": a.pace_assumed,
        "stood_months": round(a.stood_months, 1), "chance": None if a.chance is None else round(a.chance, 4),
        "say": f"{check_said(a)}; {distance_said(a)}",
    }  # fmt: skip


def _rate(share: float | None) -> float | None:
    return None if share is None else round(share * 1000 * MILE_M / INCH_M, 6)


def _choice_data(c: NowOrLater) -> dict[str, Any]:
    return {
        "unit": c.unit, "axle": c.axle, "what": c.what, "part": c.part, "miles": c.miles, "now_cents": c.now_cents,
        "later_cents": c.later_cents, "gained_mi": c.gained_mi, "worst_end": c.worst_end, "at_most": c.at_most,
        "now": _codes(c.now), "later": _codes(c.later),
    }  # fmt: skip


def _codes(rows: Iterable[Line]) -> list[dict[str, Any]]:
    return [{"code": row.code, "qty": row.qty, "cents": row.cents} for row in rows]
