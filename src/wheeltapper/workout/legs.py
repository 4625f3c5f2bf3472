"""The legs of a harness: what each loses, and which of them is dead."""

from __future__ import annotations

import numpy as np

from wheeltapper.measure import electric, legs
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import not_negative
from wheeltapper.workout.rows import row
from wheeltapper.workout.wire import COILS_ASK, DRUM_ASK, WIRE_ASKS, coils_of, wire_ohm

SHOWN = 8  # explanations listed; the count tells how many there are


def _leg(g: Given, _: Tables) -> Answer:
    coils, shown = _leg_readings(g)
    plug, doubt = g.number("plug"), g.number("volts_doubt")
    felt = electric.leg_ohm(np.full_like(shown, plug), shown, coils)
    own = electric.beyond_best_ohm(np.full_like(shown, shown.max()), shown, coils)
    current = shown / coils
    total = float(current.sum())
    shared = float(plug - shown.max()) / total
    rows = [
        row("currents", current, "A", "of each leg"),
        Result("total", total, "A", "of all legs, by volts over ohms"),
        row("felt", felt, "ohm", "between plug and magnet as each leg feels it, by its own current"),
        row("own", own, "ohm", "surely each leg's own: more than the best leg has"),
        Result("shared", shared, "ohm", "of the shared feed, at most"),
    ]  # fmt: skip
    wire = wire_ohm(g)
    if wire is not None:
        rows += [Result("wire", wire, "ohm", "of the feed's copper"), Result("excess", shared - wire, "ohm", "of the feed over its copper: splices, plug and ground")]  # fmt: skip
    says = _leg_words(own, current, 2 * doubt / current + _lead_ohm(g))
    return Answer(tuple(rows), (*says, *_feed_words(shared, wire, 2 * doubt / total, bool(says))))


def _leg_readings(g: Given) -> tuple[Floats, Floats]:
    """Ohms and volts of each leg; a meter may read a shade over the plug."""
    coils, volts = coils_of(g), g.many("magnets")
    coils = coils * len(volts) if len(coils) == 1 else coils
    if len(coils) != len(volts):
        raise NoAnswerError(
            "each magnet needs volts and ohms", "give as many coils as magnets, or one for all."
        )
    not_negative(g, "volts_doubt")
    plug, shown = g.number("plug"), np.asarray(volts)
    return np.asarray(coils), np.where(
        shown <= plug + g.number("volts_doubt"), np.minimum(shown, plug), shown
    )


def _leg_words(own: Floats, current: Floats, slack: Floats) -> list[str]:
    """Legs that lose more than two readings of one meter and a lead's copper can hide, the cautious way."""
    return [
        f"Leg {n}: {o:.2f} ohm more than the best leg ({o * a:.1f} V lost): look for a splice or a ground of this leg."
        for n, (o, a, s) in enumerate(zip(own, current, slack, strict=True), 1)
        if o > s
    ]


def _lead_ohm(g: Given) -> float:
    """Copper of the longest own lead of a leg [ohm]."""
    if not g.has("lead_length"):
        return 0.0
    gauge = g["lead_awg"] if g.has("lead_awg") else g["awg"]
    if gauge is None:
        raise NoAnswerError("the leads have a length and no gauge", "give lead_awg.")
    not_negative(g, "lead_length")
    return float(electric.wire_ohm(gauge, 2 * g.number("lead_length")))


def _feed_words(shared: float, wire: float | None, slack: float, odd: bool) -> tuple[str, ...]:
    if wire is None:
        return ("Give awg and length to hold the feed against its copper.",)
    if shared - wire > slack:
        return (f"All legs lose alike through {shared - wire:.2f} ohm more than the copper has: a splice, the plug or the ground of the shared feed.",)  # fmt: skip
    if wire - shared > slack:
        return ("The feed loses less than its copper must: check its gauge and length, the coils' ohms, and the volts again.",)  # fmt: skip
    return () if odd else ("Every leg has what its wire gives it, within the meter's doubt.",)


