"""Cups in their bores by the numbers; seal and cap are in `pressed.py`.

A cup is judged from the bearing's own size and tolerance, or from the cup as measured; the largest bore reading
counts. The published fit is held against both ends of the doubt: surely outside, surely inside, or in doubt. Numbers
that belong to no such cup or bore are asked about.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheeltapper.findings.bench import Bench
from wheeltapper.findings.facts import Fact, Sized, Worked
from wheeltapper.measure.plausible import amount_si
from wheeltapper.problems import Problem
from wheeltapper.reference.metal import Bearing, Material
from wheeltapper.reference.tables import Tables
from wheeltapper.units import INCH_M, above, at_most, below

BORE, CUP = "cup bore", "cup diameter"
ASSUMED_HUB = "grey iron"
ROOM_K = 293.15


@dataclass(frozen=True)
class CupFit:
    """A cup in its bore: the press that holds it, loosest and tightest, cold and hot [m, Pa, N m, K]."""

    cup: str  # as marked, or '' where only measured
    cup_od_m: float
    bore_m: float
    doubt_m: float
    least_bore_m: float | None  # the published fit's bores, smallest and largest
    most_bore_m: float | None
    least_press_m: float  # that the published fit, or the note on aluminium hubs, leaves
    loosest_m: float
    tightest_m: float
    hub: Material
    hub_assumed: bool
    hot_k: float
    loosest_hot_m: float
    tightest_hot_m: float
    pressure_pa: tuple[float, float]  # at the loosest and the tightest; 0 where nothing presses
    holds_n_m: tuple[float, float]  # torque that turns the cup, least and most


FRICTION = (0.10, 0.20)  # steel in dry to oiled iron: a handbook range from memory
RACEWAY_SHARE, SLIM_WIDTH = 0.9, 0.16  # of the cup's diameter, where the bearing is not known: assumed
TOO_TIGHT_M = 0.020 * INCH_M  # no cup goes into a bore so much under it
RIM_SHARE = 1.3  # hub barrel over cup, outside diameters: assumed


def find(bench: Bench) -> tuple[list[Fact], list[Worked]]:
    """Facts of every cup bore that was measured at one corner."""
    names = bench.tables.checks[BORE].facts
    measured = bench.taken(BORE)
    if not measured:
        return bench.facts(BORE, dict.fromkeys(names)), []
    facts, worked = [], []
    for place in dict.fromkeys(s.at for s in measured):
        here = [s for s in measured if s.at == place]
        found = _cup(bench, place, max(here, key=lambda s: s.size + s.doubt))
        if found is None:
            facts += bench.facts(BORE, dict.fromkeys(names), vouch=False)
            continue
        facts += bench.facts(BORE, {**_verdicts(found), "cup.bore_oval": _oval(bench, here, found.cup_od_m)})
        worked.append(Worked(bench.position, "cup", "hub-drum", found, place, tuple(measured)))
    return facts, worked


def _cup(bench: Bench, place: str, bore: Sized) -> CupFit | None:
    """The fit at one end of the hub, or None with a Problem where no cup is known."""
    tables = bench.tables
    bearing = bearing_at(bench, place)
    low, high = _cup_size(bench, place, bearing)
    if low is None or high is None:
        what = "a bore cannot be judged without the cup that goes in"
        do = f"write the {place} bearing's numbers (unit.{place}_bearing), or measure 'cup diameter' at {place}."
        bench.problems.append(Problem(f"{bench.position}, {BORE}, {place}", what, do))
        return None
    if _odd_cup(bench, place, bearing) or _another(bench, place, bore, low, high):
        return None
    press = (low - bore.size - bore.doubt, high - bore.size + bore.doubt)
    hub = tables.materials[bench.visit.unit.hub_material or ASSUMED_HUB]
    hot = tables.number("hub_heat_stop")
    size = (low + high) / 2
    loosest_hot, tightest_hot = (_hot_press_m(p, size, hub, tables, hot) for p in press)
    pressure, holds = _grip(size, bearing, press, hub, tables)
    return CupFit(
        bearing.cup if bearing else "", size, bore.size, bore.doubt, *_published(bench, bearing, size, hub), *press,
        hub, bench.visit.unit.hub_material is None, hot, loosest_hot, tightest_hot, pressure, holds,
    )  # fmt: skip


def _another(bench: Bench, place: str, bore: Sized, low: float, high: float) -> bool:
    """Is the bore no wear of this cup's bore, but another bearing's, or no bore of it at all? Then it is asked about."""
    loose = bore.size - bore.doubt - high
    if loose <= 0 and low - bore.size - bore.doubt < TOO_TIGHT_M:
        return False
    measured = any(s.at == place for s in bench.taken(CUP))  # then it is this cup, whatever its marking
    row = None if measured else bench.tables.fit("hub bore", bore.size)
    others = [
        b.name for b in bench.tables.bearings.values()
        if row and b.cup_od_m > high and row.low_m - bore.doubt <= bore.size - b.cup_od_m <= row.high_m + bore.doubt
    ]  # fmt: skip
    far = loose > bench.tables.number("slip") or loose <= 0
    if not far and not others:
        return False
    fits = f"; it would suit {' or '.join(others)}" if others else ""
    what = f"{bore.text} {bore.unit} is no bore for the cup that is written down{fits}"
    do = f"read the {place} bearing's numbers and the gauge again."
    bench.problems.append(Problem(f"{bench.position}, {BORE}, {place}", what, do))
    return True


def _hot_press_m(press_m: float, size_m: float, hub: Material, tables: Tables, hot_k: float) -> float:
    from wheeltapper.measure import fits  # numpy with it: only where a bore was measured

    rise = hot_k - ROOM_K
    cup = tables.materials["bearing steel"].expansion_per_k
    return float(fits.hot_interference_m(press_m, size_m, cup, hub.expansion_per_k, rise, rise))


def _grip(
    size_m: float, bearing: Bearing | None, press_m: tuple[float, float], hub: Material, tables: Tables
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Pressure between cup and hub and the torque that would turn the cup, at the loosest and the tightest."""
    from wheeltapper.measure import fits

    steel = tables.materials["bearing steel"]
    width = bearing.cup_width_m if bearing else SLIM_WIDTH * size_m
    raceway = fits.mean_raceway_m(size_m, bearing.bore_m) if bearing else RACEWAY_SHARE * size_m
    rings = fits.Rings(
        raceway,
        size_m,
        RIM_SHARE * size_m,
        steel.modulus_pa,
        steel.poisson_share,
        hub.modulus_pa,
        hub.poisson_share,
    )
    low, high = (float(fits.pressure_pa(rings, p)) if p > 0 else 0.0 for p in press_m)
    least = float(fits.holding_torque_n_m(size_m, width, low, FRICTION[0])) if low else 0.0
    most = float(fits.holding_torque_n_m(size_m, width, high, FRICTION[1])) if high else 0.0
    return (low, high), (least, most)


