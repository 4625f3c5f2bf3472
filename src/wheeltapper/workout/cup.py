"""A cup in its hub and a seal in its bore: measured sizes against the fit tables of the trade.

The general press fit is in `fits.py`. A cup that moves by hand needs no sum: the hub-drum is replaced.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure import fits, margin
from wheeltapper.measure.fits import Rings
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.metal import FitRow
from wheeltapper.reference.tables import Tables
from wheeltapper.units import INCH_M
from wheeltapper.workout.fits import CUP_BORE_TIMES, FRICTION, LAME, RIM_TIMES, grip, rings
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import given_or, over_zero
from wheeltapper.workout.metal import elastic_asks, expansion
from wheeltapper.workout.named import bearing_named, fit_row
from wheeltapper.workout.rows import row, spread
from wheeltapper.workout.sense import FRICTION_CAN_BE
from wheeltapper.workout.text import fahrenheit, inches

REFERENCE_K = 293.15  # 20 C, where sizes are stated (ISO 1)
ALUMINIUM_SHARE = (
    0.001  # least fit for each inch of cup: tapered-roller engineering manual, metric automotive table
)
SAME_CUP_M = 0.002 * INCH_M  # a measured cup this near a nominal size is that cup


@dataclass(frozen=True)
class Cup:
    """The cup of a fit: its outside with doubt, its nominal outside, its width and mean raceway where known."""

    od_m: float
    doubt_m: float
    nominal_m: float
    width_m: float | None
    raceway_m: float


@dataclass(frozen=True)
class CupFit:
    """A cup in a measured bore [m]."""

    cup: Cup
    bore_m: float
    bore_doubt_m: float
    window_m: tuple[float, float]  # bores that the table allows
    tight_m: float
    doubt_m: float
    hot_m: float  # what is left at the temperature asked


def window_m(tables: Tables, what: str, nominal_m: float) -> tuple[float, float]:
    """Smallest and largest size that the table allows for a nominal one."""
    found = fit_row(tables, what, nominal_m)
    return nominal_m + found.low_m, nominal_m + found.high_m


def fit_m(tables: Tables, outside: str, bore: str, nominal_m: float) -> tuple[float, float]:
    """Loosest and tightest fit of two rows of the table at a nominal size; negative is clearance."""
    limits = (*window_m(tables, outside, nominal_m), *window_m(tables, bore, nominal_m))
    least, most = fits.interference_limits_m(*limits)
    return float(least), float(most)


def _cup(g: Given, tables: Tables) -> Cup:
    """The cup as measured, else the middle of its tolerance with half of that as doubt."""
    bearing = bearing_named(tables, str(g["bearing"])) if g.has("bearing") else None
    if g.has("cup_od"):
        od, doubt = g.number("cup_od"), g.number("cup_doubt")
    elif bearing is None:
        raise NoAnswerError("neither bearing nor cup_od is given", "name the cup, or measure its outside.")
    else:
        low, high = window_m(tables, "cup outside", bearing.cup_od_m)
        od, doubt = (low + high) / 2, (high - low) / 2
    nominal = bearing.cup_od_m if bearing else _nearest_cup_m(od, tables)
    raceway = fits.mean_raceway_m(od, bearing.bore_m) if bearing else CUP_BORE_TIMES * od
    width = bearing.cup_width_m if bearing else None
    return Cup(od, doubt, nominal, given_or(g, "cup_width", width), given_or(g, "raceway", raceway))


def _nearest_cup_m(od_m: float, tables: Tables) -> float:
    """The nearest nominal outside in the tables where it is near enough to be the same, else the size itself."""
    near = min((b.cup_od_m for b in tables.bearings.values()), key=lambda size: abs(size - od_m))
    return near if abs(near - od_m) <= SAME_CUP_M else od_m


def _fitted(g: Given, tables: Tables) -> CupFit:
    cup, bore, bore_doubt = _cup(g, tables), g.number("bore"), g.number("bore_doubt")
    tight = cup.od_m - bore
    rise = g.number("temperature") - REFERENCE_K
    inner, outer = expansion(g, tables, "inner"), expansion(g, tables, "outer")
    hot = fits.hot_interference_m(tight, cup.od_m, inner, outer, rise + g.number("cup_lead"), rise)
    window = window_m(tables, "hub bore", cup.nominal_m)
    return CupFit(cup, bore, bore_doubt, window, tight, margin.combined((cup.doubt_m, bore_doubt)), float(hot))  # fmt: skip


def _cup_fit(g: Given, tables: Tables) -> Answer:
    over_zero(g, "bore", "cup_od", "bore_doubt", "cup_doubt", "friction")
    fit = _fitted(g, tables)
    rim = given_or(g, "hub_outside", RIM_TIMES * fit.cup.od_m)
    pair = rings(g, tables, fit.cup.raceway_m, fit.cup.od_m, rim)
    pressure = fits.pressure_left_pa(pair, fit.tight_m, 0.0)
    hot_pressure = fits.pressure_left_pa(pair, fit.hot_m, 0.0)
    word = _bore_word(fit.bore_m, fit.bore_doubt_m, *fit.window_m)
    results = [
        row("interference", fit.tight_m, "in", "cup over bore on the diameter; negative is loose"),
        row("interference_doubt", fit.doubt_m, "in", "expanded uncertainty of it (k = 2)"),
        Result("window", fit.window_m, "in", "bore that a new hub should have for this cup"),
        Result("new_fit", fit_m(tables, "cup outside", "hub bore", fit.cup.nominal_m), "in", "loosest and tightest fit of new parts"),
        Result("bore", word, "", "the bore against that window"),
        row("pressure", pressure, "MPa", "cup on hub, cold; zero where loose"),
        row("hub_hoop", fits.stresses(pair, pressure).outer_joint_hoop_pa, "MPa", "pull in the hub at the bore"),
        row("hot_interference", fit.hot_m, "in", "at the temperature given"),
        row("hot_pressure", hot_pressure, "MPa", "at the temperature given; zero where loose"),
        *_worn(g, pair, fit),
    ]  # fmt: skip
    if fit.cup.width_m is not None:
        results += grip(g, pair, fit.cup.width_m, pressure)
    return Answer(tuple(results), (*_tight_words(g, fit), *_bore_words(g, fit), *_assumed_words(g, fit.cup)))


def _bore_word(bore_m: float, doubt_m: float, low_m: float, high_m: float) -> str:
    most, least = margin.verdict(bore_m, doubt_m, high_m), margin.verdict_least(bore_m, doubt_m, low_m)
    if most == "over":
        return "over the window"
    if least == "over":
        return "under the window"
    inside = most == least == "under"
    return "inside the window" if inside else "at the edge of the window, inside the gauge's doubt"


def _worn(g: Given, pair: Rings, fit: CupFit) -> list[Result]:
    wear = np.array(g.many("wear"))
    left = fits.pressure_left_pa(pair, fit.tight_m, wear)
    results = [
        row("wear", wear, "in", "further wear of the bore on the diameter"),
        row("worn_pressure", left, "MPa", "left at each; zero is a loose cup"),
    ]
    if fit.cup.width_m is not None:
        torque = fits.holding_torque_n_m(pair.joint_m, fit.cup.width_m, left, min(g.many("friction")))
        results.append(row("worn_torque", torque, "ft-lb", "torque it still holds at the lowest friction"))
    loose = max(fit.tight_m, 0.0)
    return [*results, row("wear_to_loose", loose, "in", "wear on the diameter that leaves nothing")]


def _tight_words(g: Given, fit: CupFit) -> list[str]:
    """Is it tight cold, and hot?"""
    if fit.tight_m + fit.doubt_m < 0:
        return [
            f"The cup is {inches(-fit.tight_m)} smaller than the bore: it is loose and turns in the hub. Replace the hub; "
            "punch marks, knurls, shims or glue do not make it a hub again."
        ]
    if fit.tight_m - fit.doubt_m <= 0:
        return ["The gauges cannot show this cup to be tight: try it by hand, and measure again with better gauges."]  # fmt: skip
    says = [f"The cup is {inches(fit.tight_m)} tight, give or take {inches(fit.doubt_m)}."]
    at = f"At {fahrenheit(g.number('temperature'))}"
    if fit.hot_m + fit.doubt_m < 0:
        says.append(f"{at} nothing is left of that: the cup turns in the hot hub.")
    elif fit.hot_m - fit.doubt_m <= 0:
        says.append(f"{at} the gauges cannot show that anything is left of it.")
    return says


def _bore_words(g: Given, fit: CupFit) -> list[str]:
    """The cup against its nominal size, the bore against the window."""
    says, (low, high) = [], fit.window_m
    if abs(fit.cup.od_m - fit.cup.nominal_m) > SAME_CUP_M:
        says.append(
            f"The cup measures {inches(fit.cup.od_m)}, not {inches(fit.cup.nominal_m)}: is it that cup?"
        )
    if margin.verdict(fit.bore_m, fit.bore_doubt_m, high) == "over":
        says.append(f"The bore is over the largest new bore of {inches(high)}: the hub has worn.")
    if margin.verdict_least(fit.bore_m, fit.bore_doubt_m, low) == "over":
        says.append(
            f"The bore is under the smallest new bore of {inches(low)}: is it the right cup, and is the bore clean?"
        )
    if str(g["outer"]).casefold() == "aluminium":
        least = ALUMINIUM_SHARE * fit.cup.od_m
        short = ", and this one may have less" if fit.tight_m - fit.doubt_m < least else ""
        says.append(
            f"An aluminium hub needs at least {inches(least)} of fit on this cup{short}; the window is for iron."
        )
    return says


def _assumed_words(g: Given, cup: Cup) -> list[str]:
    says = []
    if not g.has("hub_outside"):
        says.append(
            f"The outside of the hub is assumed at {RIM_TIMES} times the cup; measure it to be surer of pressure and torque."
        )
    if not g.has("raceway"):
        says.append(
            f"The cup is taken as a plain ring with a mean raceway of {inches(cup.raceway_m)}, assumed."
        )
    return says


def _seal_fit(g: Given, tables: Tables) -> Answer:
    over_zero(g, "nominal", "bore", "bore_doubt", "seal_od", "seal_doubt")
    nominal, bore, doubt = g.number("nominal"), g.number("bore"), g.number("bore_doubt")
    low, high = window_m(tables, "seal bore", nominal)
    press = fit_row(tables, "seal press", nominal)
    if g.has("seal_od"):
        got = np.full(2, g.number("seal_od") - bore)
        total = margin.combined((doubt, g.number("seal_doubt")))
    else:
        got, total = nominal + np.array((press.low_m, press.high_m)) - bore, doubt
    results = (
        Result("window", (low, high), "in", "bore that the seal makers' tables allow"),
        Result("bore", _bore_word(bore, doubt, low, high), "", "the bore against that window"),
        spread("press", got, "in", "seal over bore on the diameter"),
        row("press_doubt", total, "in", "expanded uncertainty of it (k = 2)"),
        Result("published_press", (press.low_m, press.high_m), "in", "metal outside, over the nominal bore"),
    )
    return Answer(results, tuple(_seal_says(got.tolist(), total, press, nominal + press.high_m - low)))


def _seal_says(press_m: list[float], doubt: float, table: FitRow, tightest_m: float) -> list[str]:
    """Least and most press against the table's least, and the most that it allows in the smallest bore."""
    least, most = press_m
    if most + doubt <= 0:
        first = f"The bore is {inches(-most)} larger than the seal: it does not hold one. Replace the hub."
    elif margin.verdict(most, doubt, tightest_m) == "over":
        first = f"The press is over the {inches(tightest_m)} that the tables allow: is it the right seal, and is the bore clean?"
    elif margin.verdict_least(least, doubt, table.low_m) == "under":
        first = "The press is as the tables print it: the bore holds a new seal."
    else:
        first = f"The press may be under the {inches(table.low_m)} of the tables: try a new seal, it must need the driver all the way."
    thin = "A seal's case is a thin shell that yields as it goes in: its press is only compared with the published one, no pressure is computed."
    return [first, thin, "A rubber outside takes about twice the press."]


