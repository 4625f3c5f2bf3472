"""The printed sheet: says what the Sheet says, prints what was typed as typed, the same bytes on every run."""

from __future__ import annotations

import io
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import typst
from pypdf import PdfReader

from conftest import CASES, bases, examined, laid_over
from wheeltapper.report import lettering
from wheeltapper.report import pdf as printer
from wheeltapper.report.lettering import printable
from wheeltapper.report.pdf import joined, pdf
from wheeltapper.report.sheet import Sheet, sheet
from wheeltapper.report.wording import INCH, MILLIMETRE, Reader

pytestmark = pytest.mark.reasoned

HOSTILE = '<b> #hash $x$ *bold* _it_ @ref "q" \\ [ ] { } `code` #panic() ![CDATA['
TYP = (Path(printer.__file__).parent / "sheet.typ").read_text("utf-8")


def case(name: str, reader: Reader = INCH) -> Sheet:
    raw: dict[str, Any] = tomllib.loads((CASES / f"{name}.toml").read_text("utf-8"), parse_float=str)
    return sheet(examined(laid_over(bases()[raw["base"]], raw["visit"])), reader)


def pages(data: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(data)).pages]


def flat(data: bytes) -> str:
    return " ".join(" ".join(pages(data)).replace("\u200b", "").split())


@pytest.mark.parametrize("name", ["S01", "S02", "S06", "S08", "S11"])
def test_every_item_and_total_is_printed(name: str) -> None:
    made = case(name)
    text = flat(pdf(made))
    assert made.release.upper() in text
    assert made.one_breath in text
    for section in made.sections:
        assert not section.items or section.title in text
        for item in section.items:
            assert item.part in text
            assert item.position in text
    for group in made.groups:
        assert group.total in text
    assert made.fingerprint in text


@pytest.mark.parametrize("name", ["S02", "S09", "S11"])
def test_every_ruler_says_how_it_stands_and_whose_limit_it_is(name: str) -> None:
    made = case(name)
    text = flat(pdf(made)).casefold()
    rulers = [item.ruler for section in made.sections for item in section.items if item.ruler]
    assert rulers
    for r in rulers:
        for words in (f"{r.standing}; {r.remaining}", r.limit_from, f"now {r.now}", f"new {r.new}"):
            assert words.casefold() in text


def test_reasons_causes_and_next_checks_are_printed() -> None:
    made = case("S02")
    text = flat(pdf(made))
    said = [w for section in made.sections for i in section.items for w in (*i.reasons, *i.owner, *i.also)]
    said += [w for c in made.causes for w in (c.say, c.separate_by, c.prevent, c.work, *c.supports)]
    said += [w for row in made.next for w in row] + list(made.cautions) + [why for _, why in made.rule_ids]
    for words in said:
        assert words in text


def test_the_call_words_stand_in_words() -> None:
    text = flat(pdf(case("S02")))
    for word in ("keep", "dress", "replace", "owner decides", "recheck", "not looked at"):
        assert word in text


def test_what_was_typed_is_printed_as_typed() -> None:
    made = case("S02")
    told = replace(made, said=(HOSTILE,), technician=HOSTILE, unit="#1 $a$", shop="*Shop* <i>")
    text = flat(pdf(told))
    assert HOSTILE in text
    assert "#1 $a$" in text
    assert "*Shop* <i>" in text


def test_letters_without_a_font_are_named_and_nothing_fails() -> None:
    text = flat(pdf(replace(case("S01"), said=("中 😀 \x00 \u202e café ½ Ω Жук",))))
    assert "[U+4E2D] [U+1F600] [U+0000] [U+202E] café ½ Ω Жук" in text


def test_a_word_without_end_is_broken() -> None:
    word = "x" * 5000
    assert printable(word).replace("\u200b", "") == word
    assert flat(pdf(replace(case("S01"), said=(word,)))).replace(" ", "").count("x") >= 5000


def test_every_letter_that_is_let_through_can_be_printed() -> None:
    every = [chr(c) for low, high in lettering.LETTERED for c in range(low, high + 1)] + sorted(
        lettering.ALSO
    )
    made = case("S01")
    text = " ".join(every)
    said = replace(made, said=(text,), technician=text, shop=text, unit=text[:90])
    assert pages(pdf(said))


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert pdf(case("S02")) == pdf(case("S02"))


def test_millimetres_are_printed_for_who_reads_them() -> None:
    assert "255.10 mm" in flat(pdf(case("S09", MILLIMETRE)))


def test_fonts_are_in_the_file_and_it_is_tagged_and_named() -> None:
    reader = PdfReader(io.BytesIO(pdf(case("S02"))))
    fonts: dict[str, bool] = {}
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            inner = font.get_object()["/DescendantFonts"][0].get_object()
            described = inner["/FontDescriptor"].get_object()
            fonts[str(inner["/BaseFont"])] = any(k in described for k in ("/FontFile2", "/FontFile3"))
    assert fonts
    assert all(fonts.values())
    assert any("RoutedGothic" in name for name in fonts)
    assert "/StructTreeRoot" in reader.trailer["/Root"]  # type: ignore[operator]
    assert reader.metadata is not None
    assert reader.metadata.title == "Wheel end sheet TF-1, 14 May 2026"


@pytest.mark.parametrize("axles", [1, 2, 3, 4])
def test_every_corner_has_a_drawing(axles: int) -> None:
    made = examined({"date": "2026-05-14", "technician": "T1", "unit": {"id": "A", "axles": axles, "brake": "electric drum"}})  # fmt: skip
    text = flat(pdf(sheet(made)))
    for axle in range(1, axles + 1):
        assert f"{axle}-road" in text
        assert f"{axle}-curb" in text


def test_one_reading_is_said_once() -> None:
    assert joined(("d 1 in: thin", "d 1 in: short", "cracked")) == ["d 1 in: thin; short", "cracked"]


def test_a_word_of_the_typesetter_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(printer, "_template", lambda: b'#set text(font: "No Such Letters")\nx')
    with pytest.raises(printer.SheetNotDrawnError):
        pdf(case("S01"))


def test_the_layout_fetches_nothing_and_evaluates_nothing() -> None:
    for word in ("@preview", "#import", "eval(", "http", "plugin("):
        assert word not in TYP


def test_the_lettering_comes_with_its_licence() -> None:
    folder = Path(printer.__file__).parent / "fonts"
    assert "SIL Open Font License" in (folder / "OFL.txt").read_text("utf-8")
    fonts = typst.Fonts(include_system_fonts=False, font_paths=[folder])
    assert "Routed Gothic" in fonts.families()
    assert sum(f.stat().st_size for f in folder.iterdir()) < 600_000
