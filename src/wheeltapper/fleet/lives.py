"""From many visits to part lives: the records of one part at one place, from the day it was fitted to its last reading.

A new part starts a life; so does a part that seems to have grown back (wheels changed places, or somebody fitted another),
and a unit that came back with other drums or brakes. A reading that stands in several visits counts once. `lives` gives what
is still on; `unit_lives` all of one unit, the ended ones too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date as Date
from itertools import pairwise, takewhile
from typing import Literal

from wheeltapper.disposition.release import REPLACED
from wheeltapper.findings.facts import Sized
from wheeltapper.findings.gauge import gauge_doubt
from wheeltapper.findings.reading import Past1, behind, read
from wheeltapper.findings.worn import PARTS
from wheeltapper.fleet.miles import Way, way
from wheeltapper.problems import Problem
from wheeltapper.records import Fitted, Unit, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import MILE_M, above, to_si
from wheeltapper.words import other_end

GROWS = {"friction diameter": 1.0, "lining thickness": -1.0, "rotor thickness": -1.0, "pad thickness": -1.0}
DRUM = "friction diameter"
NEW_DOUBT_IN = 0.010  # expanded (k = 2) of a new drum's diameter about its nominal: assumed
SAME_M = 1e-7  # two sizes closer than this on one day are one reading


@dataclass(frozen=True)
class Record:
    """One size of a part's life; distance from the unit's last visit, so it is negative or 0."""

    at_m: float
    date: Date | None
    size_m: float
    doubt_m: float  # expanded (k = 2)


@dataclass(frozen=True)
class Ended:
    """Why a life is over, and the day of the work or of the reading that shows it."""

    how: Literal["replaced", "grown back"]
    date: Date | None


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
    as_new: bool = False  # nothing read on it: taken as new
    ended: Ended | None = None  # None: it is still on

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
    visit: Visit


@dataclass(frozen=True)
class UnitLives:
    """Every part life of one unit since it last came with other axles, brakes or drums."""

    visits: tuple[Visit, ...]  # in order; those that count
    before: tuple[Visit, ...]  # of another body under the same name
    lives: tuple[Life, ...]  # still on
    ended: tuple[Life, ...]
    cuts: tuple[Cut, ...]
    way: Way
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class _Taken:
    position: str
    what: str
    record: Record
    visit: Visit


def lives(visits: Iterable[Visit], tables: Tables) -> tuple[tuple[Life, ...], tuple[Problem, ...]]:
    """Every part life of the visits that is still on, and Problems with what does not fit together."""
    by_unit: dict[str, list[Visit]] = {}
    seen: dict[Date, list[Visit]] = {}
    for visit in sorted(visits, key=lambda v: v.date):
        if visit in seen.setdefault(visit.date, []):
            continue  # a copy of the same file
        seen[visit.date].append(visit)
        by_unit.setdefault(" ".join(visit.unit.id.split()).upper(), []).append(visit)
    units = [unit_lives(by_unit[unit], tables) for unit in sorted(by_unit)]
    return tuple(x for u in units for x in u.lives), tuple(p for u in units for p in u.problems)


def unit_lives(visits: Iterable[Visit], tables: Tables) -> UnitLives:
    """Every part life of one unit, from one visit of it or more."""
    rows = sorted(visits, key=lambda v: v.date)
    same = list(takewhile(lambda v: _same_body(v.unit, rows[-1].unit), reversed(rows)))[::-1]
    problems = [_other_body(same[0])] if len(same) < len(rows) else []
    road = way(same)
    taken, slips = _taken(same, road, tables)
    taken = _once(taken)
    problems += [*road.problems, *slips]
    cuts = _cuts(same, road)
    out: list[Life] = []
    for position, what in sorted({(t.position, t.what) for t in taken}):
        parts, slips = _parts([t for t in taken if (t.position, t.what) == (position, what)], cuts, taken)
        problems += slips
        out += [replace(_life(mine, road, same[-1]), ended=ended) for mine, ended in parts]
    on = [life for life in out if life.ended is None]
    on += _as_new(on, cuts, same, road, tables)
    gone = tuple(life for life in out if life.ended is not None)
    before = tuple(rows[: len(rows) - len(same)])
    return UnitLives(tuple(same), before, tuple(on), gone, tuple(cuts), road, tuple(problems))


def _other_body(visit: Visit) -> Problem:
    return Problem(
        f"{visit.unit.id}, {visit.date}",
        "other axles, brakes or drums than at the visit before",
        "see whether it is the same unit; until then earlier records do not count.",
    )


def _as_new(known: list[Life], cuts: list[Cut], visits: list[Visit], road: Way, tables: Tables) -> list[Life]:
    """Drums that were fitted and not measured since: of the nominal size, within a wide doubt (assumed)."""
    out: dict[str, Life] = {}
    for cut in cuts:
        nominal = tables.drums.get(visits[-1].unit.drum or "")
        have = any((k.position, k.what) == (cut.position, DRUM) for k in known)
        if (
            have
            or nominal is None
            or cut.at_m is None
            or cut.at_m > 0
            or set(cut.parts).isdisjoint(PARTS[DRUM])
        ):
            continue
        record = Record(cut.at_m, cut.date, nominal, to_si(NEW_DOUBT_IN, "in"))
        mine = [_Taken(cut.position, DRUM, record, cut.visit)]
        out[cut.position] = replace(_life(mine, road, visits[-1]), as_new=True)
    return list(out.values())


def _same_body(a: Unit, b: Unit) -> bool:
    """Is it still the trailer with these axles, brakes and drums? A drum size that one visit leaves out says nothing."""
    drums = {a.drum, b.drum} - {None}
    return (a.axles, a.brake) == (b.axles, b.brake) and len(drums) < 2


def _taken(visits: Sequence[Visit], road: Way, tables: Tables) -> tuple[list[_Taken], list[Problem]]:
    """The worst size of each part at each visit, and what visits tell of earlier ones, where the distance is known."""
    out, problems = [], []
    for visit, at in zip(visits, road.at_m, strict=True):
        found = read(visit, tables)
        where = f"{visit.unit.id}, {visit.date}"
        problems += [
            Problem(f"{where}, {p.where}", p.what, p.do)
            for p in found.problems
            if any(what in p.where for what in GROWS)
        ]
        if at is None:
            continue
        for position, what in sorted({(s.position, s.what) for s in found.sized if s.what in GROWS}):
            worst = worst_of(found.of(position, what))
            out.append(_Taken(position, what, Record(at, visit.date, worst.size, worst.doubt), visit))
        out += [_told(p, at, visit) for p in found.past if p.what in GROWS and p.distance_m is not None]
    return out, problems


def worst_of(taken: Sequence[Sized]) -> Sized:
    """The reading that governs: the largest diameter, the least thickness, repeats left out (C1)."""
    first = [s for s in taken if s.at != "repeat"] or list(taken)
    return max(first, key=lambda s: (GROWS[s.what] * s.size, s.doubt))


def _told(past: Past1, at_m: float, visit: Visit) -> _Taken:
    record = Record(at_m + (past.distance_m or 0.0), past.date, past.size, past.doubt or _doubt_of(visit))
    return _Taken(past.position, past.what, record, visit)


def _doubt_of(visit: Visit) -> float:
    """Where an earlier reading names no gauge: the widest doubt of a length gauge on the visit, or 0.005 in (assumed)."""
    known = [d for g in visit.gauge if (d := gauge_doubt(g, "length")[0]) is not None]
    return max(known, default=to_si(0.005, "in"))


def _once(taken: list[_Taken]) -> list[_Taken]:
    """In order along the way; of the same reading told by several visits, the one of its own visit."""
    own_first = sorted(taken, key=lambda t: (t.record.at_m, t.record.date != t.visit.date))
    out: list[_Taken] = []
    by_place: dict[tuple[str, str], list[_Taken]] = {}
    for t in own_first:
        here = by_place.setdefault((t.position, t.what), [])
        if not any(_same(t, o) for o in here):
            here.append(t)
            out.append(t)
    return out


def _same(a: _Taken, b: _Taken) -> bool:
    one, two = a.record, b.record
    near = abs(one.size_m - two.size_m) < SAME_M
    if one.date and two.date:
        return near and one.date == two.date
    return near and abs(one.at_m - two.at_m) < MILE_M


def _cuts(visits: Sequence[Visit], road: Way) -> list[Cut]:
    """Everything that was fitted, as visits say; what is told again later counts once."""
    places = list(zip(visits, road.at_m, strict=True))
    done = [cut for visit, at in places for cut in _done(visit, at)]
    known = {(c.position, c.parts, c.date) for c in done}
    told = [_fitted(f, visit, at) for visit, at in places for f in visit.fitted]
    return done + [c for c in told if (c.position, c.parts, c.date) not in known]


def _done(visit: Visit, at_m: float | None) -> Iterator[Cut]:
    for done in visit.done:
        if done.action.strip().casefold() in REPLACED:
            ends = (done.position, other_end(done.position)) if done.part == "axle" else (done.position,)
            yield from (Cut(end, (done.part,), visit.date, at_m, True, visit) for end in ends)


def _fitted(fitted: Fitted, visit: Visit, at_m: float | None) -> Cut:
    far = behind(fitted.miles, fitted.miles_ago, visit)
    place = None if far is None or at_m is None else at_m + far
    return Cut(fitted.position, (fitted.part,), fitted.date, place, False, visit)


def _parts(
    mine: list[_Taken], cuts: Iterable[Cut], everywhere: list[_Taken]
) -> tuple[list[tuple[list[_Taken], Ended | None]], list[Problem]]:
    """The records of one place as the parts they were read on, in order (C7); what is asked about the part that is on."""
    parts = PARTS[mine[0].what]
    here = [c for c in cuts if c.position == mine[0].position and not set(c.parts).isdisjoint(parts)]
    by_part: dict[int, list[_Taken]] = {}
    for t in mine:
        by_part.setdefault(sum(_after(t.record, c) for c in here), []).append(t)
    out: list[tuple[list[_Taken], Ended | None]] = []
    problems: list[Problem] = []
    for many in sorted(by_part):
        pieces, slips = _grown_back_at(by_part[many], everywhere)
        on = many == len(here)
        problems = slips if on else []
        out += [(a, Ended("grown back", b[0].record.date)) for a, b in pairwise(pieces)]
        out.append((pieces[-1], None if on else _replaced(pieces[-1][-1].record, here)))
    return out, problems


def _replaced(last: Record, here: Iterable[Cut]) -> Ended:
    days = [c.date for c in here if not _after(last, c) and c.date is not None]
    return Ended("replaced", min(days, default=None))


def _after(record: Record, cut: Cut) -> bool:
    if record.date is not None and cut.date is not None:
        return record.date > cut.date or (record.date == cut.date and not cut.done)
    return cut.at_m is None or record.at_m >= cut.at_m - MILE_M / 2


def _grown_back_at(mine: list[_Taken], everywhere: list[_Taken]) -> tuple[list[list[_Taken]], list[Problem]]:
    """Parted where a record is less worn than one before it by more than both doubts: another part, or another place."""
    problems = []
    pieces: list[list[_Taken]] = [[]]
    for now in mine:
        if any(_less_worn(now, before) for before in pieces[-1]):
            problems.append(_grown_back(now, everywhere))
            pieces.append([])
        pieces[-1].append(now)
    return pieces, problems


def _less_worn(now: _Taken, before: _Taken) -> bool:
    a, b = now.record, before.record
    return above(GROWS[now.what] * (b.size_m - a.size_m), 2 * max(a.doubt_m, b.doubt_m))


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
