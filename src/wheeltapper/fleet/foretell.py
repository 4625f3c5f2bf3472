"""A shop's pool as it is kept, and what it foretells of one visit's parts: the Foresight that is handed to `examine`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date as Date

from wheeltapper.fleet.ahead import Ahead
from wheeltapper.fleet.outlook import Family, ahead_of
from wheeltapper.plan.foresight import OWN, POOLED, Foreseen, Foresight, Prediction
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables

AS: dict[str, Prediction] = {"pooled": POOLED, "faster lately": OWN}  # the late slope is the part's own (C7)


@dataclass(frozen=True)
class Pooled:
    """What the records of a shop's lives said on one day."""

    families: tuple[Family, ...]
    on: Date
    visits: int
    newest: str  # hash of the newest entry of each visit, together: what it was made from
    tables: str  # fingerprint of the tables it was made with
    fingerprint: str


def foretold_of(visit: Visit, earlier: Iterable[Visit], pooled: Pooled, tables: Tables) -> Foresight:
    """What is foretold of a visit's parts, as of the day of that visit.

    Args:
        visit: the visit; the unit's later ones say nothing here.
        earlier: the unit's visits before it, in any order.
        pooled: of the shop.
        tables: ours, with the shop's laid over them.

    Returns:
        A row for each part that the pool speaks of.
    """
    known = [*(v for v in earlier if v.date <= visit.date), visit]
    rows = ahead_of(known, pooled.families, pooled.on, tables, visit.date)
    kinds = tuple((f.what, f.pool is not None, f.proof.why) for f in pooled.families)
    parts = tuple(
        sorted((p for a in rows if (p := _part(a)) is not None), key=lambda p: (p.position, p.what))
    )
    return Foresight(parts, kinds, pooled.on, pooled.visits, pooled.fingerprint)


def _part(a: Ahead) -> Foreseen | None:
    """A row for a part that was read; one fitted on this visit is not the one that the visit's readings are of."""
    if (
        a.records == 0
        or a.how not in AS
        or a.near_mi is None
        or a.middle_mi is None
        or a.far_mi is None
        or a.check_mi is None
    ):
        return None
    ends = int(a.near_mi), int(a.middle_mi), int(a.far_mi)
    return Foreseen(a.position, a.what, AS[a.how], a.records, *ends, a.check_mi, a.check_date)
