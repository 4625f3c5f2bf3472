"""What findings are made of: facts answered yes, no or nobody looked, and sizes held against limits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from wheeltapper.measure.margin import Verdict
from wheeltapper.problems import Problem
from wheeltapper.words import Evidence, LimitGrade

Key = tuple[str, str]  # position, fact name


@dataclass(frozen=True)
class Sized:
    """A usable reading: SI value and doubt, and the text it came from."""

    position: str
    what: str
    at: str
    text: str
    unit: str
    gauge: str
    by: str
    size: float
    doubt: float
    angle_rad: float = 0.0  # of a dial reading, clockwise from stud 1
    radius_m: float | None = None  # of a face dial


@dataclass(frozen=True)
class Gauged:
    """A governing size held against its limit: what a ruler on the sheet shows."""

    position: str
    what: str
    part: str
    size: float
    doubt: float
    unit: str
    limit: float
    least: bool  # True where the limit is a minimum
    grade: LimitGrade
    limit_from: str
    limit_id: str
    verdict: Verdict
    conform_share: float
    nominal: float | None = None
    used_share: float | None = None
    rate_share: float | None = None
    faster: bool = False
    records: int = 0
    remaining_m: float | None = None
    interim_mi: int | None = None
    also: tuple[str, ...] = ()  # other limits that were found and not used
    readings: tuple[Sized, ...] = ()


@dataclass(frozen=True)
class Worked:
    """A computation made from what was entered: a record of its results, for the sheet to put into words."""

    position: str
    kind: str  # 'band', 'hub face', 'cup', ... : report/worked.py has one sentence for each
    part: str
    result: Any
    at: str = ""
    readings: tuple[Sized, ...] = ()


@dataclass(frozen=True)
class Fact:
    """A named statement about a position. `answer` None: nobody looked, or nobody could tell."""

    position: str
    name: str
    answer: bool | None
    evidence: Evidence | None = None
    by: tuple[str, ...] = ()
    words: tuple[str, ...] = ()  # what was written, with its place
    check: str = ""
    optional: bool = False
    count: int | None = None
    gauged: Gauged | None = None
    size: float | None = None  # what was measured [SI of its check] ...
    against: float | None = None  # ... and the limit it was held against
    photos: tuple[str, ...] = ()

    @property
    def says_no(self) -> bool:
        """Answered no; an optional check that nobody made counts as not made, which is no gap."""
        return self.answer is False or (self.answer is None and self.optional)


@dataclass(frozen=True)
class Gap:
    """A check that nobody made, and the reason where one was given."""

    position: str
    check: str
    why: str


@dataclass(frozen=True)
class Findings:
    """Everything found: facts by position and name, sizes, gaps and problems."""

    facts: Mapping[Key, Fact] = field(default_factory=dict)
    gauged: tuple[Gauged, ...] = ()
    gaps: tuple[Gap, ...] = ()
    problems: tuple[Problem, ...] = ()
    worked: tuple[Worked, ...] = ()

    def fact(self, position: str, name: str) -> Fact:
        """The fact, unanswered where no check stated it."""
        return self.facts.get((position, name)) or Fact(position, name, None)

    @cached_property
    def _yes(self) -> Mapping[str, frozenset[str]]:
        return _names_by_position(f for f in self.facts.values() if f.answer is True)

    @cached_property
    def _no(self) -> Mapping[str, frozenset[str]]:
        return _names_by_position(f for f in self.facts.values() if f.says_no)

    def yes_at(self, position: str) -> frozenset[str]:
        """Names of the facts answered yes at a position."""
        return self._yes.get(position, frozenset())

    def no_at(self, position: str) -> frozenset[str]:
        """Names of the facts that put a rule out at a position."""
        return self._no.get(position, frozenset())

    def yes(self, position: str, name: str) -> bool:
        """True where the fact was answered yes."""
        return self.fact(position, name).answer is True


def _names_by_position(facts: Iterable[Fact]) -> dict[str, frozenset[str]]:
    out: dict[str, set[str]] = {}
    for fact in facts:
        out.setdefault(fact.position, set()).add(fact.name)
    return {position: frozenset(names) for position, names in out.items()}


def said_yes(facts: Mapping[Key, Fact], position: str, name: str) -> bool:
    """Was the fact answered yes? A fact that nobody stated was not."""
    fact = facts.get((position, name))
    return fact is not None and fact.answer is True


def merged(facts: Iterable[Fact], onto: Mapping[Key, Fact] | None = None) -> dict[Key, Fact]:
    """Facts of one name and position put together: any yes is yes, no needs every no."""
    out: dict[Key, Fact] = dict(onto or {})
    for fact in facts:
        key = (fact.position, fact.name)
        old = out.get(key)
        out[key] = fact if old is None else _both(old, fact)
    return out


def _both(a: Fact, b: Fact) -> Fact:
    if a.answer is b.answer:
        by, words = sorted({*a.by, *b.by}), sorted({*a.words, *b.words})
        check = (
            a.check if a.check == b.check else ", ".join(sorted({*a.check.split(", "), *b.check.split(", ")}))
        )
        return replace(
            a, by=tuple(by), words=tuple(words), check=check, optional=a.optional and b.optional, gauged=a.gauged or b.gauged,
            count=_most(a.count, b.count), photos=tuple(sorted({*a.photos, *b.photos})),
        )  # fmt: skip
    if a.answer is True or b.answer is True:
        return a if a.answer is True else b
    unanswered, answered = (a, b) if a.answer is None else (b, a)
    return answered if unanswered.optional else unanswered


def _most(a: int | None, b: int | None) -> int | None:
    return max((n for n in (a, b) if n is not None), default=None)
