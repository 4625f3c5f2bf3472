"""Magnets and their wires: wire sizes and drops, the current of a set, what a leg loses, and which leg is dead."""

from __future__ import annotations

import numpy as np

from wheeltapper.measure import electric, legs, margin, number
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result

SHOWN = 8  # explanations listed; the count tells how many there are
VERDICTS = {"under": "inside", "at the limit": "at the edge, inside the doubt", "over": "outside"}
WIRE_ASKS = (
    Ask("awg", "number", "gauge of the wire; 0 for 1/0, -3 for 4/0", "n", default=""),
    Ask("length", "length", "length of the run, one way", "l", default=""),
    Ask(
        "conductors",
        "number",
        "how often the current runs that length in this wire: out and back is 2",
        default="2",
    ),
)
MAKER = "The axle maker's current and least wire gauge govern."


def _wire_ohm(g: Given) -> float | None:
    """Resistance of the run, None where gauge or length was not given [ohm]."""
    if not (g.has("awg") and g.has("length")):
        return None
    number.not_negative("the length of the run", g.number("length"))
    number.above_zero("the number of conductors", g.number("conductors"))
    return electric.wire_ohm(g.number("awg"), g.number("length") * g.number("conductors"))


def _coils(g: Given) -> tuple[float, ...]:
    coils = g.many("coils")
    number.above_zero("the resistance of a coil", np.asarray(coils))
    return coils


def _wire(g: Given, _: Tables) -> Answer:
    if g.has("current") and g.has("coils"):
        raise NoAnswerError(
            "current and coils say the same thing twice", "give the current, or the coils that draw it."
        )
    rows, says = [], []
    if g.has("awg"):
        rows += _gauge_rows(g.number("awg"))
    wire = _wire_ohm(g)
    if wire is not None:
        rows.append(Result("resistance", wire, "ohm", "of the run, out and back"))
    if wire is not None and (g.has("current") or g.has("coils")):
        rows += _drop_rows(g, wire)
    if g.has("drop") or g.has("drop_share"):
        wanted, sold = _thinnest(g)
        rows += wanted
        says.append(f"For that drop no thinner than {_gauge_word(sold)}. {MAKER}")
    if not rows:
        raise NoAnswerError(
            "there is nothing to work out", "give awg; with length and current or coils for the drop."
        )
    return Answer(tuple(rows), tuple(says))


def _gauge_rows(gauge: float) -> list[Result]:
    across, each = electric.wire_diameter_m(gauge), electric.wire_ohm_per_m(gauge)
    area = np.pi / 4 * across**2
    return [
        Result("diameter", across, "in", "of the bare solid wire"),
        Result("diameter_metric", across, "mm", "the same"),
        Result("area", area, "mm2", "of copper"),
        Result("circular_mils", area / electric.CIRCULAR_MIL_M2, "", "area in circular mils"),
        Result("per_km", each, "ohm/km", "copper at 20 C"),
        Result("per_kft", each, "ohm/kft", "the same"),
    ]


def _drop_rows(g: Given, wire: float) -> list[Result]:
    volts = g.number("volts")
    number.above_zero("the voltage", volts)
    if g.has("coils"):
        current, left = electric.fed_through_wire(volts, wire, _coils(g))
    else:
        number.not_negative("the current", g.number("current"))
        current, left = g.number("current"), volts - g.number("current") * wire
    if left < 0:
        raise NoAnswerError(
            "this wire cannot carry that current at this voltage", "give the coils instead of a current."
        )
    return [
        Result("current", current, "A", "through the wire"),
        Result("voltage_drop", volts - left, "V", "lost in the wire"),
        Result("drop_part", (volts - left) / volts, "%", "of the voltage at the plug"),
        Result("left", left, "V", "that reaches the magnets"),
        Result("lost_power", (volts - left) * current, "W", "that warms the wire"),
    ]


def _thinnest(g: Given) -> tuple[list[Result], int]:
    """The thinnest wire, of the even gauges that are sold, for a drop."""
    volts = g.number("volts")
    drop = g["drop"] if g.has("drop") else g["drop_share"] * volts
    if not 0 < drop < volts:
        raise NoAnswerError("a drop lies between nothing and all of the voltage", "give drop='0.5 V' or drop_share='5 %'.")  # fmt: skip
    if not g.has("length") or g.has("current") == g.has("coils"):
        raise NoAnswerError(
            "a drop needs the run and what flows in it", "give length, and either current or coils."
        )
    load = 1 / sum(1 / r for r in _coils(g)) if g.has("coils") else 0.0
    number.above_zero("the current", 1.0 if load else g.number("current"))
    most = drop * load / (volts - drop) if load else drop / g.number("current")
    exact = electric.thinnest_awg(most, g.number("length") * g.number("conductors"))
    even = int(np.floor(exact / 2 + 1e-9)) * 2
    sold = even if even >= 0 else int(np.floor(exact + 1e-9))
    rows = [
        Result("most_resistance", most, "ohm", "that the run may have"),
        Result("exact_gauge", exact, "", "AWG number of just that resistance"),
        Result("gauge_wanted", sold, "", "thinnest gauge sold that keeps the drop"),
    ]
    return rows, sold


