"""What decodes a stranger's photo, inside the closed booth: from an open file to upright red, green and blue.

Sizes that a file claims are looked at before anything is unpacked. Names and endings are not believed, only the first
bytes. Where the photo was taken, by whom and its small preview are never read. Imports nothing of this product.
"""

from __future__ import annotations

import io
import re
import struct
import warnings
from math import isfinite
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from PIL import Image

MOST_FILE_BYTES = 300_000_000
MOST_PIXELS = 28_000_000  # kept; a larger photo is read at a half, a quarter or an eighth of its sides
MOST_PIXELS_JPEG = 220_000_000  # of the file: a JPEG is unpacked small from the start
MOST_PIXELS_OTHER = 110_000_000  # others are unpacked whole first
LEAST_SIDE = 100  # pixels
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF", "BMP", "GIF")
STILLS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"avif", b"avis")
RAW_TAG = 50706  # of a sensor's raw picture in a TIFF
DEEP = ("I;16", "I;16L", "I;16B", "I;16N", "I")  # grey of 16 bits
PLAIN = ("1", "L", "RGB", "CMYK", "YCbCr", "HSV", "P", "RGBX")
TURN, MAKE, MODEL, LENS_BLOCK, TAKEN, OFFSET = 0x0112, 0x010F, 0x0110, 0x8769, 0x9003, 0x9011
LENS = {
    "focal_mm": 0x920A, "film_mm": 0xA405, "zoom": 0xA404, "wide": 0xA002, "high": 0xA003, "density": 0xA20E,
    "density_unit": 0xA210,
}  # fmt: skip
PAPER = (255, 255, 255)  # under what is transparent
BROKEN = (
    OSError, SyntaxError, ValueError, EOFError, KeyError, IndexError, TypeError, AttributeError, ZeroDivisionError,
    OverflowError, RuntimeError, struct.error,
)  # fmt: skip


class Unusable(Exception):  # noqa: N818 - it is no error of ours
    """Why the file cannot be used, in one of the words that the other side knows."""


def ready() -> None:
    """Load what decoding needs, while files can still be opened: one of each kind is made and decoded."""
    import numpy as np  # noqa: F401
    from PIL import Image, MpoImagePlugin, TiffImagePlugin, WebPImagePlugin  # noqa: F401 - other kinds are known

    Image.MAX_IMAGE_PIXELS = None  # we count ourselves, before unpacking
    warnings.simplefilter("ignore")
    exif = Image.Exif()
    exif[TURN] = 6
    for kind in FORMATS:
        sample = io.BytesIO()
        Image.new("RGB", (LEAST_SIDE, LEAST_SIDE)).save(sample, kind, exif=exif)
        decoded(io.BytesIO(sample.getvalue()))


def decoded(file: Any) -> tuple[dict[str, Any], bytes]:
    """Decode the first picture of an open file.

    Args:
        file: a binary file that can be read.

    Returns:
        What is to be told: rows, columns, reduced, turned, moving, taken, camera, and the numbers of LENS; and the pixels, row by row.

    Raises:
        Unusable: there is no picture to be had.
    """
    from PIL import Image

    data = file.read(MOST_FILE_BYTES + 1)
    if len(data) > MOST_FILE_BYTES:
        raise Unusable("too large")
    _known(data[:16])
    try:
        with Image.open(io.BytesIO(data), formats=FORMATS) as image:
            return _read(image)
    except BROKEN as slip:
        raise Unusable("unreadable") from slip


def _known(start: bytes) -> None:
    """Name the two kinds that phones send and that cannot be read: their own still format, and videos."""
    if start[4:8] == b"ftyp":
        raise Unusable("phone's own" if start[8:12] in STILLS else "video")


def _read(image: Image.Image) -> tuple[dict[str, Any], bytes]:
    """The pixels of an opened picture, upright, and what is to be told of it."""
    import numpy as np

    columns, rows = image.size
    if min(columns, rows) < LEAST_SIDE:
        raise Unusable("small")
    if columns * rows > (MOST_PIXELS_JPEG if _is_jpeg(image) else MOST_PIXELS_OTHER):
        raise Unusable("too large")
    if RAW_TAG in getattr(image, "tag_v2", ()):
        raise Unusable("raw")
    moving = not _is_jpeg(image) and bool(getattr(image, "is_animated", False))
    told, turn = _said(image)
    small, reduced = _unpacked(image, columns, rows)
    turned_by_reader = image.format == "TIFF"  # this kind comes upright from its reader
    pixels = np.ascontiguousarray(upright(np.asarray(small), 1 if turned_by_reader else turn))
    told |= {"rows": pixels.shape[0], "columns": pixels.shape[1], "reduced": reduced, "moving": moving}
    return told | {"turned": turn != 1}, pixels.tobytes()


