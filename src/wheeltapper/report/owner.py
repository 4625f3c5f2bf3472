"""The owner's page as plain data: the Sheet for a reader who is no mechanic, in the order in which an owner asks.

Cannot go back, small jobs, your choice, fine, not needed, could not be checked. The page, the telephone and the paper show this
and nothing else, so an answer can name exactly what was seen. Words are in owner_words.py. Draws nothing and reads no file.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from wheeltapper.disposition.decide import Call
from wheeltapper.flow import Examination
from wheeltapper.owner_said import Answer, Declined, GoAhead, Question
from wheeltapper.plan.estimate import Group, path
from wheeltapper.plan.quote import Choice
from wheeltapper.report import brief, estimate, wording
from wheeltapper.report import owner_words as words
from wheeltapper.report.beside import beside
from wheeltapper.report.sheet import Item, Ruler, Sheet
from wheeltapper.words import CallWord

Photos = Mapping[str, str]  # by the name that the visit has: the photo's hash


@dataclass(frozen=True)
class View:
    """The part beside the same view of a good one."""

    yours: str  # a photo's hash, or ''
    drawn: str  # where there is no photo: the atlas's picture of the condition
    good: str  # the atlas's picture


@dataclass(frozen=True)
class Number:
    """One number on one ruler; shares run from 0 (new) to 1 (limit)."""

    of: str
    new: str
    now: str
    limit: str
    source: str
    stands: str
    share: float
    doubt: float


@dataclass(frozen=True)
class Said:
    """An answer that stands."""

    answer: str
    by: str
    how: str
    date: str


@dataclass(frozen=True)
class Thing:
    """One part, or one choice."""

    key: str
    where: str
    name: str
    says: tuple[str, ...]
    found: tuple[str, ...]
    view: View | None
    number: Number | None
    wait: tuple[str, ...]
    price_now: str = ""
    price_wait: str = ""
    said: Said | None = None
    cents: int | None = None


@dataclass(frozen=True)
class Section:
    """All parts of one call."""

    call: CallWord
    title: str
    lead: str
    things: tuple[Thing, ...]


@dataclass(frozen=True)
class Cost:
    """Lines that belong together, and their sum."""

    title: str
    rows: tuple[tuple[str, str, str], ...]  # what, how many, price
    total: str


@dataclass(frozen=True)
class PutOff:
    """What was put off at an earlier visit: in the owner's words, with the price then and now."""

    where: str
    name: str
    said: str
    by: str
    date: str
    then: str
    now: str
    state: str


@dataclass(frozen=True)
class Page:
    """Everything that an owner is shown."""

    shop: str
    unit: str
    date: str
    technician: str
    one_breath: str
    sections: tuple[Section, ...]
    costs: tuple[Cost, ...]
    terms: tuple[str, ...]
    must_items: tuple[str, ...]
    must_cents: int | None
    must_said: Said | None
    asks: bool  # is there work that nobody may choose?
    put_off: tuple[PutOff, ...]
    fine: tuple[tuple[str, tuple[str, ...]], ...]  # where, names
    not_needed: tuple[str, ...]
    not_checked: tuple[str, ...]
    asked: tuple[tuple[str, str, str], ...]  # question, by, reply
    next: tuple[tuple[str, str], ...]
    script: tuple[str, ...]  # read out on the telephone, after the name
    words: Mapping[str, str]


def page(ex: Examination, made: Sheet, photos: Photos) -> Page:
    """The owner's page of an examination and its Sheet."""
    quote, axles = ex.quote, ex.visit.unit.axles
    gone = _things("replace", ex, made, photos)
    small = _things("dress", ex, made, photos)
    must = bool(quote.must) and bool(gone or small)
    choices = tuple(_choice(c, ex, made, photos) for c in quote.choices)
    made_of: dict[CallWord, tuple[Thing, ...]] = {
        "replace": gone, "dress": small, "owner decides": choices, "keep": (),
    }  # fmt: skip
    return Page(
        shop=made.shop, unit=made.unit, date=made.date, technician=made.technician, one_breath=one_breath(ex),
        sections=tuple(Section(call, title, lead, made_of[call]) for call, title, lead in words.SECTIONS),
        costs=_costs(ex), terms=estimate.terms(ex),
        must_items=tuple(t.key for t in (*gone, *small)), must_cents=_group(ex, "must").cents if must else None,
        must_said=_go_ahead(ex.visit.go_ahead), asks=must, put_off=tuple(_put_off(d, ex) for d in ex.visit.declined),
        fine=_fine(ex, made), not_needed=tuple(f"{words.name(part)}, {words.where(p, axles)}" for p, part in quote.not_needed),
        not_checked=_not_checked(ex, made), asked=_asked(ex), next=_next(ex), script=_script(ex, made, gone, choices), words=dict(words.LABELS),
    )  # fmt: skip


