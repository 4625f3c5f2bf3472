"""Where a unit stands after a visit, on one line: its worst wheel by call and by wear, what was spent, and what patterns need of it."""

from __future__ import annotations

from typing import Any

from wheeltapper.disposition.decide import Call
from wheeltapper.disposition.release import is_replaced
from wheeltapper.fleet.patterns import PAIRED, Seen, seen
from wheeltapper.flow import Examination
from wheeltapper.records import Visit
from wheeltapper.words import CALLS

FACTS = ("axles", "brake", "drum", "bolt_pattern", "studs", "axle_rating_lb", "use")


def stands(ex: Examination, number: str) -> dict[str, Any]:
    """A visit's line for the board, as plain data.

    `worst`: wheel, part and call that is not put right yet; `used`: wheel, size and share of its wear that is gone; `cents`:
    what its estimate comes to, with fees and taxes and the choices that the owner took; None where a price is missing.
    """
    mine = seen(ex, number)
    open_ = [c for c in ex.calls if not _put_right(c, ex.visit)]
    worst = max(open_, key=_weight, default=None)
    worn = [
        g
        for g in ex.findings.gauged
        if g.used_share is not None and not is_replaced((g.position, g.part), ex.visit)
    ]
    most = max(worn, key=lambda g: g.used_share or 0.0, default=None)
    return {
        "worst": [worst.position, worst.part, worst.call] if worst and worst.call != "keep" else None,
        "used": [most.position, most.what, round(most.used_share or 0.0, 3)] if most else None,
        "cents": ex.estimate.least.total_cents, "bearings": list(mine.bearings), "slack": list(mine.slack),
        "ahead": [list(a) for a in mine.ahead],
        "facts": {k: v for k, v in ex.visit.unit.model_dump(mode="json", exclude_none=True).items() if k in FACTS},
    }  # fmt: skip


def _weight(call: Call) -> tuple[int, bool, bool]:
    """By call; of equals one that stands for itself before one that only goes with another, and a seal, which is new anyway, last."""
    return CALLS.index(call.call), call.part != "seal", any(not r.startswith(PAIRED) for r in call.because)


def _put_right(call: Call, visit: Visit) -> bool:
    sheet = visit.return_sheet
    if (
        call.part == "seal"
        and sheet is not None
        and any(w.position == call.position and w.new_seal for w in sheet.wheel)
    ):
        return True
    done = any((d.position, d.part) == call.place for d in visit.done)
    return is_replaced(call.place, visit) or (call.call == "dress" and done)


def seen_of(number: str, day: Any, line: dict[str, Any]) -> Seen:
    """What a kept line gives to a pattern."""
    return Seen(
        number,
        day,
        tuple(line["bearings"]),
        tuple(line["slack"]),
        tuple((a, w, s, g) for a, w, s, g in line["ahead"]),
    )
