"""What falls due once the trailer has left on its wheels: by distance and by date, with what was said of it since.

`schedule` says when; this says what has become of it. A re-torque is done with only when somebody said whether a nut moved
(`release.closes`, the one rule). Only days count, never hours: neither leap days nor clock changes matter.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date as Date
from datetime import timedelta
from math import ceil
from typing import Any

from wheeltapper.disposition.release import closes
from wheeltapper.findings.clamp import first_retorque, moved, moved_again, moved_far
from wheeltapper.plan.schedule import LONG_ENOUGH_DAYS, MONTH_DAYS, Next, months_on
from wheeltapper.records import Fitted, FollowUp, Past, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import Release

ON_ITS_WHEELS: tuple[Release, ...] = ("out, re-torque due", "settled", "left against advice")
RETORQUE_DAYS = 7  # assumed: the first trips are made within a week; used where the unit's pace is not known
COME_IN = "a nut still moved after the first re-torque: come in, do not just tighten it again"
COME_IN_FAR = "a nut moved further than a seat settles: come in, do not just tighten it again"


@dataclass(frozen=True)
class Due:
    """One thing that falls due after a visit, and what has become of it."""

    what: str  # as in the schedule
    miles: int | None  # after the visit
    by: Date | None
    at_miles: int | None  # on the trailer's own count
    position: str | None
    part: str | None
    basis: str
    done: float | None = None  # miles after the visit at which it was done, where somebody knew
    moved: bool | None = None  # a re-torque: did a nut turn? None: nobody said
    come_in: bool = False
    done_on: Date | None = None
    closed: bool = False  # done, and nothing more is owed for it

    @property
    def can_be_told(self) -> bool:
        """May whoever did it say so from outside? All else is closed by the next visit alone."""
        return self.what in {"retorque", "adjust"}


def due_items(
    visit: Visit, next_rows: Iterable[Next], gate_state: Release, tables: Tables
) -> tuple[Due, ...]:
    """Everything that falls due after this visit, soonest first; nothing before the trailer is out.

    Args:
        visit: with what was said since, in `follow_up`.
        next_rows: as `plan.schedule.schedule` gives them.
        gate_state: as the gate has it; one that came back to "held" because a nut moved has still been out.
        tables: as the visit was examined with.
    """
    been_out = visit.return_sheet is not None and visit.return_sheet.out and visit.exit is None
    if gate_state not in ON_ITS_WHEELS and not been_out:
        return ()
    pace = pace_mi(visit)
    out: list[Due] = []
    for row in next_rows:
        item = _told(_dated(row, visit, pace), visit, tables)
        out.append(item)
        while row.every and item.closed:
            item = _told(_again(item, row, visit), visit, tables)
            out.append(item)
    return tuple(sorted(out, key=lambda d: (d.by or Date.max, d.miles or 10**9, d.what, d.position or "")))


def pace_mi(visit: Visit) -> float | None:
    """Miles a month, from the latest earlier reading or fitting whose day and distance are known; None where none is."""
    known: list[tuple[int, float]] = []
    told: tuple[Past | Fitted, ...] = (*visit.history, *visit.fitted)
    for row in told:
        ago = row.miles_ago
        if ago is None and row.miles is not None and visit.mileage.now is not None:
            ago = visit.mileage.now - row.miles
        if row.date is not None and ago is not None and ago > 0:
            known.append(((visit.date - row.date).days, ago))
    days, miles = min((k for k in known if k[0] >= LONG_ENOUGH_DAYS), default=(0, 0.0))
    return miles / days * MONTH_DAYS if days else None


def _dated(row: Next, visit: Visit, pace: float | None) -> Due:
    """With a date beside the distance: a re-torque's comes from the unit's pace, and is never later than the table's."""
    by, basis = row.date, row.basis
    if row.what == "retorque" and row.miles is not None:
        days = RETORQUE_DAYS if pace is None else ceil(row.miles / pace * MONTH_DAYS)
        soon = visit.date + timedelta(days=min(days, 366))
        by = soon if by is None else min(by, soon)
        said = "a week, assumed" if pace is None else f"from its pace of {pace:.0f} miles a month"
        basis = f"{basis}; the date: {said}"
    return Due(row.what, row.miles, by, row.at_miles, row.position, row.part, basis)


def _again(done: Due, row: Next, visit: Visit) -> Due:
    """The next one of what comes again and again, from where and when the last one was done."""
    before = done.miles or 0
    last = before if done.done is None else round(done.done)
    # Each has a point of its own, however early the last one was done.
    miles = max(last + (row.miles or 0), before + 1)
    by = _again_by(done, row, visit)
    at = None if visit.mileage.now is None else round(visit.mileage.now) + miles
    return Due(row.what, miles, by, at, row.position, row.part, row.basis)


def _again_by(done: Due, row: Next, visit: Visit) -> Date | None:
    if row.date is None:
        return None
    months = (row.date.year - visit.date.year) * 12 + row.date.month - visit.date.month
    return months_on(done.done_on or done.by or visit.date, months)


def _told(item: Due, visit: Visit, tables: Tables) -> Due:
    """With what was said of it. Of several words the one that asks for more counts: a later one takes no movement back."""
    said = [f for f in visit.follow_up if f.what == item.what and f.due == item.miles and _after(f, visit)]
    if not said:
        return item
    words = {moved(f) for f in said} if item.what == "retorque" else {None}
    again = any(moved_again(f, first_retorque(tables)) for f in said)
    come_in = again or any(moved_far(f, visit, tables) for f in said)
    last = said[-1]
    return replace(
        item, done=last.done, done_on=last.date, moved=True if True in words else False if words == {False} else None,
        come_in=come_in, closed=not come_in and any(closes(f, visit, tables) for f in said),
        basis=f"{item.basis}; {COME_IN if again else COME_IN_FAR}" if come_in else item.basis,
    )  # fmt: skip


def _after(item: FollowUp, visit: Visit) -> bool:
    """Told of this visit, not of an earlier one?"""
    return item.date is None or item.date >= visit.date


def as_plain(item: Due) -> dict[str, object]:
    """As the Yard's line keeps it."""
    return {
        "what": item.what, "miles": item.miles, "by": item.by.isoformat() if item.by else None, "at": item.at_miles,
        "position": item.position, "part": item.part, "basis": item.basis, "done": item.closed, "come_in": item.come_in,
    }  # fmt: skip


def from_plain(said: Mapping[str, Any]) -> Due:
    """What `as_plain` made of an item."""
    by = Date.fromisoformat(said["by"]) if said["by"] else None
    return Due(
        said["what"], said["miles"], by, said["at"], said["position"], said["part"], said["basis"], come_in=said["come_in"],
        closed=said["done"],
    )  # fmt: skip
