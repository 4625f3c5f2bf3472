"""The facts of a visit: looks and readings of every corner, put together, with what nobody looked at."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

from wheeltapper.findings import (
    arc,
    clamp,
    drum,
    electric,
    fit,
    form,
    heard,
    heat,
    legs,
    life,
    looks,
    mark,
    pattern,
    pressed,
    returned,
    setting,
    slips,
    sweep,
    thickness,
)
from wheeltapper.findings.bench import Bench
from wheeltapper.findings.facts import Fact, Findings, Gauged, Key, Worked, merged
from wheeltapper.findings.reading import Readings, read
from wheeltapper.problems import NoAnswerError
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import at_most


def find(visit: Visit, readings: Readings, tables: Tables) -> Findings:
    """Every fact that the visit states, what stands open, and the problems met on the way."""
    corners, problems = sweep.sweeps(visit, tables)
    checks = sweep.checks_here(visit, tables)
    facts: list[Fact] = []
    gauged: list[Gauged] = []
    worked: list[Worked] = []
    answered = [check for check in checks if check.found]
    for corner in corners.values():
        seen = [f for check in answered for f in looks.facts_of(corner, check, visit.technician, problems)]
        bench = Bench(visit, tables, readings, corner, problems)
        more, sizes = _measured(bench, merged(seen))
        formed, computed = _computed(bench)
        facts += [*seen, *more, *formed]
        gauged += sizes
        worked += computed
    facts += _of_trailer(visit, tables, readings)
    together = merged(facts)
    heated, colours = heat.find(visit, tables, together)
    turned = clamp.facts(visit, tables, together)
    later = [
        *pattern.find(visit, tables, gauged, together),
        *_disagreements(visit),
        *heard.find(visit),
        *mark.find(visit, together),
        *heated,
        *turned,
    ]
    together = merged([*later, *(_patch(p, together) for p in corners)], onto=together)
    present = {c.position for c in visit.corner}
    left = (looks.gaps(c, checks, together, p in present, readings.doubted) for p, c in corners.items())
    gaps = tuple(gap for rows in left for gap in rows)
    problems += slips.find(visit, tables)
    worked += [
        *colours,
        *heard.worked(visit),
        *mark.worked(visit),
        *_beside(visit, tables, readings, together, gauged),
        *_on_return(visit, tables),
    ]
    return Findings(together, tuple(gauged), gaps, (*readings.problems, *problems), tuple(worked))


def _beside(
    visit: Visit, tables: Tables, readings: Readings, facts: dict[Key, Fact], gauged: list[Gauged]
) -> list[Worked]:
    """Computations beside the calls. What its numbers do not allow is left out: they are asked about as readings."""
    reckoned: list[Worked] = []
    each: tuple[Callable[[], list[Worked]], ...] = (
        lambda: arc.find(tables, gauged),
        lambda: life.find(visit, tables, facts),
        lambda: clamp.find(visit, tables, facts),
        lambda: legs.find(visit, tables, readings, facts),
        lambda: setting.find(visit, tables, readings),
    )
    for reckon in each:
        with suppress(NoAnswerError):
            reckoned += reckon()
    return reckoned


def _on_return(visit: Visit, tables: Tables) -> list[Worked]:
    """Where the current goes after the repair, by the return sheet's own volts and amperes."""
    after = returned.as_measured(visit)
    if after is None:
        return []
    found = find(after, read(after, tables), tables)
    return [replace(w, at="on return") for w in found.worked if w.kind in {"legs", "leg"}]


def _computed(bench: Bench) -> tuple[list[Fact], list[Worked]]:
    """Facts and results of dials and bores at one corner."""
    if bench.visit.scope != "hub service":
        return [], []
    formed, fitted = form.find(bench), fit.find(bench)
    return formed[0] + fitted[0] + pressed.find(bench), formed[1] + fitted[1]


def _measured(bench: Bench, seen: dict[Key, Fact]) -> tuple[list[Fact], list[Gauged]]:
    """Facts from the readings of one corner, by the kind of brake. An adjust visit opens no hub."""
    if bench.visit.scope != "hub service":
        return [], []
    if bench.visit.unit.brake == "hydraulic disc":
        rotor, pads = thickness.rotor(bench), thickness.pads(bench)
        return _face(bench) + rotor[0] + pads[0], rotor[1] + pads[1]
    drums, lining = drum.find(bench, seen), thickness.lining(bench)
    facts = _face(bench) + drums[0] + lining[0]
    if bench.visit.unit.brake == "electric drum":
        facts += electric.magnet(bench) + electric.supply(bench)
    return facts, drums[1] + lining[1]


def _face(bench: Bench) -> list[Fact]:
    taken = bench.taken("hub face gap")
    over = None if not taken else not at_most(max(s.size for s in taken), bench.tables.number("hub_face_gap"))
    return bench.facts("hub face gap", {"hub_face.gap_over": over})


def _of_trailer(visit: Visit, tables: Tables, readings: Readings) -> list[Fact]:
    facts = setting.hot(visit, tables, readings)
    return facts + electric.whole(visit, tables, readings) if visit.unit.brake == "electric drum" else facts


def _patch(position: str, facts: dict[Key, Fact]) -> Fact:
    """Heat checks in one patch stay unsettled until roundness was measured and hard spots were felt for."""
    named = [facts.get((position, name)) for name in ("drum.out_of_round", "drum.hard_spots")]
    settled = all(
        f is not None and f.answer is not None and f.evidence in {"measured", "felt"} for f in named
    )
    return Fact(
        position,
        "heat_checks.patch_unsettled",
        not settled,
        "worked out",
        check="friction diameter",
        optional=True,
    )


def _disagreements(visit: Visit) -> list[Fact]:
    """Two people who called one part differently."""
    calls: dict[tuple[str, str], set[tuple[str, str]]] = {}
    for call in visit.call:
        calls.setdefault((call.position, call.part), set()).add((call.by, call.call))
    out = []
    for (position, part), said in calls.items():
        if len({call for _, call in said}) > 1:
            words = tuple(f"{person}: {call}" for person, call in sorted(said))
            people = tuple(sorted({person for person, _ in said}))
            out.append(Fact(position, f"people.disagree.{part}", True, "told", people, words))
    return out
