"""Form by dial and gauge: is the band round and on centre, are hub face and magnet face flat, and where to touch.

Few readings may condemn and never clear: what so few cannot see is not called fine. A dial sees odd lobes, which
a two-point gauge never does.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians
from typing import TYPE_CHECKING

from wheeltapper.findings.bench import Bench
from wheeltapper.findings.facts import Fact, Sized, Worked
from wheeltapper.problems import NoAnswerError, Problem
from wheeltapper.units import above

if TYPE_CHECKING:
    from wheeltapper.measure.trace import Trace

BAND, SIZE = "band dial", "friction diameter"
FACES = {
    "hub face dial": ("hub_face.gap_over", "hub_face_gap"),
    "magnet face dial": ("magnet_face.warped", "magnet_face_flat"),
}
ENOUGH = 8  # places round; fewer may condemn and never clear
FACE_RADIUS_M = 0.07  # where one circle was read and nobody wrote its radius: flatness hardly depends on it
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
            more, computed = _band(bench) if check == BAND else _face(bench, check)
            facts += more
            worked += computed
    return facts, worked + _oval(bench)


def _band(bench: Bench) -> tuple[list[Fact], list[Worked]]:
    taken = bench.taken(BAND)
    if not taken:
        return bench.facts(BAND, dict.fromkeys(bench.tables.checks[BAND].facts)), []
    found = _trace(bench, taken)
    if found is None:
        return bench.facts(BAND, dict.fromkeys(bench.tables.checks[BAND].facts), vouch=False), []
    round_, centre = bench.tables.number("out_of_round"), bench.tables.number("off_centre")
    off_round, off_centre = 2 * found.zone_m, 2 * found.eccentricity.amplitude_m
    enough = found.readings.angle_rad.size >= ENOUGH
    facts = _held(bench, BAND, "drum.out_of_round", off_round, round_, enough)
    facts += _held(bench, BAND, "drum.off_centre", off_centre, centre, enough)
    return facts, [Worked(bench.position, "band", "hub-drum", found, "", taken)]


def _held(bench: Bench, check: str, name: str, size: float, most: float, enough: bool) -> list[Fact]:
    """Past the limit counts on few readings; within it on enough: fewer say no more than none."""
    past = above(size, most)
    return bench.facts(check, {name: past if past or enough else None}, size=size, against=most)


def _trace(bench: Bench, taken: tuple[Sized, ...]) -> Trace | None:
    from wheeltapper.measure.trace import trace  # numpy with it: only where a dial was used

    try:
        return trace([s.angle_rad for s in taken], [s.size for s in taken], max(s.doubt for s in taken))
    except NoAnswerError as slip:
        bench.problems.append(Problem(f"{bench.position}, {BAND}", slip.what, slip.do))
        return None


def _face(bench: Bench, check: str) -> tuple[list[Fact], list[Worked]]:
    taken = bench.taken(check)
    name, row = FACES[check]
    if not taken:
        return bench.facts(check, {name: None}), []
    found = _flat(bench, check, taken)
    if found is None:
        return bench.facts(check, {name: None}, vouch=False), []
    most = bench.tables.number(row)
    facts = _held(bench, check, name, found.zone_m, most, len(taken) >= ENOUGH)
    part = bench.tables.checks[check].part
    return facts, [Worked(bench.position, check.removesuffix(" dial"), part, found, "", taken)]


def _flat(bench: Bench, check: str, taken: tuple[Sized, ...]) -> Face | None:
    from wheeltapper.measure.flatness import face_points_m, flatness
    from wheeltapper.measure.readings import clock_text

    angles = [s.angle_rad for s in taken]
    radii = [s.radius_m if s.radius_m is not None else FACE_RADIUS_M for s in taken]
    heights = [s.size for s in taken]
    try:
        found = flatness(*face_points_m(angles, radii), heights, max(s.doubt for s in taken))
    except NoAnswerError as slip:
        bench.problems.append(Problem(f"{bench.position}, {check}", slip.what, slip.do))
        return None
    high, low = (tuple(clock_text(angles[i]) for i in places) for places in (found.high, found.low))
    total = max(heights) - min(heights)
    return Face(
        found.zone.width_m,
        found.least_squares_m,
        total,
        tuple(angles),
        tuple(radii),
        tuple(found.zone.off_m.tolist()),
        high,
        low,
    )


def _oval(bench: Bench) -> list[Worked]:
    """The oval in four diameters, where they differ by a good part of what they may."""
    mids = [s for s in bench.taken(SIZE) if s.at.startswith("mid ")]
    if len({s.at for s in mids}) < 3:
        return []
    spread = max(s.size for s in mids) - min(s.size for s in mids)
    if not above(spread, TELLS_SHARE * bench.tables.number("out_of_round")):
        return []
    from wheeltapper.measure.trace import two_point

    directions = [radians(float(s.at.removeprefix("mid "))) for s in mids]
    found = two_point(directions, [s.size for s in mids], max(s.doubt for s in mids))
    return [Worked(bench.position, "oval", "hub-drum", found, "", tuple(mids))]
