"""A sweep that was written on paper, typed in: all rows of a wheel by their printed numbers, kept in one go.

Nothing is filled in beforehand, and a row left empty stays not looked at. The answers carry the name of whoever wrote the
paper; the entries are by whoever types. While a row cannot be understood nothing is kept, and all that was typed stays.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from datetime import date as Date
from hashlib import sha256
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.views.decorators.http import require_http_methods
from pydantic import ValidationError

from wheeltapper.findings.numbered import WHY_NOT, Numbered, rows_of
from wheeltapper.problems import Problem
from wheeltapper.records import Gauge, Visit
from wheeltapper.report import wording
from wheeltapper.store import files, keep
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import Person
from wheeltapper.units import UNITS
from wheeltapper.web import live
from wheeltapper.web.bench import gauges
from wheeltapper.web.corner import stations
from wheeltapper.web.live import Live
from wheeltapper.web.paper_rows import LETTERS, Paper, TypedIn, typed_in
from wheeltapper.web.uploads import PIECE
from wheeltapper.web.who import Asked, device_key, needs
from wheeltapper.words import TRAILER, positions

ASKED_UNITS = ("length", "temperature")  # of these a gauge may show one of two
SAME = (
    "date",
    *(f"unit-{d}" for d in ASKED_UNITS),
)  # as on the sheet before; the name is not: each is signed


@dataclass
class Form:
    """One sheet of paper as it was typed."""

    now: Live
    visit: Visit
    position: str
    typed: dict[str, str]
    problems: list[Problem] = field(default_factory=list)
    slips: dict[int, Problem] = field(default_factory=dict)  # by row

    @property
    def rows(self) -> tuple[Numbered, ...]:
        """Its rows."""
        return rows_of(self.visit, self.now.tables, self.position == TRAILER)

    def id_of(self, name: str) -> str:
        """Of an entry of this page: the same page sent twice is kept once."""
        return sha256(f"{self.typed['page']}|{self.position}|{name}".encode()).hexdigest()[:32]

    def ask(self, where: str, what: str, do: str) -> None:
        """A Problem with what stands above the rows."""
        self.problems.append(Problem(where, what, do))


@needs("corner")
@require_http_methods(["GET", "POST"])
def from_paper(request: Asked, number: str, position: str) -> HttpResponse:
    """The rows of one wheel, or of the trailer; on sending, all of them are kept or none."""
    now = live.told(live.named(number))
    visit = now.folded.visit
    if visit is None:
        raise Http404("The gate comes first: say which trailer it is.")
    if position not in (*positions(visit.unit.axles), TRAILER):
        raise Http404(f"This trailer has no wheel {position}.")
    fresh = {"page": secrets.token_hex(16), "at": keep.now()}
    sent = request.POST if request.method == "POST" else {k: request.GET[k] for k in SAME if k in request.GET}
    typed = {k: str(v) for k, v in sent.items()}
    form = Form(now, visit, position, fresh | typed)
    if request.method == "GET":
        return _page(request, form)
    _photo(request, form)
    entries = _entries(request, form)
    if not (form.problems or form.slips):
        _keep(request, form, entries)
    if form.problems or form.slips:
        return _page(request, form, 422)
    same = {"kept": position} | {k: form.typed[k] for k in SAME if form.typed.get(k)}
    return redirect(f"{reverse('from-paper', args=[number, _after(visit, position)])}?{urlencode(same)}")


def _photo(request: Asked, form: Form) -> None:
    """The picture of the paper is kept as it came, even where a row has to be put right first."""
    sent = request.FILES.get("photo")
    if sent is None:
        return
    original = files.kept(sent.chunks(PIECE))
    if isinstance(original, Problem):
        form.problems.append(original)
    elif original.kind != "photo":
        form.ask("photo of the paper", "it is no photo", "take a photo of the paper.")
    else:
        form.typed["photo_kept"] = original.sha256


def _entries(request: Asked, form: Form) -> list[Entry]:
    """What is to be kept; what stands in the way of it is told in the form."""
    paper = _paper(request, form)
    said = typed_in(form.rows, form.typed, paper, form.visit, form.now.tables)
    form.slips = said.slips
    pieces = _pieces(form, said, paper)
    if not pieces and not said.slips:
        form.ask("rows", "nothing is typed", "type at least one row, or go back to the wheel.")
    photo = form.typed.get("photo_kept", "")
    bodies: list[tuple[str, Any, dict[str, Any]]] = [(name, "piece", body) for name, body in pieces.items()]
    if photo and pieces:
        where = {} if form.position == TRAILER else {"position": form.position}
        body = {
            "sha256": photo,
            "name": "sweep on paper",
            "said": f"{paper.note}, written by {paper.writer}",
            **where,
        }
        bodies.append((f"photo {photo}", "photo", body))
    try:
        return [
            Entry(id=form.id_of(name), at=form.typed["at"], by=request.user.short, kind=kind, body=body)
            for name, kind, body in bodies
        ]
    except ValidationError:
        form.ask(
            "page", "it did not arrive whole", "copy what you typed, load the page again and send it again."
        )
        return []


def _pieces(form: Form, said: TypedIn, paper: Paper) -> dict[str, dict[str, Any]]:
    """The rows, the gauges that the visit does not know yet, who vouches for the rest, and who is still learning."""
    pieces = dict(said.pieces)
    known = {g.id for g in form.visit.gauge}
    for id, gauge in said.gauges.items():
        if id not in known:
            pieces[f"gauge {id}"] = {"gauge": [gauge.model_dump(mode="json", exclude_none=True)]}
    if form.typed.get("rest") and form.position != TRAILER:
        pieces["rest"] = {"corner": [{"position": form.position, "rest_fine": paper.writer}]}
    writer = Person.objects.filter(short=paper.writer, role="apprentice").exists()
    if pieces and writer and paper.writer not in form.visit.learning:
        pieces["learning"] = {"learning": [paper.writer]}
    return pieces


def _paper(request: Asked, form: Form) -> Paper:
    """Who wrote it, when, with which units; what is not said of it is told, and keeps all of it back."""
    writer, day = form.typed.get("writer", ""), _day(form.typed.get("date", ""))
    if not Person.objects.filter(short=writer).exists():
        form.ask("who wrote it", "nobody is picked", "pick whose name stands on the paper.")
    elif request.user.role == "apprentice" and writer != request.user.short:
        form.ask(
            "who wrote it",
            f"{request.user.short} is still learning and types in only their own paper",
            "let the other one type it in.",
        )
    if day is None or day > Date.today():
        form.ask(
            "date of the paper", "it is missing or still to come", "write the day that stands on the paper."
        )
    units = {"resistance": "ohm", "voltage": "V", "current": "A", "share": "%"}
    units |= {d: form.typed.get(f"unit-{d}", "") for d in ASKED_UNITS}
    known = {
        g.id: g for d in {r.check.dimension for r in form.rows if r.at} for g, _ in gauges(form.visit, d)
    }
    return Paper(form.position, writer, f"from paper of {wording.day(day or Date.today())}", units, known)


def _day(text: str) -> Date | None:
    try:
        return Date.fromisoformat(text)
    except ValueError:
        return None


def _keep(request: Asked, form: Form, entries: list[Entry]) -> None:
    """In one go; what is kept already and says something else is told."""
    kept = keep.add(form.now.kept, entries, device_key(request))
    live.told(form.now.kept)
    if kept.fileless:
        form.ask("photo of the paper", "it has not arrived", "pick it again.")
    if kept.otherwise or kept.elsewhere:
        what = "this page was sent before and said something else"
        form.ask("page", what, "what was sent first is kept: put it right on the wheel's own page.")


def _after(visit: Visit, position: str) -> str:
    """The next sheet of the stack."""
    stack = (*positions(visit.unit.axles), TRAILER)
    return stack[(stack.index(position) + 1) % len(stack)]


def _page(request: Asked, form: Form, status: int = 200) -> HttpResponse:
    stack = (*positions(form.visit.unit.axles), TRAILER)
    already = _already(form)
    rows = [_shown(form, row, already.get((row.check.check, row.place), "")) for row in form.rows]
    answers = [r for r in rows if not r["cells"]]
    dimensions = {r.check.dimension for r in form.rows if r.at}
    kept = request.GET.get("kept", "")
    return render(request, "from_paper/page.html", {
        "kept": form.now.kept, "visit": form.visit, "position": form.position, "stack": stack, "typed": form.typed,
        "problems": [*form.problems, *form.slips.values()], "writers": Person.objects.filter(is_active=True).order_by("short"),
        "stations": [(s, [r for r in answers if r["station"] == s]) for s in dict.fromkeys(r["station"] for r in answers)],
        "numbers": [r for r in rows if r["cells"]], "reasons": list(zip(LETTERS, WHY_NOT, strict=True)), "fingerprint": form.now.tables.fingerprint,
        "units": [(d, [u for u, of in UNITS.items() if of.dimension == d], form.typed.get(f"unit-{d}", "")) for d in ASKED_UNITS if d in dimensions],
        "done": kept if kept in stack else "", "trailer": form.position == TRAILER,
    }, status=status)  # fmt: skip


def _shown(form: Form, row: Numbered, already: str) -> dict[str, Any]:
    """A row for the page, with what was typed and what stands in the visit already."""
    number, slip = row.number, form.slips.get(row.number)
    shown: dict[str, Any] = {
        "n": number,
        "said": row.said,
        "slip": slip,
        "station": row.check.station,
        "cells": [],
        "extra": row.check.optional,
    }
    if not row.at:
        words = [(str(i % 10), word) for i, word in enumerate(row.check.found, 1)]
        return shown | {"words": words, "typed": form.typed.get(f"r{number}", ""), "already": already}
    read = form.now.readings.get(form.position, {})
    cells = [
        (
            f"r{number}.{i}",
            at,
            form.typed.get(f"r{number}.{i}", ""),
            "" if row.limit else " ".join(read.get((row.check.check, at), ("", ""))[:2]).strip(),
        )
        for i, at in enumerate(row.at)
    ]
    picks: list[tuple[Gauge, bool]] = [] if row.limit else gauges(form.visit, row.check.dimension)
    return shown | {
        "cells": cells,
        "gauges": [g.id for g, _ in picks],
        "gauge": form.typed.get(f"g{number}", ""),
    }


def _already(form: Form) -> dict[tuple[str, str], str]:
    """What stands in the visit already, by check and place."""
    if form.position == TRAILER:
        return {}
    found = [r for s in stations(form.now, form.position) for r in (*s.rows, *s.also) if r.state != "open"]
    return {(r.name, r.place): ", ".join(r.found) or r.why_not or f"fine, {r.vouched} vouches" for r in found}


PATHS = [path("visit/<str:number>/from-paper/<str:position>", from_paper, name="from-paper")]
