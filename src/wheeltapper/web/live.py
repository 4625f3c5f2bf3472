"""A visit as it stands this moment: its entries folded and examined. Remembered until the next entry comes."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass
from datetime import date as Date
from functools import cached_property

from django.conf import settings
from django.http import Http404

from wheeltapper.findings.reading import ALONE, SPREAD
from wheeltapper.fleet.foretell import Pooled
from wheeltapper.fleet.standing import stands
from wheeltapper.flow import Examination, examine
from wheeltapper.plan.due import Due, as_plain, due_items
from wheeltapper.reference.house import load
from wheeltapper.reference.tables import Tables
from wheeltapper.report import sheet
from wheeltapper.report.owner import open_questions
from wheeltapper.report.wording import reader_for
from wheeltapper.store import board, find, keep, ledger, outlook
from wheeltapper.store.entries import Entry
from wheeltapper.store.fold import Folded, fold
from wheeltapper.store.models import KeptVisit
from wheeltapper.store.unit_names import plain
from wheeltapper.words import TRAILER

HOWS = ("look", "feel", "hear")
REMEMBERED = 64  # visits; a shop has fewer open at a time


@dataclass(frozen=True)
class Answer:
    """One standing answer to a check: which entry gave it, who, what was found, or why nobody looked."""

    entry: str
    by: str
    found: tuple[str, ...] = ()
    why_not: str = ""
    alone: bool = True  # the entry says nothing else, so that another may stand instead of it


Readings = dict[
    tuple[str, str], tuple[str, str, str, tuple[str, ...]]
]  # by what and where: value, unit, gauge, entries
Answers = dict[tuple[str, str], list[Answer]]  # by check and place


@dataclass(frozen=True)
class Live:
    """A kept visit, what its entries fold to, and what follows from it."""

    kept: KeptVisit
    folded: Folded
    examination: Examination | None
    tables: Tables

    @cached_property
    def sheet(self) -> sheet.Sheet | None:
        """As every face shows it."""
        ex = self.examination
        return None if ex is None else sheet.sheet(ex, reader_for(ex.visit), find.figures(ex.visit))

    @cached_property
    def due(self) -> tuple[Due, ...]:
        """What falls due after it, once it is out."""
        ex = self.examination
        return () if ex is None else due_items(ex.visit, ex.next, ex.release.state, self.tables)

    @cached_property
    def answers(self) -> dict[str, Answers]:
        """Every standing answer, by wheel."""
        out: dict[str, Answers] = {}
        for entry in self.folded.standing:
            corners = entry.body.get("corner", ()) if entry.kind == "piece" else ()
            alone = (
                sum(len(c.get(how, ())) for c in corners for how in (*HOWS, "not_checked", "reading")) == 1
            )
            for corner in corners:
                here = out.setdefault(corner["position"], {})
                by = corner.get("by") or entry.by
                for look in (a for how in HOWS for a in corner.get(how, ())):
                    answer = Answer(entry.id, look.get("by") or by, tuple(look["found"]), alone=alone)
                    here.setdefault((look["check"], look.get("place") or ""), []).append(answer)
                for mark in corner.get("not_checked", ()):
                    answer = Answer(entry.id, mark.get("by") or by, why_not=mark["why"], alone=alone)
                    here.setdefault((mark["check"], ""), []).append(answer)
        return out

    @cached_property
    def readings(self) -> dict[str, Readings]:
        """Every standing reading, by wheel; the trailer's own under its word."""
        out: dict[str, Readings] = {}
        for entry in self.folded.standing:
            if entry.kind != "piece":
                continue
            rows = [(c["position"], r) for c in entry.body.get("corner", ()) for r in c.get("reading", ())]
            rows += [(TRAILER, r) for r in entry.body.get("reading", ())]
            alone = (entry.id,) if sum(len(r["value"]) for _, r in rows) == 1 else ()
            for position, r in rows:
                here, usual = out.setdefault(position, {}), SPREAD.get(r["what"], (ALONE.get(r["what"], ""),))
                for at, value in zip(r.get("at") or usual, r["value"], strict=False):
                    before = here[r["what"], at][3] if (r["what"], at) in here else ()
                    here[r["what"], at] = (value, r["unit"], r["gauge"], (*before, *alone))
        return out


_lock = threading.Lock()
_remembered: OrderedDict[tuple[int, str, str, Date, str], Live] = OrderedDict()
_read: OrderedDict[int, tuple[int, str, tuple[Entry, ...]]] = (
    OrderedDict()
)  # by visit: how many, the last one's hash, all of them
_tables: dict[float, Tables] = {}


