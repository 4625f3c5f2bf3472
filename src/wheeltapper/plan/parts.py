"""The parts list for the counter, before the wheel goes on: what to fetch, how many left and right, in which size.

A size is what somebody entered of this trailer, never a guess: what is not known is named as missing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from wheeltapper.plan.estimate import Estimate
from wheeltapper.plan.quote import Line
from wheeltapper.records import Corner, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import hand_of

SIZED_BY = {  # what a part is chosen by; a name of unit, or of one wheel's bearing numbers
    "hub-drum": ("drum", "bolt_pattern", "studs", "inner_bearing", "outer_bearing"),
    "rotor": ("bolt_pattern", "studs", "inner_bearing", "outer_bearing"),
    "brake-assembly": ("drum", "axle_rating_lb"),
    "cones": ("inner_bearing", "outer_bearing"),
    "bearing-set": ("inner_bearing", "outer_bearing"),
    "seal": ("inner_bearing",), "stud": ("studs",), "nut": ("studs", "nut"), "wheel": ("bolt_pattern", "wheel"),
    "axle": ("axle_rating_lb", "bolt_pattern", "drum"), "pads": ("rotor_new",), "grease": ("lube",),
}  # fmt: skip
SAID = {
    "drum": "drum", "bolt_pattern": "bolt pattern", "studs": "studs", "inner_bearing": "inner bearing", "outer_bearing": "outer bearing",
    "axle_rating_lb": "axle rating", "nut": "nut", "wheel": "wheel", "rotor_new": "new rotor", "lube": "lube",
}  # fmt: skip
DISC_HAS_NO = {"drum"}
BEARINGS = {"inner_bearing", "outer_bearing"}


@dataclass(frozen=True)
class Wanted:
    """A part to fetch."""

    code: str
    say: str
    qty: int
    left: int
    right: int
    where: tuple[str, ...]  # '2-road (left)', with '2 at' where it is more than one
    size: tuple[str, ...]
    missing: tuple[str, ...]  # of the size, not entered
    changed: bool = False  # the counter changed how many: where they go is no longer said


@dataclass(frozen=True)
class PartsList:
    """What is agreed or must be, and what comes on top if the owner says yes to all that is open."""

    now: tuple[Wanted, ...]
    if_yes: tuple[Wanted, ...]
    sides_known: bool  # does the shop say on which side traffic keeps?


def parts_list(visit: Visit, estimate: Estimate, tables: Tables) -> PartsList:
    """The parts list of a visit as its estimate stands."""
    maker = _Maker(visit, tables)
    sure = maker.rows(estimate.least_lines)
    known = {(w.code, w.where, w.qty) for w in sure}
    more = maker.rows(estimate.most_lines) if estimate.open else ()
    return PartsList(
        sure, tuple(w for w in more if (w.code, w.where, w.qty) not in known), bool(maker.traffic)
    )  # fmt: skip


class _Maker:
    """Turns lines into what to fetch; the trailer and the tables stay the same."""

    def __init__(self, visit: Visit, tables: Tables) -> None:
        self.visit, self.tables = visit, tables
        self.traffic = str(tables.house["traffic"])
        self.corners = {c.position: c for c in visit.corner}

    def rows(self, lines: Iterable[Line]) -> tuple[Wanted, ...]:
        """The parts among lines, each code once."""
        by_code: dict[str, list[Line]] = {}
        for line in (row for row in lines if row.hours is None and row.qty):
            by_code.setdefault(line.code, []).append(line)
        return tuple(self._wanted(of) for of in by_code.values())

    def _wanted(self, lines: Sequence[Line]) -> Wanted:
        places = [spot for line in lines for spot in zip(line.places, line.counts, strict=False)]
        hands = [(hand_of(place, self.traffic), n) for place, n in places]
        first = lines[0]
        size, missing = self._size(first.code, [place for place, _ in places])
        qty = sum(line.qty for line in lines)
        return Wanted(
            first.code, first.say, qty, sum(n for hand, n in hands if hand == "left"), sum(n for hand, n in hands if hand == "right"),
            tuple(dict.fromkeys(self._where(place, n) for place, n in places)), size, missing, changed=sum(n for _, n in places) != qty,
        )  # fmt: skip

    def _where(self, place: str, count: int) -> str:
        hand = hand_of(place, self.traffic)
        name = f"{place} ({hand})" if hand else place
        return name if count == 1 else f"{count} at {name}"

    def _size(self, code: str, places: Iterable[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        price = self.tables.price_of.get(code)
        part = price.part if price is not None else code.removeprefix("no price: ")
        known: list[str] = []
        missing: list[str] = []
        corners = [self.corners[p] for p in dict.fromkeys(places) if p in self.corners]
        for field in SIZED_BY.get(part, ()):
            if field in DISC_HAS_NO and self.visit.unit.brake == "hydraulic disc":
                continue
            said = self._said(field, corners)
            (known if said else missing).append(f"{SAID[field]} {said}".strip())
        return tuple(known), tuple(missing)

    def _said(self, field: str, corners: Iterable[Corner]) -> str:
        """What was entered; bearing numbers of single wheels beside the trailer's."""
        of_unit = getattr(self.visit.unit, field)
        said = f"{of_unit:g} lb" if isinstance(of_unit, float) else str(of_unit or "")
        if field not in BEARINGS:
            return said
        own = [f"{getattr(c, field)} at {c.position}" for c in corners if getattr(c, field)]
        return ", ".join(filter(None, [said, *own]))