def _is_jpeg(image: Image.Image) -> bool:
    return image.format in (
        "JPEG",
        "MPO",
    )  # the second is a photo with smaller ones for the phone's own use behind it


def _unpacked(image: Image.Image, columns: int, rows: int) -> tuple[Image.Image, int]:
    """The picture in red, green and blue, of no more than MOST_PIXELS, and by how much its sides were divided."""
    reduced = 1
    while -(-columns // reduced) * -(-rows // reduced) > MOST_PIXELS:
        reduced *= 2
    if reduced > 1 and _is_jpeg(image) and image.mode in ("L", "RGB", "YCbCr"):
        image.draft("RGB", (columns // reduced, rows // reduced))
    image.load()
    left = round(columns / image.size[0]) if _is_jpeg(image) else 1  # what the draft has done of it
    plain = _red_green_blue(
        image if left >= reduced or image.mode in DEEP else _smaller(image, reduced // left)
    )
    if image.mode in DEEP and reduced > left:
        plain = plain.reduce(reduced // left)
    return plain, max(reduced, left)


def _smaller(image: Image.Image, by: int) -> Image.Image:
    """A picture reduced by whole pixels; a palette is spelled out first."""
    return (image.convert("RGBA") if image.mode in ("P", "PA") else image).reduce(by)


def _red_green_blue(image: Image.Image) -> Image.Image:
    """Any kind of pixel as eight bits of red, green and blue; what is transparent lies on white paper."""
    import numpy as np
    from PIL import Image as Pillow

    if image.mode in DEEP:
        full = np.clip(np.asarray(image), 0, 65535).astype(np.uint16)
        return Pillow.fromarray((full >> 8).astype(np.uint8)).convert("RGB")
    if image.mode in ("LA", "La", "PA", "RGBA", "RGBa") or "transparency" in image.info:
        clear = image.convert("RGBA")
        paper = Pillow.new("RGB", clear.size, PAPER)
        paper.paste(clear, mask=clear.getchannel("A"))
        return paper
    if image.mode not in PLAIN:
        raise Unusable("strange")
    return image.convert("RGB")


def upright(pixels: np.ndarray, turn: int) -> np.ndarray:
    """Turn a picture as its EXIF orientation asks: first over the diagonal, then left to right, then top to bottom.

    Args:
        pixels: (rows, columns, 3).
        turn: 1 to 8; 1 is upright already.

    Returns:
        The picture as it was seen, (rows, columns, 3) or (columns, rows, 3).
    """
    over, across, down = {
        1: (0, 0, 0), 2: (0, 1, 0), 3: (0, 1, 1), 4: (0, 0, 1), 5: (1, 0, 0), 6: (1, 1, 0), 7: (1, 1, 1), 8: (1, 0, 1),
    }[turn]  # fmt: skip
    seen = pixels.swapaxes(0, 1) if over else pixels
    return seen[:: -1 if down else 1, :: -1 if across else 1]


def _said(image: Image.Image) -> tuple[dict[str, Any], int]:
    """What a picture says of itself and how it was held; before its pixels are unpacked."""
    first: dict[int, Any] = {}
    lens: dict[int, Any] = {}
    try:
        exif = image.getexif()
        first = dict(exif)
        lens = dict(exif.get_ifd(LENS_BLOCK))
    except BROKEN:  # what was read so far stands
        pass
    turn = first.get(TURN, 1)
    names = [_text(first.get(MAKE)), _text(first.get(MODEL))]
    camera = names[1] if names[1].casefold().startswith(names[0].casefold()) else " ".join(names)
    told: dict[str, Any] = {name: _number(lens.get(tag)) for name, tag in LENS.items()}
    told |= {"taken": _time(lens), "camera": camera.strip()}
    return told, turn if isinstance(turn, int) and 1 <= turn <= 8 else 1


def _number(value: Any) -> float:
    """A number that may stand there as a fraction, as text or broken; zero where it is none."""
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return 0.0
    return number if isfinite(number) else 0.0


def _text(value: Any) -> str:
    """A short name without anything that is no letter."""
    text = value.decode("ascii", "ignore") if isinstance(value, bytes) else value
    if not isinstance(text, str):
        return ""
    return " ".join("".join(c if c.isprintable() else " " for c in text[:60]).split())


def _time(lens: dict[int, Any]) -> str:
    """When the picture was taken, by the camera's clock, with its offset where it says so."""
    at = re.fullmatch(r"(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)", _text(lens.get(TAKEN)))
    if at is None or at[1] == "0000":
        return ""
    offset = _text(lens.get(OFFSET))
    return f"{at[1]}-{at[2]}-{at[3]} {at[4]}" + (
        f" {offset}" if re.fullmatch(r"[+-]\d\d:\d\d", offset) else ""
    )
