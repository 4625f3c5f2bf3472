"""Torque and clamp of one stud: stress area, nut factor, torque to pull and back. The joint itself is in `joint.py`.

Friction is a range wherever nobody measured it, so an answer is a range: its ends are what a wrench really leaves.
"""

from __future__ import annotations

import numpy as np

from wheeltapper.measure import clamp, number
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.metal import Grade
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import given_or, one_way, over_zero
from wheeltapper.workout.named import row_named
from wheeltapper.workout.ranges import corners
from wheeltapper.workout.rows import spread
from wheeltapper.workout.sense import FRICTION_CAN_BE
from wheeltapper.workout.text import figures, inches
from wheeltapper.workout.thread import Thread, thread_named

DIAMETER_ASKS = (
    Ask("stud", "word", "thread as marked, such as 1/2-20 or M12x1.5; or give its diameter", default=""),
    Ask("diameter", "length", "outside diameter of the thread", "d", default=""),
)  # fmt: skip
THREAD_ASKS = (
    *DIAMETER_ASKS,
    Ask("pitch", "length", "pitch of a metric thread", "P", default=""),
    Ask(
        "threads",
        "thread count",
        "threads to the inch of an inch thread, in place of a pitch",
        "n",
        default="",
    ),
)
AREA_ASK = Ask("area", "area", "tensile stress area, in place of the one worked out", "As", default="")
GRADE_ASK = Ask("grade", "word", "grade or class of the grades table, such as 'grade 5' or 10.9", default="")
PROOF_ASK = Ask("proof", "pressure", "proof strength, in place of the grade's", "Sp", default="")
FACTOR_ASK = Ask("nut_factor", "number", "nut factor K, one number or low and high; 0.20 dry, 0.15 oiled", "K", "0.15 0.20", True, within=FRICTION_CAN_BE)  # fmt: skip
ANGLE_ASK = Ask("seat_angle", "angle", "whole cone angle of the nut's seat: 60 or 90 deg; 180 deg is flat", "", default="180 deg")  # fmt: skip
SEAT_ASK = Ask(
    "seat_friction",
    "number",
    "friction under the nut, one number or low and high",
    "mu_c",
    many=True,
    within=FRICTION_CAN_BE,
)
RUB_ASK = Ask("thread_friction", "number", "friction between the threads, one number or low and high", "mu", many=True, within=FRICTION_CAN_BE)  # fmt: skip
STRUCTURAL_SHARE = 0.7  # EN 1993-1-8
SEAT_TIMES = 1.25  # mean diameter of a seat for each diameter of its stud: Shigley, section 8-8
TORQUED = "A torque wrench sets a torque, not a clamp: the wheel's or axle's label gives the torque, and it comes first."


def thread(g: Given, tables: Tables) -> Thread:
    """The thread by name, or by its sizes."""
    sizes = [name for name in ("diameter", "pitch", "threads") if g.has(name)]
    if g.has("stud"):
        if sizes:
            raise NoAnswerError(
                f"stud and {sizes[0]} say the same thing twice", "give the stud, or its sizes."
            )
        return thread_named(str(g["stud"]), tables)
    if len(sizes) != 2 or "diameter" not in sizes:
        raise NoAnswerError(
            "the thread is not known", "give stud, or diameter with either pitch or threads (to the inch)."
        )
    over_zero(g, *sizes)
    pitch = g.number("pitch") if g.has("pitch") else 1 / g.number("threads")
    return Thread(g.number("diameter"), pitch, g.has("threads"))


def diameter(g: Given, tables: Tables) -> float:
    """Outside diameter of the thread, which alone is enough for a nut factor [m]."""
    alone = g.has("diameter") and not any(g.has(name) for name in ("stud", "pitch", "threads"))
    return g.number("diameter") if alone else thread(g, tables).diameter


def area(g: Given, tables: Tables) -> float:
    """Stress area as given, else of the thread [m2]."""
    return given_or(g, "area", 0.0) or thread(g, tables).area


def grade(g: Given, tables: Tables) -> Grade | None:
    """The grade by name for the size of this stud, None where none was given."""
    if not g.has("grade"):
        return None
    name, d = str(g["grade"]), diameter(g, tables)
    rows = row_named(tables.grades, "grade", name)
    found = tables.grade(rows[0].name, d)
    if found is None:
        raise NoAnswerError(
            f"{name} is not made for a thread of {inches(d)}: its sizes go from {inches(rows[0].from_m)} to {inches(rows[-1].to_m)}",
            "read the mark and the size again, or give the strength itself from the stud's maker.",
        )
    return found


