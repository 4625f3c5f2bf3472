"""Invented pictures for the tests of photos: where each corner has its own colour, and files that lie."""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

import numpy as np
from PIL import Image

from wheeltapper.report.mark_ink import Pixels

RED, GREEN, BLUE, WHITE = (210, 30, 30), (30, 190, 40), (30, 40, 200), (245, 245, 245)


def corners(columns: int = 240, rows: int = 180) -> Pixels:
    """Red upper left, green upper right, blue lower left, white lower right: every turn of it is told from every other."""
    out = np.zeros((rows, columns, 3), np.uint8)
    halves = (
        (slice(None, rows // 2), slice(rows // 2, None)),
        (slice(None, columns // 2), slice(columns // 2, None)),
    )
    for r, c, colour in ((0, 0, RED), (0, 1, GREEN), (1, 0, BLUE), (1, 1, WHITE)):
        out[halves[0][r], halves[1][c]] = colour
    return out


def speckled(columns: int, rows: int, seed: int = 0) -> Pixels:
    """A picture without a plain spot, smooth enough for any format."""
    dice = np.random.default_rng(seed)
    small = Image.fromarray(dice.integers(40, 216, (rows // 8 + 1, columns // 8 + 1, 3), np.uint8))
    return np.asarray(small.resize((columns, rows), Image.Resampling.BICUBIC))


def exif(turn: int = 1, **lens: Any) -> Image.Exif:
    """What a phone writes: how it was held, what it is, its lens, and where it stood."""
    tags = {
        "film": 0xA405, "focal": 0x920A, "zoom": 0xA404, "wide": 0xA002, "high": 0xA003, "density": 0xA20E,
        "unit": 0xA210, "taken": 0x9003, "offset": 0x9011,
    }  # fmt: skip
    block = Image.Exif()
    block[0x0112], block[0x010F], block[0x0110] = turn, "Maker", "Maker Phone 7"
    block.get_ifd(0x8769).update({tags[k]: v for k, v in lens.items()})
    block.get_ifd(0x8825).update({1: "N", 2: (51.0, 28.0, 38.0), 3: "W", 4: (0.0, 0.0, 5.0)})
    return block


def saved(pixels: Pixels, kind: str = "JPEG", mode: str = "RGB", **how: Any) -> bytes:
    """A picture as a file."""
    out = io.BytesIO()
    Image.fromarray(pixels).convert(mode).save(out, kind, **how)
    return out.getvalue()


def png(columns: int, rows: int, depth: int, colour: int, packed: bytes) -> bytes:
    """A PNG as its bytes, whatever it claims."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", columns, rows, depth, colour, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


def jpeg_segments(data: bytes) -> list[str]:
    """The names of a JPEG's segments before its pixels, read by the standard's own rules."""
    assert data[:2] == b"\xff\xd8"
    at, names = 2, []
    while data[at + 1] != 0xDA:
        assert data[at] == 0xFF
        code = data[at + 1]
        names.append(f"APP{code - 0xE0}" if 0xE0 <= code <= 0xEF else {0xFE: "comment"}.get(code, hex(code)))
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return names


def png_chunks(data: bytes) -> list[str]:
    """The names of a PNG's chunks."""
    at, names = 8, []
    while at < len(data):
        names.append(data[at + 4 : at + 8].decode("ascii"))
        at += 12 + int.from_bytes(data[at : at + 4], "big")
    return names
