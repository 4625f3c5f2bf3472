"""From text to a visit: what is understood is kept as typed, what is not is named, and nothing is lost on the way."""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from conftest import ON, examined, priced
from full_visit import Data, at, called, full, paths, run, soon
from wheeltapper.flow import examine
from wheeltapper.intake import visit_from_bytes
from wheeltapper.records import Visit

pytestmark = pytest.mark.reasoned
HEAD = 'date = 2026-05-14\ntechnician = "T1"\n[unit]\nid = "A"\naxles = 1\nbrake = "electric drum"\ndrum = "10 in"\n'


def read(data: Any) -> Visit:
    """A visit that has nothing wrong with it."""
    visit, slips = visit_from_bytes(json.dumps(data).encode(), "v.json")
    assert visit is not None
    assert slips == ()
    return visit


@pytest.mark.parametrize("typed", ["10.020", "10.02", "10", "0.10", "10.0200000000000000001", "1e1"])
def test_a_number_stays_as_typed(typed: str) -> None:
    """Evidence is the text: 10.020 keeps its last nought in TOML and in JSON, quoted or not."""
    line = f'[[corner]]\nposition = "1-road"\n[[corner.reading]]\nwhat = "friction diameter"\nvalue = {typed}\nunit = "in"\ngauge = "G1"\n'
    toml, _ = visit_from_bytes((HEAD + line).encode(), "v.toml")
    as_json = json.dumps(full() | {"corner": [{"position": "1-road", "reading": [
        {"what": "friction diameter", "value": "@", "unit": "in", "gauge": "G1"}]}]}).replace('"@"', typed)  # fmt: skip
    jsoned, _ = visit_from_bytes(as_json.encode(), "v.json")

    assert toml is not None
    assert jsoned is not None
    assert toml.corner[0].reading[0].value == jsoned.corner[0].reading[0].value == (typed,)


def test_a_byte_order_mark_and_crlf() -> None:
    """A file saved by a plain editor of any system is read."""
    visit, slips = visit_from_bytes(b"\xef\xbb\xbf" + HEAD.replace("\n", "\r\n").encode(), "V.TOML")

    assert (visit is not None, slips) == (True, ())


def test_one_text_is_a_list_of_one() -> None:
    """'found' and 'value' take one text or several."""
    one, many = full(), full()
    at(one, "1-road")["look"][0]["found"] = "fine"
    at(many, "1-road")["look"][0]["found"] = ["fine"]

    assert read(one) == read(many)


def test_problems_come_together() -> None:
    """Five slips in five places: five Problems at once, and the rest of the visit is there."""
    visit = full()
    road = at(visit, "1-road")
    road["look"][0]["found"] = {"a": 1}
    road["reading"][0].pop("gauge")
    visit["gauge"][0]["calibrated"] = "yesterday"
    visit["unit"]["axle_rating_lb"] = "heavy"
    visit["colour"] = "red"
    with soon(2):
        got, slips = visit_from_bytes(json.dumps(visit).encode(), "v.json")

    assert got is not None
    assert len(slips) == 5
    assert len(got.corner) == 2
    assert len(got.corner[1].look) == len(visit["corner"][1]["look"])


@pytest.mark.parametrize("key", ["date", "technician", "unit"])
def test_what_a_visit_cannot_do_without(key: str) -> None:
    """No date, no technician or no trailer: nothing to examine, one Problem that names the field."""
    visit = full()
    visit.pop(key)
    got, slips = visit_from_bytes(json.dumps(visit).encode(), "v.json")

    assert got is None
    assert [key in p.what for p in slips] == [True]


@pytest.mark.parametrize("lost", ["look", "feel", "hear", "reading"])
def test_an_entry_left_out_leaves_a_mark(lost: str) -> None:
    """An entry that is taken out leaves 'not checked' behind, at its own check where that can be read."""
    visit = full()
    road = at(visit, "1-road")
    name = road[lost][0].get("check") or road[lost][0].get("what")
    road[lost][0].pop("found" if lost != "reading" else "value")
    got, slips = visit_from_bytes(json.dumps(visit).encode(), "v.json")

    assert got is not None
    assert len(slips) == 1
    assert [mark.check for mark in got.corner[0].not_checked] == [name]


# ---------------------------------------------------------------- random damage
def spoken() -> Data:
    """1-road half in rest_fine's hands with findings of several kinds; 1-curb answered in full."""
    visit = full()
    visit["corner"][0] = {"position": "1-road", "rest_fine": "T1", "look": [
        {"check": "hub", "found": ["cracked"]}, {"check": "wheel", "found": ["oval holes"], "by": "T2"}, {"check": "cap", "found": ["missing"]},
        {"check": "seal", "found": ["fine"]}, {"check": "studs", "found": ["bent"], "count": 1}, {"check": "hub face", "found": ["rust"]}],
        "feel": [{"check": "cups", "place": "inner", "found": ["has spun"]}, {"check": "cups", "place": "outer", "found": ["fine"]}],
        "reading": [{"what": "lining thickness", "at": "thinnest", "value": ["0.040"], "unit": "in", "gauge": "G1"},
                    {"what": "friction diameter", "at": "largest", "value": ["10.030"], "unit": "in", "gauge": "G1"},
                    {"what": "magnet resistance", "at": "coil", "value": ["open"], "unit": "ohm", "gauge": "G1"}],
        "not_checked": [{"check": "spindle", "why": "no light"}]}  # fmt: skip
    visit["history"] = [
        {
            "position": "1-curb",
            "what": "friction diameter",
            "value": "10.012",
            "unit": "in",
            "gauge": "G1",
            "miles_ago": 9000,
        }
    ]
    visit.pop("reading")
    return visit


