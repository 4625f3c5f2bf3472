"""May the trailer roll? The one place where F14 to F16 are enforced.

An open replace, an undone dress, a recheck, a gap, an unanswered choice or a problem keeps it held. A signed
paper changes nothing. The ways out of held are repair, staying, a hauler, or leaving against advice.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from wheeltapper.disposition.decide import Call, Place, choice_of
from wheeltapper.findings.facts import Findings
from wheeltapper.measure.plausible import quantity
from wheeltapper.problems import Problem
from wheeltapper.records import Refit, ReturnSheet, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import UNITS, above, below, to_si
from wheeltapper.words import Release, axle_of, positions

RETORQUES = 3
REPLACED = {"replaced", "fitted", "new"}
BROUGHT_BY = {  # a new one of these at the same wheel brings a new one of that
    "lining": ("brake-assembly",), "magnet": ("brake-assembly",), "hub-face": ("hub-drum", "rotor"), "studs": ("hub-drum", "rotor"),
}  # fmt: skip
AXLE_BRINGS = {
    "spindle",
    "hub-drum",
    "rotor",
    "brake-assembly",
    "lining",
    "magnet",
    "bearing-set",
    "cap",
    "hub-face",
    "studs",
    "pads",
    "axle",
}
EXITS: dict[str, Release] = {"on a hauler": "left on a hauler", "against advice": "left against advice"}


@dataclass(frozen=True)
class Gate:
    """The trailer's state, and what holds it there."""

    state: Release
    because: tuple[str, ...] = ()


def release(
    visit: Visit, calls: Iterable[Call], findings: Findings, problems: Iterable[Problem], tables: Tables
) -> Gate:
    """The release state of the trailer and the reasons for it."""
    held = _held(visit, list(calls), findings, list(problems))
    if visit.exit is not None and visit.exit.how in EXITS:
        return Gate(EXITS[visit.exit.how], held)
    if not _answered(visit):
        return Gate("in work", ("nothing has been looked at yet", *held))
    if held:
        return Gate("held", held)
    owed = _owed(visit, tables)
    if owed:
        return Gate("ready for check", owed)
    if visit.return_sheet is None or not visit.return_sheet.out:
        return Gate("clear to roll")
    done = [f for f in visit.follow_up if f.what == "retorque" and f.done is not None and f.moved is False]
    return Gate("settled") if len(done) >= RETORQUES else Gate("out, re-torque due")


def _answered(visit: Visit) -> bool:
    return any(c.look or c.feel or c.hear or c.reading or c.rest_fine for c in visit.corner)


def _held(visit: Visit, calls: list[Call], findings: Findings, problems: list[Problem]) -> tuple[str, ...]:
    open_choices = _open_choices(visit, calls)
    out = []
    for call in calls:
        name = f"{call.position} {call.part}"
        if call.call == "replace" and call.part != "seal" and not _replaced(call.place, visit):
            out.append(f"{name}: replace not done")
        elif call.call == "dress":
            out += _dress_open(name, call, visit)
        elif call.call == "recheck":
            out.append(f"{name}: recheck open")
    out += open_choices
    out += [f"{gap.position} {gap.check}: not checked ({gap.why})" for gap in findings.gaps]
    return tuple(out + [f"problem to mend: {p.where}" for p in problems])


def _replaced(place: Place, visit: Visit) -> bool:
    """Is a new part on record here, or a larger one that brings it?"""
    position, part = place
    bringers = BROUGHT_BY.get(part, ())
    for done in visit.done:
        if done.action.strip().casefold() not in REPLACED:
            continue
        same_axle = done.part == "axle" and axle_of(done.position) == axle_of(position)
        if (done.position, done.part) == place or (done.position == position and done.part in bringers):
            return True
        if same_axle and part in AXLE_BRINGS:
            return True
    return False


def _dress_open(name: str, call: Call, visit: Visit) -> list[str]:
    """Bench work counts as done with a done-mark and an after-photo or after-reading."""
    marks = [d for d in visit.done if (d.position, d.part) == call.place]
    if not marks and not _replaced(call.place, visit):
        return [f"{name}: bench work not done"]
    seen = any(d.after for d in marks) or _replaced(call.place, visit)
    return [] if seen else [f"{name}: bench work done, but no after-photo or after-reading"]


def _open_choices(visit: Visit, calls: list[Call]) -> list[str]:
    """An answer to any part of a choice answers the choice; "now" still has to be done; silence is no answer."""
    answers = {(a.position, a.part): a.answer for a in visit.answer}
    groups: dict[str, list[Call]] = {}
    for call in calls:
        if call.call == "owner decides":
            groups.setdefault(choice_of(call)[0], []).append(call)
    out = []
    for name, group in groups.items():
        said = {answers[c.place] for c in group if c.place in answers}
        if all(_replaced(c.place, visit) for c in group) or said == {"not now"}:
            continue
        out.append(
            f"{name}: replacement agreed, not done"
            if "now" in said
            else f"{name}: the owner has not answered"
        )
    return out


