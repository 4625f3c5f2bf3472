"""The same entries give the same Visit; nothing that was found goes away but by an entry that names it."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conftest import ON, ROOT, priced
from store.sample import entry, gate, look, moment
from wheeltapper.flow import examine
from wheeltapper.intake import visit_from_bytes
from wheeltapper.report.record import as_json
from wheeltapper.report.wording import INCH
from wheeltapper.store.entries import Entry
from wheeltapper.store.fold import fold
from wheeltapper.store.standing import standing

pytestmark = pytest.mark.reasoned
CORNER_LISTS = ("look", "feel", "hear", "ring", "mark", "reading", "not_checked")
SPLIT = {"gauge", "limit", "corner", "reading", "history", "fitted", "call", "answer", "done", "owner_said"}


def one_by_one(raw: dict[str, Any]) -> list[Entry]:
    """A visit file as one entry for each answer."""
    pieces: list[dict[str, Any]] = [{k: raw[k]} for k in raw if k not in SPLIT]
    pieces += [
        {k: [row]}
        for k in raw
        if k in SPLIT - {"corner"}
        for row in (raw[k] if isinstance(raw[k], list) else [raw[k]])
    ]
    for corner in raw.get("corner", ()):
        at = {"position": corner["position"]}
        pieces += [{"corner": [at | {k: [row]}]} for k in CORNER_LISTS for row in corner.get(k, ())]
        pieces += [
            {"corner": [at | {k: v}]} for k, v in corner.items() if k not in (*CORNER_LISTS, "position")
        ]
        pieces.append({"corner": [at]})
    return [
        entry({k: str(v) if k == "date" else v for k, v in p.items()}, by=raw["technician"]) for p in pieces
    ]


@pytest.mark.parametrize("name", ["visit.toml", "measured.toml", "ring.toml", "disc.toml"])
def test_folded_answer_by_answer_is_the_same_examination(name: str) -> None:
    data = (ROOT / "examples" / name).read_bytes()
    read, slips = visit_from_bytes(data, name)
    assert read is not None
    folded = fold(one_by_one(tomllib.loads(data.decode(), parse_float=str)))
    assert folded.problems == folded.differ == ()
    assert folded.visit is not None
    here, there = examine(folded.visit, priced(), ON), examine(read, priced(), ON, slips)
    assert here.visit == there.visit
    assert repr(here) == repr(there)  # arrays in it compare one by one
    assert as_json(here, INCH) == as_json(there, INCH)


BODIES = st.one_of(
    st.builds(
        look, st.sampled_from(["seal", "grease", "band surface"]), st.sampled_from(["fine", "weeps", "grooves"]),
        st.sampled_from(["1-road", "1-curb", "2-road"]),
    ),
    st.builds(
        lambda v, g: {"corner": [{"position": "1-road", "reading": [{"what": "friction diameter", "value": v, "unit": "in", "gauge": g}]}]},
        st.sampled_from(["12.031", "12.095", "12.050"]), st.sampled_from(["G1", "G2"]),
    ),
    st.builds(lambda u: {"gauge": [{"id": "G1", "kind": "drum gauge", "u": u}]}, st.sampled_from(["0.003 in", "0.004 in"])),
    st.builds(lambda v: {"return_sheet": {"wheel": [{"position": "1-road", "end_play": v}]}}, st.sampled_from(["0.003 in", "0.02 in"])),
    st.builds(lambda t: {"fitted": [{"position": "1-road", "part": t}]}, st.sampled_from(["seal", "hub-drum"])),
    st.builds(lambda: {"corner": [{"position": "2-road", "by": "T2", "rest_fine": "T2"}]}),
    st.builds(lambda ok: {"second_look": [{"position": "1-road", "by": "T2", "agrees": ok}], "learning": ["T1"]}, st.booleans()),
)  # fmt: skip


@st.composite
def batches(draw: st.DrawFn) -> list[Entry]:
    """A visit's entries, some of them naming others, forwards and backwards."""
    bodies = draw(st.lists(BODIES, min_size=1, max_size=10))
    ids = [f"{i:032x}" for i in range(len(bodies) + 4)]
    out = [gate().model_copy(update={"id": "f" * 32, "at": moment(0)})]
    for i, body in enumerate(bodies):
        by = "T2" if "second_look" in body else draw(st.sampled_from(["T1", "T2"]))
        named = draw(st.lists(st.sampled_from(ids), max_size=2, unique=True))
        out.append(
            entry(
                body,
                by=by,
                id=ids[i],
                at=moment(draw(st.integers(1, 5))),
                instead_of=[n for n in named if n != ids[i]],
            )
        )
    for i in range(len(bodies), len(ids)):
        named = draw(st.lists(st.sampled_from(ids), max_size=3, unique=True))
        if set(named) - {ids[i]}:
            out.append(entry({"why": "by mistake"}, kind="withdraw", id=ids[i], at=moment(draw(st.integers(1, 5))), instead_of=[n for n in named if n != ids[i]]))  # fmt: skip
    return out


