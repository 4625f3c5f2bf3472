"""Picture files as they come: every kind that phones send, every way to hold one, and every way to send rubbish."""

from __future__ import annotations

import hashlib
import io
import os
import struct
import zlib
from math import hypot
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from peak import told_and_peak
from photo.pictures import BLUE, GREEN, RED, WHITE, corners, exif, png, saved, speckled
from wheeltapper.photo import Photo, photo_from_file
from wheeltapper.photo.decoder import MOST_PIXELS
from wheeltapper.report.mark_ink import Pixels

# The standard's table of orientations (CIPA DC-008, recalled): of which sides of the scene the file's first row and first
# column are, as steps of numpy from the scene to the file.
LAID = {
    1: lambda p: p,
    2: np.fliplr,
    3: lambda p: np.rot90(p, 2),
    4: np.flipud,
    5: lambda p: np.transpose(p, (1, 0, 2)),
    6: lambda p: np.rot90(p, 1),
    7: lambda p: np.rot90(np.transpose(p, (1, 0, 2)), 2),
    8: lambda p: np.rot90(p, -1),
}


def read(tmp_path: Path, data: bytes, name: str = "photo") -> Photo:
    """A picture without a Problem."""
    (tmp_path / name).write_bytes(data)
    photo, problems = photo_from_file(tmp_path / name)
    assert problems == ()
    assert photo is not None
    return photo


def refused(path: Path) -> str:
    """What is said of a file that cannot be used; every Problem says what to do."""
    photo, problems = photo_from_file(path)
    assert photo is None
    assert [p.where for p in problems] == [path.name]
    assert problems[0].do.endswith(".")
    return problems[0].what


def peak_kb(folder: Path) -> int:
    """Peak memory of what decodes the files of a folder."""
    _, peak = told_and_peak(
        "from wheeltapper.photo import photo_from_file\n"
        "told = [len(photo_from_file(p)[1]) for p in sorted(Path(sys.argv[1]).iterdir())]",
        folder,
    )
    return peak


def off(photo: Photo, scene: Pixels) -> float:
    """Mean difference in levels of 255."""
    return (
        float(np.abs(photo.pixels.astype(float) - scene).mean())
        if photo.pixels.shape == scene.shape
        else 255.0
    )


@pytest.mark.second_way
@pytest.mark.parametrize("turn", range(1, 9))
def test_every_way_to_hold_a_phone(tmp_path: Path, turn: int) -> None:
    """The file's rows as the standard's table has them, by numpy's own turns; the scene comes back upright."""
    scene = corners()
    laid = np.ascontiguousarray(LAID[turn](scene))
    for kind in ("JPEG", "PNG", "WEBP", "TIFF") if turn in (6, 7) else ("JPEG",):
        photo = read(tmp_path, saved(laid, kind, exif=exif(turn)), kind)
        assert off(photo, scene) < 3, kind
        assert photo.turned == (turn != 1)