def bearing_at(bench: Bench, place: str) -> Bearing | None:
    """The bearing written down for one end of this hub; a Problem where its numbers are not in the table."""
    corner = next((c for c in bench.visit.corner if c.position == bench.position), None)
    field = f"{place}_bearing"
    text = (getattr(corner, field) if corner else None) or getattr(bench.visit.unit, field)
    if not text:
        return None
    found = named(text, bench.tables)
    if len({b.cup for b in found}) == 1:  # several cones run in one cup
        return found[0]
    what = f"'{text}' is not a bearing of the table" if not found else f"'{text}' goes with more than one cup"
    known = [b.name for b in found] or list(bench.tables.bearings)
    problem = Problem(f"unit, {field}", what, f"write cone/cup as marked; known here: {', '.join(known)}.")
    if problem not in bench.problems:
        bench.problems.append(problem)
    return None


def named(text: str, tables: Tables) -> list[Bearing]:
    """The bearings that a marking may mean: cone/cup, a cone, or a cup."""
    word = text.replace(" ", "").upper()
    return [b for b in tables.bearings.values() if word in {b.name.upper(), b.cone.upper(), b.cup.upper()}]


def _cup_size(bench: Bench, place: str, bearing: Bearing | None) -> tuple[float | None, float | None]:
    """Smallest and largest outside diameter that the cup can have: as measured, else by its tolerance."""
    taken = [s for s in bench.taken(CUP) if s.at == place]
    if taken:
        return min(s.size - s.doubt for s in taken), min(s.size + s.doubt for s in taken)
    row = bench.tables.fit("cup outside", bearing.cup_od_m) if bearing else None
    if bearing is None or row is None:
        return None, None
    return bearing.cup_od_m + row.low_m, bearing.cup_od_m + row.high_m


