"""Every command does what its help says, and fails with a sentence and the right exit code."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result

from conftest import ROOT
from wheeltapper.cli import main

EXAMPLES = ROOT / "src" / "wheeltapper" / "examples"
VISIT, HOUSE = str(EXAMPLES / "visit.toml"), str(EXAMPLES / "house")
pytestmark = pytest.mark.reasoned


def run(*words: str) -> Result:
    """One command line, in this process."""
    return CliRunner().invoke(main, list(words), catch_exceptions=False)


def test_examine_prints_the_sections_in_order() -> None:
    """Unsafe, bench work, choice, fine, not settled, not checked, why, quote, next, cautions."""
    out = run("examine", VISIT, "--house", HOUSE)

    titles = [
        "Cannot go back",
        "Bench work first",
        "Your choice",
        "Fine",
        "Not settled",
        "Could not be checked",
        "Why",
        "Quote",
        "Next",
        "Cautions",
    ]
    places = [out.stdout.index(f"── {title} ") for title in titles]
    assert out.exit_code == 0
    assert places == sorted(places)


def test_examine_json_has_the_promised_shape() -> None:
    """The keys of the documented shape are there, whatever else is."""
    out = json.loads(run("examine", VISIT, "--house", HOUSE, "--json").stdout)

    assert {"release", "parts", "causes", "quote", "next", "problems", "tables"} <= set(out)
    assert set(out["release"]) == {"state", "because"}
    assert {"position", "part", "call", "because", "missing", "why"} <= set(out["parts"][0])
    assert {"id", "position", "say", "for", "against", "separate_by"} <= set(out["causes"][0])
    assert {"booked", "booked_cents", "must", "choice", "not_needed", "must_cents"} <= set(out["quote"])
    assert {"code", "qty", "cents", "for"} <= set(out["quote"]["must"][0])
    assert {"say", "lines", "cents"} <= set(out["quote"]["choice"][0]["options"][0])
    assert {"what", "miles"} <= set(out["next"][0])


def test_without_a_price_book_lines_stand_without_money() -> None:
    """We ship no prices: quantities are there, sums are not, and no money is made up."""
    out = json.loads(run("examine", VISIT, "--json").stdout)

    assert out["quote"]["must_cents"] is None
    assert {row["code"]: row["qty"] for row in out["quote"]["must"]}["HD12_6"] == 1


def test_json_visits_are_read_like_toml_visits(tmp_path: Path) -> None:
    """The same visit as JSON gives the same bytes, 10.020 and 10.02 told apart as typed."""
    data = tomllib.loads(Path(VISIT).read_text("utf-8"), parse_float=str)
    as_json = tmp_path / "visit.json"
    as_json.write_text(json.dumps(data, default=str), "utf-8")

    assert run("examine", str(as_json), "--json").stdout == run("examine", VISIT, "--json").stdout


@pytest.mark.parametrize("name", ["visit.toml", "disc.toml", "measured.toml"])
def test_examples_fit_the_schema(name: str) -> None:
    """The schema we print accepts the visits we ship."""
    schema = json.loads(run("schema").stdout)
    visit = tomllib.loads((EXAMPLES / name).read_text("utf-8"), parse_float=str)

    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads(json.dumps(visit, default=str)), schema)


def test_the_schema_refuses_an_unknown_answer() -> None:
    """An answer that a check does not know is outside the schema."""
    schema = json.loads(run("schema").stdout)
    look = {"check": "cups", "found": ["wobbles a bit"]}
    rules = {**schema["$defs"]["Look"], "$defs": schema["$defs"]}

    assert not jsonschema.Draft202012Validator(rules).is_valid(look)
    assert jsonschema.Draft202012Validator(rules).is_valid({"check": "cups", "found": ["moves by hand"]})


def test_rules_are_the_documented_rule_book() -> None:
    """docs/rules.md and docs/checks.md are what the commands print."""
    assert run("rules").stdout == (ROOT / "docs" / "rules.md").read_text("utf-8")
    assert run("rules", "--checks").stdout == (ROOT / "docs" / "checks.md").read_text("utf-8")


def test_tables_check_names_every_fault_at_once(tmp_path: Path) -> None:
    """A broken house folder: each fault on its own line, exit code 2."""
    (tmp_path / "limits.toml").write_text(
        '[[limit]]\nid = "out_of_round"\nvalue = "0.050"\n[[limit]]\nid = "drum_max.10 in"\nvalue = "10.100"\n'
        '[[limit]]\nid = "slip"\nvalue = "0.060"\n[[limit]]\nid = "no_such"\nvalue = "1"\n', "utf-8",
    )  # fmt: skip
    (tmp_path / "rules.toml").write_text('[[rule]]\nid = "F8.over"\ncall = "keep"\n', "utf-8")
    (tmp_path / "prices.csv").write_text("code,cost\nX,1\n", "utf-8")
    (tmp_path / "pricess.csv").write_text("", "utf-8")
    out = run("tables", "check", "--house", str(tmp_path))

    assert out.exit_code == 2
    for piece in (
        "outside what is allowed",
        "may only go lower",
        "this limit is fixed",
        "no such limit",
        "fixed rule stays",
        "columns must be",
        "did you mean 'prices.csv'",
    ):
        assert piece in out.stderr


def test_a_house_cannot_bring_a_milder_fixed_rule(tmp_path: Path) -> None:
    """A shop's row may not call itself fixed, nor take an id of the F family."""
    row = '[[rule]]\nid = "F99.x"\npart = "hub-drum"\nwhen = ["crack.felt"]\ncall = "keep"\nstrength = "fixed"\nwhy = "x"\nowner = "x"\nsource = "house-default"\nsince = 2026-01-01\n'
    (tmp_path / "rules.toml").write_text(row, "utf-8")

    assert run("tables", "check", "--house", str(tmp_path)).exit_code == 2


