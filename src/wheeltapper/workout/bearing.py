"""How long a bearing lasts, and which bearing a measured size belongs to.

A rating life is for clean, greased, well set bearings; water and a bad setting end most trailer bearings earlier.
The loads of a wheel on its pair are in `corner.py`.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from wheeltapper.measure import bearing as life
from wheeltapper.measure.bearing import equivalent_load_n
from wheeltapper.measure.wheel_load import tapered_load_n
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.metal import Bearing
from wheeltapper.reference.tables import Tables
from wheeltapper.units import INCH_M, at_most
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import not_negative, over_zero
from wheeltapper.workout.named import bearing_named, fit_row
from wheeltapper.workout.rows import row
from wheeltapper.workout.text import inches

NEAR_M = 0.065 * INCH_M  # a size this close is taken for another one on a bench
MOST_EXPONENT = 6.0  # older and newer books use 3 to 4
WIDTH_M = 0.010 * INCH_M  # how far a set's width may be from its nominal: assumed, wider than any tolerance
Factors = list[tuple[str, float, str]]  # name, lives for each rating life, by which law
CLEAN = "Rating life is for a clean, greased, well set bearing: water, lost grease and a bad setting end most of them sooner."


def rating_n(g: Given, tables: Tables, name: str = "bearing", given: str = "rating") -> float:
    """Basic dynamic rating as given, else of the bearing named [N]."""
    if g.has(given):
        return g.number(given)
    if not g.has(name):
        raise NoAnswerError(
            f"neither {name} nor {given} is given", "name the bearing or give its basic dynamic rating."
        )
    return bearing_named(tables, str(g[name])).dynamic_n


def thrust_factor(g: Given, tables: Tables, name: str, given: str) -> float:
    """Thrust factor Y as given, else of the bearing named."""
    if g.has(given):
        return g.number(given)
    found = bearing_named(tables, str(g[name])).thrust_factor if g.has(name) else None
    if found is None:
        raise NoAnswerError(
            f"{given} is not given and not in the tables", "take Y from the bearing maker's sheet."
        )
    return found


def exponent(g: Given) -> float:
    """Life exponent as given, else of the kind of bearing; rollers where no kind is asked."""
    if not g.has("exponent"):
        return life.BALL if g.get("kind") == "ball" else life.ROLLER
    if not 1 <= g.number("exponent") <= MOST_EXPONENT:
        raise NoAnswerError(
            f"a life exponent of {g['exponent']:g} is none", "it is 3 for balls and 10/3 for rollers."
        )
    return g.number("exponent")


def _load(g: Given, tables: Tables) -> float:
    """Equivalent load: of mixed duty where that is given, else from radial and thrust load [N]."""
    if g.has("loads"):
        return float(life.mixed_load_n(g.many("loads"), g.many("shares"), exponent(g)))
    if not g.has("radial"):
        raise NoAnswerError("there is no load", "give radial, and thrust if any; or loads with their shares.")
    radial, thrust, ring = g.number("radial"), g.number("thrust"), g.number("ring_factor")
    if not thrust:
        return ring * radial
    if g["kind"] == "ball" and not g.has("radial_factor"):
        raise NoAnswerError(
            "a ball bearing's X and Y depend on its load",
            "give radial_factor and thrust_factor from its sheet.",
        )
    factor = thrust_factor(g, tables, "bearing", "thrust_factor")
    if g.has("radial_factor"):
        both = equivalent_load_n(radial, thrust, g.number("radial_factor"), factor, ring)
        return max(ring * radial, float(both))  # a thrust never eases a bearing
    return float(tapered_load_n(radial * ring, thrust, factor))


def _turning_hz(g: Given) -> float | None:
    if g.has("turning"):
        return g.number("turning")
    if g.has("road_speed") and g.has("rolling_radius"):
        return g.number("road_speed") / (2 * np.pi * g.number("rolling_radius"))
    return None


def _wanted_rev(g: Given) -> float | None:
    """The life wanted, from whichever of the three was given [rev]."""
    if g.has("wanted_life"):
        return g.number("wanted_life")
    if g.has("wanted_time"):
        turning = _turning_hz(g)
        if turning is None:
            raise NoAnswerError(
                "wanted_time needs a speed", "give turning, or road_speed with rolling_radius."
            )
        return g.number("wanted_time") * turning
    if g.has("wanted_distance"):
        if not g.has("rolling_radius"):
            raise NoAnswerError("wanted_distance needs the tyre", "give its rolling_radius.")
        return g.number("wanted_distance") / (2 * np.pi * g.number("rolling_radius"))
    return None


def _bearing_life(g: Given, tables: Tables) -> Answer:
    over_zero(g, "rating_basis", "turning", "road_speed", "rolling_radius", "load_factor", "ring_factor")
    over_zero(g, "wanted_life", "wanted_time", "wanted_distance", "loads", "thrust_factor")
    not_negative(g, "radial", "thrust", "radial_factor")
    load = _load(g, tables) * g.number("load_factor")
    factors = _factors(g)
    results = [
        row("equivalent_load", load, "N", "with the load factor"),
        *(row(n, v, "", s) for n, v, s in factors),
    ]
    if g.has("rating") or g.has("bearing"):
        results += _lives(g, tables, load, factors)
    results += _needed(g, load, factors)
    return Answer(tuple(results), (CLEAN,))


def _lives(g: Given, tables: Tables, load: float, factors: Factors) -> list[Result]:
    """The rating on a million revolutions, where the tables' is already, and the lives it gives."""
    p, basis = exponent(g), g.number("rating_basis") if g.has("rating") else life.MILLION_REV
    rating = life.rating_on_basis_n(rating_n(g, tables), basis, life.MILLION_REV, p)
    l10 = float(life.rating_life_rev(rating, load, p))
    return [
        row("rating", rating, "kN", "on a million revolutions"),
        row("l10", l10, "Mrev", "nine in ten reach it"),
        *(row(f"life_{n}", l10 * v, "Mrev", f"at the reliability wanted, {s}") for n, v, s in factors),
        *_in_time(g, l10),
        *_reached(g, l10),
    ]


