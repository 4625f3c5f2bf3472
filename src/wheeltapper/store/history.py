"""A unit that comes back: found by a piece of its tag or plate, with what was measured, replaced, found and put off last time.

`Last` works on records alone. What it carries over is what the wear of a part is told from: the worst reading of each part
that is still on, and each part that was fitted. A part that was replaced leaves its readings behind.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date as Date
from functools import cache
from typing import TypeVar

from django.db.models import QuerySet
from django.utils.timezone import localdate

from wheeltapper.disposition.release import REPLACED
from wheeltapper.findings.reading import read
from wheeltapper.flow import examine
from wheeltapper.owner_said import Declined
from wheeltapper.records import Done, Fitted, Look, Mileage, Past, Unit, Visit
from wheeltapper.reference.house import load
from wheeltapper.reference.tables import Tables
from wheeltapper.report.wording import day
from wheeltapper.store.entries import Piece
from wheeltapper.store.find import entries
from wheeltapper.store.fold import fold
from wheeltapper.store.models import KeptVisit, UnitLine
from wheeltapper.store.unit_names import plain
from wheeltapper.words import Part, other_end

MOST_FOUND = 12
NEVER = "on the fleet’s list, never here"
GROWS = {
    "friction diameter": True,
    "rotor thickness": False,
    "lining thickness": False,
    "pad thickness": False,
}
WORN: dict[str, tuple[Part, ...]] = {  # whose readings they are: a new one of these starts anew
    "friction diameter": ("hub-drum", "axle"), "rotor thickness": ("rotor", "axle"),
    "lining thickness": ("lining", "brake-assembly", "axle"), "pad thickness": ("pads", "brake-assembly", "axle"),
}  # fmt: skip
ON_AN_AXLE: dict[bool, tuple[Part, ...]] = {True: ("rotor", "pads"), False: ("hub-drum", "brake-assembly")}


@dataclass(frozen=True)
class Known:
    """A unit as the list shows it."""

    name: str
    said: str


@dataclass(frozen=True)
class Last:
    """A unit's last visit."""

    number: str
    visit: Visit
    tables: Tables

    @property
    def date(self) -> Date:
        """Its day."""
        return self.visit.date

    @property
    def findings(self) -> tuple[str, ...]:
        """What was found, wheel by wheel: every answer that is not fine."""
        return tuple(
            f"{p} {k.check}{_at(k)}: {', '.join(k.found)}"
            for p, k in _looks(self.visit)
            if k.found != ("fine",)
        )

    @property
    def declined(self) -> tuple[Declined, ...]:
        """What the owner put off, then or before, and nobody has done or answered since: the last answer counts."""
        done = {place for d in self.visit.done if _is_new(d) for place in _fitted_by(d, self.visit)}
        said: dict[tuple[str, str], Declined | None] = {(d.position, d.part): d for d in self.visit.declined}
        for a in self.visit.answer:
            row = Declined(
                position=a.position,
                part=a.part,
                by=a.by,
                said=a.said,
                date=a.date or self.date,
                cents=a.cents,
            )
            said[a.position, a.part] = row if a.answer == "not now" else None
        return tuple(d for place, d in said.items() if d is not None and place not in done)

    def price_now(self, on: Date) -> dict[tuple[str, str], int | None]:
        """What each choice of that visit would cost at the prices of these tables."""
        choices = examine(self.visit.model_copy(update={"done": ()}), self.tables, on).quote.choices
        return {place: c.options[0].cents for c in choices for place in c.places}

    def carried(self, unit: Unit, mileage: Mileage | None = None) -> Piece | None:
        """What the next visit starts with, or None where there is nothing.

        Args:
            unit: as it rolls in now; readings of another kind of brake stay behind.
            mileage: as it rolls in now; where no count tells how far ago something was, its date stays alone.
        """
        now, then = mileage or Mileage(), self.visit.mileage
        same = unit.brake == self.visit.unit.brake
        past = [
            _told(p, then, now)
            for p in (*self.visit.history, *self._measured())
            if same and self._still_on(p)
        ]
        fitted = [_told(f, then, now) for f in (*self.visit.fitted, *self._replaced())]
        put_off = self.declined
        some = past or fitted or put_off
        return Piece(history=tuple(past), fitted=tuple(fitted), declined=put_off) if some else None

    def _replaced(self) -> Iterator[Fitted]:
        for done in (d for d in self.visit.done if _is_new(d)):
            for position, part in _fitted_by(done, self.visit):
                yield Fitted(position=position, part=part, date=self.visit.date, miles_ago=0)

    def _measured(self) -> Iterator[Past]:
        """The worst usable reading of each part that wears."""
        found = read(self.visit, self.tables)
        for position, what in sorted({(s.position, s.what) for s in found.sized if s.what in GROWS}):
            worst = (max if GROWS[what] else min)(found.of(position, what), key=lambda s: s.size)
            yield Past(
                position=position, what=what, value=worst.text, unit=worst.unit, at=worst.at, gauge=worst.gauge,
                date=self.visit.date, miles_ago=0,
            )  # fmt: skip

    def _still_on(self, past: Past) -> bool:
        new = {
            place
            for d in self.visit.done
            if _is_new(d)
            for place in ((d.position, d.part), *_fitted_by(d, self.visit))
        }
        return not any((past.position, part) in new for part in WORN.get(past.what, ()))


