"""The small figure of a mark for the sheet: a piece of the photo with the line, its ends and the bar drawn as SVG.

No larger than MOST_BYTES, since a visit may have many. The words come ready; the large picture is in `mark_picture`.
"""

from __future__ import annotations

import re
from base64 import b64encode
from math import ceil
from pathlib import Path

from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.report.drawing_ink import ACCENT, INK, PAPER, SOFT, line, n, picture, stroke, words
from wheeltapper.report.mark_ink import Pixels, Point, Stroke, as_bytes, broken, fitted
from wheeltapper.report.mark_picture import Mark, cut, inked

MOST_BYTES = 60_000
PHOTO = "data:image/jpeg;base64,"
WIDTH = 340.0  # of the figure, in the units of its lettering
LARGE, SMALL = 17, 13
ROOM = 0.35  # around the line and its bar: the card is not shown
PHOTO_SIDES = (560, 480, 400, 320, 240, 160)  # pixels; the largest that is light enough is taken
QUALITIES = (80, 65, 50)
PEN = 0.55  # of the pen in the large picture
SLIM = 1.3  # the figure is no taller than so much of its width


def mark_figure(pixels: Pixels, mark: Mark) -> str:
    """A mark for the sheet.

    Args:
        pixels: the upright photo, (rows, columns, 3).
        mark: what to draw.

    Returns:
        SVG text of no more than MOST_BYTES bytes, the photo in it without any metadata.
    """
    box = cut(pixels, (*mark.line, *mark.ends, *(mark.bar or ())), ROOM)
    for side in PHOTO_SIDES:
        for quality in QUALITIES:
            drawn = _drawn(pixels, mark, box, side, quality)
            if len(drawn.encode()) <= MOST_BYTES:
                return drawn
    return drawn


def kept_figures(visit: Visit, folder: Path) -> tuple[dict[str, str], tuple[Problem, ...]]:
    """The figures that a visit names, read from the folder beside it; only what `mark_figure` makes is taken."""
    out: dict[str, str] = {}
    slips = []
    for m in (m for c in visit.corner for m in c.mark if m.figure):
        name = m.figure or ""
        try:
            text = _kept(folder, name)
        except (OSError, UnicodeDecodeError):
            text = ""
        if text.startswith("<svg") and all(h.startswith(PHOTO) for h in re.findall(r'href="([^"]*)"', text)):
            out[name] = text
        else:
            what = "is not there, or is no figure that `wheeltapper mark --figure` made"
            slips.append(Problem(name, what, "make it again, beside the visit's file."))
    return out, tuple(slips)


def _kept(folder: Path, name: str) -> str:
    """A small file of a folder, and of no other."""
    if Path(name).name != name:
        return ""
    with (folder / name).open("rb") as file:
        data = file.read(MOST_BYTES + 1)
    return "" if len(data) > MOST_BYTES else data.decode("utf-8")


def _drawn(pixels: Pixels, mark: Mark, box: tuple[int, int, int, int], side: int, quality: int) -> str:
    """The figure with its photo in one size and quality."""
    left, top, right, low = box
    photo, _ = fitted(pixels[top:low, left:right], side, 0)
    data = b64encode(as_bytes(photo, "jpeg", quality)).decode()
    scale = min(WIDTH / (right - left), SLIM * WIDTH / (low - top))
    wide, high = scale * (right - left), scale * (low - top)
    x = (WIDTH - wide) / 2
    strokes, slips = inked(mark, scale, left, top, PEN)
    body = [
        f'<image x="{n(x)}" y="0" width="{n(wide)}" height="{n(high)}" preserveAspectRatio="none" '
        f'href="{PHOTO}{data}"/>',
        f'<g transform="translate({n(x + 0.5)} 0.5)">',
        *(_path(s, halo=True) for s in strokes),
        *(_path(s) for s in strokes),
        *(_slip(at, text, wide) for at, text in slips),
        "</g>",
        stroke(line((x, 0.5), (x + wide, 0.5), (x + wide, high), (x, high), close=True), 0.6),
    ]
    y = high + 6
    rows = [(t, LARGE, INK) for t in broken(mark.length, LARGE, WIDTH - 14)]
    rows += [(t, SMALL, SOFT) for said in mark.said for t in broken(said, SMALL, WIDTH - 14)]
    start = y + 2
    for text, size, colour in rows:
        y += size * 1.3
        body.append(words(8, y - 2, text, size, colour=colour, bold=0.5 if size == LARGE else 0))
    body.append(stroke(line((1.5, start), (1.5, y)), 2, ACCENT))
    told = ". ".join((mark.length, *mark.said))
    return picture(WIDTH, ceil(y + 4), told, body)


def _path(s: Stroke, halo: bool = False) -> str:
    """A stroke of the large picture as a path."""
    width = (s.width or 0) + (2 * s.halo if halo else 0)
    return stroke(line(*s.points), width, PAPER if halo else s.colour)


def _slip(at: Point, text: str, wide: float) -> str:
    """A word on a slip of paper."""
    half = 4.0 + 3.6 * len(text)
    x = min(max(at[0], half + 1), wide - half - 1)
    sides = line(
        (x - half, at[1] - 9), (x + half, at[1] - 9), (x + half, at[1] + 9), (x - half, at[1] + 9), close=True
    )
    return stroke(sides, 0.6, INK, fill=PAPER) + words(x, at[1] + 4.5, text, SMALL, "middle")
