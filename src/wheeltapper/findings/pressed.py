"""Seal and cap in their bores by the numbers: held by nothing, by less than they should be, or not of this bore."""

from __future__ import annotations

from wheeltapper.findings.bench import Bench
from wheeltapper.findings.facts import Fact, Sized
from wheeltapper.findings.fit import TOO_TIGHT_M
from wheeltapper.problems import Problem
from wheeltapper.units import above, at_most, below

CHECKS = {  # check: part, fact of a loose one, fact of a light or doubtful one
    "seal bore diameter": ("seal", "seal_bore.loose", "seal_bore.press_light"),
    "cap bore diameter": ("cap", "cap_bore.loose", "cap_bore.press_in_doubt"),
}


def find(bench: Bench) -> list[Fact]:
    """Facts of the seal bore and the cap bore at one corner."""
    return [fact for check, row in CHECKS.items() for fact in _pressed(bench, check, *row)]


def _pressed(bench: Bench, check: str, part: str, loose: str, light: str) -> list[Fact]:
    taken = bench.taken(check)
    bores, parts = [s for s in taken if s.at == "bore"], [s for s in taken if s.at == part]
    if not taken:
        return bench.facts(check, dict.fromkeys((loose, light)))
    if not bores or not parts:  # one of the two alone says nothing
        return bench.facts(check, dict.fromkeys((loose, light)), vouch=False)
    bore, fitted = max(bores, key=lambda s: s.size), min(parts, key=lambda s: s.size)
    if _strange(bench, check, part, bore, fitted):
        return bench.facts(check, dict.fromkeys((loose, light)), vouch=False)
    doubt = bore.doubt + fitted.doubt
    press = fitted.size - bore.size
    row = bench.tables.fit("seal press", bore.size) if part == "seal" else None
    is_loose = at_most(press + doubt, 0)
    is_light = at_most(press - doubt, 0) or (row is not None and below(press + doubt, row.low_m))
    facts = bench.facts(check, {loose: is_loose}, size=press, against=0.0)
    least = row.low_m if row else 0.0
    return facts + bench.facts(check, {light: is_light and not is_loose}, size=press, against=least)


def _strange(bench: Bench, check: str, part: str, bore: Sized, fitted: Sized) -> bool:
    """Is the part so much larger, or smaller, than the bore that one of the two is another's?"""
    far = above(fitted.size - bore.size - bore.doubt - fitted.doubt, TOO_TIGHT_M)
    far |= above(bore.size - fitted.size - bore.doubt - fitted.doubt, bench.tables.number("slip"))
    if far:
        what = f"a {part} of {fitted.text} {fitted.unit} does not belong in a bore of {bore.text} {bore.unit}"
        do = f"read the {part}'s number and both gauges again."
        bench.problems.append(Problem(f"{bench.position}, {check}", what, do))
    return far
