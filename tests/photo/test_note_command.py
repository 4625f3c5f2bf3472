"""`wheeltapper note`: what is drawn and where, what is refused, and that the photo stays as it was."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from photo.pictures import GREEN, RED, corners, exif, jpeg_segments, png, saved
from wheeltapper.cli import main

pytestmark = pytest.mark.reasoned
RING = ("--ring", "60,45,30")


def run(*args: object) -> Result:
    """The command line."""
    return CliRunner().invoke(main, ["note", *map(str, args)])


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    """A phone held upright, its file lying."""
    path = tmp_path / "photo.jpg"
    path.write_bytes(saved(np.rot90(corners(180, 240)), exif=exif(6)))
    return path


def test_notes_are_drawn_on_a_copy(photo: Path, tmp_path: Path) -> None:
    """Places are those of the upright picture; the copy has no metadata, the photo is untouched."""
    before, out = photo.read_bytes(), tmp_path / "out.jpg"
    done = run(
        photo,
        "--arrow",
        "10,10,90,120",
        *RING,
        "--caption",
        "seen by T1",
        "--caption",
        "@120,200 rust",
        "--out",
        out,
    )
    made = np.asarray(Image.open(io.BytesIO(out.read_bytes()))).astype(int)
    scale, margin = 800 / 240, 16
    across, down = round(margin + 90.5 * scale), round(margin + 45.5 * scale)  # right end of the ring

    assert (done.exit_code, photo.read_bytes()) == (0, before)
    assert set(jpeg_segments(out.read_bytes())) <= {"APP0", "0xdb", "0xc0", "0xc4"}
    assert made.shape[0] > made.shape[1]
    for shift, colour in ((0, (0xB4, 0x45, 0x2C)), (-30, RED), (30, GREEN)):
        assert np.abs(made[down, across + shift] - colour).max() < 50


def test_places_in_a_large_picture_are_those_of_the_file(tmp_path: Path) -> None:
    """A picture that is read at half its sides takes places of the whole; one outside is named in them."""
    import zlib

    large, out = tmp_path / "large.png", tmp_path / "out.png"
    large.write_bytes(png(6000, 5000, 8, 0, zlib.compress((b"\0" + b"\x78" * 6000) * 5000, 1)))
    assert run(large, "--ring", "4500,2500,300", "--out", out).exit_code == 0
    made = np.asarray(Image.open(out)).astype(int)
    drawn = np.argwhere(np.abs(made - (0xB4, 0x45, 0x2C)).max(axis=2) < 8)
    middle = (drawn.min(axis=0) + drawn.max(axis=0)) / 2 - 32

    assert middle == pytest.approx([2500 / 6000 * 1600, 4500 / 6000 * 1600], abs=1)
    assert "6000 wide and 5000 high" in run(large, "--ring", "6001,5,10", "--out", out).stderr


def test_problems_are_sentences(photo: Path, tmp_path: Path) -> None:
    """Exit 1, a sentence each, no picture, no traceback."""
    text, out = tmp_path / "text.jpg", tmp_path / "out.png"
    text.write_text("no picture at all")
    for args, says in (
        ((text, *RING), "no picture that can be read"),
        ((tmp_path / "missing.jpg", *RING), "cannot be opened"),
        ((photo, "--arrow", "5,5,500,5"), "lies outside the picture"),
        ((photo, "--caption", ""), "empty or too long"),
    ):
        done = run(*args, "--out", out)
        assert done.exit_code == 1, args
        assert says in done.stderr
        assert "To do:" in done.stderr
        assert "Traceback" not in done.output
        assert not out.exists()


def test_misuse_is_told(photo: Path, tmp_path: Path) -> None:
    """Over the photo itself, by another name too; another kind of file; places that are none; nowhere to write."""
    before = photo.read_bytes()
    (tmp_path / "link.jpg").symlink_to(photo)
    for args, says in (
        ((*RING, "--out", photo), "the photo itself"),
        ((*RING, "--out", tmp_path / "link.jpg"), "the photo itself"),
        ((*RING, "--out", tmp_path / "out.gif"), ".jpg or .png"),
        (("--ring", "5,5", "--out", tmp_path / "o.png"), "X,Y,R"),
        (("--ring", "5,5,nan", "--out", tmp_path / "o.png"), "X,Y,R"),
        (("--arrow", "1;2;3;4", "--out", tmp_path / "o.png"), "X,Y,X,Y"),
        (("--caption", "@a,b words", "--out", tmp_path / "o.png"), "@X,Y TEXT"),
        ((*RING, "--out", tmp_path / "no" / "o.png"), "cannot be written"),
    ):
        done = run(photo, *args)
        assert done.exit_code in (1, 2), args
        assert says in done.stderr
    assert photo.read_bytes() == before
