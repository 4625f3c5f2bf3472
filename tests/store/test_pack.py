"""A proof pack opens without the product, holds against standard tools, shows every change, and carries no place it was not asked to."""

from __future__ import annotations

import io
import json
import shutil
import subprocess
import sys
import time
import zipfile
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from django.conf import LazySettings
from PIL import Image
from pypdf import PdfReader

from conftest import priced
from photo.pictures import exif, saved, speckled
from store.sample import entry, moment
from wheeltapper.cli import main
from wheeltapper.flow import examine
from wheeltapper.problems import Problem
from wheeltapper.store import keep
from wheeltapper.store.ahead import made_after
from wheeltapper.store.files import kept, kept_figure, path_of
from wheeltapper.store.find import entries as entries_of
from wheeltapper.store.fold import fold
from wheeltapper.store.models import KeptEntry, KeptVisit, Original
from wheeltapper.store.outward import outward
from wheeltapper.store.pack import Packed, pack
from wheeltapper.store.paper import paper_of, sheet_of

pytestmark = [pytest.mark.django_db, pytest.mark.reasoned]
EVIL = "<script>alert('é')</script>"
SH = shutil.which("sha256sum")
PACKED: list[bytes] = []


@pytest.fixture(autouse=True)
def folder(settings: LazySettings, tmp_path: Path) -> Path:
    """A shop folder of its own."""
    settings.SHOP_FOLDER = tmp_path / "shop"
    return tmp_path


