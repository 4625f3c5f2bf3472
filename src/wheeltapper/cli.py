"""The command line: a thin twin of the library. Everything heavy is imported inside a command.

Exit codes: 0 done, 1 the input has problems, 2 the tables are broken or the command was misused.
"""

from __future__ import annotations

from datetime import date as Date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wheeltapper.cli_atlas import atlas
from wheeltapper.cli_board import board
from wheeltapper.cli_books import books
from wheeltapper.cli_due import due
from wheeltapper.cli_fleet import ahead
from wheeltapper.cli_mark import card, mark
from wheeltapper.cli_out import put, tables_of
from wheeltapper.cli_paper import paper
from wheeltapper.cli_photo import note
from wheeltapper.cli_ring import good_drums_group, ring
from wheeltapper.cli_serve import PORT_OPTION, let_in, phones, serve, serve_demo, verify
from wheeltapper.cli_store import backup, export, restore

if TYPE_CHECKING:
    from wheeltapper.flow import Examination
    from wheeltapper.problems import Problem
    from wheeltapper.reference.tables import Tables
    from wheeltapper.report.wording import Reader
    from wheeltapper.workout.formula import Formula

HOUSE = click.option(
    "--house", type=click.Path(path_type=Path), help="Folder with the shop's own rows, laid over ours."
)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="wheeltapper")
def main() -> None:
    """Decide, part by part, whether a trailer wheel end may go back on the road, and show why."""


main.add_command(ahead)
main.add_command(atlas)
main.add_command(board)
main.add_command(card)
main.add_command(mark)
main.add_command(note)
main.add_command(paper)
main.add_command(ring)
main.add_command(good_drums_group)
main.add_command(serve)
main.add_command(phones)
main.add_command(verify)
main.add_command(let_in)
main.add_command(books)
main.add_command(backup)
main.add_command(restore)
main.add_command(export)
main.add_command(due)


@main.command()
@click.argument("visit", type=click.Path(path_type=Path))
@HOUSE
@click.option("--json", "as_json", is_flag=True, help="Print the examination as JSON.")
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), help="Write the drawn sheet here.")
@click.option(
    "--show",
    type=click.Choice(["in", "mm"]),
    help="Show lengths in this unit; as most were read if not given.",
)
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), help="Day of the examination; today if not given.")
def examine(
    visit: Path, house: Path | None, as_json: bool, pdf: Path | None, show: str | None, on: Date | None
) -> None:
    """Examine a visit file (TOML or JSON): calls, causes, quote, next checks."""
    examination, slips = _examined(visit, tables_of(house), on)
    if examination is None:
        _no_visit(slips, as_json)
        raise SystemExit(1)
    _print(examination, as_json, show)
    if pdf is not None:
        _write_pdf(examination, pdf, show, visit.parent, house)
    raise SystemExit(1 if examination.problems else 0)


def _print(examination: Examination, as_json: bool, show: str | None) -> None:
    from wheeltapper.report import record, sheet, terminal

    reader = _reader(examination, show)
    if as_json:
        click.echo(record.as_json(examination, reader), nl=False)
    else:
        click.echo(terminal.text(sheet.sheet(examination, reader)), nl=False)


def _reader(examination: Examination, show: str | None) -> Reader:
    from wheeltapper.report.wording import INCH, MILLIMETRE, reader_for

    return {"in": INCH, "mm": MILLIMETRE, None: reader_for(examination.visit)}[show]


def _examined(path: Path, tables: Tables, on: Date | None) -> tuple[Examination | None, tuple[Problem, ...]]:
    from wheeltapper.flow import examine as river
    from wheeltapper.intake import MOST_BYTES, visit_from_bytes
    from wheeltapper.problems import Problem

    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as slip:
        return None, (
            Problem(
                str(path),
                f"cannot be read: {(slip.strerror or 'unknown').lower()}",
                "check the name and try again.",
            ),
        )
    visit, slips = visit_from_bytes(data, path.name)
    if visit is None:
        return None, slips
    day = Date.today() if on is None else Date(on.year, on.month, on.day)
    return river(visit, tables, day, slips), slips


def _no_visit(slips: tuple[Problem, ...], as_json: bool) -> None:
    if as_json:
        import json

        from wheeltapper.report.record import problems

        click.echo(json.dumps({"problems": problems(slips)}, indent=1, ensure_ascii=False))
    for p in slips:
        click.echo(p.said, err=True)


def _write_pdf(
    examination: Examination, path: Path, show: str | None, beside: Path, house: Path | None
) -> None:
    from wheeltapper.report.mark_figure import kept_figures
    from wheeltapper.report.pdf import pdf
    from wheeltapper.report.sheet import pairs, sheet
    from wheeltapper.report.small_picture import photos_beside, small_pictures

    pictures, slips = kept_figures(examination.visit, beside)
    made = sheet(examination, _reader(examination, show), pictures)
    photos, more = photos_beside(pairs(made), beside)
    for slip in (*slips, *more):
        click.echo(slip.said, err=True)
    put(path, pdf(made, small_pictures(pairs(made), photos.get, house)), "Sheet written")


@main.command()
def schema() -> None:
    """Print the JSON Schema of the visit file, with every check and answer it knows."""
    import json

    from wheeltapper.report.schema import visit_schema

    click.echo(json.dumps(visit_schema(tables_of(None)), indent=1, ensure_ascii=False))


@main.command()
@HOUSE
@click.option(
    "--checks", is_flag=True, help="The checks of the sweep and their answers, instead of the rules."
)
def rules(house: Path | None, checks: bool) -> None:
    """Print the rule book, as it stands in docs/rules.md."""
    from wheeltapper.report.rulebook import checks_text, rules_text

    tables = tables_of(house)
    click.echo(checks_text(tables) if checks else rules_text(tables), nl=False)


