"""From facts to calls. One pure function stands between the facts and the rows of rules.toml.

Every rule of a part is considered. A condition answered no puts the rule out; a condition that nobody
answered leaves it open; else it has fired. The severest call that fired wins. Where an open rule could be
severer still, the call is 'recheck' with what is missing as the list of what to do next: nobody looked
never becomes fine.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from wheeltapper.findings.facts import Fact, Findings
from wheeltapper.problems import Problem
from wheeltapper.records import PersonCall, Visit
from wheeltapper.reference.faults import WORKED_OUT
from wheeltapper.reference.tables import Pairing, Rule, Tables
from wheeltapper.words import CALLS, PARTS, CallWord, Part, axle_of, other_end, positions, severity

DISAGREE = "people.disagree"
# a seal is new at every opening, an axle is named only where it is the job
ONLY_WHEN_FIRED = {"seal", "axle"}
ABSENT: dict[str, set[str]] = {  # parts that a kind of brake does not have
    "electric drum": {"rotor", "pads"},
    "hydraulic drum": {"rotor", "pads", "magnet", "supply"},
    "hydraulic disc": {"hub-drum", "lining", "magnet", "supply"},
}
SOLD_AS: dict[str, Part] = {"lining": "brake-assembly", "magnet": "brake-assembly"}  # sold as one assembly
PER_AXLE = {"brake-assembly", "pads"}  # both ends together
AXLE_BRINGS = {  # parts that come new with a complete axle
    "spindle", "hub-drum", "rotor", "brake-assembly", "lining", "magnet", "bearing-set", "cap", "hub-face", "studs", "pads", "axle", "seal",
}  # fmt: skip
Place = tuple[str, str]  # position, part


@dataclass(frozen=True)
class Call:
    """What is to become of a part, which rules say so, the facts that decided it and what is missing."""

    position: str
    part: Part
    call: CallWord
    rules: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    facts: tuple[Fact, ...] = ()
    milder: tuple[str, ...] = ()  # rules that fired with a milder call: they hold if the part stays
    persons: tuple[str, ...] = ()  # "T1: replace (heard a crack)"

    @property
    def because(self) -> tuple[str, ...]:
        """Printed ids of the rules and pairings that made the call."""
        return tuple(dict.fromkeys(rule.split(".")[0] for rule in self.rules))

    @property
    def place(self) -> Place:
        """Position and part."""
        return self.position, self.part


def choice_of(call: Call) -> tuple[str, Part]:
    """The choice that an 'owner decides' belongs to: its name, and the part that is sold."""
    part = SOLD_AS.get(call.part, call.part)
    where = f"axle {axle_of(call.position)}" if part in PER_AXLE else call.position
    return f"{where} {part}", part


def decide(visit: Visit, findings: Findings, tables: Tables) -> tuple[tuple[Call, ...], tuple[Problem, ...]]:
    """A call for every part of every wheel, in sweep order, and problems with what persons called."""
    applicable = _applicable(visit, tables)
    calls: dict[Place, Call] = {}
    for position in positions(visit.unit.axles):
        for part, rules in applicable.items():
            call = _call(position, part, rules, findings)
            if part not in ONLY_WHEN_FIRED or call.rules:
                calls[call.place] = call
    problems = _persons(visit, calls, findings)
    paired(calls, findings, tables)
    wheels = positions(visit.unit.axles)
    in_order = sorted(calls.values(), key=lambda c: (wheels.index(c.position), PARTS.index(c.part)))
    return tuple(in_order), tuple(problems)


def _applicable(visit: Visit, tables: Tables) -> dict[Part, list[Rule]]:
    """The rules that this kind of trailer and visit can answer, by part."""
    here = {
        fact
        for c in tables.checks.values()
        if visit.unit.brake in c.brakes and visit.scope in c.scopes
        for fact in c.all_facts
    }
    absent = ABSENT[visit.unit.brake]
    out: dict[Part, list[Rule]] = {}
    for rule in tables.rules:
        known = all(fact in here or fact in WORKED_OUT for fact in rule.when) and (rule.when != (DISAGREE,))
        for part in rule.part:
            if known and part not in absent:
                out.setdefault(part, []).append(rule)
    for rule in (r for r in tables.rules if r.when == (DISAGREE,)):
        for rows in out.values():
            rows.append(rule)
    return out


def _call(position: str, part: Part, rules: Iterable[Rule], findings: Findings) -> Call:
    fired: list[tuple[Rule, list[Fact]]] = []
    still_open: list[tuple[Rule, list[Fact]]] = []
    no = findings.no_at(position)
    for rule in rules:
        if no.isdisjoint(rule.when) and rule.when != (DISAGREE,):
            facts = [findings.fact(position, name) for name in rule.when]
            unknown = [f for f in facts if f.answer is None]
            (still_open if unknown else fired).append((rule, unknown or facts))
        elif rule.when == (DISAGREE,) and findings.yes(position, f"{DISAGREE}.{part}"):
            fired.append((rule, [findings.fact(position, f"{DISAGREE}.{part}")]))
    worst = max((severity(rule.call) for rule, _ in fired), default=0)
    said = [(rule, facts) for rule, facts in fired if severity(rule.call) == worst]
    milder = tuple(rule.id for rule, _ in fired if severity(rule.call) < worst)
    deciding = tuple({(f.position, f.name): f for _, facts in said for f in facts}.values())
    call = Call(position, part, CALLS[worst], tuple(rule.id for rule, _ in said), (), deciding, milder)
    missing = dict.fromkeys(
        f.name for rule, facts in still_open if severity(rule.call) > worst for f in facts
    )
    return _open(call, tuple(missing)) if missing else call


def _open(call: Call, missing: tuple[str, ...]) -> Call:
    """Something severer is still open: recheck, with what fired so far standing by."""
    if call.call == "recheck":
        return replace(call, missing=missing)
    return replace(
        call, call="recheck", rules=(), missing=missing, facts=(), milder=(*call.milder, *call.rules)
    )


def _persons(visit: Visit, calls: dict[Place, Call], findings: Findings) -> list[Problem]:
    """What people called: a severer call is taken, a milder one is kept beside ours and changes nothing."""
    problems = []
    for said in sorted(visit.call, key=lambda c: (c.position, c.part, c.by, severity(c.call))):
        call = calls.get((said.position, said.part))
        if call is None and said.part in ONLY_WHEN_FIRED and said.position in positions(visit.unit.axles):
            call = Call(said.position, said.part, "keep")
        if call is None:
            problems.append(
                Problem(
                    f"call, {said.position}, {said.part}",
                    "no such part is called on this visit",
                    "see the sheet for the parts of this trailer.",
                )
            )
            continue
        words = f"{said.by}: {said.call}" + (f" ({said.why})" if said.why else "")
        call = replace(call, persons=(*call.persons, words))
        agreed = f"{DISAGREE}.{said.part}" not in findings.yes_at(
            said.position
        )  # else H23 has made it a recheck
        if agreed and severity(said.call) > severity(call.call):
            call = _raised(call, said, problems)
        calls[call.place] = call
    return problems


def _raised(call: Call, said: PersonCall, problems: list[Problem]) -> Call:
    """A stricter call with its reason is taken; without one nothing is replaced on it, but it is not passed over."""
    called = said.call
    if not said.why:
        called = min(called, "recheck", key=severity)
        what = f"{said.by} calls it '{said.call}' without a reason"
        problems.append(
            Problem(
                f"call, {said.position}, {said.part}", what, "write why: meanwhile it is not fit to go back."
            )
        )
    if severity(called) <= severity(call.call):
        return call
    also = call.milder if call.call == "recheck" else (*call.milder, *call.rules)
    return replace(call, call=called, rules=(f"called by {said.by}",), milder=also, facts=())


def paired(calls: dict[Place, Call], findings: Findings, tables: Tables) -> None:
    """Add what belongs together, in place, until nothing more follows. A pairing only ever makes a call severer."""
    brings = tables.pairings_of
    waiting = sorted(c.place for c in calls.values() if (c.part, c.call) in brings)
    for place in waiting:  # grows while it is walked: what a pairing changed may bring more
        call = calls[place]
        for pair in brings.get((call.part, call.call), ()):
            touched = _pair(pair, call, calls, findings)
            if touched is not None:
                waiting.append(touched)
    _with_the_axle(calls)


def _pair(pair: Pairing, call: Call, calls: dict[Place, Call], findings: Findings) -> Place | None:
    """Carry out one pairing. The place whose call it changed, or None."""
    where = call.position if pair.at == "same wheel" else other_end(call.position)
    part = pair.then_part
    old = calls.get((where, part))
    if old is None and part not in ONLY_WHEN_FIRED:
        return None  # this trailer has no such part
    old = old or Call(where, part, "keep")
    if pair.need and not findings.yes(where, pair.need):
        return None
    new = _changed(pair, old, findings)
    if new is None:
        return None
    calls[where, part] = new
    return where, part


def _changed(pair: Pairing, old: Call, findings: Findings) -> Call | None:
    """The call as the pairing leaves it, or None where it changes nothing."""
    asked, stands = severity(pair.then_call), severity(old.call)
    if asked < stands:  # a milder one with a need of its own waits beside a recheck
        waits = old.call == "recheck" and pair.need and pair.id not in old.milder
        return replace(old, milder=(*old.milder, pair.id)) if waits else None
    if asked == stands:
        joins = pair.need and old.rules and pair.id not in old.rules
        return replace(old, rules=(*old.rules, pair.id)) if joins else None
    also = old.milder if old.call == "recheck" else (*old.milder, *old.rules)
    facts = (findings.fact(old.position, pair.need),) if pair.need else ()
    return replace(old, call=pair.then_call, rules=(pair.id,), missing=(), facts=facts, milder=also)


def _with_the_axle(calls: dict[Place, Call]) -> None:
    """A complete axle brings its hubs and brakes: what the owner could have decided there goes with it."""
    for axle in [c for c in calls.values() if c.part == "axle" and c.call == "replace"]:
        for wheel in (axle.position, other_end(axle.position)):
            for place, call in calls.items():
                if place[0] == wheel and call.call == "owner decides" and call.part in AXLE_BRINGS:
                    milder = (*call.milder, *call.rules)
                    calls[place] = replace(call, call="replace", rules=("P6.axle",), facts=(), milder=milder)