@given(batches(), st.randoms(use_true_random=False))
@settings(max_examples=150, deadline=None)
def test_any_order_and_repetition_is_the_same_visit(entries: list[Entry], chance: Any) -> None:
    before = [e.model_dump_json() for e in entries]
    again = [*entries, *chance.choices(entries, k=5)]
    chance.shuffle(again)
    assert fold(again) == fold(entries)
    half = len(again) // 2
    assert fold([*again[half:], *again[:half]]) == fold(entries)
    assert [e.model_dump_json() for e in entries] == before  # nothing is written into an entry


def findings(entries: list[Entry]) -> list[str]:
    """Everything that somebody found, with whoever found it."""
    visit = fold(entries).visit
    assert visit is not None
    rows = [(c.position, how, r) for c in visit.corner for how in CORNER_LISTS for r in getattr(c, how)]
    rows += [
        ("", name, r) for name in ("reading", "limit", "fitted", "call", "done") for r in getattr(visit, name)
    ]
    return [f"{where} {how} {row.model_copy(update={'by': (getattr(row, 'by', None) or 'T1')}) if hasattr(row, 'by') else row}" for where, how, row in rows]  # fmt: skip


@given(batches(), BODIES)
@settings(max_examples=100, deadline=None)
def test_one_more_entry_that_names_nobody_drops_no_finding(
    entries: list[Entry], body: dict[str, Any]
) -> None:
    safe = [e for e in entries if e.id == "f" * 32 or not (e.body.get("corner") or [{}])[0].get("by")]
    if (body.get("corner") or [{}])[0].get("by"):
        return
    before, after = findings(safe), findings([*safe, entry(body, by="T2", at=moment(9))])
    for found in set(before):
        assert after.count(found) >= before.count(found)


def ids(entries: list[Entry]) -> set[str]:
    """Those that count."""
    return {e.id for e in standing(entries)}


def test_a_chain_of_corrections_leaves_the_last() -> None:
    a = entry(look("seal", "weeps"))
    b = entry(look("seal", "leaks"), instead_of=(a.id,))
    c = entry(look("seal", "fine"), instead_of=(b.id,))
    assert ids([a, b, c]) == {c.id}


def test_a_withdrawn_withdrawal_gives_back_what_it_took() -> None:
    a = entry(look("seal", "weeps"))
    w = entry({"why": "wrong wheel"}, kind="withdraw", instead_of=(a.id,))
    u = entry({"why": "it was the right wheel"}, kind="withdraw", instead_of=(w.id,))
    assert ids([a, w]) == {w.id}
    assert ids([a, w, u]) == {a.id, u.id}
    assert ids([a, w, u, entry({"why": "no"}, kind="withdraw", instead_of=(u.id,))]) & {a.id, w.id} == {w.id}


def test_a_withdrawn_correction_gives_back_what_was_found_first() -> None:
    a = entry(look("seal", "weeps"))
    b = entry(look("seal", "fine"), instead_of=(a.id,))
    w = entry({"why": "slip of the thumb"}, kind="withdraw", instead_of=(b.id,))
    assert ids([a, b, w]) == {a.id, w.id}


def test_a_piece_instead_of_a_withdrawal_stands_where_that_stood() -> None:
    a = entry(look("seal", "weeps"))
    w = entry({"why": "wrong"}, kind="withdraw", instead_of=(a.id,))
    p = entry(look("seal", "leaks"), instead_of=(w.id,))
    assert ids([a, w, p]) == {p.id}


def test_entries_that_name_each_other_both_stand() -> None:
    a = entry(look("seal", "weeps"), id="a" * 32, instead_of=("b" * 32,))
    b = entry(look("seal", "fine"), id="b" * 32, instead_of=("a" * 32,))
    assert ids([a, b]) == {a.id, b.id}


