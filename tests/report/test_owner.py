"""The owner's page as plain data: order, numbers, prices; and every word of it for a distrustful reader of twelve years."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import asdict
from functools import cache
from typing import Any

import pytest

from conftest import CASES, ROOT, bases, examined, laid_over, priced
from wheeltapper.flow import Examination
from wheeltapper.report import brief, owner_words
from wheeltapper.report.owner import Page, left_open, page
from wheeltapper.report.sheet import sheet

pytestmark = pytest.mark.reasoned
LAW = re.compile(
    r"\b(laws?|legal\w*|illegal|regulations?|federal|CFR|DOT|statutes?|liab\w+|forbidden|prohibited|obliged)\b",
    re.I,
)
BLAME = re.compile(
    r"\b(other shop|another shop|last shop|previous|their fault|fault of|careless|botch\w*|your mechanic|blame)\b",
    re.I,
)
CERTAIN = re.compile(
    r"\b(caused by|is caused|the cause is (?!looked)|because of|due to|will fail|will break|will come off|definitely|certainly)\b",
    re.I,
)
PUSHY = re.compile(r"\b(recommend\w*|urgent\w*|immediately|danger\w*|hurry|strongly)\b", re.I)


def example(name: str, **more: Any) -> Examination:
    """One of the example visits."""
    raw = tomllib.loads((ROOT / "examples" / f"{name}.toml").read_text("utf-8"), parse_float=str)
    return examined(raw | more)


@cache
def of(name: str) -> Page:
    """Its page."""
    ex = example(name)
    return page(ex, sheet(ex), {})


def texts(value: Any) -> Iterator[str]:
    """Every text in plain data."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for v in value.values():
            yield from texts(v)
    elif isinstance(value, list | tuple):
        for v in value:
            yield from texts(v)


@cache
def pages_of_cases() -> tuple[tuple[str, dict[str, Any]], ...]:
    """The pages of every fourth case, and of the examples."""
    out = [(n, asdict(of(n))) for n in ("visit", "disc", "ring")]
    for path in sorted(CASES.glob("*.toml"))[::4]:
        raw = tomllib.loads(path.read_text("utf-8"), parse_float=str)
        if path.name == "bases.toml" or "visit" not in raw:
            continue
        try:
            ex = examined(laid_over(bases()[raw["base"]], raw["visit"]))
        except AssertionError:  # a case whose visit cannot be read at all
            continue
        out.append((path.stem, asdict(page(ex, sheet(ex), {}))))
    return tuple(out)


def test_it_goes_in_the_order_in_which_an_owner_asks() -> None:
    p = of("visit")

    assert [s.call for s in p.sections] == ["replace", "dress", "owner decides", "keep"]
    assert [len(s.things) for s in p.sections] == [6, 2, 2, 0]
    assert list(asdict(p)).index("sections") < list(asdict(p)).index("fine") < list(asdict(p)).index("not_needed") < list(asdict(p)).index("not_checked")  # fmt: skip


def test_it_says_the_same_as_every_other_face() -> None:
    """The counts of the sentence are those of the sheet's sentence."""
    for name in ("visit", "disc", "ring"):
        told = brief.one_breath(example(name))
        numbers = [int(n) for n in re.findall(r"\d+", told)]
        words = [owner_words.NUMBERS.index(w) if w in owner_words.NUMBERS else int(w)
                 for w in re.findall(r"\w+", of(name).one_breath.lower()) if w in owner_words.NUMBERS or w.isdecimal()]  # fmt: skip

        assert words == numbers, told


def test_the_sentence() -> None:
    assert (
        owner_words.one_breath(2, 0, 0, 1, 5, 0)
        == "Two things can’t go back, one is your choice, five are fine."
    )
    assert owner_words.one_breath(1, 1, 1, 0, 0, 1) == "One thing can’t go back, one goes with them, one needs a small job, one could not be checked."  # fmt: skip
    assert owner_words.one_breath(0, 0, 0, 0, 0, 0) == "Nothing has been looked at yet."


def test_a_fixed_item_is_never_offered() -> None:
    for _, p in pages_of_cases():
        for section in p["sections"]:
            offered = [t for t in section["things"] if t["price_now"] or t["price_wait"]]
            assert offered == (list(section["things"]) if section["call"] == "owner decides" else [])


def test_a_choice_has_both_prices_and_what_waiting_costs() -> None:
    choices = of("visit").sections[2].things

    assert [(c.price_now, c.price_wait, c.cents) for c in choices] == [
        ("$555.00", "$0.00", 55500),
        ("$198.00", "$0.00", 19800),
    ]
    assert all("$789.50 at today’s prices" in c.wait[1] for c in choices)
    # 439.50 of parts and 588.00 of labour, 4 % of labour and 3.75 of fees, 6.35 % tax on parts and fees; all choices: 753.00 more before them
    assert [c.total for c in of("visit").costs] == ["$349.00", "$678.50", "$1,084.41", "$1,880.70"]