def proof(g: Given, tables: Tables) -> float | None:
    """Proof strength as given, else of the grade [Pa]."""
    row = grade(g, tables)
    return given_or(g, "proof", row.proof_pa if row else None)


def force_unit(g: Given) -> str:
    """What this reader counts forces in: newtons with a metric thread, which has a pitch or whole millimetres."""
    millimetres = 1e3 * g.number("diameter") if g.has("diameter") else 0.5
    whole = abs(millimetres - round(millimetres)) < 1e-9
    metric = whole or g.get("pitch") is not None or str(g.get("stud") or "").startswith("M")
    return "lbf" if g.get("threads") is not None or not metric else "kN"


def torque_unit(g: Given) -> str:
    """Foot-pounds with an inch thread, else newton metres."""
    return "ft-lb" if force_unit(g) == "lbf" else "N m"


def _stress_area(g: Given, tables: Tables) -> Answer:
    t, row = thread(g, tables), grade(g, tables)
    length, force = ("in", "lbf") if t.inch else ("mm", "kN")
    rows = [
        Result("area", t.area, "in2" if t.inch else "mm2", "tensile stress area"),
        Result("pitch", t.pitch, length, "pitch"),
        Result("pitch_diameter", clamp.pitch_diameter_m(t.diameter, t.pitch), length, "pitch diameter d2"),
        Result("root_diameter", clamp.root_diameter_m(t.diameter, t.pitch), length, "root diameter d3"),
    ]
    strengths = {
        "proof": proof(g, tables),
        "yield": row.yield_pa if row else None,
        "tensile": given_or(g, "tensile", row.tensile_pa if row else None),
    }
    rows += [
        Result(f"{name}_load", clamp.preload_at_share_n(t.area, strength, 1.0), force, f"{name} strength times area")
        for name, strength in strengths.items() if strength
    ]  # fmt: skip
    if strengths["tensile"]:
        slip = clamp.preload_at_share_n(t.area, strengths["tensile"], STRUCTURAL_SHARE)
        rows.append(
            Result("structural_preload", slip, force, "0.7 of the tensile load, as structural joints use")
        )
    return Answer(tuple(rows))


def _torque_preload(g: Given, tables: Tables) -> Answer:
    over_zero(g, one_way(g, "write torque='90 ft-lb'.", torque="the torque", preload="the preload"))
    (factor,), d = corners(g, "nut_factor"), diameter(g, tables)
    wide = np.full_like(factor, d)
    pull = clamp.preload_from_torque_n(g["torque"] + 0 * factor, factor, wide) if g.has("torque") else g["preload"] + 0 * factor  # fmt: skip
    torque = clamp.torque_for_preload_n_m(pull, factor, wide)
    rows = [spread("preload", pull, force_unit(g), "clamp of this stud"), spread("torque", torque, torque_unit(g), "at the nut")]  # fmt: skip
    says = [_either(g, pull, torque)]
    strength = proof(g, tables)
    if strength:
        share = clamp.strength_share(pull, np.full_like(pull, area(g, tables)), np.full_like(pull, strength))
        rows.append(spread("proof_share", share, "%", "of the proof load"))
        says += past_strength(g, tables, pull)
    return Answer(tuple(rows), (*says, TORQUED))


def _either(g: Given, pull: Floats, torque: Floats) -> str:
    if g.has("torque"):
        return f"This torque leaves a clamp of {figures(pull, force_unit(g))} on each stud: the least with the most friction."
    return f"This clamp takes {figures(torque, torque_unit(g))} at the nut: the most with the most friction."


