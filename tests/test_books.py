"""`wheeltapper books`: out as CSV and in again, as a spreadsheet of any country saves it."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from conftest import ROOT
from wheeltapper.cli import main
from wheeltapper.reference.books import BOOKS, book_in, book_out
from wheeltapper.reference.house import load

pytestmark = pytest.mark.reasoned


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """The example's books as a shop's own."""
    folder = tmp_path / "house"
    folder.mkdir()
    for path in (ROOT / "examples" / "house").iterdir():
        (folder / path.name).write_bytes(path.read_bytes())
    return folder


def test_what_goes_out_comes_in_as_the_same(house: Path, tmp_path: Path) -> None:
    before = load(house).fingerprint
    went = CliRunner().invoke(main, ["books", "out", str(tmp_path / "out"), "--house", str(house)])
    files = [str(tmp_path / "out" / f"{name}.csv") for name in BOOKS]
    came = CliRunner().invoke(main, ["books", "in", *files, "--house", str(house)])

    assert (went.exit_code, came.exit_code) == (0, 0), came.output
    assert "prices.csv: 0 cells changed." in came.output
    assert load(house).fingerprint == before


def test_a_trial_changes_nothing(house: Path, tmp_path: Path) -> None:
    mine = tmp_path / "labour.csv"
    mine.write_text("code,say,hours\nL-HUB,hub,0.75\n")
    before = (house / "labour.csv").read_bytes()
    tried = CliRunner().invoke(main, ["books", "in", str(mine), "--house", str(house), "--try"])

    assert "labour: L-HUB, hours: 0.6 -> 0.75" in tried.output
    assert (house / "labour.csv").read_bytes() == before


def test_semicolons_and_a_mark_at_the_start_are_understood(house: Path) -> None:
    laid = book_in(
        "taxes", "\ufeffcode;say;percent;on\r\nVAT;value added;19;parts labour fees\r\n".encode(), house
    )

    assert laid.faults == ()
    assert [t.code for t in load(house).taxes if t.percent] == [
        "VAT"
    ]  # the shop's file as a whole takes the old one's place
    assert "VAT,value added,19,parts labour fees" in book_out("taxes", house)


def test_a_decimal_comma_is_never_guessed(house: Path) -> None:
    laid = book_in(
        "prices", b"code;part;drum;studs;brake;say;price;unit\nSEAL;seal;;;;seal;9,50;each\n", house
    )

    assert any("'9,50' is not an amount of money: write 1240.00" in fault for fault in laid.faults)
    assert load(house).price_of["SEAL"].cents == 950


@pytest.mark.parametrize(
    "data", [b"\xff\xfe\x00", b"x" * 2_100_000, b'code,say,hours\n"L-HUB', b"\x00,\x00\n\x00,\x00"]
)
def test_what_is_no_book_is_said_to_be_none(house: Path, data: bytes) -> None:
    assert book_in("labour", data, house).faults
    assert load(house).labour["L-HUB"].hours * 10 == 6


def test_a_file_of_another_name_is_no_book(house: Path, tmp_path: Path) -> None:
    mine = tmp_path / "rules.csv"
    mine.write_text("id\nF1\n")
    answer = CliRunner().invoke(main, ["books", "in", str(mine), "--house", str(house)])

    assert answer.exit_code == 2
    assert "rules.csv is no book" in answer.output


def test_faults_are_told_and_end_in_one(house: Path, tmp_path: Path) -> None:
    mine = tmp_path / "fees.csv"
    mine.write_text("code,say,amount,percent,of,at_most\nA,a,1.00,500,labour,\n")
    answer = CliRunner().invoke(main, ["books", "in", str(mine), "--house", str(house)])

    assert answer.exit_code == 1
    assert "fees, A: '500' is not a number of percent" in answer.output