def _published(
    bench: Bench, bearing: Bearing | None, cup_m: float, hub: Material
) -> tuple[float | None, float | None, float]:
    """Smallest and largest bore for this cup, and the least press of it: the hub maker's bore where it is on the visit."""
    near = bench.tables.number("slip")
    rows = [x for x in bench.visit.limit if x.what == BORE and x.position in (None, bench.position)]
    stated = [amount_si(f"{x.value} {x.unit}", "length") for x in rows]
    makers = [size for size in stated if size is not None and abs(size - cup_m) < near]
    nominal = bearing.cup_od_m if bearing else None
    row = bench.tables.fit("hub bore", nominal or cup_m)
    asked = bench.tables.number("aluminium_fit") * cup_m if hub.name == "aluminium" else 0.0
    if makers:
        return None, min(makers), asked
    if row is None:
        return None, None, asked
    if nominal is None:
        return None, None, max(asked, -row.high_m)
    least = (
        None if asked else nominal + row.low_m
    )  # the note asks for more press in aluminium than the table's most
    return least, nominal + row.high_m, max(asked, -row.high_m)


def _verdicts(fit: CupFit) -> dict[str, bool | None]:
    """Loose, over the published bore, lost when hot, light, tight or in doubt; severest first, each fault said once."""
    loose = at_most(fit.tightest_m, 0)
    over = not loose and fit.most_bore_m is not None and above(fit.bore_m - fit.doubt_m, fit.most_bore_m)
    soft = fit.hub.name == "aluminium"
    short = below(fit.tightest_m, fit.least_press_m)
    lost = not loose and not over and (at_most(fit.tightest_hot_m, 0) or (soft and short))
    light = not (loose or over or lost) and short
    bad = loose or over or lost or light
    edge = at_most(fit.loosest_m, 0) or below(fit.loosest_m, 0 if soft else fit.least_press_m)
    edge |= fit.most_bore_m is not None and above(fit.bore_m + fit.doubt_m, fit.most_bore_m)
    hot = at_most(fit.loosest_hot_m, 0) or (soft and below(fit.loosest_m, fit.least_press_m))
    return {
        "cup.loose_measured": loose,
        "cup.bore_over": over,
        "cup.lets_go_hot": lost,
        "cup.press_light": light,
        "cup.bore_tight": fit.least_bore_m is not None and below(fit.bore_m + fit.doubt_m, fit.least_bore_m),
        "cup.fit_in_doubt": edge and not bad,
        "cup.hot_in_doubt": hot and not edge and not bad,
    }


def _oval(bench: Bench, here: list[Sized], cup_m: float) -> bool | None:
    """Do the directions of one bore differ by more than the whole width of the published fit?"""
    row = bench.tables.fit("hub bore", cup_m)
    if row is None or len(here) < 2:
        return None if row is None else False
    spread = max(s.size - s.doubt for s in here) - min(s.size + s.doubt for s in here)
    return above(spread, row.high_m - row.low_m)


def _odd_cup(bench: Bench, place: str, bearing: Bearing | None) -> bool:
    """Is the cup that was measured surely not the one that is written down? Then it is asked about."""
    row = bench.tables.fit("cup outside", bearing.cup_od_m) if bearing else None
    if bearing is None or row is None:
        return False
    low, high = bearing.cup_od_m + row.low_m, bearing.cup_od_m + row.high_m
    for s in (s for s in bench.taken(CUP) if s.at == place):
        if below(s.size + s.doubt, low) or above(s.size - s.doubt, high):
            what = f"{s.text} {s.unit} is not the size of cup {bearing.cup}"
            do = f"read the {place} bearing's numbers and the gauge again; a cup worn under its size goes."
            bench.problems.append(Problem(f"{bench.position}, {CUP}, {place}", what, do))
            return True
    return False