def tables() -> Tables:
    """Ours with the shop's rows laid over them; read again when the shop's folder changed."""
    house = settings.HOUSE_FOLDER
    stamp = max((p.stat().st_mtime for p in house.rglob("*")), default=0.0) if house.is_dir() else 0.0
    with _lock:
        if stamp not in _tables:
            _tables.clear()
            _tables[stamp] = load(house if stamp else None)
        return _tables[stamp]


def named(number: str) -> KeptVisit:
    """The visit of this number.

    Raises:
        Http404: there is none.
    """
    visit = KeptVisit.objects.filter(number=number).first()
    if visit is None:
        raise Http404(f"There is no visit {number}. Go back to the Yard and pick one.")
    return visit


def live(visit: KeptVisit, today: Date | None = None) -> Live:
    """The visit as it stands, from its entries up to now."""
    on, held, pool = today or Date.today(), tables(), next(iter(outlook.pools()), None)
    key = (visit.pk, visit.tail, held.fingerprint, on, pool.fingerprint if pool else "")
    with _lock:
        found = _remembered.get(key)
        if found is not None:
            _remembered.move_to_end(key)
            return found
    made = _made(visit, fold(_entries(visit)), on, held, pool)
    with _lock:
        _remembered[key] = made
        while len(_remembered) > REMEMBERED:
            _remembered.popitem(last=False)
    return made


def as_of(visit: KeptVisit, entries: int, on: Date, pool: Pooled | None) -> Live:
    """The visit as its first `entries` entries made it, examined as on that day with that pool."""
    return _made(visit, fold(_entries(visit)[:entries]), on, tables(), pool)


def _made(visit: KeptVisit, folded: Folded, on: Date, held: Tables, pool: Pooled | None) -> Live:
    if folded.visit is None:
        return Live(visit, folded, None, held)
    seen = outlook.foretold(visit, folded.visit, held, pool)
    return Live(visit, folded, examine(folded.visit, held, on, folded.problems, seen), held)


def _entries(visit: KeptVisit) -> tuple[Entry, ...]:
    """All entries; only those that came since the last time are read, and only where they follow on what was read then."""
    with _lock:
        many, last, known = _read.get(visit.pk, (0, "", ()))
    new = list(find.links(visit, many))
    follows = new[0].before == last if new else visit.tail == last
    if many and not follows:
        known, new = (), list(find.links(visit))
    whole = (*known, *map(find.entry_of, new))
    with _lock:
        if new:
            _read[visit.pk] = new[-1].seq, new[-1].hash, whole
        while len(_read) > REMEMBERED:
            _read.popitem(last=False)
    return whole


def told(visit: KeptVisit) -> Live:
    """The visit as it stands, and its line in the Yard brought up to date."""
    visit.refresh_from_db()
    now = live(visit)
    if visit.summarised < visit.entries or not visit.state or _of_before(visit.summary):
        unit, state, said = _summary(now)
        keep.summarise(visit, visit.entries, unit, state, said)
        if state in keep.GONE:
            ledger.lay(visit, now.folded, now.examination)
        moved = (unit, state, said.get("board")) != (visit.unit, visit.state, visit.summary.get("board"))
        if moved or state in keep.GONE:
            for tag in {visit.tag, plain(unit)} - {""}:
                board.lay(tag, now.tables)
    return now


def _of_before(summary: dict[str, object]) -> bool:
    """Made by an older version, which said less?"""
    return bool(summary) and not {"due", "board"} <= summary.keys()


def _summary(now: Live) -> tuple[str, str, dict[str, object]]:
    ex = now.examination
    if ex is None:
        return "", "in work", {}
    wheels: dict[str, dict[str, int]] = {}
    for call in ex.calls:
        counts = wheels.setdefault(call.position, {})
        counts[call.call] = counts.get(call.call, 0) + 1
    gaps: dict[str, int] = {}
    for gap in ex.findings.gaps:
        gaps[gap.position] = gaps.get(gap.position, 0) + 1
    said = {"wheels": wheels, "gaps": gaps, "date": ex.visit.date.isoformat(), "must_cents": ex.quote.must_cents,
            "because": list(ex.release.because[:3]), "asked": len(open_questions(ex)), "technician": ex.visit.technician,
            "gauges": [g.model_dump(mode="json", exclude_none=True) for g in ex.visit.gauge],
            "due": [as_plain(d) for d in now.due], "miles_now": ex.visit.mileage.now, "use": ex.visit.unit.use,
            "board": stands(ex, now.kept.number)}  # fmt: skip
    return ex.visit.unit.id, ex.release.state, said
