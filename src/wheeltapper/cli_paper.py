"""The command `paper`: the whole sweep of a trailer to print, for the day the phone is dead."""

from __future__ import annotations

import re
from datetime import date as Date
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from wheeltapper.cli_out import django_ready, put, tables_of

if TYPE_CHECKING:
    from wheeltapper.records import Unit, Visit

BRAKES = ("electric drum", "hydraulic drum", "hydraulic disc")
DRUMS = ("7 in", "10 in", "12 in", "12 1/4 in")


@click.command()
@click.argument("unit")
@click.option(
    "--folder", type=click.Path(path_type=Path, file_okay=False), default="shop", show_default=True, help="The shop's folder."
)  # fmt: skip
@click.option(
    "--visit", "file", type=click.Path(path_type=Path, dir_okay=False), help="A visit file of this unit, instead of the shop's last visit."
)  # fmt: skip
@click.option(
    "--brake",
    type=click.Choice(BRAKES),
    help="Of a unit never seen; for one that was, instead of what it had.",
)
@click.option("--axles", type=click.IntRange(1, 4), help="How many axles.")
@click.option("--drum", type=click.Choice(DRUMS), help="Nominal drum size.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The PDF to write; paper-UNIT.pdf if not given.",
)
@click.option(
    "--house",
    type=click.Path(path_type=Path),
    help="Folder with the shop's own rows; the shop's own if not given.",
)
@click.option(
    "--paper",
    "size",
    type=click.Choice(["letter", "a4"]),
    default="letter",
    show_default=True,
    help="Paper size.",
)
@click.option(
    "--show",
    "length",
    type=click.Choice(["in", "mm"]),
    default="in",
    show_default=True,
    help="What the gauges show.",
)
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="Day of the printing; today if not given.")
def paper(
    unit: str, folder: Path, file: Path | None, brake: str | None, axles: int | None, drum: str | None, out: Path | None,
    house: Path | None, size: str, length: str, on: Date | None,
) -> None:  # fmt: skip
    """Print the sweep of a trailer in the order of the screens, with boxes to write in; type it in later under 'From paper'."""
    from wheeltapper.records import Visit
    from wheeltapper.report.sweep_paper import sweep_pdf

    last = _from_file(file, unit) if file else _kept(unit, folder, known=not (brake and axles))
    own = house or (folder / "house" if (folder / "house").is_dir() else None)
    day = Date.today() if on is None else Date(on.year, on.month, on.day)
    about = _unit(last, unit, {"brake": brake, "axles": axles, "drum": drum})
    visit = Visit(date=day, technician="", unit=about)
    name = re.sub(r"[^\w.-]+", "-", about.id).strip("-.") or "unit"
    put(
        out or Path(f"paper-{name}.pdf"),
        sweep_pdf(visit, tables_of(own), last, size, length),
        "Paper written",
    )


def _unit(last: Visit | None, name: str, said: dict[str, object]) -> Unit:
    """The trailer as it was last time, with what was said of it now."""
    from pydantic import ValidationError

    from wheeltapper.records import Unit

    before = last.unit.model_dump() if last else {"id": name}
    try:
        return Unit.model_validate(before | {k: v for k, v in said.items() if v is not None})
    except ValidationError as slip:
        _end(name, slip.errors()[0]["msg"].lower(), "say its --brake, --axles and --drum.")


def _from_file(path: Path, unit: str) -> Visit:
    """The visit of a file. Ends the command where it cannot be read or is another trailer's."""
    from wheeltapper.intake import MOST_BYTES, visit_from_bytes

    try:
        with path.open("rb") as opened:
            visit, slips = visit_from_bytes(opened.read(MOST_BYTES + 1), path.name)
    except OSError as slip:
        _end(
            str(path),
            f"cannot be read: {(slip.strerror or 'unknown').lower()}",
            "check the name and try again.",
        )
    for p in slips:
        click.echo(p.said, err=True)
    if visit is None:
        raise SystemExit(1)
    if visit.unit.id != unit:
        _end(
            path.name, f"it is a visit of {visit.unit.id}, not of {unit}", f"write: paper '{visit.unit.id}'."
        )
    return visit


def _kept(unit: str, folder: Path, known: bool) -> Visit | None:
    """The shop's last visit of this unit; None where there is none and enough was said without it."""
    if not (folder / "shop.sqlite3").is_file():
        if known:
            _end(
                str(folder),
                "there is no shop in it",
                "name it with --folder, or say --brake, --axles and --drum.",
            )
        return None
    django_ready(folder)
    from wheeltapper.store import history

    names = history.names_of(unit)
    if len(names) > 1:
        _end(
            unit,
            f"{len(names)} units are written alike: {', '.join(names)}",
            "write one of them to the letter.",
        )
    last = history.last_named(names[0]) if names else None
    if last is None and known:
        near = ", ".join(k.name for k in history.units_like(unit)[:5])
        say = "say --brake, --axles and --drum."
        _end(
            unit,
            "no visit of it is kept here",
            f"write {near}, if you meant that; else {say}" if near else say,
        )
    return last.visit if last else None


def _end(where: str, what: str, do: str) -> NoReturn:
    from wheeltapper.problems import Problem

    click.echo(Problem(where, what, do).said, err=True)
    raise SystemExit(1)
