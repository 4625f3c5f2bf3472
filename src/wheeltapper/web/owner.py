"""The counter's side of an owner: links to make, send, print and end; answers as they stand; questions to reply to."""

from __future__ import annotations

from datetime import date as Date
from datetime import datetime
from io import BytesIO
from typing import Any

import segno
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import path
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.utils.timezone import localdate
from django.views.decorators.http import require_POST, require_safe

from wheeltapper.problems import Problem
from wheeltapper.report import due_words, owner_words
from wheeltapper.report.owner import open_questions
from wheeltapper.store import files, links, sending
from wheeltapper.store.models import KeptVisit, Mail, Original, OwnerLink
from wheeltapper.web import live, owner_pictures, shown, towing
from wheeltapper.web.who import Asked, device_key, needs


@needs("answers")
@require_safe
def owner(request: Asked, number: str) -> HttpResponse:
    """Links, answers and questions of a visit."""
    return _screen(request, live.named(number))


def _screen(request: Asked, visit: KeptVisit, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    now = live.told(visit)
    seen = shown.now(visit)
    if now.examination is None or seen is None:
        raise Http404("The gate comes first: say which trailer it is.")
    rows = [(k, links.stands(k), Mail.objects.filter(link=k).order_by("-pk").first()) for k in _links(visit)]
    context = {
        "kept": visit, "unit": now.examination.visit.unit.id, "page": seen.page, "links": rows, "problems": problems, "typed": request.POST,
        "questions": open_questions(now.examination), "said": _said(now), "choices": seen.choices.values(),
        "mail": bool(now.tables.house["smtp_host"]), "state": now.examination.release, "visit": now.folded.visit,
    }  # fmt: skip
    return render(request, "owner/owner.html", context, status=422 if problems else 200)


def _links(visit: KeptVisit) -> list[OwnerLink]:
    return list(OwnerLink.objects.filter(visit=visit).order_by("-pk"))


def _said(now: live.Live) -> list[dict[str, Any]]:
    """Every answer of the owner's, and what was said to be done since, that stands in the record; the latest first."""
    out = []
    for entry in now.folded.standing:
        answers = entry.body.get("answer", ())
        for row in (
            *(answers[:1] if answers and answers[0].get("seen") else answers),
            *entry.body.get("go_ahead", ()),
        ):
            on = f"{row['position']} {row['part']}" if "part" in row else "the work that has to be done"
            out.append({**row, "on": on, "at": shop_time(entry.when), "in_words": owner_words.ANSWERS[row["answer"]],
                        "version": (row.get("seen") or {}).get("version", "")})  # fmt: skip
        for row in entry.body.get("follow_up", ()):
            on, word = due_words.said_of(row)
            out.append(
                {
                    **row,
                    "on": on,
                    "at": shop_time(entry.when),
                    "in_words": word,
                    "version": (row.get("seen") or {}).get("version", ""),
                }
            )
    return out[::-1]


@needs("answers")
@require_POST
def make(request: Asked, number: str) -> HttpResponse:
    """A new link for somebody."""
    visit = live.named(number)
    to = shown.one_line(request.POST.get("to", ""))
    if not to:
        return _screen(request, visit, (Problem("link", "it is for nobody", "write the owner's name."),))
    address = request.POST.get("mail", "").strip()
    slip = sending.fault(address) if address else None
    if slip:
        return _screen(request, visit, (slip,))
    link = links.make(visit, to, request.user.short, int(live.tables().house["link_days"]))
    if address:
        sending.ask(link, address, request.user.short, here(request))
    return redirect("owner-one-link", number, link.pk)


def shop_time(moment: str) -> str:
    """A moment of an entry, which is kept in UTC, as the shop's clock showed it."""
    return f"{timezone.localtime(datetime.fromisoformat(moment)):%Y-%m-%d %H:%M}"


def here(request: HttpRequest) -> str:
    """This server as an owner's phone reaches it."""
    told = str(live.tables().house["owner_address"])
    return told or f"{request.scheme}://{request.get_host()}"


def _named(number: str, pk: int) -> OwnerLink:
    link = OwnerLink.objects.filter(pk=pk, visit=live.named(number)).select_related("visit").first()
    if link is None:
        raise Http404("This visit has no such link.")
    return link


@needs("answers")
@require_safe
def one_link(request: Asked, number: str, pk: int) -> HttpResponse:
    """A link to copy, to hand over as a message, or to print."""
    link = _named(number, pk)
    token = links.token_of(link) if links.stands(link) else None
    url = sending.url_of(here(request), token) if token else ""
    shop = live.live(link.visit).sheet
    text = (
        owner_words.message(shop.shop if shop else "", link.visit.unit, link.to, url, localdate(link.until))
        if url
        else ""
    )
    context = {"kept": link.visit, "link": link, "url": url, "text": text, "code": code_of(url), "mails": Mail.objects.filter(link=link).order_by("-pk"),
               "mail": bool(live.tables().house["smtp_host"]), "stands": links.stands(link), "shop": shop.shop if shop else ""}  # fmt: skip
    answer = render(request, "owner/link.html", context)
    answer["Cache-Control"] = "no-store"
    return answer


def code_of(url: str) -> SafeString:
    """The QR code, to be printed."""
    out = BytesIO()
    if url:
        segno.make(url, error="m").save(
            out, kind="svg", xmldecl=False, svgns=True, scale=5, border=4, omitsize=True
        )
    return mark_safe(out.getvalue().decode())  # a drawing of our own; the address in it is dots


@needs("answers")
@require_POST
def send(request: Asked, number: str, pk: int) -> HttpResponse:
    """Put an e-mail with the link on the list."""
    link = _named(number, pk)
    asked = sending.ask(link, request.POST.get("mail", ""), request.user.short, here(request))
    if isinstance(asked, Problem):
        return _screen(request, link.visit, (asked,))
    return redirect("owner-one-link", number, pk)


@needs("answers")
@require_POST
def end(request: Asked, number: str, pk: int) -> HttpResponse:
    """End a link at once."""
    links.end(_named(number, pk), request.user.short)
    return redirect("owner", number)


@needs("answers")
@require_POST
def reply(request: Asked, number: str) -> HttpResponse:
    """Reply to a question of the owner's."""
    visit = live.named(number)
    to, text = request.POST.get("to", ""), shown.words_of(request.POST.get("text", ""))
    examined = live.live(visit).examination
    if examined is None or to not in {q.text for q in open_questions(examined)}:
        return _screen(
            request, visit, (Problem("reply", "that question is not open", "pick one of those below."),)
        )
    if not text:
        return _screen(
            request, visit, (Problem("reply", "it is empty", "write what the owner should know."),)
        )
    row = {"to": to, "text": text, "by": request.user.short, "date": Date.today().isoformat()}
    shown.keep_said(visit, None, {"reply": [row]}, device_key(request), request.user.short)
    return redirect("owner", number)


@needs("answers")
@require_safe
def preview(request: Asked, number: str) -> HttpResponse:
    """The page as the owner would see it now; nothing can be answered on it."""
    seen = shown.now(live.named(number))
    if seen is None:
        raise Http404("The gate comes first: say which trailer it is.")
    return _as_shown(request, number, seen.page, seen.version)


@needs("answers")
@require_safe
def as_shown(request: Asked, number: str, version: str) -> HttpResponse:
    """The page word for word as it was when somebody answered."""
    visit = live.named(number)
    named = {r["version"] for r in _said(live.live(visit))}
    kept = Original.objects.filter(sha256=version, kind="shown").first() if version in named else None
    if kept is None or files.fault_of(kept):
        raise Http404("No answer of this visit names that version.")
    page = files.read_shown(kept)
    if "rows" in page:  # what was due
        context = {**towing.context(page, version), "only_shown": True, "back": f"/visit/{number}/owner"}
        return render(request, "due/towing.html", context)
    return _as_shown(request, number, page, version)


def _as_shown(request: Asked, number: str, page: dict[str, Any], version: str) -> HttpResponse:
    context = {
        "page": page,
        "shown": {"version": version},
        "at": f"/visit/{number}/owner/",
        "only_shown": True,
        "number": number,
    }
    return render(request, "owner/page.html", context)


@needs("answers")
@require_safe
def photo(request: Asked, number: str, sha: str) -> HttpResponseBase:
    """A photo as the owner sees it."""
    visit = live.named(number)
    known = [f for e, f in live.live(visit).folded.files if e.kind == "photo" and f.sha256 == sha]
    seen = shown.now(visit)
    if not known or seen is None:
        raise Http404("There is no such photo on this visit.")
    if sha in seen.photos:
        return owner_pictures.of_a_part(seen.page, sha, "large" in request.GET)
    return redirect(f"/visit/{number}/files/{sha}?small")  # of an older version


@needs("answers")
@require_safe
def good(request: Asked, number: str, file: str) -> HttpResponseBase:
    """A picture of the atlas as the owner sees it."""
    return owner_pictures.of_the_atlas(file)


HERE = "visit/<str:number>/owner"
PATHS = [
    path(HERE, owner, name="owner"),
    path(f"{HERE}/links", make, name="owner-make-link"),
    path(f"{HERE}/links/<int:pk>", one_link, name="owner-one-link"),
    path(f"{HERE}/links/<int:pk>/send", send, name="owner-send-link"),
    path(f"{HERE}/links/<int:pk>/end", end, name="owner-end-link"),
    path(f"{HERE}/reply", reply, name="owner-reply"),
    path(f"{HERE}/page", preview, name="owner-preview"),
    path(f"{HERE}/shown/<str:version>", as_shown, name="owner-shown"),
    path(f"{HERE}/photo/<str:sha>", photo, name="owner-photo-here"),
    path(f"{HERE}/good/<str:file>", good, name="owner-good-here"),
]
