"""The lines of the return sheet as the page asks them: what was said, by which entries, and which answers there are to tap."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from wheeltapper.records import Visit
from wheeltapper.web.bench import gauges
from wheeltapper.web.live import Live
from wheeltapper.words import TRAILER

AFTER = "after "  # before a part's word: the check that an after-photo of bench work answers
Unit = tuple[str, float, float]  # a unit, and the least and most that can be right in it: assumed, wide
# Name, hint, answers to tap, units to type in.
Asks = tuple[str, str, tuple[tuple[Any, str], ...], tuple[Unit, ...]]
TORQUE: tuple[Unit, ...] = (("ft-lb", 20, 500), ("N m", 27, 680))
HEAT: tuple[Unit, ...] = (("F", 0, 600), ("C", 0, 315))
NEW = ((True, "new"), (False, "the old one"))
ASKS: dict[str, Asks] = {
    "method": ("how it was set", "", (), ()),
    "seat_torque": ("seat torque while turning", "", (), (("ft-lb", 1, 300), ("lb-in", 12, 3600), ("N m", 1, 400))),
    "back_off": ("backed off", "", (), ()),
    "end_play": ("end play", "", (), (("in", 0, 0.1), ("mm", 0, 2.5))),
    "gauge": ("end play read with", "", (), ()),
    "new_seal": ("seal", "", NEW, ()),
    "new_pin": ("cotter pin or tang washer", "", NEW, ()),
    "faces_clean": ("faces of hub and wheel, nut seats", "", ((True, "bare and clean"), (False, "not clean")), ()),
    "seats_match": ("nut seats and wheel", "", ((True, "they match"), (False, "they do not")), ()),
    "nut": ("wheel nuts", "", (), ()),
    "torque": ("final torque", "", (), TORQUE),
    "adjusted": ("brake adjust", "tightened to a hard drag, backed off to a light one; both shoes centred, hole plugs in", ((True, "done"), (False, "could not be done")), ()),
    "breakaway_locks": ("breakaway test", "pin pulled, the wheels held against a pull", ((True, "the wheels lock"), (False, "they do not lock")), ()),
    "plug_volts": ("volts at the plug, full apply", "", (), (("V", 0, 16),)),
    "total_amps": ("amperes of all magnets, full apply", "", (), (("A", 0, 60),)),
    "magnet_volts": ("volts at the magnet", "", (), (("V", 0, 16),)),
    "bedding_stops": ("bedding stops", "20 to 30 light ones, with time to cool between", (), (("stops", 0, 500),)),
    "run_miles": ("road test", "", (), (("miles", 0, 500),)),
    "hub_temperature": ("hub after the run", "", (), HEAT),
    "out": ("out of the yard", "", ((True, "It has left on its wheels"), (False, "It is still here")), ()),
}  # fmt: skip
COUNTS = {"bedding_stops", "run_miles"}  # kept as a number, the others as typed with their unit
SOURCES = (  # of a torque; the wheel's and the axle's own labels come first
    "wheel label", "axle label", "axle maker's sheet", "wheel maker's sheet", "owner's manual", "shop's own table",
)  # fmt: skip
OTHER_METHOD = "as the axle maker's sheet says"


@dataclass(frozen=True)
class Line:
    """One thing asked, and what stands."""

    place: str
    field: str
    name: str
    hint: str
    answers: tuple[tuple[str, str], ...]  # as JSON, and in words
    units: tuple[Unit, ...]
    values: tuple[Any, ...]  # what stands, each once; more than one: people differ
    ids: tuple[str, ...]  # the entries that this page shows, of those that say nothing else
    by: tuple[str, ...]

    @property
    def value(self) -> str:
        """The one answer that stands, as JSON; empty where there is none or two."""
        return json.dumps(self.values[0]) if len(self.values) == 1 else ""

    @property
    def shown(self) -> str:
        """In words; where people differ, all of it."""
        return " and ".join(self._words(v) for v in self.values)

    @property
    def counted(self) -> bool:
        """Whether the number goes without a unit."""
        return self.field in COUNTS

    def of_anybody(self) -> Line:
        """The same without the names of those who tightened and read it."""
        bare = (
            {k: v for k, v in x.items() if k not in {"by", "second"}} if isinstance(x, dict) else x
            for x in self.values
        )
        return replace(self, values=tuple(bare))

    def _words(self, value: Any) -> str:
        if isinstance(value, dict):
            return torque_words(value)
        named = {a: words for a, words in self.answers}
        return named.get(json.dumps(value), f"{value:g} {self.units[0][0]}" if self.counted else str(value))


def torque_words(torque: dict[str, Any]) -> str:
    """A final torque with all that was said of it."""
    stages = torque.get("stages") or ()
    rows = (
        torque.get("value"), f"by the {torque['source']}" if torque.get("source") else "no source",
        f"star order in {len(stages)} stages" if stages else "", f"wrench {torque['wrench']}" if torque.get("wrench") else "no wrench named",
        torque.get("by"), f"second initial {torque['second']}" if torque.get("second") else "",
    )  # fmt: skip
    return ", ".join(str(r) for r in rows if r)


class Lines:
    """All of a visit's return sheet, line by line."""

    def __init__(self, now: Live, visit: Visit) -> None:
        self.tables, self.visit = now.tables, visit
        self.said: dict[tuple[str, str], list[tuple[str, str, Any]]] = {}
        for entry in now.folded.standing:
            rows = list(_rows(entry.body.get("return_sheet") or {})) if entry.kind == "piece" else []
            alone = entry.id if len(rows) == 1 and set(entry.body) == {"return_sheet"} else ""
            for place, field, value in rows:
                self.said.setdefault((place, field), []).append((alone, entry.by, value))

    def of(self, place: str, *fields: str) -> list[Line]:
        """These lines of a wheel, or of the trailer."""
        return [self._line(place, field) for field in fields]

    def _line(self, place: str, field: str) -> Line:
        name, hint, answers, units = ASKS[field]
        rows = self.said.get((place, field), [])
        values: list[Any] = []
        for _, _, value in rows:
            if value not in values:
                values.append(value)
        known = answers or tuple((w, w) for w in self._words(field))
        ids, by = (tuple(dict.fromkeys(row[i] for row in rows if row[i])) for i in (0, 1))
        said = tuple((json.dumps(a), w) for a, w in known)
        return Line(place, field, name, hint, said, units, tuple(values), ids, by)

    def _words(self, field: str) -> tuple[str, ...]:
        """Answers that come from the tables or the visit."""
        if field == "method":
            return (*(r.method for r in self.tables.settings), OTHER_METHOD)
        if field == "back_off":
            return tuple(dict.fromkeys(r.back_off for r in self.tables.settings))
        if field == "nut":
            return tuple(dict.fromkeys(r.nut for r in self.tables.torques))
        if field == "gauge":
            return tuple(dict.fromkeys(g.id for g, _ in gauges(self.visit, "length") if "dial" in g.kind))
        return ()


def _rows(sheet: dict[str, Any]) -> Iterator[tuple[str, str, Any]]:
    """What a piece says of the return sheet: place, field, value."""
    yield from ((TRAILER, f, v) for f, v in sheet.items() if f != "wheel" and v is not None)
    for wheel in sheet.get("wheel") or ():
        yield from ((wheel["position"], f, v) for f, v in wheel.items() if f != "position" and v is not None)
