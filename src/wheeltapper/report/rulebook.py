"""The rule book in Markdown: what docs/rules.md holds, made from the tables alone."""

from __future__ import annotations

from collections.abc import Iterator

from wheeltapper.reference.tables import Check, LimitRow, Pairing, Rule, Tables

STRENGTH = {
    "fixed": "nobody may choose otherwise",
    "house": "a shop may move its limit within bounds",
    "judgement": "a person decides",
}


def rules_text(t: Tables) -> str:
    """Rules, pairings, limits, causes, intervals and sources, as Markdown."""
    return (
        "\n".join(
            [*_intro(t), *_rules(t), *_pairings(t), *_limits(t), *_causes(t), *_intervals(t), *_sources(t)]
        )
        + "\n"
    )


def checks_text(t: Tables) -> str:
    """The checks of the sweep with the answers they know, as Markdown."""
    lines = ["# The checks of the sweep", "", "In sweep order. Every check may be answered `fine`.", ""]
    return "\n".join([*lines, *(line for c in t.checks.values() for line in _check(c))]) + "\n"


def _check(c: Check) -> Iterator[str]:
    kinds = "" if len(c.brakes) == 3 else f"; {', '.join(c.brakes)}"
    owed = "optional" if c.optional else f"only where '{c.only_if}' was found" if c.only_if else "owed"
    yield f"- **{c.check}** ({' or '.join(c.how)}; {c.part}{kinds}; {owed}). {c.ask} Good: {c.good}"
    if c.found:
        yield (
            "  - answers: fine, " + ", ".join(c.found) + (f"; at {' or '.join(c.places)}" if c.places else "")
        )
    if c.dimension:
        yield f"  - a {c.dimension}, at: {', '.join(c.at)}" + (
            " (a reading of the trailer, not of a corner)" if c.of_trailer else ""
        )


def _intro(t: Tables) -> Iterator[str]:
    yield from (
        "# The rule book",
        "",
        "Made from the tables by `wheeltapper rules`; do not edit. The severest call that fires wins:",
        "replace > recheck > owner decides > dress > keep. A condition that nobody answered leaves its rule",
        "open, and an open rule that could be severer makes the call *recheck*. A number cast on the part, or in",
        "its maker's sheet, beats every limit here. This is a shop's own policy, not a statement of law.",
        "",
        f"Fingerprint of the tables: `{t.fingerprint}`",
        "",
    )


def _rules(t: Tables) -> Iterator[str]:
    for strength, says in STRENGTH.items():
        yield from (
            f"## Rules: {strength} ({says})",
            "",
            "| id | part | when all hold | call | why | source |",
            "|---|---|---|---|---|---|",
        )
        for r in t.rules:
            if r.strength == strength:
                yield _rule(r)
        yield ""
    yield from (
        "## Rules that hold for the whole visit",
        "",
        "| id | rule | enforced in | source |",
        "|---|---|---|---|",
    )
    yield from (f"| {s.id} | {s.say} | `{s.where}` | {s.source} |" for s in t.standing)
    yield ""


def _rule(r: Rule) -> str:
    parts = "any" if len(r.part) > 6 else ", ".join(r.part)
    call = f"{r.call}: {r.action}" if r.action else r.call
    return f"| {r.id} | {parts} | {', '.join(f'`{f}`' for f in r.when)} | {call} | {r.why} | {r.source}{f', {r.at}' if r.at else ''} |"


def _pairings(t: Tables) -> Iterator[str]:
    yield from ("## What goes with what", "", "| id | when | then | why | source |", "|---|---|---|---|---|")
    yield from (_pairing(p) for p in t.pairings)
    yield ""


def _pairing(p: Pairing) -> str:
    need = f" and `{p.need}`" if p.need else ""
    return f"| {p.id} | {p.when_part}: {p.when_call} | {p.then_part}, {p.at}: {p.then_call}{need} | {p.why} | {p.source} |"


def _limits(t: Tables) -> Iterator[str]:
    yield from (
        "## Limits",
        "",
        "| id | what | value | grade | a shop may | source | since |",
        "|---|---|---|---|---|---|---|",
    )
    for x in t.limits.values():
        yield f"| {x.id} | {x.say} | {x.value} {x.unit} | {x.grade} | {_may(x)} | {x.source}{f': {x.at}' if x.at else ''} | {x.since} |"
    yield ""


def _may(x: LimitRow) -> str:
    if x.change == "house":
        return f"move it from {x.allowed[0]} to {x.allowed[1]}"
    return f"only go {x.safer}" if x.change == "safer only" else "not change it"


def _causes(t: Tables) -> Iterator[str]:
    yield from (
        "## Causes",
        "",
        "| id | cause | needs | any of | speaks for it | against it | check that separates it | prevents it |",
        "|---|---|---|---|---|---|---|---|",
    )
    for c in t.causes:
        cells = (", ".join(f"`{f}`" for f in names) for names in (c.needs, c.any_of, c.supports, c.against))
        yield f"| {c.id} | {c.say} | {' | '.join(cells)} | {c.separate_by} | {c.prevent} |"
    yield ""


def _intervals(t: Tables) -> Iterator[str]:
    yield from (
        "## When to look again",
        "",
        "| id | what | miles | months | use | source |",
        "|---|---|---|---|---|---|",
    )
    for i in t.intervals:
        yield f"| {i.id} | {i.what} | {i.miles or ''} | {i.months or ''} | {', '.join(i.use)} | {i.source} |"
    yield ""


def _sources(t: Tables) -> Iterator[str]:
    yield from ("## Sources", "", "| key | what | status | note |", "|---|---|---|---|")
    for key, row in t.sources.items():
        yield f"| {key} | {row['say']} | {row['status']} | {row.get('note', '')} |"
