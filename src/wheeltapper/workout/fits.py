"""Press fits by the thick-ring formulas, limits of a pair, and what is left of a fit when hot.

General: any two rings of any metals. A cup in its hub, with the trade's tables behind it, is in `cup.py`.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from wheeltapper.measure import fits
from wheeltapper.measure.fits import Rings, Stresses
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.units import TIE_M
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import given_or, over_zero
from wheeltapper.workout.metal import elastic_asks, expansion, modulus, poisson
from wheeltapper.workout.rows import row, spread
from wheeltapper.workout.sense import FRICTION_CAN_BE
from wheeltapper.workout.text import fahrenheit, inches

RIM_TIMES = (
    1.3  # outside of a hub barrel for each size of its cup: assumed, from the look of cast trailer hubs
)
CUP_BORE_TIMES = 0.9  # mean raceway for each size of a cup, where nothing else is known: assumed
FRICTION = "0.10 0.20"  # steel in dry to oiled iron, a handbook range from memory
MOST_TIGHT = 0.05  # of the joint, tight or loose: past it two parts are not meant for each other; assumed
YIELDS = "The outer part yields at its bore: pressure, force and torque are less than these elastic numbers."


def rings(g: Given, tables: Tables, bore_m: float, joint_m: float, rim_m: float) -> Rings:
    """Both parts of a fit with their metals."""
    inner, outer = (modulus(g, tables, part) for part in ("inner", "outer"))
    return Rings(
        bore_m, joint_m, rim_m, inner, poisson(g, tables, "inner"), outer, poisson(g, tables, "outer")
    )


def can_fit(joint_m: float, tight_m: float) -> float:
    """The interference, refused where the two parts cannot belong together [m]."""
    if abs(tight_m) > MOST_TIGHT * joint_m:
        raise NoAnswerError(
            f"the two differ by {inches(abs(tight_m))} on a joint of {inches(joint_m)}: no press fit does",
            "read the interference and the sizes again, with their units.",
        )
    return tight_m


def _pressed(g: Given, pair: Rings) -> tuple[float, float]:
    """Diametral interference and pressure from whichever of the three was given."""
    ways = [name for name in ("diametral", "radial", "pressure") if g.has(name)]
    if len(ways) != 1:
        raise NoAnswerError(
            f"{len(ways)} of diametral, radial and pressure are given",
            "give one: interference on the diameter, or on the radius, or the wanted pressure.",
        )
    if ways == ["pressure"]:
        return can_fit(g.number("joint"), float(fits.diametral_m(pair, g.number("pressure")))), g.number(
            "pressure"
        )
    tight = g.number("diametral") if ways == ["diametral"] else 2 * g.number("radial")
    return can_fit(g.number("joint"), tight), float(fits.pressure_pa(pair, tight))


def _press_fit(g: Given, tables: Tables) -> Answer:
    over_zero(g, "length", "friction", "outer_expansion", "outer_yield")
    pair = rings(g, tables, g.number("bore"), g.number("joint"), g.number("rim"))
    tight, pressure = _pressed(g, pair)
    clearance, grows = g.number("fitting_clearance"), expansion(g, tables, "outer")
    warm = fits.fitting_rise_k(tight, clearance, pair.joint_m, grows)
    stressed = fits.stresses(pair, pressure)
    results = [
        row("diametral", tight, "mm", "interference on the diameter"),
        row("radial", tight / 2, "mm", "interference on the radius"),
        row("pressure", pressure, "MPa", "between the two parts"),
        *_stress_rows(stressed),
        *_at_places(g, pair, pressure),
        row("rim_growth", fits.rim_growth_m(pair, pressure), "mm", "the outside diameter grows by"),
        row("bore_shrink", fits.bore_shrink_m(pair, pressure), "mm", "the inner bore closes by, on the diameter"),
        row("fitting_rise", warm, "K", "warm the outer part by this to drop the inner one in"),
    ]  # fmt: skip
    if g.has("length"):
        results += grip(g, pair, g.number("length"), pressure)
    if not g.has("outer_yield") or pressure == 0:
        return Answer(tuple(results))
    margin = float(g.number("outer_yield") / stressed.outer_mises_pa)
    results.append(row("yield_margin", margin, "", "yield over equivalent stress"))
    return Answer(tuple(results), (YIELDS,) if margin < 1 else ())


def _at_places(g: Given, pair: Rings, pressure_pa: float) -> list[Result]:
    """Stress at given diameters by the fit, and by pressure in the bore on both parts as one cylinder of one metal."""
    inside = given_or(g, "inside_pressure", 0.0)
    if not (inside or g.has("at")):
        return []
    alike = np.isclose(pair.inner_modulus_pa, pair.outer_modulus_pa) and np.isclose(
        pair.inner_poisson_share, pair.outer_poisson_share
    )
    if inside and not (alike and pair.bore_m):
        raise NoAnswerError(
            "pressure inside is worked out for two parts of one metal with a bore", "give both the same metal, and bore."
        )  # fmt: skip
    places = g.many("at") or (float(pair.bore_m), float(pair.joint_m), float(pair.rim_m))
    both = [_stress_at(pair, pressure_pa, inside, place) for place in places]
    return [
        row("at", places, "mm", "diameters looked at; at the joint the outer part is told"),
        row("hoop_at", [hoop for _, hoop in both], "MPa", "hoop stress there"),
        row("radial_at", [radial for radial, _ in both], "MPa", "radial stress there"),
    ]


def _stress_at(pair: Rings, pressure_pa: float, inside_pa: float, place_m: float) -> tuple[float, float]:
    """Radial and hoop stress at a diameter [Pa]."""
    outer = place_m >= float(pair.joint_m)
    ring = (
        (pair.joint_m, pair.rim_m, pressure_pa, 0.0)
        if outer
        else (pair.bore_m, pair.joint_m, 0.0, pressure_pa)
    )
    radial, hoop = fits.ring_stress_pa(*ring, place_m)
    more_radial, more_hoop = (
        fits.ring_stress_pa(pair.bore_m, pair.rim_m, inside_pa, 0.0, place_m) if inside_pa else (0.0, 0.0)
    )
    return float(radial + more_radial), float(hoop + more_hoop)


def _stress_rows(s: Stresses) -> list[Result]:
    """Stress in both parts, tension positive."""
    return [
        row("outer_hoop_at_joint", s.outer_joint_hoop_pa, "MPa", "hoop stress at the bore of the outer part"),
        row("outer_hoop_at_rim", s.outer_rim_hoop_pa, "MPa", "hoop stress at its outside"),
        row("inner_hoop_at_joint", s.inner_joint_hoop_pa, "MPa", "hoop stress at the outside of the inner part"),
        row("inner_hoop_at_bore", s.inner_bore_hoop_pa, "MPa", "hoop stress at its bore, or all through if solid"),
        row("radial_stress_at_joint", s.joint_radial_pa, "MPa", "in both parts"),
        row("outer_von_mises", s.outer_mises_pa, "MPa", "equivalent stress at the bore of the outer part"),
        row("inner_von_mises", s.inner_mises_pa, "MPa", "equivalent stress at the bore of the inner part"),
        row("outer_shear", s.outer_shear_pa, "MPa", "greatest shear stress at the bore of the outer part"),
    ]  # fmt: skip


def grip(g: Given, pair: Rings, length_m: float, pressure_pa: Any) -> list[Result]:
    """What the fit holds, over the range of friction."""
    friction = np.array(g.many("friction"))
    force = fits.push_out_n(pair.joint_m, length_m, pressure_pa, friction)
    torque = fits.holding_torque_n_m(pair.joint_m, length_m, pressure_pa, friction)
    return [
        spread("push_out", force, "kN", "axial force to move it"),
        spread("holding_torque", torque, "N m", "torque to turn it"),
    ]


def _limits(g: Given, _: Tables) -> Answer:
    nominal = g.number("nominal")
    names = ("shaft_low", "shaft_high", "hole_low", "hole_high")
    least, most = (float(v) for v in fits.interference_limits_m(*(g.number(name) for name in names)))
    sizes = (
        Result(name, nominal + g.number(name), "mm", f"limit of the {name.partition('_')[0]}")
        for name in names
    )
    return Answer(
        (
            *sizes,
            Result("kind", fits.kind_of_fit(least, most), "", "of fit"),
            Result("most_interference", max(most, 0.0), "mm", "largest shaft in smallest hole"),
            Result("least_interference", max(least, 0.0), "mm", "smallest shaft in largest hole"),
            Result("most_clearance", max(-least, 0.0), "mm", "smallest shaft in largest hole"),
            Result("least_clearance", max(-most, 0.0), "mm", "largest shaft in smallest hole"),
            Result("mean", (least + most) / 2, "mm", "middle of the fit, interference positive"),
        )
    )


def _hot_fit(g: Given, tables: Tables) -> Answer:
    over_zero(g, "joint")
    joint, tight = g.number("joint"), can_fit(g.number("joint"), g.number("diametral"))
    inner, outer = expansion(g, tables, "inner"), expansion(g, tables, "outer")
    at, lead = np.array(g.many("temperature")), g.number("inner_lead")
    rise = at - g.number("cold")
    hot = np.asarray(fits.hot_interference_m(tight, joint, inner, outer, rise + lead, rise))
    rim = g.number("rim") if g.has("rim") else RIM_TIMES * joint
    bore = g.number("bore") if g.has("bore") else CUP_BORE_TIMES * joint
    left = fits.pressure_left_pa(rings(g, tables, bore, joint, rim), hot, 0.0)
    results = [
        row("temperature", at, "C", "of the outer part"),
        row("interference", hot, "mm", "on the diameter, hot; negative is loose"),
        row("gained", hot - tight, "mm", "gained on the diameter; negative is lost"),
        row("pressure", left, "MPa", "between the parts, hot; zero where loose"),
    ]
    if outer > inner:
        gone = fits.loose_rise_k(tight, joint, inner, outer, lead) + g.number("cold")
        results.append(row("loose_at", gone, "C", "temperature of the outer part at which nothing is left"))
        said = f"Nothing is left of this fit from {fahrenheit(gone)} on."
    else:
        said = "The outer part grows no faster than the inner one: warming both alike does not loosen it."
    loose = [fahrenheit(t) for t, left in zip(at, hot, strict=True) if left < TIE_M]
    free = [f"At {loose[-1]} nothing holds the inner part: it is free to turn."] if loose else []
    return Answer(tuple(results), (*_assumed(g), said, *free))


def _assumed(g: Given) -> list[str]:
    """What was assumed of the sizes that were not given."""
    told = []
    if not g.has("rim"):
        told.append(f"the outside of the outer part as {RIM_TIMES} times the joint")
    if not g.has("bore"):
        told.append(f"the bore of the inner part as {CUP_BORE_TIMES} times the joint")
    return [f"Assumed: {' and '.join(told)}. Measure to be surer of the pressure."] if told else []


LAME = "p = d / (D ((B2 + D2)/(B2 - D2) + nuo)/Eo + D ((D2 + A2)/(D2 - A2) - nui)/Ei), A bore, D joint, B rim"
FORMULAS = (
    Formula(
        name="press-fit",
        say="two rings pressed together: pressure, stresses, push-out force, holding torque",
        asks=(
            Ask("joint", "length", "diameter where the two meet", "D"),
            Ask("rim", "length", "outside diameter of the outer part", "B"),
            Ask("bore", "length", "bore of the inner part; 0 is solid", "A", default="0 mm"),
            Ask("diametral", "length", "interference on the diameter", "d", default=""),
            Ask("radial", "length", "or interference on the radius", "d/2", default=""),
            Ask("pressure", "pressure", "or the pressure wanted", "p", default=""),
            *elastic_asks("steel", "steel"),
            Ask("length", "length", "length of contact, for force and torque", "L", default=""),
            Ask("friction", "number", "friction coefficient, one or lowest and highest", "mu", default=FRICTION, many=True, within=FRICTION_CAN_BE),
            Ask("fitting_clearance", "length", "clearance wanted for dropping in hot", default="0 mm"),
            Ask("outer_yield", "pressure", "yield strength of the outer part", "Sy", default=""),
            Ask("at", "length", "diameters to tell the stress at, one or several", "x", default="", many=True),
            Ask("inside_pressure", "pressure", "pressure in the bore of both parts together, as in a compound cylinder", "pi", default=""),
        ),
        work=_press_fit,
        formula=f"{LAME}; hoop, outer: p (B2 + D2)/(B2 - D2); at x: Lame, plus pi A2/(B2 - A2) (1 +- B2/x2); F = mu p pi D L; T = F D / 2",
        source="Ugural and Fenster, Advanced Strength and Applied Elasticity, example 8.3; Bhavikatti, Strength of Materials, "
        "examples 8.8.16 p. 348 and 8.8.17 p. 350 (second-hand copies read)",
        holds="smooth round rings of one length, plane stress, elastic, one temperature; ends of a longer part press harder",
        guard="tests/published/test_fits.py (books); tests/measure/test_fits.py (finite elements)",
    ),
    Formula(
        name="fit-limits",
        say="tightest and loosest fit that the limits of a hole and a shaft allow",
        asks=(
            Ask("nominal", "length", "nominal size", "D"),
            Ask("hole_low", "length", "lower deviation of the hole", "EI"),
            Ask("hole_high", "length", "upper deviation of the hole", "ES"),
            Ask("shaft_low", "length", "lower deviation of the shaft", "ei"),
            Ask("shaft_high", "length", "upper deviation of the shaft", "es"),
        ),
        work=_limits,
        formula="most interference es - EI, least ei - ES; negative is clearance",
        source="ISO 286-1:2010, 3.3; Jindal, Machine Design, example 4-2 p. 112 (second-hand copy read)",
        holds="sizes at 20 C, both parts round",
        guard="tests/published/test_fits.py: 25 H7/r6",
    ),
    Formula(
        name="hot-fit",
        say="what heat leaves of a fit, against temperature, and where it comes loose",
        asks=(
            Ask("joint", "length", "diameter where the two meet", "D"),
            Ask("diametral", "length", "interference on the diameter when cold", "d"),
            Ask("temperature", "temperature", "of the outer part, one or several", "T", default="20 50 80 110 140 C", many=True),
            Ask("cold", "temperature", "temperature at which the interference was measured", default="20 C"),
            Ask("inner_lead", "temperature difference", "how much warmer the inner part is", default="0 C"),
            *elastic_asks("bearing steel", "grey iron"),
            Ask("rim", "length", f"outside of the outer part; left out: {RIM_TIMES} D, assumed", "B", default=""),
            Ask("bore", "length", f"bore of the inner part; left out: {CUP_BORE_TIMES} D, assumed", "A", default=""),
        ),
        work=_hot_fit,
        formula=f"d(T) = d + D (ai (T + lead - T0) - ao (T - T0)); {LAME}; loose at T0 + (d/D + ai lead)/(ao - ai)",
        source="free expansion of two parts, then Lame as in press-fit",
        holds="each part at one temperature; moduli as when cold, so under about 150 C",
        guard="tests/published/test_fits.py (80 mm in aluminium and in iron, exact); tests/measure/test_fits.py",
    ),
)  # fmt: skip