@pytest.mark.reasoned
def test_the_phone_held_upright(tmp_path: Path) -> None:
    """Orientation 6 as CIPA DC-008 words it (recalled): the first row of the file is the right side of the scene, its first column the top."""
    photo = read(tmp_path, saved(corners(), exif=exif(6)))
    seen = [tuple(photo.pixels[r, c] // 16) for r, c in ((2, -3), (-3, -3), (2, 2), (-3, 2))]

    assert photo.pixels.shape == (240, 180, 3)
    assert seen == [tuple(x // 16 for x in colour) for colour in (RED, GREEN, BLUE, WHITE)]


KINDS: list[tuple[str, str, dict[str, Any], float]] = [
    ("JPEG", "RGB", {"quality": 95}, 3),
    ("JPEG", "RGB", {"quality": 95, "progressive": True}, 3),
    ("JPEG", "CMYK", {"quality": 95}, 6),
    ("PNG", "RGB", {}, 0),
    ("PNG", "RGBA", {}, 0),
    ("PNG", "P", {}, 25),
    ("WEBP", "RGB", {"lossless": True}, 0),
    ("WEBP", "RGBA", {"lossless": True}, 0),
    ("TIFF", "RGB", {}, 0),
    ("TIFF", "CMYK", {}, 1),
    ("TIFF", "RGB", {"compression": "tiff_lzw"}, 0),
    ("TIFF", "RGB", {"compression": "jpeg", "quality": 95}, 3),
    ("BMP", "RGB", {}, 0),
    ("GIF", "P", {}, 25),
]


@pytest.mark.reasoned
@pytest.mark.parametrize(
    ("kind", "mode", "how", "most"), KINDS, ids=[f"{k[0]} {k[1]} {i}" for i, k in enumerate(KINDS)]
)
def test_every_kind_is_read(tmp_path: Path, kind: str, mode: str, how: dict[str, Any], most: float) -> None:
    """The same scene out of every kind, to what the kind itself loses; the name's ending is not believed."""
    scene = speckled(200, 152)
    data = saved(scene, kind, mode, **how)
    photo = read(tmp_path, data, "wrong.heic")

    assert off(photo, scene) <= most
    assert photo.sha256 == hashlib.sha256(data).hexdigest()
    assert photo.size_bytes == len(data)
    assert (tmp_path / "wrong.heic").read_bytes() == data
    assert not photo.pixels.flags.writeable


@pytest.mark.reasoned
def test_grey_of_one_eight_and_sixteen_bits(tmp_path: Path) -> None:
    """Grey becomes three equal channels; of sixteen bits the upper eight stay."""
    grey = speckled(160, 120)[:, :, 0]
    deep = Image.fromarray(grey.astype(np.uint16) * 256 + 77)
    for kind in ("PNG", "TIFF"):
        out = io.BytesIO()
        deep.save(out, kind)
        assert off(read(tmp_path, out.getvalue(), kind), np.stack([grey] * 3, -1)) == 0
    assert off(read(tmp_path, saved(grey, "PNG", "L")), np.stack([grey] * 3, -1)) == 0
    bits = read(tmp_path, saved(grey, "PNG", "1"))
    assert set(np.unique(bits.pixels)) == {0, 255}


@pytest.mark.reasoned
def test_what_is_clear_lies_on_white(tmp_path: Path) -> None:
    """No alpha at all: white; half of it over black: the middle."""
    see = np.zeros((120, 160, 4), np.uint8)
    see[:, 80:, 3] = 128
    photo = read(tmp_path, saved(see, "PNG", "RGBA"))

    assert (photo.pixels[:, :80] == 255).all()
    assert np.abs(photo.pixels[:, 80:].astype(int) - 127).max() <= 1


@pytest.mark.reasoned
@pytest.mark.parametrize("kind", ["GIF", "WEBP", "TIFF", "PNG"])
def test_of_moving_pictures_the_first(tmp_path: Path, kind: str) -> None:
    """The first frame, and a Problem that says so."""
    first, second = corners(), corners()[::-1]
    out = io.BytesIO()
    Image.fromarray(first).save(out, kind, save_all=True, append_images=[Image.fromarray(second)])
    (tmp_path / "moving").write_bytes(out.getvalue())
    photo, problems = photo_from_file(tmp_path / "moving")

    assert photo is not None
    assert off(photo, first) < 12
    assert "only the first" in problems[0].what


@pytest.mark.reasoned
def test_48_megapixels(tmp_path: Path) -> None:
    """Read at half its sides, in little memory: places, shades and the focal length are those of the small picture."""
    scene = corners(8064, 6048)
    data = saved(scene, quality=80, exif=exif(6, film=26))
    photo = read(tmp_path, data)

    assert photo.pixels.shape == (4032, 3024, 3)
    assert photo.reduced == 2
    assert photo.pixels.size <= 3 * MOST_PIXELS
    assert tuple(photo.pixels[10, -10] // 16) == tuple(x // 16 for x in RED)
    assert photo.focal_px == pytest.approx(26 / 43.27 * hypot(4032, 3024), rel=1e-3)
    assert peak_kb(tmp_path) < 900_000


@pytest.mark.reasoned
def test_a_large_png_is_made_smaller_too(tmp_path: Path) -> None:
    """Grey PNG of 30 megapixels: means of two by two."""
    rows, columns = 5000, 6000
    line = b"\0" + bytes([40, 80] * (columns // 2))
    photo = read(tmp_path, png(columns, rows, 8, 0, zlib.compress(line * rows, 1)))

    assert photo.pixels.shape == (2500, 3000, 3)
    assert (photo.pixels == 60).all()


@pytest.mark.reasoned
def test_what_a_phone_says_of_itself(tmp_path: Path) -> None:
    """Time, camera and lens; nothing where it says nothing; damage in it does not spoil the picture."""
    said = read(
        tmp_path, saved(corners(), exif=exif(1, film=26, taken="2026:03:04 10:11:12", offset="+02:00"))
    )
    bare = read(tmp_path, saved(corners()))
    odd = read(tmp_path, saved(corners(), exif=exif(9, taken="yesterday\x07")))
    broken = saved(corners(), exif=b"Exif\0\0MM\0*\0\0\0\x08\xff\xff" + b"\x11" * 80)

    assert (said.taken, said.camera) == ("2026-03-04 10:11:12 +02:00", "Maker Phone 7")
    assert said.focal_px == pytest.approx(26 / 43.27 * 300, rel=1e-3)
    assert (bare.taken, bare.camera, bare.focal_px, bare.turned) == ("", "", None, False)
    assert (odd.taken, odd.turned) == ("", False)
    assert off(read(tmp_path, broken), corners()) < 3


def hostile() -> dict[str, tuple[bytes, str]]:
    """Files that are none, or lie."""
    good = saved(speckled(400, 300), quality=90)
    bomb = png(50_000, 50_000, 1, 0, zlib.compress(b"\0" * 6251, 9))
    return {
        "empty.jpg": (b"", "empty"),
        "text.jpg": (b"drum, curb side, photo follows\n" * 40, "no picture"),
        "one pixel.png": (saved(corners(2, 2), "PNG"), "under 100 pixels"),
        "slim.png": (saved(speckled(4000, 16), "PNG"), "under 100 pixels"),
        "cut.jpg": (good[: len(good) // 2], "no picture"),
        "cut.png": (saved(speckled(400, 300), "PNG")[:9000], "no picture"),
        "cut.webp": (saved(speckled(400, 300), "WEBP")[:900], "no picture"),
        "cut.tif": (saved(speckled(400, 300), "TIFF")[:9000], "no picture"),
        "cut.gif": (saved(speckled(400, 300), "GIF", "P")[:3000], "no picture"),
        "cut.bmp": (saved(speckled(400, 300), "BMP")[:3000], "no picture"),
        "bomb.png": (bomb, "larger than any"),
        "bomb in bounds.png": (png(10_000, 10_900, 16, 6, zlib.compress(b"\0" * 9000, 9)), "no picture"),
        "more than it says.png": (png(200, 200, 8, 2, zlib.compress(b"\7" * 300, 9)), "no picture"),
        "lying.jpg": (good.replace(struct.pack(">HH", 300, 400), struct.pack(">HH", 65000, 65000), 1), "larger"),
        "lying.bmp": (b"BM" + struct.pack("<IIIIiiHHIIIIII", 90, 0, 54, 40, 9000, -9000, 1, 24, 0, 0, 0, 0, 0, 0), "no picture"),
        "phone.heic": (b"\0\0\0\x18ftypheic" + b"\0" * 300, "phone's own"),
        "clip.jpg": (b"\0\0\0\x18ftypisom" + b"\0" * 300, "video"),
        "drawing.jpg": (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 200 200\n", "no picture"),
        "drawing.svg": (b"<svg xmlns='http://www.w3.org/2000/svg'><image href='/etc/hostname'/></svg>", "no picture"),
    }  # fmt: skip


@pytest.mark.reasoned
@pytest.mark.parametrize("name", list(hostile()))
def test_what_is_no_photo(tmp_path: Path, name: str) -> None:
    """A Problem each."""
    data, says = hostile()[name]
    (tmp_path / name).write_bytes(data)

    assert says in refused(tmp_path / name)


@pytest.mark.reasoned
def test_hostile_files_take_little_memory(tmp_path: Path) -> None:
    """All of them, one after the other."""
    for name, (data, _) in hostile().items():
        (tmp_path / name).write_bytes(data)

    assert peak_kb(tmp_path) < 900_000


@pytest.mark.reasoned
def test_what_is_no_file(tmp_path: Path) -> None:
    """Nothing there, a folder, a pipe that nobody writes to, a file larger than any photo."""
    os.mkfifo(tmp_path / "pipe.jpg")
    with (tmp_path / "huge.jpg").open("wb") as file:
        file.truncate(2_000_000_000)

    assert "cannot be opened" in refused(tmp_path / "missing.jpg")
    assert "cannot be opened (Is a directory)" in refused(tmp_path)
    assert "not a file" in refused(tmp_path / "pipe.jpg")
    assert "larger than any" in refused(tmp_path / "huge.jpg")


@pytest.mark.reasoned
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "GIF"])
def test_damaged_bytes(tmp_path: Path, kind: str) -> None:
    """Bytes changed by chance all over: a picture or a Problem, never an error."""
    dice = np.random.default_rng(7)
    for _ in range(2):
        data = np.frombuffer(saved(speckled(240, 180), kind, exif=exif(6)), np.uint8).copy()
        at = dice.integers(0, len(data), 12)
        data[at] = dice.integers(0, 256, len(at))
        (tmp_path / kind).write_bytes(data.tobytes())
        photo, problems = photo_from_file(tmp_path / kind)
        assert photo is not None or len(problems) == 1
