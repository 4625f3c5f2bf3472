"""Roundness alone: a circle through points, a dial trace, diameters in several directions.

Angles are clockwise from stud 1 at 12 o'clock as seen from outside. Every answer says what its readings cannot see.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, sqrt

from wheeltapper.measure.form import Circle, circle_doubts_m, least_squares_circle
from wheeltapper.measure.harmonics import Blind
from wheeltapper.measure.readings import clock_text, more_m
from wheeltapper.measure.trace import Diameters, Trace, trace, two_point
from wheeltapper.measure.zone import circumscribed_circle, inscribed_circle, minimum_zone_circle
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout import flatness
from wheeltapper.workout.form_rows import (
    DOUBT,
    GROWS,
    LOBES,
    blind_rows,
    doubt_of,
    few_words,
    noise_words,
    place_rows,
    places_apart,
    signed,
    span,
    touch_words,
    wave_rows,
)
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.text import inches

WIDE_GAP = pi / 2 + 1e-9  # an angle without a reading that is worth a sentence


def _circle(g: Given, _: Tables) -> Answer:
    x, y = places_apart(g, "x", "y")
    found = least_squares_circle(x, y)
    rows = [
        Result("points", len(x), "", "how many"),
        Result("centre_x", found.x_m, "in", "centre of the least-squares circle"),
        Result("centre_y", found.y_m, "in", "its other coordinate"),
        Result("radius", found.radius_m, "in", "its radius"),
        Result("diameter", found.diameter_m, "in", "its diameter"),
        Result("arc", found.arc_rad, "deg", "that the points cover"),
        *_circle_doubts(found, doubt_of(g)),
    ]
    if len({*zip(x, y, strict=True)}) < 4:
        return Answer(tuple(rows), ("Three points always lie on a circle: they cannot show whether it is round. Take at least four, better eight.",))  # fmt: skip
    rows += [
        Result("sum_of_squares", found.sum_of_squares_m2, "in2", "of the distances from it: what was made least"),
        Result("root_mean_square", found.root_mean_square_m, "in", "of the distances, RONq"),
        Result("scatter", sqrt(found.sum_of_squares_m2 / (len(x) - 3)), "in", "standard deviation of a point, three unknowns taken off"),
        Result("peak_to_valley", found.peak_to_valley_m, "in", "roundness about the least-squares circle, RONt"),
        Result("residuals", tuple(found.off_m.tolist()), "in", "each point outside (positive) or inside it, in the order given"),
        Result("high_point", int(found.off_m.argmax()) + 1, "", f"stands furthest outside, at {_toward(found, int(found.off_m.argmax()))}"),
        Result("low_point", int(found.off_m.argmin()) + 1, "", f"stands furthest inside, at {_toward(found, int(found.off_m.argmin()))}"),
        *span(doubt_of(g), len(x)),
    ]  # fmt: skip
    zone, says = _circle_zone(found, x, y)
    return Answer(tuple(rows + zone), (*says, *noise_words(found.peak_to_valley_m, doubt_of(g), len(x))))


def _toward(circle: Circle, i: int) -> str:
    """Clock word of a point seen from the centre, x to the right and y up."""
    return f"{clock_text(pi / 2 - float(circle.angle_rad[i]))} from the centre, y up"


def _circle_doubts(circle: Circle, doubt: float) -> list[Result]:
    if not doubt:
        return []
    x, y, radius = circle_doubts_m(circle, doubt)
    say = "by the gauge and the placing of the points, k = 2; the part's own form is not in it"
    return [
        Result("centre_x_doubt", x, "in", say),
        Result("centre_y_doubt", y, "in", say),
        Result("radius_doubt", radius, "in", say),
        Result("diameter_doubt", 2 * radius, "in", say),
    ]


def _circle_zone(circle: Circle, x: Sequence[float], y: Sequence[float]) -> tuple[list[Result], list[str]]:
    try:
        ring = minimum_zone_circle(circle, x, y)
    except NoAnswerError as slip:
        return [], [f"There is no minimum zone: {slip.what}."]
    over = circumscribed_circle(x, y)
    rows = [
        Result("zone_width", ring.width_m, "in", "roundness by the minimum zone: two circles about one centre"),
        Result("zone_x", ring.x_m, "in", "their centre"),
        Result("zone_y", ring.y_m, "in", "its other coordinate"),
        Result("zone_inner", ring.inner_m, "in", "radius of the inner circle"),
        Result("zone_outer", ring.outer_m, "in", "radius of the outer circle"),
        Result("zone_contacts", tuple(f"{i + 1} {'out' if s > 0 else 'in'}" for i, s in zip(ring.contacts, ring.sides, strict=True)), "", "the points that hold them, in turn"),
        Result("zone_proven", ring.proven, "", "is no other centre better"),
        Result("circumscribed_diameter", 2 * over.radius_m, "in", "smallest circle that holds every point"),
    ]  # fmt: skip
    says = []
    if circle.arc_rad < pi:
        says.append(f"The points cover {circle.arc_rad * 180 / pi:.0f} degrees: centre and radius move together and are known poorly, and nothing is known of the rest.")  # fmt: skip
    else:
        within = inscribed_circle(ring, x, y)
        rows.append(Result("inscribed_diameter", 2 * within.radius_m, "in", "largest circle inside them all"))
    if not ring.proven:
        says.append("The minimum zone is the best near the least-squares circle; that no other centre is better is not proven.")  # fmt: skip
    return rows, says


def _trace(g: Given, _: Tables) -> Answer:
    (angles,), readings = places_apart(g, "angles"), signed(g, "readings")
    radius = g["nominal"] / 2 if g.has("nominal") else None
    if radius is not None and radius <= 0:
        raise NoAnswerError("the nominal diameter is zero or less", "give the diameter at reading zero.")
    found = trace(angles or None, readings, doubt_of(g), radius)
    centre, count = found.eccentricity, found.readings.angle_rad.size
    rows = [
        Result("places", count, "", "readings, those at one place counted once"),
        Result("mean", found.waves.mean_m, "in", "mean of the readings, outward"),
        *([] if radius is None else [Result("diameter", 2 * (radius + found.waves.mean_m), "in", "of the least-squares circle")]),
        Result("total", found.total_m, "in", "total run-out, TIR: highest reading less lowest"),
        Result("eccentricity", centre.amplitude_m, "in", "centre of the circle off the axis"),
        Result("eccentric_at", centre.angle_rad, "deg", f"toward {clock_text(centre.angle_rad)}"),
        Result("eccentric_run_out", 2 * centre.amplitude_m, "in", "run-out that it alone makes"),
        Result("roundness", found.roundness_m, "in", "peak to valley about the least-squares circle, RONt"),
        Result("zone", found.zone_m, "in", "roundness by the minimum zone"),
        *_diametral(found),
        Result("twice_radial", found.twice_radial_m, "in", "twice the roundness: what odd lobes are worth as a diameter, which no two-point gauge shows"),
        *wave_rows(found.waves, bool(doubt_of(g))),
        *place_rows(found.far, found.near),
        Result("residuals", tuple(found.off_m.tolist()), "in", "each place outside (positive) or inside the circle, in order of angle"),
        *span(doubt_of(g), count),
        *blind_rows(found.blind),
    ]  # fmt: skip
    return Answer(tuple(rows), tuple(_trace_words(g, found, doubt_of(g))))


def _diametral(found: Trace) -> list[Result]:
    if found.diametral_m is None or found.long_axis is None or found.short_axis is None:
        return []
    return [
        Result("ovality", found.ovality_m, "in", "diameter spread of the oval alone: four amplitudes"),
        Result("diametral", found.diametral_m, "in", "out-of-round as largest less smallest diameter, over all directions"),
        Result("long_axis", found.long_axis.clock, "", "where the diameter is largest"),
        Result("short_axis", found.short_axis.clock, "", "where it is smallest"),
    ]  # fmt: skip


def _trace_words(g: Given, found: Trace, doubt: float) -> list[str]:
    says = touch_words("out from the axis", "in", found.far, found.near)
    form = max(found.waves.lobes[1:], key=lambda lobe: lobe.amplitude_m, default=None)
    if form is not None and found.far and form.amplitude_m > doubt:
        says.append(f"The largest part of its form is {LOBES.get(form.order, f'{form.order}-lobed')}.")
    if found.diametral_m is not None and found.diametral_m < found.twice_radial_m / 2 and found.far:
        says.append("Most of it is odd lobes: a two-point gauge shows less than is there. Hold a limit for run-out or roundness against the trace, not against diameters.")  # fmt: skip
    if found.diametral_m is None:
        says.append("So few places tell off-centre and nothing of the form's lobes: read at least five, better eight or twelve.")  # fmt: skip
    return [
        *says,
        *few_words(found.waves, found.blind),
        *_gap_words(found),
        *noise_words(found.roundness_m, doubt, found.readings.angle_rad.size),
        *_repeat_words(found.readings.repeat_m, doubt),
        "Play of the bearing goes into a dial trace as if it were the part: take it up before reading.",
    ]


def _gap_words(found: Trace) -> list[str]:
    gap = found.readings.gap_rad
    return [f"Nothing was read over {gap * 180 / pi:.0f} degrees: what stands there is not known."] if gap > WIDE_GAP else []  # fmt: skip


def _repeat_words(repeat: float, doubt: float) -> list[str]:
    """Readings at one place that differ by more than the gauge explains."""
    if not repeat or repeat <= more_m(doubt):
        return []
    return [
        f"Readings at one place differ by {inches(repeat)}: did the gauge or the part move? They were averaged."
    ]


def _diameters(g: Given, _: Tables) -> Answer:
    (directions,) = places_apart(g, "directions")
    found = two_point(directions or None, g.many("diameters"), doubt_of(g))
    count = len(g.many("diameters"))
    rows = [
        Result("readings", count, "", "how many"),
        Result("mean", found.mean_m, "in", "mean diameter"),
        Result("out_of_round", found.out_of_round_m, "in", "largest reading less smallest"),
        *_oval(found, bool(doubt_of(g))),
        Result("long_axis", found.long_axis.clock, "", "where the diameter is largest"),
        Result("long_axis_at", found.long_axis.angle_rad, "deg", "the same as an angle"),
        Result("short_axis", found.short_axis.clock, "", "where it is smallest"),
        *span(doubt_of(g), count),
        *blind_rows(found.blind),
    ]
    return Answer(tuple(rows), tuple(_diameter_words(found, doubt_of(g), count)))


def _oval(found: Diameters, told: bool) -> list[Result]:
    if found.waves is None or found.ovality_m is None:
        return []
    doubt = (
        [Result("ovality_doubt", 4 * found.waves.lobes[0].doubt_m, "in", "of the ovality, k = 2")]
        if told
        else []
    )
    return [
        Result("ovality", found.ovality_m, "in", "of the oval alone, in whatever direction it lies"),
        *doubt,
        Result("fitted", found.fitted_m, "in", "largest less smallest of all even lobes told, over all directions"),
        *wave_rows(found.waves, told),
    ]  # fmt: skip


def _diameter_words(found: Diameters, doubt: float, count: int) -> list[str]:
    says = ["A two-point gauge is blind to three, five and every odd number of lobes: they leave all diameters alike. A dial about the axis shows them."]  # fmt: skip
    if found.waves is None:
        says.append("Two directions cannot place an oval: one that lies between them leaves both alike. Measure at least three.")  # fmt: skip
    else:
        even = [n for n in found.blind.never if n % 2 == 0]
        says += few_words(found.waves, Blind(tuple(even), found.blind.by_chance))
    return [
        *says,
        *noise_words(found.out_of_round_m, doubt, count),
        *_repeat_words(found.repeat_m, doubt),
    ]


RUN = "tests/published/test_form.py: "
FORMULAS = (
    Formula(
        name="circle",
        say="a circle through measured points, whole or part, and how round they are",
        asks=(
            Ask("x", "length", "first coordinates", "x", many=True),
            Ask("y", "length", "second coordinates", "y", many=True),
            DOUBT,
        ),
        work=_circle,
        formula="least sum of (|p - c| - R)^2 by Levenberg-Marquardt; U(x, y, R) = U sqrt(diag((J'J)^-1)); ring: least of max|p - c| - min|p - c| "
        "by exchange, held by four points out, in, out, in",
        source="Gander, Golub, Strebel, BIT 34 (1994) 558-578, section 3; ISO 12181-1:2011 for the words (title seen, clauses from memory); NIST "
        "Algorithm Testing System for the numbers",
        holds="points in one plane; under half a circle centre and radius are known poorly; points as good as in line have no answer",
        guard=RUN + "NIST circles to 1e-9; tests/measure/test_form.py: the ring against all pairs of supports",
    ),
    Formula(
        name="trace",
        say="a dial trace round an axis: run-out, off-centre, oval and other lobes, roundness, where to touch",
        asks=(
            Ask("readings", "length", "dial readings", "r", many=True),
            Ask("angles", "angle", "where each was read, clockwise from stud 1, any order; evenly from stud 1 where left out", "t", default="", many=True),
            DOUBT,
            Ask("nominal", "length", "diameter at reading zero; the readings are taken as small against it where left out", "D", default=""),
            GROWS,
        ),
        work=_trace,
        formula="r(t) = mean + sum a_n cos(n t - phase_n) by least squares, 2 n + 1 <= places; eccentricity a_1; ovality 4 a_2; RONt = peak to valley "
        "about the circle; diametral = max - min of 2 sum a_n cos(n t - phase_n), n even; shortfall a_n (1 - cos(n gap / 2))",
        source="ISO 12181-1:2011 (title seen, clauses from memory); least-squares waves, for even spacing the discrete Fourier transform",
        holds="one turn about a true axis, no play; without the diameter, off-centre e adds e^2 / (4 R) of false oval; 50 lobes at most",
        guard=RUN + "12 readings of three waves; tests/measure/test_form.py: numpy's FFT, linear programming",
    ),
    Formula(
        name="diameters",
        say="diameters in several directions: out-of-round, oval, long axis, and what a two-point gauge cannot see",
        asks=(
            Ask("diameters", "length", "the diameters", "D", many=True),
            Ask("directions", "angle", "of each, clockwise from stud 1; evenly over half a turn where left out", "t", default="", many=True),
            DOUBT,
        ),
        work=_diameters,
        formula="D(t) = mean + sum 2 a_n cos(n t - phase_n), n = 2, 4 ... by least squares; out-of-round = largest less smallest; ovality = 4 a_2",
        source="closed form; that a two-point gauge misses odd lobes: subject of ISO 4292 and textbooks (from memory)",
        holds="a gauge with two points through the centre; at least three directions to place an oval; odd lobes are never seen",
        guard=RUN + "two and three lobes in closed form",
    ),
    *flatness.FORMULAS,
)  # fmt: skip
