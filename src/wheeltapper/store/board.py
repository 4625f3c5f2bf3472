"""The board's lines: one for each unit, made again from its visits as one of them moves on; and what is due on it.

A list may bring in units that were never here. Nothing on the board is the record: all of it can be made again.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable
from dataclasses import asdict
from datetime import date as Date
from datetime import timedelta
from itertools import pairwise
from typing import Any

from django.db import transaction
from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from wheeltapper.fleet.patterns import Alarm, Seen, of_fleet, of_unit
from wheeltapper.fleet.standing import seen_of
from wheeltapper.plan.schedule import LONG_ENOUGH_DAYS, MONTH_DAYS, PACE_MI, months_on
from wheeltapper.reference.tables import Tables
from wheeltapper.store import links
from wheeltapper.store.models import CalendarKey, DueLine, KeptVisit, UnitLine
from wheeltapper.store.unit_names import plain
from wheeltapper.words import CALLS

FAR_DAYS = 36_500
PURPOSE = b"calendar "


def lay(tag: str, tables: Tables) -> None:
    """Make a unit's line again from its visits; one that no visit and no list knows any more goes."""
    with transaction.atomic():  # one after the other: what was read before another wrote must not win
        visits = list(KeptVisit.objects.filter(tag=tag).order_by("opened", "pk")) if tag else []
        line = UnitLine.objects.filter(tag=tag).first()
        if not visits:
            _without_visits(line)
            return
        line = line or UnitLine(tag=tag)
        last, out = visits[-1], next((v for v in reversed(visits) if v.summary.get("due")), None)
        rows = sorted((_row(v) for v in visits if v.summary.get("board")), key=lambda r: str(r["date"]))
        line.unit, line.visit, line.here, line.seen = last.unit, last, last.open, rows
        worst = (last.summary.get("board") or {}).get("worst")
        line.worst = CALLS.index(worst[2]) if worst else 0
        known = [seen_from(r) for r in rows]
        line.seen_on, line.slack, line.side = _latest(known)
        line.alarms = [asdict(a) for a in of_unit(last.unit, known, tables)]
        due = _due(line, out, visits) if out else []
        line.on = min((d.on for d in due if d.on), default=None)
        line.come_in = any(d.come_in for d in due)
        line.save()
        line.due.all().delete()
        DueLine.objects.bulk_create(due)


def _without_visits(line: UnitLine | None) -> None:
    if line is None:
        return
    if not line.told:
        line.delete()
        return
    line.due.all().delete()
    UnitLine.objects.filter(pk=line.pk).update(
        visit=None,
        here=False,
        worst=0,
        on=None,
        come_in=False,
        seen=[],
        seen_on=None,
        slack=False,
        side="",
        alarms=[],
    )


def _latest(known: list[Seen]) -> tuple[Date | None, bool, str]:
    if not known:
        return None, False, ""
    sides = {side for _, _, side, _ in known[-1].ahead}
    return known[-1].date, bool(known[-1].slack), next(iter(sides)) if len(sides) == 1 else ""


def of_all(tables: Tables, on: Date) -> tuple[Alarm, ...]:
    """What comes back across units, from the latest visit of each within a year."""
    within = UnitLine.objects.filter(seen_on__gte=months_on(on, -12))
    rows = within.filter(Q(slack=True) | ~Q(side="")).values_list("unit", "seen").iterator()
    return of_fleet([(unit, seen_from(seen[-1])) for unit, seen in rows], within.count(), tables)


def _row(visit: KeptVisit) -> dict[str, Any]:
    row: dict[str, Any] = {"number": visit.number, "date": visit.summary["date"], "state": visit.state}
    row.update(visit.summary["board"])
    return row


def seen_from(row: dict[str, Any]) -> Seen:
    """What a kept row gives to a pattern."""
    return seen_of(row["number"], Date.fromisoformat(row["date"]), row)


def _due(line: UnitLine, out: KeptVisit, visits: list[KeptVisit]) -> list[DueLine]:
    pace, assumed = _pace(visits)
    start = Date.fromisoformat(out.summary["date"])
    return [
        _one(line, out, d, start, pace, assumed) for d in out.summary["due"] if not d["done"] or d["come_in"]
    ]


def _one(
    line: UnitLine, out: KeptVisit, item: dict[str, Any], start: Date, pace: float, assumed: bool
) -> DueLine:
    by = Date.fromisoformat(item["by"]) if item["by"] else None
    days = (
        None
        if item["miles"] is None or item["what"] == "retorque"
        else min(item["miles"] / pace * MONTH_DAYS, FAR_DAYS)
    )
    then = None if days is None else start + timedelta(days=int(days))
    on = min((d for d in (by, then) if d), default=None)
    return DueLine(
        line=line, visit=out, what=item["what"], position=item["position"] or "", part=item["part"] or "", miles=item["miles"],
        at=item["at"], by=by, on=on, by_miles=on is not None and on != by, pace=round(pace), assumed=assumed, basis=item["basis"],
        come_in=item["come_in"],
    )  # fmt: skip


def _pace(visits: list[KeptVisit]) -> tuple[float, bool]:
    """Miles a month between the last two counts that go on far enough from each other, else assumed."""
    told = [
        (Date.fromisoformat(v.summary["date"]), float(v.summary["miles_now"]))
        for v in visits
        if v.summary.get("date") and v.summary.get("miles_now") is not None
    ]
    for (then, before), (day, now) in reversed(list(pairwise(told))):
        days = (day - then).days
        if days >= LONG_ENOUGH_DAYS and now > before:
            return (now - before) / days * MONTH_DAYS, False
    return float(PACE_MI), True


def catch_up(tables: Tables) -> None:
    """Lines of units that have visits and no line yet: those of before there was a board."""
    lines = UnitLine.objects.filter(tag=OuterRef("tag"))
    tags = KeptVisit.objects.exclude(tag="").filter(~Exists(lines)).values_list("tag", flat=True).distinct()
    for tag in list(tags):
        lay(tag, tables)


def bring_in(rows: Iterable[tuple[str, dict[str, str]]]) -> None:
    """Units of a list: the facts of each take the place of those that a list gave before."""
    with transaction.atomic():
        for unit, told in rows:
            line, _ = UnitLine.objects.get_or_create(tag=plain(unit), defaults={"unit": unit})
            line.told = told
            line.save(update_fields=["told"])


def make_key(by: str) -> CalendarKey:
    """A new address for calendars."""
    seed = secrets.token_hex(32)
    return CalendarKey.objects.create(seed=seed, key=links.key_of(links.token(seed, PURPOSE)), made_by=by)


def token_of(key: CalendarKey) -> str | None:
    """Its token, to be copied; None where the server's key is another one now."""
    return links.token_again(key.seed, key.key, PURPOSE)


def key_found(token: str) -> CalendarKey | None:
    """The key of a token, ended or not."""
    return CalendarKey.objects.filter(key=links.key_of(token)).first() if len(token) == links.LENGTH else None


def key_stands(key: CalendarKey) -> bool:
    """Whether it still opens."""
    return key.revoked is None


def end_keys(by: str) -> None:
    """No calendar fetches anything from now on."""
    CalendarKey.objects.filter(revoked=None).update(revoked=timezone.now(), revoked_by=by)
