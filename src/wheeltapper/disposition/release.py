"""May the trailer roll? The one place where F14 to F16 and F19 are enforced.

An open replace, an undone dress, a recheck, a gap, an unanswered choice, a second look due or a problem keeps it held. A signed
paper changes nothing. The ways out of held are repair, staying, a hauler, or leaving against advice.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from wheeltapper.disposition import return_sheet
from wheeltapper.disposition.decide import AXLE_BRINGS, Call, Place, choice_of
from wheeltapper.disposition.second_look import second_looks_due
from wheeltapper.findings.clamp import first_retorque, moved, moved_again
from wheeltapper.findings.facts import Findings, Gap
from wheeltapper.problems import Problem
from wheeltapper.records import FollowUp, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import PARTS, Release, axle_of

REPLACED = {"replaced", "fitted", "new"}
BROUGHT_BY = {  # a new one of these at the same wheel brings a new one of that
    "lining": ("brake-assembly",), "magnet": ("brake-assembly",), "hub-face": ("hub-drum", "rotor"), "studs": ("hub-drum", "rotor"),
}  # fmt: skip
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
    owed = return_sheet.owed(visit, tables)
    failed = tuple(o.text for o in owed if o.failed)
    held = (*failed, *_held(visit, list(calls), findings, list(problems), tables))
    if visit.exit is not None:
        said = f": “{visit.exit.said}”" if visit.exit.said else ""
        return Gate(EXITS[visit.exit.how], (f"left {visit.exit.how}, {visit.exit.by}{said}", *held))
    if not _answered(visit):
        return Gate("in work", ("nothing has been looked at yet", *held))
    if held:
        return Gate("held", held)
    if owed:
        return Gate("ready for check", tuple(o.text for o in owed))
    if visit.return_sheet is None or not visit.return_sheet.out:
        return Gate("clear to roll")
    return Gate("settled") if _retorqued(visit, tables) else Gate("out, re-torque due")


def _retorqued(visit: Visit, tables: Tables) -> bool:
    """Is every check that falls due done, at its own point?"""
    due = {i.miles for i in tables.intervals if i.what == "retorque"}
    return due <= {f.due for f in visit.follow_up if f.what == "retorque" and closes(f, visit, tables)}


def closes(item: FollowUp, visit: Visit, tables: Tables) -> bool:
    """Is what fell due after this visit done with? A re-torque only where somebody said whether a nut moved; only at the first may one."""
    if not item.was_done or (item.date is not None and item.date < visit.date):
        return False
    first = first_retorque(tables)
    return item.what != "retorque" or (moved(item) is not None and not moved_again(item, first))


def _answered(visit: Visit) -> bool:
    return any(c.look or c.feel or c.hear or c.reading or c.rest_fine for c in visit.corner)


def _held(
    visit: Visit, calls: list[Call], findings: Findings, problems: list[Problem], tables: Tables
) -> tuple[str, ...]:
    open_choices = _open_choices(visit, calls, tables)
    out = []
    for call in calls:
        name = f"{call.position} {call.part}"
        if call.call == "replace" and call.part != "seal" and not is_replaced(call.place, visit):
            out.append(f"{name}: replace not done")
        elif call.call == "dress":
            out += _dress_open(name, call, visit)
        elif call.call == "recheck" and not is_replaced(call.place, visit):
            out.append(f"{name}: recheck open")
    out += open_choices
    gaps = [g for g in findings.gaps if not _moot(g, visit, tables)]
    out += [f"{g.position} {g.check}: not checked ({g.why})" for g in gaps]
    out += second_looks_due(visit)
    return tuple(out + [f"problem to mend: {p.where}" for p in problems])


def _moot(gap: Gap, visit: Visit, tables: Tables) -> bool:
    """A check of a part that has since been replaced is owed no more."""
    check = tables.checks.get(gap.check)
    if check is None:
        return False
    part = (
        ("rotor" if visit.unit.brake == "hydraulic disc" else "hub-drum")
        if check.part == "hub"
        else check.part
    )
    return any(is_replaced((gap.position, p), visit) for p in PARTS if p == part)


def is_replaced(place: Place, visit: Visit) -> bool:
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
    if not marks and not is_replaced(call.place, visit):
        return [f"{name}: bench work not done"]
    seen = any(d.after for d in marks) or is_replaced(call.place, visit)
    return [] if seen else [f"{name}: bench work done, but no after-photo or after-reading"]


def _has_dress(call: Call, tables: Tables) -> bool:
    """Does the part, if it stays, owe bench work?"""
    return any(rule in tables.dress_rules for rule in (*call.rules, *call.milder))


def _open_choices(visit: Visit, calls: list[Call], tables: Tables) -> list[str]:
    """An answer to any part of a choice answers the choice; "now" still has to be done; silence is no answer."""
    answers = {(a.position, a.part): a.answer for a in visit.answer}
    groups: dict[str, list[Call]] = {}
    for call in calls:
        if call.call == "owner decides":
            groups.setdefault(choice_of(call)[0], []).append(call)
    out = []
    for name, group in groups.items():
        said = {answers[c.place] for c in group if c.place in answers}
        if all(is_replaced(c.place, visit) for c in group):
            continue
        if said == {"not now"}:
            out += [
                row
                for c in group
                if _has_dress(c, tables)
                for row in _dress_open(f"{c.position} {c.part}", c, visit)
            ]
            continue
        out.append(
            f"{name}: replacement agreed, not done"
            if "now" in said
            else f"{name}: the owner has not answered"
        )
    return out
