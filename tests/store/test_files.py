"""Photos and sounds are kept whole or not at all, once, under their hash."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest
from django.conf import LazySettings

from store.sample import entry
from wheeltapper.problems import Problem
from wheeltapper.store import files, keep
from wheeltapper.store.find import broken_originals
from wheeltapper.store.models import Original

pytestmark = [pytest.mark.django_db, pytest.mark.reasoned]
JPEG = b"\xff\xd8\xff\xe0" + bytes(range(256)) * 20


@pytest.fixture(autouse=True)
def folder(settings: LazySettings, tmp_path: Path) -> Path:
    """A shop folder of its own."""
    settings.SHOP_FOLDER = tmp_path
    return tmp_path


def lying(folder: Path) -> list[str]:
    """Every file there, by name."""
    return sorted(p.name for p in folder.rglob("*") if p.is_file())


def kept(*pieces: bytes) -> Original:
    """What must be kept."""
    made = files.kept(pieces)
    assert isinstance(made, Original), made
    return made


def test_kept_as_it_came(folder: Path) -> None:
    made = kept(JPEG[:1], JPEG[1:5], JPEG[5:])
    assert made.sha256 == sha256(JPEG).hexdigest()
    assert (files.path_of(made).read_bytes(), made.kind, made.size) == (JPEG, "photo", len(JPEG))
    assert lying(folder) == [f"{made.sha256}.jpg"]


def test_the_same_file_is_one(folder: Path) -> None:
    assert kept(JPEG) == kept(JPEG)
    assert Original.objects.count() == len(lying(folder)) == 1
    files.path_of(kept(JPEG)).unlink()
    assert files.path_of(kept(JPEG)).read_bytes() == JPEG  # one that was lost comes back


def test_half_a_file_gets_no_name(folder: Path) -> None:
    def broken_off() -> Iterator[bytes]:
        yield JPEG
        raise ConnectionError

    with pytest.raises(ConnectionError):
        files.kept(broken_off())
    assert lying(folder) == []
    assert not Original.objects.exists()


def test_a_full_disk_is_told_and_leaves_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    slip = files.kept([JPEG])
    assert isinstance(slip, Problem)
    assert "no space left" in slip.what
    assert lying(folder) == []


@pytest.mark.parametrize(
    "data, said",
    [
        (b"", "empty"), (b"GIF89a" + bytes(50), "neither"), (b"<svg onload=x>" + bytes(50), "neither"), (b"%PDF-1.7" + bytes(50), "neither"),
        (b"\xff\xd8", "neither"), (b"ffconcat version 1.0\nfile /etc/passwd", "neither"), (b"RIFF\0\0\0\0AVI " + bytes(50), "neither"),
        (bytes(8) + b"WAVE" + bytes(50), "neither"), (b"\0\0\0\x18ftypheic" + bytes(50), "HEIC"), (b"\0\0\0\x18ftypavif" + bytes(50), "AVIF"),
    ],
)  # fmt: skip
def test_what_is_neither_photo_nor_sound_is_refused(folder: Path, data: bytes, said: str) -> None:
    slip = files.kept([data])
    assert isinstance(slip, Problem)
    assert said in slip.what
    assert lying(folder) == []


@pytest.mark.parametrize(
    "data, kind, ending",
    [
        (b"\x89PNG\r\n\x1a\n", "photo", "png"), (b"RIFF\x10\0\0\0WEBPVP8 ", "photo", "webp"), (b"RIFF\x10\0\0\0WAVEfmt ", "sound", "wav"),
        (b"fLaC", "sound", "flac"), (b"OggS", "sound", "ogg"), (b"\x1aE\xdf\xa3", "sound", "webm"), (b"caff", "sound", "caf"),
        (b"ID3", "sound", "mp3"), (b"\xff\xf3", "sound", "mp3"), (b"\xff\xf1", "sound", "aac"), (b"#!AMR\n", "sound", "amr"),
        (b"\0\0\0\x1cftypM4A ", "sound", "mp4"), (b"\0\0\0\x14ftypqt  ", "sound", "mp4"), (b"\0\0\0\x14ftyp3gp4", "sound", "mp4"),
    ],
)  # fmt: skip
def test_the_kind_is_told_by_content(data: bytes, kind: str, ending: str) -> None:
    made = kept(data + bytes(100))
    assert (made.kind, made.ending) == (kind, ending)


def test_too_large_is_refused_while_it_comes(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "MOST_BYTES", 3 * len(JPEG))
    came = 0

    def endless() -> Iterator[bytes]:
        nonlocal came
        while came < 100:
            came += 1
            yield JPEG

    slip = files.kept(endless())
    assert isinstance(slip, Problem)
    assert "over" in slip.what
    assert (came, lying(folder)) == (4, [])
    kept(JPEG, JPEG, JPEG)


def test_what_was_half_written_long_ago_is_swept(folder: Path) -> None:
    kept(JPEG)
    for name, age in (("old.part", 2 * files.LEFT_OVER_S), ("new.part", 0)):
        part = folder / "originals" / name
        part.write_bytes(b"half")
        os.utime(part, times=(time.time() - age,) * 2)
    assert files.swept() == 1
    assert "new.part" in lying(folder)
    assert "old.part" not in lying(folder)


def test_a_changed_or_missing_original_is_told() -> None:
    one, two = kept(JPEG), kept(JPEG, b"more")
    visit = keep.open_visit()
    keep.add(visit, [entry({"sha256": one.sha256}, kind="photo")], "d")
    assert not list(broken_originals())
    files.path_of(one).write_bytes(JPEG + b"!")
    files.path_of(two).unlink()
    faults = {p.where: p.what for p in broken_originals()}
    assert "not those that were received" in faults[f"photo {one.sha256[:16]}"]
    assert "no such file" in faults[f"photo {two.sha256[:16]}"]
    Original.objects.all().delete()
    assert [p.where for p in broken_originals()] == [f"visit {visit.number}, entry 1"]