def _dead(g: Given, tables: Tables) -> Answer:
    harness, names = _harness(g, tables)
    found = legs.explanations(harness)
    top = [e for e in found if e.legs == found[0].legs] if found else []
    rows = [
        Result("explanations", len(found), "", "sets of faults that the readings allow"),
        Result("fewest", found[0].legs if found else None, "", "legs at fault in the simplest of them"),
        Result("unique", len(top) == 1, "", "is the simplest one the only one with so few legs"),
        Result("listed", tuple(_told(e, names) for e in found[:SHOWN]), "", "fewest legs first, then the likeliest"),
        Result("likelihoods", tuple(e.likelihood_share for e in found[:SHOWN]), "%", "of each, all held as likely as another beforehand"),
        Result("residuals", tuple(e.residual_share for e in found[:SHOWN]), "", "measured less explained current, over its doubt"),
        Result("resistances", tuple(e.extra_ohm for e in found[:SHOWN]), "ohm", "in the weak leg or feed of each; 0 where none"),
    ]  # fmt: skip
    best = legs.best_leg(harness, found)
    rows.append(
        Result("measure_next", None if best is None else names[best], "", "where one voltage tells most")
    )
    return Answer(tuple(rows), tuple(_dead_words(found, top, names, best)))


def _harness(g: Given, tables: Tables) -> tuple[legs.Harness, list[str]]:
    count = len(g.many("coils")) or int(g["brakes"] or 0)
    sure = not g.has("brakes") or g.number("brakes") == count
    names = str(g["names"]).split() if g.has("names") else [f"leg {n}" for n in range(1, count + 1)]
    if not sure or len(names) != count or not 1 <= count <= legs.MOST_LEGS:
        raise NoAnswerError("the legs are not counted alike", f"give coils (or brakes) and names for one to {legs.MOST_LEGS} magnets.")  # fmt: skip
    low, high = _range(g, tables)
    coils, unknown = g.many("coils") or ((low + high) / 2,) * count, set(_legs(g, "not_measured", count))
    unknown = unknown if g.has("coils") else set(range(count))
    ohms = tuple((low + high) / 2 if n in unknown else r for n, r in enumerate(coils))
    doubts = tuple((high - low) / 2 if n in unknown else g.number("coil_doubt") for n in range(count))
    known = dict(zip(_legs(g, "known_legs", count), g.many("known_volts"), strict=False))
    if len(known) != len(g.many("known_volts")) or len(known) != len(g.many("known_legs")):
        raise NoAnswerError("each known voltage needs its own leg", "give as many known_legs as known_volts.")
    volts = tuple(known.get(n) for n in range(count))
    return legs.Harness(
        g.number("amps"), g.number("amps_doubt"), g.number("plug"), g.number("volts_doubt"), ohms, doubts, volts,
        g.number("volts_doubt"), tables.number("dead_volts"), wire_ohm(g) or 0.0,
    ), names  # fmt: skip


def _range(g: Given, tables: Tables) -> tuple[float, float]:
    """The range of a coil that was not measured [ohm]."""
    given = g.many("coil_range")
    if not given:
        low, high = (tables.number(f"magnet_ohm_{end}", str(g["drum"])) for end in ("low", "high"))
        return low, high
    if len(given) != 2 or not 0 < given[0] <= given[1]:
        raise NoAnswerError("a range has a low and a high end", "write coil_range='3.0 3.8 ohm'.")
    return given[0], given[1]


def _legs(g: Given, name: str, count: int) -> list[int]:
    """Leg numbers as written, from 1, counted from 0."""
    numbers = g.many(name)
    if any(n != int(n) or not 1 <= n <= count for n in numbers):
        raise NoAnswerError(f"{name} names a leg that is not there", f"give leg numbers from 1 to {count}.")
    return [int(n) - 1 for n in numbers]


def _told(e: legs.Explanation, names: list[str]) -> str:
    said = [f"{' and '.join(names[n] for n in e.dead)} not fed"] if e.dead else []
    if e.weak is not None:
        said.append(f"{e.extra_ohm:.1f} ohm in {names[e.weak]}")
    if e.shared:
        said.append(f"{e.extra_ohm:.2f} ohm in the shared feed ({max(e.magnets_v):.1f} V at the magnets)")
    return ", ".join(said) or "every leg fed"


