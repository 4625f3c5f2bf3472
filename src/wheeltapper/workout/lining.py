"""Linings: where a new shoe touches a worn drum, what must bed in, and how far a lining still goes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from wheeltapper.measure import lining, wear
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.units import MILE_M, below
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import given_or, not_negative, one_way, over_zero
from wheeltapper.workout.rows import row
from wheeltapper.workout.text import inches

TOUCH = {-1: "heel and toe", 0: "all of its arc", 1: "crown"}


def _radius(g: Given, name: str) -> float:
    """A radius, given as such or as a diameter [m]."""
    told = [n for n in (name, f"{name}_radius") if g.has(n)]
    if len(told) != 1:
        raise NoAnswerError(
            f"the size of the {name} is not known once", f"give either {name}, a diameter, or {name}_radius."
        )
    over_zero(g, told[0])
    return g.number(told[0]) / (2 if told[0] == name else 1)


def _contact(g: Given, tables: Tables) -> Answer:
    drum, shoe = _radius(g, "drum"), _radius(g, "shoe")
    half = given_or(g, "arc", 2 * tables.number("shoe_half_arc")) / 2
    limit = given_or(g, "gap_limit", tables.number("arc_touch"))
    offset = lining.touching_offset_m(drum, shoe, half)
    share = lining.touching_share(drum, shoe, half, limit)
    depth = lining.wear_in_depth_m(drum, shoe, half)
    area = lining.wear_in_area_m2(drum, shoe, half)
    side = 0 if abs(drum - shoe) < 1e-9 else int(np.sign(drum - shoe))
    rows = [
        Result("touches_at", TOUCH[side], "", "where it touches first"),
        Result("crown_gap", lining.gap_m(drum, shoe, offset, 0.0), "in", "at the crown when it first touches"),
        Result("end_gap", lining.gap_m(drum, shoe, offset, half), "in", "at heel and toe when it first touches"),
        Result("touching_share", share, "%", "of the arc within the gap limit"),
        Result("touching_angle", 2 * half * share, "deg", "that arc, whole: about the crown, or both ends together"),
        Result("to_wear", depth, "in", "thickness that bedding in takes where it takes most"),
        Result("to_wear_area", area, "mm2", "area of the side view that bedding in takes; times the width, the volume"),
        Result("to_wear_mean", area / (2 * half * drum), "in", "thickness that it takes on average"),
        Result("arc_chord", lining.segment_chord_m(drum, 2 * half), "in", "straight across the drum from heel to toe"),
        Result("arc_height", lining.segment_height_m(drum, 2 * half), "in", "of the drum's arc over that chord"),
        Result("arc_area", lining.segment_area_m2(drum, 2 * half), "mm2", "between that chord and the drum"),
    ]  # fmt: skip
    return Answer(
        (*rows, *_gaps(g, drum, shoe, half)),
        tuple(_contact_words(g, side, share, depth, tables.number("lining_min"))),
    )


def _gaps(g: Given, drum: float, shoe: float, half: float) -> list[Result]:
    """The gaps at the angles asked."""
    if not g.has("angles"):
        return []
    at = np.asarray(g.many("angles"))
    if np.any(np.abs(at) > half + 1e-12):
        raise NoAnswerError(
            "an angle lies past the end of the lining", "give angles from the crown, up to half the arc."
        )
    offset = lining.touching_offset_m(drum, shoe, half)
    gaps = lining.gap_m(np.full_like(at, drum), np.full_like(at, shoe), np.full_like(at, offset), at)
    return [row("gaps", gaps, "in", "at the angles asked, from the crown")]


def _contact_words(g: Given, side: int, share: float, depth: float, minimum: float) -> list[str]:
    said = f"The lining first touches at its {TOUCH[side]}"
    says = ["Lining and drum have one radius: all of it touches." if side == 0 else f"{said}, over {100 * share:.0f}% of its arc."]  # fmt: skip
    if side and share >= 1:
        says.append("Nowhere is the gap wider than what still counts as contact.")
    elif side > 0:
        says.append("Braking is weak until it beds in: it is round for a smaller drum. Arc it to this drum, or renew the drum.")  # fmt: skip
    elif side < 0:
        says.append("It tends to grab (common practice, no published figure): arc it to this drum before fitting.")  # fmt: skip
    if g.has("thickness"):
        over_zero(g, "thickness")
        left = max(g.number("thickness") - depth, 0.0)
        least = f", under the minimum of {inches(minimum)}" if below(left, minimum) else ""
        says.append(f"Where bedding in takes most, {inches(left)} of {inches(g.number('thickness'))} is left afterwards{least}.")  # fmt: skip
    return says


def _life(g: Given, tables: Tables) -> Answer:
    least = given_or(g, "minimum", tables.number("lining_min"))
    where, sizes, now = _records(g)
    not_negative(g, "doubt")
    doubt = g.number("doubt")
    left = now - doubt - least
    rows = [Result("left", left, "in", "thickness over the minimum, the gauge's doubt taken off")]
    new = max(g["new"] if g.has("new") else 0.0, *sizes)
    if new > least and (g.has("new") or len(sizes) > 1):
        rows.append(Result("used_share", wear.used_share(now, new, least), "%", "of the way from the thickest known to the minimum"))  # fmt: skip
    rate = _rate(where, sizes, doubt, tables)
    if rate is None:
        return Answer(tuple(rows), ("These records are too few, too close together or too alike for a rate of wear.",))  # fmt: skip
    ahead = wear.remaining_m(left, rate.share)
    share, step = tables.number("interim_share"), tables.number("interim_step") / MILE_M
    interim = wear.interim(ahead / MILE_M, share, step)
    rows += [
        Result("wear", rate.share * 1000 * MILE_M, "in", "each 1,000 miles, the faster of all records and the last interval"),
        Result("faster", rate.faster, "", "did the last interval wear clearly faster"),
        Result("remaining", ahead, "mi", "until the minimum at that rate"),
        Result("interim", interim * MILE_M, "mi", f"next look: {100 * share:.0f} % of it, rounded down to {step:.0f} miles"),
    ]  # fmt: skip
    return Answer(tuple(rows), tuple(_life_words(left, interim, rate.faster)))


def _records(g: Given) -> tuple[Sequence[float], Sequence[float], float]:
    """Distances, thicknesses, and the thickness now: from two lists, or from new, now and the miles between."""
    do = "write now='0.11 in', or distances and thicknesses."
    over_zero(g, one_way(g, do, now="now", thicknesses="the records"))
    if g.has("now"):
        now = g.number("now")
        known = g.has("new") and g.has("distance")
        return ((0.0, g["distance"]), (g["new"], now), now) if known else ((0.0,), (now,), now)
    where, sizes = g.many("distances"), g.many("thicknesses")
    if len(where) != len(sizes) or list(where) != sorted(set(where)):
        raise NoAnswerError("each thickness needs its own distance, in the order driven", "give as many distances as thicknesses.")  # fmt: skip
    return where, sizes, sizes[-1]


def _rate(where: Sequence[float], sizes: Sequence[float], doubt: float, tables: Tables) -> wear.Rate | None:
    grown = [later - earlier for earlier, later in pairwise(sizes)]
    if any(not below(change, 2 * doubt) and change > 0 for change in grown):
        raise NoAnswerError(
            "a lining grew thicker along the way", "start its records anew where it was renewed."
        )
    worn = [sizes[0] - size for size in sizes]
    return wear.rate(where, worn, doubt, tables.number("rate_least_miles"), tables.number("faster_share"))


def _life_words(left: float, interim: int, faster: bool) -> list[str]:
    says = ["It wore faster lately: find out why before counting on the miles."] if faster else []
    if left <= 0:
        return [
            *says,
            "At the minimum, inside the gauge's doubt of it, or under it: nothing is left to drive on.",
        ]
    return [
        *says,
        f"Look again in {interim:,} miles." if interim else "Not enough is left for another interval.",
    ]


def _both(name: str, say: str) -> tuple[Ask, Ask]:
    return (
        Ask(name, "length", f"diameter of {say}", "", default=""),
        Ask(f"{name}_radius", "length", "its radius, in place of the diameter", "R" if name == "drum" else "r", default=""),
    )  # fmt: skip


FORMULAS = (
    Formula(
        name="shoe-contact",
        say="where a lining of one radius touches a drum of another, the gaps, and what must wear in",
        asks=(
            *_both("drum", "the drum's friction surface, as measured"), *_both("shoe", "the circle that the lining's face is part of; new shoes are arced to the drum's nominal size"),
            Ask("arc", "angle", "whole arc of the lining seen from the drum's centre; 110 deg, assumed, where left out", "2 a", default=""),
            Ask("gap_limit", "length", "gap still called contact; 0.004 in, assumed, where left out", "g", default=""),
            Ask("angles", "angle", "angles from the crown at which to tell the gap", "t", default="", many=True),
            Ask("thickness", "length", "thickness of the lining, to tell what bedding in leaves", "", default=""),
        ),
        work=_contact,
        formula="gap = R - e cos t - sqrt(r^2 - e^2 sin^2 t); e = R - r (crown touches) or R cos a - sqrt(r^2 - R^2 sin^2 a) (ends touch); "
        "within g where cos t = ((R - g)^2 + e^2 - r^2)/(2 e (R - g)); wear to the other e; segments h = R(1 - cos a), c = 2 R sin a",
        source="circle geometry, exact; segments as in handbook tables (Machinery's Handbook, from memory). No published numbers for shoes found",
        holds="true arcs, shoe parallel to the drum and moving straight at its crown, nothing bending. A shoe on an anchor beds in unevenly",
        guard="tests/published/test_lining.py: segment table; tests/measure/test_lining.py: points laid out by numpy, areas by quadrature",
    ),
    Formula(
        name="lining-life",
        say="how much of a lining is used and how far the rest goes",
        asks=(
            Ask("now", "length", "thickness now, at the thinnest place", "t", default=""),
            Ask("new", "length", "thickness when new", "t0", default=""), Ask("distance", "distance", "driven since new", "", default=""),
            Ask("distances", "distance", "where each record was taken, in the order driven; in place of now", "x", default="", many=True),
            Ask("thicknesses", "length", "thickness at each", "t", default="", many=True),
            Ask("minimum", "length", "minimum; 1/16 in, the bonded lining's, where left out; 1/32 in over rivets", "tm", default=""),
            Ask("doubt", "length", "the gauge's expanded uncertainty, k = 2", "U", default="0 in"),
        ),
        work=_life,
        formula="left = t - U - tm; remaining = left / rate, rate the larger of the least-squares slope and the last interval's; next look at 80 % of it",
        source="49 CFR 393.47(d)(2) and 570.59(c) for minimums (they bind commercial vehicles); least squares as in NIST StRD Norris; 80 % and "
        "the 500-mile step are house rules",
        holds="wear that goes on as it went; at least two records a thousand miles apart that differ by more than twice the doubt",
        guard="tests/published/test_wear.py: NIST StRD Norris; tests/workout/test_lining.py",
    ),
)  # fmt: skip
