"""`paper`: prints for a unit of the shop, of a file, or never seen; and says what is wrong with what it is asked."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from web.serving import command, environment

pytestmark = pytest.mark.reasoned
EXAMPLE = Path(__file__).parents[2] / "examples" / "visit.toml"
FILL = """
import django; django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from wheeltapper.store.entries import Entry
from wheeltapper.store.keep import add, open_visit, summarise
for v, (unit, axles) in enumerate((("TF-0417", 2), ("T0-12", 1), ("TO-12", 3), ("KT 88", 1))):
    visit = open_visit()
    body = {"date": "2026-11-02", "technician": "JT", "unit": {"id": unit, "axles": axles, "brake": "electric drum", "drum": "10 in"},
            "corner": [{"position": "1-road", "look": [{"check": "cap", "found": ["missing"]}]}]}
    add(visit, [Entry(id=f"{v:032x}", at="2026-11-02T08:00:00.000Z", by="JT", kind="piece", body=body)], "d")
    summarise(visit, 1, unit, "in work", {})
"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop that has seen four units, two of them written alike."""
    folder = tmp_path_factory.mktemp("shop")
    setting = environment(WHEELTAPPER_FOLDER=str(folder), DJANGO_SETTINGS_MODULE="wheeltapper.web.settings")
    subprocess.run([sys.executable, "-c", FILL], env=setting, check=True)
    return folder


def printed(path: Path) -> list[str]:
    """The text of each page."""
    return [" ".join(p.extract_text().split()) for p in PdfReader(path).pages]


def test_a_unit_of_the_shop_with_what_was_found_last_time(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "p.pdf"
    done = command("paper", "tf 0417", "--folder", str(shop), "--out", str(out), "--paper", "a4")

    assert done.returncode == 0, done.stderr
    said = printed(out)
    assert len(said) == 9
    assert "TF-0417, 1-road" in said[0]
    assert "Last here 2 Nov 2026: cap: missing" in said[0]
    assert "cap: missing" not in said[2]
    assert "mid 0 10." in said[1]


def test_a_unit_never_seen(tmp_path: Path) -> None:
    out = tmp_path / "p.pdf"
    words = (
        "--brake",
        "hydraulic disc",
        "--axles",
        "1",
        "--folder",
        str(tmp_path / "none"),
        "--out",
        str(out),
    )

    assert command("paper", "NEW 1", *words).returncode == 0
    assert "Never here before" in printed(out)[0]
    assert not (tmp_path / "none").exists()


def test_a_visit_file(tmp_path: Path) -> None:
    out = tmp_path / "p.pdf"
    done = command("paper", "TF-0417", "--visit", str(EXAMPLE), "--out", str(out))

    assert done.returncode == 0, done.stderr
    said = printed(out)
    assert len(said) == 9
    assert "6 on 5.5" in said[0]
    assert "Last here 19 Nov 2026: " in said[0]


def test_one_of_two_alike_by_its_very_name(shop: Path, tmp_path: Path) -> None:
    out = tmp_path / "p.pdf"
    assert command("paper", "T0-12", "--folder", str(shop), "--out", str(out)).returncode == 0
    assert len(printed(out)) == 5
    assert command("paper", "TO-12", "--folder", str(shop), "--out", str(out)).returncode == 0
    assert len(printed(out)) == 13


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["t012"], "2 units are written alike: TO-12, T0-12. To do: write one of them to the letter."),
        (["NOBODY"], "no visit of it is kept here. To do: say --brake, --axles and --drum."),
        (["88"], "write KT 88, if you meant that; else say --brake"),
        (["KT 88", "--out", "/no/such/folder/p.pdf"], "cannot be written"),
        (["KT 88", "--axles", "9"], "9 is not in the range"),
        (["KT 88", "--brake", "string"], "'string' is not one of"),
        (["KT 88", "--visit", "/no/such.toml"], "cannot be read"),
        (["KT 88", "--visit", str(EXAMPLE)], "it is a visit of"),
        (["KT 88", "--house", "/no/such/house"], "tables:"),
    ],
)
def test_bad_input(shop: Path, tmp_path: Path, words: list[str], said: str) -> None:
    out = tmp_path / "p.pdf"
    done = command("paper", "--folder", str(shop), "--out", str(out), *words)

    assert done.returncode != 0
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert not out.exists()


def test_no_shop_there(tmp_path: Path) -> None:
    done = command("paper", "X", "--folder", str(tmp_path / "none"))

    assert done.returncode == 1
    assert "there is no shop in it" in done.stderr
    assert not (tmp_path / "none").exists()
