"""The record of a visit as one plain page: opens in any browser, without a network, without scripts, without the shop's server."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from html import escape
from typing import Any

from wheeltapper.report.estimate import Group
from wheeltapper.report.kept import KeptPhoto
from wheeltapper.report.sheet import Item, Sheet

STYLE = """
body { margin: 0 auto; max-width: 62rem; padding: 1rem; background: #FBF7EE; color: #1B2A41; font: 18px/1.45 serif; overflow-wrap: anywhere; }
h1, h2 { font-weight: normal; border-bottom: 1.5px solid #1B2A41; }
table { border-collapse: collapse; width: 100%; } td, th { text-align: left; vertical-align: top; border-bottom: 1px solid #4A566A; padding: 4px 10px 4px 0; }
td.money { text-align: right; white-space: nowrap; } small { font-size: 16px; color: #4A566A; }
figure { display: inline-block; width: 18rem; margin: 0 1rem 1rem 0; vertical-align: top; } img { max-width: 100%; border: 1px solid #1B2A41; }
.gone td { color: #4A566A; text-decoration: line-through; } .gone td.note { text-decoration: none; }
@media (max-width: 40rem) { td, th { display: block; border: 0; padding: 2px 0; } tr { display: block; border-bottom: 1px solid #4A566A; padding: 6px 0; } thead { display: none; } }
"""


@dataclass(frozen=True)
class Told:
    """One entry in words."""

    seq: int
    when: str
    by: str
    kind: str
    lines: tuple[str, ...]
    note: str  # why it counts no more, '' where it counts
    hash: str


@dataclass(frozen=True)
class Picture:
    """A photo or sound of the pack."""

    of: KeptPhoto
    shown: str  # a file of the pack, '' where there is no picture
    original: str  # a file of the pack, '' where it was left out


def page(made: Sheet, entries: Iterable[Told], pictures: Iterable[Picture]) -> str:
    """The whole page as HTML text, the same for the same record."""
    assert made.kept is not None
    title = f"{made.unit}, visit {made.kept.number}, {made.date}"
    parts = [
        *_head(made),
        *_calls(made),
        *_money(made),
        *_answers(made),
        *_pictures(pictures),
        *_entries(entries),
    ]
    parts.append(
        f"<h2>The record</h2><p><code>{escape(made.kept.said)}</code></p><p>Tables {made.fingerprint}. {escape(made.foresight)} <code>how-to-verify.txt</code> says how to check all of this.</p>"
    )
    body = "\n".join(parts)
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(title)}</title><style>{STYLE}</style></head><body><main>\n{body}\n</main></body></html>\n"
    )


def lines_of(body: dict[str, Any]) -> tuple[str, ...]:
    """What an entry says, a line for each part of it."""
    return tuple(
        f"{_name(key)}: {_said(value)}" for key, value in body.items() if value not in (None, [], {}, "")
    )


def _name(key: str) -> str:
    return key.replace("_", " ")


def _said(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{_name(k)} {_said(v)}" for k, v in value.items() if v not in (None, [], {}, ""))
    if isinstance(value, list):
        return "; ".join(_said(v) for v in value)
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def _head(made: Sheet) -> Iterator[str]:
    assert made.kept is not None
    yield f"<h1>{escape(made.unit)} <small>visit {escape(made.kept.number)}, {made.date}, {escape(made.shop)}, technician {escape(made.technician)}</small></h1>"
    yield f"<p>{escape(' · '.join(made.about))}</p><p><strong>{made.release.upper()}.</strong> {escape(made.one_breath)}</p>"
    if made.held_by:
        yield f"<p>{'Held by' if made.release == 'held' else 'Still open'}: {escape('; '.join(made.held_by))}.</p>"
    for said in made.said:
        yield f"<p>The owner said: “{escape(said)}”</p>"
    yield '<p>The drawn sheet is <a href="sheet.pdf">sheet.pdf</a>.</p>'


def _calls(made: Sheet) -> Iterator[str]:
    for section in (s for s in made.sections if s.items):
        yield f"<h2>{escape(section.title)}</h2><p>{escape(section.lead)}</p><table><tbody>"
        yield from _fine(section.items) if section.call == "keep" else map(_item, section.items)
        yield "</tbody></table>"
    if made.gaps:
        yield "<h2>Could not be checked</h2>" + _list(made.gaps)
    if made.problems:
        yield "<h2>Problems with what was entered</h2>" + _list(p.said for p in made.problems)


def _fine(items: tuple[Item, ...]) -> Iterator[str]:
    """What is fine, by wheel: the names, then what is known of those that were measured or vouched for."""
    for position in dict.fromkeys(item.position for item in items):
        mine = [item for item in items if item.position == position]
        names = escape(", ".join(item.part for item in mine))
        known = "".join(f"<br>{escape(i.part)}: {escape('. '.join(_lines(i)))}" for i in mine if _lines(i))
        yield f"<tr><th>{escape(position)}</th><td>{names}{known}</td></tr>"


def _item(item: Item) -> str:
    name = f"{escape(item.position)} {escape(item.part)}: <strong>{item.call}</strong> <small>{escape(', '.join(item.rules))}</small>"
    return f"<tr><th>{name}</th><td>{'<br>'.join(map(escape, _lines(item)))}</td></tr>"


def _lines(item: Item) -> tuple[str, ...]:
    """All that is said of a part."""
    ruler = (
        ()
        if item.ruler is None
        else (
            f"{item.ruler.now}, limit {item.ruler.limit} ({item.ruler.limit_from}); {item.ruler.standing}; {item.ruler.remaining}",
        )
    )
    missing = (f"To settle it: {', '.join(item.missing)}",) if item.missing else ()
    return (
        *item.facts,
        *item.reasons,
        *item.also,
        *ruler,
        *missing,
        *(f"Called by {p}" for p in item.persons),
    )


def _money(made: Sheet) -> Iterator[str]:
    if made.groups:
        yield "<h2>Estimate</h2>"
    yield from (_group(group) for group in made.groups)
    for owed in made.sums:
        rows = "".join(
            f'<tr><td>{escape(say)}</td><td class="money">{money}</td></tr>' for say, money in owed.rows
        )
        yield f'<h3>{escape(owed.title)}</h3><table><tbody>{rows}<tr><th>all of it</th><td class="money">{owed.total}</td></tr></tbody></table><p><small>{escape(owed.note)}</small></p>'
    yield _list(made.terms)
    if made.not_needed:
        yield f"<p>Not needed: {escape(', '.join(made.not_needed))}.</p>"


def _group(group: Group) -> str:
    rows = "".join(
        f"<tr><td>{escape(r.say)}<br><small>{escape('. '.join(filter(None, (r.code, r.rules, r.asked, *r.changes))))}</small></td>"
        f'<td>{r.qty}</td><td class="money">{r.money}</td></tr>'
        for r in group.rows
    )
    notes = "".join(f"<p><small>{escape(note)}</small></p>" for note in (group.asked, group.note) if note)
    total = f'<tr><th>together</th><td></td><td class="money">{group.total}</td></tr>'
    return f"<h3>{escape(group.title)}</h3><table><tbody>{rows}{total}</tbody></table>{notes}"


def _answers(made: Sheet) -> Iterator[str]:
    if made.answers:
        yield "<h2>Answered</h2>" + _list(made.answers)


def _pictures(pictures: Iterable[Picture]) -> Iterator[str]:
    shown = list(pictures)
    if shown:
        yield "<h2>Photos and sounds</h2>"
    for p in shown:
        picture = f'<img src="{p.shown}" alt="{escape(p.of.said)}" loading="lazy">' if p.shown else ""
        link = f'<br><a href="{p.original}">as it came</a>' if p.original else ""
        yield f"<figure>{picture}<figcaption>{escape(p.of.said)}{link}<br><small><code>{p.of.sha256}</code></small></figcaption></figure>"


def _entries(entries: Iterable[Told]) -> Iterator[str]:
    yield "<h2>Every entry</h2><p>In the order in which the shop's server got them. What counts no more is struck through and stays.</p>"
    yield "<table><thead><tr><th>Place</th><th>When, who</th><th>What</th></tr></thead><tbody>"
    for e in entries:
        gone = ' class="gone"' if e.note else ""
        said = "<br>".join(map(escape, e.lines))
        note = (
            f'<td class="note">{e.seq}<br><small>{escape(e.note)}</small></td>'
            if e.note
            else f"<td>{e.seq}</td>"
        )
        yield f"<tr{gone}>{note}<td>{escape(e.when)}<br>{escape(e.by)}, {e.kind}</td><td>{said}<br><small><code>{e.hash}</code></small></td></tr>"
    yield "</tbody></table>"


def _list(rows: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escape(row)}</li>" for row in rows) + "</ul>"
