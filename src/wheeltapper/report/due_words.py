"""What is due after the work, in words for whoever tows the trailer: the list behind a link or a tag, and the reminder.

For a reader of twelve years. It says what to do and when, whose figure to go by, and when not to drive on.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date as Date
from types import MappingProxyType
from typing import Any

from wheeltapper.findings.clamp import first_retorque
from wheeltapper.plan.due import Due
from wheeltapper.plan.schedule import Next
from wheeltapper.reference.tables import Tables
from wheeltapper.report import owner_words, wording

NAMES = MappingProxyType({"retorque": "tighten the wheel nuts again", "adjust": "set the brakes"})
IN_THE_SHOP = MappingProxyType({"retorque": "re-torque", "adjust": "brake adjust"})
HOW = MappingProxyType({
    "retorque": "Use a torque wrench. Go by the figure on the wheel’s or the axle maker’s label.",
    "adjust": "Go by the axle maker’s sheet. If you are not sure how, let us do it.",
})  # fmt: skip
AT_THE_SHOP = "We do this at the shop. Make a date with us."
COME_IN = "Come in. Do not just tighten it again: something lets the nuts come loose. Call us first. We tell you how to bring it."
NOBODY_SAID = (
    "Somebody did this, but nobody said whether a nut moved. So it is still open. Please do it again."
)
FIRST_MOVED = "A nut moved. At the first check it may: parts settle. Watch for it at the next one."
WORDS = MappingProxyType({
    "title": "After the work", "lead": "Tap when you have done one. Distances count from the day the trailer left us.",
    "danger": "If a wheel wobbles, a nut is loose by hand, or a stud is broken or gone: stop, do not drive on, and call us.",
    "still": "Done. No nut moved", "moved": "Done. A nut moved", "done": "Done", "far": "About how far did it turn?",
    "flat": "A flat is one side of the nut. A nut has six.", "more": "Say more (you may leave this empty)", "own_words": "Your words",
    "miles": "Miles since the trailer left us, if you know", "name": "Your name", "yours": "For you to do", "closed": "Done so far", "later": "At the shop",
    "none": "Nothing is due for this trailer now.",
    "overdue": "Overdue", "we_do": "We do these. Make a date with us.",
})  # fmt: skip
TURNS = (  # what can be tapped, and the angle that is written for it
    ("20 deg", "Only a little, a third of a flat"), ("60 deg", "About one flat"), ("120 deg", "About two flats"), ("180 deg", "Half a turn or more"),
)  # fmt: skip
TAG_LINE = "Re-torque at 10, 25 and 50 miles"


@dataclass(frozen=True)
class Row:
    """One thing that is due, as it is shown."""

    key: str
    what: str
    miles: int | None
    name: str
    when: str
    how: str
    state: str
    late: bool
    come_in: bool
    closed: bool
    told: bool  # whoever did it can say so here
    asks_far: bool  # a nut moved, and nobody said how far


def rows(items: Iterable[Due], far_told: Iterable[int], tables: Tables, on: Date) -> tuple[Row, ...]:
    """The list as it is shown.

    Args:
        items: what is due.
        far_told: the re-torques [mi] of which somebody said how far a nut turned.
        tables: as the visit was examined with.
        on: the shop's day.
    """
    items, known, first = list(items), set(far_told), first_retorque(tables)
    stop = any(d.come_in for d in items)  # nobody goes on to the next check before that one was looked at
    return tuple(_row(d, d.miles in known, stop and d.what == "retorque", first, on) for d in items)


def _row(item: Due, far_told: bool, stop: bool, first: float, on: Date) -> Row:
    moved = item.moved is True
    place = f", {item.position} {item.part}" if item.position and item.part else ""
    asks_far = item.what == "retorque" and moved and not far_told
    return Row(
        f"{item.what} {item.miles or ''}".strip(), item.what, item.miles, name(item) + place, when(item),
        HOW.get(item.what, AT_THE_SHOP), _state(item, moved and (item.miles or 0) <= first), late(item, on), item.come_in,
        item.closed, item.can_be_told and not item.closed and not stop, asks_far,
    )  # fmt: skip


def _state(item: Due, moved_at_first: bool) -> str:
    if item.come_in:
        return COME_IN
    if moved_at_first:
        return FIRST_MOVED
    done = item.done is not None or item.done_on is not None
    if item.what == "retorque" and done and item.moved is None:
        return NOBODY_SAID
    return f"Done{_done_when(item)}." if item.closed else ""


def _done_when(item: Due) -> str:
    day = f" on {wording.day(item.done_on)}" if item.done_on else ""
    return day + (f", at {wording.miles(item.done)}" if item.done is not None else "")


def late(item: Due, on: Date) -> bool:
    """Is its day over, and it is still open?"""
    return not item.closed and item.by is not None and item.by < on


def name(item: Due) -> str:
    """What is to be done, as an owner calls it."""
    if item.what in NAMES and item.miles:
        return f"{item.miles:,} miles: {NAMES[item.what]}"
    return owner_words.DUE.get(item.what, item.what.capitalize())


def when(item: Due) -> str:
    """'after 10 miles or by 21 Mar 2026, whichever comes first'."""
    return owner_words.due(Next(item.what, item.basis, item.miles, item.by))


def in_the_shop(what: str) -> str:
    """What is due, as the trade calls it."""
    return IN_THE_SHOP.get(what, what)


def short(item: Due) -> str:
    """As the Yard's line says it: 're-torque at 10 mi or by 21 Mar 2026'."""
    place = f", {item.position} {item.part}" if item.position and item.part else ""
    return f"{in_the_shop(item.what)}{place} {wording.due(Next(item.what, item.basis, item.miles, item.by))}"


def reminder(shop: str, unit: str, to: str, url: str, lines: Iterable[str]) -> str:
    """The e-mail that reminds somebody."""
    listed = "\n".join(f"- {line}" for line in lines)
    return (
        f"Hello {to},\n\nthis is due on your trailer {unit}:\n\n{listed}\n\nTap what is done, or see what it means:\n\n{url}\n\n"
        f"{WORDS['danger']}\n\n{shop}\n"
    )


def subject(unit: str) -> str:
    """Of the reminder."""
    return f"Your trailer {unit}: what is due"


def line(item: Due, on: Date) -> str:
    """One thing in a reminder."""
    said = f" {COME_IN}" if item.come_in else " This is overdue." if late(item, on) else ""
    return f"{name(item)}: {when(item)}.{said}"


def said_of(row: Mapping[str, Any]) -> tuple[str, str]:
    """What somebody said was done, as the counter reads it: of what, and the word."""
    word = "done" if "moved" not in row else "a nut moved" if row["moved"] else "no nut moved"
    return (
        f"{in_the_shop(row['what'])} at {wording.miles(row['due'])}",
        f"{word}, {row['turned']}" if row.get("turned") else word,
    )
