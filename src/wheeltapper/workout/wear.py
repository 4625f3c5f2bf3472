"""Wear alone: the rate that a visit would take, a straight line with its limits, and the size under a groove.

`wear-rate` follows the shop's own rule from the tables. `wear-line` is the plain regression, for any records.
"""

from __future__ import annotations

from itertools import pairwise
from math import sqrt

import numpy as np

from wheeltapper.measure import diameter, margin, number, wear, wear_line
from wheeltapper.measure.student import coverage_factor, tail
from wheeltapper.measure.wear import Line
from wheeltapper.measure.wear_line import Of
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.units import MILE_M, above, from_si
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import not_negative, over_zero
from wheeltapper.workout.limit import STANDS
from wheeltapper.workout.quantity import Quantities, quantity, together
from wheeltapper.workout.rows import row
from wheeltapper.workout.text import inches, miles, percent

GOVERNS = "The part maker's limit governs."
MAKER = f"{GOVERNS} A wear rate looks back, and the next miles may be harder."
SENSE_ASK = Ask(
    "sense", "word", "does the size grow or shrink as it wears", default="grows", words=("grows", "shrinks")
)
THOUSAND_M = 1000 * MILE_M


def _records(g: Given) -> tuple[tuple[float, ...], tuple[float, ...], float]:
    """Distances, material gone (a growing number), and +1 or -1."""
    distance, size = g.many("distance"), g.many("size")
    if len(distance) != len(size):
        raise NoAnswerError("distances and sizes are not equally many", "give each record both.")
    if any(b <= a for a, b in pairwise(distance)):
        raise NoAnswerError("the distances do not rise", "give the records from the oldest to the newest.")
    sign = -1.0 if g["sense"] == "shrinks" else 1.0
    worn = tuple(sign * s for s in size)
    if any(above(w, worn[-1] + 2 * g.number("doubt")) for w in worn):
        raise NoAnswerError(
            "the part was worn further at an earlier record than it is now",
            "see whether positions were mixed up or the part was changed, then measure again.",
        )
    return distance, worn, sign


def _setting(g: Given, tables: Tables, name: str, row: str) -> float:
    return g.number(name) if g.has(name) else tables.number(row)


def _wear_rate(g: Given, tables: Tables) -> Answer:
    over_zero(g, "doubt", "least", "faster", "service")
    distance, worn, sign = _records(g)
    least = _setting(g, tables, "least", "rate_least_miles")
    found = wear.rate(distance, worn, g.number("doubt"), least, _setting(g, tables, "faster", "faster_share"))
    rows = _slopes(distance, worn)
    if g.has("new") and g.has("limit"):
        rows.append(Result("used", _used(g), "%", "wear used, from new to the limit"))
    if found is None:
        return Answer(tuple(rows), (_not_enough(distance, least),))
    rows += [
        Result("rate", found.share, "", "wear for each length driven, the faster of both"),
        Result("rate_per_1000_mi", found.share * THOUSAND_M, "in", "wear in 1,000 miles at that rate"),
        Result(
            "faster", found.faster, "", "did the last interval wear clearly faster than all records together"
        ),
    ]
    says = ["It wears faster lately: look for the cause."] if found.faster else []
    if g.has("limit"):
        more, said = _ahead(g, tables, sign * g.number("limit") - worn[-1], found.share)
        rows, says = rows + more, [*says, *said]
    return Answer(tuple(rows), (*says, MAKER))


def _slopes(distance: tuple[float, ...], worn: tuple[float, ...]) -> list[Result]:
    """Both slopes as they are, whether or not they may be used."""
    if len(distance) < 2:
        return []
    whole = wear.line(distance, worn).slope * THOUSAND_M
    last = (worn[-1] - worn[-2]) / (distance[-1] - distance[-2]) * THOUSAND_M
    return [
        Result("all_per_1000_mi", whole, "in", "wear in 1,000 miles by the line through all records"),
        Result("last_per_1000_mi", last, "in", "wear in 1,000 miles by the last interval alone"),
    ]


def _used(g: Given) -> float:
    if g.number("new") == g.number("limit"):
        raise NoAnswerError("new and limit are the same size", "give the size when new and the limit.")
    return wear.used_share(g.many("size")[-1], g.number("new"), g.number("limit"))