@main.group(name="tables")
def tables_group() -> None:
    """Check the tables, or see what a shop's own rows change."""


@tables_group.command()
@HOUSE
def check(house: Path | None) -> None:
    """Read and validate every table; name every fault at once."""
    t = tables_of(house)
    click.echo(
        f"Tables are sound: {len(t.rules)} rules, {len(t.pairings)} pairings, {len(t.limits)} limits, {len(t.causes)} causes, {len(t.checks)} checks. Fingerprint {t.fingerprint}."
    )


@tables_group.command()
@click.argument("house", type=click.Path(path_type=Path))
@click.option(
    "--visits",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder of visits to examine both ways; our examples if not given.",
)
def diff(house: Path, visits: Path | None) -> None:
    """Show what a house folder changes, row by row, and which visits it would call differently."""
    from wheeltapper.reference.house import differences

    after, before = tables_of(house), tables_of(None)
    for row, old, new in differences(house):
        click.echo(f"{row}: {old or '(nothing)'} -> {new}")
    folder = visits or Path(__file__).parent / "examples"
    for path in sorted(folder.glob("*.toml")):
        _diff_visit(path, before, after)


def _diff_visit(path: Path, before: Tables, after: Tables) -> None:
    old, _ = _examined(path, before, None)
    new, _ = _examined(path, after, None)
    if old is None or new is None:
        click.echo(f"{path.name}: cannot be examined")
        return
    was = {c.place: c.call for c in old.calls}
    changed = [
        f"{c.position} {c.part}: {was.get(c.place, 'not called')} -> {c.call}"
        for c in new.calls
        if was.get(c.place) != c.call
    ]
    if old.release.state != new.release.state:
        changed.append(f"release: {old.release.state} -> {new.release.state}")
    click.echo(f"{path.name}: " + ("; ".join(changed) if changed else "called the same"))


@main.command(name="work-out")
@click.argument("name", required=False)
@click.argument("values", nargs=-1, metavar="[NAME='VALUE UNIT']...")
@HOUSE
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON, all digits.")
@click.option("--page", is_flag=True, help="Every formula with its source, as it stands in docs/formulas.md.")
def work_out(
    name: str | None, values: tuple[str, ...], house: Path | None, as_json: bool, page: bool
) -> None:
    """Make one computation alone: work-out press-fit bore='2.3595 in' ...

    Without a name: every computation there is. With a name alone: what it needs. A list is written with blanks,
    x='1 2 5 mm'; '@FILE COLUMN UNIT' takes a column of a CSV file.
    """
    from wheeltapper.report import answer
    from wheeltapper.workout import book

    if page or name is None:
        click.echo((answer.formulas_page if page else answer.list_text)(book.FORMULAS), nl=False)
        return
    formula = _formula(name)
    if not values and not as_json and any(a.default is None for a in formula.asks):
        click.echo(answer.asked_text(formula), nl=False)
        return
    texts, slips = _inputs(values)
    found, more = (None, ()) if slips else book.work_out(formula, texts, tables_of(house))
    slips += more
    if as_json:
        click.echo(answer.answer_json(formula, texts, found, slips), nl=False)
    elif found is not None:
        click.echo(answer.answer_text(formula, found), nl=False)
    for p in slips:
        click.echo(p.said, err=True)
    raise SystemExit(1 if slips else 0)


def _formula(name: str) -> Formula:
    from wheeltapper.problems import nearest
    from wheeltapper.workout.book import BY_NAME

    if name not in BY_NAME:
        raise click.UsageError(f"there is no computation '{name}'; {nearest(name, BY_NAME)}")
    return BY_NAME[name]


def _inputs(values: tuple[str, ...]) -> tuple[dict[str, str], tuple[Problem, ...]]:
    """The inputs of a computation by name, columns of files spelled out."""
    from wheeltapper.problems import Problem

    texts: dict[str, str] = {}
    slips = []
    for value in values:
        name, equals, text = value.partition("=")
        if not equals or name in texts:
            what = "stands twice" if equals else "is not name='value unit'"
            slips.append(Problem(name, what, "write each input once, as name='value unit'."))
            continue
        column = _column(text) if text.startswith("@") else text
        if column is None:
            slips.append(
                Problem(
                    name, f"'{text}' is no column of a file that can be read", "write '@FILE COLUMN UNIT'."
                )
            )
        texts[name] = column or text
    return texts, tuple(slips)


def _column(text: str) -> str | None:
    """'@FILE COLUMN UNIT' as the numbers of that column and the unit; the column by its name or its number."""
    from wheeltapper.workout.reading import column

    file, _, rest = text[1:].partition(" ")
    name, _, unit = rest.strip().partition(" ")
    try:
        cells = column(Path(file).read_text("utf-8"), name)
    except (OSError, UnicodeError):
        return None
    return f"{' '.join(cells)} {unit}" if cells else None


@main.command()
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False), default="demo")
@click.option("--serve", "served", is_flag=True, help="Open an invented shop in the browser instead.")
@PORT_OPTION
def demo(folder: Path, served: bool, port: int) -> None:
    """Write an invented visit and price book into a folder, examine it, leave the PDF; or open it all as a shop."""
    from wheeltapper.demo import write

    visit, house = write(folder)
    if served:
        serve_demo(folder, port)
        return
    examination, _ = _examined(visit, tables_of(house), None)
    assert examination is not None  # the demo visit is ours and is tested
    _print(examination, as_json=False, show=None)
    _write_pdf(examination, folder / "sheet.pdf", None, folder, house)
    click.echo(
        f"The visit is {visit}: change it, then run: wheeltapper examine {visit} --house {house}", err=True
    )
