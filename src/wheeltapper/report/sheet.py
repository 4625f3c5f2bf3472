"""One Sheet for every face: terminal, PDF, JSON and page show the same text, so they cannot disagree.

Order: what cannot go back, bench work, the owner's choices, what is fine, what could not be settled.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from wheeltapper.disposition.decide import Call
from wheeltapper.findings.facts import Fact, Gauged
from wheeltapper.flow import Examination
from wheeltapper.plan.foresight import Foreseen
from wheeltapper.problems import Problem
from wheeltapper.report import brief, estimate, kept, wording
from wheeltapper.report.beside import Beside, beside
from wheeltapper.report.brief import SECTIONS
from wheeltapper.report.estimate import Group, Sum
from wheeltapper.report.figure import Figure, figure
from wheeltapper.report.kept import Kept
from wheeltapper.report.wording import Reader
from wheeltapper.report.worked import notes
from wheeltapper.units import MILE_M
from wheeltapper.words import CallWord, positions

CAUTIONS = (
    "Support the trailer on stands on firm ground, wheels chocked, before anything comes off.",
    "Brake dust may hold asbestos: wet it or vacuum it, never blow it out.",
    "A number cast on the part or printed in its maker's sheet governs over every limit shown here.",
    "Local codes and the maker's procedures govern; work on brakes and wheel ends belongs to a qualified person.",
    "Tighten wheel nuts by wrench to the wheel or axle label's value; re-torque at 10, 25 and 50 miles.",
)


@dataclass(frozen=True)
class Ruler:
    """Where a part stands between new and its limit; shares run from 0 (new) to 1 (limit)."""

    title: str
    now_share: float
    doubt_share: float
    next_share: float | None
    next: str
    new: str
    now: str
    limit: str
    limit_from: str
    standing: str
    remaining: str


@dataclass(frozen=True)
class Item:
    """One part of one wheel, with its call and the reason."""

    position: str
    part: str
    call: CallWord
    facts: tuple[str, ...]
    reasons: tuple[str, ...]
    owner: tuple[str, ...]
    rules: tuple[str, ...]
    ruler: Ruler | None
    also: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    persons: tuple[str, ...] = ()
    beside: tuple[Beside, ...] = ()


@dataclass(frozen=True)
class Section:
    """All items of one call."""

    call: CallWord
    title: str
    lead: str
    items: tuple[Item, ...]


@dataclass(frozen=True)
class CauseNote:
    """A possible cause for one or more wheels."""

    say: str
    positions: tuple[str, ...]
    supports: tuple[str, ...]
    against: tuple[str, ...]
    separate_by: str
    prevent: str
    work: str


@dataclass(frozen=True)
class Reckoned:
    """A computation that matters, in words, with its figure where a picture says more."""

    position: str
    title: str
    lines: tuple[str, ...]
    figure: Figure | None


@dataclass(frozen=True)
class Corner:
    """The calls of one wheel end, for the drawing."""

    position: str
    calls: tuple[tuple[str, CallWord], ...]


@dataclass(frozen=True)
class Sheet:
    """Everything that is shown of an examination."""

    shop: str
    unit: str
    date: str
    technician: str
    about: tuple[str, ...]
    brake: str
    release: str
    held_by: tuple[str, ...]
    one_breath: str
    sections: tuple[Section, ...]
    corners: tuple[Corner, ...]
    causes: tuple[CauseNote, ...]
    worked: tuple[Reckoned, ...]
    groups: tuple[Group, ...]
    sums: tuple[Sum, ...]
    terms: tuple[str, ...]  # deposit, last day, and who set them otherwise
    answers: tuple[str, ...]
    not_needed: tuple[str, ...]
    next: tuple[tuple[str, str, str], ...]  # what, when, basis
    gaps: tuple[str, ...]
    problems: tuple[Problem, ...]
    said: tuple[str, ...]
    cautions: tuple[str, ...]
    rule_ids: tuple[tuple[str, str], ...]  # id and why
    fingerprint: str
    foresight: str  # what the distances rest on
    kept: Kept | None = None  # of a visit that the shop's server keeps: store/paper.py


def sheet(
    ex: Examination, reader: Reader = wording.INCH, pictures: Mapping[str, str] = MappingProxyType({})
) -> Sheet:
    """The Sheet of an examination, numbers in the reader's unit; `pictures` are SVG texts by the name that the visit has."""
    visit, tables = ex.visit, ex.tables
    blind = brief.blind_wheels(ex)
    hidden = brief.within_assembly(ex)
    shown = [c for c in ex.calls if c.place not in hidden and c.position not in blind]
    items = _together(_item(c, ex, reader) for c in shown if c.call != "keep")
    items.sort(key=lambda item: set(item.rules) <= brief.GO_ALONG)  # what was found, then what goes with it
    items += [_item(c, ex, reader) for c in shown if c.call == "keep"]
    items += [_blind(position) for position in blind]
    sections = tuple(
        Section(call, title, lead, tuple(i for i in items if i.call == call))
        for call, title, lead in SECTIONS
    )
    money = estimate.told(ex)
    used = dict.fromkeys(r for c in ex.calls for r in (*c.rules, *c.milder))
    return Sheet(
        shop=visit.shop or tables.house["name"], unit=visit.unit.id, date=wording.day(visit.date), technician=visit.technician,
        about=_about(ex), brake=visit.unit.brake, release=ex.release.state, held_by=ex.release.because, one_breath=brief.one_breath(ex),
        sections=sections, corners=tuple(_corner(p, ex) for p in positions(visit.unit.axles)),
        causes=_causes(ex), worked=_worked(ex, reader, pictures), groups=money.groups, sums=money.sums, terms=estimate.terms(ex), answers=kept.answers(visit),
        not_needed=tuple(f"{part} {position}" for position, part in ex.quote.not_needed),
        next=brief.falls_due(ex),
        gaps=brief.gaps(ex), problems=ex.problems,
        said=tuple(filter(None, (visit.complaint, *visit.owner_said))), cautions=CAUTIONS,
        rule_ids=tuple((r, wording.rule_why(r, tables)) for r in used if not r.startswith("called by")), fingerprint=tables.fingerprint,
        foresight=wording.foresight(ex.foresight),
    )  # fmt: skip


