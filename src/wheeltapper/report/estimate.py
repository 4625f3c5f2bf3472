"""The estimate in words: every line as it stands, beside it what the rules ask for and who changed it and why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from wheeltapper.changes import LineEdit
from wheeltapper.flow import Examination
from wheeltapper.plan.bill import Bill
from wheeltapper.plan.estimate import Estimate, Stands, path
from wheeltapper.plan.estimate import Group as Lines
from wheeltapper.plan.quote import Choice
from wheeltapper.report import wording

TITLES = {"booked": "Booked service", "must": "Must be done"}
STRUCK = "struck"
SHARED = "Your choices share work: together they may cost less than the sum of their prices."
HONEST = "Changing a line changes the price and nothing else: the calls stand, and what they hold stays held."


@dataclass(frozen=True)
class Row:
    """A line as printed."""

    code: str
    say: str
    qty: str
    money: str
    rules: str
    asked: str = ""  # what the rules ask for, where the line says something else
    changes: tuple[str, ...] = ()  # who changed it, to what, why; the first one first


@dataclass(frozen=True)
class Group:
    """A group of lines with its sum."""

    key: str
    title: str
    rows: tuple[Row, ...]
    total: str
    note: str = ""
    asked: str = ""  # the sum of what the rules ask for, where it is another


@dataclass(frozen=True)
class Sum:
    """A bill: what it is the bill of, its lines, its total."""

    title: str
    rows: tuple[tuple[str, str], ...]
    total: str
    note: str = ""


@dataclass(frozen=True)
class Told:
    """The whole estimate in words."""

    groups: tuple[Group, ...]
    sums: tuple[Sum, ...]
    deposit: str
    valid_until: str
    terms: tuple[str, ...]  # what somebody changed of deposit and date, and why
    open: tuple[str, ...]
    strays: tuple[str, ...]


def told(ex: Examination) -> Told:
    """The estimate of an examination in words."""
    made, currency = ex.estimate, ex.quote.currency
    groups = {group.key: group for group in made.groups}
    parts = [_group(groups[key], title, currency) for key, title in TITLES.items()]
    for choice in ex.quote.choices:
        parts += _of_choice(choice, groups, ex)
    return Told(
        tuple(p for p in parts if p.rows or p.key not in TITLES), tuple(_sums(made, currency)), wording.money(made.deposit_cents, currency),
        wording.day(made.valid_until), tuple(_terms(made, currency)), made.open,
        tuple(f"{e.group}, {e.code}: {_change(e, currency)}. The rules no longer ask for that line: it counts nothing." for e in made.strays),
    )  # fmt: skip


def terms(ex: Examination) -> tuple[str, ...]:
    """Until when it is good, the deposit, and who set them otherwise than the shop does."""
    made, currency = ex.estimate, ex.quote.currency
    deposit = [f"Deposit: {wording.money(made.deposit_cents, currency)}."] if made.deposit_cents != 0 else []
    return (
        f"Good until {wording.day(made.valid_until)}.",
        *deposit,
        *(f"{said}." for said in _terms(made, currency)),
    )


def _of_choice(choice: Choice, groups: dict[str, Lines], ex: Examination) -> Iterator[Group]:
    currency = ex.quote.currency
    taken = {choice.answer: " (this was the answer)"}
    yield _group(
        groups[path(choice, "now")], f"Your choice: {choice.id}, replace now{taken.get('now', '')}", currency
    )
    until = wording.wait_until(choice, ex.next)
    later = wording.money(choice.options[1].later_cents, currency)
    note = f"Replaced at a later visit, with the hub pulled again: {later} at today's prices."
    title = f"Your choice: {choice.id}, wait: {until}{taken.get('not now', '')}"
    yield _group(groups[path(choice, "wait")], title, currency, note)


def _group(group: Lines, title: str, currency: str, note: str = "") -> Group:
    rows = tuple(row_of(row, currency) for row in group.rows)
    differs = group.asked_cents != group.cents
    asked = (
        f"What the rules ask for comes to {wording.money(group.asked_cents, currency)}." if differs else ""
    )
    return Group(group.key, title, rows, wording.money(group.cents, currency), note, asked)


def row_of(row: Stands, currency: str) -> Row:
    """A line in words."""
    now, asked = row.now, row.asked
    changes = tuple(_change(e, currency) for e in row.edits)
    said = ""
    if row.edits and asked is None:
        said = "The rules do not ask for it."
    elif row.edits and asked is not None:
        stale = f", and asked for {row.edits[-1].asked} when it was changed: look again" if row.stale else ""
        said = f"The rules ask for {wording.line_qty(asked)}, {wording.money(asked.cents, currency)}{stale}."
    qty = wording.line_qty(now) if now.qty else STRUCK
    return Row(
        now.code, now.say, qty, wording.money(now.cents, currency), ", ".join(now.rules), said, changes
    )


def _change(edit: LineEdit, currency: str) -> str:
    """'AL made it 1 at 99.00: the owner brings the other'."""
    said = [f"{edit.qty}" if edit.qty else STRUCK if edit.qty == 0 else ""]
    said += [
        f"{edit.hours} h" if edit.hours else "",
        f"{wording.money(_cents(edit.each), currency)} each" if edit.each else "",
    ]
    to = ", ".join(filter(None, said)) if edit.qty != 0 else STRUCK
    return f"{edit.by} made it {to or edit.say}: {edit.why}"


def _cents(text: str) -> int:
    return int(text.replace(".", ""))


def _terms(made: Estimate, currency: str) -> Iterator[str]:
    for t in made.terms:
        said = [f"a deposit of {wording.money(_cents(t.deposit), currency)}" if t.deposit is not None else ""]
        said += [f"good until {wording.day(t.valid_until)}" if t.valid_until else ""]
        yield f"{t.by} set {' and '.join(filter(None, said))}: {t.why}"


def _sums(made: Estimate, currency: str) -> Iterator[Sum]:
    if not made.open:
        yield _sum("Together", made.least, currency)
        return
    yield _sum("Together, if what you have not decided waits", made.least, currency)
    yield replace(
        _sum("Together, if you take all of it now", made.most, currency),
        note=SHARED if len(made.open) > 1 else "",
    )


def _sum(title: str, owed: Bill, currency: str) -> Sum:
    def say(cents: int | None) -> str:
        return wording.money(cents, currency)

    rows = [("parts", say(owed.parts_cents)), (f"labour, {float(owed.hours):g} h", say(owed.labour_cents))]
    rows += [(charge.say, say(charge.cents)) for charge in (*owed.fees, *owed.taxes)]
    return Sum(title, tuple(rows), say(owed.total_cents))


def as_plain(ex: Examination) -> dict[str, Any]:
    """The estimate for programs, money in cents."""
    made = ex.estimate
    return {
        "groups": [
            {"group": g.key, "cents": g.cents, "asked_cents": g.asked_cents, "lines": [_plain_row(r) for r in g.rows]}
            for g in made.groups
        ],
        "least": _plain_bill(made.least), "most": _plain_bill(made.most), "open": list(made.open),
        "deposit_cents": made.deposit_cents, "valid_until": made.valid_until.isoformat(),
        "terms": [t.model_dump(mode="json", exclude_none=True) for t in made.terms],
    }  # fmt: skip


def _plain_row(row: Stands) -> dict[str, Any]:
    asked = None if row.asked is None else {"qty": row.asked.qty, "cents": row.asked.cents}
    said = {
        "code": row.now.code,
        "say": row.now.say,
        "qty": row.now.qty,
        "cents": row.now.cents,
        "asked": asked,
    }
    return said | {"changes": [e.model_dump(mode="json", exclude_none=True) for e in row.edits]}


def _plain_bill(owed: Bill) -> dict[str, Any]:
    return {
        "parts_cents": owed.parts_cents, "labour_cents": owed.labour_cents, "hours": float(owed.hours),
        "fees": [vars(c) for c in owed.fees], "taxes": [vars(c) for c in owed.taxes], "total_cents": owed.total_cents,
    }  # fmt: skip