def one_breath(ex: Examination) -> str:
    """The whole in one sentence, counted as every other face counts it."""
    hidden = brief.within_assembly(ex)
    shown = [c for c in ex.calls if c.place not in hidden]
    gone = [c for c in shown if c.call == "replace"]
    along = sum(1 for c in gone if set(c.because) <= brief.GO_ALONG)
    small, fine, open_ = (sum(1 for c in shown if c.call == call) for call in ("dress", "keep", "recheck"))
    return words.one_breath(len(gone) - along, along, small, len(ex.quote.choices), fine, open_)


def _script(ex: Examination, made: Sheet, gone: Sequence[Thing], choices: Sequence[Thing]) -> tuple[str, ...]:
    """The parts that were found bad are named; those that only go with them are in the count."""
    own = [t for t in gone if t.wait != (words.GOES_ALONG,)] or gone
    work = wording.money(_group(ex, "must").cents, ex.quote.currency) if ex.quote.must else ""
    offered = [(f"{t.name}, {t.where}", t.price_now) for t in choices]
    return words.script(
        made.shop, made.unit, one_breath(ex), dict.fromkeys(t.name for t in own), work, offered
    )


def _items(call: CallWord, made: Sheet) -> Iterable[Item]:
    return (item for section in made.sections if section.call == call for item in section.items)


def _calls(item: Item, ex: Examination) -> list[Call]:
    wheels = item.position.split(", ")
    return [c for c in ex.calls if c.part == item.part and c.position in wheels]


def _things(call: CallWord, ex: Examination, made: Sheet, photos: Photos) -> tuple[Thing, ...]:
    return tuple(_thing(item, ex, photos) for item in _items(call, made))


def _thing(item: Item, ex: Examination, photos: Photos) -> Thing:
    """A part that cannot go back, or goes back after bench work."""
    calls, axles = _calls(item, ex), ex.visit.unit.axles
    if item.call == "dress":
        wait = words.IF_NOT_DRESSED
    elif set(item.rules) <= brief.GO_ALONG:
        wait = words.GOES_ALONG
    else:
        wait = words.IF_LEFT.get(item.part, words.CARRIES)
    where = "; ".join(words.where(p, axles) for p in item.position.split(", "))
    return Thing(
        f"{item.position} {item.part}", where, words.name(item.part), item.owner, _found(calls, ex),
        _view(calls, photos), _number(item.ruler) if any(f.gauged for c in calls for f in c.facts) else None, (wait,),
    )  # fmt: skip


def _choice(choice: Choice, ex: Examination, made: Sheet, photos: Photos) -> Thing:
    """Something the owner decides, with both prices."""
    calls = [c for c in ex.calls if c.place in choice.places]
    items = [i for i in _items("owner decides", made) if any(c.place in choice.places for c in _calls(i, ex))]
    now, wait = (_group(ex, path(choice, what)).cents for what in ("now", "wait"))
    currency = ex.quote.currency
    own = [n for n in ex.next if (n.position, n.part) in choice.places and n.what != "look for a weep"]
    hubs = [n for n in ex.next if n.what == "hubs off"]
    ruled = next((i.ruler for i in items if i.ruler), None)
    wheels = list(dict.fromkeys(p for p, _ in choice.places))
    return Thing(
        choice.id, "; ".join(words.where(p, ex.visit.unit.axles) for p in wheels), words.name(choice.part),
        tuple(dict.fromkeys(s for i in items for s in i.owner)), _found(calls, ex), _view(calls, photos), _number(ruled),
        (words.wait_until(own or hubs), words.later(wording.money(choice.options[1].later_cents, currency))),
        wording.money(now, currency), wording.money(wait, currency), _answer(choice, ex.visit.answer), now,
    )  # fmt: skip


def _answer(choice: Choice, said: Iterable[Answer]) -> Said | None:
    last = next((a for a in reversed(list(said)) if (a.position, a.part) in choice.places), None)
    return None if last is None else _told(last)


def _go_ahead(said: Sequence[GoAhead]) -> Said | None:
    return _told(said[-1]) if said else None


def _told(last: Answer | GoAhead) -> Said:
    day = wording.day(last.date) if last.date else ""
    return Said(words.ANSWERS[last.answer], last.by, last.how or "", day)


def _found(calls: Iterable[Call], ex: Examination) -> tuple[str, ...]:
    """What somebody saw, felt or heard, in the sheet's own words; a size stands on its ruler instead."""
    said = [
        wording.fact(f, ex.tables, wording.reader_for(ex.visit)) for c in calls for f in c.facts if f.words
    ]
    return tuple(dict.fromkeys(said))[:3]


def _view(calls: Iterable[Call], photos: Photos) -> View | None:
    """The first finding of these that there is something to see of."""
    for pair in beside(f for c in calls for f in c.facts):
        yours = photos.get(pair.photo, "")
        if yours or pair.rendered:
            return View(yours, "" if yours else pair.rendered, pair.good)
    return None


def _number(ruler: Ruler | None) -> Number | None:
    if ruler is None:
        return None
    stands = next(said for key, said in (("past", "over"), ("at the", "at the limit"), ("inside", "under")) if ruler.standing.startswith(key))  # fmt: skip
    grade = ruler.limit_from.partition(":")[0].partition(";")[0]
    of = ruler.title.partition(" ")[2]
    return Number(
        of, ruler.new, ruler.now, ruler.limit, words.GRADES.get(grade, ""), words.STANDS[stands], round(ruler.now_share, 4),
        round(ruler.doubt_share, 4),
    )  # fmt: skip


