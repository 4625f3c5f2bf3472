"""The only place where a number becomes text, and where a fact or a call becomes a sentence."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date as Date

from wheeltapper.disposition.causes import Likely
from wheeltapper.disposition.decide import Call
from wheeltapper.findings.facts import Fact, Gauged
from wheeltapper.plan.foresight import OWN, POOLED, Foreseen, Foresight
from wheeltapper.plan.quote import Choice, Line
from wheeltapper.plan.schedule import Next
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Pairing, Rule, Tables
from wheeltapper.units import MILE_M, from_si

BASE = {"resistance": "ohm", "voltage": "V", "current": "A", "share": "%", "temperature": "F"}
SAY = {  # facts that no one writes as words: worked out from readings
    "drum.over_limit": "over the limit",
    "drum.at_limit": "at the limit inside the gauge's doubt",
    "drum.at_limit_repeated": "at the limit, measured three times more",
    "drum.near_assumed_limit": "too near a limit that is only assumed",
    "drum.cannot_be_shown_fit": "too near an assumed limit, and no source was found",
    "drum.limit_unknown": "no limit known",
    "drum.out_of_round": "out of round",
    "drum.bell_mouth": "taper",
    "drum.barrel": "barrel or waist",
    "drum.smaller_than_before": "smaller than at an earlier visit",
    "drum.remaining_short": "does not last to the next service",
    "drum.none_left": "no wear allowance left to the next check",
    "drum.wears_faster": "wearing faster than before",
    "drum.over_pair_size": "clearly larger than a new drum",
    "drum.over_arc_size": "too large for new shoes to touch all over",
    "drum.worn": "half or more of the drum's allowance worn",
    "drum.grooves_deep": "groove depth",
    "drum.grooves_medium": "groove depth",
    "drum.pits_deep": "pits too deep over too much of the band",
    "magnet_face.deep": "magnet-face tracks",
    "magnet_face.medium": "magnet-face tracks",
    "magnet_face.worn": "magnet face worn",
    "lining.at_or_below_minimum": "at or under the minimum",
    "lining.at_minimum_in_doubt": "at the minimum inside the gauge's doubt",
    "lining.at_minimum_repeated": "at the minimum, measured three times more",
    "pads.at_minimum_repeated": "at the minimum, measured three times more",
    "rotor.near_assumed_limit": "too near a minimum that is only assumed",
    "rotor.cannot_be_shown_fit": "too near an assumed minimum, and no source was found",
    "supply.volts_in_doubt": "voltage at the least, inside the meter's doubt",
    "lining.thin": "thin, over the minimum",
    "lining.remaining_short": "does not last to the next service",
    "lining.none_left": "no allowance left to the next check",
    "lining.one_shoe_thin": "one shoe far thinner than the other",
    "lining.thicker_than_before": "thicker than at an earlier visit",
    "lining.worn": "lining worn",
    "pads.at_or_below_minimum": "at or under the minimum",
    "pads.at_minimum_in_doubt": "at the minimum inside the gauge's doubt",
    "pads.thin": "thin, over the minimum",
    "pads.remaining_short": "does not last to the next service",
    "pads.none_left": "no allowance left to the next check",
    "pads.thicker_than_before": "thicker than at an earlier visit",
    "rotor.below_minimum": "under the minimum",
    "rotor.at_limit": "at the minimum inside the gauge's doubt",
    "rotor.at_limit_repeated": "at the minimum, measured three times more",
    "rotor.limit_unknown": "no minimum known",
    "rotor.thicker_than_before": "thicker than at an earlier visit",
    "rotor.remaining_short": "does not last to the next service",
    "rotor.none_left": "no allowance left to the next check",
    "rotor.thinner_than_new": "clearly thinner than a new rotor",
    "rotor.runout_over": "run-out past the maker's figure",
    "magnet.open": "magnet open",
    "magnet.shorted": "magnet shorted",
    "magnet.ohms_out_of_range": "magnet resistance outside its range",
    "magnet.shorted_to_case": "coil shorted to its case",
    "hub_face.gap_over": "hub face gap",
    "drum.form_in_doubt": "roundness at its limit inside the dial's doubt",
    "hub_face.flat_in_doubt": "flatness of the hub face at its limit inside the dial's doubt",
    "magnet_face.flat_in_doubt": "flatness of the magnet face at its limit inside the dial's doubt",
    "hub_face.swings": "hub face swings under the dial",
    "magnet_face.swings": "magnet face swings under the dial",
    "supply.dead": "no voltage at the magnet",
    "supply.volts_low": "too little voltage at the magnet",
    "supply.plug_low": "too little voltage at the plug",
    "supply.above_plug": "more volts at the magnet than at the plug",
    "supply.volts_over_amps": "the volts at the magnets would draw more than all the amperes",
    "supply.wire_thin": "what the wire as written would leave at the magnet",
    "magnet.coil_in_doubt": "more amperes than sound coils draw, this coil not measured",
    "supply.on_when_released": "voltage with the brakes released",
    "supply.amps_low": "fewer amperes than the coils should draw",
    "supply.amps_high": "more amperes than the coils explain",
    "supply.leg_dead_somewhere": "the amperes say that a magnet is not fed",
    "hub.hot_on_arrival": "hotter than its mate on arrival",
    "hub.stop_on_arrival": "too hot to go on, on arrival",
    "hub.hot_after_run": "hotter than its mate after the run",
    "hub.stop_after_run": "too hot to go on after the run",
    "hub.hot_no_run": "hot on arrival, and no temperature after a run yet",
    "drum.ring_look_closer": "recorded ring: look closer",
    "drum.ring_not_done": "recorded ring: no good, and not made again",
    "mark.not_felt": "photo of a mark: no fingernail's answer with a name",
    "mark.at_edge": "photo of a mark: a dark line reaches the edge",
    "mark.network": "photo of a mark: a fine network, not said how far round",
    "mark.grown": "photo of a mark: longer than last time",
    "heat_checks.patch_unsettled": "roundness and hard spots not settled there",
    "pattern.ahead_of_mate": "far more worn than the other end of its axle",
    "pattern.one_wheel": "the only wheel that stands out",
    "pattern.one_side": "this side worn, the other not",
    "pattern.one_axle": "this axle worn, the other not",
    "pattern.diagonal": "two wheels worn crosswise",
    "pattern.all_worn": "all wheels worn alike",
    "pattern.mate_rusty": "the other end is rusty, not worn",
    "unit.spindle_fitting": "grease fitting in the spindle",
    "unit.salt_water": "used in salt water",
    "unit.stood": "it stood for months",
    "adjust.overdue": "the adjust is overdue",
    "torque.moved": "nuts moved at a re-torque",
    "torque.moved_again": "nuts moved again at a later re-torque",
    "torque.turned_far": "how far a nut turned at a re-torque",
    "torque.ran_loose": "whether a nut turned until it held nothing",
    "bearing.third_time": "third bearing at this position",
    "fleet.unadjusted": "slack shoes at every wheel of a fleet trailer",
}


@dataclass(frozen=True)
class Reader:
    """How a reader wants numbers: inch or millimetre."""

    length: str = "in"
    digits: int = 3


FORETOLD_STEP_MI = 100  # distances foretold are shown rounded down to this
COUNTED_FROM_MI = 200  # nearer than this the distance alone says it
INCH, MILLIMETRE = Reader(), Reader("mm", 2)


def reader_for(visit: Visit) -> Reader:
    """The unit that most lengths of a visit were read in; inches where neither leads."""
    units = [r.unit for c in visit.corner for r in c.reading if r.unit in {"in", "mm"}]
    return MILLIMETRE if units.count("mm") > units.count("in") else INCH


def length(size_m: float, reader: Reader) -> str:
    """A length in the reader's unit, with one digit more where the number needs it (0.0625 in)."""
    value = from_si(size_m, reader.length)
    more = abs(round(value, reader.digits + 1) - round(value, reader.digits)) > 1e-9
    return f"{value:.{reader.digits + more}f} {reader.length}"


