"""The pair of bearings in a hub: loads straight on and in bends, end play, and a hub that runs hot.

Life from a load alone, and a bearing by its sizes, are in `bearing.py`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheeltapper.measure import bearing as life
from wheeltapper.measure import margin, number, roller_load
from wheeltapper.measure.number import Floats
from wheeltapper.measure.wheel_load import (
    PairLoads,
    bearing_reactions_n,
    drag_n,
    extra_heat_w,
    load_transfer_n,
    opposed_pair,
)
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.units import GRAVITY_M_S2, WORKOUT_UNITS
from wheeltapper.workout.bearing import CLEAN, exponent, rating_n, thrust_factor
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import over_zero
from wheeltapper.workout.named import bearing_named
from wheeltapper.workout.ranges import grid
from wheeltapper.workout.rows import row, spread
from wheeltapper.workout.text import fahrenheit, inches, warmer

ROLLER_SHARE = 0.75  # effective length of a roller for each width of its cup: assumed


@dataclass(frozen=True)
class Running:
    """One way of running: its share of the distance and what the pair carries in it."""

    say: str
    share: float
    inner_n: float
    outer_n: float
    loads: PairLoads


def _running(g: Given, tables: Tables, say: str, share: float, turn: int) -> Running:
    """Straight on (turn 0), on the outside of a bend (1) or on its inside (-1)."""
    lateral, wheel = g.number("lateral"), g.number("wheel_load")
    mass = 2 * wheel / GRAVITY_M_S2
    moved = float(load_transfer_n(mass, lateral, g.number("cg_height"), g.number("track")))
    load = wheel + turn * moved
    if load <= 0:
        raise NoAnswerError("the inside wheel lifts at this lateral acceleration", "give a gentler bend.")
    side = turn * load * lateral / GRAVITY_M_S2
    inner, outer = bearing_reactions_n(
        load, side, g.number("load_at"), g.number("spread"), g.number("rolling_radius")
    )
    inner_factor, outer_factor = (thrust_factor(g, tables, n, f"{n}_factor") for n in ("inner", "outer"))
    loads = opposed_pair(np.abs(inner), np.abs(outer), side, inner_factor, outer_factor, g.number("form"))
    return Running(say, share, float(inner), float(outer), loads)


def _corner_load(g: Given, tables: Tables) -> Answer:
    over_zero(g, "wheel_load", "rolling_radius", "spread", "track", "cg_height", "form", "inner_factor", "outer_factor")  # fmt: skip
    number.not_negative("the lateral acceleration", g.number("lateral"))
    number.part_of_one("the share of bends", g.number("bends"))
    bends = g.number("bends")
    ways = (
        _running(g, tables, "straight", 1 - bends, 0),
        _running(g, tables, "outside", bends / 2, 1),
        _running(g, tables, "inside", bends / 2, -1),
    )
    inner, inner_rows = _life(g, tables, "inner", [(w.loads.equivalent_a_n, w.share) for w in ways])
    outer, outer_rows = _life(g, tables, "outer", [(w.loads.equivalent_b_n, w.share) for w in ways])
    pair = life.life_m(life.pair_life_rev((inner, outer)), g.number("rolling_radius"))
    results = [r for way in ways for r in _way_results(way)]
    results += [*inner_rows, *outer_rows, row("pair_l10_distance", pair, "mi", "nine in ten hubs reach it")]
    return Answer(tuple(results), (*_corner_says(ways), CLEAN))


def _life(
    g: Given, tables: Tables, name: str, loads: Sequence[tuple[life.Amount, float]]
) -> tuple[float, list[Result]]:
    """L10 of one of the two under loads that take turns, each with its share of the distance [rev]."""
    p = exponent(g)
    mean = life.mixed_load_n([n for n, _ in loads], [share for _, share in loads], p)
    l10 = float(life.rating_life_rev(rating_n(g, tables, name, f"{name}_rating"), mean, p))
    distance = life.life_m(l10, g.number("rolling_radius"))
    return l10, [
        row(f"{name}_mean_load", mean, "N", "steady load that uses life as fast"),
        row(f"{name}_l10", l10, "Mrev", "nine in ten reach it"),
        row(f"{name}_l10_distance", distance, "mi", "nine in ten reach it"),
    ]


def _way_results(w: Running) -> list[Result]:
    return [
        row(f"{w.say}_inner", w.inner_n, "N", "radial load; negative pulls the other way"),
        row(f"{w.say}_outer", w.outer_n, "N", "radial load; negative pulls the other way"),
        row(f"{w.say}_inner_induced", w.loads.induced_a_n, "N", "thrust its own taper makes"),
        row(f"{w.say}_outer_induced", w.loads.induced_b_n, "N", "thrust its own taper makes"),
        row(f"{w.say}_inner_thrust", w.loads.thrust_a_n, "N", "thrust it carries"),
        row(f"{w.say}_outer_thrust", w.loads.thrust_b_n, "N", "thrust it carries"),
        row(f"{w.say}_inner_equivalent", w.loads.equivalent_a_n, "N", "equivalent load"),
        row(f"{w.say}_outer_equivalent", w.loads.equivalent_b_n, "N", "equivalent load"),
    ]


def _corner_says(ways: tuple[Running, ...]) -> list[str]:
    straight, outside, _ = ways
    times = float(outside.loads.equivalent_a_n) / float(straight.loads.equivalent_a_n)
    says = [
        f"In the bend the inner bearing of the outside wheel is loaded {times:.1f} times as hard as straight on."
    ]
    if outside.outer_n < 0:
        says.append(
            "There the tyre's side force tips the hub: the outer bearing is pressed upward against its usual side."
        )
    return says


def _end_play(g: Given, tables: Tables) -> Answer:
    over_zero(g, "radial", "rollers", "roller_length", "thrust_factor", "doubt")
    number.part_of_one("the share of the play", g.number("part"))
    play, angle, load = np.array(g.many("end_play")), _cup_angle_rad(g, tables), g.number("radial")
    clearance = roller_load.diametral_clearance_m(play, angle, g.number("part"))
    built = (angle, g.number("rollers"), _roller_length_m(g, tables))
    seat, level = (roller_load.seat(load, c, *built) for c in (clearance, 0.0))
    zone = np.asarray(seat.zone_share)
    radial, axial = roller_load.radial_integral(zone), roller_load.axial_integral(zone)
    results = (
        row("end_play", play, "in", "of the hub; negative is preload"),
        row("cup_angle", angle, "deg", "half the included cup angle"),
        row("clearance", clearance, "in", "on the diameter in this bearing"),
        row("load_zone", zone, "", "loaded part of the diameter, epsilon; over 1 all rollers carry"),
        row("zone_angle", 2 * np.arccos(np.clip(1 - 2 * zone, -1, 1)), "deg", "how far round the rollers carry"),
        row("radial_integral", radial, "", "Sjovall's Jr at that zone"),
        row("induced_thrust", load * np.tan(angle) * axial / radial, "N", "that this load makes in a bearing so set"),
        row("shift", seat.shift_m, "in", "the hub drops by this at the bearing"),
        row("top_roller", seat.top_n, "N", "load of the hardest pressed roller"),
        row("top_roller_share", seat.top_n / np.asarray(level.top_n), "%", "against zero end play"),
        row("life_share", seat.life_share, "%", "life against zero end play, rigid rings"),
    )  # fmt: skip
    return Answer(results, tuple(_play_says(g, tables, play)))


def _cup_angle_rad(g: Given, tables: Tables) -> float:
    """As given, else the one behind the thrust factor."""
    if g.has("cup_angle"):
        return g.number("cup_angle")
    return float(roller_load.cup_angle_rad(thrust_factor(g, tables, "bearing", "thrust_factor")))


def _roller_length_m(g: Given, tables: Tables) -> float:
    """As given, else by the width of the bearing's cup."""
    if g.has("roller_length"):
        return g.number("roller_length")
    if not g.has("bearing"):
        raise NoAnswerError(
            "neither bearing nor roller_length is given", "name the bearing or measure a roller."
        )
    return ROLLER_SHARE * bearing_named(tables, str(g["bearing"])).cup_width_m


