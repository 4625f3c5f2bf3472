"""The wrong kind of thing at every place of a visit, and files that are no visit: a Problem that names the place, never a traceback."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from full_visit import Data, Finding, full, paths, with_finding
from spoiled import Change, calls, checked, mentions, of, road, run, spoken

pytestmark = pytest.mark.reasoned


def whole() -> Data:
    """One wheel's worth of everything a visit can hold."""
    visit = full("electric drum", 1)
    visit["corner"][0] = {"position": "1-road", "by": "T2", "rest_fine": "T2", "look": [
        {"check": "hub face", "found": ["paint"], "clock": "3", "size": "big", "by": "T1", "photo": ["a.jpg"], "note": "n"}],
        "hear": [{"check": "ring", "found": "dull"}], "reading": [{"what": "friction diameter", "at": "largest", "value": "10.02", "unit": "in", "gauge": "G1"}],
        "not_checked": [{"check": "wheel", "why": "away"}]}  # fmt: skip
    return visit | {
        "shop": "S", "scope": "hub service", "booked": ["hub service"], "complaint": "c", "owner_said": ["o"], "limit_sought_by": "T1",
        "mileage": {"now": 5, "since_last": 3, "quality": "guess"},
        "history": [{"position": "1-road", "what": "friction diameter", "value": "10.01", "unit": "in", "miles_ago": 3, "date": "2025-01-01"}],
        "fitted": [{"position": "1-road", "part": "cap", "date": "2025-01-01"}], "call": [{"position": "1-road", "part": "cap", "call": "keep", "by": "T1"}],
        "answer": [{"position": "1-road", "part": "cap", "answer": "now", "by": "o"}],
        "done": [{"position": "1-road", "part": "cap", "action": "replaced", "by": "T1"}], "follow_up": [{"what": "adjust", "due": 200, "done": 210}],
        "return_sheet": {"wheel": [{"position": "1-road", "end_play": "0.003 in", "torque": {"value": "110 ft-lb", "stages": ["50", "110"]}}], "adjusted": True},
    }  # fmt: skip


@pytest.mark.parametrize("wrong", [{"a": 1}, [[1]], True, 7, None, "", -1.5, [], {}], ids=repr)
def test_the_wrong_kind_at_every_place(wrong: Any, tmp_path: Path) -> None:
    """List for text, text for table, number for list, at every place of a visit: never a traceback, never a hang."""
    for path in paths(whole()):
        visit = whole()
        node: Any = visit
        for key in path[:-1]:
            node = node[key]
        node[path[-1]] = copy.deepcopy(wrong)
        file = tmp_path / "visit.json"
        file.write_text(json.dumps(visit), "utf-8")
        out = run(file, "--json")
        assert out.exit_code in (0, 1), path
        assert all(
            p["do"].endswith((".", "?")) and p["what"] and p["where"]
            for p in json.loads(out.stdout)["problems"]
        ), path


@pytest.mark.parametrize(
    "path", [p for p in paths(whole()) if isinstance(p[-1], str)], ids=lambda p: ".".join(map(str, p))
)
def test_an_unknown_field_beside_every_known_one(path: tuple[str | int, ...], tmp_path: Path) -> None:
    """Every record refuses a field it does not know, by name."""
    visit = whole()
    node: Any = visit
    for key in path[:-1]:
        node = node[key]
    node[f"{path[-1]}_x"] = 1

    assert mentions(of(tmp_path, visit), f"'{path[-1]}_x' is not a field here")


@pytest.mark.parametrize("spoil", ["25.4", "25.4 in mm", "big", "-1 mm", "1 in 2", ""])
def test_a_new_rotors_thickness_that_cannot_be_read(spoil: str, tmp_path: Path) -> None:
    """A size with its unit, or a Problem; it is not dropped without a word."""
    visit = full("hydraulic disc")
    visit["unit"]["rotor_new"] = spoil

    assert mentions(of(tmp_path, visit), "rotor_new")