def test_prices_are_those_of_the_quote() -> None:
    for name in ("visit", "disc", "ring"):
        ex, p = example(name), of(name)
        assert p.must_cents == ex.quote.must_cents
        assert [c.cents for c in p.sections[2].things] == [c.options[0].cents for c in ex.quote.choices]


def test_a_number_stands_on_its_ruler_with_where_the_limit_comes_from() -> None:
    number = of("visit").sections[2].things[0].number

    assert number is not None
    assert (number.new, number.now, number.limit) == ("12.000 in", "12.074 in ± 0.007", "12.090 in")
    assert number.source == "The limit stands on your part."
    assert number.share == pytest.approx(0.074 / 0.090, abs=1e-3)


def test_a_number_that_decided_nothing_is_left_out() -> None:
    """A drum that goes for its cups is inside its limit: the number would speak against the call."""
    drum = next(t for t in of("visit").sections[0].things if t.key == "2-road hub-drum")

    assert drum.number is None
    assert drum.view is not None
    assert (drum.view.good, drum.view.drawn) == (
        "outer_cup_bore-good.webp",
        "outer_cup_bore-punch_peen_or_knurl_marks.webp",
    )


def test_a_photo_stands_before_a_drawn_picture() -> None:
    raw = tomllib.loads((ROOT / "examples" / "visit.toml").read_text("utf-8"), parse_float=str)
    wheel = next(c for c in raw["corner"] if c["position"] == "2-road")
    next(a for a in wheel["feel"] if a.get("place") == "inner" and a["check"] == "cups")["photo"] = "ab" * 8
    ex = examined(raw)
    p = page(ex, sheet(ex), {"ab" * 8: "ab" * 32})
    drum = next(t for t in p.sections[0].things if t.key == "2-road hub-drum")

    assert drum.view is not None
    assert (drum.view.yours, drum.view.drawn) == ("ab" * 32, "")


def test_not_needed_is_named_and_what_was_not_checked_has_its_reason() -> None:
    p = of("visit")

    assert "hub and brake drum, front axle, curb side" in p.not_needed
    assert p.not_checked == ("Wheel, rear axle, curb side: the wheel is at the tire shop until tomorrow",)


def test_the_last_answer_stands_and_says_who_and_how() -> None:
    said = [{"position": "1-road", "part": "hub-drum", "answer": a, "by": who, "how": "on the page"} for a, who in (("now", "Dana Reed"), ("not now", "Sam Reed"))]  # fmt: skip
    ex = example("visit", answer=said)
    choice = page(ex, sheet(ex), {}).sections[2].things[0]

    assert choice.said is not None
    assert (choice.said.answer, choice.said.by, choice.said.how) == ("not now", "Sam Reed", "on the page")


def test_what_was_put_off_comes_back_in_the_owners_words_with_price_then_and_now() -> None:
    row = {
        "position": "1-road",
        "part": "hub-drum",
        "by": "Dana Reed",
        "said": "after the season",
        "date": "2025-11-20",
        "cents": 51000,
    }
    ex = example("visit", declined=[row, row | {"position": "2-road"}, row | {"position": "1-curb"}])
    first, second, third = page(ex, sheet(ex), {}).put_off

    assert (first.said, first.then, first.now, first.state) == (
        "after the season",
        "$510.00",
        "$555.00",
        "It is your choice again.",
    )
    assert (second.now, second.state) == ("", "It can’t wait any more.")
    assert third.state == "It is fine this time."


def seconds(lines: tuple[str, ...]) -> float:
    """At 165 words a minute; a price is read as four words more than it is written."""
    words = " ".join(lines).split()
    return (len(words) + 4 * sum(w.startswith("$") for w in words)) / 165 * 60


@pytest.mark.parametrize("name", ["visit", "disc", "ring"])
def test_the_script_is_read_in_half_a_minute(name: str) -> None:
    """What is told alone well within it; with the questions, each of which waits for its answer, little over."""
    told = tuple(line for line in of(name).script if not line.endswith("?"))

    assert seconds(told) <= 20
    assert seconds(of(name).script) <= 36


def test_a_long_visit_is_no_longer_to_read() -> None:
    gone = [f"part {n}" for n in range(9)]
    choices = [(f"brake {n}, rear axle, curb side", "$100.00") for n in range(9)]
    breath = owner_words.one_breath(9, 4, 5, 9, 30, 3)
    said = owner_words.script("Tamarack Flats Trailer Service", "TF-0417", breath, gone, "$2,100.00", choices)

    assert "What can’t go back: part 0, part 1, part 2 and six more." in said
    assert said[-1] == "And seven more to choose."
    assert seconds(said) <= 36