def _play_says(g: Given, tables: Tables, play: Floats) -> list[str]:
    """A single reading against both published ranges, and what the sum leaves out."""
    says = []
    if len(play) == 1:
        low, heavy, light = (tables.number(f"end_play_{name}") for name in ("low", "heavy", "most"))
        for most, whose in ((heavy, "heavy wheel ends"), (light, "light trailer axles, the shop's row")):
            word = _range_word(float(play[0]), g.number("doubt"), low, most)
            says.append(f"Against {inches(low)} to {inches(most)} ({whose}): {word}.")  # fmt: skip
    if np.any(play < 0):
        says.append("Preload: a little spreads the load, but it grows with heat, and past a little life falls steeply. Never set it by feel.")  # fmt: skip
    return [
        *says,
        "Rigid rings and a straight spindle make end play look worse than it is on the road: compare settings only.",
    ]


def _range_word(size: float, doubt: float, least: float, most: float) -> str:
    if margin.verdict(size, doubt, most) == "over":
        return f"too loose by {inches(size - most)}"
    if margin.verdict_least(size, doubt, least) == "over":
        return f"too tight by {inches(least - size)}"
    inside = margin.verdict(size, doubt, most) == margin.verdict_least(size, doubt, least) == "under"
    return "inside" if inside else "at the edge, inside the gauge's doubt; measure again"


