"""Linings, pads and rotors by their thinnest reading against a minimum (C1, C6, C9)."""

from __future__ import annotations

from dataclasses import replace

from wheeltapper.findings.bench import REPEATS, Bench, Held
from wheeltapper.findings.facts import Fact, Gauged, Sized
from wheeltapper.findings.reading import WINDOWS
from wheeltapper.findings.worn import over_time
from wheeltapper.measure import margin, plausible, wear
from wheeltapper.units import INCH_M, at_most, to_si
from wheeltapper.words import Part

ONE_SHOE = 0.5  # a shoe under half its partner's thickness did the work alone
NEW_LINING_M = 0.1875 * INCH_M  # 3/16 in, the low end of typical new linings: for comparing wheels only


def lining(bench: Bench) -> tuple[list[Fact], list[Gauged]]:
    """Lining thickness at one corner, thinnest of both shoes."""
    facts, gauged = _friction(bench, "lining thickness", "lining", "lining")
    by_shoe = {s.at: s.size for s in bench.taken("lining thickness")}
    shoes = [by_shoe[at] for at in ("primary", "secondary") if at in by_shoe]
    one = None if len(shoes) < 2 else min(shoes) < ONE_SHOE * max(shoes)
    facts += bench.facts("lining thickness", {"lining.one_shoe_thin": one})
    worn = (
        None
        if not gauged
        else any(f.answer for f in facts if f.name in {"lining.thin", "lining.at_or_below_minimum"})
    )
    return [
        *facts,
        Fact(bench.position, "lining.worn", worn, "worked out", check="lining thickness", optional=True),
    ], gauged


def pads(bench: Bench) -> tuple[list[Fact], list[Gauged]]:
    """Pad thickness at one corner, thinnest of both pads."""
    return _friction(bench, "pad thickness", "pads", "pad")


def _friction(bench: Bench, check: str, part: Part, row: str) -> tuple[list[Fact], list[Gauged]]:
    names = [n for n in bench.tables.checks[check].facts if n != "lining.one_shoe_thin"]
    taken = bench.taken(check)
    if not taken:
        return bench.facts(check, dict.fromkeys(names)), []
    riveted = "riveted" if part == "lining" and bench.visit.unit.lining == "riveted" else None
    held = bench.limit(check, WINDOWS["lining"], True, f"{row}_min", riveted)
    if held is None:  # a limit was written that cannot be read
        return bench.facts(check, dict.fromkeys(names), vouch=False), []
    worst, repeats = _worst(taken)
    size, doubt, again = _settled(worst, repeats, held)
    aged = over_time(bench, _gauged(bench, check, part, held, worst, size, doubt), worst)
    gone = at_most(worst.size, held.value) or at_most(size, held.value)
    in_doubt = not gone and at_most(size - doubt, held.value)
    answers: dict[str, bool | None] = {
        f"{part}.at_or_below_minimum": gone, f"{part}.at_minimum_in_doubt": in_doubt and not again,
        f"{part}.at_minimum_repeated": in_doubt and again,
        f"{part}.thin": at_most(size, bench.tables.number(f"{row}_plan")) and not gone,
        f"{part}.remaining_short": aged.short, f"{part}.none_left": aged.none_left,
        f"{part}.thicker_than_before": aged.contradicts,
    }  # fmt: skip
    return bench.facts(check, answers, aged.gauged), [replace(aged.gauged, readings=taken)]


def rotor(bench: Bench) -> tuple[list[Fact], list[Gauged]]:
    """Rotor thickness at one corner: the number cast in it is the only limit there is."""
    check = "rotor thickness"
    taken = bench.taken(check)
    names = bench.tables.checks[check].facts
    runout = _runout(bench)
    if not taken:
        return [*runout, *bench.facts(check, dict.fromkeys(names))], []
    worst, repeats = _worst(taken)
    thin = _thinner_than_new(bench, worst)
    answers: dict[str, bool | None] = {**dict.fromkeys(names, False), "rotor.thinner_than_new": thin}
    held = bench.limit(check, WINDOWS["rotor"], True)
    if held is None:
        return [*runout, *bench.facts(check, answers | {"rotor.limit_unknown": True})], []
    size, doubt, again = _settled(worst, repeats, held)
    aged = over_time(bench, _gauged(bench, check, "rotor", held, worst, size, doubt), worst)
    answers |= _against(bench, held, size, doubt, again)
    answers |= {
        "rotor.thicker_than_before": aged.contradicts, "rotor.remaining_short": aged.short, "rotor.none_left": aged.none_left,
    }  # fmt: skip
    return [*runout, *bench.facts(check, answers, aged.gauged)], [replace(aged.gauged, readings=taken)]


def _worst(taken: tuple[Sized, ...]) -> tuple[Sized, list[Sized]]:
    """The thinnest first reading, and the repeats."""
    first = [s for s in taken if s.at != "repeat"] or list(taken)
    return min(first, key=_thinnest), [s for s in taken if s.at == "repeat"]


def _thinnest(s: Sized) -> tuple[float, float]:
    return s.size, -s.doubt


def _settled(worst: Sized, repeats: list[Sized], held: Held) -> tuple[float, float, bool]:
    """The size that counts with its doubt, and whether three repeats settled a reading at the limit (C6)."""
    at_limit = margin.verdict_least(worst.size, worst.doubt, held.value) == "at the limit"
    if not at_limit or len(repeats) < REPEATS:
        return worst.size, worst.doubt, False
    again = min(repeats, key=_thinnest)
    return again.size, again.doubt, True


def _against(bench: Bench, held: Held, size: float, doubt: float, again: bool) -> dict[str, bool | None]:
    """What a rotor's size says against its minimum; an assumed one clears it only some way above."""
    if held.grade == "assumed":
        near = at_most(size - doubt, held.value + bench.tables.number("assumed_margin"))
        sought = near and bench.visit.limit_sought_by is not None
        return {"rotor.near_assumed_limit": near and not sought, "rotor.cannot_be_shown_fit": sought}
    stands = margin.verdict_least(size, doubt, held.value)
    at_limit = stands == "at the limit"
    return {
        "rotor.below_minimum": stands == "over", "rotor.at_limit": at_limit and not again,
        "rotor.at_limit_repeated": at_limit and again,
    }  # fmt: skip


def _thinner_than_new(bench: Bench, worst: Sized) -> bool | None:
    new = plausible.quantity(bench.visit.unit.rotor_new or "")
    return None if new is None else not at_most(to_si(*new) - worst.size, bench.tables.number("rotor_pair"))


def _runout(bench: Bench) -> list[Fact]:
    taken = bench.taken("rotor runout")
    held = bench.limit("rotor runout", WINDOWS["depth"], False)
    over = None if not taken or held is None else not at_most(max(s.size for s in taken), held.value)
    return bench.facts("rotor runout", {"rotor.runout_over": over})


def _gauged(
    bench: Bench, check: str, part: Part, held: Held, worst: Sized, size: float, doubt: float
) -> Gauged:
    new = plausible.quantity(bench.visit.unit.rotor_new or "") if part == "rotor" else None
    nominal = (
        to_si(*new)
        if new
        else max((p.size for p in bench.records(check, (part, "brake-assembly"))), default=None)
    )
    used = None if nominal is None or nominal <= held.value else wear.used_share(size, nominal, held.value)
    return Gauged(
        bench.position, check, part, size, doubt, worst.unit, held.value, True, held.grade, held.source, held.id,
        margin.verdict_least(size, doubt, held.value), margin.conformance_share_least(size, doubt, held.value),
        nominal, used, also=held.also,
    )  # fmt: skip
