"""The clamped joint: turn of the nut, clamp that is lost, slip of a wheel on its hub; with the published nut torques as one list."""

from __future__ import annotations

from math import inf

import numpy as np

from wheeltapper.measure import clamp, joint
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.units import WORKOUT_UNITS
from wheeltapper.workout import nut_torque
from wheeltapper.workout.clamp import (
    AREA_ASK,
    DIAMETER_ASKS,
    FACTOR_ASK,
    GRADE_ASK,
    PROOF_ASK,
    THREAD_ASKS,
    TORQUED,
    area,
    diameter,
    force_unit,
    past_strength,
    thread,
    torque_unit,
)
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import given_or, not_negative, one_way, over_zero
from wheeltapper.workout.nut_torque import RETORQUE
from wheeltapper.workout.ranges import corners
from wheeltapper.workout.rows import spread
from wheeltapper.workout.sense import FRICTION_CAN_BE
from wheeltapper.workout.text import figures

SOFT_JOINT = 2.0  # times the stud's stiffness: assumed, for a wheel disc and hub flange of unknown stiffness
STIFFNESS_ASKS = (
    *THREAD_ASKS,
    AREA_ASK,
    Ask("grip", "length", "length of stud that stretches: nut face to where the thread or head holds", "L", default=""),
    Ask("shank_length", "length", "plain part of that grip", "Ls", default="0 mm"),
    Ask("shank_diameter", "length", "diameter of the plain part; the thread's outside where left out", "ds", default=""),
    Ask("modulus", "pressure", "elastic modulus of the stud", "E", default="205 GPa"),
    Ask("stud_stiffness", "stiffness", "in place of area, grip and modulus", "kb", default=""),
    Ask("joint_stiffness", "stiffness", "of what is clamped, one number or low and high", "kc", default="", many=True),
    Ask("layers", "length", "thickness of each clamped layer, in place of its stiffness", "t", default="", many=True),
    Ask("layer_moduli", "pressure", "elastic modulus of each layer", "Ej", default="", many=True),
    Ask("hole", "length", "hole through the layers; the stud's diameter where left out", "dh", default=""),
    Ask("face", "length", "outside diameter that presses on them; 1.5 d where left out", "dw", default=""),
    Ask("cone_angle", "angle", "half angle of the pressure cone", "alpha", default="30 deg"),
)  # fmt: skip


def _stud_stiffness(g: Given, tables: Tables) -> float:
    if g.has("stud_stiffness"):
        return g.number("stud_stiffness")
    if not g.has("grip"):
        raise NoAnswerError(
            "the stud's stiffness is not known", "give grip with stud or area, or stud_stiffness."
        )
    shank = g.number("shank_length")
    if not 0 <= shank <= g.number("grip"):
        raise NoAnswerError("the plain part is longer than the grip", "give the part of it inside the grip.")
    if not shank:
        return joint.rod_n_per_m((area(g, tables),), (g.number("grip"),), g.number("modulus"))
    plain = given_or(g, "shank_diameter", 0.0) or diameter(g, tables)
    areas = (np.pi / 4 * plain**2, area(g, tables))
    return joint.rod_n_per_m(areas, (shank, g.number("grip") - shank), g.number("modulus"))


def _joint_stiffness(g: Given, tables: Tables) -> Floats | None:
    """As given or worked out from layers, one or low and high; None where nobody said."""
    if g.has("joint_stiffness") and g.has("layers"):
        raise NoAnswerError("joint_stiffness and layers say the same thing twice", "give one of them.")
    if g.has("joint_stiffness"):
        return corners(g, "joint_stiffness")[0]
    if not g.has("layers"):
        return None
    layers, moduli = g.many("layers"), g.many("layer_moduli")
    moduli = moduli * len(layers) if len(moduli) == 1 else moduli
    if len(layers) != len(moduli):
        raise NoAnswerError(
            "each layer needs its modulus", "give as many layer_moduli as layers, or one for all."
        )
    d = given_or(g, "hole", 0.0) or diameter(g, tables)
    face = given_or(g, "face", 0.0) or 1.5 * diameter(g, tables)
    return np.array([joint.clamped_n_per_m(layers, moduli, d, face, g.number("cone_angle"))])


def _stiffness_rows(g: Given, stud: float, clamped: Floats, both: Floats) -> list[Result]:
    unit = "lbf/in" if force_unit(g) == "lbf" else "kN/mm"
    rows = [Result("stud_stiffness", stud, unit, "of the stud")]
    if np.all(np.isfinite(clamped)):
        rows += [spread("joint_stiffness", clamped, unit, "of what it clamps"), spread("load_share", stud / (stud + clamped), "", "part of an outside load that the stud feels")]  # fmt: skip
    return [*rows, spread("stiffness", both, unit, "of both together")]


