"""The estimate: the quote's lines as they stand after what the counter changed, added up with fees and taxes.

What the rules ask for is never lost: every line keeps it beside what was made of it, by whom and why. A change holds for one
line of one group; work that several choices share counts once, and so does a change to it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date as Date
from datetime import timedelta
from fractions import Fraction

from wheeltapper.changes import LineEdit, Terms
from wheeltapper.disposition.causes import Likely
from wheeltapper.disposition.decide import Call
from wheeltapper.plan.bill import Bill, bill
from wheeltapper.plan.quote import Choice, Line, Quote, lines, total, wheels_of, whole, without_choices
from wheeltapper.plan.work import Job, Planner, minus
from wheeltapper.reference.money import cents_of
from wheeltapper.reference.tables import Tables


@dataclass(frozen=True)
class Stands:
    """A line as it stands: what counts, what the rules ask for, and what was changed."""

    now: Line
    asked: Line | None  # None: somebody added the line
    edits: tuple[LineEdit, ...] = ()  # the first one first; the last one counts
    stale: bool = False  # the rules ask for another number than when it was changed


@dataclass(frozen=True)
class Group:
    """The lines of what is booked, of what must be, or of one path of a choice."""

    key: str  # 'booked', 'must', 'axle 1 brake-assembly, now'
    rows: tuple[Stands, ...]
    cents: int | None
    asked_cents: int | None  # what the rules ask for comes to


@dataclass(frozen=True)
class Estimate:
    """What it comes to, with its terms."""

    groups: tuple[Group, ...]
    least: Bill  # booked, must and the choices as answered; one without an answer waits
    most: Bill  # the same, with every choice that has no answer taken now
    open: tuple[str, ...]  # choices without an answer
    least_lines: tuple[Line, ...]
    most_lines: tuple[Line, ...]
    deposit_cents: int | None
    valid_until: Date
    terms: tuple[Terms, ...]
    strays: tuple[LineEdit, ...]  # changes of lines that the rules no longer ask for: they count nothing


def estimate(planner: Planner, calls: tuple[Call, ...], causes: tuple[Likely, ...], quote: Quote) -> Estimate:
    """The estimate of a visit as it stands."""
    tables, visit = planner.tables, planner.visit
    asked = {"booked": quote.booked, "must": quote.must}
    asked |= {path(c, o.what): o.lines for c in quote.choices for o in c.options}
    groups = {key: _group(key, rows, visit.estimate, tables) for key, rows in asked.items()}
    fixed = [row.now for key in ("booked", "must") for row in groups[key].rows]
    open_ = tuple(c.id for c in quote.choices if c.answer is None)
    together = _Together(planner, calls, causes, quote, groups)
    least = (*fixed, *together.lines([c for c in quote.choices if c.answer == "now"]))
    most = (*fixed, *together.lines([c for c in quote.choices if c.answer != "not now"]))
    owed = bill(least, tables)
    struck = tuple(
        e for e in visit.estimate if not any(e in row.edits for g in groups.values() for row in g.rows)
    )
    return Estimate(
        tuple(groups.values()), owed, bill(most, tables), open_, least, most, _deposit(owed, visit.terms, tables),
        _valid_until(visit.date, visit.terms, tables), visit.terms, struck,
    )  # fmt: skip


def path(choice: Choice, what: str) -> str:
    """The name of one path of a choice, as changes name their group."""
    return f"{choice.id}, {what}"


def _group(key: str, asked: Sequence[Line], edits: Iterable[LineEdit], tables: Tables) -> Group:
    mine: dict[str, tuple[LineEdit, ...]] = {}
    for edit in edits:
        if edit.group == key:
            mine[edit.code] = (*mine.get(edit.code, ()), edit)
    rows = [_stands(line, mine.pop(line.code, ()), tables) for line in asked]
    rows += [_added(of, tables) for of in mine.values() if of[-1].asked == 0]
    return Group(key, tuple(rows), total(row.now for row in rows), total(asked))


def _stands(asked: Line, edits: tuple[LineEdit, ...], tables: Tables) -> Stands:
    if not edits:
        return Stands(asked, asked)
    last = edits[-1]
    return Stands(_changed(asked, last, tables), asked, edits, stale=last.asked != asked.qty)


def _added(edits: tuple[LineEdit, ...], tables: Tables) -> Stands:
    last = edits[-1]
    hours = None if last.hours is None else Fraction(0)
    blank = Line(last.code, last.say or last.code, 1, None, hours, (), ())
    return Stands(_changed(blank, last, tables), None, edits)


def _changed(line: Line, edit: LineEdit, tables: Tables) -> Line:
    """A line with a change on it: a price of one goes before the book's, hours of one before the book's."""
    qty = line.qty if edit.qty is None else edit.qty
    hours, cents = line.hours, line.cents
    if hours is not None:
        hours = (Fraction(edit.hours) if edit.hours is not None else hours / line.qty) * qty
    if edit.each is not None:
        cents = (cents_of(edit.each) or 0) * qty
    elif hours is not None:
        cents = None if tables.rate_cents is None else whole(hours * tables.rate_cents)
    else:
        cents = None if line.cents is None else line.cents // line.qty * qty
    if qty == 0:
        cents = 0  # a struck line costs nothing, whatever one costs
    same = qty == line.qty
    return replace(
        line, say=edit.say or line.say, qty=qty, hours=hours, cents=cents, places=line.places, counts=line.counts if same else ()
    )  # fmt: skip


class _Together:
    """Choices taken and left in any mixture: work that they share is there once."""

    def __init__(
        self, planner: Planner, calls: tuple[Call, ...], causes: tuple[Likely, ...], quote: Quote, groups: dict[str, Group]
    ) -> None:  # fmt: skip
        self.planner, self.calls, self.causes, self.quote, self.groups = planner, calls, causes, quote, groups
        booked, must = without_choices(planner, calls, causes)
        self.taken = booked | must

    def lines(self, now: Sequence[Choice]) -> tuple[Line, ...]:
        """The lines on top of booked and must, with these choices taken and the others waiting."""
        planner = self.planner
        places = [(wheel, c.part) for c in now for wheel in wheels_of(c.part, c.places)]
        after = planner.with_replaced(self.calls, places) if places else list(self.calls)
        job = minus(planner.job(after, self.causes), self.taken)
        gone = {c.place for c in after if c.call == "replace"}
        bench: Job = {}
        waiting = [c for c in self.quote.choices if c not in now]
        left = {place for c in waiting for place in c.places} - gone
        for call in (c for c in self.calls if c.place in left):
            planner.dress(bench, call, gone)
        joint = lines(minus(bench, self.taken) | job, planner.tables)
        keys = [path(c, "now") for c in now] + [path(c, "wait") for c in waiting]
        return tuple(_with_changes(joint, [row for key in keys for row in self.groups[key].rows]))


def _with_changes(joint: Iterable[Line], rows: Iterable[Stands]) -> list[Line]:
    """The joint lines with what was changed on the single ones; added lines stay, whatever the rules ask for."""
    by_code: dict[str, list[Stands]] = {}
    for row in rows:
        by_code.setdefault(row.now.code, []).append(row)
    out = []
    for line in joint:
        of = by_code.get(line.code, [])
        out.append(_shared(line, of) if any(row.edits for row in of) else line)
    return out + [row.now for of in by_code.values() for row in of if row.asked is None]


def _shared(line: Line, rows: list[Stands]) -> Line:
    """A joint line moved by as much as its single ones were, but never under what one of them alone still stands at."""
    known = [(row.now, row.asked) for row in rows if row.asked is not None]
    qty = max([line.qty + sum(n.qty - a.qty for n, a in known), *(n.qty for n, _ in known)])
    cents = _shared_cents(line.cents, [(n.cents, a.cents) for n, a in known])
    hours = line.hours
    if hours is not None:
        each = [(n.hours or Fraction(0), a.hours or Fraction(0)) for n, a in known]
        hours = max(hours + sum((n - a for n, a in each), Fraction(0)), *(n for n, _ in each))
    counts = line.counts if qty == line.qty else ()
    return replace(line, qty=qty, cents=cents, hours=hours, counts=counts)


def _shared_cents(joint: int | None, known: list[tuple[int | None, int | None]]) -> int | None:
    """The same for money; where the book has no price there is nothing to move, and the changed ones add up."""
    now = [n for n, _ in known if n is not None]
    was = [a for _, a in known if a is not None]
    if len(now) < len(known):
        return None
    if joint is None or len(was) < len(known):
        return sum(now)
    return max([joint + sum(now) - sum(was), *now])


def _deposit(owed: Bill, terms: Iterable[Terms], tables: Tables) -> int | None:
    said = [t.deposit for t in terms if t.deposit is not None]
    if said:
        return cents_of(said[-1])
    share = Fraction(tables.house["deposit_percent"])
    if not share:
        return 0
    return None if owed.total_cents is None else whole(share * owed.total_cents / 100)


def _valid_until(day: Date, terms: Iterable[Terms], tables: Tables) -> Date:
    said = [t.valid_until for t in terms if t.valid_until is not None]
    return said[-1] if said else day + timedelta(days=int(tables.house["estimate_days"]))
