"""The door of the single computations: texts to SI numbers, every slip at once, and columns of files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from wheeltapper.cli import main
from wheeltapper.workout.formula import Ask, Formula
from wheeltapper.workout.reading import given, units_of

pytestmark = pytest.mark.reasoned


def form(*asks: Ask) -> Formula:
    """A formula that only asks."""
    return Formula("x", "x", asks, lambda g, t: pytest.fail("not worked here"), "", "", "", "")


def run(*words: str) -> tuple[int, str, str]:
    """Exit code, output and error output of a work-out."""
    out = CliRunner().invoke(main, ["work-out", *words])
    return out.exit_code, out.stdout, out.stderr


@pytest.mark.parametrize(
    ("dimension", "text", "si"),
    [
        ("length", "1 in", 0.0254),
        ("length", "25.4mm", 0.0254),
        ("temperature", "212 F", 373.15),
        ("temperature difference", "180 F", 100.0),
        ("temperature difference", "100 C", 100.0),
        ("pressure", "1.5e2 MPa", 1.5e8),
        ("angle", "180 deg", 3.141592653589793),
        ("expansion", "6.5e-6 1/F", 11.7e-6),
        ("number", "-0.25", -0.25),
        ("number", "3/8", 0.375),
        ("mass", "100 lb", 45.359237),
    ],
)  # fmt: skip
def test_one_number(dimension: str, text: str, si: float) -> None:
    """A number with its unit becomes SI by the unit's definition."""
    inputs, slips = given(form(Ask("a", dimension, "a")), {"a": text})

    assert slips == ()
    assert inputs is not None
    assert inputs.number("a") == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize("text", ["1 2 3 mm", "1, 2, 3 mm", "1;2;3 mm", "1 2 3mm", "  1  2 3  mm"])
def test_a_list(text: str) -> None:
    """A list is written with blanks, with or without commas; its unit stands once, at the end."""
    inputs, slips = given(form(Ask("a", "length", "a", many=True)), {"a": text})

    assert slips == ()
    assert inputs is not None
    assert inputs.many("a") == pytest.approx((0.001, 0.002, 0.003))


@pytest.mark.parametrize(
    ("texts", "what"),
    [
        ({"a": "1 furlong"}, "no unit that fits"),
        ({"a": "12"}, "no unit that fits"),
        ({"a": "ten mm"}, "not a number"),
        ({"a": "1 2 mm"}, "more than one number"),
        ({"a": "nan mm"}, "not a number"),
        ({"a": "1e999 mm"}, "not a number"),
        ({"a": "1 MPa"}, "no unit that fits"),
        ({}, "is missing"),
        ({"a": "1 mm", "aa": "2"}, "not an input"),
    ],
)
def test_slips_are_problems(texts: dict[str, str], what: str) -> None:
    """What cannot be used is named, with what to do."""
    inputs, slips = given(form(Ask("a", "length", "how long")), texts)

    assert inputs is None
    assert [what in p.what for p in slips] == [True]
    assert slips[0].do.endswith((".", "?"))


def test_what_may_be_left_out() -> None:
    """A default counts as if written, a blank one as not known, a word is one of its words."""
    asks = (
        Ask("a", "length", "a", default="2 mm"),
        Ask("b", "length", "b", default=""),
        Ask("c", "word", "c", words=("near", "far")),
    )
    inputs, slips = given(form(*asks), {"c": "near"})
    _, wrong = given(form(*asks), {"c": "neer"})

    assert (slips, inputs and inputs["b"]) == ((), None)
    assert inputs is not None
    assert inputs.number("a") == pytest.approx(0.002)
    assert not inputs.has("b")
    assert "did you mean 'near'" in wrong[0].do


def test_every_slip_is_told_at_once() -> None:
    """Two inputs that are wrong and one that is missing are three Problems."""
    asks = (Ask("a", "length", "a"), Ask("b", "mass", "b"), Ask("c", "time", "c"))
    _, slips = given(form(*asks), {"a": "x", "b": "1 mm"})

    assert [p.where for p in slips] == ["a", "b", "c"]


def test_units_by_dimension() -> None:
    """A difference of temperature is written in the units of temperature, a pure number in none."""
    assert units_of("temperature difference") == units_of("temperature") != ()
    assert units_of("number") == ()


def test_a_list_of_all_and_the_needs_of_one() -> None:
    """Without a name every computation is listed; with a name alone it says what it needs."""
    code, out, _ = run()
    needs = run("limit")

    assert code == 0
    assert "limit " in out
    assert needs[0] == 0
    assert "doubt" in needs[1]
    assert "at most if left out" in needs[1]


def test_an_answer_on_the_terminal_and_as_json() -> None:
    """Both faces say the same; JSON has SI, the unit, the source and no problems."""
    words = ("limit", "size=12.08 in", "doubt=0.003 in", "limit=12.090 in")
    code, out, _ = run(*words)
    data: dict[str, Any] = json.loads(run(*words, "--json")[1])

    assert code == 0
    assert "inside the limit" in out
    assert data["results"]["verdict"]["value"] == "inside the limit"
    assert data["problems"] == []
    assert "JCGM 106" in data["source"]
    assert data["given"]["sense"] == "at most"


def test_slips_on_the_command_line() -> None:
    """Exit code 1 with every slip on the error output and in the JSON; a name nobody knows is misuse, 2."""
    code, out, err = run("limit", "size=12 furlong", "doubt", "limit=1 in", "limit=2 in")
    data = json.loads(run("limit", "size=12 in", "doubt=0 in", "limit=1 in", "--json")[1])
    unknown = run("limmit")

    assert (code, out) == (1, "")
    assert "doubt: is not name='value unit'" in err
    assert "limit: stands twice" in err
    assert "the gauge's doubt is zero" in data["problems"][0]["what"]
    assert unknown[0] == 2
    assert "did you mean 'limit'" in unknown[2]


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("# a comment\nx,y\n1,5\n2,6\n3,7\n", "x"),
        ("x;y\n1;5\n2;6\n3;7\n", "1"),
        ("1 5\n2 6\n3 7\n", "1"),
        ("1,5\n2,6\n3,7\n", "1"),
        ("  1.0   5\n\n  2.0 6\n 3 7\n", "1"),
    ],
)
def test_a_column_of_a_file(tmp_path: Path, text: str, column: str) -> None:
    """A column by its name or its number, from commas, semicolons or blanks, with or without a heading."""
    file = tmp_path / "points.txt"
    file.write_text(text, "utf-8")
    code, out, err = run("repeat-readings", f"readings=@{file} {column} mm", "doubt=0.1 mm", "--json")

    assert (code, err) == (0, "")
    assert json.loads(out)["results"]["mean"]["si"] == pytest.approx(0.002)


@pytest.mark.parametrize("rest", ["z mm", "9 mm", "0 mm", ""])
def test_no_such_column(tmp_path: Path, rest: str) -> None:
    """A column or a file that is not there is a slip that says how to write it."""
    file = tmp_path / "points.csv"
    file.write_text("x,y\n1,5\n", "utf-8")
    for name in (file, tmp_path / "nothing.csv"):
        code, _, err = run("repeat-readings", f"readings=@{name} {rest}", "doubt=0.1 mm")

        assert code == 1
        assert "@FILE COLUMN UNIT" in err
