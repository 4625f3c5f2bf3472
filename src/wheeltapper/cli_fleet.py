"""The command that looks over many visits, a folder of them or a shop's: `ahead`."""

from __future__ import annotations

from datetime import date as Date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wheeltapper.cli_out import django_ready, tables_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wheeltapper.fleet.outlook import Outlook
    from wheeltapper.fleet.what_if import NowOrLater
    from wheeltapper.problems import Problem
    from wheeltapper.records import Visit
    from wheeltapper.reference.tables import Tables

KINDS = {".toml", ".json"}


@click.command()
@click.argument("folder", required=False, type=click.Path(path_type=Path, exists=True, file_okay=False))
@click.option(
    "--shop",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="A shop's folder instead: the visits that its server keeps, with its own rows.",
)
@click.option(
    "--house", type=click.Path(path_type=Path), help="Folder with the shop's own rows, laid over ours."
)
@click.option(
    "--what-if",
    "miles",
    type=click.FloatRange(0, 300_000),
    help="The next check only after so many miles: the chance of each limit before it.",
)
@click.option(
    "--axle",
    "axles",
    multiple=True,
    metavar="UNIT:AXLE",
    help="With --what-if: both ends of this axle now, or then. May stand several times.",
)
@click.option("--unit", "units", multiple=True, help="Show only this unit. May stand several times.")
@click.option("--json", "as_json", is_flag=True, help="Print as JSON.")
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="The day it is asked; today if not given.")
def ahead(
    folder: Path | None, shop: Path | None, house: Path | None, miles: float | None, axles: tuple[str, ...], units: tuple[str, ...], as_json: bool,
    on: Date | None,
) -> None:  # fmt: skip
    """What is ahead of every part, from a folder of visit files or a shop: wear, distance and date, and the next check."""
    from wheeltapper.fleet.outlook import look_ahead
    from wheeltapper.report import outlook as faces

    if axles and miles is None:
        raise click.UsageError("--axle needs --what-if MILES: how long it would wait")
    if (folder is None) == (shop is None):
        raise click.UsageError("name a folder of visit files, or a shop's folder with --shop")
    own = shop / "house" if shop else None
    tables = tables_of(house or (own if own and own.is_dir() else None))
    day = Date.today() if on is None else Date(on.year, on.month, on.day)
    visits, slips = _visits(folder) if folder else _kept(shop or Path(), tables)
    found = _only(look_ahead(visits, tables, day, miles), units)
    choices = [
        choice for text in axles for choice in _choices(text, visits, found, tables, day, miles or 0.0)
    ]
    said = [*slips, *found.problems]
    if as_json:
        click.echo(faces.as_json(found, choices), nl=False)
    else:
        click.echo(faces.text(found, miles, choices, str(tables.house["currency"])), nl=False)
    for slip in said:
        click.echo(slip.said, err=True)
    raise SystemExit(1 if said else 0)


def _visits(folder: Path) -> tuple[list[Visit], list[Problem]]:
    """Every visit file of a folder and the folders in it; a file that is no visit is a Problem."""
    from wheeltapper.intake import visit_from_bytes
    from wheeltapper.problems import Problem

    visits, slips = [], []
    for path in sorted(p for p in folder.rglob("*") if p.suffix in KINDS and p.is_file()):
        try:
            data = path.read_bytes()
        except OSError as slip:
            why = (slip.strerror or "unknown").lower()
            slips.append(Problem(str(path), f"cannot be read: {why}", "check the file and try again."))
            continue
        visit, found = visit_from_bytes(data, path.name)
        slips += found
        visits += [visit] if visit is not None else []
    if not visits:
        slips.append(Problem(str(folder), "no visit file in it", "give a folder of visits, .toml or .json."))
    return visits, slips


def _kept(shop: Path, tables: Tables) -> tuple[list[Visit], list[Problem]]:
    """Every visit that a shop's server keeps."""
    from wheeltapper.problems import Problem

    if not (shop / "shop.sqlite3").is_file():
        return [], [Problem(str(shop), "there is no shop in it", "name the shop's folder with --shop.")]
    django_ready(shop)
    from wheeltapper.store.ledger import every_unit

    found = list(every_unit(tables))
    return found, [] if found else [Problem(str(shop), "no visit in it yet", "enter one at the gate.")]


def _only(found: Outlook, units: Iterable[str]) -> Outlook:
    from dataclasses import replace

    wanted = set(units)
    known = {a.unit for a in found.ahead}
    for name in sorted(wanted - known):
        from wheeltapper.problems import nearest

        raise click.UsageError(f"nothing measured on a unit '{name}'; {nearest(name, known)}")
    return replace(found, ahead=tuple(a for a in found.ahead if a.unit in wanted)) if wanted else found


def _choices(
    text: str, visits: Iterable[Visit], found: Outlook, tables: Tables, day: Date, miles: float
) -> list[NowOrLater]:
    """An axle of a unit now or later, for each kind of size that wears there."""
    from wheeltapper.fleet.what_if import now_or_later
    from wheeltapper.flow import examine

    unit, _, axle = text.rpartition(":")
    mine = [a for a in found.ahead if a.unit == unit and a.position.startswith(f"{axle}-")]
    if not mine:
        raise click.UsageError(f"nothing measured on an axle '{text}'; write UNIT:AXLE, 'T-12:1'")
    last = max((v for v in visits if v.unit.id == unit and v.date <= day), key=lambda v: v.date)
    examined = examine(last, tables, day)
    return [now_or_later(examined, mine, axle, what, miles) for what in sorted({a.what for a in mine})]
