"""Takes entries from a phone: checks them, keeps them, confirms each by its id. What is refused stays with the phone, with a reason."""

from __future__ import annotations

import secrets
from typing import Any

from django.http import JsonResponse
from django.template.loader import render_to_string
from django.urls import path
from django.views.decorators.http import require_http_methods
from pydantic import ValidationError

from wheeltapper.problems import Problem
from wheeltapper.store import keep
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import KeptVisit
from wheeltapper.store.receipt import plain
from wheeltapper.web import live
from wheeltapper.web.corner import shown
from wheeltapper.web.who import Asked, device_key, may, needs
from wheeltapper.words import positions

MOST = 200  # in one go
ELSEWHERE = Problem("entry", "its id belongs to another visit", "enter it again.")
OTHERWISE = Problem("entry", "its id is kept already and says something else", "enter it again.")
FILELESS = Problem("entry", "its photo or sound has not arrived", "send the photo or sound first.")


@needs("corner")
@require_http_methods(["POST"])
def take(request: Asked, number: str) -> JsonResponse:
    """Keep a batch; the answer names what is kept now, and says of the rest why not."""
    visit = live.named(number)
    try:
        sent = plain(request.body)
        batch = sent["entries"]
    except (ValueError, KeyError, TypeError, RecursionError):
        return _said(422, "entries", "they did not arrive whole", "send them again.")
    if not isinstance(batch, list) or len(batch) > MOST:
        return _said(422, "entries", f"at most {MOST} come in one go", "send the rest after these.")
    good, refused = _checked(batch, request.user.short)
    good, more = _meant_for(request, good)
    refused += more
    if request.user.role == "apprentice" and good:
        good = [*learning(visit, request.user.short), *good]
    kept = keep.add(visit, good, device_key(request))
    refused += [(i, ELSEWHERE) for i in kept.elsewhere] + [(i, OTHERWISE) for i in kept.otherwise]
    refused += [(i, FILELESS) for i in kept.fileless]
    now = live.told(visit)
    body: dict[str, object] = {
        "kept": list(kept.ids),
        "refused": [{"id": i, "what": p.what, "do": p.do} for i, p in refused],
        "entries": now.kept.entries,
        "state": now.examination.release.state if now.examination else "in work",
    }
    known = now.folded.visit
    if known is not None and sent.get("show") in positions(
        known.unit.axles
    ):  # what follows, for the wheel that asked
        body["html"] = render_to_string("corner/stations.html", shown(now, sent["show"]), request)
    return JsonResponse(body, status=200 if not refused else 207)


def learning(visit: KeptVisit, short: str) -> list[Entry]:
    """Once a visit: who answers here is still learning, so that their wheels get a second look."""
    known = live.live(visit).folded.visit
    if known is not None and short in known.learning:
        return []
    return [
        Entry(id=secrets.token_hex(16), at=keep.now(), by=short, kind="piece", body={"learning": [short]})
    ]


def _checked(batch: list[Any], short: str) -> tuple[list[Entry], list[tuple[str, Problem]]]:
    good: list[Entry] = []
    refused: list[tuple[str, Problem]] = []
    for item in batch:
        id_ = str(item.get("id", ""))[:40] if isinstance(item, dict) else ""
        try:
            entry = Entry.model_validate({k: v for k, v in item.items() if k != "received"})
        except AttributeError:
            refused.append((id_, Problem("entry", "it is no entry", "enter it again.")))
            continue
        except ValidationError as slip:
            first = slip.errors(include_url=False, include_context=False, include_input=False)[0]
            where = ".".join(map(str, first["loc"])) or "entry"
            refused.append((id_, Problem(where, first["msg"].lower(), "enter it again.")))
            continue
        if entry.by != short:
            what = f"it carries the name {entry.by}, and {short} is signed in"
            refused.append(
                (id_, Problem("entry", what, f"let {entry.by} sign in on this phone: it waits until then."))
            )
            continue
        good.append(entry)
    return good, refused


def _meant_for(request: Asked, good: list[Entry]) -> tuple[list[Entry], list[tuple[str, Problem]]]:
    """A phone in the bay changes no estimate, whoever writes its messages."""
    if may(request.user, "estimate"):
        return good, []
    money = [e for e in good if e.body.get("estimate") or e.body.get("terms")]
    slip = Problem("estimate", "it is changed by lead, counter and owner", "ask one of them.")
    return [e for e in good if e not in money], [(e.id, slip) for e in money]


def _said(status: int, where: str, what: str, do: str) -> JsonResponse:
    return JsonResponse({"where": where, "what": what, "do": do}, status=status)


PATHS = [path("visit/<str:number>/entries", take, name="entries")]