def test_tables_diff_shows_rows_and_changed_visits(tmp_path: Path) -> None:
    """A stricter roundness limit: the row, and the drum that would be called differently."""
    visit = (
        Path(VISIT)
        .read_text("utf-8")
        .replace('"12.019", "12.021", "12.020", "12.020"', '"12.019", "12.031", "12.020", "12.020"')
    )
    visit = visit.replace("punch, peen or knurl marks", "fine")
    visits = tmp_path / "visits"
    visits.mkdir()
    (visits / "a.toml").write_text(visit, "utf-8")
    house = tmp_path / "house"
    house.mkdir()
    (house / "limits.toml").write_text('[[limit]]\nid = "out_of_round"\nvalue = "0.010"\n', "utf-8")
    out = run("tables", "diff", str(house), "--visits", str(visits))

    assert "limits: out_of_round value: 0.015 -> 0.010" in out.stdout
    assert "2-road hub-drum: keep -> replace" in out.stdout


def test_show_changes_the_unit_and_nothing_else() -> None:
    """The same calls in inches and in millimetres."""
    inch = json.loads(run("examine", VISIT, "--json", "--show", "in").stdout)
    mm = json.loads(run("examine", VISIT, "--json", "--show", "mm").stdout)

    assert [(p["position"], p["part"], p["call"]) for p in inch["parts"]] == [
        (p["position"], p["part"], p["call"]) for p in mm["parts"]
    ]
    assert inch["quote"]["must"] == mm["quote"]["must"]
    assert any(" mm " in s["say"] for s in mm["sizes"])


def test_a_discs_visit_is_shown_in_its_own_unit() -> None:
    """Read in millimetres, shown in millimetres."""
    assert "22.69 mm" in run("examine", str(EXAMPLES / "disc.toml"), "--house", HOUSE).stdout


def test_demo_leaves_visit_house_and_sheet(tmp_path: Path) -> None:
    """The demo writes its files and they can be examined again."""
    folder = tmp_path / "demo"
    out = run("demo", str(folder))

    assert out.exit_code == 0
    assert (folder / "sheet.pdf").read_bytes().startswith(b"%PDF")
    assert run("examine", str(folder / "visit.toml"), "--house", str(folder / "house")).exit_code == 0
