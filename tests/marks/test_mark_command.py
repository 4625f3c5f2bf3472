"""`wheeltapper mark` from the photo to the visit, on rendered photos with known truth."""

from __future__ import annotations

import io
import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result
from PIL import Image

from wheeltapper.cli import main
from wheeltapper.records import MarkSeen

PICTURES = Path(__file__).with_name("pictures")
EDGE = PICTURES / "crack-at-edge.jpg"
PICTURED = b"/Filter/DCTDecode"  # a JPEG in a PDF
WALL = ("--drum", "12in")


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(w) for w in words])


def truth(name: str) -> dict[str, Any]:
    """Of the mark in a picture."""
    found: dict[str, Any] = json.loads((PICTURES / f"{name}.json").read_text("utf-8"))["marks"][0]
    return found


def ends(name: str, off_px: float = 0.0) -> tuple[str, ...]:
    """The true ends as an option, moved off by so many pixels."""
    return ("--ends", *(f"{x + off_px},{y - off_px}" for x, y in truth(name)["ends_px"]))


def measured(photo: Path, *words: object, code: int = 0) -> dict[str, Any]:
    out = run("mark", photo, *words, "--json")
    assert out.exit_code == code, out.output
    found: dict[str, Any] = json.loads(out.stdout)
    return found


def saved(tmp_path: Path, picture: Image.Image, name: str = "photo.jpg", **how: Any) -> Path:
    path = tmp_path / name
    picture.save(path, quality=92, **how)
    return path


@pytest.mark.second_way
@pytest.mark.parametrize(("name", "drum"), [("crack-at-edge", "12 in"), ("thread", "10in")])
@pytest.mark.parametrize("off_px", [0.0, 4.0])
def test_the_true_length_is_inside_the_doubt(name: str, drum: str, off_px: float) -> None:
    """Against the renderer's own truth, which shares no camera with us; taps up to 0.8 mm off."""
    found, true = measured(PICTURES / f"{name}.jpg", *ends(name, off_px), "--drum", drum), truth(name)

    assert found["verdict"] == "measured"
    assert found["end_to_end_mm"] == pytest.approx(true["end_to_end_mm"], abs=found["plus_minus_mm"])
    assert found["angle_to_axis_deg"] == pytest.approx(true["angle_deg"], abs=6)
    assert found["reaches_edge"] is true["reaches_edge"]
    assert found["px_per_mm"] > 5


@pytest.mark.reasoned
def test_the_shape_of_the_answer() -> None:
    """What a program may read; a good photo without ends has only the suggestion."""
    found = measured(EDGE, *ends("crack-at-edge"), *WALL)
    alone = measured(PICTURES / "network.jpg", *WALL)

    assert {
        "verdict", "reasons", "do", "end_to_end_mm", "plus_minus_mm", "along_mm", "width_mm", "angle_to_axis_deg", "reaches_edge", "px_per_mm",
        "suggested", "problems",
    } <= set(found)  # fmt: skip
    assert {"pieces", "total_mm", "branches"} <= set(found["suggested"])
    assert alone["end_to_end_mm"] is None
    assert alone["suggested"]["pattern"] == "fine network"
    assert "fingernail" in alone["do"]


@pytest.mark.reasoned
@pytest.mark.parametrize("as_json", [True, False])
def test_it_never_says_crack(as_json: bool) -> None:
    """Words of the program, over all that the pictures make it say; file names are the caller's."""
    for name in ("crack-at-edge", "network", "thread"):
        out = run("mark", PICTURES / f"{name}.jpg", *ends(name), *WALL, *(["--json"] if as_json else []))
        assert "crack" not in out.stdout.replace(f"{name}.jpg", "").lower()


@pytest.mark.reasoned
@pytest.mark.parametrize(
    ("name", "words", "reason"),
    [
        ("glare", ("--drum", "12in"), "glare over the mark"),
        ("crack-at-edge", ("--surface", "flat"), "wrong surface chosen"),
        ("crack-at-edge", ("--drum", "12in", "--card", "face"), "wrong card"),
        ("flat-face", ("--surface", "flat"), "too far"),
    ],
)
def test_a_photo_that_is_no_good_says_what_to_do(name: str, words: tuple[str, ...], reason: str) -> None:
    """Each with its remedy and the exit code of bad input; nothing is measured."""
    found = measured(PICTURES / f"{name}.jpg", *ends(name), *words, code=1)

    assert (found["verdict"], found["end_to_end_mm"]) == ("retake", None)
    assert reason in found["reasons"]
    assert len(found["do"]) > 20