def past_strength(g: Given, tables: Tables, pull: Floats) -> list[str]:
    """What becomes of a stud that is pulled past its proof load, its yield strength or its tensile strength [N]."""
    row, proven = grade(g, tables), proof(g, tables)
    limits = (
        (row.tensile_pa if row else None, "tensile strength", "the stud breaks", "it breaks"),
        (row.yield_pa if row else None, "yield strength", "the stud stretches for good", "it stretches for good"),
        (proven, "proof load", "the stud may stretch for good", "it may stretch for good"),
    )  # fmt: skip
    for strength, name, all_of_it, it in limits:
        share = pull / area(g, tables) / strength if strength else np.zeros(1)
        if share.min() > 1:
            return [f"{all_of_it.capitalize()}: this is past its {name} ({figures(share, '%')} of it)."]
        if share.max() > 1:
            return [f"At the high end the stud is past its {name} ({figures(share.max(), '%')} of it): {it}."]
    return []


def _torque_for_proof(g: Given, tables: Tables) -> Answer:
    strength = proof(g, tables)
    if strength is None:
        raise NoAnswerError("the stud's strength is not known", "give grade or proof; a stud without a mark has no known grade.")  # fmt: skip
    over_zero(g, "share")
    (factor,) = corners(g, "nut_factor")
    pull = clamp.preload_at_share_n(area(g, tables), strength, g.number("share"))
    torque = clamp.torque_for_preload_n_m(np.full_like(factor, pull), factor, np.full_like(factor, diameter(g, tables)))  # fmt: skip
    rows = (
        Result("area", area(g, tables), "in2" if force_unit(g) == "lbf" else "mm2", "tensile stress area"),
        Result("preload", pull, force_unit(g), "clamp at that share of proof"),
        spread("torque", torque, torque_unit(g), "for that clamp"),
    )
    says = []
    if factor.max() > factor.min():
        oiled = g.number("share") * factor.max() / factor.min()
        says = [
            f"Set for the driest thread of this range, the slickest would stand at {figures(oiled, '%')} of proof."
        ]
    return Answer(rows, (*past_strength(g, tables, np.array([pull])), *says, TORQUED))


def _mean(g: Given, t: Thread) -> float:
    pitch, root = clamp.pitch_diameter_m(t.diameter, t.pitch), clamp.root_diameter_m(t.diameter, t.pitch)
    return given_or(g, "mean_diameter", pitch if g["mean"] == "pitch diameter" else (t.diameter + root) / 2)


def _nut_factor(g: Given, tables: Tables) -> Answer:
    t = thread(g, tables)
    mean, lead = _mean(g, t), given_or(g, "lead", t.pitch)
    collar = given_or(g, "seat_diameter", SEAT_TIMES * t.diameter)
    over_zero(g, "preload", "torque")
    rub, seat = corners(g, "thread_friction", "seat_friction")
    flank, angle = g.number("thread_angle") / 2, g.number("seat_angle")
    d, ones = t.diameter + 0 * rub, np.ones_like(rub)
    thread_part = clamp.thread_torque_n_m(ones, mean * ones, lead * ones, rub, flank) / d
    seat_part = clamp.collar_torque_n_m(ones, collar * ones, seat, angle) / d
    factor = clamp.nut_factor_share(d, mean * ones, lead * ones, rub, collar * ones, seat, flank, angle)
    length = "in" if t.inch else "mm"
    rows = [
        Result("lead_angle", clamp.lead_angle_rad(mean, lead), "deg", "climb of the thread"),
        Result("mean_diameter", mean, length, "mean diameter of the thread"),
        Result("seat_diameter", collar, length, "mean diameter of the seat that rubs"),
        spread("thread_part", thread_part, "", "of the nut factor"),
        spread("seat_part", seat_part, "", "of the nut factor"),
        spread("nut_factor", factor, "", "K of torque = K x diameter x clamp"),
    ]
    if g.has("preload"):
        rows.append(spread("torque", clamp.torque_for_preload_n_m(g["preload"] * ones, factor, d), torque_unit(g), "for that clamp"))  # fmt: skip
    if g.has("torque"):
        rows.append(spread("preload", clamp.preload_from_torque_n(g["torque"] * ones, factor, d), force_unit(g), "from that torque"))  # fmt: skip
    return Answer(tuple(rows))


