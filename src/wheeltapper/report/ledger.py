"""The ledger of one unit as plain data: what it is, how far it went and how well that is known, each part's wear, every visit.

What was told of earlier bodies under the same name (other axles, brakes or drums) stands in the list of visits and in no
wear line. Wear is told from each part's own records; from the shop's records together where they have shown
themselves, as on the sheet. Words and numbers come ready; the page adds none.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date as Date
from itertools import groupby, pairwise

from wheeltapper.fleet.ahead import Ahead, by_own_records
from wheeltapper.fleet.foretell import Pooled
from wheeltapper.fleet.groups import goal_of
from wheeltapper.fleet.lives import Cut, UnitLives, unit_lives
from wheeltapper.fleet.miles import SHARES, Way
from wheeltapper.fleet.outlook import ahead_of
from wheeltapper.fleet.swaps import Swap, swaps
from wheeltapper.problems import Problem
from wheeltapper.records import Unit, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.report import wording
from wheeltapper.report.came import Called, Came, Shot
from wheeltapper.report.outlook import STOOD_MONTHS, family_said
from wheeltapper.report.wording import Reader, reader_for
from wheeltapper.report.worn import Worn, looks_swapped, worn
from wheeltapper.units import MILE_M
from wheeltapper.words import CALLS, CallWord, MileageQuality, positions

QUALITY: dict[MileageQuality, str] = {
    "hubometer": "a hubometer", "owner's figure": "the owner's figure", "trips": "trips added up", "guess": "a guess",
    "unknown": "nobody said how",
}  # fmt: skip
MOST_NAMED = 3  # parts of one wheel that are open
OWN = "the page asks each part's own records"


@dataclass(frozen=True)
class Line:
    """One visit in the list."""

    number: str
    date: str
    state: str
    scope: str
    who: str
    miles: str
    calls: tuple[tuple[CallWord, str], ...]  # the severest first: the call, and the parts that were called so
    kept: str
    done: tuple[str, ...]
    put_off: tuple[str, ...]
    left_out: str  # why its sizes are in no wear line; '' where they are


@dataclass(frozen=True)
class Pair:
    """A place that two visits or more have a photo or a ring of: then and now."""

    position: str
    what: str
    then: tuple[str, str]  # number and date of the visit before the last
    now: tuple[str, str]
    many: int


@dataclass(frozen=True)
class Page:
    """All of it."""

    unit: str
    also: tuple[str, ...]  # other ways in which its name was written
    facts: tuple[tuple[str, str], ...]
    miles: tuple[str, ...]
    asked: tuple[Problem, ...]
    swaps: tuple[tuple[Swap, str], ...]  # each with the question it asks
    places: tuple[
        tuple[str, tuple[Worn, ...], tuple[str, ...]], ...
    ]  # wheel, its sizes, what was fitted there
    photos: tuple[Pair, ...]
    rings: tuple[Pair, ...]
    visits: tuple[Line, ...]  # the last one first
    basis: tuple[str, ...]  # what the shop's records together say of themselves


def page(rows: Sequence[Came], tables: Tables, on: Date, pooled: Pooled | None = None) -> Page:
    """The ledger of one unit.

    Args:
        rows: its visits, the first one first; at least one.
        tables: ours, with the shop's laid over them.
        on: the day it is looked at; what fell due before it is late.
        pooled: what the shop's records said together when they were last gone through.

    Returns:
        The page.
    """
    visits = [c.visit for c in rows if c.visit.date <= on] or [c.visit for c in rows]
    found = unit_lives(visits, tables)
    reader = reader_for(next((v for v in reversed(visits) if any(c.reading for c in v.corner)), visits[-1]))
    changed = swaps((*found.ended, *found.lives))
    shop = _by_shop(found.visits, pooled, tables, on)
    told = tuple(f", {s.date}, {s.position}, {s.what}" for s in changed)
    names = list(dict.fromkeys(v.unit.id for v in reversed(visits)))
    pairs = _pairs(rows, [(i, (s.position, s.check)) for i, c in enumerate(rows) for s in c.shots])
    rings = _pairs(rows, [(i, (position, "ring")) for i, c in enumerate(rows) for position, _ in c.rung])
    return Page(
        names[0], tuple(names[1:]), tuple(_facts(visits[-1].unit)), tuple(_miles(found.visits, found.way)),
        tuple(p for p in found.problems if not p.where.endswith(told)), tuple((s, looks_swapped(s, reader)) for s in changed),
        _places(found, changed, tables, reader, on, shop), pairs, rings, tuple(_lines(rows, found, tables)), tuple(_basis(pooled)),
    )  # fmt: skip


def _by_shop(
    visits: Sequence[Visit], pooled: Pooled | None, tables: Tables, on: Date
) -> dict[tuple[str, str], Ahead]:
    """What is ahead by the shop's records together, where they may speak; one name for one unit, however it was written."""
    if pooled is None or all(f.pool is None for f in pooled.families):
        return {}
    name = visits[-1].unit.id
    same = [v.model_copy(update={"unit": v.unit.model_copy(update={"id": name})}) for v in visits]
    return {(a.position, a.what): a for a in ahead_of(same, pooled.families, pooled.on, tables, on)}


