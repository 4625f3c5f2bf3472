"""From answered checks to facts: what was seen, felt and heard, and what nobody looked at.

A check is answered by 'fine' or by its own words. Nothing is filled in: only a named person's statement
that the rest of the corner was checked and is fine answers what was not mentioned, and it never covers an
entry that could not be read.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from wheeltapper.findings.facts import Fact, Gap
from wheeltapper.intake import UNREADABLE
from wheeltapper.problems import Problem, nearest
from wheeltapper.records import Corner, Look, Visit
from wheeltapper.reference.tables import Check, Tables
from wheeltapper.words import Evidence, positions

FINE = "fine"
EVIDENCE: dict[str, Evidence] = {"look": "seen", "feel": "felt", "hear": "heard"}


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
    problems: list[Problem] = []
    known = positions(visit.unit.axles)
    for corner in visit.corner:
        if corner.position not in known:
            problems.append(
                Problem(
                    f"corner '{corner.position}'",
                    "not a wheel of this trailer",
                    nearest(corner.position, known),
                )
            )
    out = {}
    for position in known:
        blocks = [c for c in visit.corner if c.position == position]
        if len(blocks) > 1:
            problems.append(
                Problem(
                    position,
                    "stands twice on the visit",
                    "put its entries into one corner; until then nobody vouches for the rest of it.",
                )
            )
        out[position] = _sweep(position, blocks, visit, tables, problems)
    return out, problems


def _sweep(
    position: str, blocks: list[Corner], visit: Visit, tables: Tables, problems: list[Problem]
) -> Sweep:
    here = {c.check for c in tables.checks.values() if visit.unit.brake in c.brakes and not c.of_trailer}
    entries: dict[str, list[tuple[str, Look]]] = {}
    doubted: set[str] = set()
    reasons: dict[str, set[str]] = {}
    blind = len(blocks) > 1  # True: something could not be read, so nobody can vouch for the rest
    for corner in blocks:
        for how, look in _answers(corner):
            blind |= not _file(position, how, look, tables, here, entries, doubted, problems)
        for mark in corner.not_checked:
            blind |= mark.check not in here
            reasons.setdefault(mark.check, set()).add(mark.why)
            if mark.check not in here and mark.check != UNREADABLE:
                problems.append(
                    Problem(
                        f"{position}, not checked",
                        f"'{mark.check}' is not a check of this corner",
                        nearest(mark.check, here),
                    )
                )
        blind |= any(reading.what not in here for reading in corner.reading)
    rest = next((c.rest_fine for c in blocks if c.rest_fine), None)
    if rest and blind:
        problems.append(
            Problem(
                f"{position}, rest_fine",
                "an entry of this corner could not be read, so the rest cannot be vouched for",
                "mend that entry first.",
            )
        )
    filed = {check: tuple(rows) for check, rows in entries.items()}
    not_checked = {check: "; ".join(sorted(why)) for check, why in reasons.items()}
    return Sweep(position, filed, not_checked, frozenset(doubted), None if blind else rest)


def _answers(corner: Corner) -> Iterable[tuple[str, Look]]:
    by = corner.by
    for how, looks in (("look", corner.look), ("feel", corner.feel), ("hear", corner.hear)):
        for look in looks:
            yield how, look if look.by or not by else look.model_copy(update={"by": by})


def _file(
    position: str, how: str, look: Look, tables: Tables, here: set[str], entries: dict[str, list[tuple[str, Look]]],
    doubted: set[str], problems: list[Problem],
) -> bool:  # fmt: skip
    """Put an answer under its check. False where the check itself is not known, so anything may be meant."""
    where = f"{position}, {how}"
    check = tables.checks.get(look.check)
    if check is None or look.check not in here or not check.found:
        problems.append(
            Problem(
                where,
                f"'{look.check}' is not a check of this corner",
                nearest(look.check, [c for c in here if tables.checks[c].found]),
            )
        )
        return False
    strange = [word for word in look.found if word != FINE and word not in check.found]
    if strange:
        problems.append(
            Problem(
                f"{where}, {check.check}",
                f"'{strange[0]}' is not an answer to it",
                nearest(strange[0], [*check.found, FINE]),
            )
        )
        doubted.add(check.check)
    if look.place and look.place not in check.places:
        problems.append(
            Problem(
                f"{where}, {check.check}",
                f"'{look.place}' is not a place of it",
                nearest(look.place, check.places),
            )
        )
        doubted.add(check.check)
    if how not in check.how and FINE in look.found:
        problems.append(
            Problem(
                f"{where}, {check.check}",
                f"a {how} does not answer it",
                f"answer it by {' or '.join(check.how)}.",
            )
        )
        doubted.add(check.check)
        return True
    entries.setdefault(check.check, []).append((how, look))
    return True


def facts_of(sweep: Sweep, check: Check, technician: str, problems: list[Problem]) -> Sequence[Fact]:
    """The facts that one check states at one corner."""
    rows = sweep.entries.get(check.check, ())
    if not rows:
        return _unmentioned(sweep, check)
    answered = _settled(rows, check)
    clash = _clash(rows, check)
    if clash:
        problems.append(
            Problem(
                f"{sweep.position}, {check.check}",
                f"{clash} answered it differently",
                "look at it together and write one answer.",
            )
        )
    unsure = clash or check.check in sweep.doubted or check.check in sweep.not_checked or not answered
    return [
        _fact(sweep.position, name, rows, check, technician, bool(unsure), bool(clash))
        for name in check.all_facts
        if name in check.found.values()
    ]


def _unmentioned(sweep: Sweep, check: Check) -> tuple[Fact, ...]:
    optional = check.optional and check.check not in sweep.doubted
    person = sweep.vouched(check.check)
    return _all_alike(
        sweep.position, check.check, tuple(dict.fromkeys(check.found.values())), person, optional
    )


@lru_cache(maxsize=4096)
def _all_alike(
    position: str, check: str, names: tuple[str, ...], person: str | None, optional: bool
) -> tuple[Fact, ...]:
    """Facts of a check that nobody answered: fine on a person's word, else unanswered. Kept, as most are like this."""
    if person:
        return tuple(Fact(position, name, False, "stated fine", (person,), (), check) for name in names)
    return tuple(Fact(position, name, None, None, (), (), check, optional) for name in names)


