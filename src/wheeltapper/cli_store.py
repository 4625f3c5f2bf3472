"""The commands that keep a shop safe: `backup` writes it into one file, `restore` brings it back; `export` writes one visit as proof."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from wheeltapper.cli_out import django_ready

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wheeltapper.problems import Problem

FOLDER = click.option(
    "--folder", type=click.Path(path_type=Path, file_okay=False), default="shop", show_default=True, help="The shop's folder."
)  # fmt: skip
FILE = click.argument("file", type=click.Path(path_type=Path, dir_okay=False))


@click.command()
@FILE
@FOLDER
def backup(file: Path, folder: Path) -> None:
    """Write the shop into one file: database, photos, sounds, its own tables. The server may go on running."""
    from wheeltapper.problems import Problem
    from wheeltapper.store.backup import back_up

    told = back_up(folder, file)
    if isinstance(told, Problem):
        _end([told])
    else:
        click.echo(f"{told.visits} visits, {told.files} files, {told.bytes / 1e6:.1f} MB written to {file}.")


@click.command()
@FILE
@FOLDER
def restore(file: Path, folder: Path) -> None:
    """Bring a shop back from its backup into an empty folder, and check every chain, photo and sound."""
    from wheeltapper.problems import Problem
    from wheeltapper.store.backup import restore as unpack

    told = unpack(file, folder)
    if isinstance(told, Problem):
        _end([told])
        return
    django_ready(folder)
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)
    from wheeltapper.store.find import broken_chains, broken_originals

    _end([*broken_chains(), *broken_originals()])
    click.echo(
        f"{told.visits} visits, {told.files} files restored to {folder}: every chain holds, every file is whole."
    )
    click.echo(
        "People sign in again. Phones that use https fetch the certificate again (wheeltapper phones)."
    )


@click.command()
@click.argument("visit")
@FOLDER
@click.option(
    "--out", type=click.Path(path_type=Path, dir_okay=False), help="The zip to write; VISIT.zip if not given."
)
@click.option(
    "--without-originals",
    is_flag=True,
    help="Leave out photos and sounds as they came: a phone may have written into them where it was.",
)
def export(visit: str, folder: Path, out: Path | None, without_originals: bool) -> None:
    """Write a visit's proof pack: sheet, entries with their chain, photos and sounds, and how to verify it all without us."""
    from wheeltapper.problems import Problem

    file = out or Path(f"{visit}.zip")
    if not (folder / "shop.sqlite3").is_file():
        _end([Problem(str(folder), "there is no shop in it", "name the shop's folder with --folder.")])
    django_ready(folder)
    from wheeltapper.reference.house import load
    from wheeltapper.store.models import KeptVisit
    from wheeltapper.store.pack import pack

    kept = KeptVisit.objects.filter(number=visit).first()
    if kept is None:
        _end([Problem(visit, "there is no such visit", "write its number as the Yard shows it, 26-0001.")])
        return
    house = folder / "house"
    told = pack(kept, file, load(house if house.is_dir() else None), not without_originals)
    if isinstance(told, Problem):
        _end([told])
        return
    click.echo(
        f"{told.entries} entries, {told.originals} photos and sounds, {told.bytes / 1e6:.1f} MB written to {file}."
    )
    if told.originals:
        click.echo(
            "Photos in it are as they came, and may say where they were taken; --without-originals leaves them out."
        )
    click.echo(f"To check it: unpack it, then python3 verify.py (or python3 verify.py {file.name}).")


def _end(slips: Iterable[Problem]) -> None:
    said = [p.said for p in slips]
    for line in said:
        click.echo(line, err=True)
    if said:
        raise SystemExit(1)