def _gauge_word(number: int) -> str:
    return f"{number} AWG" if number > 0 else f"{1 - number}/0 AWG"


def _magnets(g: Given, tables: Tables) -> Answer:
    coils, volts = _coils(g), g.number("volts")
    number.above_zero("the voltage", volts)
    wire = _wire_ohm(g) or 0.0
    whole, left = electric.fed_through_wire(volts, wire, coils)
    rated = g["rated"] if g.has("rated") else tables.number("magnet_rated_amps", str(g["drum"]))
    bench = electric.expected_a(volts, coils) / len(coils)
    rows = [
        Result("each", tuple(left / r for r in coils), "A", "through each magnet"),
        Result("expected", whole, "A", "all together, behind the wire where it was given"),
        Result("at_magnets", left, "V", "that reaches the magnets"),
    ]
    says = []
    for name, rating, what in (("harness", rated, "the maker's rating in the harness"), ("bench", bench, "volts at the plug over ohms, no wire")):  # fmt: skip
        low, high = electric.current_window_a(rating, tables.number("amps_under"), tables.number("amps_over"))
        rows += [Result(f"{name}_rated", rating, "A", f"of one brake: {what}"), Result(f"{name}_window", (low, high), "A", "least and most average current of a brake by it")]  # fmt: skip
        if g.has("amps"):
            verdict = _verdict(g, len(coils), low, high)
            rows.append(Result(f"{name}_verdict", verdict, "", "where the measured average stands"))
            says.append(f"By {what} ({rating:.2f} A a brake, {low:.2f} to {high:.2f} A allowed): {verdict}.")
    if g.has("amps"):
        rows.append(Result("average", g["amps"] / len(coils), "A", "measured, of one brake"))
        says.append(
            "The two ratings differ because a harness has resistance of its own; each is told by its name."
        )
    return Answer(tuple(rows), (*says, MAKER))


def _verdict(g: Given, brakes: int, low: float, high: float) -> str:
    number.not_negative("the current", g.number("amps"))
    number.not_negative("the ammeter's doubt", g.number("amps_doubt"))
    average, doubt = g["amps"] / brakes, g["amps_doubt"] / brakes
    over, under = margin.verdict(average, doubt, high), margin.verdict_least(average, doubt, low)
    if "over" in (over, under):
        return "too high" if over == "over" else "too low"
    return VERDICTS["at the limit" if "at the limit" in (over, under) else "under"]


def _leg(g: Given, _: Tables) -> Answer:
    coils, shown = _leg_readings(g)
    plug, doubt = g.number("plug"), g.number("volts_doubt")
    felt = electric.leg_ohm(np.full_like(shown, plug), shown, coils)
    own = electric.beyond_best_ohm(np.full_like(shown, shown.max()), shown, coils)
    current = shown / coils
    total = float(current.sum())
    shared = float(plug - shown.max()) / total
    rows = [
        Result("currents", tuple(map(float, current)), "A", "of each leg"),
        Result("total", total, "A", "of all legs, by volts over ohms"),
        Result("felt", tuple(map(float, felt)), "ohm", "between plug and magnet as each leg feels it, by its own current"),
        Result("own", tuple(map(float, own)), "ohm", "surely each leg's own: more than the best leg has"),
        Result("shared", shared, "ohm", "of the shared feed, at most"),
    ]  # fmt: skip
    wire = _wire_ohm(g)
    if wire is not None:
        rows += [Result("wire", wire, "ohm", "of the feed's copper"), Result("excess", shared - wire, "ohm", "of the feed over its copper: splices, plug and ground")]  # fmt: skip
    says = _leg_words(own, current, 2 * doubt / current + _lead_ohm(g))
    return Answer(tuple(rows), (*says, *_feed_words(shared, wire, 2 * doubt / total, bool(says))))


def _leg_readings(g: Given) -> tuple[Floats, Floats]:
    """Ohms and volts of each leg; a meter may read a shade over the plug."""
    coils, volts = _coils(g), g.many("magnets")
    coils = coils * len(volts) if len(coils) == 1 else coils
    if len(coils) != len(volts):
        raise NoAnswerError(
            "each magnet needs volts and ohms", "give as many coils as magnets, or one for all."
        )
    number.not_negative("the voltmeter's doubt", g.number("volts_doubt"))
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
    number.not_negative("the length of a lead", g.number("lead_length"))
    return float(electric.wire_ohm(gauge, 2 * g.number("lead_length")))


