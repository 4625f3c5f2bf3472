"""Published wheel nut torques that fit what is known of stud, nut and wheel: all of them, and none is picked."""

from __future__ import annotations

import re

from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.metal import TorqueRow
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.named import near
from wheeltapper.workout.text import figures

NUMBER = re.compile(r"\d+(?:\.\d+)?")
RETORQUE = "Nuts are due again at 10, 25 and 50 miles: what beds in is lost in the first miles."


def _wheel_torque(g: Given, tables: Tables) -> Answer:
    said = {name: str(g[name]) for name in ("stud", "nut", "wheel") if g.has(name)}
    known = {row.studs for row in tables.torques}
    if "stud" in said and said["stud"] not in known:
        raise NoAnswerError(
            f"no published torque for '{said['stud']}' is in the table", near(said["stud"], known)
        )
    rows = [row for row in tables.torques if _fits(row, said)]
    if not rows:
        raise NoAnswerError("no published torque fits all of that", "leave out the nut or the wheel to see the rows of the stud.")  # fmt: skip
    low, high = (tuple(getattr(row, end) for row in rows) for end in ("low_n_m", "high_n_m"))
    differ = len(set(zip(low, high, strict=True))) > 1
    results = (
        Result("rows", len(rows), "", "published rows that fit what was said"),
        Result("low", low, "ft-lb", "final torque, lowest, row by row"),
        Result("high", high, "ft-lb", "final torque, highest, row by row"),
        Result("differ", differ, "", "do these rows differ"),
        Result("listed", tuple(_row_text(row) for row in rows), "", "each with what it is meant for"),
    )
    return Answer(results, tuple(_torque_words(rows, said, differ)))


def _fits(row: TorqueRow, said: dict[str, str]) -> bool:
    """A row fits unless what was said speaks against it; the words 'any' and none fit all."""
    nut = said.get("nut", "").casefold()
    return (
        row.studs == said.get("stud", row.studs)
        and (not row.nut or nut in row.nut.casefold())
        and _wheel_fits(
            row.wheel.casefold(), said.get("wheel", "").casefold().replace("aluminum", "aluminium")
        )
    )


def _wheel_fits(row: str, said: str) -> bool:
    """A size speaks only against another size, a material or a pilot only against its own kind."""
    if not said or row in ("", "any") or _kind(row) != _kind(said):
        return True
    if _kind(said) != "size":
        return said in row
    sizes = [
        float(n) for n in NUMBER.findall(row.split("x", maxsplit=1)[0])
    ]  # '16.5 x 9.75' is diameter by width
    return min(sizes) <= float(NUMBER.findall(said)[0]) <= max(sizes)


def _kind(wheel: str) -> str:
    return "size" if NUMBER.search(wheel) else "pilot" if "pilot" in wheel else "material"


def _row_text(row: TorqueRow) -> str:
    meant = f"{row.studs}, {row.nut or 'nut not said'} nut, wheel {row.wheel or 'not said'}"
    return f"{row.text} ({meant}; {row.at or row.source})"


def _torque_words(rows: list[TorqueRow], said: dict[str, str], differ: bool) -> list[str]:
    says = [
        "The wheel's or axle's own label comes first. These rows are what others print, for a clean dry thread."
    ]
    unsaid = [word for name, word in (("stud", "stud size"), ("nut", "nut type"), ("wheel", "wheel material and size")) if name not in said]  # fmt: skip
    if unsaid:
        says.append(f"Ask the {', the '.join(unsaid)}: the stud size alone never gives the torque.")
    if differ:
        ends = [v for row in rows for v in (row.low_n_m, row.high_n_m)]
        says.append(f"The rows differ, {figures(ends, 'ft-lb')} in all, and none is picked here: find the label, or the maker's sheet.")  # fmt: skip
    says.append("By hand wrench in stages and star order, faces bare, no oil on the thread. " + RETORQUE)
    return says


FORMULAS = (
    Formula(
        name="wheel-torque",
        say="published wheel nut torques that fit the stud, the nut and the wheel, with their conflicts",
        asks=(
            Ask("stud", "word", "stud thread, such as 9/16-18", default=""),
            Ask("nut", "word", "nut type: cone, flange, cone with clamp ring", default=""),
            Ask("wheel", "word", "wheel: aluminium, hub-piloted, or its size as printed, such as 14 to 16 in", default=""),
        ),
        work=_wheel_torque,
        formula="rows of the torques table that nothing said speaks against",
        source="five trailer owner's manual and axle supplier tables, read; see wheel-torque-tables in sources.toml",
        holds="electric brake trailer hubs of the table. Never picks a row and never goes by stud size alone; the label governs",
        guard="tests/workout/test_clamp.py: every row of the table, conflicts kept",
    ),
)  # fmt: skip
