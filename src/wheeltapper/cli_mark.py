"""The commands of the photo of a mark: `card` prints what lies beside it."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("out", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--layout", type=click.Path(path_type=Path, dir_okay=False), help="Table of the shop's own card, as TOML."
)
@click.option(
    "--paper",
    type=click.Choice(["letter", "a4"]),
    default="letter",
    show_default=True,
    help="Size of the paper.",
)
def card(out: Path, layout: Path | None, paper: str) -> None:
    """Write the cards that lie beside a mark in a photo, as a PDF to print at 100 %."""
    from wheeltapper.problems import NoAnswerError, TablesError
    from wheeltapper.reference.cards import theirs
    from wheeltapper.report.card import card_pdf

    try:
        out.write_bytes(card_pdf([theirs(layout)] if layout else [], paper))
    except TablesError as broken:
        click.echo(str(broken), err=True)
        raise SystemExit(2) from None
    except NoAnswerError as slip:
        click.echo(f"card: {slip.what}. To do: {slip.do}", err=True)
        raise SystemExit(1) from None
    except OSError as slip:
        raise click.ClickException(
            f"{out}: cannot be written: {(slip.strerror or 'unknown').lower()}"
        ) from None
    click.echo(f"Cards written to {out}: print at 100 %, then measure the bar", err=True)