def _nut_turn(g: Given, tables: Tables) -> Answer:
    over_zero(g, one_way(g, "write turn='60 deg'.", turn="the turn", preload="the preload"))
    stud, t = _stud_stiffness(g, tables), thread(g, tables)
    known = _joint_stiffness(g, tables)
    clamped = np.array([inf]) if known is None else known
    both = joint.series_n_per_m(np.full_like(clamped, stud), clamped)
    pitch = np.full_like(both, t.pitch)
    pull = joint.turned_preload_n(np.full_like(both, g["turn"]), both, pitch) if g.has("turn") else np.full_like(both, g["preload"])  # fmt: skip
    turn = joint.turn_rad(pull, both, pitch)
    length, stress = ("in", "ksi") if t.inch else ("mm", "MPa")
    rows = [
        *_stiffness_rows(g, stud, clamped, both),
        spread("preload", pull, force_unit(g), "clamp of this stud"),
        spread("stress", pull / area(g, tables), stress, "pull over stress area"),
        spread("stretch", pull / stud, length, "of the stud"),
        spread("turn", turn, "deg", "of the nut past snug"),
        *_heating(g, pull / stud),
    ]
    says = past_strength(g, tables, pull)
    rigid = "What is clamped is taken as rigid; a real joint takes more turn for the same clamp, and gives less clamp for a turn."
    return Answer(tuple(rows), (*says, rigid) if known is None else tuple(says))


def _heating(g: Given, stretch: Floats) -> list[Result]:
    if not (g.has("expansion") and g.has("grip")):
        return []
    rise = joint.heating_k(stretch, np.full_like(stretch, g["grip"]), np.full_like(stretch, g["expansion"]))
    return [
        spread("heating", rise, "K", "how much hotter the free stud must be for that stretch"),
        spread(
            "heating_fahrenheit", rise / WORKOUT_UNITS["F"].scale, "", "the same rise in Fahrenheit degrees"
        ),
    ]


def _lost(g: Given, tables: Tables) -> Answer:
    do = "write settled='0.002 in' for paint or bedding, or nut_moved='15 deg' at re-torque."
    not_negative(g, one_way(g, do, settled="what settled", nut_moved="how far the nut moved"))
    stud, known = _stud_stiffness(g, tables), _joint_stiffness(g, tables)
    clamped = np.array([SOFT_JOINT * stud, inf]) if known is None else known
    both = joint.series_n_per_m(np.full_like(clamped, stud), clamped)
    lost = _lost_pull(g, tables, both)
    warm = _warm_pull(g, both)
    unit = force_unit(g)
    rows = [
        *_stiffness_rows(g, stud, clamped, both),
        spread("lost", lost, unit, "clamp lost by what settled"),
    ]
    if np.any(warm):
        rows.append(spread("thermal", warm, unit, "change of the clamp by warming, more than zero tightens"))
    says = [f"Each stud lost {figures(lost, unit)} of clamp."]
    if g.has("preload") and np.any(lost >= max(g.many("preload"))):
        rows, says = _all_lost(g, rows, lost)
    if known is None:
        says.append(f"The joint's stiffness is assumed: from {SOFT_JOINT:g} times the stud's up to rigid.")  # fmt: skip
    if g.has("preload"):
        left, says = _left(g, lost, warm, says)
        rows += left
    return Answer(tuple(rows), (*says, RETORQUE))


def _all_lost(g: Given, rows: list[Result], lost: Floats) -> tuple[list[Result], list[str]]:
    """A stud cannot lose more clamp than it had: the rows and the sentence say so."""
    over_zero(g, "preload")
    had, unit = max(g.many("preload")), force_unit(g)
    at_most = np.minimum(lost, had)
    rows = [r for r in rows if r.name != "lost"] + [
        spread("lost", at_most, unit, "clamp lost: all there was")
    ]
    if np.min(lost) >= had:
        return rows, [
            "Each stud lost all of it: the clamp was gone before the nut or the joint had moved so far."
        ]
    return rows, [f"Each stud lost {figures(np.min(lost), unit)} of clamp, up to all of it."]


def _lost_pull(g: Given, tables: Tables, both: Floats) -> Floats:
    if g.has("settled"):
        return joint.settled_preload_n(np.full_like(both, sum(g.many("settled"))), both)
    return joint.turned_preload_n(
        np.full_like(both, g["nut_moved"]), both, np.full_like(both, thread(g, tables).pitch)
    )


