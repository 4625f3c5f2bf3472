"""Why it wore: possible causes by what speaks for and against them, never one as certain without its check."""

from __future__ import annotations

from dataclasses import dataclass, replace

from wheeltapper.findings.facts import Findings
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Cause, Tables
from wheeltapper.words import positions


@dataclass(frozen=True)
class Likely:
    """A possible cause at a wheel. `certain` only where its separating check points to it and to no other."""

    id: str
    position: str
    rank: int
    supports: tuple[str, ...]
    against: tuple[str, ...]
    settled: bool
    certain: bool
    row: Cause


def explain(visit: Visit, findings: Findings, tables: Tables) -> tuple[Likely, ...]:
    """Possible causes at every wheel, the likeliest first."""
    out: list[Likely] = []
    for position in positions(visit.unit.axles):
        fitting = [likely for row in tables.causes if (likely := _fits(row, position, findings)) is not None]
        fitting.sort(key=lambda c: (not c.settled, len(c.against) - len(c.supports), -_share(c), c.id))
        settled = sum(c.settled for c in fitting)
        out += [replace(c, rank=i, certain=c.settled and settled == 1) for i, c in enumerate(fitting, 1)]
    return tuple(out)


def _fits(row: Cause, position: str, findings: Findings) -> Likely | None:
    yes = findings.yes_at(position)
    if not yes.issuperset(row.needs) or (row.any_of and yes.isdisjoint(row.any_of)):
        return None
    if not yes.isdisjoint(row.settled_out_by):
        return None
    supports = tuple(n for n in dict.fromkeys((*row.needs, *row.any_of, *row.supports)) if n in yes)
    against = tuple(n for n in row.against if n in yes)
    return Likely(row.id, position, 0, supports, against, not yes.isdisjoint(row.settled_by), False, row)


def _share(likely: Likely) -> float:
    named = {*likely.row.needs, *likely.row.any_of, *likely.row.supports}
    return len(likely.supports) / len(named)