def _feed_words(shared: float, wire: float | None, slack: float, odd: bool) -> tuple[str, ...]:
    if wire is None:
        return ("Give awg and length to hold the feed against its copper.",)
    if shared - wire > slack:
        return (f"All legs lose alike through {shared - wire:.2f} ohm more than the copper has: a splice, the plug or the ground of the shared feed.",)  # fmt: skip
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
    names = str(g["names"]).split() if g.has("names") else [f"leg {n}" for n in range(1, count + 1)]
    if len(names) != count or not 1 <= count <= legs.MOST_LEGS:
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
        g.number("volts_doubt"), tables.number("dead_volts"), _wire_ohm(g) or 0.0,
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
        return ["No set of dead or weak legs gives this current. More than all coils can draw means a short or a wrong reading; otherwise a voltage, "
                "an ohm reading or the ammeter contradicts the rest: measure those again."]  # fmt: skip
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
        says.append(
            f"{len(found) - len(top)} more need more legs at fault; the current alone does not rule them out."
        )
    if best is not None:
        says.append(f"Measure volts at {names[best]} next, connected and at full apply: that one reading separates most of them.")  # fmt: skip
    return [*says, "It names a wire to look at, never a magnet to replace."] if top[0].legs else says


COILS_ASK = Ask("coils", "resistance", "resistance of each magnet's coil", "R", many=True)
DRUM_ASK = Ask("drum", "word", "brake size, for the tables", default="12 in", words=("7 in", "10 in", "12 in", "12 1/4 in"))  # fmt: skip

FORMULAS = (
    Formula(
        name="wire",
        say="size and resistance of a copper wire by gauge, its voltage drop, and the thinnest gauge for a drop",
        asks=(
            *WIRE_ASKS, Ask("volts", "voltage", "at the plug", "V", default="12 V"), Ask("current", "current", "a current that does not change", "I", default=""),
            Ask("coils", "resistance", "magnets at the end instead, in parallel", "R", default="", many=True),
            Ask("drop", "voltage", "drop wanted at most", "", default=""), Ask("drop_share", "share", "the same as a share of the volts", "", default=""),
        ),
        work=_wire,
        formula="d = 0.127 mm x 92^((36 - n)/39); r = rho l z/(pi d^2/4), rho 1.7241e-8 ohm m; drop = I r, with coils I = V/(r + 1/sum(1/R))",
        source="ASTM B258 (definition of AWG); IEC 60028 (copper); Lessons in Electric Circuits, Reference vol., ch. 3 (tables)",
        holds="solid copper at 20 C: stranded wire has a few percent more, and each 10 C warmer adds 4 percent. 49 CFR 570.58(b): never under the "
        "brake maker's least gauge",
        guard="tests/published/test_electric.py: two wire tables, a voltage drop page; tests/measure/test_electric_legs.py: nodal analysis",
    ),
    Formula(
        name="magnet-current",
        say="current of a set of brake magnets, and the measured average against both of its ratings",
        asks=(
            Ask("volts", "voltage", "at the plug, at full apply", "V"), COILS_ASK, *WIRE_ASKS, Ask("amps", "current", "measured, all together", "I", default=""),
            Ask("amps_doubt", "current", "the ammeter's expanded uncertainty, k = 2", "U", default="0.2 A"), DRUM_ASK,
            Ask("rated", "current", "the maker's rated current of one brake, in place of the table's", "", default=""),
        ),
        work=_magnets,
        formula="I = V/(r + 1/sum(1/R)); average = I/brakes; window 70 % to 120 % of the rating: by the harness (3.0 A, 7 in 2.5 A), by the bench (V/R)",
        source="49 CFR 570.58(a) (+20 % / -30 %; in force for nobody by itself); an axle maker's chart and a dealer's test page, both read",
        holds="cold coils. The chart's ampere is for a magnet in its harness, the test page's is volts over ohms: two named limits, never mixed",
        guard="tests/published/test_electric.py: printed amperes of 2, 4 and 6 magnets on the bench and in the harness",
    ),
    Formula(
        name="leg-resistance",
        say="resistance that each leg of a harness has between plug and magnet, its own and the shared feed's",
        asks=(
            Ask("plug", "voltage", "at the plug, at full apply", "V"), Ask("magnets", "voltage", "at each magnet, connected, at the same apply", "Vm", many=True),
            COILS_ASK, Ask("volts_doubt", "voltage", "the voltmeter's expanded uncertainty, k = 2", "U", default="0.1 V"), *WIRE_ASKS,
            Ask("lead_awg", "number", "gauge of each leg's own lead, where it is not that of the feed", default=""),
            Ask("lead_length", "length", "longest own lead of a leg, one way", default=""),
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
            Ask("not_measured", "number", "leg numbers whose coil was not measured: the range counts for them", default="", many=True),
            Ask("brakes", "number", "how many, where no coil was measured", default=""), Ask("coil_range", "resistance", "lowest and highest sound coil; the table's where left out", default="", many=True),
            DRUM_ASK, Ask("known_legs", "number", "leg numbers where volts were measured at the magnet", default="", many=True),
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
