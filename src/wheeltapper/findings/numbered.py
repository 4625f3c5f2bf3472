"""Every row of a wheel with a short number of its own, and which digits a reading may have: the same on the screens and on paper.

The numbers hang on the kind of brake alone, so that a printed sheet still fits a page that was opened later for another
kind of visit.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor

from wheeltapper.findings.reading import WINDOWS, drum_window
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Check, Tables
from wheeltapper.units import UNITS, from_si

WHY_NOT = (
    "cannot be reached",
    "too dirty, not cleaned yet",
    "no gauge here",
    "part is not here",
    "no time today",
    "I do not know how",
)
OWED: dict[str, tuple[str, ...]] = {  # places that a full reading has; a check not named here is read at its first place
    "friction diameter": ("mid 0", "mid 45", "mid 90", "mid 135", "open", "closed"), "lining thickness": ("primary", "secondary"),
    "rotor thickness": ("0", "90", "180", "270"), "pad thickness": ("inner", "outer"), "cup bore": ("inner", "outer"),
    "cup diameter": ("inner", "outer"), "seal bore diameter": ("bore", "seal"), "cap bore diameter": ("bore", "cap"),
    "volts at magnet": ("full apply", "released"),
}  # fmt: skip
ROUND = tuple(str(a) for a in range(0, 360, 45))  # a dial, from stud 1
AFTER_POINT = {"in": 3, "mm": 2}
TENTHS = {"ohm", "V", "A"}
CAST = "friction diameter"  # whose limit may be cast in the part
Window = tuple[
    str, float, float, tuple[str, ...], int
]  # unit, lowest, highest, what stands before, digits after


@dataclass(frozen=True)
class Numbered:
    """A row: a check to answer at a place, a reading with its places, or the limit cast in the part."""

    number: int
    check: Check
    place: str = ""
    at: tuple[str, ...] = ()  # where it is read; none for an answer in words
    limit: bool = False

    @property
    def said(self) -> str:
        """Its name."""
        if self.limit:
            return "most allowed, cast in the drum"
        return f"{self.check.check}, {self.place}" if self.place else self.check.check


def rows_of(visit: Visit, tables: Tables, of_trailer: bool = False) -> tuple[Numbered, ...]:
    """The rows of a wheel, or of the trailer, on this kind of visit: the answers station by station, then the numbers."""
    here = [c for c in tables.checks.values() if visit.unit.brake in c.brakes and c.of_trailer == of_trailer]
    rows = [row for check in _by_station(here) for row in _answered(check)]
    rows += [row for check in sorted(here, key=lambda c: c.optional) for row in _read(check)]
    numbered = (
        Numbered(i, r.check, r.place, r.at, r.limit) for i, r in enumerate(rows, 201 if of_trailer else 1)
    )
    return tuple(r for r in numbered if visit.scope in r.check.scopes)


def _by_station(checks: list[Check]) -> list[Check]:
    """As the screen has them: the stations as they come, in each what is owed before what may be left."""
    stations = list(dict.fromkeys(c.station for c in checks if c.found))
    return sorted((c for c in checks if c.found), key=lambda c: (stations.index(c.station), c.optional))


def _answered(check: Check) -> Iterator[Numbered]:
    for place in check.places or ("",):
        yield Numbered(0, check, place)


def _read(check: Check) -> Iterator[Numbered]:
    if not check.dimension:
        return
    if check.check == CAST:
        yield Numbered(0, check, at=("drum",), limit=True)
    yield Numbered(0, check, at=read_at(check))


def read_at(check: Check) -> tuple[str, ...]:
    """Where a check is read."""
    return ROUND if check.dial else OWED.get(check.check, check.at[:1])


def windows(check: Check, visit: Visit, tables: Tables) -> Iterator[Window]:
    """What is possible, in each unit that a gauge may show; none where the drum's size is not known."""
    window = drum_window(visit, tables) if check.window == "drum" else WINDOWS[check.window]
    if window is None:
        return
    for unit in (u for u, row in UNITS.items() if row.dimension == check.dimension):
        low, high = (from_si(edge, unit) for edge in window)
        yield unit, round(low, 4), round(high, 4), _before(check, unit, low, high), AFTER_POINT.get(unit, 0)


def _before(check: Check, unit: str, low: float, high: float) -> tuple[str, ...]:
    """What may stand before the typed digits, the likeliest first: '12.' for a 12 in drum, so that 055 is 12.055."""
    if unit != "in" or check.dial or high - low > 1.5:
        return ()
    wholes = range(floor(low + 1e-6), floor(high) + 1)
    likely = floor(low + 0.011) if check.window == "drum" else wholes[0]
    return tuple(f"{w}." for w in sorted(wholes, key=lambda w: w != likely))


def printed(check: Check, window: Window) -> str:
    """What is printed before the boxes and need not be typed: '12.', or '0.' before a dial in inches; '' where nothing is."""
    if window[3]:
        return window[3][0]
    return "0." if check.dial and window[0] == "in" else ""


def after_point(window: Window) -> int:
    """How many boxes stand after the point; gauges of volts, amperes and ohms show tenths."""
    return window[4] or (1 if window[0] in TENTHS else 0)