def _hub_heat(g: Given, tables: Tables) -> Answer:
    over_zero(g, "hub_doubt", "mate_doubt", "film", "area")
    hotter = g.number("hub") - g.number("mate")
    doubt = margin.combined((g.number("hub_doubt"), g.number("mate_doubt")))
    film, area = grid(g.many("film"), g.many("area"))
    heat = np.asarray(extra_heat_w(film, area, abs(hotter)))
    drag = drag_n(heat, g.number("road_speed"))
    results = (
        row("warmer", hotter, "K", "hub over its mate"),
        row("warmer_doubt", doubt, "K", "expanded uncertainty of it (k = 2)"),
        row("warmer_fahrenheit", hotter / WORKOUT_UNITS["F"].scale, "", "the same in degrees Fahrenheit"),
        spread("heat", heat, "W", "made in the hotter hub beyond its mate's"),
        spread("drag", drag, "lbf", "drag at the tyre that makes it at this speed"),
    )
    settled = "Watts and drag are for temperatures that have settled in the same air; area and heat transfer are assumed unless given."
    return Answer(results, (_apart(hotter, doubt, tables), *_stop_words(g, tables), settled))


def _apart(hotter_k: float, doubt_k: float, tables: Tables) -> str:
    """The difference against the shop's row."""
    most = tables.limit("hub_heat_difference").difference_si
    told, limit = warmer(abs(hotter_k)), f"{warmer(most)} of the shop's row"
    verdict = margin.verdict(abs(hotter_k), doubt_k, most)
    if verdict == "over":
        which = "hub" if hotter_k >= 0 else "mate"
        return f"The {which} is {told} hotter, over the {limit}: find what drags, brake or bearing."
    if verdict == "under":
        return f"{told} apart: within the {limit}."
    return f"{told} apart, at the {limit} inside the gauge's doubt: measure again."


def _stop_words(g: Given, tables: Tables) -> list[str]:
    """Each hub that may be as hot as the temperature at which to stop."""
    stop = tables.number("hub_heat_stop")
    return [
        f"The {name} reads {fahrenheit(g.number(name))}, which with the gauge's doubt may be {fahrenheit(stop)} or more: stop, do not drive on."
        for name in ("hub", "mate")
        if g.number(name) + g.number(f"{name}_doubt") >= stop
    ]


