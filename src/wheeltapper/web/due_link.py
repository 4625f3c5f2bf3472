"""What is due, for whoever tows the trailer: behind the owner's link and behind the tag on its tongue; one tap says it is done.

Anyone who stands beside the trailer can scan the tag: it shows no name, no price and no photo.
"""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.utils.text import slugify
from django.views.decorators.http import require_POST, require_safe

from wheeltapper.problems import Problem
from wheeltapper.store import links, tags
from wheeltapper.store.models import KeptEntry, OwnerLink, UnitTag
from wheeltapper.web import due, live, owner_link, shown, towing
from wheeltapper.web.due import Teller
from wheeltapper.web.live import Live
from wheeltapper.web.owner_link import MOST_SAID, through, through_link
from wheeltapper.web.shown import ON_THE_PAGE, OWNER, Shown
from wheeltapper.web.who import open_to_all

BY_TAG, TAG = "by the tag", "tag"
WHOEVER = "whoever scanned the tag"
NO_TAG = Problem(
    "tag", "it does not open anything", "see whether it was scanned whole, or ask the shop for a new one."
)
TAG_ENDED = Problem("tag", "it has ended", "ask the shop for a new one.")
NOTHING = Problem("list", "nothing is due for this trailer now", "ask the shop if you think that is wrong.")
NEWER = Problem("list", "this trailer has been with us again since", "ask the shop for the new link.")
through_tag = through(tags.found, tags.stands, NO_TAG, TAG_ENDED)


def _page(
    request: HttpRequest, now: Live, more: dict[str, Any], problems: tuple[Problem, ...] = ()
) -> HttpResponse:
    seen = towing.listed(now)
    context = {**towing.context(seen.page, seen.version), "problems": problems, "typed": request.POST, **more}
    return render(request, "due/towing.html", context, status=422 if problems else 200)


@through_link
@require_safe
def by_link(request: HttpRequest, link: OwnerLink) -> HttpResponse:
    """The list behind an owner's link."""
    links.opened(link)
    return _of_link(request, link)


def _of_link(request: HttpRequest, link: OwnerLink, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    now, latest = live.told(link.visit), due.latest_out(link.visit.unit)
    if latest is not None and latest.kept.opened > link.visit.opened:
        return owner_link.closed(request, NEWER, 200)
    return _page(request, now, {"to": link.to, "send": "due/done", "back": "./"}, problems)


@through_link
@require_POST
def done_by_link(request: HttpRequest, link: OwnerLink) -> HttpResponse:
    """The owner says that something is done."""
    who = Teller(link.to, ON_THE_PAGE, owner_link.device(link), OWNER, _seen(request, live.told(link.visit)))
    slip = _too_many(who.device) or due.told(link.visit, request.POST, who)
    return _of_link(request, link, (slip,)) if slip else redirect(f"../due#{slugify(request.POST['key'])}")


@through_tag
@require_safe
def by_tag(request: HttpRequest, tag: UnitTag) -> HttpResponse:
    """The list behind a tag: of the unit's latest visit that is out."""
    tags.scanned(tag)
    return _of_tag(request, tag)


def _of_tag(request: HttpRequest, tag: UnitTag, problems: tuple[Problem, ...] = ()) -> HttpResponse:
    now = due.latest_out(tag.unit)
    if now is None:
        return owner_link.closed(request, NOTHING, 200)
    return _page(request, now, {"ask_name": True, "send": "done"}, problems)


@through_tag
@require_POST
def done_by_tag(request: HttpRequest, tag: UnitTag) -> HttpResponse:
    """Whoever scanned the tag says that something is done."""
    now = due.latest_out(tag.unit)
    if now is None:
        return owner_link.closed(request, NOTHING, 200)
    name = shown.one_line(request.POST.get("name", "")) or WHOEVER
    who = Teller(name, BY_TAG, f"tag {tag.key[:32]}", TAG, _seen(request, now))
    slip = _too_many(who.device) or due.told(now.kept, request.POST, who)
    return _of_tag(request, tag, (slip,)) if slip else redirect(f"./#{slugify(request.POST['key'])}")


def _seen(request: HttpRequest, now: Live) -> Shown | None:
    """The list in front of them, where it is still the same; what they did is kept either way."""
    current = towing.listed(now)
    return current if request.POST.get("version") == current.version else None


def _too_many(device: str) -> Problem | None:
    if KeptEntry.objects.filter(device=device).count() < MOST_SAID:
        return None
    return Problem("what was done", "too much came through this link or tag", "call the shop.")


@open_to_all
@require_safe
def slash(request: HttpRequest, token: str) -> HttpResponse:
    """A tag whose last letter was not read."""
    return redirect("tag-list", token)


PATHS = [
    path("o/<str:token>/due", by_link, name="owner-due"),
    path("o/<str:token>/due/done", done_by_link, name="owner-due-done"),
    path("t/<str:token>/", by_tag, name="tag-list"),
    path("t/<str:token>", slash),
    path("t/<str:token>/done", done_by_tag, name="tag-done"),
]
