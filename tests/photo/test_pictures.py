"""Pictures made of photos: changed where drawn and nowhere else, nothing in them but pixels, of sizes that were promised."""

from __future__ import annotations

import io
from base64 import b64decode
from html.parser import HTMLParser
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from photo.pictures import exif, jpeg_segments, png_chunks, saved, speckled
from wheeltapper.problems import NoAnswerError
from wheeltapper.report.mark_figure import MOST_BYTES, mark_figure
from wheeltapper.report.mark_ink import Pixels, Stroke, as_bytes, broken, fitted, lettering, moved, on
from wheeltapper.report.mark_picture import (
    Arrow,
    Caption,
    Mark,
    Note,
    Ring,
    cut,
    mark_picture,
    note_slips,
    noted_picture,
)
from wheeltapper.report.mark_wipe import wipe_page, wipe_picture

pytestmark = pytest.mark.reasoned
LINE = tuple((500.0 + 3 * np.sin(i), 300.0 + 4 * i) for i in range(50))
MARK = Mark(
    line=LINE,
    ends=(LINE[0], LINE[-1]),
    bar=((620.0, 480.0), (740.0, 484.0)),
    bar_said="10 mm",
    length="16.4 ± 0.9 mm end to end",
    said=("1-curb · trailer 12", "under 0.2 mm wide"),
    around=((200.0, 150.0), (1000.0, 150.0), (1000.0, 700.0), (200.0, 700.0)),
)
NOTES: tuple[Note, ...] = (
    Arrow((100, 100), (300, 220)),
    Ring((600, 400), 80),
    Caption("oil here", (200, 60)),
)


def opened(data: bytes) -> Pixels:
    """A file's pixels."""
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB")).astype(int)


def test_changed_only_where_drawn() -> None:
    """Notes on a photo that needs no resizing: further from every stroke than its width and halo, the photo's own pixels."""
    photo = speckled(1600, 1200)
    sheet = opened(noted_picture(photo, NOTES, "png"))
    inside = sheet[32 : 32 + 1200, 32 : 32 + 1600]
    changed = (inside != photo).any(axis=2)
    rows, columns = np.nonzero(changed)
    along = np.clip(((columns - 100) * 200 + (rows - 100) * 120) / (200**2 + 120**2), 0, 1)
    to_arrow = np.hypot(columns - 100 - 200 * along, rows - 100 - 120 * along)
    to_ring = np.abs(np.hypot(columns - 600, rows - 400) - 80)
    in_slip = (np.abs(columns - 200) < 120) & (np.abs(rows - 60) < 40)
    at_head = np.hypot(columns - 300, rows - 220) < 40

    assert sheet.shape == (1264, 1664, 3)
    assert changed.sum() > 5000
    assert ((to_arrow < 7) | (to_ring < 7) | in_slip | at_head).all()
    assert changed[400, 680]
    assert changed[160, 200]


def test_a_stroke_is_where_it_was_asked_for() -> None:
    """A straight line 4 pixels wide on white: its ink weighs width times length, and its middle is on the line."""
    plain = Image.new("RGB", (200, 100), "white")
    ink = 255 - np.asarray(on(plain, [Stroke(((50, 40), (150, 40)), 4.0, "black")])).astype(float)[:, :, 0]
    rows, columns = np.indices(ink.shape)

    assert ink.sum() / 255 == pytest.approx(4 * 100 + np.pi * 4, rel=0.05)
    assert (ink * rows).sum() / ink.sum() == pytest.approx(40, abs=0.2)
    assert (ink * columns).sum() / ink.sum() == pytest.approx(100, abs=0.2)


@pytest.mark.second_way
def test_a_point_moves_as_the_picture_does() -> None:
    """A spot in a photo that is cut and resized, found again by its weight."""
    photo = np.zeros((3000, 4000, 3), np.uint8)
    photo[1195:1206, 2495:2506] = 255  # its middle is column 2500, row 1200
    small, scale = fitted(photo[600:2600, 1000:3700])
    weight = np.asarray(small).astype(float)[:, :, 0]
    rows, columns = np.indices(weight.shape)
    found = (weight * columns).sum() / weight.sum(), (weight * rows).sum() / weight.sum()

    assert found == pytest.approx(moved((2500, 1200), scale, 1000, 600), abs=0.1)


def test_what_is_cut_out_shows_all_that_matters() -> None:
    """Mark and card are inside, with some room, never outside the photo and never slim."""
    photo = speckled(1600, 1200)
    left, top, right, low = cut(photo, (*MARK.line, *MARK.around))
    slim = cut(photo, [(800, y) for y in range(100, 1100)])
    corner = cut(photo, [(2, 3), (5, 9)])

    assert 0 <= left < 200
    assert 1000 < right <= 1600
    assert 0 <= top < 150
    assert 700 < low <= 1200
    assert (slim[2] - slim[0]) / (slim[3] - slim[1]) > 0.6
    assert corner[:2] == (0, 0)


def test_nothing_but_pixels_in_a_file() -> None:
    """By the standards' own rules: a JPEG has its bare header and tables, a PNG its pixels; though the photo had more."""
    photo = Image.open(
        io.BytesIO(saved(speckled(400, 300), exif=exif(1, film=26), comment=b"note", icc_profile=b"x" * 200))
    )
    assert {"APP1", "APP2"} < set(
        jpeg_segments(saved(speckled(400, 300), exif=exif(1), icc_profile=b"x" * 200))
    )
    pixels = np.asarray(photo)
    jpegs = [as_bytes(photo), mark_picture(pixels, small_mark()), noted_picture(pixels, NOTES[1:2])]
    pngs = [
        as_bytes(photo, "png"),
        mark_picture(pixels, small_mark(), "png"),
        wipe_picture(pixels, pixels, "one", "two"),
    ]

    for data in jpegs:
        assert set(jpeg_segments(data)) <= {"APP0", "0xdb", "0xc0", "0xc4"}
        assert b"Phone" not in data
    for data in pngs:
        assert set(png_chunks(data)) == {"IHDR", "IDAT", "IEND"}


