"""Currents and volts in words: the brake wire, the feed of one magnet, and where the current of all of them goes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import comb
from typing import TYPE_CHECKING

from wheeltapper.findings.facts import Worked
from wheeltapper.findings.legs import Leg, Legs, Wire
from wheeltapper.flow import Examination
from wheeltapper.report.wording import Reader, listed

if TYPE_CHECKING:
    from wheeltapper.measure.legs import Explanation

COUNT = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight")
SHARED = 1.25  # a leg that feels no more than this share of a wire that all magnets share is explained by it
MOST_TOLD = 4  # sets of dead legs, where they are no plain "any two of these"


def wire(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """A brake wire that should leave too few volts at the magnets."""
    f: Wire = w.result
    source = f"{f.plug_v:.1f} V at the plug" if f.plug_measured else f"{f.plug_v:.1f} V at the plug (assumed)"
    yield (
        f"{f.feet:g} ft of {f.awg} AWG (out and back) are {f.wire_ohm:.2f} ohm: of {source} sound magnets would get {f.magnet_v:.1f} V at "
        f"{f.total_a:.1f} A in all, with all of it through this wire; they need {f.least_v:.1f} V, and no more than"
        f" {ex.tables.number('volt_drop'):.1f} V may be lost."
    )
    if f.not_measured:
        yield f"Measure the volts at full apply at {listed(f.not_measured)}. If they are as few, a thicker wire or a shorter run is the repair."
    if f.measured_v is None:
        return
    low, high = f.measured_v
    volts = f"{low:.1f} V" if high - low < 0.05 else f"{low:.1f} to {high:.1f} V"
    yield (
        f"That contradicts the {volts} measured at {listed(f.fed_well)}. What was measured counts there: read the gauge and length of the wire"
        " again, or see that the volts were taken at full apply with every magnet plugged in."
    )


def leg(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """What is lost on the way to one magnet."""
    f: Leg = w.result
    lost = f"{f.plug_v - f.magnet_v:.1f} V are lost on the way: this leg feels {f.ohm:.2f} ohm"
    if f.wire_ohm is None:
        yield f"{lost}. The gauge and length of the wire would say whether it is the wire or a splice."
    elif f.ohm > 2 * f.wire_ohm and f.shared_ohm and f.ohm <= SHARED * f.shared_ohm:
        yield f"{lost}, its wire alone would be {f.wire_ohm:.2f} ohm and feels like {f.shared_ohm:.2f} ohm where all magnets share it: too thin or too long, or a splice or ground besides."
    elif f.ohm > 2 * f.wire_ohm:
        yield f"{lost}, its wire alone would be {f.wire_ohm:.2f} ohm: a splice, ground or plug takes the rest, or a wire that it shares."
    else:
        yield f"{lost}, about what its wire is ({f.wire_ohm:.2f} ohm): the wire is too thin or too long."


def legs(w: Worked, ex: Examination, reader: Reader) -> Iterator[str]:
    """The current of all magnets against what can explain it."""
    f: Legs = w.result
    through = f" with the {f.wire_ohm:.2f} ohm of the brake wire" if f.wire_ohm else ""
    yield f"{f.amps_a:.1f} A is {f.each_a:.2f} A for each brake; rated {f.rated_a:.1f} A in the harness, {f.bench_a:.2f} A by volts over ohms{through}."
    for short in f.shorted:
        yield (
            f"The coil at {short.wheel}, {short.ohm:.1f} ohm, would alone draw {short.draws_a:.0f} A: a shorted coil, or a lead chafed through beside it."
            " Pull its plug: the current must fall by that much, else measure its ohms again."
        )
    if f.high:
        yield from _too_high(f)
    elif not f.explanations:
        if not f.shorted:
            yield "No set of dead or weak legs explains it: the readings contradict each other. Measure amperes, plug and magnets again at one full apply."
    else:
        yield from _explanations(f)


def _too_high(f: Legs) -> Iterator[str]:
    pull = "pull the magnets' plugs one by one with the ammeter in the wire: what still flows with all of them pulled goes through a chafed wire"
    if f.no_ohms:
        yield (
            f"More than sound coils draw: a shorted coil, or a wire chafed to ground. Measure the ohms of {listed(f.no_ohms)}, across the leads with"
            f" the plug pulled and from each lead to the case. Where all are sound, {pull}."
        )
    elif not f.shorted:
        yield f"More than the coils as measured can draw: look for a wire chafed to ground, and {pull}."
    if f.wire_ohm:
        yield "The brake wire as written would let less through: if no short is found, read its gauge and length again."


def _explanations(f: Legs) -> Iterator[str]:
    fewest = [e for e in f.explanations if e.legs == f.explanations[0].legs]
    more = len(f.explanations) > len(fewest)
    few = f"{listed(f.too_few)} {'gets' if len(f.too_few) == 1 else 'get'} too few volts" if f.too_few else ""
    if not fewest[0].legs:
        other = " Dead or weak legs could hide in the doubts as well." if more else ""
        though = f", though {few}" if few else ""
        yield f"No leg need be without feed{though}: these coils draw about that at these volts, inside the doubts.{other}"
    else:
        said = "; or ".join(_alike(group, f.wheels) for group in _kinds(fewest))
        lead = (
            "Only one thing explains it"
            if len(f.explanations) == 1
            else "What would explain it, with the fewest legs at fault"
        )
        counted = f" That {few} is counted in." if few else ""
        yield f"{lead}: {said}.{counted}{' More legs at once could too.' if more else ''}"
    if f.next_wheel is not None:
        yield f"Measure the volts at the magnet of {f.next_wheel} next: that separates the most of them."


def _kinds(found: Sequence[Explanation]) -> list[list[Explanation]]:
    """Explanations of one kind together: dead legs alone, dead legs and a weak one, the shared feed."""
    kinds: dict[tuple[int, bool, bool], list[Explanation]] = {}
    for e in found:
        kinds.setdefault((len(e.dead), e.weak is not None, e.shared), []).append(e)
    return list(kinds.values())


def _alike(group: Sequence[Explanation], wheels: Sequence[str]) -> str:
    """'no feed to any two of A, B, C and D and about 1.2 ohm too much in the leg of another'."""
    parts = [f"no feed to {_dead([e.dead for e in group], wheels)}"] if group[0].dead else []
    ohms = sorted(e.extra_ohm for e in group)
    ohm = f"{ohms[0]:.1f}" if f"{ohms[0]:.1f}" == f"{ohms[-1]:.1f}" else f"{ohms[0]:.1f} to {ohms[-1]:.1f}"
    weak = sorted({e.weak for e in group if e.weak is not None})
    if weak:
        name = (
            wheels[weak[0]]
            if len(weak) == 1
            else "another"
            if parts and len(group) > 1
            else f"one of {listed(wheels[i] for i in weak)}"
        )
        parts.append(f"about {ohm} ohm too much in the leg of {name}")
    if group[0].shared:
        parts.append(f"about {ohm} ohm too much in the shared feed")
    return " and ".join(parts)


def _dead(sets: Sequence[tuple[int, ...]], wheels: Sequence[str]) -> str:
    """The legs of one set, 'any two of these' where every choice of them fits, else the first few sets."""
    sets = list(dict.fromkeys(sets))
    if len(sets) == 1:
        return listed(wheels[i] for i in sets[0])
    sure = sorted(set.intersection(*map(set, sets)))
    rest = sorted(set.union(*map(set, sets)) - set(sure))
    free = len(sets[0]) - len(sure)
    if len(sets) == comb(len(rest), free):
        some = f"{'one' if free == 1 else f'any {COUNT[free]}'} of {listed(wheels[i] for i in rest)}"
        return f"{listed(wheels[i] for i in sure)} and {some}" if sure else some
    told = [listed(wheels[i] for i in s) for s in sets[:MOST_TOLD]]
    left = len(sets) - len(told)
    return f"{', or to '.join(told)}{f', or {left} other sets of {COUNT[len(sets[0])]}' if left else ''}"
