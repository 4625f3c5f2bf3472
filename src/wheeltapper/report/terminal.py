"""The sheet as plain text, for a terminal or a pipe."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import shorten, wrap

from wheeltapper.report.estimate import Group, Sum
from wheeltapper.report.sheet import Item, Ruler, Sheet

WIDTH = 96
MARKS = {"keep": "[   ]", "dress": "[///]", "replace": "[-X-]", "owner decides": "[## ]", "recheck": "[.?.]"}
SCALE = 40  # characters of a ruler from new to limit


def text(sheet: Sheet) -> str:
    """The whole sheet as text, lines of at most 96 characters where words allow."""
    return "\n".join(_lines(sheet)) + "\n"


def _lines(s: Sheet) -> Iterator[str]:
    yield f"{s.unit}  ·  {s.date}  ·  {s.technician}  ·  {s.shop}"
    yield from _block(" · ".join(s.about), "")
    yield ""
    yield from _block(f"{s.release.upper()}. {s.one_breath}", "")
    if s.held_by:
        yield from _block("Because: " + "; ".join(s.held_by) + ".", "")
    for said in s.said:
        yield from _block(f"The owner said: “{said}”", "")
    for answer in s.answers:
        yield from _block(f"Answered: {answer}", "")
    for section in s.sections:
        if not section.items:
            continue
        yield from _head(section.title, section.lead)
        if section.call == "keep":
            yield from _fine(section.items)
        else:
            for item in section.items:
                yield from _item(item)
    yield from _gaps(s)
    yield from _causes(s)
    yield from _worked(s)
    yield from _money(s)
    yield from _head("Next", "Whichever comes first.")
    for what, when, basis in s.next:
        yield from _block(f"{what}: {when}  [{basis}]", "  ")
    yield from _head("Cautions", "")
    for caution in s.cautions:
        yield from _block(f"- {caution}", "  ")
    yield ""
    yield from _block("Rules: " + ", ".join(id for id, _ in s.rule_ids), "")
    yield f"Tables: {s.fingerprint}"
    yield from _block(s.foresight, "")


def _head(title: str, lead: str) -> Iterator[str]:
    yield ""
    yield f"── {title} " + "─" * max(3, WIDTH - len(title) - 4)
    if lead:
        yield from _block(lead, "  ")


def _block(words: str, indent: str) -> Iterator[str]:
    yield from wrap(words, WIDTH, initial_indent=indent, subsequent_indent=indent) or [""]


def _item(item: Item) -> Iterator[str]:
    rules = f"  [{', '.join(item.rules)}]" if item.rules else ""
    yield ""
    yield f"  {MARKS[item.call]} {item.position} {item.part}: {item.call}{rules}"
    for line in (*item.facts, *item.reasons):
        yield from _block(line, "        ")
    for line in item.also:
        yield from _block(f"also: {line}", "        ")
    if item.missing:
        yield from _block("to settle: " + ", ".join(item.missing), "        ")
    for line in item.persons:
        yield from _block(f"called by {line}", "        ")
    if item.ruler:
        yield from _ruler(item.ruler)


def _ruler(r: Ruler) -> Iterator[str]:
    at = round(min(max(r.now_share, 0.0), 1.15) * SCALE)
    scale = ["·"] * (SCALE + 7)
    scale[0], scale[SCALE] = "|", "|"
    if r.next_share is not None:
        scale[min(round(max(r.next_share, 0.0) * SCALE), SCALE + 6)] = "▹"
    scale[at] = "▲"
    yield f"        {''.join(scale)}  {r.now}"
    ahead = f"  ·  next visit {r.next}" if r.next else ""
    yield from _block(f"new {r.new}{ahead}  ·  limit {r.limit} ({r.limit_from})", "        ")
    yield from _block(f"{r.standing}; {r.remaining}", "        ")


def _fine(items: tuple[Item, ...]) -> Iterator[str]:
    by_wheel: dict[str, list[Item]] = {}
    for item in items:
        by_wheel.setdefault(item.position, []).append(item)
    for position, mine in by_wheel.items():
        yield from _block(f"{position}: " + ", ".join(i.part for i in mine), "  ")
        for item in mine:
            if item.ruler:
                r = item.ruler
                yield from _block(
                    f"{item.part} {r.now}, limit {r.limit} ({r.limit_from}); {r.standing}; {r.remaining}",
                    "      ",
                )
            for line in (*(item.facts if not item.ruler else ()), *item.reasons):
                yield from _block(f"{item.part}: {line}", "      ")


def _gaps(s: Sheet) -> Iterator[str]:
    if s.gaps:
        yield from _head("Could not be checked", "A gap is never fine: it holds the trailer.")
        for gap in s.gaps:
            yield from _block(f"- {gap}", "  ")
    if s.problems:
        yield from _head("Problems with what was entered", "")
        for p in s.problems:
            yield from _block(f"- {p.said}", "  ")


def _causes(s: Sheet) -> Iterator[str]:
    if not s.causes:
        return
    yield from _head("Why", "A cause is not certain until its separating check is made.")
    for c in s.causes:
        yield from _block(f"{', '.join(c.positions)}: {c.say}", "  ")
        yield from _block("for: " + "; ".join(c.supports), "      ")
        if c.against:
            yield from _block("against: " + "; ".join(c.against), "      ")
        yield from _block(f"check: {c.separate_by}", "      ")
        if c.work:
            yield from _block(f"on the job: {c.work}", "      ")
        yield from _block(f"prevents it: {c.prevent}", "      ")


def _worked(s: Sheet) -> Iterator[str]:
    if not s.worked:
        return
    yield from _head("Worked out", "From the readings above; the part maker's figure governs.")
    for r in s.worked:
        yield from _block(f"{r.position} {r.title}", "  ")
        for line in r.lines:
            yield from _block(line, "      ")


def _money(s: Sheet) -> Iterator[str]:
    if not s.groups:
        return
    yield from _head("Quote", "")
    for group in s.groups:
        yield from _group(group)
    for owed in s.sums:
        yield from _sum(owed)
    for said in s.terms:
        yield from _block(said, "  ")
    if s.not_needed:
        yield from _block("Not needed: " + ", ".join(s.not_needed), "  ")


def _group(g: Group) -> Iterator[str]:
    yield f"  {g.title}"
    for row in g.rows:
        yield f"    {row.code:<9} {shorten(row.say, 52, placeholder='…'):<52} {row.qty:>9} {row.money:>12}  {row.rules}".rstrip()
        for line in (row.asked, *row.changes):
            yield from _block(line, "              ") if line else ()
    yield f"    {'':<9} {'':<52} {'':>9} {g.total:>12}"
    if g.asked:
        yield from _block(g.asked, "    ")
    if g.note:
        yield from _block(g.note, "    ")


def _sum(owed: Sum) -> Iterator[str]:
    yield f"  {owed.title}"
    for say, money in (*owed.rows, ("all of it", owed.total)):
        yield f"    {'':<9} {shorten(say, 52, placeholder='…'):<52} {'':>9} {money:>12}"
    if owed.note:
        yield from _block(owed.note, "    ")
