"""The pair of bearings in a hub: loads straight on and in bends, end play, and a hub that runs hot.

Life from a load alone, and a bearing by its sizes, are in `bearing.py`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from wheeltapper.measure import bearing as life
from wheeltapper.measure import margin, roller_load
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
from wheeltapper.units import GRAVITY_M_S2, INCH_M, WORKOUT_UNITS, from_si
from wheeltapper.workout.bearing import CLEAN, exponent, rating_n, thrust_factor
from wheeltapper.workout.cup import bearing_named
from wheeltapper.workout.fits import inches, over_zero, row
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.span import spread

HEAVY_LEAST_M, HEAVY_MOST_M = 0.001 * INCH_M, 0.005 * INCH_M  # TMC RP 618, written for heavy wheel ends
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
    over_zero(g, "wheel_load", "rolling_radius", "spread", "track", "cg_height", "form")
    bends = g.number("bends")
    if g.number("lateral") < 0:
        raise NoAnswerError(
            "the lateral acceleration is negative", "give its size; both bends are worked out."
        )
    if not 0 <= bends <= 1:
        raise NoAnswerError("the share of bends is not between 0 and 100 %", "give for instance 5 %.")
    ways = (
        _running(g, tables, "straight", 1 - bends, 0),
        _running(g, tables, "outside", bends / 2, 1),
        _running(g, tables, "inside", bends / 2, -1),
    )
    results = [r for way in ways for r in _way_results(way)]
    lives, p = [], exponent(g)
    for name, loads in (
        ("inner", [w.loads.equivalent_a_n for w in ways]),
        ("outer", [w.loads.equivalent_b_n for w in ways]),
    ):
        mean = life.mixed_load_n(loads, [w.share for w in ways], p)
        lives.append(float(life.rating_life_rev(rating_n(g, tables, name, f"{name}_rating"), mean, p)))
        results += [
            row(f"{name}_mean_load", mean, "N", "steady load that uses life as fast"),
            row(f"{name}_l10", lives[-1], "Mrev", "nine in ten reach it"),
            row(
                f"{name}_l10_distance",
                life.life_m(lives[-1], g.number("rolling_radius")),
                "mi",
                "nine in ten reach it",
            ),
        ]
    pair = life.pair_life_rev(lives)
    results.append(
        row(
            "pair_l10_distance",
            life.life_m(pair, g.number("rolling_radius")),
            "mi",
            "nine in ten hubs reach it",
        )
    )
    return Answer(tuple(results), (*_corner_says(ways), CLEAN))


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
    if not 0 <= g.number("part") <= 1:
        raise NoAnswerError("the share of the play is not between 0 and 100 %", "give 50 % for a pair alike.")
    play = np.array(g.many("end_play"))
    bearing = bearing_named(tables, str(g["bearing"])) if g.has("bearing") else None
    if g.has("cup_angle"):
        angle = g.number("cup_angle")
    else:
        angle = float(roller_load.cup_angle_rad(thrust_factor(g, tables, "bearing", "thrust_factor")))
    if not g.has("roller_length") and bearing is None:
        raise NoAnswerError(
            "neither bearing nor roller_length is given", "name the bearing or measure a roller."
        )
    length = (
        g.number("roller_length")
        if bearing is None or g.has("roller_length")
        else ROLLER_SHARE * bearing.cup_width_m
    )
    clearance = roller_load.diametral_clearance_m(play, angle, g.number("part"))
    seat = roller_load.seat(g.number("radial"), clearance, angle, g.number("rollers"), length)
    level = roller_load.seat(g.number("radial"), 0.0, angle, g.number("rollers"), length)
    zone = np.degrees(2 * np.arccos(np.clip(1 - 2 * np.asarray(seat.zone_share), -1, 1)))
    results = (
        row("end_play", play, "in", "of the hub; negative is preload"),
        row("cup_angle", angle, "deg", "half the included cup angle"),
        row("clearance", clearance, "in", "on the diameter in this bearing"),
        row(
            "load_zone", seat.zone_share, "", "loaded part of the diameter, epsilon; over 1 all rollers carry"
        ),
        row("zone_angle", np.radians(zone), "deg", "how far round the rollers carry"),
        row("radial_integral", roller_load.radial_integral(seat.zone_share), "", "Sjovall's Jr at that zone"),
        row(
            "induced_thrust",
            _induced_n(g, angle, seat.zone_share),
            "N",
            "that this load makes in a bearing so set",
        ),
        row("shift", seat.shift_m, "in", "the hub drops by this at the bearing"),
        row("top_roller", seat.top_n, "N", "load of the hardest pressed roller"),
        row("top_roller_share", seat.top_n / np.asarray(level.top_n), "%", "against zero end play"),
        row("life_share", seat.life_share, "%", "life against zero end play, rigid rings"),
    )
    return Answer(results, tuple(_play_says(g, tables, play)))


def _induced_n(g: Given, angle_rad: float, zone_share: Any) -> Any:
    """Fr tan(alpha) Ja / Jr."""
    axial, radial = roller_load.axial_integral(zone_share), roller_load.radial_integral(zone_share)
    return g.number("radial") * np.tan(angle_rad) * axial / radial


def _play_says(g: Given, tables: Tables, play: np.ndarray) -> list[str]:
    """The verdict on a single reading against both published ranges, and what the sum leaves out."""
    says = []
    if len(play) == 1:
        low, light = tables.number("end_play_low"), tables.number("end_play_most")
        words = [
            _range_word(float(play[0]), g.number("doubt"), least, most)
            for least, most in ((HEAVY_LEAST_M, HEAVY_MOST_M), (low, light))
        ]
        says = [
            f"Against 0.001 to 0.005 in (TMC RP 618, heavy wheel ends): {words[0]}.",
            f"Against {from_si(low, 'in'):.3f} to {from_si(light, 'in'):.3f} in (light trailer axles, the shop's row): {words[1]}.",
        ]
    if np.any(play < 0):
        says.append(
            "Preload: a little of it spreads the load, but it grows with heat, and past a little of it life falls steeply. Do not set it by feel."
        )
    says.append(
        "Rigid rings and a straight spindle make the loss to end play look worse than it is on the road; use it to compare settings."
    )
    return says


def _range_word(size: float, doubt: float, least: float, most: float) -> str:
    if margin.verdict(size, doubt, most) == "over":
        return f"too loose by {inches(size - most)}"
    if margin.verdict_least(size, doubt, least) == "over":
        return f"too tight by {inches(least - size)}"
    inside = margin.verdict(size, doubt, most) == margin.verdict_least(size, doubt, least) == "under"
    return "inside" if inside else "at the edge, inside the gauge's doubt; measure again"


def _hub_heat(g: Given, tables: Tables) -> Answer:
    over_zero(g, "hub_doubt", "mate_doubt", "film", "area")
    warmer = g.number("hub") - g.number("mate")
    doubt = margin.combined((g.number("hub_doubt"), g.number("mate_doubt")))
    limit_k, stop = tables.limit("hub_heat_difference").difference_si, tables.number("hub_heat_stop")
    area, film = np.array(g.many("area")), np.array(g.many("film"))
    heat = np.asarray(extra_heat_w(film[:, None], area[None, :], abs(warmer)))
    drag = np.asarray(drag_n(heat, g.number("road_speed")))
    verdict = margin.verdict(abs(warmer), doubt, limit_k)
    results = (
        row("warmer", warmer, "K", "hub over its mate"),
        row("warmer_doubt", doubt, "K", "expanded uncertainty of it (k = 2)"),
        row("warmer_fahrenheit", warmer / WORKOUT_UNITS["F"].scale, "", "the same in degrees Fahrenheit"),
        spread("heat", heat, "W", "made in the hotter hub beyond its mate's"),
        spread("drag", drag, "lbf", "drag at the tyre that makes it at this speed"),
    )
    return Answer(results, tuple(_heat_says(g, warmer, verdict, stop, limit_k)))


def _heat_says(g: Given, warmer: float, verdict: margin.Verdict, stop: float, limit_k: float) -> list[str]:
    degrees, limit = abs(warmer) / WORKOUT_UNITS["F"].scale, limit_k / WORKOUT_UNITS["F"].scale
    which = "hub" if warmer >= 0 else "mate"
    words = {
        "under": f"{degrees:.0f} F apart: within the {limit:.0f} F of the shop's row.",
        "at the limit": f"{degrees:.0f} F apart, at the {limit:.0f} F of the shop's row inside the gauge's doubt: measure again.",
        "over": f"The {which} is {degrees:.0f} F hotter, over the {limit:.0f} F of the shop's row: find what drags, brake or bearing.",
    }
    says = [words[verdict]]
    for name in ("hub", "mate"):
        if g.number(name) + g.number(f"{name}_doubt") >= stop:
            says.append(
                f"The {name} is at {from_si(g.number(name), 'F'):.0f} F, at or over {from_si(stop, 'F'):.0f} F: stop, do not drive on."
            )
    return [
        *says,
        "Watts and drag are for temperatures that have settled in the same air; area and heat transfer are assumed unless given.",
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
            Ask("inner_factor", "number", "its thrust factor Y", "Yi", default=""),
            Ask("outer_factor", "number", "its thrust factor Y", "Yo", default=""),
            Ask("spread", "length", "distance of the two effective centres", "s"),
            Ask("load_at", "length", "wheel's load line, outboard of the inner effective centre", "x"),
            Ask("rolling_radius", "length", "rolling radius of the tyre", "r"),
            Ask("lateral", "acceleration", "lateral acceleration in bends; assumed", "a", default="0.2 g"),
            Ask("cg_height", "length", "height of the centre of gravity; assumed", "h", default="40 in"),
            Ask("track", "length", "track; assumed", "t", default="74 in"),
            Ask("bends", "share", "share of the distance in such bends, half each way; assumed", default="5 %"),
            Ask("form", "number", "induced thrust is form Fr/Y; 0.47 where K is given for Y", default="0.5"),
            Ask("exponent", "number", "life exponent; left out: 10/3", "p", default=""),
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
            Ask("thrust_factor", "number", "Y, in place of the table's", "Y", default=""),
            Ask("rollers", "number", "number of rollers; 18 is assumed, count them", "Z", default="18"),
            Ask("roller_length", "length", f"effective length of a roller; left out: {ROLLER_SHARE} of the cup's width, assumed", "l", default=""),
            Ask("part", "share", "this bearing's share of the play", default="50 %"),
        ),
        work=_end_play,
        formula="Pd = 2 part e tan(alpha), tan(alpha) = 0.4/Y; Fr = Z K cos(alpha) dmax^(10/9) Jr(eps), eps = (1 - Pd/(2 shift))/2; "
        "Qtop = Fr/(Z cos(alpha) Jr); life by mean loads of both rings, powers 4 and 4.5, slope 9/8",
        source="Harris, Rolling Bearing Analysis, 4th ed., 6.6, 7.3 and 18.4 (from memory); Sjovall's integral by quadrature; ranges: TMC RP 618 "
        "(0.001 to 0.005 in) and a boat-trailer manual (0.001 to 0.010 in)",
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
