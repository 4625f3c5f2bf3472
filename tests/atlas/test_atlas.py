"""The pictures of good and bad parts: whole, small, labelled, found by their words; and the product needs no renderer."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from conftest import ROOT, priced
from wheeltapper.atlas import GOOD, conditions, data_of, own_photo, pairs, photo_name, pictures, strangers
from wheeltapper.cli import main
from wheeltapper.words import PARTS

pytestmark = pytest.mark.reasoned
FOLDER = Path(str(files("wheeltapper") / "atlas_pictures"))
MOST_BYTES, MOST_ALL = 90 * 1024, 12 * 1024 * 1024
PAIR = ("hub-drum", "glaze")
MEASURED = ("lining thickness", "thin")  # a number with a look of its own
FELT_OR_HEARD = {  # by hand, by ear, or only as it happens: no still picture shows them
    ("nuts", "loose"), ("cap", "keeps leaving"), ("end play before removal", "clunk"), ("end play before removal", "bind"),
    ("hub heat on arrival", "hotter than its mate"), ("band under the fingernail", "catches"), ("ring", "dull"),
    ("ring", "dull, clean and hung free, repeated"), ("ring", "dull, lying down or dirty"), ("cups", "moves by hand"),
    ("seal bore", "does not hold a new seal"), ("cap bore", "does not hold a new cap"), ("studs", "turns in the hub"),
    ("bearings", "rough when spun"), ("shoes", "stuck, freed with a tap"), ("shoes", "stuck fast"), ("shoes", "dragging"),
    ("adjuster and springs", "adjuster stiff, freed"), ("rotor surface", "crack felt"), ("caliper", "slide stuck, freed"),
    ("caliper", "slide stuck fast"), ("caliper", "piston stuck"),
}  # fmt: skip


def opened(file: str) -> np.ndarray:
    """Pixels of one of our pictures."""
    return np.asarray(Image.open(io.BytesIO(data_of(file))).convert("RGB"), np.int16)


def own(house: Path, view: str, data: bytes | None = None) -> Path:
    """A shop's photo of a good drum in its house folder."""
    path = house / "atlas" / photo_name("hub-drum", view)
    path.parent.mkdir(exist_ok=True)
    if data is None:
        Image.new("RGB", (400, 300), (10, 200, 10)).save(path, "JPEG")
    else:
        path.write_bytes(data)
    return path


def test_every_row_has_its_file_and_every_file_its_row() -> None:
    """No orphans either way, no row twice."""
    named = [p.file for p in pictures()]

    assert len(named) > 20
    assert sorted(named) == sorted(p.name for p in FOLDER.iterdir() if p.name != "manifest.csv")


def test_every_word_that_can_be_seen_has_its_pair() -> None:
    """Each condition of the sweep has a picture, or is one that no still picture shows; and that list names nothing else."""
    words = {(c.check, w): c.part for c in priced().checks.values() for w in c.found}
    shown = {(p.check, p.condition) for p in pictures() if p.condition != GOOD}

    assert set(words) - shown == FELT_OR_HEARD
    for (check, word), part in words.items():
        if (check, word) not in FELT_OR_HEARD:
            assert word in conditions()[part], (check, word)


def test_words_are_the_sweeps_own() -> None:
    """Part, check and condition are words that a visit may write."""
    checks = priced().checks
    for p in pictures():
        assert p.part in {*PARTS, *(c.part for c in checks.values())}
        if p.condition != GOOD:
            assert p.condition in checks[p.check].found or (p.check, p.condition) == MEASURED, p.file
            assert p.part == checks[p.check].part, p.file


def test_every_condition_has_its_pair_and_its_outline() -> None:
    """The good part is from the same view and seed; what differs is outlined; degrees come as both or none."""
    good = {p.file: p for p in pictures() if p.condition == GOOD}
    for p in pictures():
        assert (good[p.good].view, good[p.good].seed) == (p.view, p.seed)
    for part, words in conditions().items():
        for word in words:
            found, slips = pairs(part, word)
            assert slips == ()
            assert all(pair.outlined is not None for pair in found)
            degrees = [pair.bad.severity for pair in found]
            assert degrees == [""] or ("" not in degrees and len(set(degrees)) == len(degrees))


def test_sizes() -> None:
    """1200 wide, all of one height, and small enough to carry."""
    sizes = {Image.open(io.BytesIO(data_of(p.file))).size for p in pictures()}

    assert {w for w, _ in sizes} == {1200}
    assert len(sizes) == 1
    assert max(len(data_of(p.file)) for p in pictures()) <= MOST_BYTES
    assert sum(len(data_of(p.file)) for p in pictures()) <= MOST_ALL


def test_the_label_is_burnt_in() -> None:
    """Lower right, the same letters on each: the strip's right half is alike on all pictures but for packing."""
    first, *rest = (opened(p.file)[-44:, -330:] for p in pictures())

    assert ((first[..., 0] > 180) & (first[..., 2] < 150)).sum() > 500  # yellow letters
    assert max(float(np.abs(other - first).mean()) for other in rest) < 6


