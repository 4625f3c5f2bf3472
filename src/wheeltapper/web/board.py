"""The fleet board: every unit's worst wheel, what is due and when, what keeps coming back, and what each has cost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict
from datetime import date as Date
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

from django.db.models import F, Q, QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from wheeltapper.fleet.patterns import Alarm
from wheeltapper.problems import Problem
from wheeltapper.report import board as words
from wheeltapper.report import calendar, wording
from wheeltapper.report.due_words import in_the_shop
from wheeltapper.store import board as kept
from wheeltapper.store.models import CalendarKey, DueLine, UnitLine
from wheeltapper.store.unit_names import plain
from wheeltapper.web import live
from wheeltapper.web.gate import CHOICES
from wheeltapper.web.owner_link import through
from wheeltapper.web.who import Asked, needs
from wheeltapper.words import CALLS

EACH = 50  # units, or things due, on one page
SOON, MONTH = 7, 30  # days
ALARMED = 20
WHEN = (
    ("late", "late"),
    ("soon", f"within {SOON} days"),
    ("month", f"within {MONTH} days"),
    ("later", "later"),
)
OFFERED = {
    field: [value for value, _ in choices]
    for field, _, choices in CHOICES
    if field in words.TOLD and field != "axle_rating_lb"
}
NO_CALENDAR = Problem(
    "calendar", "it does not open anything", "copy the address from the board again, whole."
)
ENDED = Problem("calendar", "it has ended", "ask the shop for a new address.")
Told = dict[str, Any]


@needs("table")
@require_safe
def board(request: Asked) -> HttpResponse:
    """All units, the worst first; or what is due, the latest first."""
    return _page(request)


def _page(
    request: Asked, problems: Iterable[Problem] = (), brought: Told | None = None, status: int = 200
) -> HttpResponse:
    on, tables = Date.today(), live.tables()
    kept.catch_up(tables)
    query, when, number = (
        request.GET.get("q", "").strip()[:80],
        request.GET.get("when", ""),
        request.GET.get("page", ""),
    )
    start = EACH * (int(number) if number.isdecimal() and len(number) < 6 else 0)
    due = _due(on, query)
    if when in due:
        found: QuerySet[Any] = (
            due[when]
            .select_related("line", "visit")
            .defer("visit__summary", "line__seen", "line__alarms", "basis")
        )
        rows = [_due_said(d) for d in found[start : start + EACH]]
    else:
        when, found = "", _units(query)
        rows = [
            _unit_said(u, on, tables.house["currency"])
            for u in found.select_related("visit")[start : start + EACH]
        ]
    many = found.count()
    alarmed = UnitLine.objects.exclude(alarms=[]).order_by("-on", "unit")
    context = {
        "query": query, "when": when, "rows": rows, "many": many, "counts": [(k, said, due[k].count()) for k, said in WHEN],
        "come_in": UnitLine.objects.filter(come_in=True).order_by("unit")[:ALARMED], "problems": tuple(problems), "brought": brought,
        "alarms": [*map(_alarm, kept.of_all(tables, on)), *(_alarm(Alarm(**a)) for u in alarmed[:ALARMED] for a in u.alarms)],
        "more_alarms": max(0, alarmed.count() - ALARMED), "units": UnitLine.objects.count(),
        "before": _at(query, when, start // EACH - 1) if start else "",
        "after": _at(query, when, start // EACH + 1) if start + EACH < many else "",
        "calendar": _calendar(request),
    }  # fmt: skip
    return render(request, "board/board.html", context, status=status)


def _at(query: str, when: str, page: int) -> str:
    return "?" + urlencode({k: v for k, v in (("q", query), ("when", when), ("page", page)) if v})


def _units(query: str) -> QuerySet[UnitLine]:
    rows = UnitLine.objects.order_by("-come_in", "-worst", F("on").asc(nulls_last=True), "unit")
    return rows.filter(_named(query)) if query else rows


def _named(query: str, of: str = "") -> Q:
    """Units whose tag, plate or owner has this in it; a tag as it is compared, so that blanks and dashes do not matter."""
    said = Q(**{f"{of}unit__icontains": query}) | Q(**{f"{of}told__owner__icontains": query})
    return said | Q(**{f"{of}tag__contains": plain(query)}) if plain(query) else said


def _due(on: Date, query: str) -> dict[str, QuerySet[DueLine]]:
    rows = DueLine.objects.order_by(F("on").asc(nulls_last=True), "line_id", "pk")
    if query:
        rows = rows.filter(_named(query, "line__"))
    soon, month = on + timedelta(days=SOON), on + timedelta(days=MONTH)
    return {
        "late": rows.filter(Q(on__lt=on) | Q(come_in=True)), "soon": rows.filter(on__gte=on, on__lte=soon, come_in=False),
        "month": rows.filter(on__gt=soon, on__lte=month, come_in=False), "later": rows.filter(Q(on__gt=month) | Q(on=None), come_in=False),
    }  # fmt: skip


def _due_said(item: DueLine) -> Told:
    row = {
        "what": item.what,
        "position": item.position,
        "part": item.part,
        "miles": item.miles,
        "by": item.by,
    }
    pace = f"{item.pace:,} miles a month" + (", assumed" if item.assumed else "")
    return {
        "line": item.line, "visit": item.visit, "say": words.due_said(row), "come_in": item.come_in,
        "on": wording.day(item.on) if item.on else "", "by_miles": item.by_miles, "pace": pace, "at": item.at,
    }  # fmt: skip


def _unit_said(unit: UnitLine, on: Date, currency: object) -> Told:
    last = unit.seen[-1] if unit.seen else {}
    year, whole = words.spent(unit.seen, on)
    worst, used = last.get("worst"), last.get("used")
    return {
        "line": unit, "state": unit.visit.state if unit.visit else "never here", "owner": unit.told.get("owner", ""),
        "worst": worst, "call": worst[2] if worst else CALLS[0] if last else "",
        "used": words.wear_said(*used) if used else "",
        "on": wording.day(unit.on) if unit.on else "", "late": unit.on is not None and unit.on < on,
        "year": wording.money(year, str(currency)), "whole": wording.money(whole, str(currency)), "visits": len(unit.seen),
    }  # fmt: skip


def _alarm(alarm: Alarm) -> Told:
    return {
        "say": alarm.say, "unit": alarm.units[0] if alarm.kind != "slack" and len(alarm.units) == 1 else "", "saw": alarm.saw,
        "else": alarm.else_, "look": alarm.look,
    }  # fmt: skip


def _calendar(request: Asked) -> str:
    """The address of the calendar, where there is one that still opens and can be shown."""
    key = CalendarKey.objects.filter(revoked=None).order_by("-pk").first()
    token = kept.token_of(key) if key else None
    here = str(live.tables().house["owner_address"]) or f"{request.scheme}://{request.get_host()}"
    return f"{here}/calendar/{token}.ics" if token else ""


@needs("table")
@require_safe
def units_out(request: Asked) -> HttpResponse:
    """Every unit as CSV."""
    return _file(_units_csv(Date.today()), "units.csv")


def _units_csv(on: Date) -> str:
    return words.csv_text(words.UNITS, unit_rows(on))


def unit_rows(on: Date) -> Iterator[Told]:
    """Every unit, the worst first, for a program."""
    kept.catch_up(live.tables())
    return (_unit_row(u, on) for u in _units("").select_related("visit").iterator())


def _unit_row(unit: UnitLine, on: Date) -> Told:
    last = unit.seen[-1] if unit.seen else {}
    year, whole = words.spent(unit.seen, on)
    worst, used = last.get("worst") or ("", "", ""), last.get("used") or ("", "", None)
    facts: Told = unit.told | last.get("facts", {})
    return facts | {
        "unit": unit.unit, "last_visit": last.get("date", ""), "state": unit.visit.state if unit.visit else "", "worst_wheel": worst[0],
        "worst_part": worst[1], "worst_call": worst[2], "wear_wheel": used[0], "wear_of": used[1],
        "wear_gone_percent": "" if used[2] is None else f"{100 * used[2]:.0f}", "next_due": unit.on.isoformat() if unit.on else "",
        "spent_12_months": words.money_text(year) if unit.seen else "", "spent_in_all": words.money_text(whole) if unit.seen else "",
    }  # fmt: skip


@needs("table")
@require_safe
def due_out(request: Asked) -> HttpResponse:
    """Everything that is due as CSV."""
    return _file(_due_csv(), "due.csv")


def _due_csv() -> str:
    kept.catch_up(live.tables())
    return words.csv_text(words.DUE, map(due_row, _all_due().iterator()))


def _all_due() -> QuerySet[DueLine]:
    rows = DueLine.objects.order_by(F("on").asc(nulls_last=True), "line_id", "pk").select_related(
        "line", "visit"
    )
    return rows.defer("visit__summary", "line__seen", "line__alarms")


def lists(on: Date) -> tuple[tuple[str, str], ...]:
    """Both lists by the names of their files."""
    return ("units.csv", _units_csv(on)), ("due.csv", _due_csv())


def told(on: Date) -> Told:
    """The whole board, for a program."""
    units = list(unit_rows(on))
    unit_alarms = UnitLine.objects.exclude(alarms=[]).order_by("unit")
    alarms = [*kept.of_all(live.tables(), on), *(Alarm(**a) for u in unit_alarms for a in u.alarms)]
    return {
        "on": on.isoformat(), "units": [{k: u.get(k) for k in words.UNITS} for u in units],
        "due": [due_row(d) for d in _all_due()], "alarms": [asdict(a) for a in alarms],
    }  # fmt: skip


def as_text(told: Told) -> str:
    """The board on a terminal."""
    return "\n".join(words.lines(told))


def due_row(item: DueLine) -> Told:
    """One thing that is due, for a program."""
    return {
        "unit": item.line.unit, "what": item.what, "wheel": item.position, "part": item.part, "on": _iso(item.on), "by_date": _iso(item.by),
        "after_miles": item.miles, "at_count": item.at, "pace_a_month": item.pace, "pace_assumed": "yes" if item.assumed else "no",
        "come_in": "yes" if item.come_in else "no", "visit": item.visit.number, "basis": item.basis,
    }  # fmt: skip


def _iso(day: Date | None) -> str:
    return day.isoformat() if day else ""


def _file(text: str, name: str) -> HttpResponse:
    answer = HttpResponse(
        "﻿" + text, content_type="text/csv; charset=utf-8"
    )  # the mark tells spreadsheets that it is UTF-8
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@needs("books")
@require_POST
def units_in(request: Asked) -> HttpResponse:
    """A list of units: looked through whole; with a fault nothing of it counts."""
    sent = request.FILES.get("file")
    if sent is None:
        return _page(
            request, (Problem("the list", "no file was chosen", "choose one, then bring it in."),), status=422
        )
    rows, slips = words.units_of(sent.read(words.MOST_BYTES + 1), plain, OFFERED)
    if slips:
        return _page(request, slips[: words.MOST_SLIPS], status=422)
    tried = "try" in request.POST
    known = set(UnitLine.objects.values_list("tag", flat=True))
    new = [name for name, _ in rows if plain(name) not in known]
    if not tried:
        kept.bring_in(rows)
    return _page(
        request, brought={"tried": tried, "many": len(rows), "new": new[:12], "more": max(0, len(new) - 12)}
    )


@needs("books")
@require_POST
def calendar_key(request: Asked) -> HttpResponse:
    """A new address for calendars, or the end of all of them."""
    kept.end_keys(request.user.short)
    if "make" in request.POST:
        kept.make_key(request.user.short)
    return redirect("board")


@through(kept.key_found, kept.key_stands, NO_CALENDAR, ENDED)
@require_safe
def feed(request: HttpRequest, key: CalendarKey) -> HttpResponseBase:
    """What is due, for a calendar program."""
    CalendarKey.objects.filter(pk=key.pk).update(fetched=timezone.now())
    shop = str(live.tables().house["name"])
    answer = HttpResponse(
        calendar.calendar(_days(), shop, timezone.now()), content_type="text/calendar; charset=utf-8"
    )
    answer["Content-Disposition"] = 'inline; filename="due.ics"'
    return answer


def _days() -> Iterator[calendar.Entry]:
    for item in _all_due().exclude(on=None).iterator():
        told = _due_said(item)
        place = f" {item.position} {item.part}" if item.position else ""
        pace = f" Its miles at {told['pace']}." if item.by_miles else ""
        come_in = "Come in: " if item.come_in else ""
        yield calendar.Entry(
            f"{item.visit.number}-{item.what}-{item.miles or ''}-{item.position}-{item.part}@wheeltapper".replace(" ", "-"), item.on or Date.max,
            f"{come_in}{item.line.unit}: {in_the_shop(item.what)}{place}", f"{told['say']}.{pace} After visit {item.visit.number}. {item.basis}",
        )  # fmt: skip


PATHS = [
    path("board", board, name="board"),
    path("board/units.csv", units_out, name="units-out"),
    path("board/due.csv", due_out, name="due-out"),
    path("board/units", units_in, name="units-in"),
    path("board/calendar", calendar_key, name="calendar-key"),
    path("calendar/<str:token>.ics", feed, name="calendar"),
]