def _basis(pooled: Pooled | None) -> Iterator[str]:
    if pooled is None:
        yield "The shop's records were not gone through together yet: each part goes by its own."
        return
    yield f"The shop's records were gone through together on {wording.day(pooled.on)}, {pooled.visits} visits."
    yield from map(family_said, pooled.families)


def _facts(unit: Unit) -> list[tuple[str, str]]:
    rating = f"{unit.axle_rating_lb:,.0f} lb" if unit.axle_rating_lb else None
    rows = (
        ("axles", str(unit.axles)), ("brakes", unit.brake), ("drum", unit.drum), ("axle rating", rating), ("bolts", unit.bolt_pattern),
        ("use", unit.use),
    )  # fmt: skip
    return [(name, said or "nobody said") for name, said in rows if said or name in {"axle rating", "use"}]


def _miles(visits: Sequence[Visit], way: Way) -> list[str]:
    """How far it went, how well that is known, and what that does to the windows."""
    last = visits[-1].mileage
    share = way.shares[-1]
    count = (
        "no count was written at the last visit"
        if last.now is None
        else f"{last.now:,.0f} on its own count at the last visit"
    )
    rows = [f"{count}; told by {QUALITY[last.quality]}."]
    kinds = [v.mileage.quality for v in visits]
    if len(set(kinds)) > 1:
        rows.append(
            "At all visits: "
            + ", ".join(f"{QUALITY[q]} {kinds.count(q)}" for q in dict.fromkeys(kinds))
            + "."
        )
    known = [a for a in way.at_m if a is not None]
    if len(known) > 1:
        far, doubt = -known[0] / MILE_M, way.doubt_m(known[0], 0.0) / MILE_M
        rows.append(
            f"{wording.miles(far)} over {len(known)} visits, give or take {wording.miles(2 * doubt)}."
        )
    lost = len(visits) - len(known)
    if lost:
        rows.append(
            f"{lost} of {len(visits)} visits are joined to the last one by no distance that anybody can vouch for: their sizes are in no line."
        )
    pace = way.pace
    rows.append(
        f"About {pace.miles:,.0f} miles a month"
        + (" (assumed: no two counts)." if pace.assumed else f", ± {wording.percent(2 * pace.doubt_share)}.")
    )
    rows.append(
        f"Distances to come are taken as doubtful by ± {wording.percent(2 * share)} (assumed for {QUALITY[last.quality]}); every window is that much wider."
    )
    if way.stood_months >= STOOD_MONTHS:
        rows.append(f"It stood {way.stood_months:.0f} months: seals, shoes and bearings age without miles.")
    return rows  # fmt: skip


def _places(
    found: UnitLives, changed: Sequence[Swap], tables: Tables, reader: Reader, on: Date, shop: Mapping[tuple[str, str], Ahead]
) -> tuple[tuple[str, tuple[Worn, ...], tuple[str, ...]], ...]:  # fmt: skip
    by_wheel: dict[str, list[Worn]] = {}
    every = sorted((*found.ended, *found.lives), key=lambda x: (x.position, x.what, x.records[0].at_m))
    for place, group in groupby(every, key=lambda x: (x.position, x.what)):
        mine = list(group)
        now = next((x for x in mine if x.ended is None), None)
        own = None if now is None else by_own_records(now, goal_of(now, tables), tables, on, None, OWN)
        here = [s for s in changed if s.what == place[1] and place[0] in (s.position, s.other)]
        by_wheel.setdefault(place[0], []).append(worn(mine, shop.get(place) or own, here, reader))
    fitted = {at: tuple(_fitted(found.cuts, at)) for at in {c.position for c in found.cuts}}
    wheels = [w for w in positions(found.visits[-1].unit.axles) if w in by_wheel or w in fitted]
    return tuple((w, tuple(by_wheel.get(w, ())), fitted.get(w, ())) for w in wheels)


def _fitted(cuts: Sequence[Cut], position: str) -> list[str]:
    """In order of their days; what later visits tell again stands once."""
    mine = sorted((c for c in cuts if c.position == position), key=lambda c: c.date or Date.min)
    said = (
        f"{' and '.join(c.parts)} fitted {wording.day(c.date) if c.date else 'on no known day'}" for c in mine
    )
    return list(dict.fromkeys(said))