@pytest.mark.reasoned
def test_turned_and_grey_and_larger_files_give_the_same_answer(tmp_path: Path) -> None:
    """The upright photo counts: lying with its turn noted in EXIF, upside down, grey, PNG, or of 48 million pixels."""
    plain = measured(EDGE, *ends("crack-at-edge"), *WALL)
    picture = Image.open(EDGE)
    wide, high = picture.size
    lying = saved(tmp_path, picture.transpose(Image.Transpose.ROTATE_90), "lying.jpg", exif=_turned(6))
    grey = saved(tmp_path, picture.convert("L"), "grey.png")
    over = saved(tmp_path, picture.transpose(Image.Transpose.ROTATE_180), "over.jpg")
    turned_over = [f"{wide - 1 - x},{high - 1 - y}" for x, y in truth("crack-at-edge")["ends_px"]]

    for photo, where in (
        (lying, ends("crack-at-edge")), (grey, ends("crack-at-edge")), (over, ("--ends", *turned_over)),
    ):  # fmt: skip
        found = measured(photo, *where, *WALL)
        assert found["end_to_end_mm"] == pytest.approx(plain["end_to_end_mm"], abs=0.4), photo.name
    mirrored = saved(tmp_path, picture.transpose(Image.Transpose.FLIP_LEFT_RIGHT), "mirrored.png")
    assert "mirrored" in measured(mirrored, *WALL, code=1)["reasons"]


def _turned(orientation: int) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = orientation
    return exif.tobytes()


@pytest.mark.reasoned
def test_a_large_photo_counts_in_its_own_pixels(tmp_path: Path) -> None:
    """48 million pixels are read smaller; ends and picture points stay those of the file."""
    large = Image.open(EDGE).resize((8000, 6000), Image.Resampling.BILINEAR)
    path = saved(tmp_path, large)
    where = [f"{5 * (x + 0.5) - 0.5},{5 * (y + 0.5) - 0.5}" for x, y in truth("crack-at-edge")["ends_px"]]
    found = measured(path, "--ends", *where, *WALL)

    assert found["end_to_end_mm"] == pytest.approx(truth("crack-at-edge")["end_to_end_mm"], abs=1.2)
    assert max(v for p in found["ends_px"] for v in p) > 1600


@pytest.mark.reasoned
@pytest.mark.parametrize("kind", ["pixel", "cut", "text", "empty", "missing"])
def test_what_is_no_photo(tmp_path: Path, kind: str) -> None:
    """A sentence and an answer that a program can read; no traceback."""
    path = tmp_path / "photo.jpg"
    if kind == "pixel":
        Image.new("RGB", (1, 1)).save(path)
    elif kind != "missing":
        path.write_bytes({"cut": EDGE.read_bytes()[:900], "text": b"no picture", "empty": b""}[kind])
    out = run("mark", path, *WALL, "--json")

    assert out.exit_code == 1
    assert json.loads(out.stdout)["verdict"] == "retake"
    assert json.loads(out.stdout)["problems"]
    assert "Traceback" not in out.output


@pytest.mark.reasoned
def test_what_a_person_may_get_wrong() -> None:
    """No drum, a drum without a unit, a place that is none, ends off the surface, both ends at one place, a bar in cm."""
    assert "--drum 12in" in run("mark", EDGE).stderr
    assert "--drum 12in" in run("mark", EDGE, "--drum", "12").stderr
    assert "column and row" in run("mark", EDGE, *WALL, "--ends", "1;2", "3,4").stderr
    off = measured(EDGE, *WALL, "--ends", "100,1100", "160,1120", code=1)
    same = measured(EDGE, *WALL, "--ends", "620,500", "620,500", code=1)
    assert off["verdict"] == same["verdict"] == "retake"
    assert "no surface" in off["problems"][0]["what"]
    assert "same place" in same["problems"][0]["what"]
    assert "150 mm" in measured(EDGE, *WALL, "--bar", "15", code=1)["problems"][0]["do"]
    assert run("mark", EDGE, *WALL, "--card", "nowhere.toml").exit_code == 2


@pytest.mark.reasoned
def test_a_print_that_was_made_smaller_is_counted() -> None:
    """The bar measures 145.5 of 150 mm: everything is 97 % of what it seemed."""
    plain = measured(EDGE, *ends("crack-at-edge"), *WALL, "--as-tapped")
    small = measured(EDGE, *ends("crack-at-edge"), *WALL, "--as-tapped", "--bar", "145.5")

    assert small["end_to_end_mm"] == pytest.approx(0.97 * plain["end_to_end_mm"], rel=0.004)