FORMULAS = (
    Formula(
        name="cup-fit",
        say="a bearing cup in a measured hub bore: how tight, hot, and after more wear",
        asks=(
            Ask("bore", "length", "measured hub bore", "b"),
            Ask("bearing", "word", "cup, or cone/cup, such as 25520; or give cup_od", default=""),
            Ask("cup_od", "length", "measured outside of the cup, in place of the table's", "D", default=""),
            Ask("bore_doubt", "length", "the bore gauge's expanded uncertainty", "Ub", default="0.0003 in"),
            Ask("cup_doubt", "length", "the micrometer's, where the cup was measured", "Uc", default="0.0002 in"),
            *elastic_asks("bearing steel", "grey iron"),
            Ask("hub_outside", "length", f"outside of the hub over the cup; left out: {RIM_TIMES} D, assumed", "B", default=""),
            Ask("raceway", "length", "mean raceway diameter; left out: (4 D + d)/5, or 0.9 D, assumed", "A", default=""),
            Ask("cup_width", "length", "length of contact, in place of the table's", "L", default=""),
            Ask("friction", "number", "friction coefficient, one or lowest and highest", "mu", default=FRICTION, many=True, within=FRICTION_CAN_BE),
            Ask("temperature", "temperature", "hub temperature to look at", "T", default="225 F"),
            Ask("cup_lead", "temperature difference", "how much warmer the cup is than the hub", default="0 F"),
            Ask("wear", "length", "further wear on the diameter, one or several", "w", default="0 0.0005 0.001 0.0015 0.002 0.003 in", many=True),
        ),
        work=_cup_fit,
        formula=f"d = D - b, U = sqrt(Ub2 + Uc2); {LAME}; worn d - w, hot as in hot-fit; T = mu p pi D2 L / 2",
        source="Lame as in press-fit; bore windows: tapered-roller engineering manual, table 79 (rotating cup, trailer wheels); cup tolerance: "
        "ANSI/ABMA 19.2 class 4 and 2; aluminium: the manual's metric table note; raceway rule and friction from memory",
        holds="a plain ring in a plain barrel, elastic; the taper of the cup, flange and shoulder make the true pressure uneven. Hub outside, "
        "raceway and friction are assumed where not given. The moving torque of a bearing is small: cups turn by creep under load, not by torque",
        guard="tests/workout/test_fits.py; tests/measure/test_fits.py (finite elements; more wear, less pressure)",
    ),
    Formula(
        name="seal-fit",
        say="a seal or cap in a measured bore, against the published press",
        asks=(
            Ask("nominal", "length", "nominal bore for the seal"),
            Ask("bore", "length", "measured bore", "b"),
            Ask("bore_doubt", "length", "the bore gauge's expanded uncertainty", "Ub", default="0.0005 in"),
            Ask("seal_od", "length", "measured outside of the new seal; left out: by the tables", default=""),
            Ask("seal_doubt", "length", "its expanded uncertainty", default="0.001 in"),
        ),
        work=_seal_fit,
        formula="press = seal outside - b, against the table's least and most press for a metal outside",
        source="two seal makers' tolerance tables in inches (RMA practice): bore to 3 in +-0.0010, press +0.004 +-0.002; to 4 in press +0.005 +-0.002",
        holds="metal-cased seals up to 4 in; for a cap no published press was found, the arithmetic alone holds",
        guard="tests/workout/test_fits.py; tests/published/test_fits.py (table rows)",
    ),
)  # fmt: skip