def _not_enough(distance: tuple[float, ...], least: float) -> str:
    if len(distance) < 2 or distance[-1] - distance[0] < least * (1 - 1e-12):
        return f"Not enough to say: a rate takes two records at least {miles(least)} apart."
    return "Not enough to say: the change is no more than twice the gauge's doubt."


def _ahead(g: Given, tables: Tables, left: float, rate: float) -> tuple[list[Result], list[str]]:
    """What remains to the limit and when to look again."""
    left -= g.number("doubt") if g["take_doubt"] == "yes" else 0.0
    remaining = wear.remaining_m(left, rate)
    check = _interim_m(g, tables, remaining)
    rows = [
        Result("left", left, "in", "wear left to the limit, the gauge's doubt taken off if asked"),
        Result("remaining", remaining, "mi", "distance left at that rate"),
        Result("interim_check", check, "mi", "look again after this, rounded down"),
    ]
    again = f"look again within {miles(check)}" if check else "that is too little for another interval"
    says = [f"About {miles(remaining)} to the limit at that rate; {again}."]
    if left <= 0:
        says = ["Nothing is left to wear: at the limit, inside the gauge's doubt, or past it."]
    if g.has("service"):
        lasts = remaining >= g.number("service") * (1 - 1e-9)
        rows.append(Result("lasts_to_service", lasts, "", "does it last to the next service"))
        says += [] if lasts else ["It does not last to the next service: the owner decides, or it goes now."]
    return rows, says


def _interim_m(g: Given, tables: Tables, remaining_m: float) -> float:
    """The next look, a share of what remains rounded down to a step."""
    step, share = _setting(g, tables, "step", "interim_step"), _setting(g, tables, "interim_share", "interim_share")  # fmt: skip
    number.above_zero("the rounding step", step)
    number.part_of_one("the share at which to look again", share)
    return wear.interim(remaining_m / MILE_M, share, step / MILE_M) * MILE_M


def _wear_line(g: Given, _: Tables) -> Answer:
    x, y = together(g, "distance", "at"), together(g, "size", "limit")
    sign = -1.0 if g["sense"] == "shrinks" else 1.0
    line = wear.line(x.many("distance"), y.many("size"))
    rows = _line_rows(x, y, line, g.number("confidence"))
    if x.has("at"):
        rows += _at_rows(x, y, line, g.number("confidence"))
    says: list[str] = []
    if y.has("limit"):
        grown = wear.line(x.many("distance"), [sign * s for s in y.many("size")])
        if x.has("at") and line.residual is not None:
            rows += _past_rows(x, grown, sign * y.number("limit"))
        more, says = _passing(g, x, grown, sign * y.number("limit"))
        rows += more
    if x.has("at") and max(x.many("at")) > max(x.many("distance")):
        says.append("It looks past the last record: the limits hold only if the wear goes on as before.")
    return Answer(tuple(rows), tuple(says))


def _line_rows(x: Quantities, y: Quantities, line: Line, confidence: float) -> list[Result]:
    each = f"for each {x.unit or 'one'} of distance"
    one = (from_si(1.0, x.unit) if x.unit else 1.0) ** -1  # a slope is told for one unit as written
    rows = [
        Result("records", line.records, "", "number of records"),
        y.result("slope", line.slope * one, f"change {each}"),
        y.result("intercept", line.intercept, "the line at distance zero"),
    ]
    if line.slope_error is None:
        return rows
    reach = float(coverage_factor(confidence, line.records - 2)) * line.slope_error
    return [
        *rows,
        y.result("slope_error", line.slope_error * one, f"standard error of the slope, {each}"),
        y.result("slope_low", (line.slope - reach) * one, "lower limit of the slope at the confidence asked"),
        y.result("slope_high", (line.slope + reach) * one, "upper limit of the slope"),
        y.result("intercept_error", line.intercept_error, "standard error of the intercept"),
        y.result("residual", line.residual, "standard error of the records about the line"),
        *_fit_rows(line, line.slope_error),
    ]


def _fit_rows(line: Line, slope_error: float) -> list[Result]:
    """How well the line fits, as textbooks print it; nothing where that has no meaning."""
    rows: list[Result] = []
    if line.explained_share is not None:
        r = float(np.copysign(sqrt(max(0.0, line.explained_share)), line.slope))
        rows += [
            Result(
                "explained", line.explained_share, "%", "part of the spread that the line explains, R squared"
            ),
            Result("correlation", r, "", "correlation r"),
        ]
    if slope_error > 0:
        t = line.slope / slope_error
        say = "chance of so steep a line from records that do not change at all"
        rows += [
            Result("slope_t", t, "", "slope over its standard error"),
            Result("slope_by_chance", 2 * float(tail(abs(t), line.records - 2)), "%", say),
        ]
    return rows


