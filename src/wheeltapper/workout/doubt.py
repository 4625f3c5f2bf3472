"""What a doubt is made of: several put together, and repeated readings with the gauge's own.

The result is for a person who decides which gauge to buy or how often to read. A visit takes the gauge's stated doubt.
"""

from __future__ import annotations

from math import floor, inf, isinf
from typing import Any

import numpy as np

from wheeltapper.measure import doubt
from wheeltapper.measure.doubt import Combined, Repeats
from wheeltapper.measure.student import coverage_factor
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.quantity import Quantities, freedom_result, freedoms, quantity, together
from wheeltapper.workout.text import percent

NOT_THE_MEAN = "Repeats of one place make a mean. A call on wear takes the largest diameter or the thinnest lining of several places, never their mean."
TOO_COARSE = (
    "All readings are the same: the gauge is too coarse to show its scatter, which is no proof of none."
)
CONFIDENCE_ASK = Ask("confidence", "share", "how much the expanded uncertainty shall hold", "p", "95 %")


def _combined_rows(q: Quantities, c: Combined, confidence: float) -> list[Result]:
    """The combined uncertainty with its factor; with whole degrees of freedom too, as tables print them."""
    whole = inf if isinf(c.freedom) else max(1.0, floor(c.freedom))
    factor = float(coverage_factor(confidence, whole))
    return [
        q.result("standard", c.standard, "combined standard uncertainty"),
        freedom_result("freedom", float(c.freedom), "effective degrees of freedom"),
        Result("coverage", float(c.factor), "", "coverage factor at these degrees of freedom"),
        q.result("expanded", c.expanded, "expanded uncertainty"),
        freedom_result(
            "freedom_whole", whole, "degrees of freedom cut to a whole number, as for a printed table"
        ),
        Result("coverage_whole", factor, "", "coverage factor at the whole number"),
        q.result("expanded_whole", factor * c.standard, "expanded uncertainty with it"),
        q.result("expanded_k2", 2 * c.standard, "with k = 2, as gauges state it"),
    ]


def _numbers(g: Given, name: str, otherwise: float) -> np.ndarray[Any, Any]:
    return np.asarray(g.many(name) if g.has(name) else (otherwise,), dtype=np.float64)


def _combine(g: Given, _: Tables) -> Answer:
    q = together(g, "doubts")
    u, divide = np.asarray(q.many("doubts")), _numbers(g, "divide", 1.0)
    if not np.all(divide > 0):
        raise NoAnswerError(
            "a divisor is zero or less", "give 2 for k = 2, 1.732 for a half width, 1 for none."
        )
    if divide.size not in {1, u.size}:
        raise NoAnswerError("the lists are not equally long", "give each doubt its divisor, or one for all.")
    freedom = freedoms(g, "freedoms")
    sensitivity = _numbers(g, "sensitivities", 1.0)
    c = doubt.combine(u / divide, sensitivity, freedom, g.number("confidence"))
    parts = np.abs(np.broadcast_to(u / divide * sensitivity, c.shares.shape))
    rows = _combined_rows(q, c, g.number("confidence"))
    rows += [
        q.result("contributions", parts, "what each brings to the result, as standard uncertainty"),
        Result("shares", tuple(float(s) for s in c.shares), "%", "each one's part of the combined variance"),
    ]
    most = int(np.argmax(c.shares))
    said = f"Number {most + 1} of {c.shares.size} makes {percent(float(c.shares[most]))} of it: better that one first."
    return Answer(tuple(rows), (said,) if c.shares.size > 1 else ())


def _repeats_rows(q: Quantities, told: Repeats, readings: tuple[float, ...]) -> list[Result]:
    return [
        q.result("mean", told.mean, "mean of the readings"),
        q.result("smallest", min(readings), "smallest reading"),
        q.result("largest", max(readings), "largest reading"),
        q.result("deviation", told.deviation, "standard deviation of one reading, its repeatability"),
        q.result(
            "of_mean", told.of_mean, "standard uncertainty of the mean from the readings alone (type A)"
        ),
        Result("readings_freedom", told.freedom, "", "degrees of freedom of the readings"),
    ]


