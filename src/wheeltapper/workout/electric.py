"""Magnets: the current of a set against both of its ratings; with the other electric computations as one list."""

from __future__ import annotations

from wheeltapper.measure import electric, margin, number
from wheeltapper.reference.tables import Tables
from wheeltapper.workout import legs, wire
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import not_negative
from wheeltapper.workout.rows import row
from wheeltapper.workout.wire import COILS_ASK, DRUM_ASK, MAKER, WIRE_ASKS, coils_of, wire_ohm


def _magnets(g: Given, tables: Tables) -> Answer:
    coils, volts = coils_of(g), g.number("volts")
    number.above_zero("the voltage", volts)
    wire = wire_ohm(g)
    whole, left = electric.fed_through_wire(volts, wire or 0.0, coils)
    how = "the coils alone: no wire was given" if wire is None else "coils and wire: the wire is included"
    rated = g["rated"] if g.has("rated") else tables.number("magnet_rated_amps", str(g["drum"]))
    bench = electric.expected_a(volts, coils) / len(coils)
    ways = (
        _rating(g, tables, "harness", rated, "the maker's rating in the harness"),
        _rating(g, tables, "bench", bench, "volts at the plug over the coils' ohms, no wire in it"),
    )
    rows = [
        row("each", [left / r for r in coils], "A", "through each magnet"),
        row("expected", whole, "A", f"all together, volts over the ohms of {how}"),
        row("at_magnets", left, "V", "that reaches the magnets"),
        *(r for told, _ in ways for r in told),
    ]
    if not g.has("amps"):
        return Answer(tuple(rows), (MAKER,))
    rows.append(row("average", g["amps"] / len(coils), "A", "measured, of one brake"))
    differ = "The two ratings differ because a harness has resistance of its own."
    return Answer(tuple(rows), (*(said for _, said in ways), differ, MAKER))


def _rating(g: Given, tables: Tables, name: str, rated: float, what: str) -> tuple[list[Result], str]:
    """One of the two ratings with its window, and where the measured average stands in it."""
    low, high = electric.current_window_a(rated, tables.number("amps_under"), tables.number("amps_over"))
    rows = [
        row(f"{name}_rated", rated, "A", f"of one brake: {what}"),
        row(f"{name}_window", (low, high), "A", "least and most average current of a brake by it"),
    ]
    if not g.has("amps"):
        return rows, ""
    verdict = _verdict(g, len(coils_of(g)), low, high)
    rows.append(Result(f"{name}_verdict", verdict, "", "where the measured average stands"))
    return rows, f"By {what} ({rated:.2f} A a brake, {low:.2f} to {high:.2f} A allowed): {verdict}."


def _verdict(g: Given, brakes: int, low: float, high: float) -> str:
    not_negative(g, "amps", "amps_doubt")
    average, doubt = g["amps"] / brakes, g["amps_doubt"] / brakes
    over, under = margin.verdict(average, doubt, high), margin.verdict_least(average, doubt, low)
    if "over" in (over, under):
        return "too high" if over == "over" else "too low"
    return "at the edge, inside the doubt" if "at the limit" in (over, under) else "inside"


FORMULAS = (
    *wire.FORMULAS,
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
    *legs.FORMULAS,
)  # fmt: skip
