"""The commands of the ring test: `ring`, and `good-drums` that keeps what it is held against."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

from wheeltapper.cli_out import put

if TYPE_CHECKING:
    from wheeltapper.ringing import Good, Heard

Kept = TypeVar("Kept")


@click.command()
@click.argument("clips", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--against",
    multiple=True,
    type=click.Path(path_type=Path),
    help="Good drums of the model: recordings, or folders of them. May stand several times.",
)
@click.option("--model", help="Of a kept list, only this model.")
@click.option("--drum", help="Of a kept list, only earlier rings of this very drum.")
@click.option(
    "--diameter", help="Inside diameter of the drum on the hook, '12.045 in': it tells wear from a crack."
)
@click.option("--same-drum", is_flag=True, help="The recordings are takes of one drum, in order.")
@click.option(
    "--picture",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Draw the last recording against its reference, as SVG.",
)
@click.option("--for-visit", is_flag=True, help="Print the lines for a [[corner]] of the visit file instead.")
@click.option("--hung", is_flag=True, help="With --for-visit: the drum was clean and hung free by one strap.")
@click.option("--json", "as_json", is_flag=True, help="Print as JSON.")
def ring(
    clips: tuple[Path, ...],
    against: tuple[Path, ...],
    model: str | None,
    drum: str | None,
    diameter: str | None,
    same_drum: bool,
    picture: Path | None,
    for_visit: bool,
    hung: bool,
    as_json: bool,
) -> None:
    """Listen to taps on a hung drum and hold them against good drums. A good ring never clears a drum."""
    from wheeltapper import ringing
    from wheeltapper.report import ring as words

    goods, slips = ringing.good_drums(against, model, drum)
    heard = ringing.hear(clips, goods, _diameter(diameter), same_drum)
    if for_visit:
        click.echo(words.entry(heard, goods, hung), nl=False)
    else:
        click.echo(
            words.as_json(heard, len(goods), slips) if as_json else words.text(heard, len(goods)), nl=False
        )
    if picture is not None:
        _draw(heard[-1], goods, picture)
    slips = (*slips, *(p for h in heard for p in h.problems))
    for p in slips:
        click.echo(p.said, err=True)
    raise SystemExit(1 if slips else 0)


def _diameter(text: str | None) -> float | None:
    from wheeltapper.measure.plausible import amount_si

    size = amount_si(text, "length")
    if text is not None and (size is None or not 0.1 < size < 0.5):
        raise click.UsageError(
            f"'{text}' is not the inside diameter of a drum; write it with its unit, '12.045 in'."
        )
    return size


@click.group(name="good-drums")
def good_drums_group() -> None:
    """Keep the rings of good drums: who vouches for each and by what check."""


KEPT = click.argument("folder", type=click.Path(path_type=Path, file_okay=False))


@good_drums_group.command(name="add")
@KEPT
@click.argument("clip", type=click.Path(path_type=Path))
@click.option("--model", required=True, help="Casting number, or size and pattern.")
@click.option("--by", required=True, help="Who vouches for it.")
@click.option("--check", required=True, help="The check it passed: 'dye, no line'.")
@click.option("--drum", default="", help="The drum's own mark.")
@click.option("--diameter", default="", help="Inside diameter with its unit.")
def good_drums_add(
    folder: Path, clip: Path, model: str, by: str, check: str, drum: str, diameter: str
) -> None:
    """Keep a recording of a good drum."""
    from wheeltapper import ringing
    from wheeltapper.good_drums import GoodDrum, add

    _diameter(diameter or None)
    found, slips = ringing.good_drums((clip,))
    for p in slips:
        click.echo(p.said, err=True)
    if not found:
        raise SystemExit(1)
    line = _kept(lambda: add(folder, clip, GoodDrum("", model, by, check, "", drum, diameter)))
    click.echo(f"Kept as {line.clip}")


@good_drums_group.command(name="list")
@KEPT
def good_drums_list(folder: Path) -> None:
    """Show every ring that is kept, the retired with their reason."""
    from wheeltapper.good_drums import kept
    from wheeltapper.report.ring import list_text

    click.echo(list_text(_kept(lambda: kept(folder))), nl=False)


@good_drums_group.command(name="retire")
@KEPT
@click.argument("clip")
@click.option("--by", required=True, help="Who says so.")
@click.option("--why", required=True, help="The reason.")
def good_drums_retire(folder: Path, clip: str, by: str, why: str) -> None:
    """Take a ring out of use; its line stays in the list."""
    from wheeltapper.good_drums import retire

    _kept(lambda: retire(folder, clip, by, why))
    click.echo("Retired")


def _kept(work: Callable[[], Kept]) -> Kept:
    from wheeltapper.problems import NoAnswerError

    try:
        return work()
    except NoAnswerError as slip:
        click.echo(f"good drums: {slip.what}. To do: {slip.do}", err=True)
        raise SystemExit(1) from None


def _draw(heard: Heard, goods: tuple[Good, ...], path: Path) -> None:
    from wheeltapper.report.ring_figure import drawn

    picture = drawn(heard, goods)
    if picture is None:
        click.echo("No picture: nothing rang that could be drawn", err=True)
        return
    put(path, picture.encode(), "Picture written")