def _owed(visit: Visit, tables: Tables) -> tuple[str, ...]:
    """What the return sheet still owes before the trailer may roll (F16)."""
    sheet = visit.return_sheet
    if visit.scope == "adjust":
        return () if sheet is not None and sheet.adjusted else ("brakes: adjust not recorded",)
    if sheet is None:
        return ("return sheet: not filled in",)
    by_wheel = {r.position: r for r in sheet.wheel}
    out = []
    for position in positions(visit.unit.axles):
        refit = by_wheel.get(position)
        out += (
            [f"{position}: return sheet not filled in"]
            if refit is None
            else _wheel_owed(refit, visit, tables)
        )
    return tuple(out + _trailer_owed(sheet, visit, tables))


def _wheel_owed(refit: Refit, visit: Visit, tables: Tables) -> list[str]:
    name, out = refit.position, []
    play = _size(refit.end_play, "length")
    if play is None:
        out.append(f"{name}: end play not measured")
    elif below(play, tables.number("end_play_low")) or above(play, tables.number("end_play_most")):
        out.append(
            f"{name}: end play {refit.end_play} is outside {tables.limit('end_play_low').value} to {tables.limit('end_play_most').value} in"
        )
    for said, what in (
        (refit.new_seal, "new seal"),
        (refit.new_pin, "new pin"),
        (refit.faces_clean, "bare and clean faces"),
        (refit.seats_match, "nut seats matching the wheel"),
    ):
        if not said:
            out.append(f"{name}: {what} not recorded")
    torque = refit.torque
    if torque is None or _size(torque.value, "torque") is None:
        return [*out, f"{name}: final torque not recorded"]
    if not torque.source:
        out.append(f"{name}: the torque value has no source")
    if not torque.wrench or not torque.by:
        out.append(f"{name}: wrench or person of the final torque not recorded")
    if tables.house["second_initial"] and not torque.second:
        out.append(f"{name}: second initial missing")
    return out


def _trailer_owed(sheet: ReturnSheet, visit: Visit, tables: Tables) -> list[str]:
    out = []
    for said, what in (
        (sheet.adjusted, "adjust"),
        (sheet.breakaway_locks, "breakaway test"),
        (sheet.bedding_stops, "bedding stops"),
        (sheet.run_miles, "road test"),
    ):
        if not said and not (what == "adjust" and visit.unit.brake == "hydraulic disc"):
            out.append(f"brakes: {what} not recorded or failed")
    if visit.unit.brake == "electric drum":
        out += _electric_owed(sheet, tables)
    return out + _heat_owed(sheet, tables)


def _electric_owed(sheet: ReturnSheet, tables: Tables) -> list[str]:
    plug = _size(sheet.plug_volts, "voltage")
    out = [] if _size(sheet.total_amps, "current") is not None else ["brakes: total amps not measured"]
    if plug is None:
        out.append("brakes: volts at the plug not measured")
    for refit in sheet.wheel:
        volts = _size(refit.magnet_volts, "voltage")
        if volts is None:
            out.append(f"{refit.position}: volts at the magnet not measured")
        elif volts < tables.number("magnet_volts") or (
            plug is not None and plug - volts > tables.number("volt_drop") + 1e-9
        ):
            out.append(f"{refit.position}: only {refit.magnet_volts} reach the magnet")
    return out


def _heat_owed(sheet: ReturnSheet, tables: Tables) -> list[str]:
    heat = {r.position: _size(r.hub_temperature, "temperature") for r in sheet.wheel}
    out = [f"{p}: hub temperature after the run not measured" for p, t in heat.items() if t is None]
    known = {p: t for p, t in heat.items() if t is not None}
    most = tables.number("hub_heat_difference") - to_si(0, "F")  # a difference, not a temperature
    for position, kelvin in known.items():
        mates = [t for p, t in known.items() if p != position and p.split("-")[0] == position.split("-")[0]]
        if any(kelvin - mate > most + 1e-9 for mate in mates):
            out.append(
                f"{position}: hub more than {tables.limit('hub_heat_difference').value} F over its axle mate"
            )
        if kelvin > tables.number("hub_heat_stop"):
            out.append(f"{position}: hub over {tables.limit('hub_heat_stop').value} F")
    return out


def _size(text: str | None, dimension: str) -> float | None:
    """An amount as written, in SI, or None where it is missing, not a number or of another dimension."""
    stated = quantity(text or "")
    return to_si(*stated) if stated and UNITS[stated[1]].dimension == dimension else None
