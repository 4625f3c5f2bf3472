"""The command that is run once a day: what is due on every unit that is out, and e-mails that say so."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date as Date
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from wheeltapper.cli_out import shop_ready, sound_tables

if TYPE_CHECKING:
    from wheeltapper.problems import Problem
    from wheeltapper.store.models import KeptVisit
    from wheeltapper.store.reminding import Reminder

LATE, SOON, COME_IN = "late", "soon", "come in"


@dataclass(frozen=True)
class Unit:
    """One unit with what is due on it."""

    kept: KeptVisit
    here: bool  # in the yard again: nobody is reminded
    items: tuple[tuple[str, dict[str, Any]], ...]  # late, soon or come in, and the item


@click.command()
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default="shop",
    show_default=True,
    help="The shop's folder.",
)
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="The day it is asked; today if not given.")
@click.option(
    "--days",
    type=click.IntRange(0, 366),
    default=7,
    show_default=True,
    help="What falls due within so many days is told too.",
)
@click.option("--json", "as_json", is_flag=True, help="Print as JSON.")
@click.option("--send", is_flag=True, help="Remind owners whose link was e-mailed: once for each thing.")
def due(folder: Path, on: Date | None, days: int, as_json: bool, send: bool) -> None:
    """What is due on every unit that is out: overdue, soon, or to come in. For once a day, by the machine's own timer."""
    shop_ready(folder)
    day = Date.today() if on is None else Date(on.year, on.month, on.day)
    with sound_tables():
        units = _units(day, day + timedelta(days=days))
        told = [r for u in units if not u.here for r in _reminded(u, day)] if send else []
    slips = [r.fault for r in told if r.fault] + (_failed(units) if send else [])
    click.echo(_as_json(units, told, day) if as_json else _text(units, told, day))
    for slip in slips:
        click.echo(slip.said, err=True)
    raise SystemExit(1 if slips else 0)


def _units(day: Date, until: Date) -> list[Unit]:
    from wheeltapper.web import due as lists

    out = []
    for kept, here in lists.all_out():
        items = tuple((word, d) for d in kept.summary["due"] if (word := _word(d, day, until)))
        out += [Unit(kept, here, items)] if items else []
    return sorted(out, key=_order)


def _order(unit: Unit) -> tuple[bool, str, str]:
    """Who has to come in, then by date."""
    return (
        all(word != COME_IN for word, _ in unit.items),
        min(d["by"] or "9" for _, d in unit.items),
        unit.kept.unit,
    )


def _word(item: dict[str, Any], day: Date, until: Date) -> str:
    if item["come_in"]:
        return COME_IN
    if item["done"] or item["by"] is None or Date.fromisoformat(item["by"]) > until:
        return ""
    return LATE if Date.fromisoformat(item["by"]) < day else SOON


def _reminded(unit: Unit, day: Date) -> list[Reminder]:
    from wheeltapper.plan.due import from_plain
    from wheeltapper.report import due_words
    from wheeltapper.store.reminding import remind

    return remind(
        unit.kept, [(_name(word, d), due_words.line(from_plain(d), day)) for word, d in unit.items], "due"
    )


def _name(word: str, item: dict[str, Any]) -> str:
    """Unique in its visit; that it means come in is told even where the thing itself was told before."""
    parts = [item["what"], item["miles"], item["position"], item["part"], word if word == COME_IN else None]
    return " ".join(str(p) for p in parts if p is not None)


def _failed(units: list[Unit]) -> list[Problem]:
    from wheeltapper.problems import Problem
    from wheeltapper.store.reminding import failed

    return [
        Problem(
            f"visit {u.kept.number}, {mail.to}",
            f"a reminder could not be sent: {mail.said.partition('. To do:')[0]}",
            "call the owner.",
        )
        for u in units
        for mail in failed(u.kept)
    ]


def _text(units: list[Unit], told: list[Reminder], day: Date) -> str:
    from wheeltapper.plan.due import from_plain
    from wheeltapper.report import due_words, wording

    lines = [f"{len(units)} units with something due, {wording.day(day)}"]
    for unit in units:
        lines.append(f"{unit.kept.unit}, visit {unit.kept.number}{', here again' if unit.here else ''}")
        lines += [f"  {word}: {due_words.short(from_plain(d))}" for word, d in unit.items]
    lines += [f"e-mail to {r.to}, {r.unit}: {len(r.items)} reminded" for r in told if r.items]
    return "\n".join(lines)


def _as_json(units: list[Unit], told: list[Reminder], day: Date) -> str:
    rows = [
        {
            "unit": u.kept.unit,
            "visit": u.kept.number,
            "here": u.here,
            "due": [d | {"state": word} for word, d in u.items],
        }
        for u in units
    ]
    sent = [{"visit": r.visit, "unit": r.unit, "to": r.to, "items": list(r.items), "problem": r.fault.said if r.fault else None} for r in told]  # fmt: skip
    return json.dumps({"on": day.isoformat(), "units": rows, "reminded": sent}, indent=1, ensure_ascii=False)
