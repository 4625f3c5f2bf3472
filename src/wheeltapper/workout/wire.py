"""A copper wire: size and resistance by gauge, its drop, the gauge for a drop; and what all electric computations ask."""

from __future__ import annotations

import numpy as np

from wheeltapper.measure import electric, number
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import not_negative, over_zero

WIRE_ASKS = (
    Ask("awg", "gauge", "gauge of the wire: 14, or 1/0 to 4/0", "n", default="", whole=True),
    Ask("length", "length", "length of the run, one way", "l", default="", within=(0.0, 2e3)),
    Ask(
        "conductors",
        "number",
        "how often the current runs that length in this wire: out and back is 2",
        default="2",
        within=(1.0, 8.0),
        whole=True,
    ),
)
COILS_ASK = Ask("coils", "resistance", "resistance of each magnet's coil", "R", many=True)
DRUM_ASK = Ask("drum", "word", "brake size, for the tables", default="12 in", words=("7 in", "10 in", "12 in", "12 1/4 in"))  # fmt: skip
MAKER = "The axle maker's current and least wire gauge govern."


def wire_ohm(g: Given) -> float | None:
    """Resistance of the run, None where gauge or length was not given [ohm]."""
    if not (g.has("awg") and g.has("length")):
        return None
    not_negative(g, "length")
    over_zero(g, "conductors")
    return electric.wire_ohm(g.number("awg"), g.number("length") * g.number("conductors"))


def coils_of(g: Given) -> tuple[float, ...]:
    """Resistance of each coil, every one over zero [ohm]."""
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
    wire = wire_ohm(g)
    if wire is not None:
        rows.append(Result("resistance", wire, "ohm", "of the run, out and back"))
    if wire is not None and (g.has("current") or g.has("coils")):
        rows += _drop_rows(g, wire)
    if g.has("drop") or g.has("drop_share"):
        wanted, sold = _thinnest(g)
        rows += wanted
        says += [f"For that drop no thinner than {_gauge_word(sold)}; a drop says nothing of how hot the wire gets.", MAKER]  # fmt: skip
    if not rows:
        raise NoAnswerError(
            "there is nothing to work out", "give awg; with length and current or coils for the drop."
        )
    return Answer(tuple(rows), tuple(says))


def _gauge_rows(gauge: float) -> list[Result]:
    across, each = electric.wire_diameter_m(gauge), electric.wire_ohm_per_m(gauge)
    area = np.pi / 4 * across**2
    return [
        Result("diameter", across, "in", "of the bare solid wire", fixed=True),
        Result("diameter_metric", across, "mm", "the same", fixed=True),
        Result("area", area, "mm2", "of copper", fixed=True),
        Result("circular_mils", area / electric.CIRCULAR_MIL_M2, "", "area in circular mils"),
        Result("per_km", each, "ohm/km", "copper at 20 C", fixed=True),
        Result("per_kft", each, "ohm/kft", "the same", fixed=True),
    ]


def _drop_rows(g: Given, wire: float) -> list[Result]:
    volts = g.number("volts")
    number.above_zero("the voltage", volts)
    if g.has("coils"):
        current, left = electric.fed_through_wire(volts, wire, coils_of(g))
        how = "through the wire: volts over the ohms of coils and wire, the wire is included"
    else:
        not_negative(g, "current")
        current, left = g.number("current"), volts - g.number("current") * wire
        how = "through the wire, as given"
    if left < 0:
        raise NoAnswerError(
            "this wire cannot carry that current at this voltage", "give the coils instead of a current."
        )
    return [
        Result("current", current, "A", how),
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
    load = 1 / sum(1 / r for r in coils_of(g)) if g.has("coils") else 0.0
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


FORMULAS = (
    Formula(
        name="wire",
        say="size and resistance of a copper wire by gauge, its voltage drop, and the thinnest gauge for a drop",
        asks=(
            *WIRE_ASKS, Ask("volts", "voltage", "at the plug", "V", default="12 V"), Ask("current", "current", "a current that does not change", "I", default=""),
            Ask("coils", "resistance", "magnets at the end instead, in parallel", "R", default="", many=True),
            Ask("drop", "voltage", "drop wanted at most", "", default=""), Ask("drop_share", "share", "the same as a share of the volts", "", default="", within=(0.0, 1.0)),
        ),
        work=_wire,
        formula="d = 0.127 mm x 92^((36 - n)/39); r = rho l z/(pi d^2/4), rho 1.7241e-8 ohm m; drop = I r, with coils I = V/(r + 1/sum(1/R))",
        source="ASTM B258 (definition of AWG); IEC 60028 (copper); Lessons in Electric Circuits, Reference vol., ch. 3 (tables)",
        holds="solid copper at 20 C: stranded wire has a few percent more, and each 10 C warmer adds 4 percent. 49 CFR 570.58(b): never under the "
        "brake maker's least gauge",
        guard="tests/published/test_electric.py: two wire tables, a voltage drop page; tests/measure/test_electric_legs.py: nodal analysis",
    ),
)  # fmt: skip
