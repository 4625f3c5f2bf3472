"""`board`: the fleet on the terminal, for a program, and as files."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest

from web.phone import peopled
from web.serving import command, environment

pytestmark = pytest.mark.reasoned
FILL = """
import django
django.setup()
from wheeltapper.web.demo_shop import _earlier
_earlier()
"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop folder with the invented fleet's years."""
    folder = peopled(tmp_path_factory.mktemp("board") / "shop")
    setting = environment(WHEELTAPPER_FOLDER=str(folder), DJANGO_SETTINGS_MODULE="wheeltapper.web.settings")
    subprocess.run([sys.executable, "-c", FILL], env=setting, check=True)
    return folder


def test_on_the_terminal(shop: Path) -> None:
    out = command("board", "--folder", str(shop))

    assert out.returncode == 0
    assert out.stdout.startswith("again  brakes not adjusted on 3 of")
    assert "LH-201: 3 bearing sets at 2-curb" in out.stdout
    assert "LH-207  ·  out, re-torque due" in out.stdout
    assert out.stdout.count("LATE") >= 5


def test_for_a_program_as_of_another_day(shop: Path) -> None:
    """Three years on, no unit was seen within a year: nothing is said of the fleet, and what single units showed stays."""
    out = json.loads(command("board", "--folder", str(shop), "--json", "--on", "2031-01-01").stdout)

    assert out["on"] == "2031-01-01"
    assert len(out["units"]) == 8
    assert {a["kind"] for a in out["alarms"]} == {"bearings", "side"}
    assert {"unit", "on", "by_date", "after_miles", "pace_assumed"} <= set(out["due"][0])


def test_as_files(shop: Path, tmp_path: Path) -> None:
    out = command("board", "--folder", str(shop), "--csv", str(tmp_path / "lists"))

    assert out.returncode == 0
    with (tmp_path / "lists" / "units.csv").open(encoding="utf-8-sig", newline="") as file:
        assert len(list(csv.DictReader(file))) == 8
    assert (tmp_path / "lists" / "due.csv").stat().st_size > 1000


def test_bad_input(shop: Path, tmp_path: Path) -> None:
    no_shop = command("board", "--folder", str(tmp_path))
    (tmp_path / "file").write_text("in the way")
    no_folder = command("board", "--folder", str(shop), "--csv", str(tmp_path / "file"))
    (shop / "house").mkdir()
    (shop / "house" / "house.toml").write_text('alarm_units = "none"\n')
    broken = command("board", "--folder", str(shop))
    (shop / "house" / "house.toml").unlink()

    assert (no_shop.returncode, "there is no shop in it. To do:" in no_shop.stderr) == (1, True)
    assert (no_folder.returncode, "is a file" in no_folder.stderr) == (2, True)
    assert (broken.returncode, "alarm_units" in broken.stderr) == (2, True)
    assert "Traceback" not in no_shop.stderr + no_folder.stderr + broken.stderr
