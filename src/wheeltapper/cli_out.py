"""What several commands share: writing the file that was asked for, and waking the shop's server code for a folder."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from wheeltapper.reference.tables import Tables

TABLES_BROKEN = 2


def put(path: Path, data: bytes, said: str = "Written") -> None:
    """Write a file and say so, or say why not."""
    try:
        path.write_bytes(data)
    except OSError as slip:
        raise unwritable(path, slip) from None
    click.echo(f"{said} to {path}", err=True)


def unwritable(path: Path, slip: OSError) -> click.ClickException:
    """The sentence for a file or folder that cannot be written."""
    return click.ClickException(f"{path}: cannot be written: {(slip.strerror or 'unknown').lower()}")


def django_ready(folder: Path, tls: bool = False) -> None:
    """The settings read these when Django starts, here and in the server's own processes."""
    os.environ["WHEELTAPPER_FOLDER"] = str(folder.resolve())
    os.environ["WHEELTAPPER_TLS"] = "yes" if tls else "no"
    os.environ["DJANGO_SETTINGS_MODULE"] = "wheeltapper.web.settings"
    import django

    django.setup()


def shop_ready(folder: Path) -> None:
    """A shop's folder opened, its tables of this version; ends with a sentence where none is kept in it."""
    is_a_shop(folder)
    django_ready(folder)
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)


def is_a_shop(folder: Path) -> None:
    """Ends with a sentence where no shop is kept in the folder."""
    if not (folder / "shop.sqlite3").is_file():
        click.echo(
            f"{folder}: there is no shop in it. To do: name the shop's folder with --folder.", err=True
        )
        raise SystemExit(1)


@contextmanager
def sound_tables() -> Iterator[None]:
    """Ends the command with every fault of the tables that what is done inside meets."""
    from wheeltapper.problems import TablesError

    try:
        yield
    except TablesError as broken:
        for fault in broken.faults:
            click.echo(f"tables: {fault}", err=True)
        raise SystemExit(TABLES_BROKEN) from None


def tables_of(house: Path | None) -> Tables:
    """Our tables with a shop's laid over them; ends the command where they are not sound."""
    from wheeltapper.reference.house import load

    with sound_tables():
        return load(house)
