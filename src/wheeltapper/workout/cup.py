"""A cup in its hub and a seal in its bore: measured sizes against the fit tables of the trade.

The general press fit is in `fits.py`. A cup that moves by hand needs no sum: the hub-drum is replaced.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure import fits, margin
from wheeltapper.measure.fits import Rings
from wheeltapper.problems import NoAnswerError, nearest
from wheeltapper.reference.metal import Bearing, FitRow
from wheeltapper.reference.tables import Tables
from wheeltapper.units import INCH_M
from wheeltapper.workout.fits import (
    CUP_BORE_TIMES,
    FRICTION,
    LAME,
    RIM_TIMES,
    elastic_asks,
    expansion,
    grip,
    inches,
    over_zero,
    rings,
    row,
)
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.span import spread

REFERENCE_K = 293.15  # 20 C, where sizes are stated (ISO 1)
ALUMINIUM_SHARE = (
    0.001  # least fit for each inch of cup: tapered-roller engineering manual, metric automotive table
)


@dataclass(frozen=True)
class Cup:
    """The cup of a fit: its outside with doubt, its width and mean raceway where known."""

    od_m: float
    doubt_m: float
    width_m: float | None
    raceway_m: float


def fit_row(tables: Tables, what: str, size_m: float) -> FitRow:
    """The row of the fits table for a nominal size, which must reach that far."""
    found = tables.fit(what, size_m)
    if found is None:
        raise NoAnswerError(
            f"the tables have no {what} of {inches(size_m)}", "ask the part maker for its limits."
        )
    return found


def window_m(tables: Tables, what: str, nominal_m: float) -> tuple[float, float]:
    """Smallest and largest size that the table allows for a nominal one."""
    found = fit_row(tables, what, nominal_m)
    return nominal_m + found.low_m, nominal_m + found.high_m


def fit_m(tables: Tables, outside: str, bore: str, nominal_m: float) -> tuple[float, float]:
    """Loosest and tightest fit of two rows of the table at a nominal size; negative is clearance."""
    limits = (*window_m(tables, outside, nominal_m), *window_m(tables, bore, nominal_m))
    least, most = fits.interference_limits_m(*limits)
    return float(least), float(most)


def bearing_named(tables: Tables, name: str) -> Bearing:
    """A bearing by 'cone/cup', or by its cone or cup alone where that leaves no doubt about sizes."""
    if name in tables.bearings:
        return tables.bearings[name]
    known = [b for b in tables.bearings.values() if name in (b.cone, b.cup)]
    if not known:
        words = {w for b in tables.bearings.values() for w in (b.name, b.cone, b.cup)}
        raise NoAnswerError(f"there is no bearing '{name}' in the tables", nearest(name, words))
    if len({b.cup for b in known}) > 1:
        raise NoAnswerError(
            f"cone {name} goes with more than one cup", f"write one of: {', '.join(b.name for b in known)}."
        )
    return known[0]


def _cup(g: Given, tables: Tables) -> Cup:
    bearing = bearing_named(tables, str(g["bearing"])) if g.has("bearing") else None
    if g.has("cup_od"):
        od, doubt = g.number("cup_od"), g.number("cup_doubt")
    elif bearing is None:
        raise NoAnswerError("neither bearing nor cup_od is given", "name the cup, or measure its outside.")
    else:
        low, high = window_m(tables, "cup outside", bearing.cup_od_m)
        od, doubt = (low + high) / 2, (high - low) / 2
    raceway = fits.mean_raceway_m(od, bearing.bore_m) if bearing else CUP_BORE_TIMES * od
    width = bearing.cup_width_m if bearing else None
    return Cup(
        od,
        doubt,
        g.number("cup_width") if g.has("cup_width") else width,
        g.number("raceway") if g.has("raceway") else raceway,
    )


def _nominal(cup: Cup, g: Given, tables: Tables) -> float:
    """Nominal outside of the cup: of the table where it is named, else the nearest in it within its tolerance."""
    if g.has("bearing"):
        return bearing_named(tables, str(g["bearing"])).cup_od_m
    sizes = [b.cup_od_m for b in tables.bearings.values()]
    near = min(sizes, key=lambda s: abs(s - cup.od_m))
    return near if abs(near - cup.od_m) <= 0.002 * INCH_M else cup.od_m


def _cup_fit(g: Given, tables: Tables) -> Answer:
    over_zero(g, "bore", "cup_od", "bore_doubt", "cup_doubt", "cup_width", "friction")
    cup, bore, bore_doubt = _cup(g, tables), g.number("bore"), g.number("bore_doubt")
    tight, doubt = float(fits.interference_m(cup.od_m, bore)), margin.combined((cup.doubt_m, bore_doubt))
    low, high = window_m(tables, "hub bore", _nominal(cup, g, tables))
    least, most = fit_m(tables, "cup outside", "hub bore", _nominal(cup, g, tables))
    rim = g.number("hub_outside") if g.has("hub_outside") else RIM_TIMES * cup.od_m
    pair = rings(g, tables, cup.raceway_m, cup.od_m, rim)
    pressure = fits.pressure_left_pa(pair, tight, 0.0)
    results = [
        row("interference", tight, "in", "cup over bore on the diameter; negative is loose"),
        row("interference_doubt", doubt, "in", "expanded uncertainty of it (k = 2)"),
        Result("window", (low, high), "in", "bore that a new hub should have for this cup"),
        Result("new_fit", (least, most), "in", "loosest and tightest fit of new parts"),
        Result("bore", _bore_word(bore, bore_doubt, low, high), "", "the bore against that window"),
        row("pressure", pressure, "MPa", "cup on hub, cold; zero where loose"),
        row("hub_hoop", fits.stresses(pair, pressure).outer_joint_hoop_pa, "MPa", "pull in the hub at the bore"),
        *_hot(g, tables, pair, tight),
        *_worn(g, pair, cup, tight),
    ]  # fmt: skip
    if cup.width_m is not None:
        results += grip(g, pair, cup.width_m, pressure)
    return Answer(tuple(results), tuple(_says(g, cup, tight, doubt, bore, bore_doubt, (low, high))))


def _bore_word(bore_m: float, doubt_m: float, low_m: float, high_m: float) -> str:
    most, least = margin.verdict(bore_m, doubt_m, high_m), margin.verdict_least(bore_m, doubt_m, low_m)
    if most == "over":
        return "over the window"
    if least == "over":
        return "under the window"
    inside = most == least == "under"
    return "inside the window" if inside else "at the edge of the window, inside the gauge's doubt"


def _hot(g: Given, tables: Tables, pair: Rings, tight: float) -> list[Result]:
    rise = g.number("temperature") - REFERENCE_K
    inner, outer = expansion(g, tables, "inner"), expansion(g, tables, "outer")
    hot = fits.hot_interference_m(tight, pair.joint_m, inner, outer, rise + g.number("cup_lead"), rise)
    return [
        row("hot_interference", hot, "in", "at the temperature given"),
        row(
            "hot_pressure",
            fits.pressure_left_pa(pair, hot, 0.0),
            "MPa",
            "at the temperature given; zero where loose",
        ),
    ]


def _worn(g: Given, pair: Rings, cup: Cup, tight: float) -> list[Result]:
    wear = np.array(g.many("wear"))
    left = fits.pressure_left_pa(pair, tight, wear)
    results = [
        row("wear", wear, "in", "further wear of the bore on the diameter"),
        row("worn_pressure", left, "MPa", "left at each; zero is a loose cup"),
    ]
    if cup.width_m is not None:
        low = min(g.many("friction"))
        torque = fits.holding_torque_n_m(pair.joint_m, cup.width_m, left, low)
        results.append(row("worn_torque", torque, "ft-lb", "torque it still holds at the lowest friction"))
    return [*results, row("wear_to_loose", max(tight, 0.0), "in", "wear on the diameter that leaves nothing")]


def _says(
    g: Given,
    cup: Cup,
    tight: float,
    doubt: float,
    bore: float,
    bore_doubt: float,
    window: tuple[float, float],
) -> list[str]:
    says = []
    if tight + doubt < 0:
        says.append(
            f"The cup is {inches(-tight)} smaller than the bore: it is loose and turns in the hub. Replace the hub; "
            "punch marks, knurls, shims or glue do not make it a hub again."
        )
    elif tight - doubt <= 0:
        says.append(
            "The gauges cannot show this cup to be tight: try it by hand, and measure again with better gauges."
        )
    else:
        says.append(f"The cup is {inches(tight)} tight, give or take {inches(doubt)}.")
    if margin.verdict(bore, bore_doubt, window[1]) == "over":
        says.append(f"The bore is over the largest new bore of {inches(window[1])}: the hub has worn.")
    if margin.verdict_least(bore, bore_doubt, window[0]) == "over":
        says.append(
            f"The bore is under the smallest new bore of {inches(window[0])}: is it the right cup, and is the bore clean?"
        )
    if g["outer"] == "aluminium":
        says.append(
            f"An aluminium hub needs at least {inches(ALUMINIUM_SHARE * cup.od_m)} of fit on this cup; the window is for iron."
        )
    if not g.has("hub_outside"):
        says.append(
            f"The outside of the hub is assumed at {RIM_TIMES} times the cup; measure it to be surer of pressure and torque."
        )
    if not g.has("raceway"):
        says.append("The cup is taken as a plain ring with an assumed mean raceway diameter.")
    return says


def _seal_fit(g: Given, tables: Tables) -> Answer:
    over_zero(g, "bore_doubt", "seal_doubt")
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
    return Answer(results, tuple(_seal_says(float(np.min(got)), float(np.max(got)), total, press)))


def _seal_says(least: float, most: float, doubt: float, press: FitRow) -> list[str]:
    if most + doubt <= 0:
        first = f"The bore is {inches(-most)} larger than the seal: it does not hold one. Replace the hub."
    elif margin.verdict_least(least, doubt, press.low_m) == "under":
        first = "The press is as the tables print it: the bore holds a new seal."
    else:
        first = f"The press may be under the {inches(press.low_m)} of the tables: try a new seal, it must need the driver all the way."
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
            Ask("friction", "number", "friction coefficient, one or lowest and highest", "mu", default=FRICTION, many=True),
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
