"""Photos and sounds: received as they are, shown from their originals, and pictures made of them without place or camera.

A file comes as the whole body of its request and goes straight to the disk; what it is about stands in the address. The
same request again is confirmed again. A form without script may send it as `file` among its fields.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.exceptions import RequestDataTooBig
from django.core.files.uploadhandler import FileUploadHandler
from django.http import (
    FileResponse,
    Http404,
    HttpRequest,
    HttpResponse,
    HttpResponseBase,
    JsonResponse,
    UnreadablePostError,
)
from django.urls import path
from django.views.decorators.http import require_http_methods
from pydantic import ValidationError

from wheeltapper.problems import Problem
from wheeltapper.store import files, keep, tasks
from wheeltapper.store.entries import Entry
from wheeltapper.store.models import KeptVisit, Original, Task
from wheeltapper.store.outward import SIDES, outward
from wheeltapper.store.work import Wanted
from wheeltapper.web import live
from wheeltapper.web.who import Asked, device_key, needs

PIECE = 64 * 1024
TYPES = {
    "jpg": "image/jpeg", "png": "image/png", "webp": "image/webp", "svg": "image/svg+xml", "wav": "audio/wav", "flac": "audio/flac",
    "ogg": "audio/ogg", "webm": "video/webm", "caf": "audio/x-caf", "mp3": "audio/mpeg", "aac": "audio/aac", "amr": "audio/amr",
    "mp4": "video/mp4",
}  # fmt: skip
FOREVER = "private, max-age=31536000, immutable"
RING = "ring"  # the check that recordings answer
MOST_TAKES = 6


class OnlySoMuch(FileUploadHandler):
    """Ends a form's upload that says it is larger than anything kept, before it fills the disk."""

    def handle_raw_input(
        self, input_data: Any, about: Any, content_length: int, boundary: Any, encoding: Any = None
    ) -> None:
        """Look at the length it says."""
        if content_length > files.MOST_BYTES + 1_000_000:
            raise RequestDataTooBig

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        """Goes on to the next handler."""
        return raw_data

    def file_complete(self, file_size: int) -> None:
        """The next handler has it."""


@needs("photos")
@require_http_methods(["POST"])
def file(request: Asked, number: str) -> JsonResponse:
    """Keep a photo or a sound and its entry; says its hash, its entry and the work it makes."""
    visit = live.named(number)
    form = request.content_type == "multipart/form-data"
    said: dict[str, str] = {k: str(v) for k, v in request.GET.items()}
    if form:
        said |= {k: str(v) for k, v in request.POST.items()}
    slip = _too_large(request)
    if slip:
        return _refused(slip, 413)
    try:
        original = files.kept(_pieces(request, form))
    except UnreadablePostError:
        original = Problem(
            "file", "it did not arrive whole", "send it again, and wait until the upload is complete."
        )
    if isinstance(original, Problem):
        return _refused(original)
    return _entered(request, visit, original, said)


def _pieces(request: HttpRequest, form: bool) -> Iterator[bytes]:
    """What comes; a body that ends before its length has no name to be kept by."""
    if form:
        sent = request.FILES.get("file")
        yield from sent.chunks(PIECE) if sent else ()
        return
    left = int(request.headers["Content-Length"])
    while left > 0:
        piece = request.read(min(PIECE, left))
        if not piece:
            raise UnreadablePostError("broken off")
        left -= len(piece)
        yield piece


def _too_large(request: HttpRequest) -> Problem | None:
    length = request.headers.get("Content-Length", "")
    if length.isdecimal() and int(length) <= files.MOST_BYTES + 1_000_000:
        return None
    if not length.isdecimal():
        return Problem("file", "it came without its length", "load the page again, and send it again.")
    return Problem(
        "file", f"it is over {files.MOST_BYTES // 1_000_000} MB", "take a shorter clip or a smaller photo."
    )


def _entered(request: Asked, visit: KeptVisit, original: Original, said: dict[str, str]) -> JsonResponse:
    body = {k: said[k][:200] for k in ("position", "check", "name", "said") if said.get(k)}
    try:
        entry = Entry.model_validate({
            "id": said.get("id", ""), "at": said.get("at", ""), "by": request.user.short, "kind": original.kind,
            "body": {"sha256": original.sha256, **body},
        })  # fmt: skip
    except ValidationError as slip:
        where = ".".join(map(str, slip.errors()[0]["loc"])) or "entry"
        return _refused(
            Problem(where, slip.errors()[0]["msg"].lower(), "load the page again, and send it again.")
        )
    got = keep.add(visit, [entry], device_key(request))
    if not got.ids:
        return _refused(Problem("entry", "its id stands for something else already", "take it anew."), 409)
    live.told(visit)
    task = _work(visit, original, entry, said)
    if isinstance(task, Problem):
        return _refused(task)
    answer = {
        "sha256": original.sha256,
        "entry": entry.id,
        "kind": original.kind,
        "kept": [entry.id],
        "refused": [],
    }
    return JsonResponse(answer | {"task": task.pk if task else None}, status=201 if got.new else 200)