def photo(seed: int = 0, side: int = 640) -> bytes:
    """A photo as a phone makes it, with the place it was taken at."""
    return saved(speckled(side, side * 3 // 4, seed), exif=exif())


def with_photo(data: bytes, check: str = "cap", **more: Any) -> Any:
    """Keep a photo; the entry that names it."""
    original = kept([data])
    assert isinstance(original, Original)
    return entry({"sha256": original.sha256, "position": "1-road", "check": check}, kind="photo", **more)


@pytest.fixture
def visit() -> KeptVisit:
    """A trailer with findings, photos, an answer, a correction, a changed estimate, and somebody who types markup."""
    made = keep.open_visit()
    unit = {
        "id": "TF-0417",
        "axles": 1,
        "brake": "electric drum",
        "drum": "10 in",
        "bolt_pattern": "5 on 4.5",
    }
    slip = entry({"corner": [{"position": "1-road", "look": [{"check": "cap", "found": ["fine"]}]}]})
    rows = [
        entry({"date": "2026-11-20", "technician": "T1", "unit": unit, "complaint": EVIL, "booked": ["adjust"]}),
        slip,
        entry({"corner": [{"position": "1-road", "look": [{"check": "cap", "found": ["missing"]}], "rest_fine": "T1"}]}, instead_of=(slip.id,)),
        entry({"corner": [{"position": "1-curb", "rest_fine": "T1"}]}),
        with_photo(photo(1)),
        with_photo(photo(2), "band surface"),
        entry({"answer": [{"position": "1-road", "part": "hub-drum", "answer": "now", "by": "P. Reed", "how": "phone read-back", "date": "2026-11-20"}]}),
        entry({"estimate": [{"group": "must", "code": "CAP", "asked": 1, "qty": 0, "why": "the owner brings it", "by": "CR"}]}, by="CR"),
    ]  # fmt: skip
    assert len(keep.add(made, rows, "phone").ids) == len(rows)
    made.refresh_from_db()
    return made


def packed(visit: KeptVisit, out: Path, **more: Any) -> Path:
    """A pack that must be written."""
    told = pack(visit, out, priced(), **more)
    assert isinstance(told, Packed), told
    return out


def checked(pack_: Path | str, *args: str, cwd: Path | None = None) -> tuple[int, str]:
    """The script of the pack, by a Python that sees nothing of ours."""
    run = subprocess.run(
        [sys.executable, "-I", "-S", str(pack_), *args],
        capture_output=True,
        text=True,
        check=False,
        cwd=cwd,
        timeout=60,
    )
    return run.returncode, run.stdout + run.stderr


@pytest.fixture
def unpacked(request: pytest.FixtureRequest, folder: Path) -> Path:
    """A pack in a folder, as somebody elsewhere unpacks it; packed once for all."""
    zipped = folder / "proof.zip"
    if not PACKED:
        PACKED.append(packed(request.getfixturevalue("visit"), zipped).read_bytes())
    zipped.write_bytes(PACKED[0])
    with zipfile.ZipFile(zipped) as held:
        held.extractall(folder / "elsewhere")
    return folder / "elsewhere"


def test_it_checks_itself_unpacked_and_as_a_zip(unpacked: Path, folder: Path) -> None:
    code, said = checked(unpacked / "verify.py")
    assert (code, "all as they were packed" in said) == (0, True), said
    assert checked(unpacked / "verify.py", str(folder / "proof.zip"))[0] == 0
    names = sorted(p.relative_to(unpacked).as_posix().partition("/")[0] for p in unpacked.iterdir())
    assert names == [
        "SHA256SUMS",
        "entries.jsonl",
        "how-to-verify.txt",
        "originals",
        "photos",
        "reader.html",
        "sheet.pdf",
        "verify.py",
        "visit.json",
    ]


@pytest.mark.skipif(SH is None, reason="no sha256sum here")
def test_the_words_on_how_to_verify_hold_with_standard_tools(unpacked: Path) -> None:
    """The very commands of how-to-verify.txt, run by a shell."""
    text = (unpacked / "how-to-verify.txt").read_text("utf-8")
    commands = [line.strip() for line in text.splitlines() if line.startswith("  ") and "sha256sum" in line]
    sums, start, chain, originals = (
        subprocess.run(["sh", "-c", c], cwd=unpacked, capture_output=True, text=True, check=True).stdout
        for c in commands
    )
    lines = (unpacked / "entries.jsonl").read_text("utf-8").splitlines()
    hashes = [start.split()[0], *(row.split()[0] for row in chain.splitlines())]

    assert all(row.endswith(": OK") for row in sums.splitlines())
    assert len(sums.splitlines()) == sum(1 for p in unpacked.rglob("*") if p.is_file()) - 1
    assert all(line.endswith(f'"{before}"]') for line, before in zip(lines, hashes, strict=False))
    assert hashes[-1] == json.loads((unpacked / "visit.json").read_text())["last"]
    assert hashes[-1] in text
    assert all(Path(name).stem == said for said, name in (row.split() for row in originals.splitlines()))


def test_any_byte_that_is_changed_is_found(unpacked: Path) -> None:
    for path in sorted(p for p in unpacked.rglob("*") if p.is_file() and p.name != "verify.py"):
        whole = path.read_bytes()
        path.write_bytes(whole[:-9] + bytes([whole[-9] ^ 1]) + whole[-8:])
        code, said = checked(unpacked / "verify.py")
        path.write_bytes(whole)
        assert (code, "DOES NOT HOLD" in said) == (1, True), path
    (unpacked / "more.txt").write_text("slipped in")
    assert checked(unpacked / "verify.py")[0] == 1


def test_the_same_record_gives_the_same_bytes(visit: KeptVisit, folder: Path) -> None:
    one, two = packed(visit, folder / "a.zip"), packed(visit, folder / "b.zip")
    assert one.read_bytes() == two.read_bytes()
    keep.add(visit, [entry({"complaint": "and it pulls"})], "phone")
    visit.refresh_from_db()
    assert packed(visit, folder / "c.zip").read_bytes() != one.read_bytes()


def test_what_is_shown_carries_no_place_and_originals_can_be_left_out(visit: KeptVisit, folder: Path) -> None:
    original = kept([photo(1)])
    assert isinstance(original, Original)
    with Image.open(path_of(original)) as came:
        assert came.getexif().get_ifd(0x8825)  # the phone wrote it
    out = packed(visit, folder / "bare.zip", with_originals=False)
    with zipfile.ZipFile(out) as held:
        names = held.namelist()
        for name in (n for n in names if n.startswith("photos/")):
            picture = Image.open(io.BytesIO(held.read(name)))
            assert not dict(picture.getexif())
            assert "exif" not in picture.info
        held.extractall(folder / "bare")
        whole = b"".join(held.read(n) for n in names)
    assert not [n for n in names if n.startswith("originals/")]
    assert b"Maker Phone" not in whole
    code, said = checked(folder / "bare" / "verify.py")
    assert (code, "were left out of this pack" in said) == (0, True), said


class Page(HTMLParser):
    """What a browser would see."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.asked: list[str] = []
        self.said = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag, and what it would fetch."""
        self.tags.append(tag)
        self.asked += [v for k, v in attrs if k in ("src", "href") and v]

    def handle_data(self, data: str) -> None:
        """Words."""
        self.said += data


def test_the_reader_is_plain_says_everything_and_fetches_nothing(unpacked: Path) -> None:
    page = Page((unpacked / "reader.html").read_text("utf-8"))

    assert "script" not in page.tags
    assert EVIL in page.said
    assert all((unpacked / asked).is_file() for asked in page.asked), page.asked
    for words in (
        "check cap, found missing",
        "entry 3 stands instead",
        "P. Reed, phone read-back",
        "CR made it struck: the owner brings it",
        "The rules ask for 1, $6.00.",
        "HELD",
    ):
        assert words in page.said, words
    assert page.tags.count("img") == 2
    lines = (unpacked / "entries.jsonl").read_text("utf-8").splitlines()
    assert all(json.loads(line)[9] in page.said for line in lines[1:])


def test_the_sheet_in_it_has_photos_answers_and_its_record(unpacked: Path) -> None:
    sheet = PdfReader(unpacked / "sheet.pdf")
    text = " ".join("\n".join(page.extract_text() for page in sheet.pages).split())
    root = sheet.trailer["/Root"]
    last = json.loads((unpacked / "visit.json").read_text())["last"]

    for words in (
        "1-road hub-drum: now (P. Reed, phone read-back, 20 Nov 2026)",
        "for the shop",
        "1-road, cap, T1",
        "the rules ask for 1".capitalize(),
    ):
        assert words in text, words
    assert last in text.replace(" ", "")
    assert sum(len(page.images) for page in sheet.pages) == 2 + 1  # and the good view beside a finding
    assert all(b"Exif" not in image.data for page in sheet.pages for image in page.images)
    assert root["/MarkInfo"]["/Marked"]  # type: ignore[index]
    meta = root["/Metadata"].get_data()  # type: ignore[index]
    assert b"<pdfaid:part>2</pdfaid:part>" in meta
    assert b"<pdfuaid:part>1</pdfuaid:part>" in meta


def test_a_broken_record_is_not_packed(visit: KeptVisit, folder: Path) -> None:
    KeptVisit.objects.filter(pk=visit.pk).update(tail="0" * 64)
    visit.refresh_from_db()
    told = pack(visit, folder / "x.zip", priced())
    assert isinstance(told, Problem)
    assert not (folder / "x.zip").exists()


def test_a_lost_or_changed_original_is_told(visit: KeptVisit, folder: Path) -> None:
    path_of(Original.objects.first()).write_bytes(b"\xff\xd8\xff other")  # type: ignore[arg-type]
    told = pack(visit, folder / "x.zip", priced())
    assert isinstance(told, Problem)
    assert "not those that were received" in told.what
    assert list(folder.glob("x.zip*")) == []


def test_nothing_is_written_over_and_an_empty_visit_is_told(visit: KeptVisit, folder: Path) -> None:
    there = packed(visit, folder / "x.zip").read_bytes()
    assert isinstance(pack(visit, folder / "x.zip", priced()), Problem)
    assert (folder / "x.zip").read_bytes() == there
    assert isinstance(pack(keep.open_visit(), folder / "y.zip", priced()), Problem)


def test_the_sheet_of_forty_photos_is_there_in_three_seconds(visit: KeptVisit) -> None:
    """Their small pictures are made ahead, as the worker does; what is timed is what somebody waits for."""
    from threading import Event

    assert made_after(0, Event()) == Original.objects.latest("pk").pk
    small = outward(Original.objects.latest("pk"), "sheet")
    assert isinstance(small, Path)
    keep.add(visit, [with_photo(photo(10 + n, 400), at=moment(900_000 + n)) for n in range(38)], "phone")
    visit.refresh_from_db()
    for original in Original.objects.all():  # one more decoded at leisure is as good as another
        path_of(original).with_suffix(".sheet.jpg").write_bytes(small.read_bytes() + original.sha256.encode())
    started = time.perf_counter()
    folded = fold(entries_of(visit))
    assert folded.visit is not None
    made = sheet_of(visit, folded, examine(folded.visit, priced(), folded.visit.date, folded.problems))
    data = paper_of(made)

    assert time.perf_counter() - started < 3
    assert made.kept is not None
    assert len(made.kept.photos) == 40
    assert sum(len(page.images) for page in PdfReader(io.BytesIO(data)).pages) == 40 + 1  # and a good view
    assert KeptEntry.objects.filter(visit=visit).count() == 46


def test_the_command_writes_it_says_what_it_carries_and_refuses_in_words(
    visit: KeptVisit, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wheeltapper.cli_store.django_ready", lambda folder: None)
    out, shop = folder / "proof.zip", folder / "shop"
    asked = ["export", visit.number, "--folder", str(shop), "--out", str(out)]
    assert "there is no shop in it" in CliRunner().invoke(main, asked).output
    (shop / "shop.sqlite3").touch()
    wrote, again = CliRunner().invoke(main, asked), CliRunner().invoke(main, asked)
    nobody = CliRunner().invoke(main, ["export", "26-9999", "--folder", str(shop)])

    assert (wrote.exit_code, again.exit_code, nobody.exit_code) == (0, 1, 1), wrote.output
    assert "8 entries, 2 photos and sounds" in wrote.output
    assert "may say where they were taken" in wrote.output
    assert "never written over" in again.output
    assert "there is no such visit" in nobody.output
    assert zipfile.is_zipfile(out)


def test_the_sheet_draws_marks_and_rings_of_a_kept_visit(visit: KeptVisit) -> None:
    drawing = kept_figure(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M1 1L8 8" stroke="#1B2A41"/></svg>'
    )
    assert isinstance(drawing, Original)
    rung = {"every_s": 0.1, "level_db": [0, -20, -60], "tones": [[453.8, 1.0, True]]}
    mark = {"photo": "m.jpg", "verdict": "measured", "seen": "one long dark line", "end_to_end_mm": 17.5, "plus_minus_mm": 1.2,
            "figure": f"{drawing.sha256}.svg"}  # fmt: skip
    ring = {"clip": "tap.wav", "verdict": "dull", "hung": True, "p": 0.004, "drawn": rung, "good": rung}
    keep.add(visit, [entry({"corner": [{"position": "1-curb", "mark": [mark], "ring": [ring]}]})], "phone")
    visit.refresh_from_db()
    folded = fold(entries_of(visit))
    assert folded.visit is not None
    made = sheet_of(visit, folded, examine(folded.visit, priced(), folded.visit.date, folded.problems))

    assert {type(w.figure).__name__ for w in made.worked if w.figure} == {"Shown", "Ringing"}
    assert paper_of(made) == paper_of(made)