def _at_rows(x: Quantities, y: Quantities, line: Line, confidence: float) -> list[Result]:
    """The line and its limits at each distance asked."""
    at = np.asarray(x.many("at"))
    rows = [y.result("line", wear_line.size_at_m(line, at), "size on the line at each distance asked")]
    if line.residual is None:
        return rows
    kinds: tuple[tuple[Of, str], ...] = (("line", "the mean size"), ("reading", "one more reading"))
    for of, say in kinds:
        low, high = wear_line.interval_m(line, at, confidence, of)
        rows += [
            y.result(f"{of}_error", wear_line.error_at_m(line, at, of), f"standard error of {say} there"),
            y.result(f"{of}_low", low, f"lower limit of {say} there"),
            y.result(f"{of}_high", high, f"upper limit of {say} there"),
        ]
    return rows


def _past_rows(x: Quantities, grown: Line, limit: float) -> list[Result]:
    at = np.asarray(x.many("at"))
    line, reading = (wear_line.past_share(grown, at, limit, of) for of in ("line", "reading"))
    return [
        row("line_past", line, "%", "probability that the mean size is past the limit there"),
        row("reading_past", reading, "%", "probability that one more reading is"),
    ]


def _passing(g: Given, x: Quantities, grown: Line, limit: float) -> tuple[list[Result], list[str]]:
    """Where the line meets the limit, and where the chance of having passed it comes to the one asked."""
    last, chance = max(x.many("distance")), g.number("chance")
    rows: list[Result] = []
    try:
        meets = float(wear_line.meeting_distance_m(grown, limit))
        rows.append(x.result("meets", meets, "where the line meets the limit"))
        rows.append(x.result("left_to_meet", meets - last, "from the last record to there"))
        mean = float(wear_line.passing_distance_m(grown, limit, chance, "line"))
        rows.append(
            x.result("line_passes", mean, "where the mean size is past the limit with the chance asked")
        )
        reading = float(wear_line.passing_distance_m(grown, limit, chance, "reading"))
    except NoAnswerError as slip:
        return rows, [f"No further distance can be told: {slip.what}. To do: {slip.do}", MAKER]
    rows.append(x.result("reading_passes", reading, "where one more reading is past it with that chance"))
    rows.append(x.result("left_to_pass", reading - last, "from the last record to there"))
    said = f"The line meets the limit at {x.text(meets)}; at {x.text(reading)} a reading is past it with a chance of {percent(chance)}."
    return rows, [said, MAKER]


def _groove(g: Given, _: Tables) -> Answer:
    over_zero(g, "surface")
    not_negative(g, "depth", "surface_doubt", "depth_doubt")
    surface, depth = g.number("surface"), g.number("depth")
    doubts = g.number("surface_doubt"), g.number("depth_doubt")
    bottom = diameter.at_groove_bottom_m(surface, depth)
    doubt = diameter.doubt_at_groove_bottom_m(*doubts)
    squares = margin.combined((doubts[0], 2 * doubts[1]))
    rows = (
        Result("bottom", bottom, "in", "diameter at the bottom of the groove"),
        Result("doubt", doubt, "in", "its doubt, both summed plainly: the rule"),
        Result("doubt_of_squares", squares, "in", "its doubt if both are independent"),
    )
    if not g.has("limit"):
        return Answer(rows)
    decides = margin.verdict(bottom, doubt, g.number("limit")) != margin.verdict(
        surface, doubts[0], g.number("limit")
    )
    said = f"The groove decides: the surface at {inches(surface)} would be called otherwise."
    says = (said, GOVERNS) if decides else (GOVERNS,)
    return Answer((*rows, *_against(bottom, doubt, g.number("limit"))), says)


def _against(bottom: float, doubt: float, limit: float) -> list[Result]:
    """Where the bottom stands against the limit."""
    rows = [
        Result("verdict", STANDS[margin.verdict(bottom, doubt, limit)], "", "where the bottom stands"),
        Result("room", limit - bottom, "in", "from the bottom to the limit"),
    ]
    if doubt > 0:
        sure = margin.conformance_share(bottom, doubt, limit)
        rows.append(Result("conformance", sure, "%", "how sure that it is inside"))
    return rows


