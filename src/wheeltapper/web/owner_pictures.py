"""Pictures for owners: small enough for a slow line, with trailer and wheel written below, and nothing of place, time or camera in them."""

from __future__ import annotations

import io
import os
from collections.abc import Mapping
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any

from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from PIL import Image

from wheeltapper.report.mark_ink import as_bytes, broken, framed, letter
from wheeltapper.store import files
from wheeltapper.store.models import Original
from wheeltapper.store.outward import outward
from wheeltapper.web.atlas import found_by_name

SMALL, LARGE = 480, 1600  # of the longer side [px]
CACHED = "private, max-age=86400"


def of_a_part(page: Mapping[str, Any], sha: str, large: bool) -> HttpResponseBase:
    """A photo that stands on this page.

    Raises:
        Http404: the shop does not have it any more, or cannot read it.
    """
    original = Original.objects.filter(sha256=sha, kind="photo").first()
    made = _made(original, caption(page, sha), LARGE if large else SMALL) if original else None
    if made is None:
        raise Http404("This photo cannot be shown.")
    answer = FileResponse(made.open("rb"), content_type="image/jpeg")
    answer["Cache-Control"] = CACHED
    return answer


def caption(page: Mapping[str, Any], sha: str) -> str:
    """Which trailer, part and wheel it shows."""
    things = (t for s in page["sections"] for t in s["things"] if t["view"] and t["view"]["yours"] == sha)
    thing = next(things)
    return f"{page['unit']}, {thing['name']}, {thing['where']}, {page['date']}"


def _made(original: Original, said: str, side: int) -> Path | None:
    """Made when it is first asked for, and kept beside the original."""
    path = files.path_of(original)
    beside = path.with_suffix(f".{side}-{sha256(said.encode()).hexdigest()[:12]}.jpg")
    if beside.is_file():
        return beside
    clean = outward(original, "clean") if path.is_file() else None
    if not isinstance(clean, Path):
        return None
    with Image.open(clean) as photo:
        photo.thumbnail((side, side), Image.Resampling.LANCZOS)
        data = as_bytes(_captioned(photo, said), "jpeg", 72)
    with NamedTemporaryFile(dir=beside.parent, suffix=".part", delete=False) as part:
        part.write(data)
    os.replace(part.name, beside)
    return beside


def _captioned(picture: Image.Image, said: str) -> Image.Image:
    size = max(14, round(max(picture.size) / 20))
    lines = broken(said, size, picture.width)

    def write(sheet: Image.Image, left: int, top: int) -> None:
        for i, line in enumerate(lines):
            letter(sheet, (left, top + round(size * (1.2 + 1.25 * i))), line, size)

    return framed(picture, write, round(size * (0.5 + 1.25 * len(lines))))


def of_the_atlas(file: str) -> HttpResponseBase:
    """A picture of the atlas, made small.

    Raises:
        Http404: the atlas has no such picture.
    """
    data, kind = found_by_name(file)
    answer = HttpResponse(_small(data) if kind == "image/webp" else data, content_type=kind)
    answer["Cache-Control"] = CACHED
    return answer


@lru_cache(128)
def _small(data: bytes) -> bytes:
    with Image.open(io.BytesIO(data)) as picture:
        small = picture.convert("RGB")
    small.thumbnail((SMALL, SMALL), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    small.save(out, "WEBP", quality=74)
    return out.getvalue()
