"""The whole river: a visit in, an examination out. Same visit, same tables, same date, same foresight: the same examination."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date as Date

from wheeltapper.disposition.causes import Likely, explain
from wheeltapper.disposition.decide import Call, decide
from wheeltapper.disposition.release import Gate, release
from wheeltapper.findings.facts import Findings
from wheeltapper.findings.find import find
from wheeltapper.findings.reading import read
from wheeltapper.plan.estimate import Estimate, estimate
from wheeltapper.plan.foresight import Foresight
from wheeltapper.plan.quote import Quote, quote
from wheeltapper.plan.schedule import Next, schedule
from wheeltapper.plan.work import Planner
from wheeltapper.problems import Problem
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables


@dataclass(frozen=True)
class Examination:
    """All that follows from a visit, each stage as it was made."""

    visit: Visit
    findings: Findings
    calls: tuple[Call, ...]
    causes: tuple[Likely, ...]
    quote: Quote
    estimate: Estimate
    next: tuple[Next, ...]
    release: Gate
    problems: tuple[Problem, ...]
    tables: Tables
    foresight: Foresight | None = None


def examine(
    visit: Visit, tables: Tables, on: Date, slips: tuple[Problem, ...] = (), foresight: Foresight | None = None
) -> Examination:  # fmt: skip
    """Examine a visit.

    Args:
        visit: as entered.
        tables: ours, with the shop's laid over them.
        on: the day of the examination; a visit dated later is a Problem.
        slips: Problems already met while the visit file was read.
        foresight: what a shop's records foretell of its parts; it may only bring a check forward.

    Returns:
        The examination.
    """
    findings = find(visit, read(visit, tables), tables)
    calls, from_persons = decide(visit, findings, tables)
    causes = explain(visit, findings, tables)
    planner = Planner(visit, findings, tables)
    priced, unpriced = quote(planner, calls, causes)
    agreed = estimate(planner, calls, causes, priced)
    problems = tuple(sorted({*slips, *_dated(visit, on), *findings.problems, *from_persons, *unpriced}))
    due = schedule(visit, calls, findings, tables, foresight)
    gate = release(visit, calls, findings, problems, tables)
    return Examination(visit, findings, calls, causes, priced, agreed, due, gate, problems, tables, foresight)


def _dated(visit: Visit, on: Date) -> tuple[Problem, ...]:
    if visit.date <= on:
        return ()
    return (
        Problem("date", f"the visit is dated {visit.date}, in the future (today is {on})", "mend the date."),
    )