def _work(visit: KeptVisit, original: Original, entry: Entry, said: dict[str, str]) -> Task | Problem | None:
    """What the server does with it by itself: a recording of taps is listened to; a photo is measured where that is asked."""
    kind = (
        "ring"
        if original.kind == "sound" and said.get("check") == RING
        else "mark"
        if said.get("work") == "mark"
        else ""
    )
    if not kind or not said.get("position"):
        return None
    known = Task.objects.filter(visit=visit, kind=kind, asked__sha256__0=original.sha256).first()
    if known:
        return known
    try:
        more = json.loads(said.get("asked") or "{}")
        if kind == "mark":
            more.setdefault("diameter", _drum(visit))
        if kind == "ring":
            more["earlier"] = _takes(visit, said["position"], original)
        asked = {
            "position": said["position"],
            "by": entry.by,
            "sha256": [original.sha256],
            "check": said.get("check"),
        }
        return tasks.ask(visit, kind, Wanted.model_validate(more | asked))
    except (ValidationError, ValueError, TypeError, AttributeError):
        return Problem(
            "asked", "what was marked in the photo cannot be read", "tap both ends of the line again."
        )


def _takes(visit: KeptVisit, position: str, new: Original) -> list[str]:
    """The recordings of this drum before this one."""
    standing = live.live(visit).folded.files
    before = [f.sha256 for e, f in standing if (e.kind, f.position, f.check) == ("sound", position, RING)]
    return [sha for sha in dict.fromkeys(before) if sha != new.sha256][-MOST_TAKES:]


def _drum(visit: KeptVisit) -> str | None:
    now = live.live(visit).folded.visit
    return now.unit.drum if now else None


@needs("photos")
@require_http_methods(["POST"])
def ask(request: Asked, number: str) -> JsonResponse:
    """Ask for work on files that are there: the ring test over several recordings, a mark between two taps."""
    visit = live.named(number)
    try:
        sent = json.loads(request.body)
        kind = {"ring": "ring", "mark": "mark"}[sent["kind"]]
        drum = {"diameter": _drum(visit)} if kind == "mark" else {}
        asked = Wanted.model_validate(drum | sent["asked"] | {"by": request.user.short})
    except (ValueError, KeyError, TypeError, RecursionError):
        return _refused(Problem("asked", "it cannot be read", "load the page again, and ask again."))
    return JsonResponse({"task": tasks.ask(visit, kind, asked).pk}, status=201)


@require_http_methods(["GET"])
def at_work(request: HttpRequest, number: str) -> JsonResponse:
    """How far the server is with a visit's recordings and photos."""
    rows = [vars(p) for p in tasks.progress(live.named(number))]
    answer = JsonResponse({"tasks": rows, "open": sum(r["state"] in ("waiting", "running") for r in rows)})
    answer["Cache-Control"] = "no-store"
    return answer


@require_http_methods(["GET", "HEAD"])
def picture(request: HttpRequest, number: str, sha: str) -> HttpResponseBase:
    """An original; with ?small or ?clean a picture made of it, without place, time or camera."""
    live.named(number)
    original = Original.objects.filter(sha256=sha).first()
    if original is None or not files.path_of(original).is_file():
        raise Http404("There is no such photo or sound here.")
    size = next((s for s in SIDES if s in request.GET), None)
    if size is None:
        return _as_kept(
            request, files.path_of(original), TYPES.get(original.ending, "application/octet-stream")
        )
    made = outward(original, size)
    if isinstance(made, Problem):
        return HttpResponse(made.said, status=422, content_type="text/plain; charset=utf-8")
    return _as_kept(request, made, "image/jpeg")


def _as_kept(request: HttpRequest, kept: Path, kind: str) -> HttpResponseBase:
    """The bytes; a part of them where a player asks for one."""
    length = kept.stat().st_size
    part = _part(request.headers.get("Range", ""), length)
    answer: HttpResponseBase
    if part is None:
        answer = FileResponse(kept.open("rb"), content_type=kind)
    else:
        with kept.open("rb") as opened:
            opened.seek(part[0])
            answer = HttpResponse(opened.read(part[1] - part[0]), status=206, content_type=kind)
        answer["Content-Range"] = f"bytes {part[0]}-{part[1] - 1}/{length}"
    answer["Accept-Ranges"] = "bytes"
    answer["Cache-Control"] = FOREVER
    answer["Content-Disposition"] = f'inline; filename="{kept.name}"'
    return answer


def _part(asked: str, length: int) -> tuple[int, int] | None:
    """From and to, of 'bytes=from-to'; anything else is answered with the whole."""
    unit, _, what = asked.partition("=")
    start, dash, end = what.partition("-")
    if unit != "bytes" or not dash or not (start.isdecimal() and (end.isdecimal() or not end)):
        return None
    first, last = int(start), min(int(end) + 1 if end else length, length)
    return (first, last) if first < last else None


def _refused(slip: Problem, status: int = 422) -> JsonResponse:
    return JsonResponse({"where": slip.where, "what": slip.what, "do": slip.do}, status=status)


PATHS = [
    path("visit/<str:number>/files", file, name="file"),
    path("visit/<str:number>/files/<str:sha>", picture, name="picture"),
    path("visit/<str:number>/work", at_work, name="at-work"),
    path("visit/<str:number>/work/wanted", ask, name="ask-work"),
]
