"""A ring test in words and as JSON. It never says that a drum is good."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from math import exp
from typing import Any

from wheeltapper.findings.ring import Verdict
from wheeltapper.good_drums import GoodDrum
from wheeltapper.measure.ring import Family, Ring
from wheeltapper.measure.ring.profile import told_apart
from wheeltapper.problems import Problem
from wheeltapper.report.record import problems
from wheeltapper.report.ring_figure import side_by_side
from wheeltapper.report.wording import so_dull
from wheeltapper.ringing import Good, Heard

TUNED = "Set on simulated drums: no cracked drum was heard. A good ring never clears a drum; eyes and fingernail decide."
MOST_MODES = 8


def as_json(heard: Sequence[Heard], references: int, slips: tuple[Problem, ...] = ()) -> str:
    """One object for one recording, a list for several; `slips` are the Problems met with the references."""
    rows = [_row(h, references, slips) for h in heard]
    return json.dumps(rows[0] if len(rows) == 1 else rows, indent=1, ensure_ascii=False) + "\n"


def _row(heard: Heard, references: int, slips: tuple[Problem, ...]) -> dict[str, Any]:
    v, ring = heard.verdict, heard.ring
    out: dict[str, Any] = {
        "clip": heard.clip,
        "verdict": v.verdict if v else "retake",
        "do": v.do if v else " ".join(p.do for p in heard.problems),
        "reasons": list(v.reasons) if v else ["unreadable"],
        "p": None if v is None or v.p is None else round(v.p, 4),
        "modes": [_mode(f) for f in ring.families] if ring else [],
        "references": references,
        "dull_twice": v is not None and v.dull_twice,
        "note": TUNED,
        "problems": problems((*slips, *heard.problems)),
    }
    return out | _against(v)


def _mode(f: Family) -> dict[str, float]:
    best = f.strongest
    split = f.split_share if told_apart(f) else 0.0
    return {
        "hz": round(best.hz, 3), "hz_sd": round(best.hz_sd, 4), "decay_per_s": round(best.decay_per_s, 4),
        "decay_sd": round(best.decay_sd_per_s, 4), "split_share": round(split, 6),
    }  # fmt: skip


def _against(v: Verdict | None) -> dict[str, Any]:
    if v is None or v.compared is None:
        return {}
    c = v.compared
    faster = None if c.faster is None else round(exp(c.faster), 3)
    return {
        "dies_times_faster": faster,
        "split_share": round(c.split_share, 6),
        "missing_share": round(c.missing_share, 4),
        "matched": [{"hz": round(p.hz, 2), "good_hz": round(p.good_hz, 2), "decay_per_s": round(p.decay_per_s, 3), "good_decay_per_s": round(p.good_decay_per_s, 3)} for p in c.pairs],
    }  # fmt: skip


def text(heard: Sequence[Heard], references: int) -> str:
    """The same for a person."""
    return "\n".join(line for h in heard for line in [*_lines(h, references), ""]) + TUNED + "\n"


def _lines(heard: Heard, references: int) -> Iterator[str]:
    v = heard.verdict
    if v is None:
        yield f"{heard.clip}: RETAKE"
        return
    why = f" ({', '.join(v.reasons)})" if v.reasons else ""
    yield f"{heard.clip}: {v.verdict.upper()}{why}"
    yield f"  To do: {v.do}"
    yield from _compared(v, references)
    if heard.ring is not None:
        yield from _rang(heard.ring)


def _compared(v: Verdict, references: int) -> Iterator[str]:
    c = v.compared
    if c is None:
        return
    against = f"{references} good drum{'s' if references > 1 else ''}"
    chance = so_dull(c.p)
    if c.faster is not None:
        yield f"  Against {against}: it dies {exp(c.faster):.1f} times as fast; {chance} so dull or duller."
    else:
        yield f"  Against {against}: hardly a tone in common; {chance} so dull or duller."
    if c.split_hz is not None:
        yield f"  Split: {100 * c.split_share:.2f} % at {c.split_hz:.0f} Hz, where a good drum has one tone."
    yield f"  Missing: {100 * c.missing_share:.0f} % of what the good drums ring with."


def _rang(ring: Ring) -> Iterator[str]:
    if not ring.families:
        yield f"  {len(ring.taps)} taps; nothing rang that could be measured."
        return
    yield f"  {len(ring.taps)} taps, {len(ring.families)} tones. Hz, falls to a thousandth in [s], split:"
    for f in ring.families[:MOST_MODES]:
        best = f.strongest
        split = f"{100 * f.split_share:.2f} %" if told_apart(f) else "-"
        yield f"    {best.hz:8.1f} ± {2 * best.hz_sd:.2f}   {6.908 / best.decay_per_s:6.2f}   {split}"


def entry(heard: Sequence[Heard], goods: Sequence[Good], hung: bool) -> str:
    """The lines that go under a [[corner]] of a visit file, with what its picture needs."""
    return "".join(_entry(h, goods, hung) for h in heard)


def _entry(h: Heard, goods: Sequence[Good], hung: bool) -> str:
    v = h.verdict
    rows = [f"clip = {json.dumps(h.clip)}", f"verdict = {json.dumps(v.verdict if v else 'retake')}"]
    rows += [f"hung = {json.dumps(hung)}"] + ([] if v is None or v.p is None else [f"p = {v.p:.4f}"])
    for name, d in zip(("drawn", "good"), side_by_side(h, goods) or (), strict=False):
        level, tones = json.dumps(d.level_db), json.dumps(d.tones)
        rows.append(f"{name} = {{ every_s = {d.every_s}, level_db = {level}, tones = {tones} }}")
    return "\n".join(["[[corner.ring]]", *rows]) + "\n"


def list_text(drums: Sequence[GoodDrum]) -> str:
    """The shop's good drums, retired ones marked."""
    rows = []
    for d in drums:
        gone = f"  RETIRED: {d.retired}" if d.retired else ""
        named = ", ".join(w for w in (d.model, d.drum, d.diameter) if w)
        rows.append(f"{d.clip}  {named}  {d.date}  {d.by}: {d.check}{gone}")
    return "\n".join(rows) + "\n" if rows else "No good drum is kept here yet.\n"