def rounded(size_m: float, reader: Reader) -> str:
    """A length that is only expected: never with more digits than a reading has."""
    return f"{from_si(size_m, reader.length):.{reader.digits}f} {reader.length}"


def amount(size: float, dimension: str, reader: Reader) -> str:
    """A measured amount of any dimension in the reader's unit."""
    if dimension == "length":
        return length(size, reader)
    unit = BASE[dimension]
    return "open" if size == float("inf") else f"{from_si(size, unit):.{0 if unit in '%F' else 1}f} {unit}"


def apart(kelvin: float, reader: Reader) -> str:
    """A difference of two temperatures in the reader's unit."""
    return f"{kelvin:.0f} C" if reader.length == "mm" else f"{from_si(kelvin, 'F deg'):.0f} F"


def source(key: str, tables: Tables) -> str:
    """What a source is called; a shop's own row says it in its own words."""
    known = tables.sources.get(key)
    return str(known["say"]) if known else key


def listed(words: Iterable[str]) -> str:
    """'12:00, 4:00 and 9:00'."""
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


def money(cents: int | None, currency: str) -> str:
    """Money as a shop writes it; 'no price' where there is none."""
    sign = {"USD": "$", "CAD": "$", "EUR": "€", "GBP": "£", "MXN": "$"}.get(currency, f"{currency} ")
    return "no price" if cents is None else f"{sign}{cents // 100:,}.{cents % 100:02d}"