def _assembly(g: Given, tables: Tables) -> Answer:
    t = thread(g, tables)
    rub, seat = corners(g, "thread_friction", "seat_friction")
    pull = _assembly_pull(g, tables, t, rub)
    ones, mean, collar = np.ones_like(rub), clamp.pitch_diameter_m(t.diameter, t.pitch), _collar(g, t)
    angle, force, turning = g.number("seat_angle"), force_unit(g), torque_unit(g)
    torque = clamp.assembly_torque_n_m(pull, t.pitch * ones, mean * ones, rub, collar * ones, seat, angle)
    seat_part = clamp.collar_torque_n_m(pull, collar * ones, seat, angle)
    climb = 0.16 * t.pitch * pull
    rows = (
        spread("preload", pull, force, "assembly preload FM"),
        spread("torque", torque, turning, "assembly torque MA"),
        spread("climb_part", climb, turning, "of it, climb of the thread: all that clamps"),
        spread("thread_part", torque - climb - seat_part, turning, "of it, friction in the thread"),
        spread("seat_part", seat_part, turning, "of it, friction under the nut"),
        spread("tension", pull / t.area, "ksi" if t.inch else "MPa", "pull over stress area"),
        spread("nut_factor", torque / pull / t.diameter, "", "the same as a nut factor K"),
    )
    return Answer(rows, (*_broken(g, tables, t, pull), TORQUED))


def _broken(g: Given, tables: Tables, t: Thread, pull: Floats) -> list[str]:
    """A preload of the reader's own against the strength that is known."""
    row = grade(g, tables)
    if row and np.max(pull) / t.area > row.tensile_pa:
        return [f"The stud breaks: {figures(pull / t.area / row.tensile_pa, '%')} of its tensile strength."]
    strength = given_or(g, "yield", row.yield_pa if row else None)
    over = np.max(pull) / t.area / strength if strength else 0.0
    return [f"The stud stretches for good: {figures(over, '%')} of its yield strength."] if over > 1 else []


def _assembly_pull(g: Given, tables: Tables, t: Thread, rub: Floats) -> Floats:
    """The preload as given, else from the yield strength and the share of it to use."""
    row, ones = grade(g, tables), np.ones_like(rub)
    strength = given_or(g, "yield", row.yield_pa if row else None)
    if g.has("preload"):
        return given_or(g, "preload", 0.0) * ones
    if strength is None:
        raise NoAnswerError("neither strength nor preload is known", "give grade, yield or preload.")
    over_zero(g, "use")
    number.part_of_one("the share of the yield strength", g.number("use"))
    return clamp.assembly_preload_n(strength * ones, t.diameter * ones, t.pitch * ones, rub, g.number("use"))


def _collar(g: Given, t: Thread) -> float:
    if g.has("seat_diameter") or not (g.has("head") or g.has("hole")):
        return given_or(g, "seat_diameter", SEAT_TIMES * t.diameter)
    if not (g.has("head") and g.has("hole")):
        raise NoAnswerError("head and hole belong together", "give both, or seat_diameter alone.")
    over_zero(g, "head", "hole")
    return (g.number("head") + g.number("hole")) / 2


SEAT_DIAMETER_ASK = Ask("seat_diameter", "length", "mean diameter of the seat that rubs; 1.25 d where left out", "dc", default="")  # fmt: skip
PRELOAD_ASK = Ask("preload", "force", "clamp of one stud", "F", default="")
TORQUE_ASK = Ask("torque", "torque", "torque at the nut", "T", default="")