def pairs(made: Sheet) -> Iterator[Beside]:
    """Every pair of pictures on a sheet, in its order."""
    return (pair for section in made.sections for item in section.items for pair in item.beside)


def _blind(position: str) -> Item:
    """One line for a wheel end where nothing at all was settled."""
    return Item(position, "whole wheel end", "recheck", (), (), (), (), None, (), ("every check",))


def _about(ex: Examination) -> tuple[str, ...]:
    unit, miles = ex.visit.unit, ex.visit.mileage
    known = [
        f"{unit.axles} axle{'s' if unit.axles > 1 else ''}, {unit.brake}", unit.drum, unit.bolt_pattern, unit.studs and f"{unit.studs} studs",
        unit.use and f"use: {unit.use}", unit.lube and f"lube: {unit.lube}",
        f"{wording.miles(miles.now)} on its count ({miles.quality})" if miles.now is not None else None,
        f"{wording.miles(miles.since_last)} since last ({miles.quality})" if miles.since_last is not None else None,
    ]  # fmt: skip
    return tuple(text for text in known if text)


def _together(items: Iterable[Item]) -> list[Item]:
    """Items that say the same of several wheels, as one."""
    rows: dict[Item, list[str]] = {}
    for item in items:
        rows.setdefault(replace(item, position=""), []).append(item.position)
    return [replace(item, position=", ".join(wheels)) for item, wheels in rows.items()]


def _shown_size(call: Call, ex: Examination) -> Gauged | None:
    """The size that a part is judged by; a brake assembly is judged by its lining."""
    part = "lining" if call.part == "brake-assembly" and call.call != "keep" else call.part
    of_part = (g for g in ex.findings.gauged if (g.position, g.part) == (call.position, part))
    gauged = next(of_part, None)
    judged = {f.gauged for f in call.facts} if call.part == "brake-assembly" else {gauged}
    return (
        gauged
        if gauged is not None and any(g is not None and g.what == gauged.what for g in judged)
        else None
    )


