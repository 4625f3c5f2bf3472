"""What if the next check waits, or an axle's worn parts are replaced now: every sentence of that page, as plain data."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date as Date
from datetime import timedelta

from wheeltapper.fleet.ahead import Ahead
from wheeltapper.fleet.what_if import SOLD, NowOrLater, now_or_later
from wheeltapper.flow import Examination
from wheeltapper.plan.quote import Line
from wheeltapper.plan.schedule import MONTH_DAYS
from wheeltapper.report import wording
from wheeltapper.report.outlook import check_said, distance_said
from wheeltapper.words import axle_of, positions

LEAST_MI, MOST_MI, STEP_MI = 500, 100_000, 500
STEPS_MI = (-5000, -1000, -500, 500, 1000, 5000)
DAYS_SAID = 36_500  # a day further off than a hundred years says nothing
SMALL = {"lining thickness": "lining"}  # has a call of its own beside the assembly it is sold with
NOBODY = "nobody can say from the records there are"
NO_CHOICE = {"replace": "cannot go back", "recheck": "is not settled yet"}


@dataclass(frozen=True)
class PartSaid:
    """One part that wears."""

    title: str
    stands: str  # why waiting is no question, or ''
    check: str
    distance: str
    chance: str
    late: bool


@dataclass(frozen=True)
class ChoiceSaid:
    """Both ends of an axle now, or then."""

    title: str
    stands: str
    now: str
    later: str
    chance: str
    now_lines: tuple[tuple[str, str, str], ...]  # what, how many, price
    later_lines: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class WhatIf:
    """The page."""

    miles: int
    said: str  # how far that is
    steps: tuple[tuple[str, int], ...]  # what the tap says, and the miles it leads to
    rests_on: str
    service: str  # when the hubs come off anyway, where that is sooner; '' where not
    parts: tuple[PartSaid, ...]
    choices: tuple[ChoiceSaid, ...]


def first_asked(ahead: Iterable[Ahead]) -> int:
    """The miles to begin with: the soonest check there is, else a year of the private rhythm."""
    return held_within(min((a.check_mi for a in ahead if a.check_mi), default=12_000))


def held_within(miles: int) -> int:
    """Full steps, between the least and the most that may be asked."""
    return min(max(miles // STEP_MI * STEP_MI, LEAST_MI), MOST_MI)


def what_if(ex: Examination, ahead: tuple[Ahead, ...], miles: int) -> WhatIf:
    """The page.

    Args:
        ex: of the visit.
        ahead: of its unit, asked for the same miles.
        miles: how long the next check would wait, from this visit [mi].

    Returns:
        All that it says.
    """
    taps = dict.fromkeys((m, held_within(miles + m)) for m in STEPS_MI)
    steps = tuple((f"{'+' if m > 0 else '−'} {abs(m):,}", to) for m, to in taps if to != miles)
    parts = tuple(_part(a, ex, miles) for a in sorted(ahead, key=lambda a: (a.position, a.what)))
    axles = sorted({(axle_of(a.position), a.what) for a in ahead})
    choices = tuple(_choice(now_or_later(ex, ahead, axle, what, miles), ex) for axle, what in axles)
    said = wording.miles(miles)
    return WhatIf(
        miles, said, steps, wording.foresight(ex.foresight), _service(ex, ahead, miles), parts, choices
    )


def _service(ex: Examination, ahead: tuple[Ahead, ...], miles: int) -> str:
    hubs = next((n for n in ex.next if n.what == "hubs off"), None)
    if hubs is None or not ahead:
        return ""
    day = _reached(ahead[0], ex.visit.date, miles)
    sooner = (hubs.miles or miles) < miles or (day is not None and hubs.date is not None and hubs.date < day)
    return f"The hubs come off before that anyway: {wording.due(hubs)}." if sooner else ""


def _reached(a: Ahead, start: Date, miles: int) -> Date | None:
    """About when so many miles are driven, at the unit's pace; None where that is beyond any calendar."""
    days = int(miles / a.pace_mi * MONTH_DAYS) if a.pace_mi else DAYS_SAID
    return start + timedelta(days=days) if days < DAYS_SAID else None


def _part(a: Ahead, ex: Examination, miles: int) -> PartSaid:
    chance = NOBODY if a.chance is None else wording.percent(a.chance)
    return PartSaid(
        f"{a.position} {a.what}", _stands(ex, (a.position,), a.what), check_said(a), distance_said(a),
        f"Chance that it reaches its limit before {wording.miles(miles)}: {chance}.", a.late,
    )  # fmt: skip


def _stands(ex: Examination, wheels: Iterable[str], what: str) -> str:
    """Where a part of these wheels may not stay, or is not settled, waiting is no question."""
    here = [
        c
        for c in ex.calls
        if c.position in wheels and c.part in {SOLD[what], SMALL.get(what)} and c.call in NO_CHOICE
    ]
    said = dict.fromkeys(f"{c.position} {c.part} {NO_CHOICE[c.call]}" for c in here)
    return f"{', '.join(said)}: waiting is no choice for it." if said else ""


def _choice(c: NowOrLater, ex: Examination) -> ChoiceSaid:
    currency = ex.quote.currency
    wheels = [w for w in positions(ex.visit.unit.axles) if axle_of(w) == c.axle]
    if c.worst_end is None or c.at_most is None:
        chance = f"Chance of a limit before then: {NOBODY}."
    else:
        worst, most = wording.percent(c.worst_end), wording.percent(c.at_most)
        chance = f"Chance of a limit before then: {worst} at the worse end, {most} at most at either."
    return ChoiceSaid(
        f"Axle {c.axle}: {c.part} at both ends", _stands(ex, wheels, c.what),
        f"Now: {wording.money(c.now_cents, currency)}, beyond what is done on this visit anyway.",
        f"After {wording.miles(int(c.miles))}: {wording.money(c.later_cents, currency)} at today's prices; waiting gains {wording.miles(int(c.gained_mi))}.",
        chance, _lines(c.now, currency), _lines(c.later, currency),
    )  # fmt: skip


def _lines(rows: Iterable[Line], currency: str) -> tuple[tuple[str, str, str], ...]:
    return tuple((row.say, wording.line_qty(row), wording.money(row.cents, currency)) for row in rows)
