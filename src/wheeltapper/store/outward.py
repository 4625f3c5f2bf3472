"""Pictures made of an original for a page, a sheet or eyes outside the shop: smaller, without place, time or camera.

Each lies beside its original and is made when it is first asked for; it can always be made again.
"""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import NamedTemporaryFile
from threading import Lock
from typing import Literal

from wheeltapper.photo import photo_from_file
from wheeltapper.problems import Problem
from wheeltapper.report.mark_ink import as_bytes, fitted
from wheeltapper.store.files import path_of
from wheeltapper.store.models import Original

Size = Literal["small", "sheet", "clean"]
SIDES: dict[Size, int] = {"small": 480, "sheet": 800, "clean": 2048}  # of the longer side [px]
_one_at_a_time = Lock()  # a large photo needs much memory while it is unpacked


def outward(original: Original, size: Size) -> Path | Problem:
    """Where the picture made of an original lies, a JPEG."""
    if original.kind != "photo":
        return Problem("picture", "it is a sound", "listen to it.")
    beside = path_of(original).with_suffix(f".{size}.jpg")
    if beside.is_file():
        return beside
    with _one_at_a_time:
        if beside.is_file():
            return beside
        photo, slips = photo_from_file(path_of(original))
        if photo is None:
            return slips[0]
        data = as_bytes(fitted(photo.pixels, SIDES[size], 0)[0], "jpeg", 82)
    with NamedTemporaryFile(dir=beside.parent, suffix=".part", delete=False) as part:
        part.write(data)
    os.replace(part.name, beside)
    return beside
