"""The command for photos without a card: `note`, which draws arrows, rings and captions on a copy of one."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wheeltapper.cli_out import put

if TYPE_CHECKING:
    from collections.abc import Sequence

    from wheeltapper.photo import Photo
    from wheeltapper.problems import Problem
    from wheeltapper.report.mark_picture import Note

KINDS = {".jpg": "jpeg", ".jpeg": "jpeg", ".png": "png"}
PLACED = re.compile(r"@([^,\s]+),([^,\s]+)\s+(.+)", re.DOTALL)


@click.command()
@click.argument("photo", type=click.Path(path_type=Path))
@click.option("--arrow", "arrows", multiple=True, metavar="X,Y,X,Y", help="From where to what it points at.")
@click.option("--ring", "rings", multiple=True, metavar="X,Y,R", help="Its middle and its radius.")
@click.option(
    "--caption",
    "captions",
    multiple=True,
    metavar="TEXT",
    help="Words under the picture; '@X,Y TEXT' writes them at a place.",
)
@click.option(
    "--out",
    required=True,
    type=click.Path(path_type=Path, dir_okay=False),
    help="The picture, .jpg or .png, without place, time or camera in it.",
)
def note(
    photo: Path, arrows: tuple[str, ...], rings: tuple[str, ...], captions: tuple[str, ...], out: Path
) -> None:
    """Draw notes on a copy of a photo; the photo stays as it is.

    Places are in pixels of the upright picture, from its upper left corner: across, then down. Each option may stand
    several times.
    """
    from wheeltapper.photo import photo_from_file
    from wheeltapper.report.mark_picture import note_slips, noted_picture

    _usable(photo, out)
    read, slips = photo_from_file(photo)
    if read is not None:
        notes = _notes(arrows, rings, captions)
        size = _full_size(read)
        wrong = note_slips(*size, notes, photo.name)
        slips += wrong
        if not wrong:
            picture = noted_picture(read.pixels, _reduced(notes, read.reduced), KINDS[out.suffix.lower()])
            put(out, picture, "Picture written")
    _end(slips)


def _end(slips: Sequence[Problem]) -> None:
    for p in slips:
        click.echo(p.said, err=True)
    raise SystemExit(1 if slips else 0)


def _usable(photo: Path, out: Path) -> None:
    """A picture is never written over the photo, nor in a format that we do not write."""
    if out.suffix.lower() not in KINDS:
        raise click.UsageError(
            f"'{out.name}' is not named as a picture that is written here; end it in .jpg or .png."
        )
    try:
        same = out.samefile(photo)
    except OSError:  # one of them is not there
        same = False
    if same:
        raise click.UsageError(f"'{out.name}' is the photo itself, which stays as it is; name another file.")


def _full_size(read: Photo) -> tuple[int, int]:
    """Width and height of the upright picture in the file's own pixels."""
    rows, columns = read.pixels.shape[:2]
    return columns * read.reduced, rows * read.reduced


def _notes(arrows: Sequence[str], rings: Sequence[str], captions: Sequence[str]) -> tuple[Note, ...]:
    from wheeltapper.report.mark_picture import Arrow, Caption, Ring

    notes: list[Note] = []
    for text in arrows:
        x0, y0, x1, y1 = _numbers(text.split(","), 4, f"--arrow {text}", "X,Y,X,Y")
        notes.append(Arrow((x0, y0), (x1, y1)))
    for text in rings:
        x, y, r = _numbers(text.split(","), 3, f"--ring {text}", "X,Y,R")
        notes.append(Ring((x, y), r))
    for text in captions:
        placed = PLACED.fullmatch(text)
        if placed is None:
            notes.append(Caption(text))
            continue
        x, y = _numbers(placed.groups()[:2], 2, f"--caption {text}", "'@X,Y TEXT'")
        notes.append(Caption(placed[3], (x, y)))
    return tuple(notes)


def _numbers(texts: Sequence[str], count: int, given: str, wanted: str) -> list[float]:
    if len(texts) != count or not all(re.fullmatch(r"\s*-?\d{1,6}(\.\d{1,3})?\s*", t) for t in texts):
        raise click.UsageError(f"'{given}' is not written as {wanted}, in pixels with commas between.")
    return [float(t) for t in texts]


def _reduced(notes: Sequence[Note], by: int) -> tuple[Note, ...]:
    """The notes in the pixels of a photo that was read smaller than it is."""
    from wheeltapper.report.mark_ink import moved
    from wheeltapper.report.mark_picture import Arrow, Caption, Ring

    small: list[Note] = []
    for n in notes:
        if isinstance(n, Arrow):
            small.append(Arrow(moved(n.start, 1 / by), moved(n.tip, 1 / by)))
        elif isinstance(n, Ring):
            small.append(Ring(moved(n.middle, 1 / by), n.radius / by))
        else:
            small.append(Caption(n.text, None if n.at is None else moved(n.at, 1 / by)))
    return tuple(small)
