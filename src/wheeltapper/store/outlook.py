"""What the shop's own kept visits say of wear: pooled once a day beside the pages, kept in the shop's folder, told for one visit.

The pool is made from the visits and can always be made again, so it is no part of a backup. Nothing here ever waits for it: where
there is none yet, each part goes by its own records, and the sheet says so.
"""

from __future__ import annotations

import os
import threading
from collections import OrderedDict
from datetime import date as Date
from hashlib import sha256
from pathlib import Path
from threading import Event

from django.conf import settings
from django.utils.timezone import localdate

from wheeltapper.fleet.ahead import Ahead
from wheeltapper.fleet.foretell import Pooled, foretold_of
from wheeltapper.fleet.outlook import ahead_of, look_ahead
from wheeltapper.fleet.pooled_text import named, pooled_of, text_of
from wheeltapper.plan.foresight import Foresight
from wheeltapper.records import Visit
from wheeltapper.reference.house import load
from wheeltapper.reference.tables import Tables
from wheeltapper.store import ledger
from wheeltapper.store.models import KeptVisit

NOW, BEFORE = (
    "wear-ahead.json",
    "wear-ahead-before.json",
)  # a page opened before midnight is made again with the one before
FIRST_S, PAUSE_S = 30.0, 600.0
REMEMBERED = 64  # visits, each with those before it

_lock = threading.Lock()
_earlier: OrderedDict[tuple[int, str, str, tuple[str, ...]], tuple[Visit, ...]] = OrderedDict()
_pools: dict[tuple[str, int, int], Pooled | None] = {}


def pools() -> tuple[Pooled, ...]:
    """The pool that is used, and the one before it."""
    return tuple(p for name in (NOW, BEFORE) if (p := _read(Path(settings.SHOP_FOLDER) / name)) is not None)


def foretold(kept: KeptVisit, visit: Visit, tables: Tables, pool: Pooled | None) -> Foresight | None:
    """What a pool foretells of a visit's parts, from it and the unit's visits before it."""
    if pool is None:
        return None
    speaks = any(f.pool is not None for f in pool.families)
    return foretold_of(visit, earlier(kept, visit, tables) if speaks else (), pool, tables)


def ahead(
    kept: KeptVisit, visit: Visit, tables: Tables, pool: Pooled | None, miles: float
) -> tuple[Ahead, ...]:  # fmt: skip
    """All that is ahead of a visit's parts, and how likely each limit is before so many miles; by their own records without a pool."""
    known = [*(v for v in earlier(kept, visit, tables) if v.date <= visit.date), visit]
    families, on = (pool.families, pool.on) if pool else ((), visit.date)
    rows = ahead_of(known, families, on, tables, visit.date, miles)
    return tuple(a for a in rows if a.unit == visit.unit.id)


def earlier(kept: KeptVisit, visit: Visit, tables: Tables) -> tuple[Visit, ...]:
    """The unit's visits that were opened before this one, under the name that it has on this one."""
    rows = [k for k in ledger.visits_of(visit.unit.id, bare=True) if k.opened < kept.opened]
    key = kept.pk, visit.unit.id, tables.fingerprint, tuple(k.tail for k in rows)
    with _lock:
        if key in _earlier:
            _earlier.move_to_end(key)
            return _earlier[key]
    came = [c.visit for c in ledger.came(visit.unit.id, tables, kept)] if rows else []
    found = tuple(
        v.model_copy(update={"unit": v.unit.model_copy(update={"id": visit.unit.id})}) for v in came
    )
    with _lock:
        _earlier[key] = found
        while len(_earlier) > REMEMBERED:
            _earlier.popitem(last=False)
    return found


def pool_them(tables: Tables, day: Date) -> Pooled | None:
    """Pool the shop's records of before a day and keep that; None where it has no visits, or nothing came since the last time."""
    newest, last = made_from(), next(iter(pools()), None)
    if not newest or (last is not None and (last.newest, last.tables) == (newest, tables.fingerprint)):
        return None
    known = [v for v in ledger.every_unit(tables) if v.date < day]  # of the day itself more may still come
    made = named(
        Pooled(look_ahead(known, tables, day).families, day, len(known), newest, tables.fingerprint, "")
    )
    _keep(text_of(made))
    return made


def made_from() -> str:
    """One hash of the newest entry of every visit; '' where there is none."""
    rows = list(KeptVisit.objects.exclude(tail="").order_by("pk").values_list("number", "tail"))
    return sha256(repr(rows).encode()).hexdigest() if rows else ""


def keep_pooled(stop: Event) -> None:
    """Until the server ends: as soon as there are visits, then on the first occasion of each day."""
    stop.wait(FIRST_S)
    while not stop.is_set():
        day, last = localdate(), next(iter(pools()), None)
        if last is None or last.on != day:
            pool_them(_tables(), day)
        stop.wait(PAUSE_S)


def _tables() -> Tables:
    house = settings.HOUSE_FOLDER
    return load(house if house.is_dir() else None)


def _keep(text: str) -> None:
    """Under its name only once it is whole."""
    folder = Path(settings.SHOP_FOLDER)
    part = folder / f"{NOW}.part"
    with part.open("w", encoding="utf-8", newline="\n") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    if (folder / NOW).is_file():
        (folder / NOW).replace(folder / BEFORE)
    part.replace(folder / NOW)


def _read(path: Path) -> Pooled | None:
    """A kept pool; read again when the file is another."""
    try:
        stat = path.stat()
        key = str(path), stat.st_mtime_ns, stat.st_size
        with _lock:
            if key not in _pools:
                _forget(_pools, str(path))
                _pools[key] = pooled_of(path.read_text("utf-8"))
            return _pools[key]
    except (OSError, UnicodeDecodeError):  # not there, or no text: the shop has none, and makes one
        return None


def _forget(known: dict[tuple[str, int, int], Pooled | None], path: str) -> None:
    for key in [k for k in known if k[0] == path]:
        del known[key]
