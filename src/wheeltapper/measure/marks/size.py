"""How long a dark line is, and how sure that is; how straight, how dark, how wide where the photo can tell.

The headline is the length from end to end, which a rule can check. A line's tip thins below what a photo shows, so each
end has a doubt of its own. What the line is, a crack or a thread, is nobody's business here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, sqrt

import numpy as np

from wheeltapper.measure.marks.edge import OpenEdge, below
from wheeltapper.measure.marks.path import TAP_END_M, Trace, follow
from wheeltapper.measure.marks.section import along, left_of, sections, smoothed, spaced
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats, not_negative
from wheeltapper.problems import NoAnswerError

SMOOTH_M = 0.25e-3  # standard deviation of the bell over the path before its length is taken
TAP_M = 0.7e-3  # standard deviation of a tap along the line, where the taps are the ends (assumed)
END_M, END_SPREADS = (
    0.05e-3,
    1.5,
)  # standard deviation of an end: so much, and edge spreads on top (renders of TUNING)
END_TIMES = (
    1.3  # the end's own standard deviation is too small: neighbouring places are not independent (renders)
)
SPREAD_M = 0.15e-3  # where the photo's edge spread is not known (assumed: as poor as is still let through)
THIN_M = 1.2e-3  # over so much a line thins out to nothing at its end (renders)
THIN_SD_SHARE = 0.9  # of what an end is taken to read short: lines end blunt, and long drawn out (assumed)
FACTOR = 1.645  # standard deviations that hold 90 % of a bell
RUN_ON = 20  # places that tell where a line is heading
REACH_M = 1.2e-3  # nearer to the open edge than this: reaches it
TELL_SDS = 0.7  # standard deviations between an end and REACH_M that tell: three times in four (reasoned)
RESOLVED = 2.4  # edge spreads: a narrower line has no width in this photo
LEAST_BOUND_M = 0.2e-3
LOOKED_PX = 0.5  # standard deviation that looking between pixels adds, laying flat included (reasoned: twice one sixth, and the pixel)


@dataclass(frozen=True)
class Term:
    """One cause of doubt and its standard uncertainty."""

    name: str  # scale, tap, end of mark
    sd_m: float


@dataclass(frozen=True)
class Mark:
    """A dark line as measured."""

    end_to_end_m: float  # the headline
    doubt_m: float  # nine of ten true lengths lie within plus or minus this
    terms: tuple[Term, ...]
    along_m: float  # of the path smoothed over smoothing_m
    smoothing_m: float
    straightness_share: float  # end to end over along
    angle_to_axis_rad: float  # 0 along the drum's axis, pi/2 along the grooves
    edge_m: float | None  # nearer end to the drum's open edge
    edge_seen: bool  # False: taken from how the card was laid, or not known
    reaches_edge: bool | None
    darkness_share: float  # mean light missing, against the darker of both sides
    width_m: float | None  # None where the photo does not resolve it
    width_bound_m: float | None  # it is under this, where it is not resolved; None where nothing is known
    path_m: Floats  # (n, 2)
    ends_m: Floats  # (2, 2)
    snapped: bool


def measure_mark(
    unrolled: Unrolled,
    taps_m: Floats,
    scale_share: float,
    *,
    snap: bool = True,
    axis_rad: float = 0.0,
    grooves: bool = True,
    edge: OpenEdge | None = None,
    spread_m: float | None = None,
) -> Mark:
    """Measure the dark line between two taps.

    Args:
        unrolled: the picture.
        taps_m: both ends as tapped (2, 2) [m].
        scale_share: standard uncertainty of lengths near the mark, from pose and print, as a share.
        snap: look for line and ends near the taps; False: measure from tap to tap as given.
        axis_rad: by how much the drum's axis is turned from the card's y, counterclockwise [rad].
        grooves: damp lines along the turned grooves.
        edge: the drum's open edge, None where there is none.
        spread_m: standard deviation of the photo's edge spread, None where it is not known [m].

    Returns:
        The mark.

    Raises:
        NoAnswerError: the taps are not two places on known surface, or no dark line is seen between them.
    """
    not_negative("the doubt of the scale", scale_share)
    wall = below(unrolled, edge)
    trace = follow(wall, taps_m, snap, axis_rad, grooves)
    at_edge = _at_edge(trace.ends_m, edge)
    run_on = _run_on(trace, at_edge, edge)
    ends = run_on[[0, -1]]
    chord = ends[1] - ends[0]
    blur = SPREAD_M if spread_m is None else spread_m
    short = sum(_short_m(trace, at_edge))
    length = float(np.hypot(*chord)) + short
    path = smoothed(spaced(run_on), SMOOTH_M)
    run = float(along(path)[-1]) + short
    terms = _terms(length, trace, at_edge, edge, scale_share, blur)
    near = None if edge is None else max(float(edge.below_m(ends).min()), 0.0)
    dark, width, bound = _dark_and_wide(wall, path, spread_m)
    return Mark(
        length, FACTOR * float(np.hypot.reduce([t.sd_m for t in terms])), terms,
        run, SMOOTH_M, min(1.0, length / run), _to_axis(chord, axis_rad),
        near, edge is not None and edge.seen, _reaches(trace, edge),
        dark, width, bound, path, ends, trace.snapped,
    )  # fmt: skip


def _at_edge(ends_m: Floats, edge: OpenEdge | None) -> tuple[bool, bool]:
    """Does each end lie at the drum's open edge?"""
    if edge is None:
        return False, False
    first, last = (bool(d < REACH_M) for d in edge.below_m(ends_m))
    return first, last