def _dead_words(
    found: tuple[legs.Explanation, ...], top: list[legs.Explanation], names: list[str], best: int | None
) -> list[str]:
    if not found:
        return ["No set of dead or weak legs gives this current. More than all coils can draw is a short or a wrong reading; else one reading "
                "contradicts the rest: measure again."]  # fmt: skip
    told, likeliest = _told(top[0], names), top[0].likelihood_share
    alike = [e for e in top if e.likelihood_share > likeliest * (1 - 1e-6)]
    if len(top) == 1:
        says = [f"Simplest: {told}."]
    elif len(alike) > 1:
        says = [
            f"{len(top)} explanations are equally simple, and {len(alike)} of them equally likely: the current alone cannot choose."
        ]
    else:
        says = [f"{len(top)} explanations are equally simple; a little likelier than the rest is {told}."]
    if len(found) > len(top):
        says.append(f"With more legs at fault, {len(found) - len(top)} more fit: the current alone does not rule them out.")  # fmt: skip
    if best is not None:
        says.append(f"Measure volts at {names[best]} next, connected and at full apply: that one reading separates most of them.")  # fmt: skip
    return [*says, "It names a wire to look at, never a magnet to replace."] if top[0].legs else says


FORMULAS = (
    Formula(
        name="leg-resistance",
        say="resistance that each leg of a harness has between plug and magnet, its own and the shared feed's",
        asks=(
            Ask("plug", "voltage", "at the plug, at full apply", "V"), Ask("magnets", "voltage", "at each magnet, connected, at the same apply", "Vm", many=True),
            COILS_ASK, Ask("volts_doubt", "voltage", "the voltmeter's expanded uncertainty, k = 2", "U", default="0.1 V"), *WIRE_ASKS,
            Ask("lead_awg", "gauge", "gauge of each leg's own lead, where it is not that of the feed", default="", whole=True),
            Ask("lead_length", "length", "longest own lead of a leg, one way", default="", within=(0.0, 2e3)),
        ),
        work=_leg,
        formula="I = Vm/R; felt = (V - Vm)/I; own = (best Vm - Vm)/I; shared <= (V - best Vm)/sum(I); excess = shared - copper",
        source="Ohm's and Kirchhoff's laws",
        holds="legs that part from one feed; all voltages at one apply, with the magnets drawing. An open leg has no current and no resistance to give",
        guard="tests/measure/test_electric_legs.py: nodal analysis solved by numpy",
    ),
    Formula(
        name="dead-leg",
        say="which magnets are not fed, or fed through a bad splice, from the total current",
        asks=(
            Ask("amps", "current", "all together, at full apply", "I"), Ask("amps_doubt", "current", "its expanded uncertainty, k = 2", "U", default="0.2 A"),
            Ask("plug", "voltage", "at the plug, at the same apply", "V"), Ask("volts_doubt", "voltage", "the voltmeter's, k = 2", "", default="0.1 V"),
            Ask("coils", "resistance", "each magnet's coil in order", "R", default="", many=True), Ask("coil_doubt", "resistance", "the ohmmeter's, k = 2", "", default="0.1 ohm"),
            Ask("not_measured", "number", "leg numbers whose coil was not measured: the range counts for them", default="", many=True, whole=True),
            Ask("brakes", "number", "how many, where no coil was measured", default="", within=(1.0, 100.0), whole=True), Ask("coil_range", "resistance", "lowest and highest sound coil; the table's where left out", default="", many=True),
            DRUM_ASK, Ask("known_legs", "number", "leg numbers where volts were measured at the magnet", default="", many=True, whole=True),
            Ask("known_volts", "voltage", "the volts at those, in the same order", "Vm", default="", many=True), *WIRE_ASKS,
            Ask("names", "word", "names of the legs with blanks between, such as '1-road 1-curb 2-road 2-curb'", default=""),
        ),
        work=_dead,
        formula="for every set of fed legs I = (sum(Vm/R known) + V G)/(1 + r G), G = sum(1/R fed); kept where |measured - I| <= U of both; between two "
        "sets one leg has V_node/I_leg - R in it; likelihood normal with u = U/2",
        source="Ohm's and Kirchhoff's laws; uncertainties as in JCGM 100:2008 (GUM), 5.1.2, the ohmmeter's error summed plainly",
        holds="one shared feed, up to 8 magnets, at most one bad splice beside dead legs. It lists what is possible; a voltage at the leg decides",
        guard="tests/measure/test_electric_legs.py: nodal analysis solved by numpy for every set of dead legs",
    ),
)  # fmt: skip