FORMULAS = (
    Formula(
        name="stress-area",
        say="tensile stress area of a thread, and the loads of its strength",
        asks=(*THREAD_ASKS, GRADE_ASK, PROOF_ASK, Ask("tensile", "pressure", "tensile strength, in place of the grade's", "Su", default="")),
        work=_stress_area,
        formula="metric As = pi/4 (d - 0.9382 P)^2; inch As = pi/4 (d - 0.9743/n)^2; load = strength x As; structural preload 0.7 Su As",
        source="ISO 898-1 and ASME B1.1 (clauses from memory, areas read in reprinted tables); EN 1993-1-8, 3.9.1 (a page quoting it)",
        holds="60 degree threads; nominal sizes, not a worn or necked stud",
        guard="tests/published/test_clamp.py: ISO 898-1, Jindal 9-1, UN areas, EN 1993-1-8 preloads",
    ),
    Formula(
        name="torque-preload",
        say="clamp that a torque leaves on a stud, or the torque for a clamp, over a range of friction",
        asks=(*THREAD_ASKS, TORQUE_ASK, PRELOAD_ASK, FACTOR_ASK, AREA_ASK, GRADE_ASK, PROOF_ASK),
        work=_torque_preload,
        formula="F = T / (K d); share of proof = F / (As Sp)",
        source="Shigley's Mechanical Engineering Design, section 8-8; K 0.20 dry and 0.15 oiled from a reprinted SAE J429 supplier table",
        holds="a hand torque wrench on a clean thread with no locking ring. K is the only friction in it, and a rusty or painted stud may lie "
        "outside 0.15 to 0.20",
        guard="tests/published/test_clamp.py: Wentzell Example 6.1, Jindal Example 9-5, both turned round",
    ),
    Formula(
        name="torque-for-proof",
        say="torque for a wanted share of a stud's proof load",
        asks=(*THREAD_ASKS, AREA_ASK, GRADE_ASK, PROOF_ASK, Ask("share", "share", "share of proof wanted", default="75 %"), FACTOR_ASK),
        work=_torque_for_proof,
        formula="F = share x Sp x As; T = K d F",
        source="Shigley's Mechanical Engineering Design, sections 8-8 and 8-9; 75 % of proof for joints taken apart again",
        holds="as torque-preload. It is a check on a published torque and never its replacement: some published wheel torques pass 100 % of proof "
        "at K = 0.20, so that K does not fit all of them",
        guard="tests/published/test_clamp.py: Wentzell Example 6.1 p. 120, Jindal Example 9-5 p. 268 (second-hand copies)",
    ),
    Formula(
        name="nut-factor",
        say="nut factor K from the friction of thread and seat, flat or conical",
        asks=(
            *THREAD_ASKS, RUB_ASK, SEAT_ASK, SEAT_DIAMETER_ASK, ANGLE_ASK,
            Ask("mean", "word", "which mean diameter of the thread", default="halfway to the root", words=("halfway to the root", "pitch diameter")),
            Ask("mean_diameter", "length", "mean diameter of the thread, in place of that", "dm", default=""),
            Ask("lead", "length", "climb in one turn, where it is not one pitch", "l", default=""),
            Ask("thread_angle", "angle", "whole angle of the thread", "2 alpha", default="60 deg"), PRELOAD_ASK, TORQUE_ASK,
        ),
        work=_nut_factor,
        formula="K = dm/(2 d) (tan l + mu/cos a)/(1 - mu tan l/cos a) + dc mu_c/(2 d sin(seat/2)), tan l = lead/(pi dm)",
        source="Shigley's Mechanical Engineering Design, section 8-8; Jindal, Machine Design, Example 9-3 p. 267 (second-hand copy)",
        holds="steady friction while the nut is turned on; a conical seat that touches along its mean diameter. Friction itself is given, never "
        "guessed",
        guard="tests/published/test_clamp.py: Jindal 9-3; tests/measure/test_clamp.py: work done in a small turn, forces on a flank",
    ),
    Formula(
        name="assembly-torque",
        say="preload and torque at a share of the yield strength, tension and twist together",
        asks=(
            *THREAD_ASKS, GRADE_ASK, Ask("yield", "pressure", "0.2 % proof stress, in place of the grade's", "Rp0.2", default=""),
            Ask("use", "share", "share of it to use", "nu", default="90 %"), RUB_ASK, SEAT_ASK,
            Ask("head", "length", "outside diameter that presses, with hole", "dw", default=""),
            Ask("hole", "length", "inside diameter of the seat", "dh", default=""), SEAT_DIAMETER_ASK, ANGLE_ASK,
            Ask("preload", "force", "preload, in place of the one from strength", "FM", default=""),
        ),
        work=_assembly,
        formula="FM = nu Rp0.2 As / sqrt(1 + 3 (1.5 d2/ds (P/(pi d2) + 1.155 mu))^2); MA = FM (0.16 P + 0.58 d2 mu + DKm/2 mu_c / sin(seat/2))",
        source="VDI 2230 Part 1 (2003), steps R7 and R13, from memory; its tables read on a supplier's catalogue page. The conical seat is ours",
        holds="60 degree threads with a full shank, up to yield; metric stress area inside FM for every thread. Tables of the guideline use these "
        "sizes of seats: hexagon heads, holes of the medium series",
        guard="tests/published/test_clamp.py: VDI 2230 guide values for M12x1.25 and M20x1.5 8.8",
    ),
)  # fmt: skip