def _reaches(trace: Trace, edge: OpenEdge | None) -> bool | None:
    """Does the line reach the open edge? None where end and edge are not known well enough to tell, or there is none."""
    if edge is None:
        return None
    below_m = edge.below_m(trace.ends_m)
    nearer = int(np.argmin(below_m))
    sd = float(np.hypot(edge.sd_m, trace.end_sd_m[nearer]))
    over = REACH_M - float(below_m[nearer])
    return None if abs(over) < TELL_SDS * sd else over > 0


def _run_on(trace: Trace, at_edge: tuple[bool, bool], edge: OpenEdge | None) -> Floats:
    """The path, run on straight to the open edge at an end that was followed to just below it: blur hides the last bit."""
    path = trace.path_m
    if edge is None or not trace.snapped:
        return path
    for turned, at in zip((True, False), at_edge, strict=True):
        way = path[::-1] if turned else path
        toward = way[-1] - way[max(0, len(way) - 1 - RUN_ON)]
        toward /= max(float(np.hypot(*toward)), 1e-9)
        here, there = edge.below_m(np.array([way[-1], way[-1] + toward * REACH_M]))
        if at and here > 0 and here - there > 0.5 * REACH_M:
            way = np.concatenate([way, [way[-1] + toward * REACH_M * here / (here - there)]])
        path = way[::-1] if turned else way
    return path


def _short_m(trace: Trace, at_edge: tuple[bool, bool]) -> tuple[float, float]:
    """By how much each end reads short: a line thins out, and under a share of its darkness the surface hides it.

    An end that is told by the tap more than by the light reads no shorter than people tap.
    """
    lost = THIN_M * trace.lost_share
    first, last = (
        0.0 if at else lost * max(0.0, 1 - (sd / TAP_END_M) ** 2)
        for at, sd in zip(at_edge, trace.end_sd_m, strict=True)
    )
    return first, last


def _terms(
    length_m: float, trace: Trace, at_edge: tuple[bool, bool], edge: OpenEdge | None,
    scale_share: float, spread_m: float,
) -> tuple[Term, ...]:  # fmt: skip
    """The causes of doubt, as independent."""
    scale = Term("scale", scale_share * length_m)
    if not trace.snapped:
        return scale, Term("tap", sqrt(2.0) * TAP_M)
    sharp = END_M + END_SPREADS * spread_m
    each = [
        max(edge.sd_m, sharp)
        if at and edge
        else float(np.hypot.reduce([sharp, END_TIMES * own, THIN_SD_SHARE * short]))
        for at, own, short in zip(at_edge, trace.end_sd_m, _short_m(trace, at_edge), strict=True)
    ]
    return scale, Term("end of mark", float(np.linalg.norm(each)))


def _to_axis(chord: Floats, axis_rad: float) -> float:
    """Angle between a line and the drum's axis, 0 to a right angle."""
    turned = (np.arctan2(chord[1], chord[0]) - np.pi / 2 - axis_rad) % np.pi
    return float(min(turned, np.pi - turned))


def _dark_and_wide(
    wall: Unrolled, path: Floats, spread_m: float | None
) -> tuple[float, float | None, float | None]:
    """Darkness over the whole line; width, or the bound under which it lies, over the middle of it.

    A line of width w and darkness D, blurred by a bell of standard deviation s, takes light of area D w and is D erf(w /
    (sqrt(8) s)) dark in its middle: the ratio of the two gives the width without any assumption on how black it is.
    """
    seen = sections(wall, path)
    dark = (
        float(np.clip(np.nanmean(seen.dark_share), 0.0, 1.0)) if np.isfinite(seen.dark_share).any() else 0.0
    )
    if spread_m is None or not spread_m > 0:
        return dark, None, None
    bound = max(RESOLVED * spread_m, LEAST_BOUND_M)
    count = len(path)
    profile = _centred(wall, path[count // 5 : max(count // 5 + 3, 4 * count // 5)])
    if profile is None:
        return dark, None, bound
    blur = float(np.hypot(spread_m, LOOKED_PX / wall.px_per_m))
    width = width_from(float(profile[0]), float(profile[1]), blur)
    return (dark, width, None) if width > RESOLVED * spread_m else (dark, None, bound)


def _centred(wall: Unrolled, path: Floats) -> tuple[float, float] | None:
    """Area and depth of the mean profile, after the path was moved onto the middle of the darkness."""
    for _ in range(2):
        seen = sections(wall, path)
        weight = np.clip(np.nan_to_num(seen.taken_share), 0, None) * (np.abs(seen.across_m) < 0.3e-3)
        total = weight.sum(1)
        if not (total > 0).any():
            return None
        off = (weight @ seen.across_m) / np.maximum(total, 1e-9)
        moved = path + off[:, None] * left_of(path)
        path = smoothed(moved, 0.15e-3)
    seen = sections(wall, path)
    if not np.isfinite(seen.area_m).any():
        return None
    middle = np.nanmean(seen.taken_share, axis=0)
    return float(np.nanmean(seen.area_m)), float(middle[np.abs(seen.across_m) < 0.05e-3].mean())


def width_from(area_m: float, depth_share: float, spread_m: float) -> float:
    """Width of a line from the area of its blurred profile, its depth, and the blur.

    Args:
        area_m: light missing, summed across [m].
        depth_share: light missing in the middle.
        spread_m: standard deviation of the blur [m].

    Returns:
        The width [m]; zero where the profile is no wider than the blur.

    Raises:
        NoAnswerError: the line takes no light.
    """
    if not (area_m > 0 and depth_share > 0 and spread_m > 0):
        raise NoAnswerError("the line takes no light", "look again where it is.")
    ratio = area_m / depth_share
    low, high = 0.0, ratio
    for _ in range(60):
        middle = (low + high) / 2
        if middle < ratio * erf(middle / (sqrt(8.0) * spread_m)):
            low = middle
        else:
            high = middle
    return low if low > 1e-3 * spread_m else 0.0
