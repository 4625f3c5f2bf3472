"""The commands `books out` and `books in`: the shop's prices, hours, taxes and fees as CSV, checked before they count."""

from __future__ import annotations

from pathlib import Path

import click

from wheeltapper.cli_out import put, sound_tables

HOUSE = click.option(
    "--house", type=click.Path(path_type=Path, file_okay=False), default="shop/house", show_default=True,
    help="The shop's house folder.",
)  # fmt: skip


@click.group(name="books")
def books() -> None:
    """The shop's prices, hours, taxes and fees: out as CSV, and in again."""


@books.command(name="out")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@HOUSE
def out(folder: Path, house: Path) -> None:
    """Write all books as they count now, one CSV each."""
    from wheeltapper.reference.books import BOOKS, book_out

    folder.mkdir(parents=True, exist_ok=True)
    for name in BOOKS:
        with sound_tables():
            text = book_out(name, house)
        put(folder / f"{name}.csv", text.encode())


@books.command(name="in")
@click.argument(
    "files", type=click.Path(path_type=Path, dir_okay=False, exists=True), nargs=-1, required=True
)
@HOUSE
@click.option("--try", "only_try", is_flag=True, help="Say what they would change, and change nothing.")
def in_(files: tuple[Path, ...], house: Path, only_try: bool) -> None:
    """Lay books over ours: each file takes the place of the shop's own one of its name."""
    from wheeltapper.reference.books import BOOKS, book_in

    bad = False
    for file in files:
        name = next((b for b in BOOKS if b == file.stem), None)
        if name is None or file.suffix != ".csv":
            known = ", ".join(f"{b}.csv" for b in BOOKS)
            raise click.UsageError(f"{file.name} is no book; a book is called one of {known}")
        laid = book_in(name, file.read_bytes(), house, only_try)
        for fault in laid.faults:
            click.echo(f"tables: {fault}", err=True)
        bad = bad or bool(laid.faults)
        for line in laid.changes:
            click.echo(f"{name}: {line}")
        if not laid.faults:
            said = "would change" if only_try else "changed"
            click.echo(f"{file.name}: {len(laid.changes)} cells {said}.", err=True)
    raise SystemExit(1 if bad else 0)
