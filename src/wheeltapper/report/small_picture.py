"""The pictures that a sheet's pairs name, as small JPEGs without metadata, ready to print. See beside.py for the pairs."""

from __future__ import annotations

import io
from base64 import b64encode
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path

from PIL import Image

from wheeltapper.atlas import GOOD, data_of, own_photo, pictures
from wheeltapper.photo import photo_from_file
from wheeltapper.problems import Problem
from wheeltapper.report.beside import Beside
from wheeltapper.report.mark_ink import as_bytes, fitted

WIDE, QUALITY = 800, 80  # px, as printed


def small_pictures(
    pairs: Iterable[Beside], photo_of: Callable[[str], bytes | None], house: Path | None = None
) -> dict[str, bytes]:
    """Every picture that the pairs name, by name, as a small JPEG without metadata.

    Args:
        pairs: what a sheet shows.
        photo_of: a photo's JPEG by its name, small and without metadata; None where it cannot be had.
        house: the shop's folder, whose own good parts stand in for ours.

    Returns:
        JPEG bytes by name; a photo that cannot be had is not among them.
    """
    out: dict[str, bytes] = {}
    for name, is_photo in _names(pairs):
        if name not in out:
            data = photo_of(name) if is_photo else _own(name, house) or _ours(name)
            if data is not None:
                out[name] = data
    return out


def photos_beside(pairs: Iterable[Beside], folder: Path) -> tuple[dict[str, bytes], tuple[Problem, ...]]:
    """The photos that a visit's file names, from its own folder and no other, small and without metadata; and what cannot be had."""
    out: dict[str, bytes] = {}
    slips: list[Problem] = []
    for name in dict.fromkeys(pair.photo for pair in pairs if pair.photo):
        if Path(name).name != name:
            slips.append(
                Problem(name, "is not beside the visit's file", "put it there and name it without folders.")
            )
            continue
        photo, told = photo_from_file(folder / name)
        slips += told
        if photo is not None:
            out[name] = as_bytes(fitted(photo.pixels, WIDE, 0)[0], "jpeg", QUALITY)
    return out, tuple(slips)


def _names(pairs: Iterable[Beside]) -> Iterator[tuple[str, bool]]:
    for pair in pairs:
        yield from ((n, False) for n in (pair.good, pair.rendered) if n)
        if pair.photo:
            yield pair.photo, True


def _own(file: str, house: Path | None) -> bytes | None:
    """The shop's own good part, where this is the picture of one."""
    found = next((p for p in pictures() if p.file == file and p.condition == GOOD), None)
    return own_photo(house, found.part, found.view)[0] if found and house else None


@cache
def _ours(file: str) -> bytes:
    out = io.BytesIO()
    picture = Image.open(io.BytesIO(data_of(file))).convert("RGB")
    picture.thumbnail((WIDE, WIDE))
    picture.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()


def framed(jpeg: bytes) -> str:
    """A JPEG inside an SVG, as the typesetter takes only text."""
    wide, high = Image.open(io.BytesIO(jpeg)).size
    held = f"data:image/jpeg;base64,{b64encode(jpeg).decode()}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" height="{high}">'
        f'<image width="{wide}" height="{high}" href="{held}"/></svg>'
    )