@pytest.mark.reasoned
def test_the_pictures_keep_nothing_of_the_file(tmp_path: Path) -> None:
    """Annotated picture and figure are made, the photo stays as it was, and nothing of its EXIF goes along."""
    exif = Image.Exif()
    exif.get_ifd(0x8825)[2] = (45.0, 30.0, 0.0)
    photo = saved(tmp_path, Image.open(EDGE), exif=exif.tobytes())
    before = photo.read_bytes()
    out, figure = tmp_path / "out.jpg", tmp_path / "mark.svg"
    done = run(
        "mark", photo, *ends("crack-at-edge"), *WALL, "--out", out, "--figure", figure, "--said", "1-curb"
    )

    assert done.exit_code == 0
    assert photo.read_bytes() == before
    made = Image.open(io.BytesIO(out.read_bytes()))
    assert not made.getexif()
    assert min(made.size) > 300
    assert "10 mm" in figure.read_text("utf-8")
    assert len(figure.read_bytes()) <= 60_000


@pytest.mark.reasoned
def test_from_the_photo_to_the_sheet(tmp_path: Path) -> None:
    """The entry is a table of the visit; the sheet has its figure; felt by nobody is a recheck, caught is F1."""
    figure = tmp_path / "mark.svg"
    text = run("mark", EDGE, *ends("crack-at-edge"), *WALL, "--figure", figure, "--for-visit").stdout
    row = MarkSeen(**tomllib.loads(text)["corner"]["mark"][0])
    start = 'date = 2026-11-19\ntechnician = "T1"\n[unit]\nid = "A"\naxles = 1\nbrake = "electric drum"\ndrum = "12 in"\n'
    corners = (
        start
        + '[[corner]]\nposition = "1-road"\nrest_fine = "T1"\n[[corner]]\nposition = "1-curb"\nrest_fine = "T1"\n'
    )
    visit, sheet = tmp_path / "visit.toml", tmp_path / "sheet.pdf"
    visit.write_text(corners + text, "utf-8")
    done = run("examine", visit, "--pdf", sheet, "--json")
    calls = {(p["position"], p["part"]): p for p in json.loads(done.stdout)["parts"]}

    assert row.reaches_edge is True
    assert calls["1-curb", "hub-drum"]["call"] == "recheck"
    assert calls["1-road", "hub-drum"]["call"] == "keep"
    assert PICTURED in sheet.read_bytes()
    figure.unlink()
    again = run("examine", visit, "--pdf", sheet)
    assert "mark.svg" in again.stderr
    assert PICTURED not in sheet.read_bytes()
    visit.write_text(corners + text + 'felt = "catches"\nfelt_by = "T1"\n', "utf-8")
    caught = json.loads(run("examine", visit, "--json").stdout)["parts"]
    call = next(p for p in caught if (p["position"], p["part"]) == ("1-curb", "hub-drum"))
    assert (call["call"], call["because"]) == ("replace", ["F1"])


@pytest.mark.reasoned
def test_a_figure_of_another_make_is_not_taken(tmp_path: Path) -> None:
    """Only small pictures with nothing to fetch, from the visit's own folder."""
    from wheeltapper.report.mark_figure import kept_figures

    rows = []
    for name, text in (
        ("a.svg", '<svg><image href="http://example.org/x"/></svg>'),
        ("b.svg", "text"),
        ("../c.svg", "<svg/>"),
    ):
        (tmp_path / Path(name).name).write_text(text, "utf-8")
        rows.append(MarkSeen(photo="p.jpg", verdict="measured", figure=name))

    class Corner:
        mark = tuple(rows)

    class Visit:
        corner = (Corner(),)

    figures, slips = kept_figures(Visit(), tmp_path)  # type: ignore[arg-type]
    assert figures == {}
    assert len(slips) == 3


@pytest.mark.reasoned
def test_the_same_photo_has_not_grown(tmp_path: Path) -> None:
    """Against itself: no growth, and a page to wipe between the two."""
    page = tmp_path / "wipe.html"
    where = ends("crack-at-edge")
    found = measured(EDGE, *where, *WALL, "--before", EDGE, "--before-ends", *where[1:], "--wipe", page)

    assert found["growth"]["grown_mm"] == pytest.approx(0, abs=0.05)
    assert found["growth"]["beyond_doubt"] is False
    assert np.abs(found["growth"]["ends_moved_mm"]).max() < 0.3
    assert "data:image" in page.read_text("utf-8")
    both = tmp_path / "both.png"
    run("mark", EDGE, *where, *WALL, "--before", EDGE, "--before-ends", *where[1:], "--wipe", both)
    with Image.open(both) as picture:
        assert picture.width > picture.height


@pytest.mark.reasoned
def test_two_places_are_not_one() -> None:
    """A photo of another drum is said not to show this place."""
    other = PICTURES / "network.jpg"
    out = run("mark", EDGE, *ends("crack-at-edge"), *WALL, "--before", other, "--json")

    assert out.exit_code == 1
    assert "do not show the same place" in out.stderr