def _group(ex: Examination, key: str) -> Group:
    """The lines of a group as they stand, whatever the counter changed among them."""
    return next((g for g in ex.estimate.groups if g.key == key), Group(key, (), 0, 0))


def _costs(ex: Examination) -> tuple[Cost, ...]:
    """What is booked, what must be, and what it all comes to with taxes and fees."""
    groups = [(title, _group(ex, key)) for title, key in ((words.BOOKED, "booked"), (words.MUST, "must"))]
    currency = ex.quote.currency
    costs = [_cost(title, group, currency) for title, group in groups if group.rows]
    sums = estimate.told(ex).sums if costs or ex.quote.choices else ()
    return (
        *costs,
        *(Cost(s.title, tuple((say, "", money) for say, money in s.rows), s.total) for s in sums),
    )


def _cost(title: str, group: Group, currency: str) -> Cost:
    lines = [row.now for row in group.rows if row.now.qty]
    rows = tuple((row.say, wording.line_qty(row), wording.money(row.cents, currency)) for row in lines)
    return Cost(title, rows, wording.money(group.cents, currency))


def _put_off(row: Declined, ex: Examination) -> PutOff:
    place, currency = (row.position, row.part), ex.quote.currency
    choice = next((c for c in ex.quote.choices if place in c.places), None)
    call = next((c.call for c in ex.calls if c.place == place), "recheck")
    now = wording.money(_group(ex, path(choice, "now")).cents, currency) if choice else ""
    return PutOff(
        words.where(row.position, ex.visit.unit.axles), words.name(row.part), row.said or "", row.by,
        wording.day(row.date) if row.date else "", wording.money(row.cents, currency) if row.cents is not None else "", now,
        words.PUT_OFF[call],
    )  # fmt: skip


def _fine(ex: Examination, made: Sheet) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """By wheel; a size that was measured stands beside its part."""
    rows: dict[str, list[str]] = {}
    for item in _items("keep", made):
        size = words.measured(item.ruler.now, item.ruler.limit) if item.ruler else ""
        for position in item.position.split(", "):
            rows.setdefault(position, []).append(words.name(item.part) + size)
    return tuple((words.where(p, ex.visit.unit.axles), tuple(names)) for p, names in sorted(rows.items()))


def _not_checked(ex: Examination, made: Sheet) -> tuple[str, ...]:
    axles, out = ex.visit.unit.axles, []
    reasons = {(g.position, g.check): g.why for g in ex.findings.gaps}
    for item in _items("recheck", made):
        for position in item.position.split(", "):
            why = next((reasons[position, m] for m in item.missing if (position, m) in reasons), "")
            out.append(words.unsettled(item.part, words.where(position, axles), why))
    return tuple(out)


def _asked(ex: Examination) -> tuple[tuple[str, str, str], ...]:
    replies = {r.to: r.text for r in ex.visit.reply}
    return tuple((q.text, q.by, replies.get(q.text, "")) for q in ex.visit.question)


def _next(ex: Examination) -> tuple[tuple[str, str], ...]:
    """What falls due; several distances of one thing with one date in one row."""
    rows: dict[tuple[str, str], list[str]] = {}
    for n in ex.next:
        place = f", {words.where(n.position, ex.visit.unit.axles)}" if n.position else ""
        date = f"by {wording.day(n.date)}" if n.date else ""
        rows.setdefault((words.DUE.get(n.what, n.what) + place, date), []).append(words.distance(n))
    return tuple(
        (what, ", ".join([*filter(None, fars), date] if date else fars))
        for (what, date), fars in rows.items()
    )


def left_open(of: Mapping[str, Any], held: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Of a page as plain data: each part that was found bad and is not put right, with what was found there."""
    undone = {h.partition(":")[0] for h in held if h.endswith(words.UNDONE)}
    out = []
    for section in (s for s in of["sections"] if s["call"] in ("replace", "dress")):
        for t in section["things"]:
            wheels, _, part = t["key"].rpartition(" ")
            if any(f"{w} {part}" in undone for w in wheels.split(", ")) and list(t["wait"]) != [
                words.GOES_ALONG
            ]:
                out.append((f"{t['name']}, {t['where']}", _seen_there(t)))
    return tuple(out)


def _seen_there(thing: Mapping[str, Any]) -> str:
    """What was seen, else what was measured, else what its rule says."""
    if thing["found"]:
        return "; ".join(thing["found"])
    number = thing["number"]
    return (
        words.reading(number["of"], number["now"], number["limit"])
        if number
        else " ".join(thing["says"]).rstrip(".")
    )


def open_questions(ex: Examination) -> tuple[Question, ...]:
    """What was asked and has no reply yet."""
    answered = {r.to for r in ex.visit.reply}
    return tuple(q for q in ex.visit.question if q.text not in answered)
