"""From many visits to part lives: the records of one part at one place, from the day it was fitted to its last reading.

A new part starts a life; so does a part that seems to have grown back (wheels changed places, or somebody fitted another),
and a unit that came back with other drums or brakes. A reading that stands in several visits counts once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date as Date
from itertools import pairwise

from wheeltapper.disposition.release import REPLACED
from wheeltapper.findings.facts import Sized
from wheeltapper.findings.reading import Past1, behind, read
from wheeltapper.findings.worn import PARTS
from wheeltapper.fleet.miles import Way, way
from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import MILE_M, above
from wheeltapper.words import other_end

GROWS = {"friction diameter": 1.0, "lining thickness": -1.0, "rotor thickness": -1.0, "pad thickness": -1.0}
SAME_M = 1e-7  # two sizes closer than this on one day are one reading


@dataclass(frozen=True)
class Record:
    """One size of a part's life; distance from the unit's last visit, so it is negative or 0."""

    at_m: float
    date: Date | None
    size_m: float
    doubt_m: float  # expanded (k = 2)


@dataclass(frozen=True)
class Life:
    """One part at one place since it was fitted, as far as records go."""

    unit: str
    position: str
    what: str
    records: tuple[Record, ...]
    shares: tuple[float, ...]  # doubt of the distance to each record from the one before
    since_share: float  # the same from the last record to the last visit
    visit: Visit  # with the last reading of it
    now: Visit  # the unit's last visit
    way: Way

    @property
    def sign(self) -> float:
        """1 where the size grows as it wears, -1 where it shrinks."""
        return GROWS[self.what]


@dataclass(frozen=True)
class Cut:
    """A new part from here on. `done`: on that day's visit, so that day's reading was of the old part."""

    position: str
    parts: tuple[str, ...]
    date: Date | None
    at_m: float | None
    done: bool


@dataclass(frozen=True)
class _Taken:
    position: str
    what: str
    record: Record
    visit: Visit


def lives(visits: Iterable[Visit], tables: Tables) -> tuple[tuple[Life, ...], tuple[Problem, ...]]:
    """Every part life of the visits that is still on, and Problems with what does not fit together."""
    by_unit: dict[str, list[Visit]] = {}
    for visit in sorted(visits, key=lambda v: v.date):
        by_unit.setdefault(visit.unit.id, []).append(visit)
    out: list[Life] = []
    problems: list[Problem] = []
    for unit in sorted(by_unit):
        found, slips = _of_unit(by_unit[unit], tables)
        out += found
        problems += slips
    return tuple(out), tuple(problems)


def _of_unit(visits: list[Visit], tables: Tables) -> tuple[list[Life], list[Problem]]:
    same = [v for v in visits if _body(v) == _body(visits[-1])]
    problems = []
    if len(same) < len(visits):
        what = "other axles, brakes or drums than at an earlier visit"
        problems.append(
            Problem(visits[-1].unit.id, what, "earlier records do not count; see whether the unit is right.")
        )
    since = len(visits) - next(
        i for i, v in enumerate([*reversed(visits), None]) if v is None or _body(v) != _body(visits[-1])
    )
    visits = visits[since:]
    road = way(visits)
    taken = _once(_taken(visits, road, tables))
    cuts = _cuts(visits, road)
    out = []
    for position, what in sorted({(t.position, t.what) for t in taken}):
        mine = [t for t in taken if (t.position, t.what) == (position, what)]
        mine = _since_fitted(mine, cuts)
        mine, slips = _not_grown_back(mine, taken)
        problems += slips
        if mine:
            out.append(_life(mine, road, visits[-1]))
    return out, problems + list(road.problems)


def _body(visit: Visit) -> tuple[object, ...]:
    unit = visit.unit
    return unit.axles, unit.brake, unit.drum


def _taken(visits: Sequence[Visit], road: Way, tables: Tables) -> list[_Taken]:
    """The worst size of each part at each visit, and what visits tell of earlier ones, where the distance is known."""
    out = []
    for visit, at in zip(visits, road.at_m, strict=True):
        if at is None:
            continue
        found = read(visit, tables)
        for position, what in sorted({(s.position, s.what) for s in found.sized if s.what in GROWS}):
            worst = worst_of(found.of(position, what))
            out.append(_Taken(position, what, Record(at, visit.date, worst.size, worst.doubt), visit))
        out += [_told(p, at, visit) for p in found.past if p.what in GROWS and p.distance_m is not None]
    return out


def worst_of(taken: Sequence[Sized]) -> Sized:
    """The reading that governs: the largest diameter, the least thickness, repeats left out (C1)."""
    first = [s for s in taken if s.at != "repeat"] or list(taken)
    return max(first, key=lambda s: (GROWS[s.what] * s.size, s.doubt))


def _told(past: Past1, at_m: float, visit: Visit) -> _Taken:
    record = Record(at_m + (past.distance_m or 0.0), past.date, past.size, past.doubt or _doubt_of(visit))
    return _Taken(past.position, past.what, record, visit)


def _doubt_of(visit: Visit) -> float:
    """Where an earlier reading names no gauge: the widest doubt of a length gauge on the visit, or 0.005 in (assumed)."""
    from wheeltapper.findings.gauge import gauge_doubt
    from wheeltapper.units import to_si

    known = [d for g in visit.gauge if (d := gauge_doubt(g, "length")[0]) is not None]
    return max(known, default=to_si(0.005, "in"))


def _once(taken: list[_Taken]) -> list[_Taken]:
    """In order along the way; of the same reading told by several visits, the one of its own visit."""
    own_first = sorted(taken, key=lambda t: (t.record.at_m, t.record.date != t.visit.date))
    out: list[_Taken] = []
    for t in own_first:
        if not any(_same(t, o) for o in out if (o.position, o.what) == (t.position, t.what)):
            out.append(t)
    return out


def _same(a: _Taken, b: _Taken) -> bool:
    one, two = a.record, b.record
    near = abs(one.size_m - two.size_m) < SAME_M
    if one.date and two.date:
        return near and one.date == two.date
    return near and abs(one.at_m - two.at_m) < MILE_M


def _cuts(visits: Sequence[Visit], road: Way) -> list[Cut]:
    """Everything that was fitted, as visits say."""
    out = []
    for visit, at in zip(visits, road.at_m, strict=True):
        for done in visit.done:
            if done.action.strip().casefold() in REPLACED:
                ends = (done.position, other_end(done.position)) if done.part == "axle" else (done.position,)
                out += [Cut(end, (done.part,), visit.date, at, True) for end in ends]
        for f in visit.fitted:
            far = behind(f.miles, f.miles_ago, visit)
            told = next(
                (
                    c
                    for c in out
                    if c.done and c.date == f.date and (c.position, c.parts) == (f.position, (f.part,))
                ),
                None,
            )
            if told is None:
                out.append(
                    Cut(f.position, (f.part,), f.date, None if far is None or at is None else at + far, False)
                )
    return out


def _since_fitted(mine: list[_Taken], cuts: Iterable[Cut]) -> list[_Taken]:
    """Only what was read on the part that is on now (C7)."""
    parts = PARTS[mine[0].what]
    here = [c for c in cuts if c.position == mine[0].position and not set(c.parts).isdisjoint(parts)]
    return [t for t in mine if all(_after(t.record, c) for c in here)]


def _after(record: Record, cut: Cut) -> bool:
    if record.date is not None and cut.date is not None:
        return record.date > cut.date or (record.date == cut.date and not cut.done)
    return cut.at_m is None or record.at_m >= cut.at_m - MILE_M / 2


def _not_grown_back(mine: list[_Taken], everywhere: list[_Taken]) -> tuple[list[_Taken], list[Problem]]:
    """From the last record on that is less worn than one before it by more than both doubts: another part, or another place."""
    problems = []
    start = 0
    for i, now in enumerate(mine):
        sign = GROWS[now.what]
        before = mine[start:i]
        back = [
            b
            for b in before
            if above(
                sign * (b.record.size_m - now.record.size_m), 2 * max(b.record.doubt_m, now.record.doubt_m)
            )
        ]
        if back:
            problems.append(_grown_back(now, everywhere))
            start = i
    return mine[start:], problems


def _grown_back(now: _Taken, everywhere: list[_Taken]) -> Problem:
    how = "smaller" if GROWS[now.what] > 0 else "thicker"
    elsewhere = [
        t.position for t in everywhere
        if t.what == now.what and t.position != now.position and t.record.at_m < now.record.at_m
        and abs(t.record.size_m - now.record.size_m) <= max(t.record.doubt_m, now.record.doubt_m)
    ]  # fmt: skip
    like = f"; it is near what {sorted(set(elsewhere))[0]} had" if elsewhere else ""
    return Problem(
        f"{now.visit.unit.id}, {now.visit.date}, {now.position}, {now.what}",
        f"{how} than at an earlier visit, and no replacement is on record{like}",
        "see whether wheels changed places or a part was changed elsewhere; until then it counts as another part.",
    )


def _life(mine: list[_Taken], road: Way, now: Visit) -> Life:
    rows = [t.record for t in mine]
    shares = [0.0, *(_share(road, a.at_m, b.at_m) for a, b in pairwise(rows))]
    last = mine[-1]
    return Life(
        now.unit.id, last.position, last.what, tuple(rows), tuple(shares), _share(road, rows[-1].at_m, 0.0), last.visit, now, road
    )  # fmt: skip


def _share(road: Way, start_m: float, end_m: float) -> float:
    gap = end_m - start_m
    return road.doubt_m(start_m, end_m) / gap if gap > 0 else 0.0
