"""What stands beside a finding: the same view of a good part, and the person's own photo or else our rendered picture.

A finding without either has nothing beside it. It judges nothing: what a picture shows is for a person to see.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from wheeltapper.atlas import Picture, good_view_of, pictures
from wheeltapper.findings.facts import Fact

MOST = 3  # pairs of one part: more tell an owner less


@dataclass(frozen=True)
class Beside:
    """A pair for one check of one part; `rendered` and `photo` are '' where there is none."""

    said: str  # 'cups: moves by hand'
    good: str  # a file of the atlas
    rendered: str  # a file of the atlas
    photo: str  # the name that the visit has for it


def beside(facts: Iterable[Fact]) -> tuple[Beside, ...]:
    """The pairs for the facts that decided a call, one for each check, in their order."""
    by_check: dict[str, list[Fact]] = {}
    for fact in facts:
        for check in filter(None, fact.check.split(", ")):
            by_check.setdefault(check, []).append(fact)
    pairs = (_pair(check, about) for check, about in by_check.items())
    return tuple(p for p in pairs if p is not None)[:MOST]


def _pair(check: str, facts: list[Fact]) -> Beside | None:
    words = list(dict.fromkeys(w.partition(" (")[0] for f in facts for w in f.words))
    own = [p for f in facts for p in f.photos]
    bad = next((p for w in words for p in _rendered(check) if p.condition == w), None)
    good = bad.good if bad else _good(check)
    if not words or not (good or own):
        return None
    return Beside(f"{check}: {', '.join(words)}", good, bad.file if bad else "", own[0] if own else "")


@cache
def _rendered(check: str) -> tuple[Picture, ...]:
    return tuple(p for p in pictures() if p.check == check and p.shows == "part")


@cache
def _good(check: str) -> str:
    good = good_view_of(check)
    return good.file if good else ""
