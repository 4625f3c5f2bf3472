"""Is this part in, how often does this gauge let a bad one through, and how far inside a limit to stop.

The doubt of a gauge is given as the gauge states it, expanded, with its factor. None of these numbers overrules a
limit: `limit` is the verdict that a visit makes.
"""

from __future__ import annotations

from math import inf
from typing import Any

from wheeltapper.measure import guard_band, risk
from wheeltapper.measure.risk import Band, Normal, Spread
from wheeltapper.measure.student import quantile
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import over_zero
from wheeltapper.workout.quantity import Quantities, quantity, together
from wheeltapper.workout.rows import row
from wheeltapper.workout.text import percent

NO_VERDICT = "A probability is no verdict: the part maker's limit governs, and a part inside the gauge's doubt is measured again."
FACTOR_ASK = Ask(
    "factor",
    "number",
    "coverage factor that the doubt is stated with; 1 for a standard uncertainty",
    "k",
    "2",
    within=(0.01, 10.0),
)
DOUBT_ASK = quantity("doubt", "the gauge's expanded uncertainty", "U")
LIMIT_ASKS = (
    quantity("lower", "the lower limit, if there is one", "TL", ""),
    quantity("upper", "the upper limit, if there is one", "TU", ""),
)
SPREAD_ASKS = (
    Ask("spread", "word", "how true sizes are spread", default="normal", words=("normal", "gamma")),
    quantity("least", "the least size there can be, for a gamma spread; nothing if left out", "x0", ""),
)


def _standard(g: Given, q: Quantities) -> float:
    """The gauge's standard uncertainty."""
    if g.number("factor") <= 0 or q.number("doubt") <= 0:
        raise NoAnswerError(
            "the doubt or its factor is zero or less", "give what the gauge states, both over zero."
        )
    return q.number("doubt") / g.number("factor")


def _limits(q: Quantities) -> Band:
    if not (q.has("lower") or q.has("upper")):
        raise NoAnswerError("there is no limit", "give lower, upper or both.")
    band = Band(q.number_or("lower", -inf), q.number_or("upper", inf))
    if band.low >= band.high:
        raise NoAnswerError("the lower limit is not under the upper one", "swap them, or leave one out.")
    return band


def _spread(g: Given, q: Quantities, mean: float, deviation: float) -> Spread:
    """The parts' spread from its mean and standard deviation."""
    if g["spread"] == "gamma":
        return risk.gamma_of(mean, deviation, q.number_or("least", 0.0))
    return Normal(mean, deviation)


def _spread_results(q: Quantities, parts: Spread) -> tuple[Result, ...]:
    if isinstance(parts, Normal):
        return ()
    return (
        Result("shape", float(parts.shape), "", "shape of the gamma spread"),
        q.result("scale", parts.scale, "scale of the gamma spread"),
    )


def _share(name: str, value: Any, say: str) -> Result:
    return row(name, value, "%", say)


def _conformance(g: Given, _: Tables) -> Answer:
    q = together(g, "reading", "doubt", "lower", "upper", "prior_mean", "prior_deviation", "least")
    limits, u, reading = _limits(q), _standard(g, q), q.number("reading")
    prior = None
    if q.has("prior_mean") or q.has("prior_deviation") or g["spread"] == "gamma":
        prior = _spread(g, q, q.number("prior_mean"), q.number("prior_deviation"))
    share = float(risk.conforming_share(reading, u, limits, prior))
    rows = [
        _share("conforming", share, "probability that the true size is within the limits"),
        _share("out", 1 - share, "probability that it is not"),
        q.result("standard", u, "the reading's standard uncertainty"),
    ]
    for name, room in (("lower", reading - limits.low), ("upper", limits.high - reading)):
        if q.has(name):
            say = f"how far inside {name} it reads, in standard uncertainties"
            rows.append(Result(f"{name}_room", room / u, "", say))
    if prior is not None:
        rows += _with_prior(q, prior, u, limits)
    said = f"The part is within its limits with a probability of {percent(share)}."
    return Answer(tuple(rows), (said, NO_VERDICT))


