"""A sound visit with one thing spoiled, and what `examine` says of it: for the tests of bad input."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from full_visit import Data, Finding, at, full, soon, with_finding
from wheeltapper.cli import main

OTHERS = ("1-curb", "2-road")
Change = Callable[[Data], object]


def spoken() -> Data:
    """A tandem: 1-road in rest_fine's hands beside two findings, 1-curb condemned, 2-road fine, 2-curb needs bench work."""
    visit = full("electric drum", 2)
    visit["corner"][0] = {
        "position": "1-road", "rest_fine": "T1",
        "look": [{"check": "hub face", "found": "paint"}, {"check": "wheel", "found": "fine"}],
        "feel": [{"check": "cups", "place": "inner", "found": "fine"}, {"check": "cups", "place": "outer", "found": "fine"}],
        "reading": [{"what": "friction diameter", "value": ["10.020", "10.021", "10.022", "10.020"], "unit": "in", "gauge": "G1"}],
    }  # fmt: skip
    visit = with_finding(visit, "1-curb", Finding("hub", None, "cracked"))
    visit = with_finding(visit, "2-curb", Finding("hub face", None, "paint"))
    visit["history"] = [
        {
            "position": "2-road",
            "what": "friction diameter",
            "value": "10.015",
            "unit": "in",
            "gauge": "G1",
            "miles_ago": 9000,
            "date": "2025-05-01",
        }
    ]
    return visit


def run(path: Path, *words: str) -> Result:
    """The command line, in this process, in good time."""
    with soon(6):
        return CliRunner().invoke(
            main,
            ["examine", str(path), "--on", "2026-11-25", *words],
            catch_exceptions=False,
        )


def checked(out: Result) -> Data:
    """The JSON of an examination that met problems: exit code 1, every problem whole."""
    assert out.exit_code == 1
    said: Data = json.loads(out.stdout)
    assert said["problems"]
    for problem in said["problems"]:
        assert problem["where"]
        assert problem["what"]
        assert problem["do"].endswith((".", "?"))
    return said


def of(tmp_path: Path, visit: Data) -> Data:
    """Examine plain data that has something wrong with it."""
    path = tmp_path / "visit.json"
    path.write_text(json.dumps(visit), "utf-8")
    text = run(path)
    assert text.exit_code == 1
    return checked(run(path, "--json"))


def changed(change: Change) -> Data:
    """The spoken visit with one thing changed."""
    visit = spoken()
    change(visit)
    return visit


def calls(said: Data, *wheels: str) -> dict[str, str]:
    """The calls at some wheels."""
    return {f"{p['position']} {p['part']}": p["call"] for p in said["parts"] if p["position"] in wheels}


def fine_now(tmp_path: Path) -> Data:
    """What the spoken visit says before anything is changed: it has no problem."""
    path = tmp_path / "good.json"
    path.write_text(json.dumps(spoken()), "utf-8")
    out = run(path, "--json")
    assert out.exit_code == 0, out.stdout
    said: Data = json.loads(out.stdout)
    return said


def mentions(said: Data, piece: str) -> bool:
    """Does some problem name this?"""
    return any(piece in " ".join(p.values()) for p in said["problems"])


def assert_only_here(tmp_path: Path, change: Change, piece: str) -> Data:
    """The problem is named, the other wheels are called as before, nothing more is fine, the trailer is held."""
    before, said = fine_now(tmp_path), of(tmp_path, changed(change))

    assert mentions(said, piece), said["problems"]
    assert calls(said, *OTHERS) == calls(before, *OTHERS)
    was = {name for name, call in calls(before, "1-road", "2-curb").items() if call == "keep"}
    assert {name for name, call in calls(said, "1-road", "2-curb").items() if call == "keep"} <= was
    assert said["release"]["state"] == "held"
    return said


def road(visit: Data) -> Data:
    """The corner that is changed."""
    return at(visit, "1-road")


def reading(**fields: Any) -> Change:
    """Change the diameters of 1-road."""
    return lambda v: road(v)["reading"][0].update(fields)


def gauge(**fields: Any) -> Change:
    """Change the gauge."""
    return lambda v: v["gauge"][0].update(fields)


def add(key: str, row: Any) -> Change:
    """Add an entry to a list at the top."""
    return lambda v: v.update({key: [*v.get(key, []), row]})


def add_here(key: str, row: Any) -> Change:
    """Add an entry to a list of 1-road."""
    return lambda v: road(v).update({key: [*road(v).get(key, []), row]})
