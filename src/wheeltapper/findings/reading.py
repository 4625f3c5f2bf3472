"""From readings as typed to SI numbers: the first stage of the river.

A reading that cannot be right is asked about and left out; it is never converted on a guess and never
averaged in. What is left out marks its check as doubted, so that nothing can be called fine on the rest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date as Date
from functools import cached_property

from wheeltapper.findings.facts import Sized
from wheeltapper.findings.gauge import gauge_doubt, impossible
from wheeltapper.measure import plausible
from wheeltapper.problems import Problem, nearest
from wheeltapper.records import Past, Reading, Visit
from wheeltapper.reference.tables import Check, Tables
from wheeltapper.units import INCH_M, MILE_M, UNITS, to_si
from wheeltapper.words import TRAILER, positions

WINDOWS: dict[str, tuple[float, float]] = {  # possible values, SI
    "depth": (0.0, 0.150 * INCH_M),
    "lining": (0.0, 0.500 * INCH_M),
    "rotor": (0.200 * INCH_M, 2.000 * INCH_M),
    "share": (0.0, 1.0),
    "ohm": (0.0, 1e9),
    "volt": (0.0, 16.0),
    "ampere": (0.0, 60.0),
    "temperature": (233.15, 700.0),
    "dial": (-0.250 * INCH_M, 0.250 * INCH_M),
    "bore": (0.500 * INCH_M, 6.000 * INCH_M),
}
RADIUS = (0.500 * INCH_M, 8.000 * INCH_M)  # of a circle read on a hub's face
DRUM_WINDOW = (-0.010 * INCH_M, 0.250 * INCH_M)  # about the nominal diameter
SPREAD = {
    "friction diameter": ("mid 0", "mid 45", "mid 90", "mid 135"),
    "rotor thickness": ("0", "90", "180", "270"),
}
ALONE = {
    "friction diameter": "largest",
    "rotor thickness": "thinnest",
    "lining thickness": "thinnest",
    "pad thickness": "thinnest",
}


NAMED = (
    "cup bore",
    "cup diameter",
    "seal bore diameter",
    "cap bore diameter",
)  # their place is never guessed


@dataclass(frozen=True)
class Past1:
    """A usable reading of an earlier visit; distance is behind now, so it is negative."""

    position: str
    what: str
    size: float
    distance_m: float | None
    date: Date | None
    doubt: float | None


@dataclass(frozen=True)
class Readings:
    """Usable readings, which checks are doubted, and the problems on the way."""

    sized: tuple[Sized, ...]
    past: tuple[Past1, ...]
    doubted: frozenset[tuple[str, str]]  # position, check
    problems: tuple[Problem, ...]

    def of(self, position: str, what: str) -> tuple[Sized, ...]:
        """The readings of one kind at one position."""
        return self._by_place.get((position, what), ())

    @cached_property
    def _by_place(self) -> dict[tuple[str, str], tuple[Sized, ...]]:
        out: dict[tuple[str, str], list[Sized]] = {}
        for s in self.sized:
            out.setdefault((s.position, s.what), []).append(s)
        return {place: tuple(rows) for place, rows in out.items()}


def drum_window(visit: Visit, tables: Tables) -> tuple[float, float] | None:
    """The possible friction diameters of this trailer's drums [m], or None where the size is not known."""
    nominal = tables.drums.get(visit.unit.drum or "")
    return None if nominal is None else (nominal + DRUM_WINDOW[0], nominal + DRUM_WINDOW[1])


def read(visit: Visit, tables: Tables) -> Readings:
    """Every usable reading of the visit, and a Problem for every other."""
    desk = _Desk(visit, tables)
    known = positions(visit.unit.axles)
    for corner in visit.corner:
        if corner.position in known:
            desk.take(corner.position, corner.reading, corner.by or visit.technician)
    desk.take(TRAILER, visit.reading, visit.technician)
    sized = _without_those_standing_off(desk, tables)
    past = tuple(p for entry in visit.history if (p := _past(entry, visit, tables, desk)) is not None)
    return Readings(sized, past, frozenset(desk.doubted), tuple(desk.problems))


