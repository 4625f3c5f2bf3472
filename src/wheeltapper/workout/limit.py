"""A size against its limit, alone: the verdict that `examine` makes for every drum and lining."""

from __future__ import annotations

from wheeltapper.measure import margin, number
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result

STANDS = {
    "under": "inside the limit",
    "at the limit": "at the limit, inside the gauge's doubt",
    "over": "past the limit",
}


def _against(g: Given, _: Tables) -> Answer:
    size, doubt, limit = g.number("size"), g.number("doubt"), g.number("limit")
    number.above_zero("the gauge's doubt", doubt)
    least = g["sense"] == "at least"
    verdict = (margin.verdict_least if least else margin.verdict)(size, doubt, limit)
    share = (margin.conformance_share_least if least else margin.conformance_share)(size, doubt, limit)
    return Answer(
        (
            Result("verdict", STANDS[verdict], "", "where the size stands with the gauge's doubt"),
            Result("conformance", share, "%", "how sure that the true size is inside the limit"),
        ),
    )


FORMULAS = (
    Formula(
        name="limit",
        say="a size against its limit with the gauge's doubt, and how sure it is inside",
        asks=(
            Ask("size", "length", "measured size", "x"),
            Ask("doubt", "length", "the gauge's expanded uncertainty, k = 2", "U"),
            Ask("limit", "length", "the limit", "L"),
            Ask(
                "sense",
                "word",
                "is the limit a maximum or a minimum",
                default="at most",
                words=("at most", "at least"),
            ),
        ),
        work=_against,
        formula="inside where x + U < L, past it where x - U > L, else at the limit; p = Phi((L - x) / (U / 2))",
        source="JCGM 106:2012, clause 7 (one-sided, normal); ISO 14253-1 for the rule",
        holds="one reading with a stated uncertainty, no prior knowledge of the part; ties within 0.1 um count as at the limit",
        guard="tests/published/test_margin.py: JCGM 106 examples",
    ),
)
