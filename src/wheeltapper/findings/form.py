"""Form by dial and gauge: is the band round and on centre, are hub face and magnet face flat, and where to touch.

Few readings may condemn and never clear: what so few cannot see is not called fine. Inside the dial's own doubt of
the limit there is no call, and readings that contradict each other are asked about, never averaged. A dial sees odd
lobes, which a two-point gauge never does.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import pi, radians, sqrt
from statistics import median
from typing import TYPE_CHECKING

from wheeltapper.findings.bench import Bench
from wheeltapper.findings.facts import Fact, Sized, Worked
from wheeltapper.problems import NoAnswerError, Problem
from wheeltapper.units import above, at_most

if TYPE_CHECKING:
    from wheeltapper.measure.trace import Diameters, Trace

BAND, SIZE = "band dial", "friction diameter"
FACES = {  # check: past the limit, in doubt, swings; the row of the limit
    "hub face dial": ("hub_face.gap_over", "hub_face.flat_in_doubt", "hub_face.swings", "hub_face_gap"),
    "magnet face dial": (
        "magnet_face.warped",
        "magnet_face.flat_in_doubt",
        "magnet_face.swings",
        "magnet_face_flat",
    ),
}
ENOUGH = 8  # places round; fewer may condemn and never clear
WIDEST_RAD = radians(
    100
)  # between neighbours: eight places evenly round with one left out stand 90 degrees apart
SHARED = 3  # places read twice from which a dial set to zero anew is told from one that slipped
OVAL_SEEN = 0.7  # of an oval, that four diameters 45 degrees apart see at the least: cos 45 degrees
FACE_RADIUS_M = 0.07  # where one circle was read and nobody wrote its radius: flatness hardly depends on it
TURN_RAD, SQRT2 = 2 * pi, sqrt(2)
AGAIN = 256  # rounds remembered: a visit is examined after every answer, mostly with the same readings
TELLS_SHARE = 0.5  # of the limit: a smaller out-of-round of four diameters is not worth a sentence


@dataclass(frozen=True)
class Face:
    """A face read by dial: how flat, and each reading over the middle plane [m, rad]."""

    zone_m: float  # between the two closest planes
    least_squares_m: float
    total_m: float  # highest less lowest reading, tilt and all
    angle_rad: tuple[float, ...]
    radius_m: tuple[float, ...]
    off_m: tuple[float, ...]
    high: tuple[str, ...]  # clock positions, highest first
    low: tuple[str, ...]


def find(bench: Bench) -> tuple[list[Fact], list[Worked]]:
    """Facts and results of every dial at one corner, and the oval that four diameters show."""
    facts: list[Fact] = []
    worked: list[Worked] = []
    for check in (BAND, *FACES):
        row = bench.tables.checks[check]
        if bench.visit.unit.brake in row.brakes:
            more, computed = _dial(bench, check)
            facts += more
            worked += computed
    worked += _oval(bench)
    _contradiction(bench, worked)
    return facts, worked


def _dial(bench: Bench, check: str) -> tuple[list[Fact], list[Worked]]:
    taken = bench.taken(check)
    names = dict.fromkeys(bench.tables.checks[check].facts)
    if not taken:
        return bench.facts(check, names), []
    found = None if _contradicts_itself(bench, check, taken) else _worked_out(bench, check, taken)
    if found is None:
        return bench.facts(check, names, vouch=False), []
    return (_band if check == BAND else _face)(bench, check, found)


def _worked_out(bench: Bench, check: str, taken: tuple[Sized, ...]) -> Worked | None:
    """What the readings come to, or None with a Problem where they come to nothing."""
    try:
        found = _trace(taken) if check == BAND else _flat(taken)
    except NoAnswerError as slip:
        bench.problems.append(Problem(f"{bench.position}, {check}", slip.what, slip.do))
        return None
    part = bench.tables.checks[check].part
    return Worked(bench.position, check.removesuffix(" dial"), part, found, "", taken)


def _contradicts_itself(bench: Bench, check: str, taken: tuple[Sized, ...]) -> bool:
    """Do two readings of one place differ by more than the dial's doubt of both? Then one of them is wrong.

    A dial that was set to zero anew shifts a whole round alike; that is no contradiction.
    """
    rounds: dict[tuple[float, float | None], list[Sized]] = {}
    for s in taken:
        rounds.setdefault((round(s.angle_rad, 6) % round(TURN_RAD, 6), s.radius_m), []).append(s)
    again = [(row[0], s, turn) for row in rounds.values() for turn, s in enumerate(row) if turn]
    for first, other, turn in again:
        shifts = [b.size - a.size for a, b, t in again if t == turn]
        apart = other.size - first.size - (median(shifts) if len(shifts) >= SHARED else 0.0)
        if above(abs(apart), first.doubt + other.doubt):
            said = f"{first.text} and {other.text} {other.unit} at one place differ by more than the dial's doubt"
            do = "see that its stand is firm, set it to zero and read the whole round again; write that round alone."
            bench.problems.append(Problem(f"{bench.position}, {check}, {first.at}", said, do))
            return True
    return False


@lru_cache(AGAIN)
def _trace(taken: tuple[Sized, ...]) -> Trace:
    from wheeltapper.measure.trace import trace  # numpy with it: only where a dial was used

    return trace([s.angle_rad for s in taken], [s.size for s in taken], max(s.doubt for s in taken))


def _band(bench: Bench, check: str, worked: Worked) -> tuple[list[Fact], list[Worked]]:
    found: Trace = worked.result
    doubt = max(s.doubt for s in worked.readings)
    centre, closed = found.eccentricity, found.readings.gap_rad <= WIDEST_RAD
    enough = closed and found.readings.angle_rad.size >= ENOUGH
    sizes = {
        "drum.out_of_round": (2 * found.zone_m, 2 * SQRT2 * doubt, "out_of_round"),
        "drum.off_centre": (2 * centre.amplitude_m, 2 * centre.doubt_m, "off_centre"),
    }
    if not closed:  # where the centre lies would be guessed from a part of the round
        sizes["drum.off_centre"] = (0.0, float("inf"), "off_centre")
    return _held(bench, check, sizes, "drum.form_in_doubt", enough), [worked]


def _held(
    bench: Bench, check: str, sizes: dict[str, tuple[float, float, str]], doubtful: str, enough: bool
) -> list[Fact]:
    """Each size and its doubt against its limit: past it counts on few readings, within it on enough.

    Fewer say no more than none.
    """
    facts, unsure = [], False
    for name, (size, doubt, row) in sizes.items():
        most = bench.tables.number(row)
        past, within = above(size - doubt, most), at_most(size + doubt, most)
        answer = past if past or (within and enough) else None
        unsure = unsure or not (past or within)
        facts += bench.facts(check, {name: answer}, size=size, against=most, vouch=within)
    return facts + bench.facts(check, {doubtful: unsure})


def _face(bench: Bench, check: str, worked: Worked) -> tuple[list[Fact], list[Worked]]:
    import numpy as np

    from wheeltapper.measure.readings import gap_rad

    found: Face = worked.result
    past, doubtful, swings, row = FACES[check]
    enough = len(set(found.angle_rad)) >= ENOUGH and gap_rad(np.array(found.angle_rad)) <= WIDEST_RAD
    doubt = SQRT2 * max(s.doubt for s in worked.readings)
    facts = _held(bench, check, {past: (found.zone_m, doubt, row)}, doubtful, enough)
    most = bench.tables.number("face_swing")
    swing = bench.facts(check, {swings: above(found.total_m, most)}, size=found.total_m, against=most)
    return facts + swing, [worked]


@lru_cache(AGAIN)
def _flat(taken: tuple[Sized, ...]) -> Face:
    from wheeltapper.measure.flatness import face_points_m, flatness

    angles = [s.angle_rad for s in taken]
    radii = [s.radius_m if s.radius_m is not None else FACE_RADIUS_M for s in taken]
    heights = [s.size for s in taken]
    found = flatness(*face_points_m(angles, radii), heights, max(s.doubt for s in taken))
    high, low = (_touch(places, angles, radii) for places in (found.high, found.low))
    return Face(
        found.zone.width_m, found.least_squares_m, max(heights) - min(heights), tuple(angles), tuple(radii),
        tuple(found.zone.off_m.tolist()), high, low,
    )  # fmt: skip


def _touch(places: Iterable[int], angles: list[float], radii: list[float]) -> tuple[str, ...]:
    """Places to go and touch, by the clock and, where several circles were read, by the circle."""
    from wheeltapper.measure.readings import clock_text

    circles = sorted(set(radii))
    names = {r: "" for r in circles} if len(circles) == 1 else {
        r: " inner" if r == circles[0] else " outer" if r == circles[-1] else " middle" for r in circles
    }  # fmt: skip
    return tuple(f"{clock_text(angles[i])}{names[radii[i]]}" for i in places)


def _oval(bench: Bench) -> list[Worked]:
    """The oval in four diameters, where they differ by a good part of what they may or a dial tells of it too."""
    mids = [s for s in bench.taken(SIZE) if s.at.startswith("mid ")]
    if len({s.at for s in mids}) < 3:
        return []
    spread = max(s.size for s in mids) - min(s.size for s in mids)
    if not (bench.taken(BAND) or above(spread, TELLS_SHARE * bench.tables.number("out_of_round"))):
        return []
    return [Worked(bench.position, "oval", "hub-drum", _two_point(tuple(mids)), "", tuple(mids))]


@lru_cache(AGAIN)
def _two_point(mids: tuple[Sized, ...]) -> Diameters:
    from wheeltapper.measure.trace import two_point

    directions = [radians(float(s.at.removeprefix("mid "))) for s in mids]
    return two_point(directions, [s.size for s in mids], max(s.doubt for s in mids))


def _contradiction(bench: Bench, worked: list[Worked]) -> None:
    """Ask where dial and diameters cannot both be right about one oval."""
    dial, gauge = (next((w for w in worked if w.kind == kind), None) for kind in ("band", "oval"))
    if dial is None or gauge is None or dial.result.diametral_m is None:
        return
    by_dial, by_gauge = dial.result.diametral_m, gauge.result.out_of_round_m
    doubt = 2 * SQRT2 * max(s.doubt for s in dial.readings) + 2 * max(s.doubt for s in gauge.readings)
    if above(OVAL_SEEN * by_dial - by_gauge, doubt) or above(by_gauge - by_dial, doubt):
        what = "the dial and the four diameters do not tell of the same oval"
        bench.problems.append(
            Problem(
                f"{bench.position}, {BAND}",
                what,
                "measure both again: one of them slipped, or was read elsewhere.",
            )
        )