def _factors(g: Given) -> Factors:
    """Life at a reliability in rating lives, by each law in use."""
    reliability = g.number("reliability")
    return [
        ("a1_iso_2007", float(life.a1_iso(reliability)), "by ISO 281:2007"),
        ("a1_older", float(life.a1_older(reliability)), "by the table before 2007 (Weibull, slope 1.5)"),
        ("weibull", float(life.weibull_life(reliability, *_weibull(g))), "by the three-parameter Weibull law given"),
    ]  # fmt: skip


def _weibull(g: Given) -> tuple[float, float, float]:
    given = g.many("weibull")
    if len(given) != 3:
        raise NoAnswerError(
            f"weibull has {len(given)} numbers", "give three: x0, theta - x0 and b; x0 may be 0."
        )
    return given[0], given[1], given[2]


def _in_time(g: Given, l10: float) -> list[Result]:
    turning, results = _turning_hz(g), []
    if turning is not None:
        results.append(row("l10_time", life.life_s(l10, turning), "h", "nine in ten reach it, at this speed"))
    if g.has("rolling_radius"):
        results.append(
            row("l10_distance", life.life_m(l10, g.number("rolling_radius")), "mi", "nine in ten reach it")
        )
    return results


def _reached(g: Given, l10: float) -> list[Result]:
    wanted = _wanted_rev(g)
    if wanted is None:
        return []
    share = life.weibull_reliability_share(wanted / l10, *_weibull(g))
    two = life.weibull_reliability_share(wanted / l10, 0.0, life.scale_of_l10(1.5), 1.5)
    return [
        row("reliability_weibull", share, "%", "reach the life wanted, by the Weibull law given"),
        row("reliability_two", two, "%", "the same by two parameters, slope 1.5"),
    ]


