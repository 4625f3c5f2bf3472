"""The examination as JSON, for programs: the shape is kept, fields may be added."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from typing import Any

from wheeltapper.disposition.causes import Likely
from wheeltapper.disposition.decide import Call
from wheeltapper.findings.facts import Gauged
from wheeltapper.flow import Examination
from wheeltapper.plan.foresight import Foreseen, Foresight
from wheeltapper.plan.quote import Choice, Line, Option
from wheeltapper.plan.schedule import Next
from wheeltapper.problems import Problem
from wheeltapper.record import Record
from wheeltapper.reference.metal import Bearing, Material
from wheeltapper.report import estimate, wording
from wheeltapper.report.sheet import foreseen
from wheeltapper.report.wording import Reader
from wheeltapper.report.worked import notes
from wheeltapper.units import MILE_M

NAMED = (Bearing, Material)


def as_json(ex: Examination, reader: Reader = wording.INCH) -> str:
    """The whole examination as JSON text, the same bytes for the same examination."""
    return json.dumps(as_dict(ex, reader), indent=1, ensure_ascii=False) + "\n"


def as_dict(ex: Examination, reader: Reader) -> dict[str, Any]:
    """The whole examination as plain data."""
    quote = ex.quote
    return {
        "unit": ex.visit.unit.id,
        "date": ex.visit.date.isoformat(),
        "release": {"state": ex.release.state, "because": list(ex.release.because)},
        "parts": [_part(c, ex, reader) for c in ex.calls],
        "sizes": [_size(g, ex, reader) for g in ex.findings.gauged],
        "causes": [_cause(c, ex) for c in ex.causes],
        "worked": _worked(ex, reader),
        "quote": {
            "booked": [_line(row) for row in quote.booked],
            "booked_cents": quote.booked_cents,
            "must": [_line(row) for row in quote.must],
            "must_cents": quote.must_cents,
            "choice": [_choice(c, ex) for c in quote.choices],
            "all_choices_cents": quote.all_choices_cents,
            "not_needed": [f"{position} {part}" for position, part in quote.not_needed],
            "currency": quote.currency,
        },
        "estimate": estimate.as_plain(ex),
        "next": [_next(n) for n in ex.next],
        "gaps": [{"position": g.position, "check": g.check, "why": g.why} for g in ex.findings.gaps],
        "problems": problems(ex.problems),
        "tables": ex.tables.fingerprint,
        "foresight": _foresight(ex.foresight),
    }


def problems(rows: tuple[Problem, ...]) -> list[dict[str, str]]:
    """Problems as plain data."""
    return [{"where": p.where, "what": p.what, "do": p.do} for p in rows]


def _part(call: Call, ex: Examination, reader: Reader) -> dict[str, Any]:
    return {
        "position": call.position, "part": call.part, "call": call.call, "because": list(call.because), "rules": list(call.rules),
        "missing": list(wording.missing_checks(call.missing, ex.tables)), "also": list(call.milder), "persons": list(call.persons),
        "facts": list(wording.facts(call.facts, ex.tables, reader)), "why": wording.why(call, ex.tables, reader),
    }  # fmt: skip


def _size(g: Gauged, ex: Examination, reader: Reader) -> dict[str, Any]:
    ahead = foreseen(g, ex)
    return {
        "position": g.position, "part": g.part, "what": g.what, "size_m": round(g.size, 9), "doubt_m": round(g.doubt, 9),
        "limit_m": round(g.limit, 9), "sense": "at least" if g.least else "at most", "grade": g.grade, "limit_from": g.limit_from, "limit_id": g.limit_id,
        "other_limits": list(g.also), "verdict": g.verdict, "conform_share": round(g.conform_share, 6),
        "used_share": None if g.used_share is None else round(g.used_share, 6), "records": g.records, "faster": g.faster,
        "remaining_mi": None if g.remaining_m is None else round(g.remaining_m / MILE_M), "interim_mi": g.interim_mi,
        "foreseen": None if ahead is None else _foreseen(ahead),
        "say": f"{wording.held_against(g, reader)}: {wording.standing(g)}; {wording.remaining(g, ahead)}",
    }  # fmt: skip


def _foreseen(row: Foreseen) -> dict[str, Any]:
    return {
        "prediction": row.prediction, "remaining_mi": row.middle_mi, "remaining_from_mi": row.near_mi, "remaining_to_mi": row.far_mi,
        "check_mi": row.check_mi,
    }  # fmt: skip


def _foresight(of: Foresight | None) -> dict[str, Any] | None:
    if of is None:
        return None
    return {
        "fingerprint": of.fingerprint, "as_of": of.on.isoformat(), "visits": of.visits, "pool": of.pool, "say": wording.foresight(of),
    }  # fmt: skip


def _cause(c: Likely, ex: Examination) -> dict[str, Any]:
    return {
        "id": c.id, "position": c.position, "rank": c.rank, "certain": c.certain, "say": wording.cause(c, ex.tables),
        "for": [wording.fact_name(n, ex.tables) for n in c.supports], "against": [wording.fact_name(n, ex.tables) for n in c.against],
        "separate_by": c.row.separate_by, "prevent": c.row.prevent, "work": c.row.work,
    }  # fmt: skip


def _worked(ex: Examination, reader: Reader) -> list[dict[str, Any]]:
    """Every computation with its results in SI; `say` is empty where it does not matter."""
    said = {id(n.worked): n.lines for n in notes(ex, reader)}
    return [
        {"position": w.position, "part": w.part, "what": w.kind, "at": w.at, "results": _plain(w.result), "say": list(said.get(id(w), ()))}
        for w in ex.findings.worked
    ]  # fmt: skip


def _plain(value: Any) -> Any:
    """A record of results as plain data; numbers to twelve digits, a bearing or a material by its name."""
    if isinstance(value, NAMED):
        return value.name
    if isinstance(value, Record):
        return value.model_dump(mode="json", exclude_none=True)
    if is_dataclass(value):
        return {f.name: _plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, tuple | list):
        return [_plain(v) for v in value]
    if isinstance(value, float):
        return float(f"{value:.12g}")
    return value.tolist() if hasattr(value, "tolist") else value


def _line(row: Line) -> dict[str, Any]:
    hours = {} if row.hours is None else {"hours": float(row.hours)}
    return {
        "code": row.code,
        "qty": row.qty,
        **hours,
        "cents": row.cents,
        "say": row.say,
        "for": list(row.rules),
        "at": list(row.places),
    }


def _choice(c: Choice, ex: Examination) -> dict[str, Any]:
    return {
        "id": c.id, "part": c.part, "for": list(c.rules), "answer": c.answer,
        "places": [f"{position} {part}" for position, part in c.places], "options": [_option(o, c, ex) for o in c.options],
    }  # fmt: skip


def _option(o: Option, c: Choice, ex: Examination) -> dict[str, Any]:
    say = "replace now" if o.what == "now" else wording.wait_until(c, ex.next)
    later = (
        {} if o.what == "now" else {"later": [_line(row) for row in o.later], "later_cents": o.later_cents}
    )
    return {"say": say, "lines": [_line(row) for row in o.lines], "cents": o.cents, **later}


def _next(n: Next) -> dict[str, Any]:
    row = {
        "what": n.what,
        "miles": n.miles,
        "date": n.date.isoformat() if n.date else None,
        "every": n.every,
        "position": n.position,
    }
    return row | {"at_miles": n.at_miles, "basis": n.basis, "prediction": n.prediction}