def _warm_pull(g: Given, both: Floats) -> Floats:
    if not g.number("warmer"):
        return 0 * both
    if not (g.has("grip") and g.has("joint_expansion")):
        raise NoAnswerError("warming needs the grip and what is clamped", "give grip and joint_expansion.")
    grip, clamped, stud, rise = (
        np.full_like(both, g[n]) for n in ("grip", "joint_expansion", "expansion", "warmer")
    )
    return joint.heated_preload_n(both, grip, clamped, stud, rise)


def _left(g: Given, lost: Floats, warm: Floats, says: list[str]) -> tuple[list[Result], list[str]]:
    """What is left of the clamp, at each end of both ranges."""
    over_zero(g, "preload")
    before = corners(g, "preload")[0]
    left = np.maximum(before[:, None] - (lost - warm)[None, :], 0.0)
    share = left / before[:, None]
    rows = [
        spread("left", left, force_unit(g), "clamp left on each stud"),
        spread("left_share", share, "%", "of the clamp before"),
    ]
    if np.min(left) <= 0:
        says = [*says, "That can be all of it: the nut is then loose though it never turned."]
    return rows, [*says, f"Left is {figures(share, '%')} of the clamp before."]


def _loads(g: Given) -> tuple[float, float]:
    """Force across the face, and moment that tips the wheel [N, N m]."""
    names = ("side_load", "brake_torque", "wheel_load", "offset")
    not_negative(g, *names)
    side, torque, weight, offset = (g.number(name) for name in names)
    radius = given_or(g, "tyre_radius", 0.0)
    if side and not radius:
        raise NoAnswerError(
            "a side load needs the tyre's radius", "give tyre_radius: the load tips the wheel over it."
        )
    braking = torque / radius if radius else 0.0
    return float(np.hypot(weight, braking)), side * radius + weight * offset


def _slip(g: Given, tables: Tables) -> Answer:
    (pull, friction), (push, moment) = _preloads(g, tables), _loads(g)
    side, studs, circle = g.number("side_load"), g.number("studs"), g.number("circle")
    shear = joint.stud_shear_n(g.number("brake_torque"), push, studs, circle)
    tip = joint.stud_pull_n(moment, side, studs, circle)
    needed = joint.clamp_needed_n(np.full_like(friction, shear), np.full_like(friction, tip), friction)
    even = joint.clamp_needed_n(np.full_like(friction, shear), np.full_like(friction, side / studs), friction)
    holds = friction * pull * studs * circle / 2
    force = force_unit(g)
    rows = (
        spread("preload", pull, force, "clamp of each stud"),
        Result("push", push, force, "wheel load and braking force across the face"),
        Result("stud_shear", shear, force, "across the most loaded stud's part of the face"),
        Result("stud_pull", tip, force, "off the clamp of the stud that the side load eases most"),
        spread("holds_torque", holds, torque_unit(g), "torque that the friction of all studs holds, with no other load"),
        spread("needed", needed, force, "clamp that this stud needs"),
        spread("joint_share", even / pull, "%", "of the whole joint's clamp that is used"),
        spread("used_share", needed / pull, "%", "of the most eased stud's clamp that is used; over 100 % it slips or opens"),
    )  # fmt: skip
    return Answer(rows, (_slip_words(needed / pull), TORQUED))


def _preloads(g: Given, tables: Tables) -> tuple[Floats, Floats]:
    """Clamp of each stud and friction of the faces, at all corners of their ranges."""
    over_zero(g, one_way(g, "write torque='110 ft-lb'.", preload="the preload", torque="the nut torque"))
    names = ("preload", "friction") if g.has("preload") else ("torque", "friction", "nut_factor")
    pull, friction, *factor = corners(g, *names)
    if factor:
        pull = clamp.preload_from_torque_n(pull, factor[0], np.full_like(pull, diameter(g, tables)))
    return pull, friction


def _slip_words(share: Floats) -> str:
    if share.max() <= 1:
        return f"The clamp holds: at worst {figures(share.max(), '%')} of it is used, friction alone carrying the load."
    if share.min() > 1:
        return "The faces slip or open under this load, whatever the friction of this range: then studs bend and nuts walk off."
    return "With the worst friction of this range the faces slip or open under this load; with the best they hold."


EXPANSION_ASK = Ask("expansion", "expansion", "thermal expansion of the stud", "", default="11.7 ppm/K")

