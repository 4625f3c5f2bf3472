"""A visit on paper: its drawn sheet, to print or to keep, and its sweep with boxes to write in."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.urls import path
from django.views.decorators.http import require_safe

from wheeltapper.report.sweep_paper import sweep_pdf
from wheeltapper.report.wording import reader_for
from wheeltapper.store import history
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


@needs("corner")
@require_safe
def sweep(request: Asked, number: str) -> HttpResponse:
    """The sweep of this trailer to be written on, on letter paper or A4."""
    now = live.told(live.named(number))
    visit = now.folded.visit
    if visit is None:
        raise Http404("The gate comes first: say which trailer it is.")
    size = "a4" if request.GET.get("paper") == "a4" else "letter"
    data = sweep_pdf(
        visit, now.tables, history.before(visit.unit.id, now.kept), size, reader_for(visit).length
    )
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="paper-{now.kept.number}.pdf"'
    answer["Cache-Control"] = "no-store"
    return answer


PATHS = [
    path("visit/<str:number>/sheet.pdf", paper, name="paper"),
    path("visit/<str:number>/paper.pdf", sweep, name="sweep-paper"),
]
