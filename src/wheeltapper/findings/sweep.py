"""One corner as answered: each entry filed under its check, and what could not be filed.

Nobody can vouch for the rest of a corner while one of its entries cannot be understood: it may be about
anything.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from wheeltapper.intake import UNREADABLE
from wheeltapper.problems import Problem, nearest
from wheeltapper.records import Corner, Look, NotChecked, Visit
from wheeltapper.reference.tables import Check, Tables
from wheeltapper.words import positions

FINE = "fine"


@dataclass(frozen=True)
class Sweep:
    """One corner as answered: entries by check, what could not be read, who vouches for the rest."""

    position: str
    entries: dict[str, tuple[tuple[str, Look], ...]]  # check -> (how, entry)
    not_checked: dict[str, str]
    doubted: frozenset[str]
    rest_fine: str | None

    def vouched(self, check: str) -> str | None:
        """Who says that this unmentioned check is fine, or None."""
        return None if check in self.not_checked or check in self.doubted else self.rest_fine


def checks_here(visit: Visit, tables: Tables) -> list[Check]:
    """The checks that belong to a corner of this trailer on this kind of visit, in sweep order."""
    unit = visit.unit
    return [
        c
        for c in tables.checks.values()
        if unit.brake in c.brakes and visit.scope in c.scopes and not c.of_trailer
    ]


def sweeps(visit: Visit, tables: Tables) -> tuple[dict[str, Sweep], list[Problem]]:
    """Every corner of the trailer as answered, and the problems on the way."""
    known = positions(visit.unit.axles)
    lost = [c.position for c in visit.corner if c.position not in known]
    problems = [Problem(f"corner '{p}'", "not a wheel of this trailer", nearest(p, known)) for p in lost]
    here = {c.check: c for c in tables.checks.values() if visit.unit.brake in c.brakes and not c.of_trailer}
    out = {}
    for position in known:
        filing = _Filing(position, here, problems)
        for corner in (c for c in visit.corner if c.position == position):
            filing.take(corner)
        out[position] = filing.sweep()
    return out, problems


@dataclass
class _Filing:
    """The entries of one corner while they are filed."""

    position: str
    here: dict[str, Check]
    problems: list[Problem]
    corners: list[Corner] = field(default_factory=list)
    entries: dict[str, list[tuple[str, Look]]] = field(default_factory=dict)
    reasons: dict[str, set[str]] = field(default_factory=dict)
    doubted: set[str] = field(default_factory=set)
    blind: bool = False  # something could not be read, so nobody can vouch for the rest

    def take(self, corner: Corner) -> None:
        """File every entry of a corner block."""
        self.corners.append(corner)
        for how, look in _answers(corner):
            self.answer(how, look)
        for mark in corner.not_checked:
            self.mark(mark)
        self.blind |= any(reading.what not in self.here for reading in corner.reading)

    def answer(self, how: str, look: Look) -> None:
        """Put an answer under its check, or say why it cannot be."""
        check = self.here.get(look.check)
        if check is None or not check.found:
            self.blind = True
            answerable = [c.check for c in self.here.values() if c.found]
            self.ask(how, f"'{look.check}' is not a check of this corner", nearest(look.check, answerable))
            return
        asked = self.unclear(how, look, check)
        for what, do in asked:
            self.ask(f"{how}, {check.check}", what, do)
            self.doubted.add(check.check)
        if how in check.how or FINE not in look.found:
            self.entries.setdefault(check.check, []).append((how, look))

    def unclear(self, how: str, look: Look, check: Check) -> Iterable[tuple[str, str]]:
        """What is wrong with an answer to a known check: its word, its place, or the way it was answered."""
        for word in (w for w in look.found if w != FINE and w not in check.found):
            yield f"'{word}' is not an answer to it", nearest(word, [*check.found, FINE])
        if look.place and look.place not in check.places:
            yield f"'{look.place}' is not a place of it", nearest(look.place, check.places)
        if how not in check.how and FINE in look.found:
            yield f"a {how} does not answer it", f"answer it by {' or '.join(check.how)}."

    def mark(self, mark: NotChecked) -> None:
        """A check that was not made."""
        self.reasons.setdefault(mark.check, set()).add(mark.why)
        if mark.check in self.here:
            return
        self.blind = True
        if mark.check != UNREADABLE:
            self.ask(
                "not checked", f"'{mark.check}' is not a check of this corner", nearest(mark.check, self.here)
            )

    def ask(self, where: str, what: str, do: str) -> None:
        """A Problem with this corner."""
        self.problems.append(Problem(f"{self.position}, {where}" if where else self.position, what, do))

    def sweep(self) -> Sweep:
        """The corner as filed."""
        if len(self.corners) > 1:
            self.blind = True
            self.ask(
                "",
                "stands twice on the visit",
                "put its entries into one corner; until then nobody vouches for the rest of it.",
            )
        rest = next((c.rest_fine for c in self.corners if c.rest_fine), None)
        if rest and self.blind:
            self.ask(
                "rest_fine",
                "an entry of this corner could not be read, so the rest cannot be vouched for",
                "mend that entry first.",
            )
        entries = {check: tuple(rows) for check, rows in self.entries.items()}
        reasons = {check: "; ".join(sorted(why)) for check, why in self.reasons.items()}
        return Sweep(self.position, entries, reasons, frozenset(self.doubted), None if self.blind else rest)


def _answers(corner: Corner) -> Iterable[tuple[str, Look]]:
    by = corner.by
    for how, looks in (("look", corner.look), ("feel", corner.feel), ("hear", corner.hear)):
        for look in looks:
            yield how, look if look.by or not by else look.model_copy(update={"by": by})
