"""Every whole visit gives exactly the calls, lines, totals, choices, next checks and causes written beside it."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from conftest import CASES, bases, examined, laid_over
from wheeltapper.report.record import as_dict
from wheeltapper.report.wording import INCH

FILES = sorted(p for p in CASES.glob("*.toml") if p.name != "bases.toml")
pytestmark = pytest.mark.reasoned


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_case(path: Path) -> None:
    """The visit in the file comes out as the file expects."""
    case = tomllib.loads(path.read_text("utf-8"), parse_float=str)
    expect = case["expect"]
    out = as_dict(examined(laid_over(bases()[case["base"]], case.get("visit", {}))), INCH)

    assert out["release"]["state"] == expect["release"]
    _calls(out, expect)
    _quote(out["quote"], expect)
    _next(out["next"], expect)
    _causes(out["causes"], expect)
    _sizes(out["sizes"], expect)
    _problems(out["problems"], expect.get("problems", []))
    _why(out["parts"], expect.get("why", {}))


def _calls(out: dict[str, Any], expect: dict[str, Any]) -> None:
    got = {f"{p['position']} {p['part']}": " ".join([p["call"], *p["because"]]) for p in out["parts"]}
    wanted = dict(expect.get("calls", {}))
    if expect.get("others") == "any":
        got = {name: call for name, call in got.items() if name in wanted}
    else:
        got = {name: call for name, call in got.items() if name in wanted or call.split()[0] != "keep"}
    assert got == wanted


def _quote(quote: dict[str, Any], expect: dict[str, Any]) -> None:
    if "must" in expect:
        assert _codes(quote["must"]) == expect["must"]
    if "must_cents" in expect:
        assert quote["must_cents"] == expect["must_cents"]
    if "booked" in expect:
        assert _codes(quote["booked"]) == expect["booked"]
    if "booked_cents" in expect:
        assert quote["booked_cents"] == expect["booked_cents"]
    choices = [
        {"id": c["id"], "now": _codes(c["options"][0]["lines"]), "now_cents": c["options"][0]["cents"]}
        for c in quote["choice"]
    ]
    wanted = expect.get("choice", [])
    assert [{k: c[k] for k in w if k != "wait"} for c, w in zip(choices, wanted, strict=True)] == [
        {k: v for k, v in w.items() if k != "wait"} for w in wanted
    ]
    waits = [_codes(c["options"][1]["lines"]) for c in quote["choice"]]
    assert [wait for wait, w in zip(waits, wanted, strict=True) if "wait" in w] == [
        w["wait"] for w in wanted if "wait" in w
    ]


def _codes(lines: list[dict[str, Any]]) -> dict[str, int]:
    return {row["code"]: row["qty"] for row in lines}


def _next(rows: list[dict[str, Any]], expect: dict[str, Any]) -> None:
    got = [f"{n['what']} {n['miles']}" for n in rows]
    if "next" in expect:
        assert sorted(got) == sorted(expect["next"])
    assert set(expect.get("next_has", [])) <= set(got)
    for name, at in expect.get("at_miles", {}).items():
        assert next(n["at_miles"] for n in rows if f"{n['what']} {n['miles']}" == name) == at


def _causes(rows: list[dict[str, Any]], expect: dict[str, Any]) -> None:
    for position, id in expect.get("causes", {}).items():
        assert id in [c["id"] for c in rows if c["position"] == position and c["rank"] <= 2]
    if expect.get("no_causes"):
        assert rows == []


def _sizes(rows: list[dict[str, Any]], expect: dict[str, Any]) -> None:
    got = {f"{s['position']} {s['what']}": s for s in rows}
    for name, values in expect.get("sizes", {}).items():
        for key, value in values.items():
            if isinstance(value, str) and value.replace(".", "").isdigit():
                assert got[name][key] == pytest.approx(
                    float(value), abs=0.5 * 10 ** -len(value.split(".")[1])
                )
            else:
                assert got[name][key] == value


def _problems(rows: list[dict[str, str]], wanted: list[str]) -> None:
    got = [f"{p['where']}: {p['what']}" for p in rows]
    assert len(got) == len(wanted), got
    for piece in wanted:
        assert any(piece in text for text in got), (piece, got)


def _why(parts: list[dict[str, Any]], wanted: dict[str, str]) -> None:
    got = {f"{p['position']} {p['part']}": p["why"] for p in parts}
    for name, piece in wanted.items():
        assert piece in got[name]
