"""The estimate at the counter: every line, what the rules ask for beside what was made of it, the terms; and the parts list."""

from __future__ import annotations

import re
import secrets
from datetime import date as Date
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods, require_safe
from pydantic import ValidationError

from wheeltapper.flow import Examination
from wheeltapper.plan.estimate import Group, Stands
from wheeltapper.plan.parts import parts_list
from wheeltapper.problems import Problem
from wheeltapper.reference.money import cents_of
from wheeltapper.report import estimate as words
from wheeltapper.store import keep
from wheeltapper.store.entries import Entry
from wheeltapper.web import live
from wheeltapper.web.live import Live
from wheeltapper.web.who import Asked, device_key, needs

REASONS = (
    "the supplier's price of today", "the owner brings the part", "more work than the book says", "less work than the book says",
    "agreed at the counter",
)  # fmt: skip
HOURS = re.compile(r"[0-9]{1,3}(\.[0-9]{1,2})?")
Slips = list[Problem]


@needs("table")
@require_safe
def estimate(request: Asked, number: str) -> HttpResponse:
    """All of it as it stands."""
    now, ex = _examined(number)
    late = ex.estimate.valid_until < Date.today()
    context = {
        "kept": now.kept,
        "visit": ex.visit,
        "told": words.told(ex),
        "late": late,
        "honest": words.HONEST,
    }
    return render(request, "estimate/estimate.html", context)


@needs("estimate")
@require_http_methods(["GET", "POST"])
def line(request: Asked, number: str) -> HttpResponse:
    """Change a line, or add one, with a reason."""
    now, ex = _examined(number)
    asked = request.POST or request.GET
    group = next((g for g in ex.estimate.groups if g.key == asked.get("group")), None)
    if group is None:
        raise Http404("There is no such part of the estimate now. Go back to the estimate.")
    row = next((r for r in group.rows if r.now.code == asked.get("code")), None)
    if row is None and asked.get("code"):
        raise Http404("The line is not there now. Go back to the estimate.")
    problems: Slips = []
    if request.method == "POST":
        body, problems = _edit(request, group, row)
        problems = problems or _kept(request, now, {"estimate": [body]})
        if not problems:
            return redirect("estimate", number)
    context = {
        "kept": now.kept, "visit": ex.visit, "group": group, "row": row, "problems": problems, "typed": request.POST or _standing(row),
        "told": words.row_of(row, ex.quote.currency) if row else None, "reasons": REASONS, "changes": _changes(now, group, row),
        "honest": words.HONEST, "labour": row is not None and row.now.hours is not None, "struck": words.STRUCK,
    }  # fmt: skip
    return render(request, "estimate/line.html", context, status=422 if problems else 200)


@needs("estimate")
@require_http_methods(["GET", "POST"])
def terms(request: Asked, number: str) -> HttpResponse:
    """Another deposit or another last day, with a reason."""
    now, ex = _examined(number)
    problems: Slips = []
    if request.method == "POST":
        body, problems = _terms(request, ex)
        problems = problems or _kept(request, now, {"terms": [body]})
        if not problems:
            return redirect("estimate", number)
    cents = ex.estimate.deposit_cents
    stands = {
        "deposit": "" if cents is None else _plain(cents),
        "valid_until": ex.estimate.valid_until.isoformat(),
    }
    context = {
        "kept": now.kept,
        "visit": ex.visit,
        "problems": problems,
        "typed": request.POST or stands,
        "told": words.told(ex),
    }
    return render(request, "estimate/terms.html", context, status=422 if problems else 200)


@needs("estimate")
@require_http_methods(["POST"])
def take_back(request: Asked, number: str) -> HttpResponse:
    """A change counts no more; it stays in the record."""
    now, _ = _examined(number)
    entry = next(
        (e for e in now.folded.standing if e.id == request.POST.get("entry") and e.body.get("estimate")), None
    )
    if entry is None:
        raise Http404("That change does not count any more. Go back to the estimate.")
    taken = Entry(
        id=secrets.token_hex(16), at=keep.now(), by=request.user.short, kind="withdraw", instead_of=(entry.id,),
        body={"why": "a change of the estimate was taken back"},
    )  # fmt: skip
    keep.add(now.kept, [taken], device_key(request))
    return redirect("estimate", number)


@needs("calls")
@require_safe
def parts(request: Asked, number: str) -> HttpResponse:
    """What to fetch before the wheel goes on."""
    now, ex = _examined(number)
    made = parts_list(ex.visit, ex.estimate, ex.tables)
    context = {
        "kept": now.kept,
        "visit": ex.visit,
        "parts": made,
        "open": ex.estimate.open,
        "about": ex.visit.unit,
    }
    return render(request, "estimate/parts.html", context)


def _examined(number: str) -> tuple[Live, Examination]:
    now = live.told(live.named(number))
    if now.examination is None:
        raise Http404("The gate comes first: say which trailer it is.")
    return now, now.examination


def _plain(cents: int) -> str:
    return f"{cents // 100}.{cents % 100:02d}"


