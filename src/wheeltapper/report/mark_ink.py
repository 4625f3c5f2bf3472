"""Pen, paper and lettering for pictures made of photos: smooth lines on pixels, a frame, and bytes without any metadata.

Knows nothing of marks or cards. What is not under the pen keeps the photo's own pixels.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from math import atan2, ceil, cos, hypot, pi, sin
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from wheeltapper.report.drawing_ink import ACCENT, INK, PAPER
from wheeltapper.report.lettering import printable

Pixels = NDArray[np.uint8]  # (rows, columns, 3)
Point = tuple[float, float]  # column, row; whole numbers are the middles of pixels
FONTS = Path(__file__).parent / "fonts"
MOST_SIDE, LEAST_SIDE = 1600, 800  # pixels of the longer side of a finished picture, without its frame
SMOOTH = 3  # a line is drawn so much larger and brought down
QUALITY = 88
LEADING = 1.28


@dataclass(frozen=True)
class Stroke:
    """A line through points, or a filled area where the width is none."""

    points: tuple[Point, ...]
    width: float | None
    colour: str = INK
    halo: float = 0.0  # paper on both sides


def on(picture: Image.Image, strokes: Sequence[Stroke]) -> Image.Image:
    """Draw strokes, each over those before it; a halo lies under all of them.

    Args:
        picture: red, green and blue.
        strokes: in its pixels.

    Returns:
        A new picture.
    """
    out = picture.copy()
    for s in strokes:
        if s.halo and s.width is not None:
            _laid(out, Stroke(s.points, s.width + 2 * s.halo, PAPER))
    for s in strokes:
        _laid(out, s)
    return out


def _laid(picture: Image.Image, s: Stroke) -> None:
    """One stroke, on the piece of the picture that it touches."""
    reach = (s.width or 0) / 2 + 2
    xs, ys = [p[0] for p in s.points], [p[1] for p in s.points]
    left, top = max(0, int(min(xs) - reach)), max(0, int(min(ys) - reach))
    right, low = min(picture.width, ceil(max(xs) + reach) + 1), min(picture.height, ceil(max(ys) + reach) + 1)
    if left >= right or top >= low:
        return
    mask = Image.new("L", ((right - left) * SMOOTH, (low - top) * SMOOTH))
    pen = ImageDraw.Draw(mask)
    points = [((x - left + 0.5) * SMOOTH - 0.5, (y - top + 0.5) * SMOOTH - 0.5) for x, y in s.points]
    if s.width is None:
        pen.polygon(points, fill=255)
    else:
        r = s.width * SMOOTH / 2
        pen.line(points, fill=255, width=max(1, round(2 * r)))
        for x, y in points:
            pen.ellipse((x - r, y - r, x + r, y + r), fill=255)
    picture.paste(s.colour, (left, top, right, low), mask.reduce(SMOOTH))


def ring(middle: Point, radius: float, width: float, colour: str = ACCENT, halo: float = 0.0) -> Stroke:
    """A circle."""
    steps = max(24, ceil(radius))
    turns = [2 * pi * i / steps for i in range(steps + 1)]
    return Stroke(
        tuple((middle[0] + radius * cos(t), middle[1] + radius * sin(t)) for t in turns), width, colour, halo
    )


def arrow(start: Point, tip: Point, width: float, colour: str = ACCENT, halo: float = 0.0) -> list[Stroke]:
    """A shaft and an open head whose tip touches the second point."""
    turn, long = atan2(tip[1] - start[1], tip[0] - start[0]), hypot(tip[0] - start[0], tip[1] - start[1])
    head = min(6 * width, 0.5 * long)
    wings = [(tip[0] - head * cos(turn + w), tip[1] - head * sin(turn + w)) for w in (0.45, -0.45)]
    return [
        Stroke((start, tip), width, colour, halo),
        Stroke((wings[0], tip, wings[1]), width, colour, halo),
    ]


@cache
def lettering(size: int) -> ImageFont.FreeTypeFont:
    """Our letters in a size [px]."""
    return ImageFont.truetype(FONTS / "routed-gothic.ttf", size, layout_engine=ImageFont.Layout.BASIC)


def shown(text: str) -> str:
    """A text in letters that we have, on one line."""
    return " ".join(printable(text).replace("\u200b", " ").split())


def broken(text: str, size: int, width: float) -> tuple[str, ...]:
    """A text as lines no wider than asked; a word that is wider alone is cut."""
    font, lines = lettering(size), [""]
    for word in shown(text).split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if font.getlength(longer) <= width:
            lines[-1] = longer
            continue
        lines.append(word)
        while font.getlength(lines[-1]) > width and len(lines[-1]) > 1:
            fits = next(
                i
                for i in range(len(lines[-1]) - 1, 0, -1)
                if i == 1 or font.getlength(lines[-1][:i]) <= width
            )
            lines[-1:] = [lines[-1][:fits], lines[-1][fits:]]
    return tuple(line for line in lines if line)


def letter(
    picture: Image.Image,
    at: Point,
    said: str,
    size: int,
    colour: str = INK,
    anchor: str = "ls",
    bold: float = 0,
) -> None:
    """Write one line; drawing letters have one line width, so bold [px] thickens the pen."""
    ImageDraw.Draw(picture).text(
        at, said, colour, lettering(size), anchor, stroke_width=bold, stroke_fill=colour
    )


def label(picture: Image.Image, at: Point, lines: Sequence[str], size: int) -> None:
    """Lines of text on a slip of paper with an ink edge, its middle as near a point as the picture allows."""
    gap, font = round(0.5 * size), lettering(size)
    wide = ceil(max(font.getlength(line) for line in lines)) + 2 * gap
    high = ceil(size * LEADING * (len(lines) - 1) + size) + round(1.3 * gap)
    left = round(min(max(at[0] - wide / 2, 2), max(2, picture.width - wide - 3)))
    top = round(min(max(at[1] - high / 2, 2), max(2, picture.height - high - 3)))
    pen = ImageDraw.Draw(picture)
    pen.rectangle((left, top, left + wide, top + high), PAPER, INK, max(1, round(size / 18)))
    for i, line in enumerate(lines):
        letter(picture, (left + gap, top + gap + size * (0.76 + LEADING * i)), line, size)


def framed(picture: Image.Image, write: Callable[[Image.Image, int, int], None], foot: int) -> Image.Image:
    """A picture on warm paper with a thin ink edge, and room below that `write(sheet, left, top)` fills."""
    margin = round(max(picture.size) / 50)
    sheet = Image.new("RGB", (picture.width + 2 * margin, picture.height + 2 * margin + foot), PAPER)
    sheet.paste(picture, (margin, margin))
    box = (margin - 1, margin - 1, margin + picture.width, margin + picture.height)
    ImageDraw.Draw(sheet).rectangle(box, outline=INK)
    write(sheet, margin, margin + picture.height)
    return sheet


def fitted(pixels: Pixels, most: int = MOST_SIDE, least: int = LEAST_SIDE) -> tuple[Image.Image, float]:
    """A photo whose longer side is between `least` and `most` [px], and what its sides were multiplied by."""
    picture = Image.fromarray(pixels)
    longer = max(picture.size)
    scale = min(most / longer, max(1.0, least / longer))
    if scale == 1.0:
        return picture, scale
    size = (max(1, round(picture.width * scale)), max(1, round(picture.height * scale)))
    return picture.resize(size, Image.Resampling.LANCZOS), scale


def moved(p: Point, scale: float, left: float = 0, top: float = 0) -> Point:
    """A point of a photo in the picture that was cut from it at (left, top) and then resized."""
    return (p[0] - left + 0.5) * scale - 0.5, (p[1] - top + 0.5) * scale - 0.5


def as_bytes(picture: Image.Image, kind: str = "jpeg", quality: int = QUALITY) -> bytes:
    """A picture as JPEG or PNG: pixels alone, neither place nor time nor camera nor comment.

    Args:
        picture: red, green and blue.
        kind: jpeg or png.
        quality: of a jpeg.

    Returns:
        The file's bytes, the same on every run.
    """
    bare = Image.fromarray(np.asarray(picture.convert("RGB")))  # nothing that came with the file comes along
    out = io.BytesIO()
    if kind == "png":
        bare.save(out, "PNG")
    else:
        bare.save(out, "JPEG", quality=quality, subsampling=0, optimize=True)
    return out.getvalue()
