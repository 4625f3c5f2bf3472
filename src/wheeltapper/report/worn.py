"""One place of a unit over the years: its wear drawn, what is ahead of the part that is on, and the parts that are gone, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date as Date
from math import ceil, floor, log10

from wheeltapper.fleet import wear_band
from wheeltapper.fleet.ahead import Ahead
from wheeltapper.fleet.lives import Life
from wheeltapper.fleet.recent import own_rate
from wheeltapper.fleet.swaps import Swap
from wheeltapper.fleet.wear_band import Place
from wheeltapper.reference.tables import Tables
from wheeltapper.report import outlook, wording
from wheeltapper.report.wear_figure import Run, WearFigure, Wide, wear_figure
from wheeltapper.report.wording import Reader
from wheeltapper.units import MILE_M, from_si

BASIS = {
    "own records": "told from its own records alone: the faster of all of them and the last two, and the check at 80 % of what is left (C7, C8)",
    "pooled": "told from this shop's records together, which has shown itself on them",
    "faster lately": "its last records wear faster than the shop's would have it, so they count",
    "not enough to say": "its own records do not tell a rate; the check is that of the service for this use",
    "no limit known": "no limit of it is known, so no distance is told; the check is that of the service for this use",
}
MOST_TICKS = 3
FARTHEST = 1.5  # the line ahead is drawn at most so many times as far as the records reach
STEP_MI = 100  # distances are shown rounded down to this


@dataclass(frozen=True)
class Worn:
    """One kind of size at one wheel."""

    position: str
    what: str
    figure: str  # SVG; '' where nothing was read
    told: tuple[str, ...]  # of the part that is on: size, what is left, rate
    check: str
    basis: str
    late: bool
    readings: tuple[tuple[str, str], ...]  # day and size, of the part that is on
    gone: tuple[str, ...]  # parts that were here before
    asked: tuple[str, ...] = ()


def worn(
    mine: Sequence[Life],
    a: Ahead | None,
    shop: Ahead | None,
    swaps: Sequence[Swap],
    tables: Tables,
    reader: Reader,
) -> Worn:
    """A place's picture and words.

    Args:
        mine: all lives at it, the first one first.
        a: what is ahead of the one that is on, by its own records; None where none is on.
        shop: the same by the shop's records together, where that was asked for and may be used.
        swaps: those that touch this place.
        tables: for the rate that counts.
        reader: for lengths.

    Returns:
        The place.
    """
    on = next((life for life in mine if life.ended is None), None)
    said = shop or a
    position, what = mine[0].position, mine[0].what
    figure = wear_figure(_figure(mine, on, a, said, tables, reader))
    gone = tuple(_gone(life, reader) for life in mine if life.ended is not None)
    asked = tuple(
        f"Looks swapped with {s.other if s.position == position else s.position}: it is asked above."
        for s in swaps
    )
    if on is None or said is None:
        return Worn(
            position,
            what,
            figure,
            (),
            "",
            "The part that is on was never measured: no check is told from it.",
            False,
            (),
            gone,
            asked,
        )
    readings = (
        () if on.as_new else tuple((_day(r.date), _size(r.size_m, r.doubt_m, reader)) for r in on.records)
    )
    return Worn(position, what, figure, _told(on, said, reader), outlook.check_said(said), _basis(on, said), said.late, readings, gone, asked)  # fmt: skip


def looks_swapped(s: Swap, reader: Reader) -> str:
    """What the sizes of two places say, as a question."""
    sizes = [wording.rounded(r.size_m, reader) for r in (s.before, s.other_before, s.now, s.other_now)]
    return (
        f"by {wording.day(s.date)} they look swapped: {s.position} read {sizes[0]} and {s.other} {sizes[1]} before, "
        f"{sizes[2]} and {sizes[3]} then. Until somebody says so, {s.position} counts as another part, and "
        f"{s.other} as worn so fast."
    )


def _told(on: Life, a: Ahead, reader: Reader) -> tuple[str, ...]:
    last = on.records[-1]
    size = (
        "taken as new: nothing was read on it since it was fitted (assumed)"
        if on.as_new
        else f"last read {_size(last.size_m, last.doubt_m, reader)}"
    )
    rows = [
        size if a.goal is None else f"{size}; limit {wording.length(a.goal.limit_m, reader)} ({a.goal.grade})"
    ]
    if a.rate_share is not None:
        rows.append(f"wears {wording.wear_rate(a.rate_share, reader)}")
    if a.middle_mi is not None:
        sure = "" if a.near_mi is None else f", 90 % sure of {_miles(a.near_mi)} to {_miles(a.far_mi or 0.0)}"
        rows.append(f"about {_miles(a.middle_mi)} left from its last visit{sure}")
    return tuple(rows)


def _basis(on: Life, a: Ahead) -> str:
    said = BASIS[a.how]
    if a.how == "not enough to say" and not on.as_new:
        few = "one record" if len(on.records) == 1 else f"{len(on.records)} records"
        said = f"{few}: {said}"
    return said


def _gone(life: Life, reader: Reader) -> str:
    assert life.ended is not None
    first, last = life.records[0], life.records[-1]
    how = (
        "another one was fitted"
        if life.ended.how == "replaced"
        else "another part is there, or one from another place,"
    )
    by = f" by {_day(life.ended.date)}" if life.ended.date else ""
    sizes = f"{wording.rounded(first.size_m, reader)} to {wording.rounded(last.size_m, reader)}"
    many = f"{len(life.records)} records, {sizes}, over {_miles((last.at_m - first.at_m) / MILE_M)}"
    one = f"1 record, {wording.rounded(last.size_m, reader)}"
    return f"{how}{by}: {many if len(life.records) > 1 else one}"


def _size(size_m: float, doubt_m: float, reader: Reader) -> str:
    return f"{wording.rounded(size_m, reader)} ± {wording.length(doubt_m, reader).split()[0]}"


def _day(date: Date | None) -> str:
    return wording.day(date) if date else "no date"


def _miles(miles: float) -> str:
    return wording.miles(int(miles // STEP_MI * STEP_MI))


def _figure(
    mine: Sequence[Life], on: Life | None, a: Ahead | None, said: Ahead | None, tables: Tables, reader: Reader
) -> WearFigure:
    def wide(p: Place) -> Wide:
        low, middle, high = (from_si(v, reader.length) for v in (p.low_m, p.middle_m, p.high_m))
        return p.at_m / MILE_M, low, middle, high

    runs = tuple(
        Run(
            tuple((r.at_m / MILE_M, from_si(r.size_m, reader.length), from_si(r.doubt_m, reader.length)) for r in life.records),
            tuple(map(wide, wear_band.band(life))), "" if life.ended is None else life.ended.how,
        )
        for life in mine
    )  # fmt: skip
    ahead = _ahead(on, a, said, tables) if on is not None else ()
    goal = a.goal if a is not None else None
    limit = None if goal is None else from_si(goal.limit_m, reader.length)
    check = None if said is None or said.check_mi is None or not ahead else float(said.check_mi)
    rows, count = [wide(p) for p in ahead], mine[0].now.mileage.now
    sizes = _ticks(
        [s for run in runs for _, size, doubt in run.records for s in (size - doubt, size + doubt)]
        + ([] if limit is None else [limit])
    )
    along = [r[0] for run in runs for r in run.records] + [row[0] for row in rows]
    across = "miles on its count" if count is not None else "miles from the last visit"
    shift = count or 0.0
    return WearFigure(
        _in_words(mine, said, reader), runs, tuple(rows), limit, "" if goal is None else f"{limit:.{reader.digits}f}",
        check, across, tuple((at - shift, f"{at:,.0f}") for at in _ticks([v + shift for v in along])),
        tuple((s, f"{s:.{reader.digits}f}") for s in sizes),
    )  # fmt: skip


def _ahead(on: Life, a: Ahead | None, said: Ahead | None, tables: Tables) -> tuple[Place, ...]:
    """The line on to the limit or the check, whichever is farther, but not far beyond what the records reach."""
    rate = own_rate(on, tables)
    if rate is None or a is None or a.middle_mi is None:
        return ()
    reach = (on.records[-1].at_m - on.records[0].at_m) / MILE_M
    checked = said.check_mi if said is not None and said.check_mi is not None else 0
    return wear_band.ahead(on, rate.share, max(checked, min(a.middle_mi, FARTHEST * reach)) * MILE_M)


def _in_words(mine: Sequence[Life], said: Ahead | None, reader: Reader) -> str:
    rows = [f"{mine[0].position} {mine[0].what}"]
    for life in mine:
        sizes = ", ".join(f"{_day(r.date)} {wording.rounded(r.size_m, reader)}" for r in life.records)
        rows.append(f"{'now' if life.ended is None else 'gone'}: {sizes}")
    return "; ".join(rows + ([outlook.check_said(said)] if said is not None else []))


def _ticks(values: Sequence[float]) -> tuple[float, ...]:
    """A few round numbers within what is drawn."""
    low, high = min(values), max(values)
    if high <= low:
        return (low,)
    rough = (high - low) / MOST_TICKS
    unit = 10.0 ** floor(log10(rough))
    step = next(unit * k for k in (1, 2, 4, 5, 10) if unit * k >= rough)
    return tuple(step * k for k in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1))
