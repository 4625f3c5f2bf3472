"""Which entries of a visit count: see fold.py for the rule. Knows no database."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from graphlib import CycleError, TopologicalSorter

from wheeltapper.store.entries import Entry

Names = dict[str, set[str]]  # an entry's id, and the ids that it takes out of the count


def standing(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Those that count: each once, by their own clock."""
    once = _once(entries)
    names = {
        i: {n for n in e.instead_of if n in once and n != i} for i, e in sorted(once.items()) if e.instead_of
    }
    order = _without_rings(names)
    undone: set[str] = set()
    for i in order:  # whoever names an entry comes before it
        if once[i].kind == "withdraw" and i not in undone:
            undone |= names.get(i, set())
    gone = undone.union(*(names[i] for i in names if i not in undone))
    return tuple(sorted((e for e in once.values() if e.id not in gone), key=lambda e: (e.when, e.id)))


def _once(entries: Iterable[Entry]) -> dict[str, Entry]:
    """Each id once; should one ever come with two meanings, the choice must not depend on the order."""
    once: dict[str, Entry] = {}
    for entry in entries:
        there = once.get(entry.id)
        if there is None or repr(entry) < repr(there):
            once[entry.id] = entry
    return once


def _without_rings(names: Names) -> list[str]:
    """The entries in an order in which whoever names another comes first; those of a ring name each other no more."""
    while True:
        try:
            return list(TopologicalSorter(_named_by(names)).static_order())
        except CycleError as slip:
            ring = set(slip.args[1])
            for i in ring & set(names):
                names[i] -= ring


def _named_by(names: Mapping[str, set[str]]) -> dict[str, list[str]]:
    """Turned round: an entry's id, and the ids of those that name it."""
    by: dict[str, list[str]] = {}
    for i, others in names.items():
        by.setdefault(i, [])
        for other in sorted(others):
            by.setdefault(other, []).append(i)
    return by