def day(date: Date) -> str:
    """A date that reads the same everywhere."""
    return f"{date.day} {date:%b} {date.year}"


def miles(distance_mi: float) -> str:
    """A distance in whole miles."""
    return f"{distance_mi:,.0f} mi"


def percent(share: float) -> str:
    """A share in percent, never rounded to certainty."""
    value = share * 100
    if value < 0.1 or value > 99.9:
        return "under 0.1 %" if value < 0.1 else "over 99.9 %"
    return f"{value:.0f} %" if 1 <= value <= 99 else f"{value:.1f} %"


def so_dull(p: float) -> str:
    """How many good drums, of a chance: 'of 1,000 good drums about 12 are'."""
    if p < 0.001:
        return "fewer than one good drum in a thousand is"
    return f"of 1,000 good drums about {1000 * p:.0f} are"


def held_against(g: Gauged, reader: Reader) -> str:
    """A size against its limit, with the gauge's doubt and where the limit comes from."""
    sense = "at least" if g.least else "at most"
    return f"{length(g.size, reader)} ± {length(g.doubt, reader).split()[0]}, {sense} {length(g.limit, reader)} ({limit_from(g)})"


def limit_from(g: Gauged) -> str:
    """Where a limit comes from: its grade, and its source where that says more."""
    return g.grade if g.limit_from == g.grade else f"{g.grade}: {g.limit_from}"


def standing(g: Gauged) -> str:
    """The verdict in words; against a minimum 'under' would read the wrong way round."""
    words = {"under": "inside the limit", "at the limit": "at the limit", "over": "past the limit"}
    return f"{words[g.verdict]}; {percent(g.conform_share)} sure that it is inside"


def fact(f: Fact, tables: Tables, reader: Reader) -> str:
    """A fact as a short sentence: what, how it is known, by whom."""
    how = " by ".join(w for w in (f.evidence or "", ", ".join(f.by)) if w)
    if f.words:
        return f"{f.check}: {'; '.join(f.words)}" + (f" ({how})" if how else "")
    said = SAY.get(f.name, f.name.split(".")[-1].replace("_", " "))
    if f.gauged is not None:
        return f"{f.check} {held_against(f.gauged, reader)}: {said}"
    if f.size is not None and f.check in tables.checks:
        dimension = tables.checks[f.check].dimension
        held = f" against {amount(f.against, dimension, reader)}" if f.against is not None else ""
        return f"{said}: {amount(f.size, dimension, reader)}{held}"
    return said


def facts(rows: Iterable[Fact], tables: Tables, reader: Reader) -> tuple[str, ...]:
    """Facts as sentences, each once."""
    return tuple(dict.fromkeys(fact(f, tables, reader) for f in rows))


def rule_why(id: str, tables: Tables) -> str:
    """The reason that a rule or pairing prints."""
    row = _row(id, tables)
    return row.why if row else id


def rule_source(id: str, tables: Tables) -> str:
    """Where a rule or pairing comes from; a shop's own row says it in its own words."""
    row = _row(id, tables)
    if row is None:
        return ""
    said = source(row.source, tables)
    return f"{said}, {row.at}" if isinstance(row, Rule) and row.at else said


def rule_owner(id: str, tables: Tables) -> str:
    """The same for a reader who is no mechanic."""
    row = _row(id, tables)
    return row.owner if row else id


def _row(id: str, tables: Tables) -> Rule | Pairing | None:
    rows: tuple[Rule | Pairing, ...] = (*tables.rules, *tables.pairings)
    return next((row for row in rows if row.id == id), None)


