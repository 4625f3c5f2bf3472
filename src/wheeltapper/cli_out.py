"""What several commands share: writing the file that was asked for, and waking the shop's server code for a folder."""

from __future__ import annotations

import os
from pathlib import Path

import click


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


def is_a_shop(folder: Path) -> None:
    """Ends with a sentence where no shop is kept in the folder."""
    if not (folder / "shop.sqlite3").is_file():
        click.echo(
            f"{folder}: there is no shop in it. To do: name the shop's folder with --folder.", err=True
        )
        raise SystemExit(1)
