"""One place of a unit over the years: its wear drawn, what is ahead of the part that is on, and the parts that are gone, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date as Date
from math import ceil, floor, log10

from wheeltapper.fleet import wear_band
from wheeltapper.fleet.ahead import Ahead
from wheeltapper.fleet.groups import goal_m
from wheeltapper.fleet.lives import Life
from wheeltapper.fleet.swaps import Swap
from wheeltapper.fleet.wear_band import Place
from wheeltapper.report import outlook, wording
from wheeltapper.report.wear_figure import Run, WearFigure, Wide, wear_figure
from wheeltapper.report.wording import Reader
from wheeltapper.units import MILE_M, from_si, to_si

BASIS = {
    "own records": "told from its own records alone: the faster of all of them and the last two, and the check at 80 % of what is left (C7, C8).",
    "pooled": "told from this shop's records together, which has shown itself on them.",
    "faster lately": "its last records wear faster than the shop's would have it, so they count.",
    "not enough to say": "its own records do not tell a rate; the check is that of the service for this use.",
    "no limit known": "no limit of it is known, so no distance is told; the check is that of the service for this use.",
}
MOST_TICKS = 3
FARTHEST = 1.5  # the line ahead is drawn at most so many times as far as the records reach
STEP_MI = 100  # distances are shown rounded down to this


@dataclass(frozen=True)
class Worn:
    """One kind of size at one wheel."""

    position: str
    what: str
    figure: str  # SVG
    told: tuple[str, ...] = ()  # of the part that is on: size, what is left, rate
    check: str = ""
    basis: str = "The part that is on was never measured: no check is told from it."
    late: bool = False
    readings: tuple[tuple[str, str], ...] = ()  # day and size, of the part that is on
    gone: tuple[str, ...] = ()  # parts that were here before
    asked: tuple[str, ...] = ()


def worn(mine: Sequence[Life], said: Ahead | None, swaps: Sequence[Swap], reader: Reader) -> Worn:
    """A place's picture and words.

    Args:
        mine: all lives at it, the first one first.
        said: what is ahead of the one that is on; None where none is on.
        swaps: those that touch this place.
        reader: for lengths.

    Returns:
        The place.
    """
    on = next((life for life in mine if life.ended is None), None)
    position, what = mine[0].position, mine[0].what
    bare = Worn(
        position, what, wear_figure(_figure(mine, on, said, reader)), gone=tuple(_gone(x, reader) for x in mine if x.ended is not None),
        asked=tuple(f"Looks swapped with {s.other if s.position == position else s.position}: it is asked above." for s in swaps),
    )  # fmt: skip
    if on is None or said is None:
        return bare
    return replace(
        bare, told=_told(on, said, reader), check=outlook.check_said(said), basis=_basis(on, said), late=said.late,
        readings=() if on.as_new else tuple((_day(r.date), _size(r.size_m, r.doubt_m, reader)) for r in on.records),
    )  # fmt: skip


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
        rows += _window(on, a) if a.near_mi is None else ()
    return tuple(rows)


def _window(on: Life, a: Ahead) -> Iterator[str]:
    """Where its own band reaches the limit, from the last visit on; what may not last to the check is said."""
    early, late = wear_band.window(on, a.rate_share or 0.0, goal_m(on, a.goal))
    near = max(0.0, early / MILE_M)
    if near < STEP_MI:
        yield "its band, of nine readings in ten, reaches the limit already: look now"
        return
    far = "no distance that can be told" if late is None else _miles(late / MILE_M)
    yield f"its band, of nine readings in ten, reaches the limit between {_miles(near)} and {far}"
    if near < (a.check_mi or 0):
        yield f"it may not last to that check: look by {_miles(near)}"


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


def _figure(mine: Sequence[Life], on: Life | None, said: Ahead | None, reader: Reader) -> WearFigure:
    runs = tuple(_run(life, reader) for life in mine)
    rows = tuple(_wide(p, reader) for p in _ahead(on, said)) if on is not None and said is not None else ()
    goal = said.goal if said is not None else None
    limit = None if goal is None else from_si(goal.limit_m, reader.length)
    sizes = [s for run in runs for _, size, doubt in run.records for s in (size - doubt, size + doubt)]
    along = [r[0] for run in runs for r in run.records] + [row[0] for row in rows]
    count = mine[0].now.mileage.now
    return WearFigure(
        told=_in_words(mine, said, reader), runs=runs, ahead=rows, limit=limit,
        limit_said="" if limit is None else _lettered(limit, reader),
        check=None if said is None or said.check_mi is None else float(said.check_mi),
        across="miles from the last visit" if count is None else "miles on its count",
        ticks=tuple((at - (count or 0), f"{at:,.0f}") for at in _ticks([v + (count or 0) for v in along])),
        sizes=tuple((s, _lettered(s, reader)) for s in _ticks(sizes if limit is None else [*sizes, limit])),
    )  # fmt: skip


def _run(life: Life, reader: Reader) -> Run:
    def read(size_m: float) -> float:
        return from_si(size_m, reader.length)

    records = tuple((r.at_m / MILE_M, read(r.size_m), read(r.doubt_m)) for r in life.records)
    line = tuple(_wide(p, reader) for p in wear_band.band(life))
    return Run(records, line, life.ended is not None, not life.as_new)


def _wide(p: Place, reader: Reader) -> Wide:
    low, middle, high = (from_si(v, reader.length) for v in (p.low_m, p.middle_m, p.high_m))
    return p.at_m / MILE_M, low, middle, high


def _lettered(size: float, reader: Reader) -> str:
    return wording.length(to_si(size, reader.length), reader).split()[0]


def _ahead(on: Life, said: Ahead) -> tuple[Place, ...]:
    """The line on to the check or the limit, whichever is farther, but not far beyond what the records reach."""
    if not said.rate_share or said.middle_mi is None:
        return ()
    reach = (on.records[-1].at_m - on.records[0].at_m) / MILE_M
    to_m = max(said.check_mi or 0, min(said.middle_mi, FARTHEST * reach)) * MILE_M
    if said.slow_share is None or said.fast_share is None:
        return wear_band.ahead(on, said.rate_share, to_m)
    rate = said.rate_share
    return wear_band.fan(on, (min(said.slow_share, rate), rate, max(said.fast_share, rate)), to_m)


def _in_words(mine: Sequence[Life], said: Ahead | None, reader: Reader) -> str:
    rows = [f"{mine[0].position} {mine[0].what}"]
    for life in mine:
        sizes = ", ".join(f"{_day(r.date)} {wording.rounded(r.size_m, reader)}" for r in life.records)
        kind = "taken as new" if life.as_new else "now" if life.ended is None else "gone"
        rows.append(f"{kind}: {sizes}")
    return "; ".join(rows + ([outlook.check_said(said)] if said is not None else []))


def _ticks(values: Sequence[float]) -> tuple[float, ...]:
    """A few round numbers within what is drawn."""
    low, high = min(values), max(values)
    if high <= low:
        return (low,)
    rough = (high - low) / MOST_TICKS
    unit = 10.0 ** floor(log10(rough))
    step = next(unit * k for k in (1, 2, 2.5, 5, 10) if unit * k >= rough)
    return tuple(step * k for k in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1))
