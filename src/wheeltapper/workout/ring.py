"""A ring's tone and its damping by the textbook: what a tap recording can be held against by hand."""

from __future__ import annotations

from math import exp

from wheeltapper.measure.ring import damping_of, decay_per_s, free_ring_hz, log_decrement
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import over_zero
from wheeltapper.workout.metal import density, modulus

NO_CLEARANCE = "A good ring never clears a drum: eyes and fingernail decide."
SIXTY_DB = 6.907755  # natural logarithm of a thousand


def _tone(g: Given, tables: Tables) -> Answer:
    over_zero(g, "across", "height", "width")
    height, width = g.number("height"), g.number("width")
    if height >= g.number("across") / 2:
        raise NoAnswerError(
            "the section is higher than the ring's radius", "give the middle diameter and the wall."
        )
    area, stiffness = height * width, width * height**3 / 12
    stiff, heavy = modulus(g, tables, "material"), density(g, tables)
    orders = range(2, 2 + int(g.number("count")))
    hz = tuple(free_ring_hz(n, g.number("across") / 2, area, stiffness, stiff, heavy) for n in orders)
    rows = (
        Result("waves", tuple(float(n) for n in orders), "", "waves round the ring"),
        Result("tones", hz, "Hz", "its tones in its own plane"),
    )
    says = "A plain thin ring: a drum's web holds one edge, and its tones lie elsewhere. Use it to check a recording of a ring."
    return Answer(rows, (says, NO_CLEARANCE))


def _damping(g: Given, _: Tables) -> Answer:
    over_zero(g, "first", "later", "swings", "tone")
    decrement = log_decrement(g.number("first"), g.number("later"), g.number("swings"))
    if decrement <= 0:
        raise NoAnswerError(
            "the later amplitude is not the smaller one", "give the first amplitude, then a later one."
        )
    rows = [
        Result("decrement", decrement, "", "logarithm of the ratio of amplitudes one swing apart"),
        Result("damping", damping_of(decrement), "%", "damping, of critical"),
    ]
    if g.has("tone"):
        decay = decay_per_s(damping_of(decrement), g.number("tone"))
        rows += [
            Result("decay", decay, "", "decay of the amplitude in each second, natural logarithm"),
            Result("falls_by_60_db", SIXTY_DB / decay, "s", "time in which it falls to a thousandth"),
            Result("left_after_1_s", exp(-decay), "%", "of the amplitude after one second"),
        ]
    return Answer(tuple(rows), (NO_CLEARANCE,))


FORMULAS = (
    Formula(
        name="ring-tone",
        say="the tones of a plain free ring that bends in its own plane",
        asks=(
            Ask("across", "length", "diameter of the middle of the section", "2R"),
            Ask("height", "length", "the wall: size of the section along the radius", "h"),
            Ask("width", "length", "size of the section along the axis", "b"),
            Ask("material", "word", "a row of the materials table", default="grey iron"),
            Ask("material_modulus", "pressure", "in place of the table's", "E", ""),
            Ask("density", "density", "in place of the table's", "rho", default=""),
            Ask(
                "count",
                "number",
                "how many tones, from two waves up",
                default="4",
                within=(1, 12),
                whole=True,
            ),
        ),
        work=_tone,
        formula="f = n (n^2 - 1)/sqrt(n^2 + 1) sqrt(E I/(rho A R^4))/(2 pi), I = b h^3/12, A = b h, n = 2, 3, 4 ...",
        source="R. Hoppe, J. f. reine u. angew. Math. 73 (1871) 158-170; R. D. Blevins, Formulas for Dynamics, Acoustics and Vibration, Table 4.16",
        holds="a thin ring, free in space, round and even; without shear and turning inertia it is 0.4 % too high at two waves and 3 % at five for a wall "
        "of a tenth of the radius",
        guard="tests/ring/test_formula.py: NAFEMS benchmark and the thick ring SDLS109; tests/workout/test_ring.py: the same as asked",
    ),
    Formula(
        name="ring-damping",
        say="damping from two amplitudes of one tone, so many swings apart",
        asks=(
            Ask("first", "number", "an amplitude, in any unit", "x0"),
            Ask("later", "number", "a later amplitude in the same unit", "xm"),
            Ask("swings", "number", "whole swings between the two", "m"),
            Ask("tone", "frequency", "the tone, for decay and time", "f", ""),
        ),
        work=_damping,
        formula="delta = ln(x0/xm)/m; zeta = delta/sqrt(4 pi^2 + delta^2); decay = delta f; T60 = ln(1000)/decay",
        source="definition; S. S. Rao, Mechanical Vibrations, 2.6.3 (from memory)",
        holds="one tone alone that dies away evenly; two close tones beat, and then neither amplitude means anything",
        guard="tests/ring/test_formula.py: a handbook's worked values, and the decay of a sampled oscillation",
    ),
)