class _Desk:
    """Collects readings and problems of one visit while it is read."""

    def __init__(self, visit: Visit, tables: Tables) -> None:
        self.visit, self.tables = visit, tables
        self.sized: list[Sized] = []
        self.doubted: set[tuple[str, str]] = set()
        self.problems: list[Problem] = []
        self.gauges = {g.id: g for g in visit.gauge}
        self.twice = {g.id for g in visit.gauge if any(g.id == h.id and g != h for h in visit.gauge)}

    def ask(self, position: str, check: str, at: str, what: str, do: str) -> None:
        self.doubted.add((position, check))
        whole = f"{position}, {check}"
        for i, p in enumerate(self.problems):  # one slip in many values of one check is asked about once
            if (p.what, p.do) == (what, do) and (p.where == whole or p.where.startswith(f"{whole}, ")):
                self.problems[i] = Problem(whole, what, do)
                return
        self.problems.append(Problem(", ".join(w for w in (position, check, at) if w), what, do))

    def take(self, position: str, entries: Iterable[Reading], by: str) -> None:
        of_trailer = position == TRAILER
        measured = {
            c.check for c in self.tables.checks.values() if c.dimension and c.of_trailer == of_trailer
        }
        for entry in entries:
            check = self.tables.checks.get(entry.what)
            if check is None or check.check not in measured:
                self.ask(
                    position,
                    entry.what,
                    "",
                    f"'{entry.what}' is not a reading here",
                    nearest(entry.what, measured),
                )
                continue
            for at, text in self._places(check, position, entry):
                self._one(check, position, at, text, entry, entry.by or by)
        self._mixed(position)

    def _places(self, check: Check, position: str, entry: Reading) -> list[tuple[str, str]]:
        """Each value with the place it was read at."""
        ats = [at.replace("°", "").strip() for at in entry.at or ()]
        if len(ats) > 1 and len(ats) != len(entry.value):
            what = f"{len(entry.value)} values, but {len(ats)} places"
            self.ask(position, check.check, "", what, "write one place for each value.")
            return []
        if check.dial:
            return list(zip(ats or _evenly(len(entry.value)), entry.value, strict=False))
        spread = SPREAD.get(check.check, ())
        if not ats and len(entry.value) == len(spread) > 1:
            return list(zip(spread, entry.value, strict=True))
        if not ats and check.check in NAMED:
            what = f"does not say where: {' or '.join(check.at)}"
            self.ask(position, check.check, "", what, f"write at = '{check.at[0]}' or '{check.at[-1]}'.")
            return []
        ats = ats or [ALONE.get(check.check, check.at[0])]
        for at in (a for a in ats if a not in check.at):
            self.ask(
                position, check.check, at, f"'{at}' is not a place of this reading", nearest(at, check.at)
            )
        placed = zip(ats * (len(entry.value) if len(ats) == 1 else 1), entry.value, strict=True)
        return [(at, text) for at, text in placed if at in check.at]

    def _one(self, check: Check, position: str, at: str, text: str, entry: Reading, by: str) -> None:
        def say(what: str, do: str) -> None:
            self.ask(position, check.check, at, what, do)

        value = self._value(check, text, entry.unit, say)
        doubt = None if value is None else self._doubt(entry, check, say)
        turned, radius = self._dial(position, check, at, entry) if check.dial else (0.0, None)
        if value is not None and doubt is not None and turned is not None:
            size = to_si(value, entry.unit)
            named = (position, check.check, at, text, entry.unit, entry.gauge, by)
            self.sized.append(Sized(*named, size, doubt, turned, radius))

    def _dial(
        self, position: str, check: Check, at: str, entry: Reading
    ) -> tuple[float | None, float | None]:
        """Where a dial stood: clock angle [rad] and distance from the hub's centre [m]."""
        turned = plausible.clock_angle_rad(at)
        if turned is None:
            do = "write degrees from stud 1, '45', or a clock time, '1:30'."
            self.ask(position, check.check, at, f"'{at}' is not a clock position", do)
        radius = plausible.quantity(entry.radius) if entry.radius else None
        length = radius is not None and UNITS[radius[1]].dimension == "length"
        if entry.radius and not (length and radius and RADIUS[0] <= to_si(*radius) <= RADIUS[1]):
            slip = f"radius '{entry.radius}' is not a {'radius of a hub' if length else 'length'}"
            if not any(p.what == slip for p in self.problems):  # once for all of its values
                self.ask(position, check.check, "", slip, "write it with its unit, '2.75 in'.")
            return None, None
        return turned, to_si(*radius) if radius else None

    def _value(self, check: Check, text: str, unit: str, say: Callable[[str, str], None]) -> float | None:
        """The number as written, or None with a question about it."""
        value = plausible.number(text)
        if value is None:
            say(f"'{text}' is not a number", "write what the gauge shows, '10.022' or '3/32'.")
            return None
        if unit not in UNITS or UNITS[unit].dimension != check.dimension:
            fitting = [u for u, row in UNITS.items() if row.dimension == check.dimension]
            say(f"'{unit}' is not a unit for it", nearest(unit, fitting))
            return None
        window = drum_window(self.visit, self.tables) if check.window == "drum" else WINDOWS[check.window]
        if window is None:
            say(
                "the drum's nominal size is not known",
                f"write unit.drum as one of: {', '.join(self.tables.drums)}.",
            )
            return None
        asked = impossible(value, text, unit, check, window)
        if asked:
            say(*asked)
        return None if asked else value

    def _doubt(self, entry: Reading, check: Check, say: Callable[[str, str], None]) -> float | None:
        gauge = self.gauges.get(entry.gauge)
        if gauge is None:
            say(
                f"gauge '{entry.gauge}' is not on the visit",
                "list it under [[gauge]] with its uncertainty"
                + (f", or name the one used: {', '.join(self.gauges)}." if self.gauges else "."),
            )
            return None
        if gauge.id in self.twice:
            say(f"gauge '{gauge.id}' is on the visit twice and differently", "give each gauge its own name.")
            return None
        if "tape" in gauge.kind.casefold() and check.dimension == "length":
            say(
                f"'{gauge.id}' is a tape",
                "a tape is not a gauge for this: measure with one that states its uncertainty.",
            )
            return None
        doubt, why = gauge_doubt(gauge, check.dimension)
        if doubt is None:
            say(f"gauge '{gauge.id}' {why}", "write its uncertainty as '0.003 in', more than zero.")
        return doubt

    def _mixed(self, position: str) -> None:
        units: dict[str, set[str]] = {}
        for s in self.sized:
            if s.position == position:
                units.setdefault(s.what, set()).add(s.unit)
        for what, used in units.items():
            if len(used) > 1:
                named = " and ".join(sorted(used))
                self.problems.append(
                    Problem(
                        f"{position}, {what}",
                        f"readings in {named} side by side",
                        "see that each is written in the unit it was read in.",
                    )
                )


