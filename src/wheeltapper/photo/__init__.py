"""From a picture file to upright pixels: whatever is wrong with the file becomes a Problem.

Files come from strangers' phones, so they are decoded in the closed booth (`booth.py`), by `decoder.py`: it sees one
open file and can open no other. The file itself is only read, and known ever after by its hash.
"""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wheeltapper import booth
from wheeltapper.photo.decoder import LEAST_SIDE, LENS, MOST_FILE_BYTES, MOST_PIXELS
from wheeltapper.photo.lens import Lens, focal_px
from wheeltapper.problems import Problem

MEMORY_BYTES = 1_500_000_000
COMPUTING_S, PATIENCE_S = 20, 45.0
AGAIN = "take the photo again with the phone's own camera, and send that file."
SEND = "send the file again, and wait until the upload is complete."
AS_JPEG = "send it as JPEG."
SLIPS = {
    "unreadable": ("it is no picture that can be read, or its end is missing", SEND),
    "phone's own": (
        "it is in a phone's own picture format (HEIC or AVIF), which is not read here",
        "send it as JPEG; in the phone's camera settings choose 'most compatible' for the next ones.",
    ),
    "video": ("it is a video", "take a photo, and send that."),
    "raw": ("it is a raw picture of the sensor, not a developed one", AS_JPEG),
    "strange": ("its colours are not those of a photo", AS_JPEG),
    "small": (f"a side of it is under {LEAST_SIDE} pixels", "send the photo itself, not its small preview."),
    "too large": ("it is larger than any phone's photo", AGAIN),
    "too much": ("it takes too long or too much memory to read", AGAIN),
}


@dataclass(frozen=True)
class Photo:
    """A picture, decoded, and what its file says of itself. Where it was taken is never read."""

    pixels: NDArray[np.uint8]  # (rows, columns, 3) red, green, blue; upright; cannot be written to
    focal_px: float | None  # in these pixels; None where it is not said or not to be believed
    sha256: str  # of the file as received
    size_bytes: int
    taken: str  # by the camera's clock, '' where not said
    camera: str
    turned: bool  # the file has it lying or mirrored
    reduced: int  # pixels of the file to one of these, along each side: 1, 2, 4 or 8


def photo_from_file(path: Path) -> tuple[Photo | None, tuple[Problem, ...]]:
    """Decode a picture: jpeg, png, webp, tiff, bmp or gif, whatever its name ends in.

    Pictures of over 28 million pixels are read at half their sides, or a quarter, or an eighth (`Photo.reduced`). Of
    those that move the first frame is taken.

    Args:
        path: the file; it is never changed.

    Returns:
        The picture, None where there is none to be had, and the Problems; a Problem may come with a picture.
    """
    try:
        with booth.opened(path) as file:
            if not booth.is_file(file):
                return _no(path, "it is not a file", "name a picture file.")
            size = os.fstat(file.fileno()).st_size
            if not size:
                return _no(path, "the file is empty", SEND)
            if size > MOST_FILE_BYTES:
                return _no(path, *SLIPS["too large"])
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            file.seek(0)
            decoder = Path(__file__).with_name("decoder.py")
            head, data = booth.work(decoder, file, 3 * MOST_PIXELS, MEMORY_BYTES, COMPUTING_S, PATIENCE_S)
    except OSError as slip:
        return _no(path, f"the file cannot be opened ({slip.strerror})", "check its name and place.")
    if "slip" in head:
        return _no(path, *SLIPS[str(head["slip"])])
    return _photo(head, data, sha256, size), _said(path, head)


def _no(path: Path, what: str, do: str) -> tuple[None, tuple[Problem, ...]]:
    return None, (Problem(path.name, what, do),)


def _photo(head: dict[str, Any], data: bytes, sha256: str, size: int) -> Photo:
    pixels = np.frombuffer(data, np.uint8).reshape(head["rows"], head["columns"], 3)
    lens = Lens(**{name: float(head[name]) for name in LENS})
    return Photo(
        pixels=pixels,
        focal_px=focal_px(lens, head["columns"], head["rows"]),
        sha256=sha256,
        size_bytes=size,
        taken=head["taken"],
        camera=head["camera"],
        turned=head["turned"],
        reduced=head["reduced"],
    )


def _said(path: Path, head: dict[str, Any]) -> tuple[Problem, ...]:
    """What to know of a picture that can be used."""
    if not head["moving"]:
        return ()
    return (
        Problem(
            path.name, "it holds more than one picture; only the first was taken", "send one still photo."
        ),
    )