def _with_prior(q: Quantities, prior: Spread, u: float, limits: Band) -> list[Result]:
    """What was known before the reading, and for a normal prior what is known after it."""
    out = risk.nonconforming_share(prior, limits)
    rows = [_share("out_before", out, "share of such parts that is out, unread"), *_spread_results(q, prior)]
    if isinstance(prior, Normal):
        known = risk.after_reading(prior, q.number("reading"), u)
        say = "best guess of the true size, from the reading and what was known before"
        rows += [
            q.result("after_mean", known.mean, say),
            q.result("after_deviation", known.deviation, "its standard uncertainty"),
        ]
    return rows


def _parts(g: Given, q: Quantities, limits: Band) -> Spread:
    """Spread of the parts as given, or from the share of them that is in limits."""
    middle = (limits.low + limits.high) / 2
    if not q.has("mean") and abs(middle) == inf:
        raise NoAnswerError(
            "mean is missing", "give the mean of the parts; with one limit there is no middle."
        )
    mean = q.number_or("mean", middle)
    if q.has("deviation") == g.has("in_limits"):
        raise NoAnswerError(
            "the parts' spread is not given once", "give deviation, or in_limits, and not both."
        )
    if q.has("deviation"):
        return _spread(g, q, mean, q.number("deviation"))
    if g["spread"] == "gamma" or mean != middle:
        raise NoAnswerError(
            "in_limits needs a normal spread in the middle of two limits", "give deviation instead."
        )
    if not 0 < g.number("in_limits") < 1:
        raise NoAnswerError(
            "in_limits is not between 0 and 100 %", "give the share of parts that is within limits."
        )
    return Normal(mean, (limits.high - middle) / quantile((1 + g.number("in_limits")) / 2, inf))


def _accepting(g: Given, q: Quantities, parts: Spread, u: float, limits: Band) -> Band:
    """Acceptance limits by the one way that was given; the tolerance limits where none was."""
    own = q.has("accept_lower") or q.has("accept_upper")
    if own + q.has("guard") + g.has("wanted") > 1:
        raise NoAnswerError(
            "acceptance limits are given twice", "give accept_lower and accept_upper, or guard, or wanted."
        )
    if own:
        return Band(q.number_or("accept_lower", limits.low), q.number_or("accept_upper", limits.high))
    if g.has("wanted"):
        return risk.guarded(limits, float(risk.guard_for(parts, u, limits, g.number("wanted"))))
    return risk.guarded(limits, q.number_or("guard", 0.0))


def _gauge_risk(g: Given, _: Tables) -> Answer:
    names = ("doubt", "lower", "upper", "mean", "deviation", "least", "accept_lower", "accept_upper", "guard")
    q = together(g, *names)
    limits, u = _limits(q), _standard(g, q)
    parts = _parts(g, q, limits)
    accept = _accepting(g, q, parts, u, limits)
    told = risk.risks(parts, u, limits, accept)
    rows = [
        _share("nonconforming", told.nonconforming, "parts that are truly out of limits"),
        _share("accepted", told.accepted, "parts that the gauge lets go"),
        _share("false_accept", told.false_accept, "global consumer's risk: out, and let go; of all parts"),
        _share("false_reject", told.false_reject, "global producer's risk: in, and not let go; of all parts"),
        _share("accepted_out", told.accepted_out, "of the parts let go, those that are out"),
        _share("rejected_in", told.rejected_in, "of the parts not let go, those that are in"),
        q.result("standard", u, "a reading's standard uncertainty"),
    ]
    rows += _acceptance(q, limits, accept)
    if limits.high - limits.low != inf:
        rows.append(
            Result(
                "ratio", (limits.high - limits.low) / 4 / u, "", "test uncertainty ratio: tolerance over 2 u"
            )
        )
    rows += _spread_results(q, parts)
    return Answer(tuple(rows), _risk_says(told, limits, accept))


