"""The commands that keep a shop safe: `backup` writes it into one file, `restore` brings it back and checks all of it."""

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


def _end(slips: Iterable[Problem]) -> None:
    said = [p.said for p in slips]
    for line in said:
        click.echo(line, err=True)
    if said:
        raise SystemExit(1)
