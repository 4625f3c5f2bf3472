"""Where a command writes the file it was asked for: done and said so, or one sentence why not."""

from __future__ import annotations

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