def _acceptance(q: Quantities, limits: Band, accept: Band) -> list[Result]:
    """Acceptance limits and how far each is drawn in."""
    rows = []
    for name, edge, guarded in (
        ("lower", accept.low, accept.low - limits.low),
        ("upper", accept.high, limits.high - accept.high),
    ):
        if abs(edge) != inf:
            rows.append(q.result(f"accept_{name}", edge, f"{name} acceptance limit"))
        if abs(guarded) < inf:
            rows.append(q.result(f"{name}_guard", guarded, f"guard band at the {name} limit"))
    return rows


def _risk_says(told: risk.Risks, limits: Band, accept: Band) -> tuple[str, ...]:
    bad, good = (_of_thousand(float(share)) for share in (told.false_accept, told.false_reject))
    says = [f"Of 1,000 parts measured, {bad} bad ones pass and {good} good ones do not."]
    if accept.low < limits.low or accept.high > limits.high:
        says.append(
            "A part would be let go past its limit. That may be cheap in a factory; on a road part the maker's limit governs."
        )
    return (*says, NO_VERDICT)


def _of_thousand(share: float) -> str:
    return f"about {1000 * share:.2g}" if share >= 1e-5 else "under 0.01"


FACTORS = (
    ("rss", guard_band.factor_rss, "root of the squares"),
    ("whole", guard_band.factor_whole, "the whole doubt taken off"),
    ("quarter", guard_band.factor_quarter, "1.25 less one over the ratio"),
    ("two_per_cent", guard_band.factor_two_per_cent, "false accepts kept to 2 % or less"),
)


def _guard_band(g: Given, _: Tables) -> Answer:
    q = together(g, "doubt", "lower", "upper", "tolerance", "distance")
    rows: list[Result] = []
    if q.has("doubt"):
        rows += _bands(g, q)
    ratio = _test_ratio(g, q)
    if ratio is not None:
        rows.append(Result("ratio", ratio, "", "test uncertainty ratio: tolerance over the doubt at k = 2"))
        rows += [
            Result(f"factor_{name}", float(f(ratio)), "", f"acceptance limit over tolerance: {say}")
            for name, f, say in FACTORS
        ]
    if q.has("distance"):
        over_zero(g, "factor")
        needed = guard_band.gauge_for(q.number("distance"), g.number("risk"))
        rows.append(
            q.result(
                "doubt_for_distance",
                g.number("factor") * needed,
                "largest doubt of a gauge to call at that distance",
            )
        )
    if not rows:
        raise NoAnswerError("there is nothing to work from", "give doubt, or ratio, or distance.")
    return Answer(tuple(rows), (NO_VERDICT,))


def _bands(g: Given, q: Quantities) -> list[Result]:
    """Guard bands for one reading: for the wanted risk, and twice the standard uncertainty."""
    u, rows = _standard(g, q), []
    for name, width in (("risk", float(guard_band.guard_for_one(u, g.number("risk")))), ("two", 2 * u)):
        say = "of the wanted risk" if name == "risk" else "of two standard uncertainties, 2.3 % risk"
        rows.append(q.result(f"guard_{name}", width, f"guard band {say}"))
        if q.has("lower") or q.has("upper"):
            accept = risk.guarded(_limits(q), width)
            rows += [
                q.result(f"accept_{side}_{name}", edge, f"{side} acceptance limit with the guard band {say}")
                for side, edge in (("lower", accept.low), ("upper", accept.high)) if q.has(side)
            ]  # fmt: skip
    return rows


def _test_ratio(g: Given, q: Quantities) -> float | None:
    """As given, else tolerance over the doubt at k = 2; none where either is missing."""
    if g.has("ratio"):
        return g.number("ratio")
    if not q.has("doubt"):
        return None
    if q.has("tolerance"):
        return q.number("tolerance") / (2 * _standard(g, q))
    if q.has("lower") and q.has("upper"):
        limits = _limits(q)
        return float((limits.high - limits.low) / 2 / (2 * _standard(g, q)))
    return None


