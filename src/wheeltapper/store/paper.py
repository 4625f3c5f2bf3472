"""The sheet of a kept visit, on paper: with its photos, the owner's answers, and the entries it follows from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from django.conf import settings

from wheeltapper.flow import Examination
from wheeltapper.report.kept import Kept, KeptPhoto
from wheeltapper.report.pdf import pdf
from wheeltapper.report.sheet import Sheet, pairs, sheet
from wheeltapper.report.small_picture import small_pictures
from wheeltapper.report.wording import reader_for
from wheeltapper.store import find
from wheeltapper.store.chain import first
from wheeltapper.store.entries import CALLED, Entry
from wheeltapper.store.fold import Folded
from wheeltapper.store.models import KeptVisit, Original
from wheeltapper.store.outward import outward
from wheeltapper.words import TRAILER


def sheet_of(visit: KeptVisit, folded: Folded, examination: Examination) -> Sheet:
    """The Sheet with what only a kept visit has."""
    photos = tuple(about(e) for e, _ in folded.files if e.kind == "photo")
    record = Kept(visit.number, visit.entries, visit.tail or first(visit.number), photos)
    made = sheet(examination, reader_for(examination.visit), find.figures(examination.visit))
    return replace(made, kept=record)


def paper_of(made: Sheet) -> bytes:
    """That Sheet as a PDF; a photo that cannot be shown is left out, and stays in the record."""
    shas = [photo.sha256 for photo in made.kept.photos] if made.kept else []
    photos = dict(_small(shas))
    named = {sha[:CALLED]: photo for sha, photo in photos.items()}
    return pdf(made, photos | small_pictures(pairs(made), named.get, settings.HOUSE_FOLDER))


def about(entry: Entry) -> KeptPhoto:
    """A photo or sound in words: where, of what, by whom, when."""
    body = entry.body
    what = filter(
        None,
        (
            body.get("position") or TRAILER,
            body.get("check"),
            entry.by,
            f"{entry.when[:10]} {entry.when[11:16]} UTC",
        ),
    )
    return KeptPhoto(body["sha256"], ", ".join(what))


def _small(shas: Iterable[str]) -> Iterator[tuple[str, bytes]]:
    for original in Original.objects.filter(kind="photo", sha256__in=set(shas)).order_by("sha256"):
        made = outward(original, "sheet")
        if isinstance(made, Path):
            yield original.sha256, made.read_bytes()
