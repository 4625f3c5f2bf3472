"""The drawn sheet of a visit, to print or to keep."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.urls import path
from django.views.decorators.http import require_safe

from wheeltapper.store.paper import paper_of, sheet_of
from wheeltapper.web import live
from wheeltapper.web.who import Asked, needs


@needs("table")
@require_safe
def paper(request: Asked, number: str) -> HttpResponse:
    """The PDF as the visit stands."""
    now = live.told(live.named(number))
    if now.examination is None:
        raise Http404("The gate comes first: say which trailer it is.")
    data = paper_of(sheet_of(now.kept, now.folded, now.examination))
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="sheet-{now.kept.number}.pdf"'
    answer["Cache-Control"] = "no-store"
    return answer


PATHS = [path("visit/<str:number>/sheet.pdf", paper, name="paper")]
