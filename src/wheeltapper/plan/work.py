"""From calls to lines of work: what belongs together, once each.

A line knows the place it is done at (a wheel, an axle, the trailer), so work that two reasons ask for at one
place is one line, and hours never overlap. Prices come later, in quote.py.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from wheeltapper.disposition.causes import Likely
from wheeltapper.disposition.decide import AXLE_BRINGS, Call, Place, paired
from wheeltapper.findings.facts import Findings
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Price, Tables
from wheeltapper.words import TRAILER, Part, axle_of, positions, side_of

STUD_FACTS = ("studs.broken", "studs.bent", "studs.necked", "studs.thread_damaged")
NO_PRICE = "no price: "  # before a part that the price book does not name
SEEN_FAULTS = {"H17.wiring-chafed", "H17.wiring-corroded", "H17.wiring-broken"}
HUB_BRINGS = {"hub-face", "studs", "cap"}  # new with a hub: no bench work on the old ones
Spot = tuple[str, str]  # code, place


@dataclass(frozen=True)
class Need:
    """So many of a code at one place, and the rules that ask for it."""

    code: str
    place: str
    qty: int
    rules: tuple[str, ...]


Job = dict[Spot, Need]


class Planner:
    """Work for one visit: the tables, the trailer and its findings stay the same while calls vary."""

    def __init__(self, visit: Visit, findings: Findings, tables: Tables) -> None:
        self.visit, self.findings, self.tables = visit, findings, tables
        self.studs = stud_count(visit)
        self._codes: dict[str, str] = {}
        self.kinds = visit.unit.brake.split(" ")  # "electric drum": rows for electric and rows for drum

    def job(self, calls: Iterable[Call], causes: Sequence[Likely] = ()) -> Job:
        """Everything that replace and dress calls, and priced causes, put on the job."""
        calls = list(calls)
        job: Job = {}
        gone = {c.place for c in calls if c.call == "replace"}
        for call in calls:
            if call.call == "replace":
                self._add(job, self.tables.work["replace"].get(call.part), call, gone)
            elif call.call == "dress":
                self.dress(job, call, gone)
        self._faults(job, calls, causes)
        for likely in causes:
            if likely.row.action not in ("", "wire"):
                self._put(job, self.tables.work["dress"][likely.row.action], likely.position, ("P7",))
        return job

    def dress(self, job: Job, call: Call, gone: set[Place]) -> None:
        """The bench work of the dress rules that fired on a part, named or standing behind an owner's choice."""
        if self._brought(call.position, ("hub-drum", "rotor"), gone) and call.part in HUB_BRINGS:
            return
        if self.goes_with_axle(call, gone):
            return
        rules = (self.tables.dress_rules.get(id) for id in (*call.rules, *call.milder))
        for rule in (r for r in rules if r is not None and r.action != "wire"):
            self._put(job, self.tables.work["dress"][rule.action], call.position, (rule.head,))

    def booked(self, gone: set[Place]) -> Job:
        """The service the visit was booked for, less what a new axle makes needless."""
        names = (
            self.visit.booked
            if self.visit.booked is not None
            else (("hub service",) if self.visit.scope == "hub service" else ("adjust",))
        )
        return self._service(
            [n for n in names if n in self.tables.work["booked"]], positions(self.visit.unit.axles), gone
        )

    def hub_opened(self, wheels: Iterable[str], gone: set[Place]) -> Job:
        """Seal, pin, grease and the hub's own hours at opened hubs (P5)."""
        return self._service(["hub service"], tuple(wheels), gone)

    def _service(self, names: Iterable[str], wheels: tuple[str, ...], gone: set[Place]) -> Job:
        job: Job = {}
        for name in names:
            if name == "adjust" and self.visit.unit.brake == "hydraulic disc":
                continue
            row = self.tables.work["booked"][name]
            for wheel in wheels:
                self._put(job, row, wheel, ("booked",))
                if self._brought(wheel, ("axle",), gone):
                    for code in row.get("gone_with_axle", ()):
                        job.pop((code, wheel), None)
        return job

    def _add(self, job: Job, row: Mapping[str, Any] | None, call: Call, gone: set[Place]) -> None:
        if row is not None and not self._brought(call.position, row.get("not_with", ()), gone):
            self._put(job, row, call.position, call.because)

    def goes_with_axle(self, call: Call, gone: set[Place]) -> bool:
        """Does a new axle under this wheel bring the part?"""
        return call.part in AXLE_BRINGS and self._brought(call.position, ("axle",), gone)

    def _brought(self, wheel: str, parts: Iterable[str], gone: set[Place]) -> bool:
        """Does a part that goes on at this wheel, or an axle under it, already bring this?"""
        wide = {(axle_of(w), p) for w, p in gone if p == "axle"}
        return any((wheel, p) in gone or (axle_of(wheel), p) in wide for p in parts)

    def _put(self, job: Job, row: Mapping[str, Any], wheel: str, rules: tuple[str, ...]) -> None:
        places = {"wheel": wheel, "axle": f"axle {axle_of(wheel)}", "trailer": TRAILER}
        for key, items in row.items():
            kind, _, scope = key.rpartition("_")
            if scope not in places or (kind and kind not in self.kinds):
                continue  # another kind of brake, or no list of work
            for item in items:
                qty = self._qty(item.get("qty", 1), wheel)
                if qty:
                    _put(job, Need(self._code(item), places[scope], qty, rules))

    def _code(self, item: Mapping[str, Any]) -> str:
        if "labour" in item:
            return str(item["labour"])
        part = item["part"]
        if part not in self._codes:
            row = self.price_row(part)
            self._codes[part] = row.code if row else f"{NO_PRICE}{part}"
        return self._codes[part]

    def price_row(self, part: str) -> Price | None:
        """The row of the price book that fits this trailer; the most particular one wins."""
        unit = self.visit.unit
        mine = {"drum": unit.drum or "", "studs": str(self.studs or ""), "brake": unit.brake}
        fitting = [
            p
            for p in self.tables.prices
            if p.part == part and all(getattr(p, k) in ("", v) for k, v in mine.items())
        ]
        return max(fitting, key=lambda p: (bool(p.brake), bool(p.drum) + bool(p.studs)), default=None)

    def _qty(self, wanted: Any, wheel: str) -> int:
        if wanted == "studs":
            return self.studs or 1
        if wanted == "studs to replace":
            return self._studs_to_replace(wheel)
        return self._studs_to_replace(wheel) - 1 if wanted == "further studs" else int(wanted)

    def _studs_to_replace(self, wheel: str) -> int:
        """One damaged stud takes both neighbours with it, two or more take all of the hub (P6)."""
        facts = [self.findings.fact(wheel, name) for name in STUD_FACTS]
        damaged = sum((f.count or 1) for f in facts if f.answer)
        damaged = damaged or int(
            self.findings.yes(wheel, "studs.beach_marks")
        )  # a break was seen: one at least
        turning = self.findings.fact(wheel, "studs.turns")
        all_of_them = self.studs or damaged
        if damaged == 0:
            return min((turning.count or 1) if turning.answer else all_of_them, all_of_them)
        return min(3, all_of_them) if damaged == 1 else all_of_them

    def _faults(self, job: Job, calls: list[Call], causes: Iterable[Likely]) -> None:
        """Wiring faults. A fault that was seen is one to mend; wheels that only measure dark may share one."""
        supply = [c for c in calls if c.part == "supply" and c.call == "dress"]
        dark = {c.position: c.because for c in supply if not SEEN_FAULTS & set(c.rules)}
        places = {c.position: c.because for c in supply if SEEN_FAULTS & set(c.rules)}
        places |= _grouped(dark, self.visit.unit.axles)
        if not supply and any(c.row.action == "wire" for c in causes):
            places = {TRAILER: ("P7",)}
        for place, rules in places.items():
            for item in self.tables.work["dress"]["wire"]["fault"]:
                _put(job, Need(self._code(item), f"fault {place}", 1, rules))

    def with_replaced(self, calls: Iterable[Call], places: Iterable[tuple[str, Part]]) -> list[Call]:
        """The calls as they would be if these parts were replaced too, with all that goes with them."""
        changed = {c.place: c for c in calls}
        for place in places:
            old = changed.get(place) or Call(place[0], place[1], "keep")
            changed[place] = replace(old, call="replace")
        paired(changed, self.findings, self.tables)
        return list(changed.values())


