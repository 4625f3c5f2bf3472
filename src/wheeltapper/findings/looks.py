"""From answered checks to facts: what was seen, felt and heard, and what nobody looked at.

A check is answered by 'fine' or by its own words. Nothing is filled in: only a named person's statement
that the rest of the corner was checked and is fine answers what was not mentioned, and it never covers an
entry that could not be read.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from wheeltapper.findings.facts import Fact, Gap
from wheeltapper.findings.sweep import FINE, Sweep
from wheeltapper.problems import Problem
from wheeltapper.records import Look
from wheeltapper.reference.tables import Check
from wheeltapper.words import Evidence

EVIDENCE: dict[str, Evidence] = {"look": "seen", "feel": "felt", "hear": "heard"}


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
    people = tuple(sorted({look.by or technician for _, look in rows}))
    evidence = EVIDENCE[min(how for how, _ in rows)]
    names = tuple(dict.fromkeys(check.found.values()))
    answer, on = (None, None) if unsure else (False, evidence)
    rest = _all_alike(sweep.position, check.check, names, answer, on, people)
    stated = {} if clash else {f.name: f for f in _stated(sweep.position, rows, check, technician)}
    return [stated.get(fact.name) or fact for fact in rest]


def _stated(position: str, rows: Iterable[tuple[str, Look]], check: Check, technician: str) -> Iterable[Fact]:
    """The facts that the words found state, each with who said so."""
    for name in dict.fromkeys(check.found.values()):
        saying = [
            (how, look) for how, look in rows if any(check.found.get(word) == name for word in look.found)
        ]
        if not saying:
            continue
        looks = [look for _, look in saying]
        words = {_words(look, word) for look in looks for word in look.found if check.found.get(word) == name}
        yield Fact(
            position, name, True, EVIDENCE[min(how for how, _ in saying)], tuple(sorted({look.by or technician for look in looks})),
            tuple(sorted(words)), check.check, count=max((look.count for look in looks if look.count is not None), default=None),
            photos=tuple(sorted({photo for look in looks for photo in look.photo})),
        )  # fmt: skip


def _unmentioned(sweep: Sweep, check: Check) -> tuple[Fact, ...]:
    optional = check.optional and check.check not in sweep.doubted
    person = sweep.vouched(check.check)
    names = tuple(dict.fromkeys(check.found.values()))
    if person:
        return _all_alike(sweep.position, check.check, names, False, "stated fine", (person,))
    return _all_alike(sweep.position, check.check, names, None, None, (), optional)


@lru_cache(maxsize=8192)
def _all_alike(
    position: str,
    check: str,
    names: tuple[str, ...],
    answer: bool | None,
    evidence: Evidence | None,
    people: tuple[str, ...],
    optional: bool = False,
) -> tuple[Fact, ...]:
    """Facts of a check that say the same: fine on somebody's word, or unanswered. Kept, as most are like this."""
    return tuple(Fact(position, name, answer, evidence, people, (), check, optional) for name in names)


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
            nobody = (
                "what was written could not be used"
                if unusable
                else "not settled"
                if any(f.by for f in mine)
                else "nobody looked"
            )
            out.append(Gap(sweep.position, check.check, sweep.not_checked.get(check.check, nobody)))
        elif check.check in sweep.not_checked:
            out.append(Gap(sweep.position, check.check, sweep.not_checked[check.check]))
    return out


def _is_yes(facts: dict[tuple[str, str], Fact], position: str, name: str) -> bool:
    fact = facts.get((position, name))
    return fact is not None and fact.answer is True
