"""The Gate: which trailer rolls in, and what is known of it. By taps; nothing has to be typed."""

from __future__ import annotations

import secrets
from datetime import date as Date

from django.db import transaction
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods
from pydantic import ValidationError

from wheeltapper.problems import Problem
from wheeltapper.records import Mileage, Unit
from wheeltapper.report import wording
from wheeltapper.store import history, keep
from wheeltapper.store.entries import Entry, Piece
from wheeltapper.store.models import KeptVisit
from wheeltapper.web import live
from wheeltapper.web.who import Asked, device_key, needs

Choice = tuple[str, str, tuple[tuple[str, str], ...]]  # field, question, (value, said)


def _plain(*values: str) -> tuple[tuple[str, str], ...]:
    return tuple((v, v) for v in values)


CHOICES: tuple[Choice, ...] = (
    ("axles", "How many axles?", _plain("1", "2", "3", "4")),
    ("brake", "What brakes?", _plain("electric drum", "hydraulic drum", "hydraulic disc")),
    ("drum", "Nominal drum size?", _plain("7 in", "10 in", "12 in", "12 1/4 in")),
    ("axle_rating_lb", "Axle rating, lb?", _plain("2000", "3500", "5200", "6000", "7000", "8000")),
    ("bolt_pattern", "Bolt pattern?", _plain("5 on 4.5", "5 on 4.75", "5 on 5", "6 on 5.5", "8 on 6.5")),
    ("studs", "Stud thread?", _plain("1/2-20", "9/16-18", "5/8-18", "M12x1.5", "M14x1.5")),
    ("lube", "Lubricant?", _plain("grease", "oil")),
    ("spindle_fitting", "Grease fitting in the spindle?", (("true", "yes"), ("false", "no"))),
    ("lining", "Linings?", _plain("bonded", "riveted")),
    ("use", "How is it used?", _plain("private", "fleet", "rental", "salt water", "stored", "no history")),
)
NEEDED = {"axles", "brake"}
QUALITY = ("hubometer", "owner's figure", "trips", "guess", "unknown")
SCOPES = ("hub service", "adjust")


@needs("gate")
@require_http_methods(["GET", "POST"])
def gate(request: Asked) -> HttpResponse:
    """First the trailer, then what is known of it; a slip keeps what was entered."""
    if request.method == "POST":
        return _taken_in(request)
    query = request.GET.get("q", "").strip()[:80]
    unit = request.GET.get("unit", "").strip()[:80]
    if unit or "first" in request.GET:
        last = history.last_of(unit) if unit else None
        return _form(request, QueryDict(), unit or _next_name(), last)
    return render(
        request,
        "gate/which.html",
        {"query": query, "found": history.units_like(query), "first": _next_name()},
    )


def _form(request: Asked, typed: QueryDict, unit: str, last: history.Last | None, problems: tuple[Problem, ...] = (), status: int = 200) -> HttpResponse:  # fmt: skip
    known = last.visit.unit.model_dump(mode="json", exclude_none=True) if last else history.told_of(unit)
    rows = [
        (
            field,
            ask,
            [(v, said, (typed.get(field) or _text(known.get(field))) == v) for v, said in choices],
            field in NEEDED,
        )
        for field, ask, choices in CHOICES
    ]
    context = {
        "unit": unit,
        "rows": rows,
        "last": last,
        "listed": known if not last else {},
        "put_off": put_off(last) if last else (),
        "typed": typed,
        "problems": problems,
        "quality": QUALITY,
        "scopes": SCOPES,
    }
    return render(request, "gate/gate.html", context, status=status)


def put_off(last: history.Last) -> list[dict[str, str]]:
    """What the owner put off: in the owner's words, with the price then and now."""
    tables = live.tables()
    now = history.Last(last.number, last.visit, tables).price_now(Date.today()) if last.declined else {}

    def money(cents: int | None) -> str:
        return wording.money(cents, tables.house["currency"])

    return [
        {"on": f"{d.position} {d.part}", "said": d.said or "", "by": d.by, "date": wording.day(d.date) if d.date else "", "then": money(d.cents),
         "now": money(now.get((d.position, d.part)))}
        for d in last.declined
    ]  # fmt: skip


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"{value:g}" if isinstance(value, float) else str(value or "")


def _taken_in(request: Asked) -> HttpResponse:
    """Keep the visit's first entries and go to its first wheel."""
    name = request.POST.get("unit", "").strip()[:80]
    last = history.last_of(name) if name else None
    piece, problems = _piece(request, name)
    if piece is None:
        return _form(request, request.POST, name or _next_name(), last, problems, 422)
    entries = [_entry(request, piece.model_dump(mode="json", exclude_unset=True))]
    carried = last.carried(piece.unit, piece.mileage) if last and piece.unit else None
    if carried:
        entries.append(
            _entry(request, carried.model_dump(mode="json", exclude_none=True, exclude_defaults=True))
        )
    with transaction.atomic():
        visit = keep.open_visit()
    keep.add(visit, entries, device_key(request))
    live.told(visit)
    return redirect("corner", visit.number, "1-road")


def _entry(request: Asked, body: dict[str, object]) -> Entry:
    return Entry(id=secrets.token_hex(16), at=keep.now(), by=request.user.short, kind="piece", body=body)


def _piece(request: Asked, name: str) -> tuple[Piece | None, tuple[Problem, ...]]:
    """What the form says, as a piece of a visit."""
    post = request.POST
    problems = (
        []
        if name
        else [Problem("trailer", "it has no name", "write its tag or plate, or take the one offered.")]
    )
    miles, slip = _miles(post.get("miles", ""))
    problems += slip
    fields = {field: post[field] for field, _, _ in CHOICES if post.get(field)}
    problems += [
        Problem(ask.rstrip("?").lower(), "it is not answered", "pick one.")
        for field, ask, _ in CHOICES
        if field in NEEDED - set(fields)
    ]
    if problems:
        return None, tuple(problems)
    try:
        unit = Unit.model_validate({"id": name, **fields})
    except ValidationError as wrong:
        said = [
            Problem(".".join(map(str, f["loc"])), f["msg"].lower(), "pick one of the answers offered.")
            for f in wrong.errors()
        ]
        return None, tuple(said)
    quality = post.get("quality", "unknown")
    scope = post.get("scope", "hub service")
    learning = [request.user.short] if request.user.role == "apprentice" else []
    told: dict[str, object] = {
        "complaint": post.get("complaint", "").strip()[:600] or None,
        "owner_said": [s for s in [post.get("owner_said", "").strip()[:600]] if s],
    }
    return Piece.model_validate({
        "date": Date.today().isoformat(), "technician": request.user.short, "unit": unit, "booked": [scope],
        "scope": scope if scope in SCOPES else "hub service", "learning": learning, **told,
        "mileage": Mileage(now=miles, quality=quality if quality in QUALITY else "unknown"),
    }), ()  # fmt: skip


def _miles(typed: str) -> tuple[float | None, list[Problem]]:
    text = typed.replace(",", "").replace(" ", "")
    if not text:
        return None, []
    if not text.isdecimal() or int(text) > 5_000_000:
        return None, [
            Problem(
                "miles", f"'{typed[:20]}' is not a count of miles", "write whole miles, or leave it empty."
            )
        ]
    return float(text), []


def _next_name() -> str:
    """A name for a trailer without tag or plate."""
    return f"Trailer {KeptVisit.objects.count() + 1}"


PATHS = [path("gate", gate, name="gate")]
