"""The shop's books in the browser: out as CSV, in again after every row was looked at."""

from __future__ import annotations

from django.conf import settings
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import path
from django.views.decorators.http import require_http_methods, require_safe

from wheeltapper.problems import Problem
from wheeltapper.reference.books import BOOKS, MOST_BYTES, Book, Laid, book_in, book_out
from wheeltapper.web import live
from wheeltapper.web.who import Asked, needs

SAID = {
    "prices": "what parts cost", "labour": "hours of each piece of work", "taxes": "taxes on a job", "fees": "fees of the shop",
}  # fmt: skip


@needs("books")
@require_safe
def books(request: Asked) -> HttpResponse:
    """All books, each to take out and to put in."""
    return _page(request)


@needs("books")
@require_safe
def out(request: Asked, name: str) -> HttpResponse:
    """A book as it counts now."""
    answer = HttpResponse(
        book_out(_book(name), settings.HOUSE_FOLDER), content_type="text/csv; charset=utf-8"
    )
    answer["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return answer


@needs("books")
@require_http_methods(["POST"])
def put_in(request: Asked, name: str) -> HttpResponse:
    """Look a book through; only one without a fault takes the place of the one before."""
    book, sent = _book(name), request.FILES.get("file")
    if sent is None:
        return _page(
            request, 422, (Problem(f"{name}.csv", "no file was chosen", "choose one, then put it in."),)
        )
    laid = book_in(book, sent.read(MOST_BYTES + 1), settings.HOUSE_FOLDER, "try" in request.POST)
    mend = "mend it in the spreadsheet and put the file in again; nothing has changed."
    slips = tuple(Problem(*_apart(fault, name), mend) for fault in laid.faults)
    return _page(request, 422 if slips else 200, slips, name, laid, "try" in request.POST)


def _page(
    request: Asked, status: int = 200, problems: tuple[Problem, ...] = (), name: str = "", laid: Laid | None = None, tried: bool = False
) -> HttpResponse:  # fmt: skip
    rows = [(book, SAID[book]) for book in BOOKS]
    context = {
        "rows": rows,
        "problems": problems,
        "name": name,
        "laid": laid,
        "tried": tried,
        "tables": live.tables(),
    }
    return render(request, "books/books.html", context, status=status)


def _apart(fault: str, name: str) -> tuple[str, str]:
    where, colon, what = fault.partition(": ")
    return (where, what) if colon else (f"{name}.csv", fault)


def _book(name: str) -> Book:
    for book in BOOKS:
        if book == name:
            return book
    raise Http404("There is no such book. Go back to the books and pick one.")


PATHS = [
    path("books", books, name="books"),
    path("books/<str:name>.csv", out, name="book-out"),
    path("books/<str:name>", put_in, name="book-in"),
]
