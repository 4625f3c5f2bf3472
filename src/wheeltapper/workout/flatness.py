"""A face alone: how flat, how much it tilts, and one circle of dial readings taken apart.

Angles are clockwise from stud 1 at 12 o'clock as seen from outside. Every answer says what its readings cannot see.
"""

from __future__ import annotations

from math import pi

from wheeltapper.measure.flatness import FaceRunout, Flatness, Zone, face_points_m, face_runout, flatness
from wheeltapper.measure.readings import clock_text
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.form_rows import (
    DOUBT,
    GROWS,
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
from wheeltapper.workout.rows import row


def _flat(g: Given, _: Tables) -> Answer:
    if (g.has("x") or g.has("y") or g.has("z")) == g.has("readings"):
        raise NoAnswerError("give points either as x, y, z or as angles, radius, readings", "leave the others out.")  # fmt: skip
    places_apart(g, "x", "y")
    places_apart(g, "angles")
    if not g.has("readings"):
        x, y, z = g.many("x"), g.many("y"), signed(g, "z")
        found = flatness(x, y, z, doubt_of(g))
        return _flat_answer(found, [f"point {i + 1}" for i in range(len(z))], doubt_of(g), [], [])
    readings = signed(g, "readings")
    count = len(readings)
    angles = g.many("angles") or tuple(2 * pi * i / max(1, count) for i in range(count))
    radii = g.many("radius")
    one = len({round(r, 9) for r in radii}) <= 1
    run = face_runout(angles, readings, doubt_of(g), radii[0] if radii else None) if one else None
    rows = _run_out(run, doubt_of(g)) if run else []
    if not radii:
        says = [
            "Give the radius of the circle to have the tilt as an angle and the flatness square to the face."
        ]
        rows += [*place_rows(run.high, run.low), *span(doubt_of(g), count)] if run else []
        return Answer(tuple(rows), (*_run_words(run), *says))
    found = flatness(*face_points_m(angles, radii), readings, doubt_of(g))
    return _flat_answer(found, [clock_text(a) for a in angles], doubt_of(g), rows, _run_words(run))


def _flat_answer(
    found: Flatness, names: list[str], doubt: float, more: list[Result], says: list[str]
) -> Answer:
    count = len(names)
    high, low = (tuple(dict.fromkeys(names[i] for i in places)) for places in (found.high, found.low))
    rows = [
        *_plane_rows(found, count, doubt),
        *_zone_rows(found.zone),
        Result("high_places", high, "", "top quarter, highest first"),
        Result("low_places", low, "", "bottom quarter, lowest first"),
        *span(doubt, count),
        *more,
    ]
    words = [f"High at {', '.join(high[:4])}; low at {', '.join(low[:4])}."]
    words = says if more or found.zone.width_m <= 1e-12 else [*words, *says]
    few = [f"{count} points show little of a face: what stands between them is not seen. Read at least eight."]  # fmt: skip
    open_zone = [
        "The zone is the best near the least-squares plane; that no other is narrower is not proven."
    ]
    return Answer(tuple(rows), (
        *words,
        *(few if count < 8 else []),
        *([] if found.zone.proven else open_zone),
        *noise_words(found.zone.width_m, doubt, count),
    ))  # fmt: skip


def _plane_rows(found: Flatness, count: int, doubt: float) -> list[Result]:
    """The least-squares plane."""
    sure = [Result("tilt_doubt", found.doubt_tilt_rad, "deg", "in the worst direction, by the gauge and the placing, k = 2")]  # fmt: skip
    return [
        Result("points", count, "", "how many"),
        Result("least_squares", found.least_squares_m, "in", "peak to valley about the least-squares plane, FLTt"),
        Result("root_mean_square", found.root_mean_square_m, "in", "of the distances from it"),
        Result("tilt", found.tilt_rad, "deg", "of that plane; it does not count as flatness"),
        Result("uphill", found.uphill_rad, "deg", "the way it rises most, anticlockwise from x (x right, y up)"),
        *(sure if doubt else []),
        Result("normal", found.normal, "", "of that plane"),
        row("residuals", found.off_m, "in", "each point over (positive) or under it, square to it"),
    ]  # fmt: skip


def _zone_rows(zone: Zone) -> list[Result]:
    """The two closest planes."""
    held = tuple(f"{i + 1} {'up' if s > 0 else 'down'}" for i, s in zip(zone.contacts, zone.sides, strict=True))  # fmt: skip
    return [
        Result("zone", zone.width_m, "in", "flatness by the minimum zone: two parallel planes"),
        Result("zone_normal", zone.normal, "", "square to them"),
        Result("zone_contacts", held, "", f"the points that hold them, {zone.kind}"),
        Result("zone_proven", zone.proven, "", "is no other pair of planes closer"),
    ]


def _run_out(run: FaceRunout, doubt: float) -> list[Result]:
    """Rows of one circle of readings."""
    return [
        Result("total", run.total_m, "in", "total axial run-out: highest reading less lowest"),
        Result("wobble", run.wobble_m, "in", "the part that tilt alone makes"),
        Result("wobble_high", run.wobble_at.clock, "", "where tilt stands out most"),
        *([] if run.tilt_rad is None else [Result("run_out_tilt", run.tilt_rad, "deg", "that tilt")]),
        Result("warp", run.warp_m, "in", "what is left, peak to valley along the axis"),
        Result("warp_zone", run.warp_zone_m, "in", "the same by the minimum zone"),
        *wave_rows(run.waves, bool(doubt)),
        *blind_rows(run.blind),
    ]


def _run_words(run: FaceRunout | None) -> list[str]:
    if run is None:
        return []
    return [
        *touch_words("out of the tilted plane", "in", run.high, run.low),
        *few_words(run.waves, run.blind),
        "One circle of readings cannot see a dish or a cone: it reads the same all the way round. Read a second circle.",
        "End play of the bearing goes into the readings: push the hub one way while it turns.",
    ]


FORMULAS = (
    Formula(
        name="flatness",
        say="how flat a face is, where it stands out, and for one circle of dial readings tilt and warp apart",
        asks=(
            Ask("x", "length", "first coordinates in the face", "x", default="", many=True),
            Ask("y", "length", "second coordinates", "y", default="", many=True),
            Ask("z", "length", "heights", "z", default="", many=True),
            Ask("angles", "angle", "in place of x, y: clockwise from stud 1; evenly from stud 1 where left out", "t", default="", many=True),
            Ask("radius", "length", "distance from the axis, one for all or one for each", "r", default="", many=True, within=(0.0, 1.0)),
            Ask("readings", "length", "in place of z: dial readings", "h", default="", many=True),
            DOUBT,
            GROWS,
        ),
        work=_flat,
        formula="least squares: the plane square to the least singular direction; zone: least width of two parallel planes, held by 3-1 or 2-2 points; "
        "one circle: h(t) = mean + a_1 cos(t - phase) + warp, wobble 2 a_1, tilt atan(a_1 / r)",
        source="ISO 12781-1:2011 (title seen) and ISO 1101 (from memory) for the words; own exchange method",
        holds="distances square to the face, so tilt does not count; points between readings are not seen; one circle sees no dish",
        guard="tests/published/test_form.py: public data and closed forms; tests/measure/test_flatness.py: all pairs of edges, linear programming",
    ),
)  # fmt: skip
