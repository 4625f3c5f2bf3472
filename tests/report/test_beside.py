"""The good view beside each finding: which pair stands where, whose picture it is, and what a photo carries away with it."""

from __future__ import annotations

import io
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from conftest import CASES, bases, examined, laid_over
from wheeltapper.atlas import data_of, own_photo, photo_name, pictures
from wheeltapper.findings.facts import Fact
from wheeltapper.report.beside import Beside, beside
from wheeltapper.report.pdf import pdf
from wheeltapper.report.sheet import Sheet, pairs, sheet
from wheeltapper.report.small_picture import photos_beside, small_pictures

pytestmark = pytest.mark.reasoned
PUNCHED = Fact(
    "2-road", "cup.punched", True, "felt", ("T1",), ("punch, peen or knurl marks (inner)",), "cups"
)
LONG_NAME = "the-drum-on-the-curb-side-as-it-came-off-today #1 $x$.jpg"


def case(name: str) -> Sheet:
    raw = tomllib.loads((CASES / f"{name}.toml").read_text("utf-8"), parse_float=str)
    return sheet(examined(laid_over(bases()[raw["base"]], raw["visit"])))


def photo(path: Path, colour: tuple[int, int, int] = (200, 30, 30)) -> None:
    """A JPEG that says where it was taken."""
    exif = Image.Exif()
    exif.get_ifd(0x8825).update({1: "N", 2: (44.0, 58.0, 3.0)})  # place
    exif[0x010F] = "a phone"
    Image.new("RGB", (1600, 1200), colour).save(path, "JPEG", exif=exif)


def drawn(made: Sheet, seen: dict[str, bytes]) -> set[bytes]:
    """The pictures of a sheet's PDF that are photos or renders, each once."""
    reader = PdfReader(io.BytesIO(pdf(made, seen)))
    found = [i.image for page in reader.pages for i in page.images if i.image is not None]
    return {i.convert("RGB").tobytes() for i in found if i.width >= 400}


def test_a_word_brings_its_own_pair() -> None:
    """The rendered picture is that of the same check and word, the good one that of its view."""
    (pair,) = beside([PUNCHED])
    bad = next(p for p in pictures() if p.file == pair.rendered)

    assert (bad.check, bad.condition, bad.shows) == ("cups", "punch, peen or knurl marks", "part")
    assert pair.good == bad.good
    assert pair.said == "cups: punch, peen or knurl marks"
    assert pair.photo == ""


def test_a_persons_photo_is_named_beside_the_rendered_one() -> None:
    """The first that the look names; whoever shows the pair takes the photo where its bytes can be had."""
    own = replace(PUNCHED, photos=("a.jpg", "b.jpg"))

    assert beside([own])[0].photo == "a.jpg"
    assert beside([own])[0].rendered == beside([PUNCHED])[0].rendered


def test_a_number_has_nothing_beside_it() -> None:
    """A size is shown by its ruler; a check without word or picture is left alone."""
    size = Fact("1-road", "drum.over_limit", True, "measured", ("T1",), (), "friction diameter")

    assert beside([size]) == ()
    assert beside([]) == ()


@pytest.mark.parametrize("name", sorted(p.stem for p in CASES.glob("S*.toml")))
def test_every_pair_of_the_worked_visits_can_be_shown(name: str) -> None:
    """What is fine has none; every file that is named is there."""
    made = case(name)
    for section in made.sections:
        for item in section.items:
            assert section.call != "keep" or item.beside == ()
    files = {n for p in pairs(made) for n in (p.good, p.rendered) if n}
    assert set(small_pictures(pairs(made), lambda _: None)) == files
    assert files <= {p.file for p in pictures()}


def test_the_sheet_has_both_pictures_and_the_same_bytes_again() -> None:
    """Good beside rendered; a pair without bytes is left out, not drawn empty."""
    made = case("S08")
    seen = small_pictures(pairs(made), lambda _: None)

    assert list(pairs(made))
    assert len(drawn(made, seen)) == len(seen)
    assert pdf(made, seen) == pdf(made, seen)
    assert drawn(made, {}) == set()


def test_a_photo_takes_the_rendered_ones_place_and_leaves_no_place_behind(tmp_path: Path) -> None:
    """Its colour is on the sheet, its name and its place are not."""
    photo(tmp_path / LONG_NAME)
    pair = Beside("cups: punch marks", beside([PUNCHED])[0].good, beside([PUNCHED])[0].rendered, LONG_NAME)
    seen, slips = photos_beside([pair], tmp_path)

    assert slips == ()
    small = Image.open(io.BytesIO(seen[LONG_NAME]))
    assert small.size == (800, 600)
    assert dict(small.getexif()) == {}
    assert seen[LONG_NAME].count(b"Exif") == 0


@pytest.mark.parametrize("name", ["gone.jpg", "../secret.jpg", "text.jpg"])
def test_a_photo_that_cannot_be_had_is_told_and_the_rendered_one_stands(tmp_path: Path, name: str) -> None:
    """Not there, in another folder, or no picture."""
    folder = tmp_path / "visit"
    folder.mkdir()
    photo(tmp_path / "secret.jpg")
    (folder / "text.jpg").write_text("not a picture")
    pair = Beside("cups: punch marks", beside([PUNCHED])[0].good, beside([PUNCHED])[0].rendered, name)
    seen, slips = photos_beside([pair], folder)

    assert seen == {}
    assert [s.where for s in slips] == [name]
    assert set(small_pictures([pair], seen.get)) == {pair.good, pair.rendered}


def test_a_shops_own_good_part_stands_on_the_sheet(tmp_path: Path) -> None:
    """Its own photo instead of our good picture, and only there."""
    (pair,) = beside([PUNCHED])
    good = next(p for p in pictures() if p.file == pair.good)
    (tmp_path / "atlas").mkdir()
    photo(tmp_path / "atlas" / photo_name(good.part, good.view), (10, 200, 10))
    seen = small_pictures([pair], lambda _: None, tmp_path)

    assert seen[pair.good] == own_photo(tmp_path, good.part, good.view)[0]
    assert Image.open(io.BytesIO(seen[pair.rendered])).size[0] == 800
    assert seen[pair.rendered] != data_of(pair.rendered)