def _evenly(count: int) -> list[str]:
    """Clock positions of readings taken evenly round from stud 1, in degrees."""
    return [f"{360 * i / count:g}" for i in range(count)]


def _without_those_standing_off(desk: _Desk, tables: Tables) -> tuple[Sized, ...]:
    """Leave out diameters and thicknesses that stand off their neighbours, and ask to repeat them first."""
    kept = list(desk.sized)
    slip = tables.number("slip")
    for position, what in sorted({(s.position, s.what) for s in desk.sized if s.what in SPREAD}):
        group = [s for s in desk.sized if (s.position, s.what) == (position, what)]
        for index in plausible.standing_off([s.size for s in group], slip):
            odd = group[index]
            kept.remove(odd)
            apart = f"stands more than {tables.limit('slip').value} in from its neighbours"
            desk.ask(
                position,
                what,
                odd.at,
                f"{odd.text} {odd.unit} {apart}",
                "repeat that reading first, then write what the gauge shows.",
            )
    return tuple(kept)


def _past(entry: Past, visit: Visit, tables: Tables, desk: _Desk) -> Past1 | None:
    """A reading of an earlier visit, or None with a Problem where it cannot be used."""
    where = f"history, {entry.position}, {entry.what}"
    fault = _past_fault(entry, visit, tables)
    if fault:
        desk.problems.append(Problem(where, *fault))
        return None
    value = plausible.number(entry.value)
    gauge = desk.gauges.get(entry.gauge or "")
    doubt = gauge_doubt(gauge, UNITS[entry.unit].dimension)[0] if gauge else None
    assert value is not None
    return Past1(
        entry.position,
        entry.what,
        to_si(value, entry.unit),
        behind(entry.miles, entry.miles_ago, visit),
        entry.date,
        doubt,
    )


def _past_fault(entry: Past, visit: Visit, tables: Tables) -> tuple[str, str] | None:
    check = tables.checks.get(entry.what)
    if check is None or not check.dimension:
        return f"'{entry.what}' is not a reading", nearest(
            entry.what, [c.check for c in tables.checks.values() if c.dimension]
        )
    if entry.position not in positions(visit.unit.axles):
        return f"'{entry.position}' is not a wheel of this trailer", nearest(
            entry.position, positions(visit.unit.axles)
        )
    if entry.unit not in UNITS or UNITS[entry.unit].dimension != check.dimension:
        return f"'{entry.unit}' is not a unit for it", nearest(
            entry.unit, [u for u, row in UNITS.items() if row.dimension == check.dimension]
        )
    value = plausible.number(entry.value)
    if value is None:
        return f"'{entry.value}' is not a number", "write what the gauge showed."
    window = drum_window(visit, tables) if check.window == "drum" else WINDOWS[check.window]
    if window and (asked := impossible(value, entry.value, entry.unit, check, window)):
        return asked
    return _past_out_of_time(entry, visit)


def _past_out_of_time(entry: Past, visit: Visit) -> tuple[str, str] | None:
    if entry.date and entry.date > visit.date:
        return f"dated {entry.date}, after this visit", "mend the date."
    if entry.miles is not None and visit.mileage.now is None and entry.miles_ago is None:
        return "its miles count from an unknown reading", "write mileage.now, or miles_ago."
    if entry.miles is not None and visit.mileage.now is not None and entry.miles > visit.mileage.now:
        return (
            f"taken at {entry.miles:g} miles, but the trailer now shows {visit.mileage.now:g}",
            "mend one of the two.",
        )
    part = next((f for f in visit.fitted if f.id is not None and f.id == entry.fitted), None)
    if entry.fitted and part is None:
        return (
            f"no fitted part '{entry.fitted}' on the visit",
            "list it under [[fitted]], or take the name out.",
        )
    if part and entry.date and part.date and entry.date < part.date:
        return (
            f"measured on {entry.date}, before that part was fitted on {part.date}",
            "mend the date, or name the part it was measured on.",
        )
    return None


def behind(miles: float | None, miles_ago: float | None, visit: Visit) -> float | None:
    """Where an earlier event lies, in metres behind now (negative), or None where that is not known."""
    if miles_ago is not None:
        return -miles_ago * MILE_M
    if miles is not None and visit.mileage.now is not None:
        return (miles - visit.mileage.now) * MILE_M
    return None
