"""What if the next check waits so many miles, or an axle's worn parts are replaced now: distance, chance and cost, for whoever quotes."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_safe

from wheeltapper.problems import Problem
from wheeltapper.report import what_if as words
from wheeltapper.store import outlook
from wheeltapper.web import live
from wheeltapper.web.who import Asked, needs


@needs("table")
@require_safe
def what_if(request: Asked, number: str) -> HttpResponse:
    """A page to look at: nothing on the visit changes by it."""
    now = live.told(live.named(number))
    if now.examination is None:
        raise Http404("The gate comes first: say which trailer it is.")
    ex, pool = now.examination, next(iter(outlook.pools()), None)
    typed = request.GET.get("miles", "").strip()[:20]
    miles, problems = _asked(typed)
    if miles is None:
        miles = words.first_asked(outlook.ahead(now.kept, ex.visit, now.tables, pool, 0.0))
    found = words.what_if(ex, outlook.ahead(now.kept, ex.visit, now.tables, pool, miles), miles)
    context = {
        "kept": now.kept,
        "visit": ex.visit,
        "found": found,
        "problems": problems,
        "typed": typed or miles,
    }
    return render(request, "what_if/what_if.html", context, status=422 if problems else 200)


def _asked(typed: str) -> tuple[int | None, tuple[Problem, ...]]:
    """The miles that were typed or tapped; None where nothing usable was."""
    if not typed:
        return None, ()
    plain = typed.replace(",", "").replace(" ", "")
    if plain.isascii() and plain.isdecimal() and words.LEAST_MI <= int(plain) <= words.MOST_MI:
        return int(plain), ()
    do = f"write whole miles from {words.LEAST_MI} to {words.MOST_MI:,}, or tap a step."
    return None, (Problem("miles", f"'{typed}' is no distance to ask for", do),)


PATHS = [path("visit/<str:number>/what-if", what_if, name="what-if")]