def test_each_answer_keeps_its_givers_name() -> None:
    entries = [gate(), entry(look("seal", "weeps"), by="T2"), entry({"corner": [{"position": "1-road", "by": "T3", "look": [{"check": "grease", "found": "fine"}]}]}, by="T3")]  # fmt: skip
    visit = fold(entries).visit
    assert visit is not None
    corner = visit.corner[0]
    assert {x.check: x.by or corner.by for x in corner.look} == {"seal": "T2", "grease": "T3"}


def test_two_phones_with_one_gauge_have_one_gauge() -> None:
    said = {"gauge": [{"id": "G1", "kind": "drum gauge", "u": "0.003 in"}]}
    visit = fold([gate(), entry(said), entry(said, by="T2")]).visit
    assert visit is not None
    assert [g.u for g in visit.gauge] == [("0.003 in",)]
    other = entry({"gauge": [{"id": "G1", "kind": "drum gauge", "u": "0.001 in"}]})
    visit = fold([gate(), entry(said), other]).visit
    assert visit is not None
    assert len(visit.gauge) == 2  # the river asks which it is


def test_two_end_plays_are_told_and_the_later_counts() -> None:
    def refit(play: str, by: str) -> Entry:
        return entry({"return_sheet": {"wheel": [{"position": "1-road", "end_play": play}]}}, by=by)

    folded = fold([gate(), refit("0.030 in", "T1"), refit("0.003 in", "T2")])
    assert folded.visit is not None
    assert folded.visit.return_sheet is not None
    assert folded.visit.return_sheet.wheel[0].end_play == "0.003 in"
    assert [p.where for p in folded.differ] == ["return_sheet, wheel, 1-road, end_play"]


def test_words_at_leaving_stay_with_their_speaker() -> None:
    first = entry({"exit": {"how": "against advice", "by": "C1", "said": "I sign for it"}})
    visit = fold([gate(), first, entry({"exit": {"how": "on a hauler", "by": "C2"}})]).visit
    assert visit is not None
    assert visit.exit is not None
    assert (visit.exit.by, visit.exit.said) == ("C2", None)


def test_a_fast_clock_wins_no_longer_than_until_it_came() -> None:
    ahead = {"at": "2027-01-01T00:00:00.000Z", "received": moment(1)}
    fast = gate(complaint="first").model_copy(update=ahead)
    later = entry({"complaint": "second"}, at=moment(2)).model_copy(update={"received": moment(2)})
    visit = fold([fast, later]).visit
    assert visit is not None
    assert visit.complaint == "second"


def test_a_photo_is_named_once_at_its_answer() -> None:
    shown = {"sha256": "ab" * 32, "position": "1-road", "check": "seal"}
    entries = [
        gate(),
        entry(look("seal", "weeps", photo="p1")),
        entry(shown, kind="photo"),
        entry(shown, kind="photo"),
    ]
    for _ in range(2):
        visit = fold(entries).visit
        assert visit is not None
        assert visit.corner[0].look[0].photo == ("p1", "abababababababab")


def test_a_second_look_before_the_last_answer_is_stale() -> None:
    learner = {"learning": ["A1"]}
    seen = {"second_look": [{"position": "1-road", "by": "L1", "agrees": True}]}
    first, last = (
        entry(look("seal", "fine"), by="A1"),
        entry(look("grease", "fine"), by="A1", at=moment(60_000)),
    )
    visit = fold(
        [gate(), entry(learner, by="A1"), first, entry(seen, by="L1", at=moment(50_000)), last]
    ).visit
    assert visit is not None
    assert visit.second_look == ()
    visit = fold(
        [gate(), entry(learner, by="A1"), first, entry(seen, by="L1", at=moment(70_000)), last]
    ).visit
    assert visit is not None
    assert len(visit.second_look) == 1


def test_a_field_that_no_version_knows_costs_only_itself() -> None:
    old = Entry.model_construct(
        id="c" * 32, at=moment(3), by="T1", kind="piece", instead_of=(),
        body={"corner": [{"position": "1-road", "look": [{"check": "seal", "found": ["weeps"]}, {"check": "grease", "colour": "blue", "found": ["fine"]}]}]},
    )  # fmt: skip
    folded = fold([gate(), old])
    assert folded.visit is not None
    assert folded.visit.corner[0].look[0].check == "seal"
    assert folded.problems