FORMULAS = (
    Formula(
        name="corner-load",
        say="what a wheel's two bearings carry straight on and in bends, and how long they last",
        asks=(
            Ask("wheel_load", "force", "load of the wheel standing still", "W"),
            Ask("inner", "word", "inner bearing, cone/cup; or give inner_rating and inner_factor", default=""),
            Ask("outer", "word", "outer bearing, cone/cup; or give outer_rating and outer_factor", default=""),
            Ask("inner_rating", "force", "its basic rating on a million revolutions", "Ci", default=""),
            Ask("outer_rating", "force", "its basic rating on a million revolutions", "Co", default=""),
            Ask("inner_factor", "number", "its thrust factor Y", "Yi", default="", within=(0.0, 100.0)),
            Ask("outer_factor", "number", "its thrust factor Y", "Yo", default="", within=(0.0, 100.0)),
            Ask("spread", "length", "distance of the two effective centres", "s"),
            Ask("load_at", "length", "wheel's load line, outboard of the inner effective centre", "x"),
            Ask("rolling_radius", "length", "rolling radius of the tyre", "r", within=(0.0, 2.0)),
            Ask("lateral", "acceleration", "lateral acceleration in bends; assumed", "a", default="0.2 g"),
            Ask("cg_height", "length", "height of the centre of gravity; assumed", "h", default="40 in"),
            Ask("track", "length", "track; assumed", "t", default="74 in"),
            Ask("bends", "share", "share of the distance in such bends, half each way; assumed", default="5 %"),
            Ask("form", "number", "induced thrust is form Fr/Y; 0.47 where K is given for Y", default="0.5", within=(0.0, 100.0)),
            Ask("exponent", "number", "life exponent; left out: 10/3", "p", default="", within=(1.0, 20.0)),
        ),
        work=_corner_load,
        formula="dW = m a h/t; Fy = a/g (W +- dW); Ro = (W x - Fy r)/s, Ri = W - Ro; Fi = form Fr/Y; Fa inner = max(Fi, Fi outer + Fy); "
        "P = max(Fr, 0.4 Fr + Y Fa); P^p mean = sum of share P^p; pair: 1/L^1.5 = sum of 1/L^1.5",
        source="equilibrium of a rigid axle and hub; induced thrust Fr/(2Y): bearing makers' catalogues; opposed pair: Budynas and Nisbett, "
        "Mechanical Engineering Design, 10th ed., equations 11-18 to 11-20 and example 11-8 (second-hand copy read); Y of the tables from memory",
        holds="two wheels to an axle loaded alike, tyres that share side force by load, steady bends, no springs or roll, no preload; an inner "
        "bearing that takes the thrust towards the trailer's middle, as in hubs with their cones facing outward",
        guard="tests/published/test_bearing.py (example 11-8); tests/measure/test_bearing.py (moments summed again)",
    ),
    Formula(
        name="end-play",
        say="what end play does to rollers and life, and where it stands in the published ranges",
        asks=(
            Ask("end_play", "length", "measured end play, or several to compare; negative is preload", "e", default="-0.001 0 0.001 0.003 0.005 0.010 in", many=True),
            Ask("doubt", "length", "the indicator's expanded uncertainty", "U", default="0.0005 in"),
            Ask("bearing", "word", "cone/cup of the tables", default=""),
            Ask("radial", "force", "radial load on this bearing", "Fr"),
            Ask("cup_angle", "angle", "half the included cup angle, in place of that behind Y", "alpha", default=""),
            Ask("thrust_factor", "number", "Y, in place of the table's", "Y", default="", within=(0.0, 100.0)),
            Ask("rollers", "number", "number of rollers; 18 is assumed, count them", "Z", default="18", within=(1.0, 500.0), whole=True),
            Ask("roller_length", "length", f"effective length of a roller; left out: {ROLLER_SHARE} of the cup's width, assumed", "l", default=""),
            Ask("part", "share", "this bearing's share of the play", default="50 %"),
        ),
        work=_end_play,
        formula="Pd = 2 part e tan(alpha), tan(alpha) = 0.4/Y; Fr = Z K cos(alpha) dmax^(10/9) Jr(eps), eps = (1 - Pd/(2 shift))/2; "
        "Qtop = Fr/(Z cos(alpha) Jr); life by mean loads of both rings, powers 4 and 4.5, slope 9/8",
        source="Harris, Rolling Bearing Analysis, 4th ed., 6.6, 7.3 and 18.4 (from memory); Sjovall's integral by quadrature; ranges: TMC RP 618 "
        "(0.001 to 0.005 in, for heavy wheel ends) and a boat-trailer manual (0.001 to 0.010 in), as rows of limits.toml",
        holds="rigid round rings, no tilt, no outside thrust, play shared evenly unless told; number and length of rollers assumed unless given",
        guard="tests/published/test_bearing.py (1/Jr at one half); tests/measure/test_bearing.py (adaptive quadrature, rollers one by one)",
    ),
    Formula(
        name="hub-heat",
        say="a hub against its mate after a run, and the drag that would explain the difference",
        asks=(
            Ask("hub", "temperature", "temperature of the hub"),
            Ask("mate", "temperature", "temperature of its mate on the axle"),
            Ask("hub_doubt", "temperature difference", "expanded uncertainty of it", default="4 F"),
            Ask("mate_doubt", "temperature difference", "expanded uncertainty of it", default="4 F"),
            Ask("road_speed", "speed", "speed of the run", "v", default="55 mph"),
            Ask("film", "heat transfer", "heat transfer to the air, lowest and highest; assumed", "h", default="20 60 W/m2K", many=True),
            Ask("area", "area", "outside of hub and drum, one or lowest and highest; assumed", "A", default="0.10 0.20 m2", many=True),
        ),
        work=_hub_heat,
        formula="T1 - T2 +- sqrt(U1^2 + U2^2); heat = h A (T1 - T2); drag = heat/v",
        source="Newton's law of cooling; JCGM 100:2008 5.1.2; limit of the difference: the shop's row hub_heat_difference; h and A assumed",
        holds="settled temperatures, same air and same finish on both; a brake used just before tells nothing of the bearing",
        guard="tests/workout/test_bearing.py; tests/measure/test_bearing.py",
    ),
)  # fmt: skip
