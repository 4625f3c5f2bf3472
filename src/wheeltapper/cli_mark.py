"""The commands of the photo of a mark: `card` prints what lies beside it."""

from __future__ import annotations

from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wheeltapper.cli_out import put

if TYPE_CHECKING:
    from wheeltapper.marking import Looked
    from wheeltapper.measure.marks.places import Growth
    from wheeltapper.problems import Problem
    from wheeltapper.reference.cards import CardRow


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
        data = card_pdf([theirs(layout)] if layout else [], paper)
    except TablesError as broken:
        click.echo(str(broken), err=True)
        raise SystemExit(2) from None
    except NoAnswerError as slip:
        click.echo(f"card: {slip.what}. To do: {slip.do}", err=True)
        raise SystemExit(1) from None
    put(out, data)
    click.echo("Print it at 100 %, then measure the bar", err=True)


class Place(click.ParamType[tuple[float, float]]):
    """'x,y' in pixels of the upright photo."""

    name = "x,y"

    def convert(
        self, value: str, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[float, float]:
        """Two finite numbers, or a sentence."""
        try:
            x, y = (float(v) for v in value.split(","))
        except ValueError:
            self.fail(
                f"'{value}' is no place: write column and row of the upright photo, '1530,840'", param, ctx
            )
        if not (isfinite(x) and isfinite(y)):
            self.fail(f"'{value}' is no place in a photo", param, ctx)
        return x, y


@click.command()
@click.argument("photo", type=click.Path(path_type=Path))
@click.option("--ends", nargs=2, type=Place(), help="Both ends of the line, x,y x,y in the upright photo.")
@click.option(
    "--surface", type=click.Choice(["wall", "flat"]), default="wall", show_default=True, help="Inner wall of a drum, or a flat face."
)  # fmt: skip
@click.option("--drum", help="Inside diameter of the drum with its unit, '12in'; asked for on a wall.")
@click.option("--bar", type=float, help="The card's check bar as measured, in mm.")
@click.option(
    "--card", "card_named", help="Which card lies there: wall, face, or a shop's own table as TOML."
)
@click.option(
    "--as-tapped", is_flag=True, help="Measure from tap to tap as given; do not look for the line's ends."
)
@click.option("--along-grooves", is_flag=True, help="Look for lines along the turned grooves as well.")
@click.option("--before", type=click.Path(path_type=Path), help="Last time's photo of the same place.")
@click.option("--before-ends", nargs=2, type=Place(), help="Both ends of the line in last time's photo.")
@click.option(
    "--wipe",
    type=click.Path(path_type=Path, dir_okay=False),
    help="With --before: a page to wipe between the two, or a PNG of both.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the photo with the line drawn in, JPEG or PNG.",
)
@click.option(
    "--figure",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the small figure for the sheet, SVG.",
)
@click.option(
    "--said", multiple=True, help="A line under the picture: position and unit. May stand several times."
)
@click.option("--for-visit", is_flag=True, help="Print the lines for a [[corner]] of the visit file instead.")
@click.option("--json", "as_json", is_flag=True, help="Print as JSON.")
def mark(
    photo: Path, ends: tuple[tuple[float, float], tuple[float, float]] | None, surface: str, drum: str | None, bar: float | None,
    card_named: str | None, as_tapped: bool, along_grooves: bool, before: Path | None,
    before_ends: tuple[tuple[float, float], tuple[float, float]] | None, wipe: Path | None, out: Path | None, figure: Path | None,
    said: tuple[str, ...], for_visit: bool, as_json: bool,
) -> None:  # fmt: skip
    """Measure a dark line in a photo with a card beside it. It never says what the line is: a fingernail does."""
    from wheeltapper import marking
    from wheeltapper.report import mark as words

    radius = _radius(drum) if surface == "wall" else None
    asked = marking.Asked(
        ends, radius, None if bar is None else bar / 1e3, _card(card_named), not as_tapped, not along_grooves
    )
    seen = marking.look(photo, asked)
    grown, slips = _grown(seen, before, before_ends, wipe)
    if for_visit:
        click.echo(words.entry(seen, grown, figure.name if figure else None), nl=False)
    else:
        click.echo((words.as_json if as_json else words.text)(seen, grown), nl=False)
    _pictures(seen, said, out, figure)
    for p in (*seen.problems, *slips):
        click.echo(p.said, err=True)
    raise SystemExit(1 if seen.problems or slips or seen.reasons else 0)


def _radius(drum: str | None) -> float:
    from wheeltapper.measure.plausible import amount_si

    size = amount_si(drum, "length")
    if size is None or not 0.1 < size < 0.6:
        raise click.UsageError(
            f"'{drum or ''}' is not the inside diameter of a drum: write --drum 12in, or --surface flat for a face."
        )
    return size / 2


def _card(named: str | None) -> CardRow | None:
    from wheeltapper.problems import TablesError
    from wheeltapper.reference.cards import OURS, ours, theirs

    try:
        return None if named is None else ours(named) if named in OURS else theirs(Path(named))
    except TablesError as broken:
        click.echo(str(broken), err=True)
        raise SystemExit(2) from None


def _grown(
    seen: Looked, before: Path | None, ends: tuple[tuple[float, float], tuple[float, float]] | None, wipe: Path | None
) -> tuple[Growth | None, tuple[Problem, ...]]:  # fmt: skip
    """How the mark has grown since last time's photo, and the page to wipe between the two."""
    from dataclasses import replace

    from wheeltapper import marking
    from wheeltapper.problems import NoAnswerError, Problem
    from wheeltapper.report.mark_wipe import wipe_page, wipe_picture

    if before is None:
        return None, ()
    then = marking.look(before, replace(seen.asked, ends=ends))
    try:
        where, grown = marking.same(then, seen)
        if wipe is not None:
            pair = *marking.side_by_side(then, seen, where), then.name, seen.name
            page = wipe.suffix.lower() != ".png"
            put(
                wipe,
                wipe_page(*pair, "The same place, then and now").encode() if page else wipe_picture(*pair),
            )
    except NoAnswerError as slip:
        return None, (*then.problems, Problem(before.name, slip.what, slip.do))
    return grown, then.problems


def _pictures(seen: Looked, said: tuple[str, ...], out: Path | None, figure: Path | None) -> None:
    from wheeltapper.report.mark import drawn_mark
    from wheeltapper.report.mark_figure import mark_figure
    from wheeltapper.report.mark_picture import mark_picture

    if out is None and figure is None:
        return
    drawn = drawn_mark(seen, said)
    if drawn is None or seen.photo is None:
        click.echo("No picture: no line was measured", err=True)
        return
    if out is not None:
        put(out, mark_picture(seen.photo.pixels, drawn, "png" if out.suffix.lower() == ".png" else "jpeg"))
    if figure is not None:
        put(figure, mark_figure(seen.photo.pixels, drawn).encode())
