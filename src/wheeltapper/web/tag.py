"""Tags for a unit's tongue: made, printed and ended at the counter."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import path
from django.views.decorators.http import require_POST, require_safe

from wheeltapper.report import due_words
from wheeltapper.store import tags
from wheeltapper.store.models import KeptVisit, UnitTag
from wheeltapper.store.unit_names import plain
from wheeltapper.web import live
from wheeltapper.web.owner import code_of, here
from wheeltapper.web.who import Asked, needs


@needs("answers")
@require_safe
def unit_tags(request: Asked, number: str) -> HttpResponse:
    """The tags of this visit's unit."""
    visit = _visit(number)
    rows = [(t, tags.stands(t)) for t in _of(visit)]
    return render(request, "due/tags.html", {"kept": visit, "tags": rows})


def _visit(number: str) -> KeptVisit:
    visit = live.named(number)
    if not visit.unit:
        raise Http404("The gate comes first: say which trailer it is.")
    return visit


def _of(visit: KeptVisit) -> list[UnitTag]:
    return [t for t in UnitTag.objects.order_by("-pk") if plain(t.unit) == plain(visit.unit)]


def _named(number: str, pk: int) -> UnitTag:
    tag = next((t for t in _of(_visit(number)) if t.pk == pk), None)
    if tag is None:
        raise Http404("This unit has no such tag.")
    return tag


@needs("answers")
@require_POST
def make(request: Asked, number: str) -> HttpResponse:
    """A new tag."""
    tag = tags.make(_visit(number).unit, request.user.short)
    return redirect("one-tag", number, tag.pk)


@needs("answers")
@require_safe
def one_tag(request: Asked, number: str, pk: int) -> HttpResponse:
    """The tag, to be printed and hung on the tongue."""
    tag = _named(number, pk)
    token = tags.token_of(tag) if tags.stands(tag) else None
    url = f"{here(request)}/t/{token}/" if token else ""
    sheet = live.live(live.named(number)).sheet
    context = {"number": number, "tag": tag, "url": url, "code": code_of(url), "stands": tags.stands(tag), "shop": sheet.shop if sheet else "",
               "line": due_words.TAG_LINE}  # fmt: skip
    answer = render(request, "due/tag.html", context)
    answer["Cache-Control"] = "no-store"
    return answer


@needs("answers")
@require_POST
def end(request: Asked, number: str, pk: int) -> HttpResponse:
    """End a tag at once."""
    tags.end(_named(number, pk), request.user.short)
    return redirect("unit-tags", number)


PATHS = [
    path("visit/<str:number>/tags", unit_tags, name="unit-tags"),
    path("visit/<str:number>/tags/make", make, name="make-tag"),
    path("visit/<str:number>/tags/<int:pk>", one_tag, name="one-tag"),
    path("visit/<str:number>/tags/<int:pk>/end", end, name="end-tag"),
]