def small_mark() -> Mark:
    """A mark in a small photo, without a bar."""
    return Mark(((100, 100), (150, 160)), ((100, 100), (150, 160)), None, "", "7.9 ± 0.9 mm end to end")


@pytest.mark.parametrize(("columns", "rows"), [(4032, 3024), (1512, 2016), (400, 300)])
def test_sizes(columns: int, rows: int) -> None:
    """At most 1600 pixels of photo with a narrow frame; the sheet's figure is light; both the same on every run."""
    photo = speckled(columns, rows)
    scale = min(columns, rows) / 1200
    mark = Mark(
        tuple((x * scale, y * scale) for x, y in LINE),
        tuple((x * scale, y * scale) for x, y in MARK.ends),  # type: ignore[arg-type]
        ((620 * scale, 480 * scale), (740 * scale, 480 * scale)),
        "10 mm",
        MARK.length,
        MARK.said,
    )
    picture, figure = mark_picture(photo, mark), mark_figure(photo, mark)

    assert 800 <= max(opened(picture).shape[:2]) <= 2000
    assert max(opened(noted_picture(photo, ())).shape[:2]) <= 1664
    assert len(figure.encode()) <= MOST_BYTES
    assert mark_picture(photo, mark) == picture
    assert mark_figure(photo, mark) == figure


def test_the_figure_of_the_sheet() -> None:
    """One SVG with its words, a photo without metadata in it, and nothing from elsewhere."""
    root = ElementTree.fromstring(mark_figure(speckled(1600, 1200), MARK))
    texts = [t.text for t in root.iter("{http://www.w3.org/2000/svg}text")]
    links = [i.attrib["href"] for i in root.iter("{http://www.w3.org/2000/svg}image")]
    start, _, data = links[0].partition(",")

    assert texts == ["10 mm", "16.4 ± 0.9 mm end to end", "1-curb · trailer 12", "under 0.2 mm wide"]
    assert "16.4 ± 0.9 mm" in root.attrib["aria-label"]
    assert (len(links), start) == (1, "data:image/jpeg;base64")
    assert set(jpeg_segments(b64decode(data))) <= {"APP0", "0xdb", "0xc0", "0xc4"}


def test_words_fit() -> None:
    """Long captions are broken, words without a gap cut, letters that we lack named; no word is lost."""
    lines = broken("grease from the inner seal on the band, " + "x" * 90, 30, 400)
    edge = noted_picture(speckled(300, 200), [Caption("at the very edge of it all", (299, 199))], "png")

    assert all(lettering(30).getlength(line) <= 400 for line in lines)
    assert "".join("".join(lines).split()).count("x") == 90
    assert broken("油", 30, 400) == ("[U+6CB9]",)
    assert max(opened(edge).shape) <= 900


class Page(HTMLParser):
    """What a page has and where it leads."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.sources: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep tags and everything that is fetched."""
        self.tags.append(tag)
        self.sources += [v or "" for k, v in attrs if k in ("src", "href")]


def test_two_pictures_as_one_page() -> None:
    """Nothing is fetched, what was typed stays text, and without the script both pictures stand there."""
    photo = speckled(400, 300)
    html = wipe_page(photo, photo[::-1], "before <b>", "after", 'drum "1" & {x}')
    page = Page()
    page.feed(html)
    without = html[: html.index("<script>")]

    assert page.tags.count("img") == 2
    assert page.tags.count("b") == 2  # ours, beside the slider
    assert all(s.startswith("data:image/jpeg;base64,") for s in page.sources)
    assert without.count("<figcaption>") == 2
    assert 'class="wipe"' not in without  # only the script makes it a wipe
    assert "before &lt;b&gt;" in html
    assert "drum &quot;1&quot; &amp; {x}" in html


def test_two_pictures_side_by_side() -> None:
    """The first left, the second right, each whole."""
    photo = speckled(800, 600)
    pair = opened(wipe_picture(photo, 255 - photo, "before", "after"))
    margin = (pair.shape[1] - 1624) // 2

    assert (pair[margin : margin + 600, margin : margin + 800] == photo).all()
    assert (pair[margin : margin + 600, margin + 824 : margin + 1624] == 255 - photo).all()
    with pytest.raises(NoAnswerError, match="differ in size"):
        wipe_picture(photo, photo[1:], "before", "after")


@pytest.mark.parametrize(
    ("note", "says"),
    [
        (Arrow((0, 0), (400, 10)), "outside the picture"),
        (Arrow((5, 5), (5, 6)), "no length"),
        (Ring((-1, 5), 10), "outside the picture"),
        (Ring((5, 5), 0), "no radius"),
        (Ring((5, 5), 9000), "no radius"),
        (Caption(" ", (5, 5)), "empty or too long"),
        (Caption("x" * 121), "empty or too long"),
        (Caption("x", (5, 300)), "outside the picture"),
    ],
)
def test_notes_that_cannot_be_drawn(note: Note, says: str) -> None:
    """One Problem each, with what to do; a good note beside it has none."""
    slips = note_slips(400, 300, (Ring((200, 150), 40), note), "p.jpg")

    assert [p.where for p in slips] == ["p.jpg"]
    assert says in slips[0].what
    assert slips[0].do.endswith(".")
