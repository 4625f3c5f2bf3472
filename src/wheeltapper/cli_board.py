"""The fleet board on the terminal: `board`."""

from __future__ import annotations

import json
from datetime import date as Date
from pathlib import Path

import click

from wheeltapper.cli_out import put, shop_ready, sound_tables, unwritable


@click.command()
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default="shop",
    show_default=True,
    help="The shop's folder.",
)
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="The day it is asked; today if not given.")
@click.option("--json", "as_json", is_flag=True, help="Print as JSON.")
@click.option(
    "--csv",
    "folder_out",
    type=click.Path(path_type=Path, file_okay=False),
    help="Write units.csv and due.csv here.",
)
def board(folder: Path, on: Date | None, as_json: bool, folder_out: Path | None) -> None:
    """Every unit of the shop, the worst first: its worst wheel, what is due next, what it has cost; and what keeps coming back."""
    shop_ready(folder)
    from wheeltapper.web import board as screens

    day = Date.today() if on is None else Date(on.year, on.month, on.day)
    with sound_tables():
        told, texts = screens.told(day), screens.lists(day) if folder_out else ()
    if folder_out:
        for name, text in texts:
            put(_made(folder_out) / name, text.encode("utf-8-sig"))
    click.echo(json.dumps(told, indent=1, ensure_ascii=False) if as_json else screens.as_text(told))


def _made(folder: Path) -> Path:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as slip:
        raise unwritable(folder, slip) from None
    return folder
