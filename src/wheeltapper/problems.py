"""What went wrong, as data for the person who can mend it.

A slip in a visit is a Problem: it is collected, shown with the others and never raised. A fault in the
tables is ours or the shop engineer's: `TablesError` carries every fault found, all at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True, order=True)
class Problem:
    """Where it is, what is wrong with it, and what to do about it."""

    where: str
    what: str
    do: str

    @property
    def said(self) -> str:
        """All of it in one sentence."""
        return f"{self.where}: {self.what}. To do: {self.do}"


class NoAnswerError(ValueError):
    """A computation cannot be made from the numbers given: what is wrong with them, and what to do."""

    def __init__(self, what: str, do: str) -> None:
        self.what, self.do = what, do
        super().__init__(f"{what}: {do}")


class TablesError(Exception):
    """The reference tables, or a shop's own rows, cannot be used. `faults` has one sentence each."""

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


def nearest(word: str, known: Iterable[str]) -> str:
    """A sentence naming the nearest known word, or all of them where none is near."""
    words = sorted(set(known))
    folded = {w.casefold(): w for w in words}
    close = get_close_matches(word.casefold(), folded, n=1, cutoff=0.5)
    if close:
        return f"did you mean '{folded[close[0]]}'?"
    return "write one of: " + ", ".join(words) + "." if words else "take it out."
