"""Form in words: how round, how far off centre, how flat, where to touch it, and what so few readings cannot see."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wheeltapper.findings.facts import Worked
from wheeltapper.findings.form import ENOUGH, FACES, Face
from wheeltapper.flow import Examination
from wheeltapper.report.wording import Reader, length, listed, rounded

if TYPE_CHECKING:
    from wheeltapper.measure.trace import Diameters, Trace

LOBED = {2: "oval", 3: "three-lobed", 4: "four-lobed", 5: "five-lobed"}
MOST_LOBES = 5  # forms of more lobes come from no brake


def band(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """A dial trace of a friction band."""
    t: Trace = w.result
    limit = length(ex.tables.number("out_of_round"), reader)
    centre = t.eccentricity
    from wheeltapper.measure.readings import clock_text

    off = f"centre off by {rounded(centre.amplitude_m, reader)} toward {clock_text(centre.angle_rad)}"
    yield f"{_count(w)}: run-out {rounded(t.total_m, reader)}, {off}; out of round {rounded(2 * t.zone_m, reader)} as a diameter (at most {limit})."
    form = max((lobe for lobe in t.waves.lobes[1:]), key=lambda lobe: lobe.amplitude_m, default=None)
    if form is not None and t.far and 2 * t.zone_m > 0.5 * ex.tables.number("out_of_round"):
        shape = LOBED.get(form.order, f"{form.order} lobes")
        yield f"It is mostly {shape}: furthest out at {listed(p.clock for p in t.far[:4])}, furthest in at {listed(p.clock for p in t.near[:4])}."
    yield from _unseen(w, (*t.blind.never, *t.blind.by_chance))


def oval(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """Diameters that differ."""
    d: Diameters = w.result
    yield f"The diameters differ by {length(d.out_of_round_m, reader)}; the long axis runs through {d.long_axis.clock}. A two-point gauge shows no three-lobed form: a dial does."


def flat(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """A dial on a face."""
    f: Face = w.result
    limit = length(ex.tables.number(FACES[f"{w.kind} dial"][1]), reader)
    wobble = (
        f"; the rest of its {rounded(f.total_m, reader)} is tilt, the hub's run and not its flatness"
        if f.total_m > 1.5 * f.zone_m
        else ""
    )
    yield f"{_count(w)}: flat within {rounded(f.zone_m, reader)} (at most {limit}){wobble}."
    if f.zone_m > 0.5 * ex.tables.number(FACES[f"{w.kind} dial"][1]) and f.high and f.low:
        yield f"High at {listed(dict.fromkeys(f.high[:4]))}, low at {listed(dict.fromkeys(f.low[:4]))}."


def _count(w: Worked) -> str:
    few = f" (fewer than {ENOUGH} condemn it and never clear it)" if len(w.readings) < ENOUGH else ""
    return f"{len(w.readings)} readings{few}"


def _unseen(w: Worked, lobes: tuple[int, ...]) -> Iterator[str]:
    hidden = [LOBED[n] for n in sorted(set(lobes)) if n <= MOST_LOBES]
    if hidden:
        yield f"So few places cannot tell {' or '.join(hidden)} form: read more of them."