FORMULAS = (
    Formula(
        name="nut-turn",
        say="turn of a snug nut for a clamp, or the clamp of a turn, and the heat that would stretch the stud as far",
        asks=(*STIFFNESS_ASKS, Ask("preload", "force", "clamp wanted", "F", default=""), Ask("turn", "angle", "turn past snug", "phi", default=""), GRADE_ASK, PROOF_ASK, EXPANSION_ASK),
        work=_nut_turn,
        formula="phi = 2 pi F / (k P), 1/k = 1/kb + 1/kc, kb = E / sum(L/A), kc by cones: pi E d tan(a) / ln(...) each; heat F/(kb alpha L)",
        source="Wentzell, Machine Design, Examples 6.2 and 6.3 pp. 121-122 (second-hand copy); Shigley, sections 8-4 and 8-5, (8-17) to (8-19)",
        holds="an elastic stud, so up to its proof load, in parts already snug and flat. Snug is a judgement, so the turn is a check on a torque and not its replacement",
        guard="tests/published/test_clamp.py: Wentzell 6.2 and 6.3, Shigley solutions manual pp. 213-221; tests/measure/test_clamp.py: cones integrated",
    ),
    Formula(
        name="lost-clamp",
        say="clamp that a stud lost by bedding, paint or rust, or as the nut's movement at re-torque tells",
        asks=(
            *STIFFNESS_ASKS,
            Ask("settled", "length", "how much thinner the grip became: one number, or one for each face", "f", default="", many=True),
            Ask("nut_moved", "angle", "how far the nut turned at re-torque before the wrench clicked", "phi", default=""),
            Ask("preload", "force", "clamp before, one number or low and high", "F", default="", many=True),
            Ask("warmer", "temperature difference", "how much stud and joint are warmer than when tightened", "", default="0 F"),
            Ask("joint_expansion", "expansion", "thermal expansion of what is clamped", "", default=""), EXPANSION_ASK,
        ),
        work=_lost,
        formula="lost = f k, or phi/(2 pi) P k, 1/k = 1/kb + 1/kc; warming adds k L (alpha_c - alpha_s) dT",
        source="VDI 2230 Part 1 (2003), step R4 and thermal change, from memory; turn as in Wentzell, Machine Design, Example 6.2",
        holds="elastic parts. Where the joint's stiffness is not given it is assumed to lie between twice the stud's and rigid. A nut that jumped "
        "from standing friction moved less than it seems",
        guard="tests/measure/test_clamp.py: two springs solved by numpy; tests/workout/test_clamp.py",
    ),
    Formula(
        name="wheel-slip",
        say="how much of a wheel's clamp braking, weight and cornering use up",
        asks=(
            Ask("studs", "number", "number of studs", "n", within=(1.0, 40.0), whole=True), Ask("circle", "length", "diameter of the bolt circle", "D", within=(0.0, 2.0)),
            *DIAMETER_ASKS, Ask("preload", "force", "clamp of each stud, one number or low and high", "F", default="", many=True),
            Ask("torque", "torque", "nut torque in its place, one number or low and high", "T", default="", many=True), FACTOR_ASK,
            Ask("friction", "number", "friction between wheel and hub, one number or low and high; assumed", "mu", "0.10 0.20", True, within=FRICTION_CAN_BE),
            Ask("brake_torque", "torque", "braking torque of this wheel", "Mb", default="0 N m"),
            Ask("wheel_load", "force", "weight on this wheel, zero where a pilot carries it", "W", default="0 N"),
            Ask("offset", "length", "how far from the face the weight acts", "e", default="0 mm"),
            Ask("side_load", "force", "cornering force at the tyre", "Fy", default="0 N"), Ask("tyre_radius", "length", "rolling radius", "R", default="", within=(0.0, 2.0)),
        ),
        work=_slip,
        formula="shear = Mb/(n D/2) + hypot(W, Mb/R)/n; pull = 2 (Fy R + W e)/(n D/2) + Fy/n; used = (shear/mu + pull)/F",
        source="Shigley, section 8-12 (eccentric shear); VDI 2230 Part 1 (2003), step R2, from memory; pull by equilibrium of a rigid face",
        holds="faces flat and bare, friction alone carrying, all loads at once on the worst stud and all of the pull taken off the clamp: cautious. "
        "Friction 0.10 to 0.20 is assumed, no published figure for painted wheels was found",
        guard="tests/measure/test_clamp.py: stud by stud sums by numpy; tests/workout/test_clamp.py",
    ),
    *nut_torque.FORMULAS,
)  # fmt: skip
