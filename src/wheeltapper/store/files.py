"""Photos and sounds kept as they came, named by their hash, in the shop's folder.

A file is written whole and flushed to the disk before it gets its name: after a power cut it is there or it is not.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Literal

from django.conf import settings

from wheeltapper.problems import Problem
from wheeltapper.store.models import Original

MOST_BYTES = 60_000_000
KINDS: tuple[tuple[bytes, int, str, Literal["photo", "sound"]], ...] = (  # by content: (bytes, where, ending, kind)
    (b"\xff\xd8\xff", 0, "jpg", "photo"), (b"\x89PNG\r\n\x1a\n", 0, "png", "photo"), (b"WEBP", 8, "webp", "photo"),
    (b"WAVE", 8, "wav", "sound"), (b"fLaC", 0, "flac", "sound"), (b"OggS", 0, "ogg", "sound"),
    (b"\x1aE\xdf\xa3", 0, "webm", "sound"), (b"caff", 0, "caf", "sound"), (b"ID3", 0, "mp3", "sound"),
    (b"\xff\xf1", 0, "aac", "sound"), (b"\xff\xfb", 0, "mp3", "sound"), (b"ftyp", 4, "mp4", "sound"),
)  # fmt: skip


def kept(pieces: Iterable[bytes]) -> Original | Problem:
    """Keep what arrives piece by piece; the same file again is the same Original."""
    folder = Path(settings.SHOP_FOLDER) / "originals"
    folder.mkdir(parents=True, exist_ok=True)
    summed, size, first = sha256(), 0, b""
    with NamedTemporaryFile(dir=folder, suffix=".part", delete=False) as part:
        beside = Path(part.name)
        for piece in pieces:
            size += len(piece)
            first = (first + piece)[:64] if len(first) < 64 else first
            if size > MOST_BYTES:
                break
            summed.update(piece)
            part.write(piece)
        part.flush()
        os.fsync(part.fileno())
    found = _kind(first)
    if size > MOST_BYTES or found is None:
        beside.unlink()
        return _refused(size)
    ending, kind = found
    path = _place(folder, summed.hexdigest(), ending)
    path.parent.mkdir(exist_ok=True)
    beside.replace(path)
    _flushed(path.parent)
    made, _ = Original.objects.get_or_create(
        sha256=summed.hexdigest(), defaults={"kind": kind, "ending": ending, "size": size}
    )
    return made


def path_of(original: Original) -> Path:
    """Where its bytes lie."""
    return _place(Path(settings.SHOP_FOLDER) / "originals", original.sha256, original.ending)


def _place(folder: Path, name: str, ending: str) -> Path:
    return folder / name[:2] / f"{name}.{ending}"


def _kind(first: bytes) -> tuple[str, Literal["photo", "sound"]] | None:
    return next(((e, kind) for what, at, e, kind in KINDS if first[at : at + len(what)] == what), None)


def _refused(size: int) -> Problem:
    if size == 0:
        return Problem("file", "it arrived empty", "send it again.")
    if size > MOST_BYTES:
        return Problem(
            "file", f"it is over {MOST_BYTES // 1_000_000} MB", "take a shorter clip or a smaller photo."
        )
    return Problem(
        "file",
        "it is neither a photo nor a sound we can read",
        "send JPEG, PNG, WebP, or a sound or video clip.",
    )


def _flushed(folder: Path) -> None:
    """The folder's own list of names, on systems that can flush one."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