FORMULAS = (
    Formula(
        name="wear-rate",
        say="wear in 1,000 miles, how far to the limit, and when to look again, as a visit reckons it",
        asks=(
            Ask("distance", "distance", "where each record was taken, oldest first", "x", many=True),
            Ask("size", "length", "what was measured at each: the largest diameter, the thinnest lining", "y", many=True),
            Ask("doubt", "length", "the worst gauge's expanded uncertainty, k = 2", "U"),
            SENSE_ASK,
            Ask("limit", "length", "the limit", "L", ""),
            Ask("new", "length", "size when new, for the wear used", "N", ""),
            Ask("take_doubt", "word", "is the doubt taken off what is left: yes for drums and rotors, no for linings and pads", default="yes",
                words=("yes", "no")),
            Ask("service", "distance", "distance to the next service", default=""),
            Ask("least", "distance", "least distance from first to last record; the tables' if left out", default=""),
            Ask("faster", "share", "how much faster the last interval must be to say so; the tables' if left out", default=""),
            Ask("interim_share", "share", "share of what is left at which to look again; the tables' if left out", default=""),
            Ask("step", "distance", "the interim check is rounded down to this; the tables' if left out", default=""),
        ),
        work=_wear_rate,
        formula="rate = the larger of the least-squares slope of all records and the last interval's; remaining = (L - U - y)/rate; look again "
        "after 80 % of it, rounded down; used = (y - N)/(L - N)",
        source="the shop's own rule, rows rate_least_miles, faster_share, interim_share, interim_step of limits.toml (assumed); least squares as "
        "NIST StRD",
        holds="records of one part in one place; no rate from a change of twice the doubt or less, nor from too short a distance. It takes the worse "
        "of two rates on purpose",
        guard="tests/published/test_wear.py: NIST StRD Norris; tests/measure/test_second_way.py: the slopes by another library",
    ),
    Formula(
        name="wear-line",
        say="a straight line through records, its limits at a distance, and the chance of having passed a limit",
        asks=(
            quantity("distance", "where each record was taken", "x"),
            quantity("size", "what was measured at each", "y"),
            quantity("at", "one distance or several to look at", "x0", ""),
            quantity("limit", "a limit of the size", "L", ""),
            SENSE_ASK,
            Ask("confidence", "share", "how much the limits of the line shall hold", "p", "95 %"),
            Ask("chance", "share", "chance of being past the limit, to learn the distance where it is reached", "q", "5 %"),
        ),
        work=_wear_line,
        formula="least squares; s^2 = sum of squares/(n - 2); limits b0 + b1 x0 +- t s sqrt(1/n + (x0 - xm)^2/Sxx) for the line, 1 more under the root "
        "for a reading, t with n - 2; P(past L at x0) = tail of t at (L - y0)/error; the distance for a chance solves the quadratic",
        source="Johnson, Miller & Freund's Probability and Statistics for Engineers, ch. 11, pages 305-315 of the edition coded (second-hand copy)",
        holds="records that scatter alike about one straight line, each on its own; three at least for any limit. Not for a cause that changes",
        guard="tests/published/test_wear.py: NIST StRD Norris, evaporation example; tests/measure/test_wear_line.py: matrix algebra and another "
        "library's t",
    ),
    Formula(
        name="groove-bottom",
        say="the diameter at the bottom of a groove or pit, with its doubt, against the limit",
        asks=(
            Ask("surface", "length", "diameter of the surface", "D"),
            Ask("depth", "length", "depth of the groove below it", "h"),
            Ask("surface_doubt", "length", "the gauge's expanded uncertainty, k = 2", "UD"),
            Ask("depth_doubt", "length", "the depth gauge's expanded uncertainty, k = 2", "Uh"),
            Ask("limit", "length", "the largest diameter allowed", "L", ""),
        ),
        work=_groove,
        formula="bottom = D + 2 h; doubt = UD + 2 Uh, summed plainly; for comparison sqrt(UD^2 + (2 Uh)^2)",
        source="geometry; the plain sum is the shop's own cautious rule, the other JCGM 100:2008 (GUM), 5.1.2 (10)",
        holds="a groove as deep on the far side of the diameter as on the near one, which is the cautious way to take it",
        guard="tests/workout/test_wear.py: the rule by hand; tests/measure/test_second_way.py: the root of squares by another library",
    ),
)  # fmt: skip
