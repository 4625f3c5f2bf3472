"""The telephone: half a minute to read out, and the owner's answers tapped while talking."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path, reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods

from wheeltapper.problems import Problem
from wheeltapper.store.models import OwnerLink
from wheeltapper.web import live, shown
from wheeltapper.web.shown import BY_PHONE, IN_PERSON, Shown
from wheeltapper.web.who import Asked, device_key, needs

HOWS = (BY_PHONE, IN_PERSON)


@needs("answers")
@require_http_methods(["GET", "POST"])
def read_back(request: Asked, number: str) -> HttpResponse:
    """What to read out; each answer is kept as it is tapped."""
    visit = live.named(number)
    typed, slip = request.POST or request.GET, None
    if request.method == "POST":
        slip = _answered(request, visit.number)
        if slip is None:
            back = urlencode({"who": typed.get("who", ""), "how": typed.get("how", "")})
            return redirect(
                f"{reverse('read-back', args=[number])}?{back}#{'work' if request.POST['answer'].startswith('work:') else 'choices'}"
            )
    seen = shown.now(visit)
    if seen is None:
        raise Http404("The gate comes first: say which trailer it is.")
    last = OwnerLink.objects.filter(visit=visit).order_by("-pk").first()
    context = {
        "kept": visit, "page": seen.page, "shown": seen, "choices": list(seen.choices.values()), "problems": (slip,) if slip else (), "typed": typed,
        "hows": HOWS, "how": typed.get("how") if typed.get("how") in HOWS else BY_PHONE, "who_answers": typed.get("who") or (last.to if last else ""),
    }  # fmt: skip
    return render(request, "owner/read_back.html", context, status=422 if slip else 200)


def _answered(request: Asked, number: str) -> Problem | None:
    """Keep one answer; what it is about and what was said come in one word, 'axle 2 pads:not now'."""
    post, visit = request.POST, live.named(number)
    by = shown.one_line(post.get("who", ""))
    if not by:
        return Problem("name", "nobody is named", "write who is on the phone.")
    seen: Shown | None = shown.again(visit, int(post["entries"]) if post.get("entries", "").isdecimal() else 0, post.get("version", ""))  # fmt: skip
    if seen is None:
        return Problem(
            "answer", "this page has changed since it was opened", "read it out again, then tap the answer."
        )
    on, _, word = post.get("answer", "").rpartition(":")
    how = post.get("how", "")
    who = {"by": by, "how": how if how in HOWS else BY_PHONE, "said": shown.words_of(post.get("said", ""))}
    return shown.answered(visit, seen, on, word, who, device_key(request), request.user.short)


PATHS = [path("visit/<str:number>/read-back", read_back, name="read-back")]
