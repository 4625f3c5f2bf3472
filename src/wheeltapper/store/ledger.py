"""All visits of one unit, for looking back. What is needed of each is kept beside it as an extract, so that sixty visits open at once.

An extract is made when a trailer leaves, or when somebody first looks; it names the last entry it was made from, and is made
again when that moved on. It is never the record: the entries are. A unit is found by its tag as it is compared (unit_names.py).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import Q

from wheeltapper.fleet.lives import GROWS
from wheeltapper.flow import Examination, examine
from wheeltapper.records import Corner, Past, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.report.came import Called, Came, Shot
from wheeltapper.store.find import entries
from wheeltapper.store.fold import Folded, fold
from wheeltapper.store.models import Extract, KeptVisit
from wheeltapper.store.unit_names import plain

FORM = 1
SIZES = {*GROWS, "groove depth", "pit depth"}  # what wear and its limit are told from
KEPT = ("date", "technician", "scope", "unit", "mileage", "gauge", "limit", "limit_sought_by", "fitted", "done", "declined", "answer",
        "follow_up", "exit")  # fmt: skip
Known = set[tuple[str, str, str]]  # day, wheel and size that an earlier visit holds itself


def came(unit: str, tables: Tables, before: KeptVisit | None = None) -> tuple[Came, ...]:
    """Every visit of a unit that can be read, the first one first; what has no extract yet gets one.

    Args:
        unit: its tag or plate, however it is written.
        tables: for the calls of a visit that has no extract.
        before: only those that were opened before this one.
    """
    known: Known = set()
    out = []
    for kept in (k for k in visits_of(unit) if before is None or k.opened < before.opened):
        body = _body(kept, tables, known)
        if body:
            known |= _read(body)
            out.append(_came(kept, body))
    return tuple(sorted(out, key=lambda c: c.visit.date))


def every_unit(tables: Tables) -> Iterator[Visit]:
    """All visits of the shop, as far as wear is told from them; each unit under the name that it had last."""
    names = KeptVisit.objects.exclude(unit="").values_list("unit", flat=True).distinct()
    for tag in sorted({plain(name) for name in names} - {""}):
        rows = came(tag, tables)
        for row in rows:
            yield row.visit.model_copy(
                update={"unit": row.visit.unit.model_copy(update={"id": rows[-1].visit.unit.id})}
            )


def stamp(unit: str) -> tuple[tuple[str, str, str], ...]:
    """What changes whenever anything of the unit does: number, state and last entry of each of its visits."""
    return tuple((k.number, k.state, k.tail) for k in visits_of(unit, bare=True))


def visits_of(unit: str, bare: bool = False) -> list[KeptVisit]:
    """The kept visits of a unit, the first one first; `bare`: without their extracts."""
    tag = plain(unit)
    if not tag:
        return []
    rows = KeptVisit.objects.exclude(unit="").defer("summary").order_by("opened", "pk")
    rows = rows if bare else rows.select_related("extract")
    return [k for k in rows.filter(Q(tag=tag) | Q(tag="")) if plain(k.unit) == tag]


def lay(kept: KeptVisit, folded: Folded, examination: Examination | None) -> None:
    """Make a visit's extract while its examination is at hand, as its trailer leaves."""
    if examination is not None:
        before = [v for v in visits_of(examination.visit.unit.id) if v.opened < kept.opened]
        known: Known = {place for v in before if _fresh(v) for place in _read(v.extract.body)}
        _write(kept, _extract(folded, examination, known))


def _fresh(kept: KeptVisit) -> bool:
    made = getattr(kept, "extract", None)
    return made is not None and (made.tail, made.form) == (kept.tail, FORM)


def _body(kept: KeptVisit, tables: Tables, known: Known) -> dict[str, Any]:
    """A visit's extract, made now where it is missing or behind; empty where the visit cannot be read."""
    if _fresh(kept):
        body: dict[str, Any] = kept.extract.body
        return body
    folded = fold(entries(kept))
    if folded.visit is None:
        return {}
    made = _extract(folded, examine(folded.visit, tables, folded.visit.date, folded.problems), known)
    _write(kept, made)
    return made


def _write(kept: KeptVisit, body: dict[str, Any]) -> None:
    Extract.objects.update_or_create(visit=kept, defaults={"tail": kept.tail, "form": FORM, "body": body})


def _extract(folded: Folded, ex: Examination, known: Known) -> dict[str, Any]:
    visit = ex.visit
    told = {name: getattr(visit, name) for name in KEPT}
    corners = tuple(_corner(c) for c in visit.corner)
    slim = Visit.model_construct(**told, corner=corners, history=tuple(_untold(visit.history, known)))
    rung = {c.position: r.verdict for c in visit.corner for r in c.ring if r.drawn is not None}
    photos = [f for e, f in folded.files if e.kind == "photo" and f.position and f.check]
    return {
        "visit": slim.model_dump(mode="json", exclude_defaults=True),
        "calls": [[c.position, c.part, c.call, list(c.because)] for c in ex.calls if c.call != "keep"],
        "kept": sum(c.call == "keep" for c in ex.calls),
        "shots": [[f.position, f.check, f.sha256] for f in photos],
        "rung": sorted(rung.items()),
    }  # fmt: skip


def _corner(corner: Corner) -> Corner:
    return Corner(
        position=corner.position, by=corner.by, reading=tuple(r for r in corner.reading if r.what in SIZES)
    )


def _untold(history: Iterable[Past], known: Known) -> Iterator[Past]:
    """What is told of earlier visits, without what those visits hold themselves: each carries all before it on."""
    return (p for p in history if p.date is None or (p.date.isoformat(), p.position, p.what) not in known)


def _read(body: dict[str, Any]) -> Known:
    visit = body["visit"]
    corners = visit.get("corner", ())
    return {(visit["date"], c["position"], r["what"]) for c in corners for r in c.get("reading", ())}


def _came(kept: KeptVisit, body: dict[str, Any]) -> Came:
    return Came(
        kept.number, kept.state, Visit.model_validate(body["visit"]),
        tuple(Called(position, part, call, tuple(rules)) for position, part, call, rules in body["calls"]), body["kept"],
        tuple(Shot(*row) for row in body["shots"]), tuple((position, verdict) for position, verdict in body["rung"]),
    )  # fmt: skip