def _needed(g: Given, load: float, factors: Factors) -> list[Result]:
    wanted, p = _wanted_rev(g), exponent(g)
    if wanted is None:
        return []
    ratings = (
        row(f"needed_rating_{n}", life.needed_rating_n(load, wanted, p, v), "kN", f"C10 {s}")
        for n, v, s in factors
    )
    return [row("wanted", wanted, "Mrev", "life wanted"), *ratings]


def _by_size(g: Given, tables: Tables) -> Answer:
    over_zero(g, "bore", "cup_od", "width", "doubt")
    asked = {name: g.number(name) for name in ("bore", "cup_od", "width") if g.has(name)}
    if not asked:
        raise NoAnswerError("no size is given", "measure the cone's bore or the cup's outside, better both.")
    every = tables.bearings.values()
    fits = [b for b in every if all(_fits(g, tables, b, n, size) for n, size in asked.items())]
    near = [
        b
        for b in every
        if b not in fits and all(abs(_size(b, n) - size) <= NEAR_M for n, size in asked.items())
    ]
    results = (
        Result("fits", tuple(b.name for b in fits), "", "cone/cup whose sizes agree with the readings"),
        Result("near", tuple(b.name for b in near), "", "within 0.065 in of them: do not mix them up"),
    )
    return Answer(results, tuple(_size_says(asked, fits, near)))


def _size(b: Bearing, name: str) -> float:
    return {"bore": b.bore_m, "cup_od": b.cup_od_m, "width": b.width_m}[name]


def _fits(g: Given, tables: Tables, b: Bearing, name: str, size: float) -> bool:
    """Can this reading be of this bearing, with its tolerance and the gauge's doubt?"""
    nominal, doubt = _size(b, name), g.number("doubt")
    if name == "width":
        return at_most(abs(size - nominal), WIDTH_M + doubt)
    limits = fit_row(tables, "cone bore" if name == "bore" else "cup outside", nominal)
    return at_most(nominal + limits.low_m - doubt, size) and at_most(size, nominal + limits.high_m + doubt)


def _size_says(asked: Mapping[str, float], fits: list[Bearing], near: list[Bearing]) -> list[str]:
    says = []
    if not fits:
        says.append(
            "No bearing of the tables has these sizes: clean it, measure again, read the number on it."
        )
    if len(fits) > 1:
        says.append(
            f"{len(fits)} sets have these sizes: {_apart(fits, asked)} tells them apart. Read the number on cone and cup."
        )
    for b in near:
        worst = max(asked, key=lambda n: abs(_size(b, n) - asked[n]))
        gap = f"{inches(_size(b, worst))}, {inches(abs(_size(b, worst) - asked[worst]))} away"
        says.append(
            f"{b.name} is a near miss: its {worst.replace('_', ' ')} is {gap}. It does not interchange."
        )
    return says


def _apart(fits: list[Bearing], asked: Mapping[str, float]) -> str:
    """The size not measured yet that differs most between the sets that fit."""

    def spread(name: str) -> float:
        sizes = [_size(b, name) for b in fits]
        return max(sizes) - min(sizes)

    left = [n for n in ("bore", "cup_od", "width") if n not in asked]
    best = max(left, key=spread, default="")
    if not best or spread(best) <= 0.0005 * INCH_M:
        return "only the number"
    told = ", ".join(f"{b.name} {inches(_size(b, best))}" for b in fits)
    return f"the {best.replace('_', ' ')} ({told})"