# ---------------------------------------------------------------- files
FILES: dict[str, tuple[str, bytes, str]] = {
    "empty": ("v.toml", b"", "the visit is empty"),
    "only a comment": ("v.toml", b"# nothing\n", "the visit is empty"),
    "empty table": ("v.json", b"{}", "the visit is empty"),
    "a list": ("v.json", b"[1, 2]", "v.json"),
    "a word": ("v.json", b'"x"', "v.json"),
    "null": ("v.json", b"null", "v.json"),
    "not TOML": ("v.toml", b"date = = 3", "this is not TOML"),
    "TOML said twice": ("v.toml", b"date = 2026-05-14\ndate = 2026-05-15\n", "this is not TOML"),
    "broken JSON": ("v.json", b'{"date": ', "this is not JSON"),
    "not UTF-8": ("v.toml", b'technician = "\xff\xfe"', "not UTF-8"),
    "UTF-16": ("v.json", '{"date": 1}'.encode("utf-16"), "not UTF-8"),
    "nothing but noughts": ("v.toml", b"\0" * 100, "this is not TOML"),
    "nested JSON": ("v.json", b'{"a":' * 100_000, "v.json"),
    "nested lists": ("v.json", b"[" * 100_000, "v.json"),
    "nested TOML": ("v.toml", b"a = " + b"[" * 100_000, "v.toml"),
    "nested names": ("v.toml", b"a" + b".a" * 2_000 + b" = 1", "v.toml"),
    "a huge whole number": ("v.toml", b"date = " + b"9" * 5000, "v.toml"),
    "a huge whole number in JSON": ("v.json", b'{"date": ' + b"9" * 5000 + b"}", "date"),
    "50 MB": ("v.toml", b"# " + b"x" * 50_000_000, "over 4 MB"),
    "no date": ("v.toml", b'technician = "T1"\n[unit]\nid = "A"\naxles = 1\nbrake = "electric drum"\n', "without 'date'"),
    "no unit": ("v.toml", b'date = 2026-05-14\ntechnician = "T1"\n', "without 'unit'"),
    "a brake that is not known": ("v.toml", b'date = 2026-05-14\ntechnician = "T1"\n[unit]\nid = "A"\naxles = 1\nbrake = "eletric drum"\n', "electric drum"),
    "nine axles": ("v.toml", b'date = 2026-05-14\ntechnician = "T1"\n[unit]\nid = "A"\naxles = 9\nbrake = "electric drum"\n', "axles"),
    "half a pair of letters": ("v.json", json.dumps({"date": "2026-05-14", "technician": "\ud800"}).encode(), "v.json"),
}  # fmt: skip


@pytest.mark.parametrize("name", FILES)
def test_files_that_are_no_visit(name: str, tmp_path: Path) -> None:
    """One sentence, exit code 1, no traceback; as JSON too."""
    file, data, piece = FILES[name]
    path = tmp_path / file
    path.write_bytes(data)

    assert mentions(checked(run(path, "--json")), piece)
    assert run(path).exit_code == 1


def test_a_directory_and_a_missing_file(tmp_path: Path) -> None:
    """What cannot be opened is a Problem too."""
    assert mentions(checked(run(tmp_path, "--json")), "cannot be read")
    assert mentions(checked(run(tmp_path / "none.toml", "--json")), "cannot be read")


def test_an_empty_visit(tmp_path: Path) -> None:
    """A visit on which nobody has looked at anything yet is in work: no problem, and no part is fine."""
    path = tmp_path / "v.json"
    path.write_text(json.dumps({k: v for k, v in full().items() if k not in {"corner", "reading"}}), "utf-8")
    said = json.loads(run(path, "--json").stdout)

    assert said["release"]["state"] == "in work"
    assert "keep" not in {p["call"] for p in said["parts"]}


def test_spanish_with_accents_and_quotes(tmp_path: Path) -> None:
    """What people say comes out as it went in, on the sheet and in JSON."""
    words = 'El freno “chilla” al bajar; ¿está dañado? — dijo Núñez: "¡ojo!" <b>&amp;</b> {{x}} \\n #let'
    visit = spoken() | {"complaint": words, "owner_said": [words], "technician": 'Íñigo "Ñ"'}
    path = tmp_path / "visita.json"
    path.write_text(json.dumps(visit, ensure_ascii=False), "utf-8")
    text, data = run(path), run(path, "--json")

    assert (text.exit_code, data.exit_code) == (0, 0)
    assert "Núñez" in text.stdout
    assert "¡ojo!" in " ".join(text.stdout.split())


@pytest.mark.parametrize("place", ["position", "check", "found", "field", "gauge", "unit"])
def test_half_a_pair_of_letters(place: str, tmp_path: Path) -> None:
    """A broken letter, as JSON can write it, anywhere: a Problem, not a traceback while printing."""
    visit, odd = spoken(), "x\ud800"
    changes: dict[str, Change] = {
        "position": lambda v: road(v).update(position=odd), "check": lambda v: road(v)["look"][0].update(check=odd),
        "found": lambda v: road(v)["look"][0].update(found=odd), "field": lambda v: v.update({odd: 1}),
        "gauge": lambda v: road(v)["reading"][0].update(gauge=odd), "unit": lambda v: v["unit"].update(id=odd),
    }  # fmt: skip
    changes[place](visit)

    of(tmp_path, visit)


def test_one_name_twice_in_json(tmp_path: Path) -> None:
    """JSON that says one name twice: the finding that stood first is not lost to the 'fine' that stands second."""
    text = json.dumps(with_finding(full(), "1-curb", Finding("cap bore", None, "does not hold a new cap")))
    path = tmp_path / "v.json"
    path.write_text(
        text.replace(
            '"found": ["does not hold a new cap"]', '"found": ["does not hold a new cap"], "found": ["fine"]'
        ),
        "utf-8",
    )
    said = checked(run(path, "--json"))

    assert "1-curb hub-drum" not in {name for name, call in calls(said, "1-curb").items() if call == "keep"}