def units_like(query: str) -> tuple[Known, ...]:
    """The units whose tag, plate or VIN has these pieces in it; the nearest first, then the latest.

    Blanks, dashes and case do not matter, nor whether an O was a 0 or an I a 1.
    """
    pieces = [plain(p) for p in query.split() if plain(p)]
    if not pieces:
        return ()
    latest: dict[str, KeptVisit] = {}
    for kept in KeptVisit.objects.exclude(unit="").order_by("opened").only("unit", "opened", "state"):
        latest.pop(plain(kept.unit), None)
        latest[plain(kept.unit)] = kept
    here = [(near, _known(k)) for name, k in reversed(latest.items()) if (near := nearness(pieces, name))]
    listed = UnitLine.objects.filter(visit=None).order_by("unit").values_list("tag", "unit")
    told = [
        (near, Known(unit, NEVER))
        for tag, unit in listed
        if tag not in latest and (near := nearness(pieces, tag))
    ]
    best = sorted([*here, *told], key=lambda row: row[0])[:MOST_FOUND]
    return tuple(known for _, known in best)


def _known(kept: KeptVisit) -> Known:
    return Known(
        kept.unit, f"last here {day(localdate(kept.opened))}" + (f", {kept.state}" if kept.state else "")
    )


def told_of(unit: str) -> dict[str, str]:
    """What a list that was brought in says of a unit; nothing where none does."""
    line = UnitLine.objects.filter(tag=plain(unit)).first()
    return {k: str(v) for k, v in line.told.items()} if line else {}


def before(unit: str, kept: KeptVisit) -> Visit | None:
    """The unit's last visit before this one that can be read, or None."""
    found = _latest_read(_of(unit).filter(opened__lt=kept.opened))
    return found[1] if found else None


def last_of(unit: str, tables: Tables | None = None) -> Last | None:
    """The last visit of this unit that can be read, or None."""
    found = _latest_read(_of(unit))
    return Last(found[0].number, found[1], tables or _ours()) if found else None


def _of(unit: str) -> QuerySet[KeptVisit]:
    """Every visit of a unit, however its tag was written."""
    return KeptVisit.objects.exclude(unit="").filter(tag=plain(unit))


def _latest_read(visits: QuerySet[KeptVisit]) -> tuple[KeptVisit, Visit] | None:
    for kept in visits.order_by("-opened").iterator(chunk_size=4):
        visit = fold(entries(kept)).visit
        if visit is not None:
            return kept, visit
    return None


def names_of(unit: str) -> tuple[str, ...]:
    """Every way this tag was written, the latest first; a unit of that very name stands alone."""
    alike = tuple(dict.fromkeys(_of(unit).order_by("-opened").values_list("unit", flat=True)))
    return (unit,) if unit in alike else alike


def last_named(unit: str) -> Last | None:
    """The last visit under this very name that can be read, or None."""
    found = _latest_read(KeptVisit.objects.filter(unit=unit))
    return Last(found[0].number, found[1], _ours()) if found else None


def nearness(pieces: list[str], name: str) -> int:
    """How near a name (plain) is: 1 the same, 2 its end, 3 its beginning, 4 within, 5 all pieces somewhere, 0 not at all."""
    whole = "".join(pieces)
    asked = ((name == whole, 1), (name.endswith(whole), 2), (name.startswith(whole), 3), (whole in name, 4))
    return next((near for so, near in asked if so), 5 if all(p in name for p in pieces) else 0)


@cache
def _ours() -> Tables:
    return load(None)


Row = TypeVar("Row", Past, Fitted)


def _told(row: Row, then: Mileage, now: Mileage) -> Row:
    """How far ago something was, told from the visit of now instead of the one of then."""
    miles, ago = row.miles, row.miles_ago
    if miles is None and ago is not None and then.now is not None:
        miles = then.now - ago
    if miles is not None and now.now is not None:
        return row.model_copy(update={"miles": miles, "miles_ago": None})
    if ago is None and miles is not None and then.now is not None:
        ago = then.now - miles
    since = None if ago is None or now.since_last is None else ago + now.since_last
    return row.model_copy(update={"miles": None, "miles_ago": since})


def _is_new(done: Done) -> bool:
    return done.action.strip().casefold() in REPLACED


def _fitted_by(done: Done, visit: Visit) -> tuple[tuple[str, Part], ...]:
    """The parts that a piece of work put on; a new axle comes with its own at both ends."""
    if done.part != "axle":
        return ((done.position, done.part),)
    ends = (done.position, other_end(done.position))
    return tuple((end, part) for end in ends for part in ON_AN_AXLE[visit.unit.brake == "hydraulic disc"])


def _looks(visit: Visit) -> Iterator[tuple[str, Look]]:
    for corner in visit.corner:
        looks: Iterable[Look] = (*corner.look, *corner.feel, *corner.hear)
        yield from ((corner.position, look) for look in looks)


def _at(look: Look) -> str:
    return f" {look.place}" if look.place else ""