FORMULAS = (
    Formula(
        name="bearing-life",
        say="rating life of a bearing, its reliability, and the rating a wanted life needs",
        asks=(
            Ask("bearing", "word", "cone/cup of the tables, such as 25580/25520; or give rating", default=""),
            Ask("rating", "force", "basic dynamic rating, in place of the table's", "C", default=""),
            Ask("rating_basis", "revolutions", "revolutions the rating is stated for", default="1 Mrev"),
            Ask("radial", "force", "radial load, or the equivalent load itself", "Fr", default=""),
            Ask("thrust", "force", "thrust load, the part from the taper included", "Fa", default="0 N"),
            Ask("radial_factor", "number", "X; left out: 0.4 Fr + Y Fa or Fr, as for tapered rollers", "X", default="", within=(0.0, 100.0)),
            Ask("thrust_factor", "number", "Y, in place of the table's", "Y", default="", within=(0.0, 100.0)),
            Ask("ring_factor", "number", "V: 1; older books take 1.2 where the outer ring turns", "V", default="1", within=(0.0, 100.0)),
            Ask("load_factor", "number", "application factor on the load", "af", default="1", within=(0.0, 100.0)),
            Ask("loads", "force", "equivalent loads that take turns, in place of radial and thrust", default="", many=True),
            Ask("shares", "share", "share of the revolutions of each of them", default="", many=True),
            Ask("kind", "word", "roller (10/3) or ball (3)", default="roller", words=("roller", "ball")),
            Ask("exponent", "number", "in place of the kind's", "p", default="", within=(1.0, 20.0)),
            Ask("turning", "turning", "speed of the hub; or road_speed with rolling_radius", "n", default=""),
            Ask("road_speed", "speed", "road speed", default=""),
            Ask("rolling_radius", "length", "rolling radius of the tyre", default="", within=(0.0, 2.0)),
            Ask("reliability", "share", "reliability wanted", "R", default="90 %", within=(0.0, 1.0)),
            Ask("wanted_life", "revolutions", "life wanted; or wanted_time, or wanted_distance", "LD", default=""),
            Ask("wanted_time", "time", "life wanted, with a speed", default=""),
            Ask("wanted_distance", "distance", "life wanted, with rolling_radius", default=""),
            Ask("weibull", "number", "x0, theta - x0 and b in rating lives", default="0.02 4.439 1.483", many=True, within=(0.0, 100.0)),
        ),
        work=_bearing_life,
        formula="L10 = 1e6 (C/P)^p rev; P = X V Fr + Y Fa, at least V Fr; a1 = 0.95 (ln(1/S)/ln(1/0.9))^(2/3) + 0.05, older without 0.95 and 0.05; "
        "C10 = af P (LD/(1e6 (x0 + (theta - x0) ln(1/R)^(1/b))))^(1/p); mixed: P^p = sum of share P^p",
        source="ISO 281:2007, 7 to 9; ISO 281:1990 table 10; Budynas and Nisbett, Mechanical Engineering Design, 8th ed., problems 11-1 and 11-3; "
        "Jindal, Machine Design, examples 18-2 p. 508 and 18-4 p. 509 (second-hand copies read); Y of the tables from memory",
        holds="steady temperature, clean grease, no looseness; P under about C/2; no aISO (grease film and dirt) factor",
        guard="tests/published/test_bearing.py",
    ),
    Formula(
        name="bearing-by-size",
        say="which bearing a measured bore, cup or width belongs to, and which it is easily mixed up with",
        asks=(
            Ask("bore", "length", "measured bore of the cone", "d", default=""),
            Ask("cup_od", "length", "measured outside of the cup", "D", default=""),
            Ask("width", "length", "measured width of the set", "T", default=""),
            Ask("doubt", "length", "the gauge's expanded uncertainty", "U", default="0.0005 in"),
        ),
        work=_by_size,
        formula="fits where nominal + low - U <= size <= nominal + high + U for every size given; near within 0.065 in",
        source="sizes: inch tapered-roller catalogues; tolerances: ANSI/ABMA 19.2 class 4 and 2",
        holds="the bearings of the tables only; a width within 0.010 in of nominal, assumed",
        guard="tests/published/test_bearing_rows.py: metric catalogue sizes; tests/workout/test_bearing.py: near misses of 0.0025 in bore and 0.030 in cup",
    ),
)  # fmt: skip
