"""What a heat colour says, and whether the stops described can have made it.

A colour is told as a range with its doubts, never as one number. What it is held against is only what the stops
described can make; it settles no cause alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure import cooling, half_space, heat
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.braking import (
    AIR_ASK,
    AREA_ASK,
    FILM_ASK,
    FILM_SAID,
    START_ASK,
    STOP_ASKS,
    first_speed,
    stop,
)
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import one_way, over_zero
from wheeltapper.workout.metal import DIFFUSIVITY_ASK, METAL_ASKS, conductivity, diffusivity, specific_heat
from wheeltapper.workout.named import near
from wheeltapper.workout.ranges import alike, ends, grid
from wheeltapper.workout.rows import spread
from wheeltapper.workout.text import fahrenheit

NO_COLOUR = "none"
COLOUR_DOUBTS = {
    "cast iron": "The colours were tabled on polished carbon steel; cast iron shifts them by an unknown amount, so here the range is a guide only.",
    "bearing steel": "The colours were tabled on plain carbon steel; chromium in a bearing's steel shifts them, mostly to hotter (from memory).",
    "other": "The colours were tabled on polished carbon steel; any other metal shifts them by an unknown amount.",
}
HELD_DOUBTS = {
    "hours": "Held hot for hours a metal colours at less heat than the table says: brown or purple from 400 °F.",
    "not known": "How long it was hot is not known: hours at 400 °F can leave what minutes leave at 550 °F.",
}
OIL_DOUBTS = {
    "yes": "Oil or grease burnt on looks like a heat colour: clean the place and look again.",
    "not known": "Make sure that it is the metal's colour and not burnt oil or grease: clean the place and look again.",
}
SPENT = (
    "A seat that took a colour was over 400 °F: a nitrile seal (about 250 °F) and lithium grease (250 °F, complex 300 °F) that sat there are "
    "spent whatever they look like."
)  # fmt: skip
COLOUR_ASKS = (
    Ask("metal", "word", "what shows the colour", default="cast iron", words=("cast iron", "carbon steel", "bearing steel", "other")),
    Ask("held", "word", "how long it was hot", default="not known", words=("minutes", "hours", "not known")),
    Ask("oil", "word", "was there oil or grease on it", default="not known", words=("no", "yes", "not known")),
)  # fmt: skip


def _heat_colour(g: Given, tables: Tables) -> Answer:
    doubts = _doubts(g)
    if one_way(g, "write colour=blue.", colour="the colour", temperature="a temperature") == "temperature":
        return _colours_at(g.number("temperature"), tables, doubts)
    if g["colour"] == NO_COLOUR:
        under = Result(
            "under", _seen(tables, NO_COLOUR)[1], "F", "bare metal was no hotter, unless it was rubbed since"
        )
        return Answer((under,), doubts)
    low, high = _seen(tables, str(g["colour"]))
    rows = [row for row in tables.heat_colours if row.colour == g["colour"]]
    return Answer(
        (
            Result("peak", (low, high), "F", "hottest it was, from and to; never one number"),
            Result("printed", tuple(row.text for row in rows), "", "as the table has it"),
            Result("from", tuple(row.at for row in rows), "", "what the range is made of"),
        ),
        (
            f"'{g['colour']}' says that the metal was at {fahrenheit(low, high)} once, not when.",
            SPENT,
            *doubts,
        ),
    )


def _colours_at(temperature: float, tables: Tables, doubts: tuple[str, ...]) -> Answer:
    """The other way round: what colours a temperature may leave."""
    fits = tuple(row.colour for row in tables.heat_colours if row.low_k <= temperature <= row.high_k)
    said = f"{fahrenheit(temperature)} may leave: {', '.join(fits) or 'no colour in the table'}."
    return Answer((Result("colours", fits, "", "colours whose range holds it"),), (said, *doubts))


def _doubts(g: Given) -> tuple[str, ...]:
    found = (COLOUR_DOUBTS.get(g["metal"]), HELD_DOUBTS.get(g["held"]), OIL_DOUBTS.get(g["oil"]))
    return tuple(said for said in found if said)


def _seen(tables: Tables, colour: str) -> tuple[float, float]:
    """The range of peak temperature of a colour [K]; under the first one for bare metal."""
    if colour == NO_COLOUR:
        return 0.0, min(row.low_k for row in tables.heat_colours)
    rows = [row for row in tables.heat_colours if row.colour == colour]
    if not rows:
        known = (*(row.colour for row in tables.heat_colours), NO_COLOUR)
        raise NoAnswerError(f"there is no heat colour '{colour}'", near(colour, known))
    return min(row.low_k for row in rows), max(row.high_k for row in rows)


@dataclass(frozen=True)
class Made:
    """What the stops described can make of the drum [K]: the whole of it, and its skin."""

    bulk: tuple[float, float]
    most: float  # skin included


def _made(g: Given, tables: Tables) -> Made:
    s, stops, c = stop(g), g.number("stops"), specific_heat(g, tables)
    if stops < 1 or (stops > 1 and not (g.has("area") and g.has("gap"))):
        raise NoAnswerError(
            "several stops need area and gap", "give the cooled surface and the time from stop to stop."
        )
    one, kg, film, gap = grid(ends(s.drum), g.many("drum_mass"), g.many("film"), g.many("gap") or (1.0,))
    rise = heat.bulk_rise_k(*alike(one, kg, c))
    bulk = g.number("start") + rise
    if stops > 1:
        constant = cooling.time_constant_s(*alike(kg, c, film, g.number("area")))
        above = g.number("start") - g.number("air")
        bulk = g.number("air") + cooling.after_stop_k(*alike(rise, above, gap, constant, stops))
    skin_rise = _skin(g, tables, one, s.time)  # on top of it all: more than a wall of any thickness can reach
    return Made(ends(bulk), float(np.max(bulk + skin_rise)))


def _skin(g: Given, tables: Tables, one: Floats, time: float | None) -> Floats:
    """Highest rise of the skin in one stop, where its face and time are given, else nothing [K]."""
    if not g.has("rubbed") or time is None:
        return 0 * one
    over_zero(g, "rubbed")
    k, alpha = conductivity(g, tables), diffusivity(g, tables)
    return half_space.stop_peak_k(
        *alike(2 * one / time / g.number("rubbed"), time, half_space.effusivity(k, alpha))
    )


def _against(g: Given, tables: Tables) -> Answer:
    seen, made = _seen(tables, str(g["colour"])), _made(g, tables)
    bare = g["colour"] == NO_COLOUR
    verdict = "cannot say" if bare else heat.explained(*seen, made.bulk[0], made.most)
    other = _seen(tables, str(g["hub_colour"])) if g.has("hub_colour") else None
    points = _points_to(verdict, seen, other)
    rows = (
        *([] if bare else [Result("seen", seen, "F", "hottest the band was by its colour, from and to")]),
        Result("bulk", made.bulk, "F", "the whole drum after the stops described, from and to"),
        Result("most", made.most, "F", "the most they make, the skin for some seconds included where its face is given"),
        Result("verdict", verdict, "", "do the stops described explain the colour"),
        Result("points_to", points, "", "what that supports; it settles nothing alone"),
        *_dragging(g, seen),
    )  # fmt: skip
    asks = (
        f"is bare: it was {_range_words(seen)}, or rubbed since" if bare else f"asks for {_range_words(seen)}"
    )
    said = f"The band {asks}; the stops described make {fahrenheit(made.bulk[0], made.most)}: {verdict}. {SUPPORTS[points]}"
    rubbed = "Linings rub a colour off the band: what is left was made since, or where they do not touch."
    return Answer(rows, (said, *_doubts(g), rubbed))


SUPPORTS = {
    "braking": "That supports ordinary hard braking. It does not rule out a drag.",
    "drag": "The band got hotter than that, and hotter than the hub: that supports a brake that drags or was left on. Spin the wheel, and "
    "measure volts with the brake released.",
    "drag or bearing": "The heat came from more than that: a brake that drags, or a bearing. Look at the hub's colour at the bearing seats, "
    "at the grease, and spin the wheel.",
    "bearing": "The hub got hotter than the band: that supports heat from a bearing. Look at the grease, rollers, spindle and end play.",
    "cannot say": "This decides nothing: look at the hub's colour, the grease, and spin the wheel.",
}


def _range_words(kelvin: tuple[float, float]) -> str:
    """A colour's range; bare metal has only a top."""
    return fahrenheit(*kelvin) if kelvin[0] > 0 else f"under {fahrenheit(kelvin[1])}"


