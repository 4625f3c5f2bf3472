"""The Table: every call of a trailer with the way back to what it rests on, and the work that follows."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from typing import get_args

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods, require_safe

from wheeltapper.disposition.decide import Call
from wheeltapper.findings.facts import Fact
from wheeltapper.problems import Problem
from wheeltapper.records import Reading
from wheeltapper.report import wording
from wheeltapper.report.beside import Beside, beside
from wheeltapper.report.wording import reader_for
from wheeltapper.store import keep
from wheeltapper.store.entries import Entry, File
from wheeltapper.web import live
from wheeltapper.web.live import Live
from wheeltapper.web.who import Asked, device_key, needs
from wheeltapper.words import CALLS, CallWord, severity

REASONS = (
    "it does not look right",
    "it does not feel right",
    "it sounds wrong",
    "maker's sheet says less",
    "seen it fail before",
)


@needs("calls")
@require_safe
def table(request: Asked, number: str) -> HttpResponse:
    """All calls in the order in which they are told, then the work and its price."""
    now = live.told(live.named(number))
    if now.sheet is None:
        raise Http404("The gate comes first: say which trailer it is.")
    return render(
        request,
        "table/table.html",
        {"kept": now.kept, "visit": now.folded.visit, "sheet": now.sheet, "now": now},
    )


@needs("why")
@require_safe
def why(request: Asked, number: str) -> HttpResponse:
    """What may have caused it: for, against, and what would tell them apart."""
    now = live.told(live.named(number))
    if now.sheet is None:
        raise Http404("The gate comes first: say which trailer it is.")
    return render(request, "why/why.html", {"kept": now.kept, "visit": now.folded.visit, "sheet": now.sheet})


@dataclass(frozen=True)
class Step:
    """One rule of a call with what it rests on."""

    id: str
    why: str
    source: str
    facts: tuple[tuple[str, str], ...]  # what was found, and who says so


@needs("calls")
@require_http_methods(["GET", "POST"])
def walk(request: Asked, number: str, position: str, part: str) -> HttpResponse:
    """From a call back to rule, fact, reading, photo and source; and where a person may call it stricter."""
    now = live.told(live.named(number))
    ex = now.examination
    call = next((c for c in ex.calls if (c.position, c.part) == (position, part)), None) if ex else None
    if ex is None or call is None:
        raise Http404(f"No {part} is called at {position} on this visit. Go back to the Table.")
    problems: tuple[Problem, ...] = ()
    if request.method == "POST":
        problems = _called(request, now, call)
        if not problems:
            return redirect("walk", number, position, part)
    facts = [f for (p, _), f in ex.findings.facts.items() if p == position and f.answer and _of(f, part, now)]
    context = {
        "kept": now.kept, "visit": ex.visit, "call": call, "steps": [_step(r, call, now) for r in call.rules], "problems": problems,
        "milder": [_step(r, call, now) for r in call.milder], "missing": wording.missing_checks(call.missing, ex.tables), "typed": request.POST,
        "facts": [_fact(f, now) for f in facts], "readings": _readings(now, position, part), "photos": _photos(now, position, part), "pairs": _pairs(now, call),
        "reasons_stricter": REASONS, "stricter": [c for c in CALLS if severity(c) > severity(call.call)],
    }  # fmt: skip
    return render(request, "table/walk.html", context, status=422 if problems else 200)


def _of(fact: Fact, part: str, now: Live) -> bool:
    check = now.tables.checks.get(fact.check)
    hub = part in {"hub-drum", "rotor"}
    return check is not None and (check.part == part or (check.part == "hub" and hub))


def _step(rule: str, call: Call, now: Live) -> Step:
    row = next((r for r in now.tables.rules if r.id == rule), None)
    used = [f for f in call.facts if row and f.name in row.when]
    return Step(
        rule.split(".", maxsplit=1)[0],
        wording.rule_why(rule, now.tables),
        wording.rule_source(rule, now.tables),
        tuple(_fact(f, now) for f in used),
    )


def _fact(fact: Fact, now: Live) -> tuple[str, str]:
    assert now.examination is not None
    said = wording.fact(fact, now.tables, reader_for(now.examination.visit))
    return said, ", ".join(filter(None, (fact.evidence or "", *fact.by)))


def _readings(now: Live, position: str, part: str) -> list[str]:
    ex = now.examination
    assert ex is not None
    corner = [c for c in ex.visit.corner if c.position == position]
    checks = {
        c.check
        for c in now.tables.checks.values()
        if c.part == part or (c.part == "hub" and part in {"hub-drum", "rotor"})
    }
    return [
        _read(r, r.by or c.by or ex.visit.technician) for c in corner for r in c.reading if r.what in checks
    ]


def _read(reading: Reading, who: str) -> str:
    """A reading as typed, with its gauge and who read it."""
    name = ", ".join((reading.what, *(reading.at or ())))
    return f"{name}: {', '.join(reading.value)} {reading.unit}, gauge {reading.gauge}, {who}"


def _pairs(now: Live, call: Call) -> list[tuple[Beside, str]]:
    """Good parts beside what decided the call, each with the hash of this part's photo, '' where there is none here."""
    if call.call == "keep":
        return []
    return [(pair, now.folded.photos.get(pair.photo, "")) for pair in beside(call.facts)]


def _photos(now: Live, position: str, part: str) -> list[File]:
    parts = {c.check: c.part for c in now.tables.checks.values()}
    here = [f for e, f in now.folded.files if e.kind == "photo" and f.position == position]
    return [f for f in here if parts.get(f.check or "") in {part, "hub"}]


def _called(request: Asked, now: Live, call: Call) -> tuple[Problem, ...]:
    """Keep a person's stricter call; a milder one is not offered and not taken."""
    word, reason = request.POST.get("call", ""), request.POST.get("why", "").strip()[:300]
    reason = reason or request.POST.get("reason", "")
    if word not in get_args(CallWord):
        return (Problem("call", "none was picked", "pick what it should be."),)
    if severity(word) <= severity(call.call):  # type: ignore[arg-type]  # one of the words, as just seen
        return (
            Problem(
                "call",
                f"'{word}' is not stricter than '{call.call}'",
                "a rule stands behind it; show what is wrong on the corner.",
            ),
        )
    if not reason:
        return (
            Problem("reason", "it has none", "say in a word why: it stands on the sheet with your name."),
        )
    said = {
        "position": call.position,
        "part": call.part,
        "call": word,
        "by": request.user.short,
        "why": reason,
    }
    entry = Entry(
        id=secrets.token_hex(16), at=keep.now(), by=request.user.short, kind="piece", body={"call": [said]}
    )
    keep.add(now.kept, [entry], device_key(request))
    return ()


PATHS = [
    path("visit/<str:number>", table, name="table"),
    path("visit/<str:number>/why", why, name="why"),
    path("visit/<str:number>/walk/<str:position>/<str:part>", walk, name="walk"),
]