def _standing(row: Stands | None) -> dict[str, str]:
    """What the form starts with: the line as it stands."""
    if row is None:
        return {"qty": "1"}
    now = row.now
    each = "" if now.hours is not None or now.cents is None or not now.qty else _plain(now.cents // now.qty)
    if now.hours is not None and row.edits and now.qty:
        each = row.edits[-1].each or ""  # a flat price of labour stays one
    hours = f"{float(now.hours / now.qty):g}" if now.hours is not None and now.qty else ""
    return {"qty": str(now.qty), "each": each, "hours": hours}


def _changes(now: Live, group: Group, row: Stands | None) -> list[tuple[str, str]]:
    """The standing changes of a line: the entry that made each, and what it says."""
    if row is None:
        return []
    said = iter(words.row_of(row, now.tables.house["currency"]).changes)
    found = []
    for entry in now.folded.standing:
        for edit in entry.body.get("estimate", ()):
            if (edit["group"], edit["code"]) == (group.key, row.now.code):
                found.append((entry.id, next(said, "")))
    return found


def _edit(request: Asked, group: Group, row: Stands | None) -> tuple[dict[str, Any], Slips]:
    """The change that the form says; what stays as the rules ask is left out of it."""
    post, slips = request.POST, Slips()
    qty = _whole(post.get("qty", ""), slips)
    each = _money(post.get("each", ""), "price of one", slips)
    hours = post.get("hours", "").strip()
    if hours and not HOURS.fullmatch(hours):
        slips.append(
            Problem(
                "hours of one", f"'{hours[:20]}' is not a number of hours", "write 0.5, or leave it empty."
            )
        )
    said = {"group": group.key, "by": request.user.short, "why": _why(request, slips)}
    if row is None:
        return _added(
            post.get("say", "").strip()[:200],
            said | {"qty": qty, "each": each, "hours": hours or None},
            slips,
        )
    asked = row.asked
    made = said | {"code": row.now.code, "asked": asked.qty if asked else 0}
    book = _standing(Stands(asked, asked)) if asked else {}
    changed = {
        "qty": None if book.get("qty") == str(qty) else qty, "each": None if book.get("each") == each else each,
        "hours": None if book.get("hours") == hours else hours or None,
    }  # fmt: skip
    if asked is None:
        changed |= {"say": row.now.say}
    if not slips and row.asked and not any(v is not None for v in changed.values()) and not row.edits:
        slips.append(
            Problem(
                "line", "it says what the rules ask for already", "change how many, the price or the hours."
            )
        )
    return made | {k: v for k, v in changed.items() if v is not None}, slips


def _added(say: str, body: dict[str, Any], slips: Slips) -> tuple[dict[str, Any], Slips]:
    if not say:
        slips.append(Problem("what", "the line does not say what it is", "write it in a few words."))
    if not body["each"] and not body["hours"] and not slips:
        slips.append(Problem("price of one", "it has neither a price nor hours", "write one of them."))
    body |= {"say": say, "code": f"EXTRA-{secrets.token_hex(2)}"}
    return {k: v for k, v in body.items() if v is not None}, slips


def _terms(request: Asked, ex: Examination) -> tuple[dict[str, Any], Slips]:
    slips = Slips()
    deposit = _money(request.POST.get("deposit", ""), "deposit", slips)
    until = request.POST.get("valid_until", "").strip()
    try:
        day = Date.fromisoformat(until) if until else ex.estimate.valid_until
    except ValueError:
        slips.append(Problem("good until", f"'{until[:20]}' is not a day", "write it as 2026-12-31."))
        day = ex.estimate.valid_until
    if day < ex.visit.date:
        slips.append(Problem("good until", "it is before the visit", "pick a day after it."))
    said: dict[str, Any] = {"why": _why(request, slips), "by": request.user.short}
    stands = ex.estimate.deposit_cents
    if deposit is not None and (stands is None or deposit != _plain(stands)):
        said["deposit"] = deposit
    if day != ex.estimate.valid_until:
        said["valid_until"] = day.isoformat()
    if not slips and len(said) == 2:
        slips.append(Problem("terms", "they say what stands already", "change the deposit or the day."))
    return said, slips


def _why(request: Asked, slips: Slips) -> str:
    why = request.POST.get("why", "").strip()[:300] or request.POST.get("reason", "")[:300]
    if not why:
        slips.append(Problem("reason", "it has none", "say why: it stands on the sheet with your name."))
    return why


def _whole(typed: str, slips: Slips) -> int | None:
    text = typed.strip()
    if text.isascii() and text.isdecimal() and int(text[:9]) <= 999:
        return int(text)
    slips.append(
        Problem("how many", f"'{text[:20]}' is not a whole number up to 999", "write 0 to strike the line.")
    )
    return None


def _money(typed: str, where: str, slips: Slips) -> str | None:
    try:
        cents = cents_of(typed)
        if cents is not None and cents > 999_999_999:
            raise ValueError(f"'{typed}' is too much")
    except ValueError:
        slips.append(Problem(where, f"'{typed[:20]}' is not an amount of money", "write it as 104.00."))
        return None
    return None if cents is None else _plain(cents)


def _kept(request: Asked, now: Live, body: dict[str, Any]) -> Slips:
    try:
        entry = Entry(id=secrets.token_hex(16), at=keep.now(), by=request.user.short, kind="piece", body=body)
    except ValidationError as slip:
        return [
            Problem(".".join(map(str, f["loc"])), f["msg"].lower(), "mend it and try again.")
            for f in slip.errors()
        ]
    keep.add(now.kept, [entry], device_key(request))
    return []


PATHS = [
    path("visit/<str:number>/estimate", estimate, name="estimate"),
    path("visit/<str:number>/estimate/line", line, name="estimate-line"),
    path("visit/<str:number>/estimate/terms", terms, name="estimate-terms"),
    path("visit/<str:number>/estimate/take-back", take_back, name="estimate-take-back"),
    path("visit/<str:number>/parts", parts, name="parts"),
]
