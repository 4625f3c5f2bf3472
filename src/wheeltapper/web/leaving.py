"""A trailer that is not clear to roll: repair, staying, a hauler, or against advice; each with a record of its own.

What is read out and printed says what was found and what was not looked at. No paper makes a part safe, and none is asked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date as Date
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_http_methods, require_safe

from wheeltapper.problems import Problem
from wheeltapper.report import owner_words
from wheeltapper.report.owner import left_open
from wheeltapper.store.keep import GONE
from wheeltapper.store.models import KeptVisit
from wheeltapper.web import live, shown
from wheeltapper.web.shown import IN_PERSON, Shown
from wheeltapper.web.who import Asked, device_key, needs

LEAVES = ("on a hauler", "against advice")
MOST_LINES = 40


@needs("answers")
@require_http_methods(["GET", "POST"])
def leaving(request: Asked, number: str) -> HttpResponse:
    """The ways that are open to a trailer that is held."""
    visit = live.named(number)
    now = live.told(visit)
    seen = shown.now(visit)
    if now.examination is None or seen is None:
        raise Http404("The gate comes first: say which trailer it is.")
    slip = _taken(request, visit, now, seen) if request.method == "POST" else None
    if request.method == "POST" and slip is None:
        gone = request.POST["way"] in LEAVES
        return redirect("leaving-paper" if gone else "owner", number)
    context = {
        "kept": visit, "page": seen.page, "shown": seen, "state": now.examination.release, "ways": owner_words.WAYS, "leaves": LEAVES,
        "problems": (slip,) if slip else (), "typed": request.POST, "exit": now.examination.visit.exit,
        "told": _told(now, seen, "", "against advice", ""),
    }  # fmt: skip
    return render(request, "owner/leaving.html", context, status=422 if slip else 200)


def _taken(request: Asked, visit: KeptVisit, now: live.Live, seen: Shown) -> Problem | None:
    """Keep which way it goes."""
    post, state = request.POST, now.examination.release.state if now.examination else ""
    way, said = post.get("way", ""), shown.words_of(post.get("said", ""))
    owner, hauler = (shown.one_line(post.get(k, "")) for k in ("owner", "hauler"))
    slip = _slip(post, way, state, owner, seen) or (
        _leaves_slip(post, way, hauler) if way in LEAVES else None
    )
    if slip:
        return slip
    if way not in LEAVES:
        who = {"by": owner, "how": IN_PERSON, "said": said}
        return shown.answered(visit, seen, "work", way, who, device_key(request), request.user.short)
    row: dict[str, Any] = {"how": way, "by": request.user.short, "owner": owner, "seen": seen.seen, "told": list(_told(now, seen, owner, way, hauler))}  # fmt: skip
    row |= {k: v for k, v in (("hauler", hauler), ("said", said)) if v}
    return shown.keep_said(visit, seen, {"exit": row}, device_key(request), request.user.short)


def _slip(post: Mapping[str, str], way: str, state: str, owner: str, seen: Shown) -> Problem | None:
    if state in GONE:
        return Problem(
            "way", f"this trailer has left already ({state})", "correct that entry if it is wrong."
        )
    if way not in {w for w, _, _ in owner_words.WAYS}:
        return Problem("way", "none was picked", "pick what becomes of the trailer.")
    if not owner:
        return Problem("owner", "nobody is named", "write who decides for the trailer.")
    if post.get("version") != seen.version:
        return Problem(
            "way", "what was found has changed since this page was opened", "read it out again, then pick."
        )
    return None


def _leaves_slip(post: Mapping[str, str], way: str, hauler: str) -> Problem | None:
    if way == "on a hauler" and not hauler:
        return Problem("hauler", "nobody is named", "write who hauls it, or the plate.")
    if not post.get("read_out"):
        return Problem(
            "read out", "it was not read out", "read the sentences to the owner, then tick that you did."
        )
    return None


def _told(now: live.Live, seen: Shown, owner: str, way: str, hauler: str) -> tuple[str, ...]:
    """What is read out: of the parts that are not put right, what was found."""
    held = now.examination.release.because if now.examination else ()
    page, found = seen.page, left_open(seen.page, held)[:MOST_LINES]
    return owner_words.told_at_leaving(page["shop"], page["unit"], page["date"], found, page["not_checked"], owner, way, hauler)  # fmt: skip


@needs("answers")
@require_safe
def paper(request: Asked, number: str) -> HttpResponse:
    """What was read out, to be printed: as it was kept when the trailer left."""
    now = live.told(live.named(number))
    visit = now.folded.visit
    if visit is None or visit.exit is None:
        raise Http404("This trailer has not left in one of these ways.")
    context = {"kept": now.kept, "visit": visit, "exit": visit.exit, "today": Date.today(), "state": now.examination.release if now.examination else None,
               "shop": now.sheet.shop if now.sheet else ""}  # fmt: skip
    return render(request, "owner/paper.html", context)


PATHS = [
    path("visit/<str:number>/leaving", leaving, name="leaving"),
    path("visit/<str:number>/leaving/paper", paper, name="leaving-paper"),
]
