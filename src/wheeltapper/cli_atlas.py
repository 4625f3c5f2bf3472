"""The commands of the atlas: what there is, one condition beside the good part, all of it as files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from wheeltapper.cli_out import put, unwritable

if TYPE_CHECKING:
    from collections.abc import Iterable

    from wheeltapper.atlas import Pair
    from wheeltapper.problems import Problem

NOTE = "Rendered, not photographs. They show what to look for; they judge no part."
HOUSE = click.option(
    "--house", type=click.Path(path_type=Path), help="Folder whose atlas/<part>-<view>.jpg stand in for our good parts."
)  # fmt: skip


@click.group(name="atlas")
def atlas() -> None:
    """Pictures of good parts beside the same parts gone bad: rendered, not photographs."""


@atlas.command(name="list")
@HOUSE
def list_(house: Path | None) -> None:
    """Every part and condition there is a picture of."""
    from wheeltapper.atlas import conditions, pictures, strangers

    for part, words in conditions().items():
        click.echo(part)
        for word in words:
            of = [p for p in pictures() if (p.part, p.condition, p.shows) == (part, word, "part")]
            degrees = ", ".join(p.severity for p in of if p.severity)
            click.echo(f"  {word}{f' ({degrees})' if degrees else ''}  [{of[0].view}]")
    click.echo(NOTE)
    _done(strangers(house) if house else ())


@atlas.command()
@click.argument("part")
@click.argument("condition")
@HOUSE
@click.option("--page", type=click.Path(path_type=Path, dir_okay=False), help="Write a page to wipe from good to bad, HTML.")  # fmt: skip
def show(part: str, condition: str, house: Path | None, page: Path | None) -> None:
    """Say how a condition differs from the good part, and where its pictures are."""
    from wheeltapper.atlas import pairs
    from wheeltapper.reference.house import load
    from wheeltapper.report.atlas_page import atlas_page, embedded

    found, slips = pairs(part, condition, house)
    for pair in found:
        check = load().checks[pair.bad.check]
        click.echo(f"{pair.bad.said}\n  look: {check.ask}\n  good: {check.good}")
        click.echo(f"  pictures: {pair.bad.good}, {pair.bad.file}" + (f", {pair.outlined.file}" if pair.outlined else ""))  # fmt: skip
        click.echo(f"  good part shown: {'the photo of the shop' if pair.good_is_photo else 'rendered'}")
    if found:
        click.echo(NOTE)
    if found and page is not None:
        put(page, atlas_page(found, embedded, NOTE).encode(), "Page written")
    _done(slips)


@atlas.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@HOUSE
def export(folder: Path, house: Path | None) -> None:
    """Write every picture and its manifest into a folder, and one page that shows them all."""
    from wheeltapper.atlas import conditions, data_of, pairs, pictures
    from wheeltapper.report.atlas_page import atlas_page

    found: list[Pair] = []
    slips: dict[Problem, None] = {}
    for part, words in conditions().items():
        for word in words:
            more, new = pairs(part, word, house)
            found += more
            slips |= dict.fromkeys(new)
    page = atlas_page(found, lambda file: file, NOTE)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name in ["manifest.csv", *(p.file for p in pictures())]:
            (folder / name).write_bytes(data_of(name))
        (folder / "index.html").write_text(page, "utf-8")
    except OSError as slip:
        raise unwritable(folder, slip) from None
    click.echo(f"{len(pictures())} pictures written to {folder}; open index.html", err=True)
    _done(slips)


def _done(slips: Iterable[Problem]) -> None:
    """Say what went wrong, if anything did, and leave with the code for it."""
    said = [p.said for p in slips]
    for line in said:
        click.echo(line, err=True)
    raise SystemExit(1 if said else 0)