def _item(call: Call, ex: Examination, reader: Reader) -> Item:
    tables = ex.tables
    gauged = _shown_size(call, ex)
    told = wording.facts(call.facts, tables, reader)[:2]
    kept = _kept(call, ex) if call.call == "keep" and not told else None
    if kept is not None:
        told = (wording.fact(kept, tables, reader),)
    also = (
        tuple(dict.fromkeys(wording.rule_why(r, tables) for r in call.milder))
        if call.call != "replace"
        else ()
    )
    return Item(
        call.position, call.part, call.call, told, tuple(dict.fromkeys(wording.rule_why(r, tables) for r in call.rules)),
        tuple(dict.fromkeys(wording.rule_owner(r, tables) for r in call.rules)), call.because,
        _ruler(gauged, ex, reader) if gauged else None, also, wording.missing_checks(call.missing, tables), call.persons,
        beside(call.facts) if call.call != "keep" else (),
    )  # fmt: skip


def _kept(call: Call, ex: Examination) -> Fact | None:
    """For a part that is kept on somebody's word, without a number on record: whose word it is."""
    checks = (c for c in ex.tables.checks.values() if c.part == call.part and c.dimension)
    owed = [c.check for c in checks if not c.optional and not c.only_if]
    measured = {g.part for g in ex.findings.gauged if g.position == call.position}
    for (position, _), fact in ex.findings.facts.items():
        if position == call.position and fact.check in owed and fact.evidence == "stated fine":
            return None if call.part in measured else replace(fact, words=("no number on record",))
    return None


def _ruler(g: Gauged, ex: Examination, reader: Reader) -> Ruler:
    nominal = g.nominal if g.nominal is not None else _assumed_new(g)
    span = g.limit - nominal or g.doubt  # a nominal at its own limit has no span to draw
    next_size = _next_size(g, ex)
    also = "" if not g.also else f"; also found, not used: {', '.join(g.also)}"
    return Ruler(
        title=f"{g.position} {g.what}", now_share=(g.size - nominal) / span, doubt_share=abs(g.doubt / span),
        next_share=None if next_size is None else (next_size - nominal) / span,
        next="" if next_size is None else wording.rounded(next_size, reader),
        new="not known" if g.nominal is None else wording.length(nominal, reader),
        now=f"{wording.length(g.size, reader)} ± {wording.length(g.doubt, reader).split()[0]}",
        limit=wording.length(g.limit, reader), limit_from=wording.limit_from(g) + also,
        standing=wording.standing(g), remaining=wording.remaining(g, foreseen(g, ex)),
    )  # fmt: skip


def foreseen(g: Gauged, ex: Examination) -> Foreseen | None:
    """What the shop's records foretell of this size."""
    return ex.foresight.of(g.position, g.what) if ex.foresight else None


def _assumed_new(g: Gauged) -> float:
    """Where a ruler starts when nobody knows the new size: well before the reading, for the drawing only."""
    return g.limit + max(1.25 * (g.size - g.limit), g.limit) if g.least else g.limit * 0.99


def _next_size(g: Gauged, ex: Examination) -> float | None:
    """The size to expect at the next visit: the interim check, or the next opening of the hubs if that is sooner."""
    if g.rate_share is None or g.interim_mi is None:
        return None
    hubs = [n.miles for n in ex.next if n.what == "hubs off" and n.miles is not None]
    driven_m = min([g.interim_mi, *hubs]) * MILE_M
    return g.size + (-1 if g.least else 1) * g.rate_share * driven_m


def _corner(position: str, ex: Examination) -> Corner:
    return Corner(position, tuple((c.part, c.call) for c in ex.calls if c.position == position))


def _causes(ex: Examination) -> tuple[CauseNote, ...]:
    notes: dict[str, CauseNote] = {}
    for c in ex.causes:
        if c.rank > 3:
            continue
        say = wording.cause(c, ex.tables)
        supports = tuple(wording.fact_name(n, ex.tables) for n in c.supports)
        against = tuple(wording.fact_name(n, ex.tables) for n in c.against)
        old = notes.get(say)
        where = (*old.positions, c.position) if old else (c.position,)
        both = tuple(dict.fromkeys((*(old.supports if old else ()), *supports)))
        notes[say] = CauseNote(say, where, both, against, c.row.separate_by, c.row.prevent, c.row.work)
    return tuple(notes.values())


def _worked(ex: Examination, reader: Reader, pictures: Mapping[str, str]) -> tuple[Reckoned, ...]:
    return tuple(
        Reckoned(n.position, n.title, n.lines, figure(n.worked, ex, reader, pictures))
        for n in notes(ex, reader)
    )
