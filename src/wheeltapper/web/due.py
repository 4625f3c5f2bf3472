"""What is due after the gate, for the shop: the list of a visit, and what somebody who did it says, as an entry.

The same word for the same thing is one entry, however often and from however many phones it is tapped: its id is made from it.
Nothing is closed here; what closes an item is the gate's rule alone.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date as Date
from hashlib import sha256
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils.text import slugify
from django.views.decorators.http import require_http_methods

from wheeltapper.plan.due import Due
from wheeltapper.problems import Problem
from wheeltapper.report import due_words
from wheeltapper.store import files, keep
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import KeptEntry, KeptVisit
from wheeltapper.store.unit_names import plain
from wheeltapper.web import live, shown
from wheeltapper.web.live import Live
from wheeltapper.web.who import Asked, device_key, needs

IN_THE_SHOP = "in the shop"
MOST_MILES, MOST_DEGREES = 100_000, 1080
ALL_UNITS_AT = 500  # visits whose lines are read at once


@dataclass(frozen=True)
class Teller:
    """Who says it, how, and through which link, tag or device."""

    by: str
    how: str
    device: str
    short: str  # whose entry it is
    seen: shown.Shown | None = None  # the list in front of them


@needs("yard")
@require_http_methods(["GET", "POST"])
def due(request: Asked, number: str) -> HttpResponse:
    """What is due after this visit; whoever does it here says so."""
    visit = live.named(number)
    problems: tuple[Problem, ...] = ()
    if request.method == "POST":
        who = Teller(request.user.short, IN_THE_SHOP, device_key(request), request.user.short)
        slip = told(visit, request.POST, who)
        if slip is None:
            return redirect(f"{request.path}#{slugify(request.POST.get('key', ''))}")
        problems = (slip,)
    now = live.told(visit)
    if now.examination is None:
        raise Http404("The gate comes first: say which trailer it is.")
    context = {"kept": now.kept, "unit": now.examination.visit.unit.id, "state": now.examination.release.state, "rows": list(zip(rows(now), now.due, strict=True)),
               "problems": problems, "typed": request.POST, "turns": due_words.TURNS, "words": due_words.WORDS}  # fmt: skip
    return render(request, "due/due.html", context, status=422 if problems else 200)


def rows(now: Live) -> tuple[due_words.Row, ...]:
    """The list as it is shown today."""
    visit = now.folded.visit
    far = (int(f.due) for f in visit.follow_up if f.what == "retorque" and f.turned) if visit else ()
    return due_words.rows(now.due, far, now.tables, Date.today())


def told(visit: KeptVisit, post: Mapping[str, str], who: Teller) -> Problem | None:
    """Keep what somebody says was done, or say why not.

    Args:
        visit: after which it was due.
        post: `key` of the item; `word`: done, still, or moved with an angle where one was tapped; `degrees`, `miles` and `said` where typed.
        who: who says so.
    """
    before = _said_before(visit, post.get("key", ""))
    now = live.told(visit)
    item = next((d for d in now.due if d.can_be_told and f"{d.what} {d.miles}" == post.get("key")), None)
    if item is None:
        return Problem("what was done", "that is not due on this trailer", "pick one of the list below.")
    row = _row(item, post, who)
    if isinstance(row, Problem):
        return row
    if _stands_already(item, row, now):
        return None
    return _too_soon(item, now) or _kept(visit, row, before, who)


def _row(item: Due, post: Mapping[str, str], who: Teller) -> dict[str, Any] | Problem:
    """The follow-up that the form makes."""
    word, _, turned = post.get("word", "").partition(" ")
    if word not in (("still", "moved") if item.what == "retorque" else ("done",)):
        return Problem("what was done", "none of the answers was tapped", "tap one of them.")
    said = shown.words_of(post.get("said", ""))
    row: dict[str, Any] = {
        "what": item.what,
        "due": item.miles,
        "date": Date.today().isoformat(),
        "by": who.by,
        "how": who.how,
    }
    if item.what == "retorque":
        row["moved"] = word == "moved"
    miles, slip = _number(post.get("miles", ""), "miles", MOST_MILES)
    degrees, wrong = (
        _number(post.get("degrees", ""), "degrees", MOST_DEGREES) if word == "moved" else (None, None)
    )
    if slip or wrong:
        return slip or wrong  # type: ignore[return-value]
    if word == "moved" and (degrees or turned in dict(due_words.TURNS)):
        row["turned"] = f"{degrees} deg" if degrees else turned
    return row | ({} if miles is None else {"done": miles}) | ({"said": said} if said else {})


def _number(typed: str, what: str, most: int) -> tuple[int | None, Problem | None]:
    text = typed.replace(",", "").replace(" ", "")
    if not text:
        return None, None
    if not text.isascii() or not text.isdecimal() or len(text) > 9 or int(text) > most:
        slip = Problem(
            what,
            f"'{typed[:20]}' cannot be right",
            f"write a whole number up to {most:,}, or leave it empty.",
        )
        return None, slip
    return int(text), None


def _stands_already(item: Due, row: Mapping[str, Any], now: Live) -> bool:
    """Nothing new: it is done with, or that a nut moved, and how far, was said before."""
    visit = now.folded.visit
    if row.get("moved") and visit is not None:
        rest = {k: row.get(k) for k in ("what", "due", "moved")}
        alike = [f for f in visit.follow_up if {k: getattr(f, k) for k in rest} == rest]
        return any(row.get("turned") in (None, f.turned) for f in alike)
    return item.closed


def _too_soon(item: Due, now: Live) -> Problem | None:
    """What opened by being done today cannot be done again today: else one thumb could close a year of it."""
    opened = any(
        d.what == item.what and d.closed and d.done_on == Date.today() and (d.miles or 0) < (item.miles or 0)
        for d in now.due
    )
    if item.what != "adjust" or not opened:
        return None
    return Problem("adjust", "it was said to be done today already", "come back when the next one is due.")


def _kept(visit: KeptVisit, row: dict[str, Any], before: int, who: Teller) -> Problem | None:
    """One entry for one word; a second tap at the same moment makes the same id and is not kept twice."""
    if who.seen is not None:
        list_ = files.kept_shown(who.seen.text)
        if isinstance(list_, Problem):
            return list_
        row |= {"seen": who.seen.seen}
    named = [visit.number, row["what"], row["due"], row.get("moved"), row.get("turned"), before]
    entry = Entry.model_validate({"id": sha256(json.dumps(named).encode()).hexdigest()[:32], "at": keep.now(), "by": who.short,
                                  "kind": "piece", "body": {"follow_up": [row]}})  # fmt: skip
    keep.add(visit, [entry], who.device)
    live.told(visit)
    return None


def _said_before(visit: KeptVisit, key: str) -> int:
    """How many entries have spoken of this item, withdrawn ones too: after a withdrawal the same word is a new one."""
    bodies = KeptEntry.objects.filter(visit=visit, kind="piece", body__contains='"follow_up"').values_list(
        "body", flat=True
    )
    return sum(key in {f"{f['what']} {f['due']:g}" for f in json.loads(b)["follow_up"]} for b in bodies)


def latest_out(unit: str) -> Live | None:
    """The latest visit of a unit that is out and has something due, as it stands."""
    mine = KeptVisit.objects.exclude(unit="").filter(tag=plain(unit)).order_by("-opened")
    for pk in mine.values_list("pk", flat=True):
        now = live.told(KeptVisit.objects.get(pk=pk))
        if now.due:
            return now
    return None


def all_out() -> Iterator[tuple[KeptVisit, bool]]:
    """The latest visit of every unit that has something due, and whether the unit is here again."""
    tried: dict[str, list[int]] = {}
    state: dict[int, bool] = {}
    every = KeptVisit.objects.exclude(unit="").order_by("-opened")
    for pk, tag, is_open in every.values_list("pk", "tag", "open"):
        tried.setdefault(tag, []).append(pk)
        state[pk] = is_open
    waiting = [(pks, False) for pks in tried.values()]
    while waiting:
        now, waiting = waiting[:ALL_UNITS_AT], waiting[ALL_UNITS_AT:]
        lines = {k.pk: k for k in KeptVisit.objects.filter(pk__in=[pks[0] for pks, _ in now])}
        for pks, here in now:
            kept = up_to_date(lines[pks[0]])
            if kept.summary.get("due"):
                yield kept, here
            elif len(pks) > 1:
                waiting.append((pks[1:], here or state[pks[0]]))


def up_to_date(kept: KeptVisit) -> KeptVisit:
    """With the line that this version makes; one that an older version made says nothing of what is due."""
    if kept.summary and "due" in kept.summary and kept.summarised >= kept.entries:
        return kept
    live.told(kept)
    return KeptVisit.objects.get(pk=kept.pk)


PATHS = [path("visit/<str:number>/due", due, name="due")]
