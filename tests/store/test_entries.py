"""What may be kept, and that it reads back as the same."""

from __future__ import annotations

import json
from typing import Any

import pytest
from pydantic import ValidationError

from store.sample import entry, gate, look, moment
from wheeltapper.store.chain import canonical
from wheeltapper.store.entries import MOST_BODY, Entry, Piece
from wheeltapper.store.receipt import plain

pytestmark = pytest.mark.reasoned
RING = {"every_s": 0.02, "level_db": [0, -5.1], "tones": [[453.8, 0.889, True]]}
SEEN = {"version": "0" * 64, "entries": 12, "tables": "f00d", "day": "2026-11-20"}
PAYLOADS: dict[str, Any] = {
    "date": "2026-11-20", "technician": "T1", "shop": "S", "scope": "adjust", "booked": ["hub service"],
    "unit": {"id": "TF-1", "axles": 2, "brake": "electric drum", "axle_rating_lb": 5200, "wire_feet": 70.5},
    "mileage": {"now": 31400, "since_last": 8200.5, "quality": "hubometer"}, "complaint": "Zieht nach links: é 軸",
    "owner_said": "It stood.", "braking": {"stops": 4, "from_mph": 45.5}, "limit_sought_by": "T1",
    "gauge": [{"id": "G1", "kind": "drum gauge", "u": "0.003 in", "calibrated": "2026-01-02"}],
    "limit": [{"what": "friction diameter", "value": "12.090", "unit": "in", "grade": "on the part"}],
    "corner": [{
        "position": "1-road", "rest_fine": "T1", "by": "T2", "look": [{"check": "seal", "found": "weeps", "count": 3, "photo": "p"}],
        "feel": [{"check": "cups", "found": ["fine"], "place": "inner"}], "hear": [{"check": "ring", "found": "dull"}],
        "ring": [{"clip": "a.wav", "verdict": "dull", "hung": True, "p": 0.005, "drawn": RING, "good": RING}],
        "mark": [{"photo": "m.jpg", "verdict": "measured", "end_to_end_mm": 17.5, "reaches_edge": True, "felt": "catches", "felt_by": "T1"}],
        "reading": [{"what": "friction diameter", "value": ["12.050", 12.06], "unit": "in", "gauge": "G1", "at": ["mid 0", "mid 45"]}],
        "not_checked": [{"check": "wheel", "why": "at the tire shop"}],
    }],
    "reading": [{"what": "volts at plug", "value": "12.5", "unit": "V", "gauge": "G5"}],
    "fitted": [{"position": "1-road", "part": "seal", "date": "2026-01-02", "miles": 12600}],
    "history": [{"position": "1-road", "what": "friction diameter", "value": "12.011", "unit": "in", "miles": 12600.0}],
    "call": [{"position": "1-road", "part": "seal", "call": "replace", "by": "T1", "why": "x"}],
    "answer": [{"position": "1-road", "part": "seal", "answer": "not now", "by": "C1", "date": "2026-11-20"}],
    "estimate": [{"group": "must", "code": "SEAL", "asked": 2, "qty": 1, "each": "9.00", "why": "the owner brings one", "by": "T1"}],
    "terms": [{"deposit": "50.00", "valid_until": "2026-12-01", "why": "first visit", "by": "T1"}],
    "go_ahead": [{"answer": "not here", "items": "1-road hub-drum", "cents": 100, "by": "Dana Reed", "how": "in person", "said": "no"}],
    "question": [{"text": "How long does it take?", "about": "1-road hub-drum", "by": "Dana Reed", "how": "on the page", "seen": SEEN}],
    "reply": [{"to": "How long does it take?", "text": "Till noon.", "by": "CW", "date": "2026-11-20"}],
    "declined": [{"position": "1-road", "part": "seal", "by": "Dana Reed", "said": "after the season", "date": "2025-11-20", "cents": 1200}],
    "done": [{"position": "1-road", "part": "seal", "action": "replaced", "by": "T1", "after": "photo"}],
    "follow_up": [{"what": "retorque", "due": 10, "done": 12, "moved": False, "turned": "0 deg"}],
    "second_look": [{"position": "1-road", "by": "T1", "agrees": False, "why": "no"}], "learning": ["A1"],
    "return_sheet": {"wheel": [{"position": "1-road", "end_play": "0.003 in", "torque": {"value": "110 ft-lb", "stages": ["40", "80"]}}], "out": True},
    "exit": {"how": "on a hauler", "by": "T1", "said": "x"},
}  # fmt: skip


def test_the_payloads_are_all_there_are() -> None:
    assert set(PAYLOADS) == set(Piece.model_fields)


