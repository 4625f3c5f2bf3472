"""The owner's page behind its link: no account, no cookie, no script; what is answered there is an entry.

Nobody is told whether a link was never there or belongs to another trailer. Wrong ones are counted by address and soon answered
shortly; a right one opens however many wrong ones came before it.
"""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from functools import wraps
from threading import Lock
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import path
from django.utils.text import slugify
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from wheeltapper.problems import Problem
from wheeltapper.store import links
from wheeltapper.store.models import KeptEntry, OwnerLink
from wheeltapper.web import live, owner_pictures, shown
from wheeltapper.web.shown import ON_THE_PAGE, Shown
from wheeltapper.web.who import open_to_all

WRONG, WITHIN_S, ADDRESSES = (
    20,
    600.0,
    10_000,
)  # wrong links from one address; so many addresses are remembered
MOST_SAID = 200  # entries through one link
NO_LINK = Problem(
    "link", "it does not open anything", "see whether all of it was copied, or ask the shop for a new one."
)
ENDED = Problem("link", "it has ended", "ask the shop for a new one.")
View = Callable[..., HttpResponseBase]
_lock = Lock()
_wrong: OrderedDict[str, tuple[float, int]] = OrderedDict()  # since when, how many; of this process


def through(
    found: Callable[[str], Any], stands: Callable[[Any], bool], wrong: Problem, ended: Problem
) -> Callable[[View], View]:
    """Makes the guard of screens for who holds a token; it stands in the address and gives way to its row."""

    def decorate(view: View) -> View:
        @open_to_all
        @csrf_exempt  # no cookie says who it is: who can make this request has the token anyway
        @wraps(view)
        def guarded(request: HttpRequest, token: str, **more: Any) -> HttpResponseBase:
            held = found(token)
            if held is None:
                many = _one_more(request.META.get("REMOTE_ADDR", ""))
                return HttpResponse("wait", status=429, headers={"Retry-After": "600"}) if many else closed(request, wrong, 404)  # fmt: skip
            if not stands(held):
                return closed(request, ended, 410)
            answer = view(request, held, **more)
            answer["Referrer-Policy"] = "no-referrer"
            answer["X-Robots-Tag"] = "noindex"
            if "Cache-Control" not in answer:
                answer["Cache-Control"] = "no-store"
            return answer

        return guarded

    return decorate


through_link = through(links.found, links.stands, NO_LINK, ENDED)


def _one_more(address: str) -> bool:
    """Count a wrong link; whether there have been too many."""
    now = time.monotonic()
    with _lock:
        since, many = _wrong.pop(address, (now, 0))
        since, many = (now, 1) if now - since > WITHIN_S else (since, many + 1)
        _wrong[address] = since, many
        if len(_wrong) > ADDRESSES:
            _wrong.popitem(last=False)
    return many > WRONG


def closed(request: HttpRequest, slip: Problem, status: int) -> HttpResponse:
    """Says that it does not open, and why; nothing else."""
    title = "Nothing is due here" if status == 200 else "This does not open"
    answer = render(request, "owner/closed.html", {"problem": slip, "title": title}, status=status)
    answer["Cache-Control"] = "no-store"
    answer["X-Robots-Tag"] = "noindex"
    return answer


@through_link
@require_safe
def look(request: HttpRequest, link: OwnerLink) -> HttpResponse:
    """The page."""
    links.opened(link)
    return _page(request, link)


def _page(
    request: HttpRequest, link: OwnerLink, problems: tuple[Problem, ...] = (), status: int = 200
) -> HttpResponse:
    seen = shown.now(link.visit)
    if seen is None:
        return closed(request, Problem("page", "there is nothing to show yet", "come back later today."), 404)
    context = {"page": seen.page, "shown": seen, "to": link.to, "problems": problems, "typed": request.POST, "at": "./", "until": link.until, "after": live.told(link.visit).due}  # fmt: skip
    return render(request, "owner/page.html", context, status=status)


@through_link
@require_POST
def answer(request: HttpRequest, link: OwnerLink) -> HttpResponse:
    """One answer, kept at once; back to where it was given."""
    post = request.POST
    seen = _seen(request, link)
    if isinstance(seen, Problem):
        return _page(request, link, (seen,), 422)
    said = shown.words_of(post.get("said", ""))
    who = {"by": link.to, "how": ON_THE_PAGE, "said": said}
    slip = shown.answered(link.visit, seen, post.get("on", ""), post.get("answer", ""), who, device(link))
    if slip:
        return _page(request, link, (slip,), 422)
    return redirect(f"./#{slugify(post.get('on', ''))}")


@through_link
@require_POST
def ask(request: HttpRequest, link: OwnerLink) -> HttpResponse:
    """A question back."""
    seen = _seen(request, link)
    if isinstance(seen, Problem):
        return _page(request, link, (seen,), 422)
    who = {"by": link.to, "how": ON_THE_PAGE}
    slip = shown.asked(link.visit, seen, request.POST.get("text", ""), request.POST.get("about", ""), who, device(link))  # fmt: skip
    return _page(request, link, (slip,), 422) if slip else redirect("./#ask")


def _seen(request: HttpRequest, link: OwnerLink) -> Shown | Problem:
    """The version that was in front of them, made again; or why nothing is kept."""
    if KeptEntry.objects.filter(device=device(link)).count() >= MOST_SAID:
        return Problem("your answer", "too many came through this link", "call the shop.")
    number = request.POST.get("entries", "")
    found = shown.again(link.visit, int(number) if number.isdecimal() and len(number) < 9 else 0, request.POST.get("version", ""))  # fmt: skip
    stale = Problem(
        "your answer", "this page has changed since you opened it", "look at it again below, then answer."
    )
    return found or stale


def device(link: OwnerLink) -> str:
    """How its entries name a link: by the beginning of its key, which opens nothing."""
    return f"link {link.key[:32]}"


@through_link
@require_safe
def photo(request: HttpRequest, link: OwnerLink, sha: str) -> HttpResponseBase:
    """A photo that stands on the page, made small, without place or camera, with trailer and wheel written below."""
    seen = shown.now(link.visit)
    if seen is None or sha not in seen.photos:
        raise Http404("There is no such photo here.")
    return owner_pictures.of_a_part(seen.page, sha, "large" in request.GET)


@through_link
@require_safe
def good(request: HttpRequest, link: OwnerLink, file: str) -> HttpResponseBase:
    """A picture of the atlas."""
    return owner_pictures.of_the_atlas(file)


@open_to_all
@require_safe
def slash(request: HttpRequest, token: str) -> HttpResponse:
    """A link that lost its last letter on the way."""
    return redirect("owner-link", token)


PATHS = [
    path("o/<str:token>/", look, name="owner-link"),
    path("o/<str:token>", slash),
    path("o/<str:token>/answer", answer, name="owner-answer"),
    path("o/<str:token>/ask", ask, name="owner-ask"),
    path("o/<str:token>/photo/<str:sha>", photo, name="owner-photo"),
    path("o/<str:token>/good/<str:file>", good, name="owner-good"),
]