def _pairs(rows: Sequence[Came], at: Sequence[tuple[int, tuple[str, str]]]) -> tuple[Pair, ...]:
    """The places that two visits or more show, with the last two of them."""
    by_place: dict[tuple[str, str], list[int]] = {}
    for i, place in at:
        seen = by_place.setdefault(place, [])
        if i not in seen:
            seen.append(i)
    named = [(c.number, wording.day(c.visit.date)) for c in rows]
    return tuple(
        Pair(position, what, named[many[-2]], named[many[-1]], len(many))
        for (position, what), many in sorted(by_place.items())
        if len(many) > 1
    )


def _lines(rows: Sequence[Came], found: UnitLives, tables: Tables) -> list[Line]:
    miles = dict(zip(map(id, found.visits), _between(found.visits, found.way), strict=True))
    currency = tables.house["currency"]
    return [
        Line(
            c.number, wording.day(c.visit.date), c.state, c.visit.scope, c.visit.technician, miles.get(id(c.visit), ""), tuple(_called(c.calls)),
            "1 part kept" if c.kept == 1 else f"{c.kept} parts kept", tuple(f"{d.position} {d.part}: {d.action}, {d.by}" for d in c.visit.done),
            tuple(_put_off(c.visit, currency)), _left_out(c.visit, found),
        )
        for c in reversed(rows)
    ]  # fmt: skip


def _left_out(visit: Visit, found: UnitLives) -> str:
    if any(visit is v for v in found.visits):
        return ""
    if visit.date > found.visits[-1].date:
        return "Dated after today: in no wear line until its day is put right."
    return "Other axles, brakes or drums than now: in no wear line."


def _called(calls: Sequence[Called]) -> Iterator[tuple[CallWord, str]]:
    for word in reversed(CALLS):
        mine = [c for c in calls if c.call == word]
        wheels = {
            c.position: [" ".join((d.part, *d.rules)) for d in mine if d.position == c.position] for c in mine
        }
        if wheels:
            yield word, "; ".join(f"{at} {_parts(word, parts)}" for at, parts in wheels.items())


def _parts(word: CallWord, parts: Sequence[str]) -> str:
    """By name; of a wheel that nobody finished only how many are open."""
    return f"{len(parts)} parts" if word == "recheck" and len(parts) > MOST_NAMED else ", ".join(parts)


def _between(visits: Sequence[Visit], way: Way) -> list[str]:
    """Beside each visit its count and how far it came since the one before."""
    out = []
    steps = [
        None,
        *((b - a) / MILE_M if a is not None and b is not None else None for a, b in pairwise(way.at_m)),
    ]
    for visit, step, share in zip(visits, steps, way.shares, strict=True):
        said = [] if visit.mileage.now is None else [f"count {visit.mileage.now:,.0f}"]
        if step is not None:
            by = (
                QUALITY[visit.mileage.quality]
                if share in SHARES.values()
                else "two figures that differ, or the calendar"
            )
            said.append(
                f"{wording.miles(step)} since the visit before, ± {wording.percent(2 * share)} ({by})"
            )
        out.append(", ".join(said) or "no miles written")
    return out


def _put_off(visit: Visit, currency: str) -> list[str]:
    """What the owner put off at that visit, in the owner's words, with the price then."""
    rows = []
    for a in (a for a in visit.answer if a.answer == "not now"):
        said = f": “{a.said}”" if a.said else ""
        rows.append(f"{a.position} {a.part}{said}, {a.by}, {wording.money(a.cents, currency)} then")
    return rows


def fitted_between(
    visits: Sequence[Visit], tables: Tables, position: str, then: Date, now: Date
) -> tuple[str, ...]:
    """What was fitted at a wheel from one visit to a later one: what stands side by side may not be the same part.

    A part fitted during the earlier visit counts too: that visit's photos and readings are of the old one.
    """
    cuts = [c for c in unit_lives(visits, tables).cuts if c.date is not None and c.position == position]
    return tuple(
        _fitted(
            [c for c in cuts if c.date and then <= c.date <= now and not (c.done and c.date == now)], position
        )
    )


def beside(rows: Sequence[Came], position: str, check: str) -> tuple[tuple[Came, Shot], ...]:
    """Every photo of one place and check, the last one of each visit; the first visit first."""
    out = []
    for c in rows:
        mine = [s for s in c.shots if (s.position, s.check) == (position, check)]
        out += [(c, mine[-1])] if mine else []
    return tuple(out)
