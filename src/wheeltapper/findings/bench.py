"""What every measured finding needs at one corner: its readings, its limits, its records, and who vouches.

The limit that governs is the strongest grade at hand: on the part, then the maker's sheet, then a house
figure, then an assumed one. Others that were found stay beside it; they are never averaged.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wheeltapper.findings.facts import Fact, Gauged, Sized
from wheeltapper.findings.reading import Past1, Readings, behind, drum_window
from wheeltapper.findings.sweep import Sweep
from wheeltapper.intake import UNREADABLE
from wheeltapper.measure import plausible, wear
from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import MILE_M, UNITS, to_si
from wheeltapper.words import GRADES, LimitGrade

REPEATS = 3  # readings at the worst place that settle a reading at the limit (C6)
MONTH_MILES = 1000  # miles a month where an interval counts by the calendar alone: the private rhythm


@dataclass(frozen=True)
class Held:
    """The limit a size is held against, and where it comes from."""

    value: float
    grade: LimitGrade
    source: str
    id: str
    also: tuple[str, ...] = ()


@dataclass
class Bench:
    """One corner at the measuring bench."""

    visit: Visit
    tables: Tables
    readings: Readings
    sweep: Sweep
    problems: list[Problem]

    @property
    def position(self) -> str:
        """The corner's position."""
        return self.sweep.position

    def taken(self, check: str) -> tuple[Sized, ...]:
        """Usable readings of a check here."""
        return self.readings.of(self.position, check)

    def doubted(self, check: str) -> bool:
        """Was a reading of this check left out, or the check not made?"""
        return (self.position, check) in self.readings.doubted or check in self.sweep.not_checked

    def vouched(self, check: str) -> str | None:
        """Who says that this check is fine without a reading, where the shop lets that stand."""
        if not self.tables.house["rest_fine_covers_readings"] or self.doubted(check):
            return None
        return self.sweep.vouched(check)

    def facts(
        self,
        check: str,
        answers: Mapping[str, bool | None],
        gauged: Gauged | None = None,
        size: float | None = None,
        against: float | None = None,
        vouch: bool = True,
    ) -> list[Fact]:
        """Facts of a check from worked-out answers; None where the readings cannot tell.

        `vouch` False: a person's word for the rest does not stand for this.
        """
        doubted = self.doubted(check)
        person = self.vouched(check) if vouch else None
        people = tuple(sorted({s.by for s in self.taken(check)}))
        optional = self.tables.checks[check].optional and not doubted and vouch
        out = []
        for name, answer in answers.items():
            if answer is True or (answer is False and not doubted):
                known = Fact(
                    self.position,
                    name,
                    answer,
                    "measured",
                    people,
                    (),
                    check,
                    False,
                    None,
                    gauged,
                    size,
                    against,
                )
                out.append(known)
            elif person and answer is None:
                out.append(
                    Fact(self.position, name, False, "stated fine", (person,), (), check, gauged=gauged)
                )
            else:
                out.append(Fact(self.position, name, None, None, people, (), check, optional, gauged=gauged))
        return out

    def limit(
        self,
        what: str,
        window: tuple[float, float],
        least: bool,
        fallback: str | None = None,
        size: str | None = None,
    ) -> Held | None:
        """The limit that governs a reading here, or None where none is known.

        Of two limits of one grade the cautious one counts: the lower maximum, the higher minimum.
        """
        found, spoiled = [], False
        for row in self.visit.limit:
            if row.what not in (what, "?") or row.position not in (None, self.position):
                continue
            value = plausible.number(row.value)
            if value is None or row.unit not in UNITS or not plausible.fits(value, row.unit, window):
                self._bad_limit(row.what, row.value, row.unit)
                spoiled = True
                continue
            si = to_si(value, row.unit)
            found.append((GRADES.index(row.grade), row.position is None, -si if least else si, row))
        found.sort(key=lambda item: item[:3])
        also = tuple(f"{row.value} {row.unit} ({row.grade})" for _, _, _, row in found[1:])
        if spoiled:  # what could not be read may have been the stricter one
            return None
        if found:
            _, _, value, row = found[0]
            return Held(abs(value), row.grade, row.source or row.grade, f"{what} of this part", also)
        return self._fallback(fallback, size)

    def _bad_limit(self, what: str, value: str, unit: str) -> None:
        if value == UNREADABLE:
            return  # asked about when the file was read
        problem = Problem(
            f"limit, {what}",
            f"{value} {unit} cannot be the limit of this part",
            "read the number and its unit again.",
        )
        if problem not in self.problems:
            self.problems.append(problem)

    def _fallback(self, id: str | None, size: str | None) -> Held | None:
        if id is None or (size is not None and f"{id}.{size}" not in self.tables.limits):
            return None
        row = self.tables.limit(id, size)
        said = self.tables.sources[row.source]["say"]
        return Held(row.si, row.grade, said, row.id)

    def records(self, what: str, parts: tuple[str, ...]) -> list[Past1]:
        """Earlier readings of the part that is on now: only since it was fitted (C7)."""
        fitted = [f for f in self.visit.fitted if f.position == self.position and f.part in parts]
        starts = [d for f in fitted if (d := behind(f.miles, f.miles_ago, self.visit)) is not None]
        dates = [f.date for f in fitted if f.date and f.date <= self.visit.date]
        start, since = max(starts, default=None), max(dates, default=None)
        out = []
        for past in self.readings.past:
            if (past.position, past.what) != (self.position, what):
                continue
            early = start is not None and past.distance_m is not None and past.distance_m < start - MILE_M / 2
            early |= since is not None and past.date is not None and past.date < since
            if not early:
                out.append(past)
        return sorted(out, key=lambda p: (p.distance_m is not None, p.distance_m or 0.0))

    def wear_rate(self, records: list[Past1], worn_now: float, doubt: float, sign: float) -> wear.Rate | None:
        """Wear rate from records and now; sign +1 where the size grows, -1 where it shrinks."""
        placed = [
            (p.distance_m, sign * p.size) for p in records if p.distance_m is not None and p.distance_m < 0
        ]
        points = [*sorted(placed), (0.0, worn_now)]
        worst = max([doubt, *(p.doubt for p in records if p.doubt)])
        number = self.tables.number
        return wear.rate(
            [x for x, _ in points],
            [y for _, y in points],
            worst,
            number("rate_least_miles"),
            number("faster_share"),
        )

    def next_service_m(self) -> float:
        """Distance to the next scheduled hub service by the use profile."""
        row = next(i for i in self.tables.intervals if i.what == "hubs off" and self.use in i.use)
        miles = row.miles if row.miles is not None else (row.months or 0) * MONTH_MILES
        return miles * MILE_M

    @property
    def use(self) -> str:
        """The use profile; none stated counts as no history, the shortest interval."""
        return self.visit.unit.use or "no history"

    def ahead(self, left: float, rate: wear.Rate | None) -> tuple[float | None, int | None]:
        """Distance that remains, and the interim check in miles, or None where there is no rate."""
        if rate is None:
            return None, None
        remaining = wear.remaining_m(left, rate.share)
        step = round(self.tables.number("interim_step") / MILE_M)
        return remaining, wear.interim(remaining / MILE_M, self.tables.number("interim_share"), step)

    @property
    def window(self) -> tuple[float, float]:
        """Possible friction diameters [m]; everything where the drum size is not known."""
        return drum_window(self.visit, self.tables) or (0.0, 1.0)
