"""Rows and sentences that every computation of form shares: doubts, waves, places to touch, what stays unseen."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from wheeltapper.measure.harmonics import Blind, Harmonics
from wheeltapper.measure.readings import Place, less_m, more_m
from wheeltapper.problems import NoAnswerError
from wheeltapper.workout.formula import Ask, Given, Result
from wheeltapper.workout.inputs import not_negative
from wheeltapper.workout.text import inches

LISTED = 15  # waves listed one by one
LOBES = {2: "oval", 3: "three-lobed", 4: "four-lobed", 5: "five-lobed"}
DOUBT = Ask("doubt", "length", "the gauge's expanded uncertainty of one reading, k = 2", "U", default="")
GROWS = Ask(
    "grows",
    "word",
    "does the reading grow as the surface stands further out from the axis or hub, or further in",
    default="outward",
    words=("outward", "inward"),
)


def doubt_of(g: Given) -> float:
    """The gauge's expanded uncertainty, zero where none was given."""
    not_negative(g, "doubt")
    return g.number("doubt") if g.has("doubt") else 0.0


def signed(g: Given, name: str) -> tuple[float, ...]:
    """Readings turned so that more is further out."""
    return tuple(-v for v in g.many(name)) if g["grows"] == "inward" else g.many(name)


def places_apart(g: Given, *names: str) -> tuple[tuple[float, ...], ...]:
    """Where readings were taken, refused where all are at one same place: they say nothing of a form."""
    at = {name: g.many(name) for name in names if g.many(name)}
    if at and all(len(values) > 1 and len({round(v, 9) for v in values}) == 1 for values in at.values()):
        count = max(map(len, at.values()))
        raise NoAnswerError(
            f"all {count} readings were taken at one same place", "turn the part or the gauge between readings, and write where each was read."
        )  # fmt: skip
    return tuple(g.many(name) for name in names)


def span(doubt: float, count: int) -> list[Result]:
    """How far a peak-to-valley may be off, each way."""
    if not doubt:
        return []
    return [
        Result("may_be_more", more_m(doubt), "in", "a peak to valley may be so much more: sqrt(2) U, one-sided at k = 2"),
        Result("may_be_less", less_m(doubt, count), "in", "or so much less: what the gauge alone makes of a true part from so many readings"),
    ]  # fmt: skip


def noise_words(size: float, doubt: float, count: int) -> list[str]:
    """A sentence where the size is inside what the gauge alone makes."""
    noise = less_m(doubt, count)
    if not doubt or size > noise:
        return []
    return [f"{inches(size)} proves no fault of form: with this gauge and so many readings a perfect part may show {inches(noise)}."]  # fmt: skip


def wave_rows(waves: Harmonics, told: bool) -> list[Result]:
    """Rows of each wave; with their doubts where the gauge's is told."""
    shown = waves.lobes[:LISTED]
    if not shown:
        return []
    doubts = [
        Result("amplitude_doubts", tuple(w.doubt_m for w in shown), "in", "of each, k = 2"),
        Result("angle_doubts", tuple(w.angle_doubt_rad for w in shown), "deg", "of each high place; half a lobe: not known"),
    ]  # fmt: skip
    return [
        Result("highest", waves.highest, "", "most lobes that these readings can tell apart"),
        Result("lobes", tuple(float(w.order) for w in shown), "", f"number of lobes of each wave of the radius, up to {LISTED} of them"),
        Result("amplitudes", tuple(w.amplitude_m for w in shown), "in", "of each: half its peak to valley"),
        Result("phases", tuple(w.phase_rad for w in shown), "deg", "of each, as cos(lobes x angle - phase)"),
        Result("high_angles", tuple(w.angle_rad for w in shown), "deg", "first high place of each"),
        Result("shortfalls", tuple(w.shortfall_m for w in shown), "in", "of each, what its crest may hide between two readings, at most"),
        *(doubts if told else []),
    ]  # fmt: skip


def place_rows(high: Sequence[Place], low: Sequence[Place]) -> list[Result]:
    """Rows of places to touch."""
    return [
        Result("high_places", tuple(p.clock for p in high), "", "places furthest out, highest first"),
        Result("low_places", tuple(p.clock for p in low), "", "places furthest in, lowest first"),
    ]


def touch_words(out: str, into: str, high: Sequence[Place], low: Sequence[Place]) -> list[str]:
    """Where to put the finger."""
    if not high or not low:
        return ["No place stands out: all readings lie on one true form."]
    far, near = (_listed([p.clock for p in places[:4]]) for places in (high, low))
    return [
        f"It stands furthest {out} at {far}, furthest {into} at {near} (stud 1 at 12:00, seen from outside)."
    ]


def blind_rows(blind: Blind) -> list[Result]:
    """Rows of lobes that stay unseen."""
    return [
        Result("blind_lobes", tuple(map(float, blind.never)), "", "up to 12: these are never seen from these places"),
        Result("chance_lobes", tuple(map(float, blind.by_chance)), "", "up to 12: these are seen only when turned the right way"),
    ]  # fmt: skip


def few_words(waves: Harmonics, blind: Blind) -> list[str]:
    """What so many places tell apart, and what they miss."""
    says = []
    if waves.highest < LISTED:
        says.append(f"These places tell up to {_counted(waves.highest)} apart; more of them pass for fewer.")
    if blind.never:
        says.append(f"Of up to 12 lobes, they never see {_listed(map(str, blind.never))}.")
    if blind.by_chance:
        says.append(f"They see {_listed(map(str, blind.by_chance))} lobes only when these happen to meet the readings.")  # fmt: skip
    return says


def _listed(words: Iterable[str]) -> str:
    """'3:00', '3:00 and 9:00', '1, 2 and 3'."""
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def _counted(lobes: int) -> str:
    return "one lobe (off-centre)" if lobes == 1 else f"{lobes} lobes"