FORMULAS = (
    Formula(
        name="conformance",
        say="how sure a part is within its limits, from one reading and what was known before it",
        asks=(
            quantity("reading", "what the gauge read", "y"),
            DOUBT_ASK,
            FACTOR_ASK,
            *LIMIT_ASKS,
            quantity("prior_mean", "mean of parts like it, if that is known", "y0", ""),
            quantity("prior_deviation", "standard deviation of parts like it", "u0", ""),
            *SPREAD_ASKS,
        ),
        work=_conformance,
        formula="p = Phi((TU - y)/u) - Phi((TL - y)/u), u = U/k; with a normal prior y and u become (y u0^2 + y0 u^2)/(u0^2 + u^2) and "
        "u u0/sqrt(u^2 + u0^2); with a gamma prior the product of both densities, integrated; its shape is (mean/deviation)^2, its "
        "scale deviation^2/mean, both counted from the least size",
        source="JCGM 106:2012, clauses 6.2 and 7, Annex A (the clauses of the prior from memory)",
        holds="a normal gauge without a bias; a prior that is really known, not hoped for. A wrong prior makes a wrong answer surer",
        guard="tests/published/test_risk.py: JCGM 106 examples; tests/measure/test_risk.py: integrals by another library",
    ),
    Formula(
        name="gauge-risk",
        say="how many bad parts a gauge lets through and how many good ones it stops, and where to accept instead",
        asks=(
            DOUBT_ASK,
            FACTOR_ASK,
            *LIMIT_ASKS,
            quantity("mean", "mean of the parts; the middle of two limits if left out", "m", ""),
            quantity("deviation", "standard deviation of the parts' true sizes", "s", ""),
            Ask("in_limits", "share", "share of parts within two limits, in place of deviation", default=""),
            *SPREAD_ASKS,
            quantity("accept_lower", "lower acceptance limit; the limit itself if left out", "AL", ""),
            quantity("accept_upper", "upper acceptance limit; the limit itself if left out", "AU", ""),
            quantity("guard", "in place of both: how far acceptance is drawn in from each limit", "w", ""),
            Ask("wanted", "share", "in place of those: global false accept to keep to", "RC", ""),
        ),
        work=_gauge_risk,
        formula="RC = integral over x out of limits of f(x) P(AL <= x + e <= AU) dx; RP = integral over x in limits of f(x) (1 - P) dx; e normal "
        "with u = U/k; f normal, or gamma with shape ((m - x0)/s)^2 and scale s^2/(m - x0); the guard band is solved for",
        source="JCGM 106:2012, 9.5.2 and 9.5.4",
        holds="parts that come from one known spread, a normal gauge without a bias, one reading each. What is known of a shop's worn parts is "
        "rough: so are these shares",
        guard="tests/published/test_risk.py: JCGM 106, 9.5.4, and a calibration paper; tests/measure/test_risk.py: integrals by another library",
    ),
    Formula(
        name="guard-band",
        say="how far inside a limit to stop, by the risk of one reading and by the usual factors, and how good a gauge must be",
        asks=(
            quantity("doubt", "the gauge's expanded uncertainty", "U", ""),
            FACTOR_ASK,
            *LIMIT_ASKS,
            quantity("tolerance", "plus and minus, in place of two limits", "T", ""),
            Ask("ratio", "number", "test uncertainty ratio, in place of doubt and tolerance", "TUR", "", within=(0.0, 1e6)),
            Ask("risk", "share", "risk that a part just accepted is out", default="5 %"),
            quantity("distance", "how far inside its limit a part reads, to learn how good a gauge must be", "d", ""),
        ),
        work=_guard_band,
        formula="w = z u, u = U/k, Phi(z) = 1 - risk; doubt for a distance: k d/z; TUR = T/(2 u); factors sqrt(1 - 1/TUR^2), 1 - 1/TUR, "
        "1.25 - 1/TUR, 1 - M/TUR with M = 1.04 - exp(0.38 ln TUR - 0.54), none over 1",
        source="JCGM 106:2012, 8.3.2; ISO 14253-1:2017; the factors are calibration practice (formulas from a second-hand copy; ANSI/NCSL "
        "Z540.3 handbook, method 6, for the last, from memory)",
        holds="one limit at a time, a normal gauge without a bias; TUR over 1. The factors assume nothing of the parts and promise no exact risk",
        guard="tests/published/test_risk.py: JCGM 106, 8.3.2; tests/measure/test_risk.py: the normal distribution of another library",
    ),
)  # fmt: skip