def _settled(rows: Iterable[tuple[str, Look]], check: Check) -> bool:
    """Was every place of the check answered?"""
    places = {look.place for _, look in rows}
    return None in places or not check.places or places >= set(check.places)


def _clash(rows: Iterable[tuple[str, Look]], check: Check) -> str:
    """Who contradicts whom: 'fine' and a finding at the same place; '' where nobody does."""
    fine = [(look.place, look.by) for _, look in rows if FINE in look.found]
    found = [(look.place, look.by) for _, look in rows if set(look.found) & set(check.found)]
    pairs = [(a, b) for place, a in fine for other, b in found if place == other or None in (place, other)]
    if not pairs:
        return ""
    names = sorted({name for name in pairs[0] if name})
    return " and ".join(names) if len(names) > 1 else "two entries"


def _fact(
    position: str,
    name: str,
    rows: tuple[tuple[str, Look], ...],
    check: Check,
    technician: str,
    unsure: bool,
    clash: bool,
) -> Fact:
    stating = [(how, look) for how, look in rows if any(check.found.get(word) == name for word in look.found)]
    if stating and not clash:
        words = sorted(
            {
                _words(look, word)
                for _, look in stating
                for word in look.found
                if check.found.get(word) == name
            }
        )
        people = sorted({look.by or technician for _, look in stating})
        photos = sorted({photo for _, look in stating for photo in look.photo})
        count = max((look.count for _, look in stating if look.count is not None), default=None)
        return Fact(
            position,
            name,
            True,
            EVIDENCE[sorted(how for how, _ in stating)[0]],
            tuple(people),
            tuple(words),
            check.check,
            count=count,
            photos=tuple(photos),
        )
    people = sorted({look.by or technician for _, look in rows})
    if unsure:
        return Fact(position, name, None, None, tuple(people), (), check.check)
    return Fact(
        position, name, False, EVIDENCE[sorted(how for how, _ in rows)[0]], tuple(people), (), check.check
    )


def _words(look: Look, word: str) -> str:
    extras = [
        text
        for text in (
            look.place,
            f"{look.count} of them" if look.count else None,
            look.size,
            f"at {look.clock} o'clock" if look.clock else None,
        )
        if text
    ]
    return f"{word} ({', '.join(extras)})" if extras else word


def gaps(
    sweep: Sweep,
    checks: Iterable[Check],
    facts: dict[tuple[str, str], Fact],
    present: bool,
    asked: frozenset[tuple[str, str]],
) -> list[Gap]:
    """Checks of a corner that nobody made; one line for a corner that is not on the visit at all.

    `asked` are the (position, check) whose readings could not be used and were asked about.
    """
    if not present:
        return [Gap(sweep.position, "the whole corner", "not on the visit")]
    out = []
    for check in checks:
        if check.optional or (check.only_if and not _is_yes(facts, sweep.position, check.only_if)):
            continue
        names = [n for n in check.all_facts if (sweep.position, n) in facts]
        mine = [facts[sweep.position, n] for n in names if check.check in facts[sweep.position, n].check]
        if mine and all(f.answer is None for f in mine):
            unusable = check.check in sweep.doubted or (sweep.position, check.check) in asked
            nobody = "what was written could not be used" if unusable else "nobody looked"
            out.append(Gap(sweep.position, check.check, sweep.not_checked.get(check.check, nobody)))
        elif check.check in sweep.not_checked:
            out.append(Gap(sweep.position, check.check, sweep.not_checked[check.check]))
    return out


def _is_yes(facts: dict[tuple[str, str], Fact], position: str, name: str) -> bool:
    fact = facts.get((position, name))
    return fact is not None and fact.answer is True
