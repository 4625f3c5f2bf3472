"""Wheel against wheel: which ones stand out, and in what pattern (C11), and facts of the trailer's life."""

from __future__ import annotations

from statistics import median

from wheeltapper.findings.clamp import first_retorque, moved_again
from wheeltapper.findings.facts import Fact, Gauged, Key, said_yes
from wheeltapper.findings.thickness import NEW_LINING_M
from wheeltapper.measure import wear
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import axle_of, other_end, positions, side_of

APART = 0.35  # share of the wear allowance by which a wheel must lead to stand out
WORN = 0.5
BEARING_BAD = (
    "bearing.flaked",
    "bearing.etched",
    "bearing.heat_tint",
    "bearing.cage_bent",
    "bearing.edge_wear",
    "bearing.large_end_wear",
)


def find(visit: Visit, tables: Tables, gauged: list[Gauged], facts: dict[Key, Fact]) -> list[Fact]:
    """Facts that only several wheels together can state."""
    wheels = positions(visit.unit.axles)
    scores = {w: score for w in wheels if (score := _score(w, gauged)) is not None}
    ahead = _standing_out(scores)
    shape = _shape(ahead, wheels, scores)
    out = []
    for wheel in wheels:
        mate = scores.get(other_end(wheel))
        leads = None if wheel not in scores or mate is None else scores[wheel] - mate >= APART
        out.append(_fact(wheel, "pattern.ahead_of_mate", leads))
        for name in ("one_wheel", "one_side", "one_axle", "diagonal", "all_worn"):
            told = None if len(scores) < 2 else shape == name and (wheel in ahead or name == "all_worn")
            out.append(_fact(wheel, f"pattern.{name}", told))
        out += _of_life(wheel, visit, facts, first_retorque(tables))
    return out + _torn_and_slack(visit, wheels, facts)


def _fact(wheel: str, name: str, answer: bool | None) -> Fact:
    return Fact(wheel, name, answer, "worked out" if answer is not None else None, optional=True)


def _score(wheel: str, gauged: list[Gauged]) -> float | None:
    """Share of the wear allowance used by the most worn friction part of a wheel."""
    shares = []
    for g in gauged:
        if g.position != wheel:
            continue
        if g.used_share is not None:
            shares.append(g.used_share)
        elif g.what == "lining thickness":
            shares.append(wear.used_share(g.size, NEW_LINING_M, g.limit))
    return max(shares, default=None)


def _standing_out(scores: dict[str, float]) -> set[str]:
    if len(scores) < 2:
        return set()
    rest = {w: median(s for other, s in scores.items() if other != w) for w in scores}
    return {w for w, s in scores.items() if s - rest[w] >= APART}


def _shape(ahead: set[str], wheels: tuple[str, ...], scores: dict[str, float]) -> str:
    if (
        len(scores) == len(wheels)
        and min(scores.values()) >= WORN
        and max(scores.values()) - min(scores.values()) < APART
    ):
        return "all_worn"
    if len(ahead) == 1:
        return "one_wheel"
    if len(ahead) > 1 and len({axle_of(w) for w in ahead}) == 1:
        return "one_axle"
    if len(ahead) > 1 and len({side_of(w) for w in ahead}) == 1:
        return "one_side"
    return "diagonal" if len(ahead) == 2 else ""


def _of_life(wheel: str, visit: Visit, facts: dict[Key, Fact], first: float) -> list[Fact]:
    """What use and history say about a wheel."""
    unit = visit.unit
    mate = other_end(wheel)
    rusty = any(said_yes(facts, mate, name) for name in ("drum.rust_scuffs_off", "drum.shoe_print"))
    fitted = sum(1 for f in visit.fitted if f.position == wheel and f.part == "bearing-set")
    bad = any(said_yes(facts, wheel, name) for name in BEARING_BAD)
    late = any(
        f.what == "adjust" and (f.done > f.due if f.done is not None else not f.was_done)
        for f in visit.follow_up
    )
    retorques = [f for f in visit.follow_up if f.what == "retorque"]
    moved, again = any(f.moved for f in retorques), any(moved_again(f, first) for f in retorques)
    return [
        _fact(wheel, "pattern.mate_rusty", rusty),
        _fact(wheel, "unit.spindle_fitting", unit.spindle_fitting),
        _fact(wheel, "unit.salt_water", None if unit.use is None else unit.use == "salt water"),
        _fact(wheel, "unit.stood", None if unit.use is None else unit.use == "stored"),
        _fact(wheel, "adjust.overdue", late if visit.follow_up else None),
        _fact(wheel, "torque.moved", moved if visit.follow_up else None),
        _fact(wheel, "torque.moved_again", again if visit.follow_up else None),
        _fact(wheel, "bearing.third_time", bad and fitted >= 2),
    ]


def _torn_and_slack(visit: Visit, wheels: tuple[str, ...], facts: dict[Key, Fact]) -> list[Fact]:
    """Facts put together from the looks of one wheel, or of all."""
    slack = all(said_yes(facts, w, "shoes.far_from_drum") for w in wheels)
    fleet = slack and visit.unit.use in {"fleet", "rental"}
    faces = (
        "magnet_face.deep",
        "magnet_face.medium",
        "magnet_face.torn",
        "magnet_face.uneven",
        "magnet_face.gouged",
    )
    out = []
    for wheel in wheels:
        out.append(_fact(wheel, "magnet_face.worn", any(said_yes(facts, wheel, name) for name in faces)))
        out.append(_fact(wheel, "fleet.unadjusted", fleet))
    return out
