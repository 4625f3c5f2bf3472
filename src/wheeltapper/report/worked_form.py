"""Form in words: how round, how far off centre, how flat, where to touch it, and what so few readings cannot see."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from wheeltapper.findings.facts import Worked
from wheeltapper.findings.form import ENOUGH, FACES, TELLS_SHARE, WIDEST_RAD, Face
from wheeltapper.flow import Examination
from wheeltapper.report.wording import Reader, length, listed, rounded

if TYPE_CHECKING:
    from wheeltapper.measure.trace import Diameters, Trace

LOBED = {2: "oval", 3: "three-lobed", 4: "four-lobed", 5: "five-lobed"}
MOSTLY_SHARE = 0.5  # of the whole height: a smaller wave does not name the form
MOST_LOBES = 5  # forms of more lobes come from no brake


def band(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """A dial trace of a friction band."""
    t: Trace = w.result
    limit = length(ex.tables.number("out_of_round"), reader)
    yield f"{_count(w)}: run-out {rounded(t.total_m, reader)}, {_centre(t, ex, reader)}; out of round {rounded(2 * t.zone_m, reader)} as a diameter (at most {limit})."
    form = max((lobe for lobe in t.waves.lobes[1:]), key=lambda lobe: lobe.amplitude_m, default=None)
    if form is not None and t.far and 2 * t.zone_m > TELLS_SHARE * ex.tables.number("out_of_round"):
        told = form.order in LOBED and 2 * form.amplitude_m > MOSTLY_SHARE * t.zone_m
        shape = f"mostly {LOBED[form.order]}" if told else "no simple form"
        yield f"It is {shape}: furthest out at {listed(p.clock for p in t.far[:4])}, furthest in at {listed(p.clock for p in t.near[:4])}."
    yield from _unseen(w, (*t.blind.never, *t.blind.by_chance))


def _centre(t: Trace, ex: Examination, reader: Reader) -> str:
    from wheeltapper.measure.readings import clock_text

    centre = t.eccentricity
    if centre.amplitude_m <= centre.doubt_m:
        return "on centre inside the dial's doubt"
    runs = f"which alone makes a run-out of {rounded(2 * centre.amplitude_m, reader)}, at most {length(ex.tables.number('off_centre'), reader)}"
    return (
        f"centre off by {rounded(centre.amplitude_m, reader)} toward {clock_text(centre.angle_rad)} ({runs})"
    )


def oval(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """Diameters that differ."""
    d: Diameters = w.result
    if d.out_of_round_m > TELLS_SHARE * ex.tables.number("out_of_round"):
        yield f"The diameters differ by {length(d.out_of_round_m, reader)}; the long axis runs through {d.long_axis.clock}. A two-point gauge shows no three-lobed form: a dial does."


def flat(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """A dial on a face."""
    f: Face = w.result
    most = ex.tables.number(FACES[f"{w.kind} dial"][-1])
    swing = ex.tables.number("face_swing")
    wobble = (
        f"; the rest of its {rounded(f.total_m, reader)} is tilt, the hub's run and not its flatness (at most {length(swing, reader)} in all)"
        if f.total_m > 1.5 * f.zone_m
        else ""
    )
    yield f"{_count(w)}: flat within {rounded(f.zone_m, reader)} (at most {length(most, reader)}){wobble}."
    if f.zone_m > TELLS_SHARE * most and f.high and f.low:
        yield f"High at {listed(dict.fromkeys(f.high[:4]))}, low at {listed(dict.fromkeys(f.low[:4]))}."


def _count(w: Worked) -> str:
    import numpy as np

    from wheeltapper.measure.readings import gap_rad

    angles = [s.angle_rad for s in w.readings]
    if len(set(angles)) < ENOUGH:
        few = f" (fewer than {ENOUGH} places condemn it and never clear it)"
    elif gap_rad(np.array(angles)) > WIDEST_RAD:
        few = " (not all the way round: they condemn it and never clear it)"
    else:
        few = ""
    return f"{len(w.readings)} readings{few}"


def _unseen(w: Worked, lobes: tuple[int, ...]) -> Iterator[str]:
    hidden = [LOBED[n] for n in sorted(set(lobes)) if n <= MOST_LOBES]
    if hidden:
        yield f"So few places cannot tell {' or '.join(hidden)} form: read more of them."