def why(call: Call, tables: Tables, reader: Reader) -> str:
    """Why a part is called what it is called: the facts, then the rule."""
    if call.call == "recheck" and call.missing:
        open_ = "Nobody settled: " + ", ".join(missing_checks(call.missing, tables)) + "."
        return " ".join([*(rule_why(r, tables) for r in call.rules), open_])
    told = facts(call.facts, tables, reader)[:2]
    reasons = " ".join(dict.fromkeys(rule_why(r, tables) for r in call.rules))
    return (
        " ".join(filter(None, ["; ".join(told) + "." if told else "", reasons]))
        or "Every check answered, nothing found."
    )


def missing_checks(names: Iterable[str], tables: Tables) -> tuple[str, ...]:
    """The checks that would answer open facts."""
    open_checks = dict.fromkeys(tables.check_of.get(name, SAY.get(name, name)) for name in names)
    return tuple(check for check in open_checks if not _waits(check, open_checks, tables))


def _waits(check: str, open_checks: Iterable[str], tables: Tables) -> bool:
    """A depth is owed only once the look that asks for it has been answered."""
    row = tables.checks.get(check)
    return row is not None and bool(row.only_if) and tables.check_of[row.only_if] in open_checks


def cause(c: Likely, tables: Tables) -> str:
    """A cause with the weight it has: found, or only possible until its check is made."""
    return f"{'Found' if c.certain else 'Points to' if c.rank == 1 else 'Also possible'}: {c.row.say}"


def fact_name(name: str, tables: Tables) -> str:
    """A fact's name in words."""
    for check in tables.checks.values():
        for word, stated in check.found.items():
            if stated == name:
                return f"{check.check}: {word}"
    return SAY.get(name, name.replace("_", " "))


def line_qty(row: Line) -> str:
    """How many, or how many hours."""
    return f"{row.qty}" if row.hours is None else f"{row.qty} × {float(row.hours / row.qty):g} h"


def due(n: Next) -> str:
    """When something falls due, by distance and by date."""
    far = n.at_miles is not None and (n.miles or 0) >= COUNTED_FROM_MI
    count = f" ({miles(n.at_miles)} on its count)" if far and n.at_miles is not None else ""
    parts = [
        f"{'every' if n.every else 'at'} {miles(n.miles)}{count}" if n.miles else "",
        f"by {day(n.date)}" if n.date else "",
    ]
    return " or ".join(p for p in parts if p)


def wait_until(choice: Choice, falls_due: Iterable[Next]) -> str:
    """How long a part may stay if the owner waits: its own next check, or the next opening of the hubs."""
    rows = list(falls_due)
    own = [n for n in rows if (n.position, n.part) in choice.places and n.what != "look for a weep"]
    hubs = [n for n in rows if n.what == "hubs off"]
    first = next(iter(own or hubs), None)
    return "keep it until the next check" if first is None else f"keep it, {first.what} {due(first)}"


def remaining(g: Gauged, foreseen: Foreseen | None = None) -> str:
    """How far a part still goes, and on what basis; what the shop's records foretell stands beside its own."""
    own = "wear rate: not enough to say"
    if g.remaining_m is not None and g.rate_share is not None:
        faster = "; wearing faster lately" if g.faster else ""
        own = f"about {miles(round(g.remaining_m / MILE_M, -1))} left at its rate, from {g.records} records{faster}, {OWN}"
    if foreseen is None or foreseen.prediction != POOLED or foreseen.far_mi < 1:
        return own
    window = f"90 % sure of {down(foreseen.near_mi)} to {down(foreseen.far_mi)}"
    return f"{own}; {POOLED}: about {down(foreseen.middle_mi)} left, {window}"


def down(far_mi: float) -> str:
    """A distance foretold, rounded down to a hundred miles."""
    return miles(int(far_mi // FORETOLD_STEP_MI * FORETOLD_STEP_MI))


def foresight(of: Foresight | None) -> str:
    """What the distances rest on besides the part's own records."""
    if of is None:
        return "Wear ahead: each part by its own records (C7, C8). No pool of a shop's records was at hand."
    kinds = "; ".join(f"{what}: {POOLED if used else f'{OWN}, as {why}'}" for what, used, why in of.kinds)
    return f"Wear ahead, as of {day(of.on)} from {of.visits} visits ({of.fingerprint}): {kinds or 'no part that wears'}."


def wear_rate(rate_share: float, reader: Reader) -> str:
    """Wear over a thousand miles, with one digit more than a reading has."""
    return f"{from_si(rate_share * 1000 * MILE_M, reader.length):.{reader.digits + 1}f} {reader.length} for each 1,000 miles"