JUNK = st.sampled_from(
    (
        None,
        True,
        7,
        -1,
        1.5,
        "",
        "x",
        "fine",
        [],
        [7],
        ["x"],
        [[]],
        {},
        {"a": 1},
        float("nan"),
        10**30,
        "é“\"'\n",
    )
)

NO_ANSWER = JUNK.filter(lambda junk: junk not in ("fine", ["fine"]))  # "fine" is an answer, not damage


def damaged(visit: Data, data: st.DataObject) -> tuple[Data, list[tuple[str | int, ...]]]:
    """The visit with one to three places deleted or replaced, and the places that were deleted."""
    gone = []
    for _ in range(data.draw(st.integers(1, 3))):
        path = data.draw(st.sampled_from(paths(visit)))
        node: Any = visit
        for key in path[:-1]:
            node = node[key]
        if data.draw(st.booleans()):
            del node[path[-1]]
            gone.append(path)
        else:
            node[path[-1]] = deepcopy(
                data.draw(JUNK if "found" not in path else NO_ANSWER)
            )  # what is drawn stays as it is
    return visit, gone


def takes_a_finding_out(path: tuple[str | int, ...]) -> bool:
    """Does deleting this delete a whole entry, a list of entries, one of an entry's values, or a corner?

    What is not there at all cannot be noticed; the promise is about what is there and cannot be read.
    """
    inside = path[2:] if path[0] == "corner" else ()
    entry_gone = (
        path[0] == "corner"
        and len(inside) <= 2
        and not (len(inside) == 1 and inside[0] in {"position", "rest_fine"})
    )
    return entry_gone or (len(inside) == 4 and inside[2] in {"found", "value"})


PAIRINGS = {p.id for p in priced().pairings}
BEFORE = {
    c.place for c in run(spoken()).calls if c.call == "keep" or set(c.rules) <= PAIRINGS
}  # fine by themselves


@settings(
    max_examples=400,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.generate),
)
@given(st.data())
def test_damage_never_makes_anything_fine(data: st.DataObject) -> None:
    """Deleted or wrong fields anywhere: never a raise, no part fine that was not, and no milder release.

    Only what deletes a whole finding, so that nothing of it is left to read, is left out.
    """
    visit, gone = damaged(spoken(), data)
    if any(takes_a_finding_out(path) for path in gone) or emptied(visit):
        return
    with soon(2):
        got, slips = visit_from_bytes(json.dumps(visit).encode(), "v.json")
        if got is None:
            assert slips
            return
        out = examine(got, priced(), ON, slips)

    assert {place for place, call in called(out).items() if call == "keep"} <= BEFORE
    assert out.release.state in {"held", "in work"}


def emptied(visit: Data) -> bool:
    """Was a list of entries, or the list of corners, replaced by an empty one? That deletes what was in it."""
    corners = visit.get("corner")
    if not isinstance(corners, list):
        return corners in (None, {}, "")
    rows = [
        c[key]
        for c in corners
        if isinstance(c, dict)
        for key in ("look", "feel", "hear", "reading", "not_checked")
        if key in c
    ]
    return not corners or [] in rows


EACH = [p for p in paths(spoken()) if p[:2] == ("corner", 0) and len(p) > 2]


@pytest.mark.parametrize("wrong", [None, True, 7, "", "x", [], [7], [[]], {}, {"a": 1}], ids=repr)
def test_each_place_of_a_corner_damaged_alone(wrong: Any) -> None:
    """Every field of every entry of a corner replaced, one at a time: no part gets fine by it."""
    slips_ = []
    for path in EACH:
        visit = spoken()
        node: Any = visit
        for key in path[:-1]:
            node = node[key]
        node[path[-1]] = wrong
        if emptied(visit):
            continue
        with soon(2):
            got, slips = visit_from_bytes(json.dumps(visit).encode(), "v.json")
        assert got is not None
        out = examine(got, priced(), ON, slips)
        now = {place for place, call in called(out).items() if call == "keep"}
        slips_ += [(path, wrong, sorted(now - BEFORE))] if now - BEFORE else []
        assert out.release.state == "held"

    assert slips_ == []


def test_the_same_visit_by_either_door() -> None:
    """Plain data through the door of a file is the visit itself."""
    assert examined(full()).visit == read(full())
