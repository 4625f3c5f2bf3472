"""Photos and sounds kept as they came, named by their hash, in the shop's folder.

A file is written whole and flushed to the disk before it gets its name: after a power cut it is there or it is not.
"""

from __future__ import annotations

import errno
import json
import os
import time
from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import file_digest, sha256
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import IO, Any, Literal

from django.conf import settings

from wheeltapper.problems import Problem
from wheeltapper.store.models import Original

MOST_BYTES = 60_000_000
ENOUGH = 16  # first bytes, by which the kind is told
LEFT_OVER_S = 24 * 3600.0  # a half-written file as old as this belongs to nobody
OF_THE_DISK = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO, errno.EROFS, errno.EACCES, errno.ENOENT}
Kind = Literal["photo", "sound", "figure", "shown"]
BEGINS: tuple[tuple[bytes, bytes, str, Kind], ...] = (  # first bytes, then those from the ninth on; ending, kind
    (b"\xff\xd8\xff", b"", "jpg", "photo"), (b"\x89PNG\r\n\x1a\n", b"", "png", "photo"), (b"RIFF", b"WEBP", "webp", "photo"),
    (b"RIFF", b"WAVE", "wav", "sound"), (b"fLaC", b"", "flac", "sound"), (b"OggS", b"", "ogg", "sound"),
    (b"\x1aE\xdf\xa3", b"", "webm", "sound"), (b"caff", b"", "caf", "sound"), (b"ID3", b"", "mp3", "sound"),
    (b"\xff\xf1", b"", "aac", "sound"), (b"\xff\xf9", b"", "aac", "sound"), (b"\xff\xfb", b"", "mp3", "sound"),
    (b"\xff\xf3", b"", "mp3", "sound"), (b"\xff\xf2", b"", "mp3", "sound"), (b"#!AMR", b"", "amr", "sound"),
)  # fmt: skip
BOXED = b"ftyp"  # from the fifth byte on: sound, video or still by the four after it
STILLS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"avif", b"avis")


@dataclass(frozen=True)
class _Part:
    """What has arrived, under no name yet."""

    path: Path
    size: int
    sha256: str
    first: bytes


def kept(pieces: Iterable[bytes]) -> Original | Problem:
    """Keep what arrives piece by piece; the same file again is the same Original."""
    try:
        part = _arrived(_folder(), pieces)
    except OSError as slip:
        return _no_room(slip)
    found = _told(part.first)
    if part.size > MOST_BYTES or found is None:
        part.path.unlink()
        return _refused(part)
    return _named(part, *found)


def kept_figure(svg: str) -> Original | Problem:
    """Keep a small figure that we drew ourselves, so that its entry can name it for good."""
    try:
        return _named(_arrived(_folder(), [svg.encode()], ours=True), "svg", "figure")
    except OSError as slip:
        return _no_room(slip)


def kept_shown(text: str) -> Original | Problem:
    """Keep what somebody was shown, word for word: its name is the version that their answer names."""
    try:
        return _named(_arrived(_folder(), [text.encode()], ours=True), "json", "shown")
    except OSError as slip:
        return _no_room(slip)


def read_shown(original: Original) -> dict[str, Any]:
    """What was shown, as plain data."""
    said: dict[str, Any] = json.loads(path_of(original).read_text("utf-8"))
    return said


def path_of(original: Original) -> Path:
    """Where its bytes lie."""
    return _place(_folder(), original.sha256, original.ending)


def fault_of(original: Original) -> Problem | None:
    """Whether its bytes are still those that were received."""
    where = f"{original.kind} {original.sha256[:16]}"
    try:
        with path_of(original).open("rb") as file:
            same = file_digest(file, "sha256").hexdigest() == original.sha256
    except OSError as slip:
        return Problem(
            where, f"it cannot be read ({(slip.strerror or 'unknown').lower()})", "restore the last backup."
        )
    return (
        None
        if same
        else Problem(where, "its bytes are not those that were received", "restore the last backup.")
    )


def swept() -> int:
    """Take away what was only half written when a machine stopped; gives how many."""
    old = [p for p in _folder().glob("*.part") if time.time() - p.stat().st_mtime > LEFT_OVER_S]
    for part in old:
        part.unlink(missing_ok=True)
    return len(old)


def _folder() -> Path:
    return Path(settings.SHOP_FOLDER) / "originals"


def _place(folder: Path, name: str, ending: str) -> Path:
    return folder / name[:2] / f"{name}.{ending}"


def _arrived(folder: Path, pieces: Iterable[bytes], ours: bool = False) -> _Part:
    """Write what comes under no name, and flush it; nothing stays behind where it stops half way."""
    folder.mkdir(parents=True, exist_ok=True)
    part: _Part | None = None
    with NamedTemporaryFile(dir=folder, suffix=".part", delete=False) as file:
        try:
            part = _Part(Path(file.name), *_written(file, pieces, ours))
        finally:
            if part is None:
                Path(file.name).unlink(missing_ok=True)
    return part


def _written(file: IO[bytes], pieces: Iterable[bytes], ours: bool) -> tuple[int, str, bytes]:
    summed, size, first = sha256(), 0, b""
    for piece in pieces:
        size += len(piece)
        first = (first + piece)[:ENOUGH] if len(first) < ENOUGH else first
        if size > MOST_BYTES or (len(first) == ENOUGH and not ours and _told(first) is None):
            break
        summed.update(piece)
        file.write(piece)
    file.flush()
    os.fsync(file.fileno())
    return size, summed.hexdigest(), first


def _named(part: _Part, ending: str, kind: Kind) -> Original:
    """Give it its name, flush the lists of names, and only then write it down."""
    folder = part.path.parent
    path = _place(folder, part.sha256, ending)
    path.parent.mkdir(exist_ok=True)
    part.path.replace(path)
    for shelf in (path.parent, folder, folder.parent):
        _flushed(shelf)
    made, _ = Original.objects.get_or_create(
        sha256=part.sha256, defaults={"kind": kind, "ending": ending, "size": part.size}
    )
    return made


def _told(first: bytes) -> tuple[str, Kind] | None:
    if first[4:8] == BOXED:
        return None if first[8:12] in STILLS else ("mp4", "sound")
    begins = (
        (e, kind) for at, then, e, kind in BEGINS if first.startswith(at) and first[8:].startswith(then)
    )
    return next(begins, None)


def _refused(part: _Part) -> Problem:
    if part.size == 0:
        return Problem("file", "it arrived empty", "send it again.")
    if part.size > MOST_BYTES:
        return Problem(
            "file", f"it is over {MOST_BYTES // 1_000_000} MB", "take a shorter clip or a smaller photo."
        )
    if part.first[4:8] == BOXED:
        do = "in the phone's camera settings choose 'most compatible', and take it again."
        return Problem(
            "file", "it is in a phone's own picture format (HEIC or AVIF), which is not read here", do
        )
    return Problem(
        "file",
        "it is neither a photo nor a sound we can read",
        "send JPEG, PNG, WebP, or a sound or video clip.",
    )


def _no_room(slip: OSError) -> Problem:
    """Our disk's fault, told; the sender's (it broke off) goes on to who reads from it."""
    if slip.errno not in OF_THE_DISK:
        raise slip
    said = (slip.strerror or "unknown").lower()
    return Problem(
        "file", f"the server could not keep it: {said}", "make room on the server's disk, then send it again."
    )


def _flushed(folder: Path) -> None:
    """The folder's own list of names, on systems that can flush one."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