def _points_to(verdict: str, seen: tuple[float, float], hub: tuple[float, float] | None) -> str:
    if hub is not None and hub[0] >= seen[1]:
        return "bearing"
    if verdict == "explained":
        return "braking"
    if verdict == "cannot say":
        return "cannot say"
    return "drag" if hub is not None and hub[1] <= seen[0] else "drag or bearing"


def _dragging(g: Given, seen: tuple[float, float]) -> tuple[Result, ...]:
    """What a drag would have to be to hold the colour's heat."""
    if not g.has("area"):
        return ()
    above, film = grid(np.maximum(np.asarray(seen) - g.number("air"), 0.0), g.many("film"))
    power = cooling.holding_w(*alike(above, film, g.number("area")))
    over_zero(g, "from_speed")
    return (
        spread("hold_power", power, "kW", "heat flow that would hold the drum at the colour's range"),
        spread("hold_drag", power / first_speed(g), "lbf", "drag at the road that makes it at from_speed"),
    )  # fmt: skip


FORMULAS = (
    Formula(
        name="heat-colour",
        say="the range of temperature that an oxide colour stands for, with its doubts; or which colours fit a temperature",
        asks=(
            Ask("colour", "word", "a colour of the table", default=""),
            Ask("temperature", "temperature", "in place of a colour", "T", default=""),
            *COLOUR_ASKS,
        ),
        work=_heat_colour,
        formula="looked up: the range of the heat colour table",
        source="temper colours on carbon steel, average of five public sources (see the table's rows)",
        holds="polished plain carbon steel, minutes, in air. The film is a guide to the hottest the metal was at the least; it never gives one number",
        guard="tests/workout/test_heat.py: every row of the table",
    ),
    Formula(
        name="colour-against-braking",
        say="can the stops described have made the colour seen on the friction band, or does it point to a drag or a bearing",
        asks=(
            Ask("colour", "word", "colour on the friction band; 'none' for bare metal"),
            Ask("hub_colour", "word", "colour on the hub at the bearing seats; 'none' for bare metal", default=""),
            *STOP_ASKS,
            Ask("stops", "number", "how many such stops in a row", "n", default="1", within=(1.0, 1e5), whole=True),
            Ask("gap", "time", "from one to the next, one number or low and high", "t", "", True),
            Ask("drum_mass", "mass", "mass of the drum, one number or low and high", "md", many=True),
            *METAL_ASKS,
            DIFFUSIVITY_ASK,
            Ask("rubbed", "area", "rubbed face of the drum, to count its skin", "A", default=""),
            AREA_ASK,
            FILM_ASK,
            AIR_ASK,
            START_ASK,
            *COLOUR_ASKS,
        ),
        work=_against,
        formula="seen: the colour's range; made: from the least bulk temperature to the most, skin included; explained where made low >= seen high, "
        "not explained where made high < seen low, else cannot say; bare metal asks for nothing",
        source="heat-colour table; stop-heat, repeated-stops and surface-heat for what is made",
        holds="only the stops described are counted; the skin's rise in thick metal is laid on top of the whole drum's, which is more than it can be. It supports a cause and never settles one. " + FILM_SAID,
        guard="tests/workout/test_heat.py: explained, not explained and in between, each with its near miss",
    ),
)  # fmt: skip