@pytest.mark.parametrize("name", PAYLOADS)
def test_kept_and_read_back_it_is_the_same(name: str) -> None:
    one = entry({name: PAYLOADS[name]})
    text = canonical(one.body)
    again = entry(json.loads(text))
    assert again.body == one.body
    assert canonical(again.body) == text
    assert Piece.model_validate(one.body) == Piece.model_validate({name: PAYLOADS[name]})


@pytest.mark.parametrize(
    "more",
    [
        {"id": "A" * 32}, {"id": "a" * 31}, {"id": "a" * 33}, {"by": ""}, {"by": "123456789"}, {"by": "T\n1"}, {"by": " T1"}, {"by": "T1\0"},
        {"at": "2026-13-01T00:00:00.000Z"}, {"at": "2026-02-30T00:00:00.000Z"}, {"at": "2026-11-20T25:00:00.000Z"}, {"at": "2026-11-20T10:00:00Z"},
        {"at": "٢٠٢٦-11-20T10:00:00.000Z"}, {"at": moment(1) + "\n"}, {"kind": "delete"}, {"instead_of": ("a",)}, {"instead_of": tuple(f"{i:032x}" for i in range(201))},
        {"id": "b" * 32, "instead_of": ("b" * 32,)}, {"kind": "withdraw", "body": {"why": "x"}}, {"kind": "withdraw", "instead_of": ("c" * 32,), "body": {"why": ""}},
        {"kind": "photo", "body": {"sha256": "../../secret.key"}}, {"body": {}}, {"body": {"owner_said": [], "date": None}}, {"body": {"colour": "blue"}},
        {"body": {"date": "2026-02-30"}}, {"body": {"mileage": {"now": float("nan")}}}, {"body": {"mileage": {"now": float("inf")}}}, {"body": {"mileage": {"now": -1}}},
        {"body": {"follow_up": [{"what": "retorque", "due": float("nan")}]}}, {"body": {"braking": {"grade_miles": float("inf")}}},
        {"body": {"corner": [{"position": "1-road", "ring": [{"clip": "a", "verdict": "dull", "p": float("nan")}]}]}},
        {"body": {"corner": [{"position": "1-road", "mark": [{"photo": "a", "verdict": "measured", "end_to_end_mm": float("nan")}]}]}},
        {"body": {"unit": {"id": "x", "axles": 2, "brake": "electric drum", "loaded_lb": float("nan")}}}, {"body": {"complaint": "\ud800"}},
        {"body": {"complaint": "x" * (MOST_BODY + 1)}}, {"by": "T1", "body": {"second_look": [{"position": "1-road", "by": "T2", "agrees": True}]}},
    ],
    ids=str,
)  # fmt: skip
def test_what_cannot_be_kept(more: dict[str, Any]) -> None:
    good = {"id": "d" * 32, "at": moment(1), "by": "T1", "kind": "piece", "body": look("seal", "fine")}
    Entry.model_validate(good)
    with pytest.raises(ValidationError):
        Entry.model_validate(good | more)


def test_a_number_as_typed_stays_as_typed() -> None:
    sent = '{"corner":[{"position":"1-road","reading":[{"what":"x","value":[12.050,"055"],"unit":"in","gauge":"G1"}]}]}'
    one = entry(plain(sent.encode()))
    assert one.body["corner"][0]["reading"][0]["value"] == ["12.050", "055"]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        '{"a":NaN}',
        '{"a":-Infinity}',
        '{"a":1,"a":2}',
        '"\\ud800"',
        "1" * 5000,
        "[" * 100_000,
        "\xff",
    ],
    ids=range(9),
)
def test_what_no_browser_writes_is_refused(text: str) -> None:
    with pytest.raises((ValueError, RecursionError)):
        plain(text.encode("latin-1"))


def test_nothing_that_is_not_sent_is_kept() -> None:
    assert set(gate().body) == {"date", "technician", "unit"}
    assert set(look("seal", "fine")["corner"][0]["look"][0]) == {"check", "found"}
    assert entry(look("seal", "fine")).body == {
        "corner": [{"position": "1-road", "look": [{"check": "seal", "found": ["fine"]}]}]
    }


@pytest.mark.parametrize("name", ["estimate", "terms"])
def test_a_change_of_the_estimate_is_entered_by_who_makes_it(name: str) -> None:
    with pytest.raises(ValidationError, match="by the person who makes it"):
        entry({name: [PAYLOADS[name][0] | {"by": "KR"}]}, by="T1")


@pytest.mark.parametrize(
    "wrong", [{"each": "9"}, {"each": "-9.00"}, {"qty": -1}, {"why": ""}, {"hours": "1h"}]
)
def test_a_change_of_the_estimate_has_a_reason_and_plain_numbers(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        entry({"estimate": [PAYLOADS["estimate"][0] | wrong]})