def _repeat(g: Given, _: Tables) -> Answer:
    q = together(g, "readings", "scatter", "doubt", "wanted")
    if q.has("readings") == q.has("scatter"):
        raise NoAnswerError("readings are not given once", "give readings, or scatter from an earlier trial.")
    if q.has("scatter") and not q.has("wanted"):
        raise NoAnswerError(
            "there is nothing to work out from a scatter alone", "give wanted: the doubt to come to."
        )
    if g.number("factor") <= 0 or q.number_or("doubt", 0.0) < 0:
        raise NoAnswerError("the gauge's doubt or its factor cannot be right", "give what the gauge states.")
    gauge = q.number_or("doubt", 0.0) / g.number("factor")
    if q.has("scatter"):
        return Answer((_needed(g, q, q.number("scatter"), gauge, inf),))
    told = doubt.repeats(q.many("readings"))
    rows = _repeats_rows(q, told, q.many("readings")) + _with_gauge(g, q, told, gauge)
    if q.has("wanted"):
        rows.append(_needed(g, q, float(told.deviation), gauge, None))
    coarse = () if told.deviation > 0 else (TOO_COARSE,)
    return Answer(tuple(rows), (NOT_THE_MEAN, *coarse))


def _needed(g: Given, q: Quantities, scatter: float, gauge: float, freedom: float | None) -> Result:
    """How many readings the wanted doubt takes."""
    count = doubt.readings_needed(scatter, q.number("wanted"), gauge, g.number("confidence"), freedom)
    return Result("readings_needed", int(count), "", "readings until the mean has the wanted doubt")


def _with_gauge(g: Given, q: Quantities, told: Repeats, gauge: float) -> list[Result]:
    """The mean's doubt with what the gauge states; nothing where neither shows any."""
    if told.of_mean == 0 and gauge == 0:
        return []
    (sure,) = freedoms(g, "gauge_freedom")[:1]
    c = doubt.combine((told.of_mean, gauge), 1.0, (told.freedom, sure), g.number("confidence"))
    return _combined_rows(q, c, g.number("confidence"))


FORMULAS = (
    Formula(
        name="combine-doubts",
        say="several independent doubts put together, with the factor that their degrees of freedom ask for",
        asks=(
            quantity("doubts", "a list of doubts, each as standard uncertainty or with its divisor", "u"),
            Ask("sensitivities", "number", "how far the result moves for each; 1 if left out", "c", "", many=True),
            Ask("freedoms", "word", "degrees of freedom of each, 'inf' where it is sure; one may stand for all", "nu", "inf"),
            Ask("divide", "number", "what turns each into a standard uncertainty: 2 for k = 2, 1.732 for a half width that is as likely "
                "anywhere within, 2.449 for a triangle; 1 if left out", "", "", many=True),
            CONFIDENCE_ASK,
        ),
        work=_combine,
        formula="uc = sqrt(sum (c u)^2); nu_eff = uc^4 / sum((c u)^4/nu); k = t at (1 + p)/2 and nu_eff; U = k uc",
        source="JCGM 100:2008 (GUM), 5.1.2 (10), G.4.1 (G.2b), G.6.4",
        holds="independent doubts, and a result that is nearly straight in each: no second-order terms. Add doubts that move together before",
        guard="tests/published/test_risk.py: GUM, Annex H.1; tests/measure/test_student.py: quantiles by another library",
    ),
    Formula(
        name="repeat-readings",
        say="repeated readings of one place: their mean, what repeating leaves in doubt with the gauge's own, how many it takes",
        asks=(
            quantity("readings", "two readings or more of one place", "x", ""),
            quantity("scatter", "in place of readings: standard deviation of one, well known from before", "s", ""),
            quantity("doubt", "the gauge's expanded uncertainty, that repeating does not take away; none if left out", "U", ""),
            Ask("factor", "number", "coverage factor that it is stated with", "k", "2", within=(0.01, 10.0)),
            Ask("gauge_freedom", "word", "degrees of freedom of the gauge's doubt, 'inf' where it is sure", "", "inf"),
            CONFIDENCE_ASK,
            quantity("wanted", "expanded uncertainty that the mean shall have, to learn how many readings it takes", "", ""),
        ),
        work=_repeat,
        formula="s = sqrt(sum (x - mean)^2/(n - 1)); uA = s/sqrt(n); uc = sqrt(uA^2 + (U/k)^2); nu_eff and k as in combine-doubts; n is the least "
        "with k sqrt(s^2/n + (U/k)^2) within the wanted doubt, its own n - 1 degrees of freedom counted unless the scatter is known",
        source="JCGM 100:2008 (GUM), 4.2 (3) to (5), 4.3, 5.1.2, G.4.1",
        holds="readings of one place that do not drift, and a gauge whose stated doubt does not already hold its scatter: if it does, this counts "
        "the scatter twice, which is the cautious way",
        guard="tests/published/test_risk.py: GUM, Annex H.1; tests/measure/test_risk.py: mean and standard error by another library",
    ),
)  # fmt: skip