def test_a_pair_differs_and_only_in_what_it_shows() -> None:
    """Good and bad are alike in the bay behind and differ in the part."""
    for part, words in conditions().items():
        for word in words:
            for pair in pairs(part, word)[0]:
                good, bad = opened(pair.bad.good)[:-44], opened(pair.bad.file)[:-44]
                gap = np.abs(good - bad).mean(2).reshape(20, 40, 30, 40).mean((1, 3))
                assert gap.max() > 6, pair.bad.file
                assert np.sort(gap.ravel())[:12].mean() < 6, pair.bad.file


def test_the_product_runs_without_the_renderer() -> None:
    """The atlas is shown with Mitsuba and our model barred."""
    bar = "import sys; sys.modules['mitsuba'] = None; sys.modules['atlas'] = None; from wheeltapper.cli import main; main(['atlas', 'list'])"
    out = subprocess.run(
        [sys.executable, "-c", bar], capture_output=True, text=True, check=False, cwd=ROOT / "docs"
    )

    assert out.returncode == 0, out.stderr
    assert "glaze" in out.stdout


def test_the_product_names_no_renderer() -> None:
    """Nothing in the product imports the model."""
    barred = re.compile(r"^\s*(?:import|from) (?:mitsuba|atlas)\b", re.MULTILINE)

    assert [p.name for p in (ROOT / "src").rglob("*.py") if barred.search(p.read_text("utf-8"))] == []


@pytest.mark.parametrize(
    "words, said",
    [
        (["hub-drumm", "glaze"], "did you mean 'hub-drum'?"),
        (["hub-drum", "glaced"], "did you mean 'glaze'?"),
        (["sprocket", "glaze"], "the atlas has no such part"),
    ],
)
def test_a_wrong_word_gets_a_sentence(words: list[str], said: str) -> None:
    """The nearest word, no traceback, exit code 1."""
    out = CliRunner().invoke(main, ["atlas", "show", *words])

    assert out.exit_code == 1
    assert said in out.stderr
    assert out.stdout == ""


def test_show_says_what_to_look_for(tmp_path: Path) -> None:
    """The check's own question, the files, that it is rendered; the page holds three pictures a pair."""
    page = tmp_path / "glaze.html"
    out = CliRunner().invoke(main, ["atlas", "show", *PAIR, "--page", str(page)])

    assert out.exit_code == 0, out.output
    assert priced().checks["band surface"].ask in out.stdout
    assert "not photographs" in out.stdout
    text = page.read_text("utf-8")
    assert text.count("data:image/webp") == 3 * len(pairs(*PAIR)[0])
    assert "http" not in text.replace("http-equiv", "")


def test_export(tmp_path: Path) -> None:
    """All files as they are, a page, and a sentence where the folder cannot be made."""
    out = CliRunner().invoke(main, ["atlas", "export", str(tmp_path / "all")])

    assert out.exit_code == 0, out.output
    names = {p.name for p in (tmp_path / "all").iterdir()}
    assert names == {"index.html", "manifest.csv", *(p.file for p in pictures())}
    (tmp_path / "file").write_text("x")
    refused = CliRunner().invoke(main, ["atlas", "export", str(tmp_path / "file" / "sub")])
    assert refused.exit_code == 1
    assert "cannot be written" in refused.stderr


def test_a_shops_own_photo_stands_in(tmp_path: Path) -> None:
    """The shop's good part is shown and said to be a photo; other views keep ours."""
    view = pairs(*PAIR)[0][0].bad.view
    own(tmp_path, view)
    found, slips = pairs(*PAIR, tmp_path)

    assert slips == ()
    assert all(pair.good_is_photo and pair.good[:2] == b"\xff\xd8" for pair in found)
    out = CliRunner().invoke(main, ["atlas", "show", *PAIR, "--house", str(tmp_path)])
    assert "the photo of the shop" in out.stdout


@pytest.mark.parametrize("data", [b"", b"no picture at all", b"\xff\xd8\xff\xe0 cut off"])
def test_a_damaged_photo_is_told_and_ours_stands_in(tmp_path: Path, data: bytes) -> None:
    """A Problem with the file's name; the pair is still there, rendered."""
    view = pairs(*PAIR)[0][0].bad.view
    path = own(tmp_path, view, data)
    found, slips = pairs(*PAIR, tmp_path)

    assert found
    assert not any(pair.good_is_photo for pair in found)
    assert [s.where for s in slips] == [path.name]


def test_no_photo_and_no_folder(tmp_path: Path) -> None:
    """No photo is no problem; no house folder is one."""
    assert own_photo(tmp_path, "hub-drum", "band") == (None, ())
    data, slips = own_photo(tmp_path / "none", "hub-drum", "band")
    assert data is None
    assert slips[0].what == "there is no such folder"


def test_a_misnamed_photo_is_told(tmp_path: Path) -> None:
    """A file that stands in for nothing gets the nearest name."""
    own(tmp_path, "band").rename(tmp_path / "atlas" / "hub-drum-bnd.jpg")
    slips = strangers(tmp_path)

    assert [s.do for s in slips] == ["did you mean 'hub-drum-band.jpg'?"]
    out = CliRunner().invoke(main, ["atlas", "list", "--house", str(tmp_path)])
    assert out.exit_code == 1
