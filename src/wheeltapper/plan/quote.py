"""Money: must, the owner's choices with both paths priced, and what is not needed. Whole cents throughout."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from wheeltapper.disposition.causes import Likely
from wheeltapper.disposition.decide import PER_AXLE, Call, Place, choice_of
from wheeltapper.plan.work import NO_PRICE, Job, Need, Planner, minus
from wheeltapper.problems import Problem
from wheeltapper.reference.tables import Tables
from wheeltapper.words import Part, axle_of, other_end

SOLD_PARTS = ("hub-drum", "brake-assembly", "bearing-set", "rotor", "pads")


@dataclass(frozen=True)
class Line:
    """A line of the quote. cents is for all of it; None where the price book has no price."""

    code: str
    say: str
    qty: int
    cents: int | None
    hours: Fraction | None
    rules: tuple[str, ...]
    places: tuple[str, ...]
    counts: tuple[int, ...] = ()  # how many of them at each place


@dataclass(frozen=True)
class Option:
    """One path of a choice."""

    what: str  # "now" or "wait"
    lines: tuple[Line, ...]
    cents: int | None
    later: tuple[Line, ...] = ()
    later_cents: int | None = None


@dataclass(frozen=True)
class Choice:
    """Something the owner decides, with both paths priced."""

    id: str
    part: Part
    places: tuple[Place, ...]  # the calls it answers
    rules: tuple[str, ...]
    options: tuple[Option, Option]
    answer: str | None = None


@dataclass(frozen=True)
class Quote:
    """All lines of the visit."""

    booked: tuple[Line, ...]
    must: tuple[Line, ...]
    choices: tuple[Choice, ...]
    not_needed: tuple[Place, ...]
    booked_cents: int | None
    must_cents: int | None
    all_choices_cents: int | None  # every choice taken now: less than their sum where they share work
    currency: str


def quote(
    planner: Planner, calls: tuple[Call, ...], causes: tuple[Likely, ...]
) -> tuple[Quote, tuple[Problem, ...]]:
    """The quote for the calls and causes, and a Problem for each part the price book cannot name."""
    tables = planner.tables
    gone = {c.place for c in calls if c.call == "replace"}
    booked, must = without_choices(planner, calls, causes)
    taken = booked | must
    groups = _groups(calls)
    choices = tuple(_choice(planner, calls, causes, taken, key, group) for key, group in groups.items())
    everything = [
        (wheel, key[1])
        for key, group in groups.items()
        for wheel in wheels_of(key[1], [c.place for c in group])
    ]
    all_now = lines(minus(planner.job(planner.with_replaced(calls, everything), causes), taken), tables)
    booked_lines, must_lines = lines(booked, tables), lines(must, tables)
    made = Quote(
        booked_lines, must_lines, choices, tuple(c.place for c in calls if c.call == "keep" and c.part in SOLD_PARTS and not planner.goes_with_axle(c, gone)),
        total(booked_lines), total(must_lines), total(all_now),
        tables.house["currency"],
    )  # fmt: skip
    return made, _unpriced(made, planner)


def without_choices(planner: Planner, calls: tuple[Call, ...], causes: tuple[Likely, ...]) -> tuple[Job, Job]:
    """What the visit was booked for, and what must be done on top of it."""
    gone = {c.place for c in calls if c.call == "replace"}
    booked = planner.booked(gone)
    job = planner.job(calls, causes)
    if planner.visit.scope == "hub service" and not any(code == "L-HUB" for code, _ in booked):
        job |= planner.hub_opened(sorted({c.position for c in calls}), gone)
    return booked, minus(job, booked)


def lines(job: Job, tables: Tables) -> tuple[Line, ...]:
    """Needs of one code put together into priced lines, parts before labour, in the order of the books."""
    by_code: dict[str, list[Need]] = {}
    for _, need in sorted(job.items()):
        by_code.setdefault(need.code, []).append(need)
    codes = sorted(by_code, key=lambda c: (tables.order_of.get(c, -1), c))
    return tuple(_line(code, by_code[code], tables) for code in codes)


def _line(code: str, needs: list[Need], tables: Tables) -> Line:
    qty = sum(need.qty for need in needs)
    rules = tuple(sorted({rule for need in needs for rule in need.rules}))
    places, counts = tuple(need.place for need in needs), tuple(need.qty for need in needs)
    if code in tables.labour:
        row = tables.labour[code]
        rate = tables.rate_cents
        cents = None if rate is None else whole(row.hours * qty * rate)
        return Line(code, row.say, qty, cents, row.hours * qty, rules, places, counts)
    price = tables.price_of.get(code)
    if price is None:
        return Line(code, code.removeprefix(NO_PRICE), qty, None, None, rules, places, counts)
    cents = None if price.cents is None else price.cents * qty
    return Line(code, price.say, qty, cents, None, rules, places, counts)


def whole(cents: Fraction) -> int:
    """Whole cents, a half rounded up."""
    return int(cents + Fraction(1, 2))


def total(rows: Iterable[Line]) -> int | None:
    """Sum of the lines; None where one of them has no price."""
    cents = [row.cents for row in rows]
    return None if any(c is None for c in cents) else sum(c for c in cents if c is not None)


def _groups(calls: tuple[Call, ...]) -> dict[tuple[str, Part], list[Call]]:
    """What the owner decides, by choice: its name and the part that is sold."""
    groups: dict[tuple[str, Part], list[Call]] = {}
    for call in calls:
        if call.call == "owner decides":
            groups.setdefault(choice_of(call), []).append(call)
    return groups


def wheels_of(part: Part, group: Iterable[Place]) -> list[str]:
    """Where the part would be replaced: at both ends of the axle for what is sold by the axle."""
    wheels = {position for position, _ in group}
    return sorted(wheels | {other_end(w) for w in wheels} if part in PER_AXLE else wheels)


def _choice(
    planner: Planner, calls: tuple[Call, ...], causes: tuple[Likely, ...], taken: Job, key: tuple[str, Part], group: list[Call]
) -> Choice:  # fmt: skip
    tables, (name, part) = planner.tables, key
    wheels = wheels_of(part, [c.place for c in group])
    after = planner.with_replaced(calls, [(wheel, part) for wheel in wheels])
    instead = minus(planner.job(after, causes), taken)
    bench_work: Job = {}
    for call in group:
        planner.dress(bench_work, call, set())
    now, wait = lines(instead, tables), lines(minus(bench_work, taken), tables)
    later = lines(_later(planner, calls, [(wheel, part) for wheel in wheels]), tables)
    answers = {(a.position, a.part): a.answer for a in planner.visit.answer}
    answer = next((answers[c.place] for c in group if c.place in answers), None)
    rules = tuple(dict.fromkeys(rule for c in group for rule in c.because))
    options = (Option("now", now, total(now)), Option("wait", wait, total(wait), later, total(later)))
    return Choice(name, part, tuple(c.place for c in group), rules, options, answer)


def replaced_now_and_later(
    planner: Planner, calls: tuple[Call, ...], causes: tuple[Likely, ...], places: list[tuple[str, Part]]
) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """Lines of replacing these on this visit, beyond what is done anyway, and of the same at a later visit."""
    gone = {c.place for c in calls if c.call == "replace"}
    taken = planner.booked(gone) | planner.job(calls, causes)
    now = minus(planner.job(planner.with_replaced(calls, places), causes), taken)
    return lines(now, planner.tables), lines(_later(planner, calls, places), planner.tables)


def _later(planner: Planner, calls: tuple[Call, ...], places: list[tuple[str, Part]]) -> Job:
    """The same replacement at a later visit: all that goes with it then, and the hubs opened again."""
    axles = {axle_of(wheel) for wheel, _ in places}
    kept = [Call(c.position, c.part, "keep") for c in calls if axle_of(c.position) in axles]
    then = planner.with_replaced(kept, places)
    opened = sorted({c.position for c in then if c.call == "replace"})
    return planner.job(then) | planner.hub_opened(opened, set())


def _unpriced(made: Quote, planner: Planner) -> tuple[Problem, ...]:
    rows = [*made.booked, *made.must, *(row for c in made.choices for o in c.options for row in o.lines)]
    unknown = sorted({row.code.removeprefix(NO_PRICE) for row in rows if row.code.startswith(NO_PRICE)})
    unit = planner.visit.unit
    what = f"{unit.drum or unit.brake}, {planner.studs or 'unknown number of'} studs"
    return tuple(
        Problem(
            "price book",
            f"no {part} that fits ({what})",
            "state unit.drum and unit.bolt_pattern, or add the part to prices.csv.",
        )
        for part in unknown
    )