def _put(job: Job, need: Need) -> None:
    spot = need.code, need.place
    old = job.get(spot)
    if old is not None:
        rules = tuple(dict.fromkeys((*old.rules, *need.rules)))
        need = replace(need, qty=max(need.qty, old.qty), rules=rules)
    job[spot] = need


def _grouped(dark: Mapping[str, tuple[str, ...]], axles: int) -> dict[str, tuple[str, ...]]:
    """Dark wheels as faults: by axle first, then by side, then one by one."""
    left = dict(dark)
    out: dict[str, tuple[str, ...]] = {}
    groups = [[p for p in left if axle_of(p) == str(n)] for n in range(1, axles + 1)]
    groups = [g for g in groups if len(g) == 2]
    if len(groups) == axles > 1:
        return {TRAILER: next(iter(left.values()))}  # everything is dark: one feed
    for group in groups:
        out[f"axle {axle_of(group[0])}"] = left[group[0]]
        left = {p: r for p, r in left.items() if p not in group}
    for side in ("road", "curb"):
        same = [p for p in left if side_of(p) == side]
        if same:
            out |= {f"{side} side": left[same[0]]} if len(same) > 1 else {same[0]: left[same[0]]}
    return out


def minus(job: Job, taken: Job) -> Job:
    """What a job has that another does not."""
    return {spot: need for spot, need in job.items() if spot not in taken}


def stud_count(visit: Visit) -> int | None:
    """Studs of a hub, from the bolt pattern '6 on 5.5'; None where it is not known."""
    head = re.match(r"\s*(\d+)", visit.unit.bolt_pattern or "")
    return int(head[1]) if head and 3 < int(head[1]) < 13 else None
