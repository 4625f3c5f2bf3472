"""What only several visits or several units show: bearings at one wheel again and again, brakes nobody adjusts, one side always ahead.

An alarm says what was seen and where, what else would explain it, and what to look at next. It calls no part and is never a
cause by itself. The numbers at which one is raised are the shop's (house.toml).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date as Date
from fractions import Fraction
from math import comb

from wheeltapper.disposition.release import REPLACED
from wheeltapper.findings.facts import Findings
from wheeltapper.fleet.lives import GROWS
from wheeltapper.flow import Examination
from wheeltapper.reference.tables import Tables
from wheeltapper.units import above
from wheeltapper.words import axle_of, positions, side_of

PAIRED = "P"  # rules of the pairings: a part that only goes with another says nothing of its own
SLACK = ("shoes.far_from_drum", "adjust.overdue", "fleet.unadjusted")
HUBS = {"hub-drum", "rotor", "axle"}
BY_CHANCE = 0.05  # a split of sides that chance makes as often as this raises nothing


@dataclass(frozen=True)
class Seen:
    """What one visit gives to a pattern."""

    number: str
    date: Date
    bearings: tuple[str, ...] = ()  # wheels whose bearing failed for itself, or was changed without its hub
    slack: tuple[str, ...] = ()  # wheels whose brakes were not adjusted
    ahead: tuple[tuple[str, str, str, float], ...] = ()  # axle, size, side worn further, by how much [m]


@dataclass(frozen=True)
class Alarm:
    """Something that keeps coming back."""

    kind: str  # bearings, slack, side
    units: tuple[str, ...]
    at: str  # wheel, axle or side; empty where it is of the fleet
    say: str
    saw: tuple[str, ...]  # each with its day
    else_: str  # what would explain it too
    look: str  # what tells them apart


def seen(ex: Examination, number: str) -> Seen:
    """What this visit gives to a pattern."""
    visit = ex.visit
    hubs = {d.position for d in visit.done if d.part in HUBS and d.action.strip().casefold() in REPLACED}
    changed = {
        d.position for d in visit.done if d.part == "bearing-set" and d.action.strip().casefold() in REPLACED
    }
    failed = {
        c.position
        for c in ex.calls
        if c.part == "bearing-set"
        and c.call == "replace"
        and any(not r.startswith(PAIRED) for r in c.because)
    }
    wheels = positions(visit.unit.axles)
    slack = tuple(w for w in wheels if any(ex.findings.yes(w, fact) for fact in SLACK))
    return Seen(
        number,
        visit.date,
        tuple(sorted(failed | (changed - hubs))),
        slack,
        tuple(_ahead(ex.findings, wheels)),
    )


def _ahead(findings: Findings, wheels: Sequence[str]) -> Iterable[tuple[str, str, str, float]]:
    """Per axle and size: the side that is worn further than the other by more than both doubts."""
    found = {(g.position, g.what): g for g in findings.gauged}
    for axle in dict.fromkeys(map(axle_of, wheels)):
        ends = [w for w in wheels if axle_of(w) == axle]
        for what, sign in GROWS.items():
            pair = [found[w, what] for w in ends if (w, what) in found]
            if len(pair) == 2 and above(abs(pair[0].size - pair[1].size), pair[0].doubt + pair[1].doubt):
                further = max(pair, key=lambda g: sign * g.size)
                yield axle, what, side_of(further.position), abs(pair[0].size - pair[1].size)


def of_unit(unit: str, rows: Sequence[Seen], tables: Tables) -> tuple[Alarm, ...]:
    """What comes back on one unit, from its visits in order of their days."""
    return (*_bearings(unit, rows, tables), *_side_of_unit(unit, rows, tables))


def _bearings(unit: str, rows: Sequence[Seen], tables: Tables) -> Iterable[Alarm]:
    many = int(str(tables.house["alarm_bearings"]))
    for wheel in sorted({w for row in rows for w in row.bearings}):
        hits = [row for row in rows if wheel in row.bearings]
        if len(hits) >= many:
            yield Alarm(
                "bearings", (unit,), wheel, f"{len(hits)} bearing sets at {wheel}",
                tuple(f"{row.date.isoformat()}, visit {row.number}" for row in hits),
                "water or grease that comes and goes, or a setting that is wrong each time",
                "the spindle seats and the bores by micrometer, and the run-out of the spindle, before another one goes on",
            )  # fmt: skip


def _side_of_unit(unit: str, rows: Sequence[Seen], tables: Tables) -> Iterable[Alarm]:
    """The same side at so many visits on end, and further apart at the last than at the first: what was once worn stays so."""
    many = int(str(tables.house["alarm_visits"]))
    runs: dict[str, list[tuple[str, str, list[Seen]]]] = {}
    for axle, what, side, gap in rows[-1].ahead if rows else ():
        run = list(_on_end(rows, (axle, what, side)))
        if len(run) >= many and gap > run[0][1]:
            runs.setdefault(side, []).append((axle, what, [row for row, _ in run]))
    for side, found in runs.items():
        axles = sorted({axle for axle, _, _ in found})
        ends = " and ".join(f"{axle}-{side}" for axle in axles)
        sizes = " and ".join(dict.fromkeys(what for _, what, _ in found))
        longest = max((run for _, _, run in found), key=len)
        yield Alarm(
            "side", (unit,), side, f"{ends} worn ahead of the other side, and more so each time: {sizes}",
            tuple(f"{row.date.isoformat()}, visit {row.number}" for row in longest),
            "wheels or parts that changed places, or one end renewed and not the other",
            f"volts at both magnets under load, the shoe gap and the arm at {ends}",
        )  # fmt: skip


def _on_end(rows: Sequence[Seen], place: tuple[str, str, str]) -> Iterable[tuple[Seen, float]]:
    """The visits up to the last one, without a break, at which that side was ahead, and by how much [m]."""
    run: list[tuple[Seen, float]] = []
    for row in reversed(rows):
        gap = next((a[3] for a in row.ahead if a[:3] == place), None)
        if gap is None:
            break
        run.insert(0, (row, gap))
    return run


def of_fleet(latest: Sequence[tuple[str, Seen]], units: int, tables: Tables) -> tuple[Alarm, ...]:
    """What comes back across units.

    Args:
        latest: the latest visit of every unit that shows something.
        units: how many were looked at.
        tables: with the shop's numbers.
    """
    return (*_slack(latest, units, tables), *_sides(latest, tables))


def _slack(now: Sequence[tuple[str, Seen]], units: int, tables: Tables) -> Iterable[Alarm]:
    hits = [(unit, row) for unit, row in now if row.slack]
    if len(hits) >= int(str(tables.house["alarm_units"])):
        yield Alarm(
            "slack", tuple(unit for unit, _ in hits), "", f"brakes not adjusted on {len(hits)} of {units} units seen within a year",
            tuple(f"{unit}, {row.date.isoformat()}: {', '.join(row.slack)}" for unit, row in hits),
            "new shoes on each of them that were not due to be adjusted yet", "whose job adjusting is, and when each was last done",
        )  # fmt: skip


def _sides(now: Sequence[tuple[str, Seen]], tables: Tables) -> Iterable[Alarm]:
    sides: dict[str, list[tuple[str, Seen]]] = {"road": [], "curb": []}
    for unit, row in now:
        mine = {side for _, _, side, _ in row.ahead}
        if len(mine) == 1:  # one that is ahead here on one axle and there on another points nowhere
            sides[mine.pop()].append((unit, row))
    for side, hits in sides.items():
        both = sum(map(len, sides.values()))
        if (
            len(hits) >= int(str(tables.house["alarm_units"]))
            and split_by_chance(len(hits), both) < BY_CHANCE
        ):
            yield Alarm(
                "side", tuple(unit for unit, _ in hits), side, f"the {side} side worn ahead on {len(hits)} of {both} units with a side ahead",
                tuple(f"{unit}, {row.date.isoformat()}" for unit, row in hits),
                "the way these units are parked, loaded or towed", "volts at the magnets of that side, and the wiring they share",
            )  # fmt: skip


def split_by_chance(most: int, both: int) -> float:
    """Chance of a split at least so lopsided where neither side is more likely: two-sided sign test.

    Args:
        most: on the one side.
        both: on both together.

    References:
        W. J. Conover, Practical Nonparametric Statistics, 3rd ed. (1999), section 3.4 (from memory).
    """
    most = max(most, both - most)
    ways: int = sum(comb(both, k) for k in range(most, both + 1))
    return min(1.0, float(Fraction(2 * ways, 1 << both)))