def test_the_script_of_the_example() -> None:
    assert of("visit").script == (
        "Hello, Tamarack Flats Trailer Service here, about trailer TF-0417.",
        "Three things can’t go back, three go with them, two need a small job, two are your choice, 34 are fine, one could not be checked.",
        "What can’t go back: grease seal, hub and brake drum and wheel bearings.",
        "That work is $678.50. Shall we do it?",
        "Your choice: hub and brake drum, front axle, road side. $555.00 now, or not now?",
        "Your choice: hub and brake drum, rear axle, curb side. $198.00 now, or not now?",
    )


def test_no_law_no_blame_nothing_certain_nothing_pushed() -> None:
    """In every page of the cases, in every owner's text of the tables, and in every word that stands ready."""
    ready = [t for k, v in vars(owner_words).items() if k.isupper() for t in texts(dict(v) if k in {"NAMES", "AXLES", "IF_LEFT", "GRADES", "STANDS", "DUE", "LABELS", "PUT_OFF", "ANSWERS"} else v)]  # fmt: skip
    tables = priced()
    rows = [r.owner for r in (*tables.rules, *tables.pairings)]
    shown = [t for _, p in pages_of_cases() for t in texts(p)]
    said = {*ready, *rows, *shown}

    assert len(said) > 400
    for ban in (LAW, BLAME, CERTAIN, PUSHY):
        assert [t for t in said if ban.search(t)] == []


def grade(text: str) -> float:
    """Flesch-Kincaid grade (Kincaid and others, 1975), with syllables counted by groups of vowels."""
    sentences = max(1, len(re.findall(r"[.!?](?:\s|$)", text)))
    words = re.findall(r"[A-Za-z’]+", text)
    syllables = sum(max(1, len(re.findall(r"[aeiouy]+", w.lower().removesuffix("e")))) for w in words)
    return 0.39 * len(words) / sentences + 11.8 * syllables / len(words) - 15.59


def prose(p: dict[str, Any]) -> str:
    """What is read on a page: its sentences, without lists of names and numbers."""
    out = [p["one_breath"]]
    for s in p["sections"]:
        out += [s["lead"], *(t for thing in s["things"] for t in (*thing["says"], *thing["wait"]))]
    return " ".join(
        [*out, p["words"]["not_needed_lead"], p["words"]["not_checked_lead"], p["words"]["sides"]]
    )


def test_a_reader_of_twelve_years_follows() -> None:
    """School grade 6 or less: twelve years old. Every page, and every sentence that stands ready within two more."""
    grades = {name: grade(prose(p)) for name, p in pages_of_cases()}

    assert max(grades.values()) <= 6, max(grades, key=lambda k: grades[k])
    for s in (
        *owner_words.IF_LEFT.values(),
        owner_words.CARRIES,
        owner_words.GOES_ALONG,
        *(lead for _, _, lead in owner_words.SECTIONS),
    ):
        assert grade(s) <= 8, s


def test_what_is_read_out_at_leaving_says_what_was_found_and_no_more() -> None:
    ex = example("visit")
    plain = asdict(of("visit"))
    found = left_open(plain, ex.release.because)
    said = owner_words.told_at_leaving(
        "Shop", "TF-0417", "19 Nov 2026", found, plain["not_checked"], "Dana Reed", "against advice", ""
    )

    assert found[0] == (
        "hub and brake drum, rear axle, road side",
        "cups: punch, peen or knurl marks (inner) (felt by T1)",
    )
    assert [where for where, _ in found] == [
        "hub and brake drum, rear axle, road side", "wheel bearings, rear axle, road side", "brake, front axle, curb side",
        "face that holds the wheel, front axle, curb side",
    ]  # fmt: skip
    assert "Not checked: Wheel, rear axle, curb side: the wheel is at the tire shop until tomorrow." in said
    assert said[-1] == "A signed paper does not make a part safe."
    assert not [t for t in said if any(ban.search(t) for ban in (LAW, BLAME, CERTAIN))]


def test_a_part_that_was_replaced_is_not_read_out() -> None:
    done = [{"position": "2-road", "part": "hub-drum", "action": "replaced", "by": "T1"}]
    ex = example("visit", done=done)
    found = left_open(asdict(page(ex, sheet(ex), {})), ex.release.because)

    assert "hub and brake drum, rear axle, road side" not in [where for where, _ in found]


def test_a_hauler_is_named_only_where_somebody_named_it() -> None:
    def said(hauler: str) -> str:
        return " ".join(
            owner_words.told_at_leaving("Shop", "TF-1", "1 Jan 2026", [], [], "", "on a hauler", hauler)
        )

    assert "on a hauler (TX 4411), for the owner" in said("TX 4411")
    assert "on a hauler, for the owner" in said("")
