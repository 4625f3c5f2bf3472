"""The nuts of a wheel: the torque they were given against every published one, and what a turned nut has lost.

A torque is never looked up for a wheel: the rows that fit what is known of stud, nut and wheel are shown, all of
them, and a value outside every one is asked about. The wheel's or axle's own label comes first. A nut that turned
further than seats and paint settle holds every wheel, as no item says which one, until each was looked at by name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import tau

from wheeltapper.findings.facts import Fact, Key, Worked, said_yes
from wheeltapper.measure.plausible import amount_si
from wheeltapper.records import FollowUp, Refit, Visit
from wheeltapper.reference.metal import TorqueRow
from wheeltapper.reference.tables import Tables
from wheeltapper.units import INCH_M, TIE_M
from wheeltapper.words import TRAILER, positions

NUT_FACTOR = (
    0.15,
    0.20,
)  # oiled to dry thread, a published pair; K = 0.20 cannot be used with every published torque
GRIP_M = (0.010, 0.025)  # wheel disc and hub flange under the nut, thin steel to aluminium: assumed
STEEL_PA = 206e9
COAT_M = (0.001 * INCH_M, 0.003 * INCH_M)  # a coat of paint to a powder coat: assumed
PAINT = ("hub_face.paint", "wheel.paint_at_seat")
LOOKS = ("nuts", "studs", "wheel", "hub face")  # checks that settle a nut that turned, each answered by name
TURN_FACTS = (  # those of one part each, so that a check still owed leaves only its own part open
    "torque.turned_far", "studs.turned_far", "torque.ran_loose", "studs.ran_loose", "wheel.ran_loose", "hub_face.ran_loose",
)  # fmt: skip


@dataclass(frozen=True)
class Tightened:
    """A final torque, the published rows it could be meant for, and the clamp it makes in each stud."""

    torque_n_m: float
    rows: tuple[TorqueRow, ...]
    outside: bool  # of every row
    differ: bool  # two rows that fit do not overlap, or the nut is not known and they differ
    preload_n: tuple[float, float] | None  # for the nut factor's range; None where the stud is not known
    proof_share: tuple[float, float] | None  # of the stated grade
    tensile_share: tuple[float, float] | None


@dataclass(frozen=True)
class Turned:
    """A nut that moved at a re-torque, and the clamp that its stud had lost."""

    turned_rad: float
    due_mi: float
    lost_n: tuple[float, float]  # long grip to short
    made_n: (
        tuple[float, float] | None
    )  # clamp that the published torques make, dry to oiled; None where there are none
    far: bool  # further than seats and paint settle
    gone: bool  # surely all of the clamp, even in the softest joint
    settles_m: float


@dataclass(frozen=True)
class Painted:
    """Paint under the nuts or between wheel and hub: what it takes when it flows out, thin coat to thick [m, N]."""

    coat_m: tuple[float, float]
    lost_n: tuple[float, float]
    made_n: tuple[float, float] | None


def find(visit: Visit, tables: Tables, facts: dict[Key, Fact]) -> list[Worked]:
    """What the return sheet, the re-torques and the faces say about the clamp."""
    out = _painted(visit, tables, facts)
    alike: dict[Tightened, list[str]] = {}
    for refit in visit.return_sheet.wheel if visit.return_sheet else ():
        found = tightened(refit, visit, tables)
        if found is not None:
            alike.setdefault(found, []).append(refit.position)
    for found, wheels in alike.items():
        where, at = (wheels[0], "") if len(wheels) == 1 else (TRAILER, ", ".join(wheels))
        out.append(Worked(where, "torque", "nuts", found, at))
    return out + [Worked(TRAILER, "nut turned", "nuts", turned) for turned in _turned(visit, tables)]


def first_retorque(tables: Tables) -> float:
    """Miles to the first re-torque: only there may a nut move as its seat settles, whichever of them were written down."""
    return min((i.miles for i in tables.intervals if i.what == "retorque" and i.miles is not None), default=0)


def moved(item: FollowUp) -> bool | None:
    """Did a nut turn? Said so, or by the angle that is written; None where nobody said."""
    return True if (_angle(item) or 0) > 0 else item.moved


def moved_again(item: FollowUp, first: float) -> bool:
    """A nut that still moves after the first re-torque [mi]: come in, do not just tighten it again."""
    return item.what == "retorque" and moved(item) is True and item.due > first


def moved_far(item: FollowUp, visit: Visit, tables: Tables) -> bool:
    """Did a nut turn further than seats and paint settle, as far as somebody said how far?"""
    angle = _angle(item)
    return angle is not None and angle > 0 and _is_far(angle, visit, tables)


def facts(visit: Visit, tables: Tables, known: Mapping[Key, Fact]) -> list[Fact]:
    """Nuts that turned at a re-torque: that they moved, and whether further than settling explains."""
    turns = [(item, angle) for item in visit.follow_up if (angle := _angle(item)) is not None and angle > 0]
    far = [item for item, _ in turns if moved_far(item, visit, tables)]
    loose = [item for item, angle in turns if item in far and _all_gone(angle, visit, tables)]
    first = first_retorque(tables)
    out = []
    for wheel in positions(visit.unit.axles):
        if turns:
            out.append(_told(wheel, "torque.moved", [item for item, _ in turns]))
        if again := [item for item, _ in turns if moved_again(item, first)]:
            out.append(_told(wheel, "torque.moved_again", again))
        seen = _looked(wheel, known)
        for name in TURN_FACTS:
            items = [] if seen else loose if name.endswith("loose") else far
            out.append(_told(wheel, name, items) if items else _not_told(wheel, name, visit, seen))
    return out


def _not_told(wheel: str, name: str, visit: Visit, seen: bool) -> Fact:
    """No where a re-torque was made; a turn that cannot be read leaves the nuts open, as nobody knows how far."""
    angles = [_angle(f) for f in visit.follow_up if f.what == "retorque" and f.turned is not None]
    if name == "torque.turned_far" and not seen and any(angle is None or angle < 0 for angle in angles):
        return Fact(wheel, name, None)
    asked = any(f.what == "retorque" for f in visit.follow_up)
    return Fact(wheel, name, False if asked else None, "told" if asked else None, optional=True)


def _is_far(angle_rad: float, visit: Visit, tables: Tables) -> bool:
    return _travel(angle_rad, visit, tables) > tables.number("nut_settles") + TIE_M


def _told(wheel: str, name: str, items: list[FollowUp]) -> Fact:
    words = tuple(f"{item.turned} at {item.due:g} mi" for item in items)
    by = tuple(sorted({item.by for item in items if item.by}))
    return Fact(wheel, name, True, "told", by, words, "nut turned at a re-torque")


def _looked(wheel: str, known: Mapping[Key, Fact]) -> bool:
    """Was each of the checks that settle it answered by name? A word for the rest of the corner is no look."""
    named = {f.check for (w, _), f in known.items() if w == wheel and f.evidence in {"seen", "felt"}}
    return named >= set(LOOKS)


def _angle(item: FollowUp) -> float | None:
    return amount_si(item.turned, "angle") if item.what == "retorque" else None


def _travel(angle_rad: float, visit: Visit, tables: Tables) -> float:
    """How far a nut went along its stud [m]; of a thread that is not known, the coarsest of the table."""
    stud = tables.studs.get(visit.unit.studs or "")
    pitch = stud.pitch_m if stud else max(s.pitch_m for s in tables.studs.values())
    return angle_rad / tau * pitch


def _all_gone(angle_rad: float, visit: Visit, tables: Tables) -> bool:
    """Has it surely let go of all its clamp?"""
    stud = tables.studs.get(visit.unit.studs or "")
    made = _made(visit, tables, stud.diameter_m) if stud else None
    if stud is None or made is None:
        return _travel(angle_rad, visit, tables) > tables.number("nut_lets_go") + TIE_M
    return _lost(angle_rad, stud.diameter_m, stud.pitch_m)[0] >= made[1]


def _painted(visit: Visit, tables: Tables, facts: dict[Key, Fact]) -> list[Worked]:
    stud = tables.studs.get(visit.unit.studs or "")
    seen = [w for w in positions(visit.unit.axles) if any(said_yes(facts, w, name) for name in PAINT)]
    if stud is None or not seen:
        return []
    from wheeltapper.measure import joint

    soft, stiff = _stiffness(stud.diameter_m, stud.pitch_m)
    lost = tuple(
        float(joint.settled_preload_n(coat, k)) for coat, k in zip(COAT_M, (soft, stiff), strict=True)
    )
    found = Painted(COAT_M, (lost[0], lost[1]), _made(visit, tables, stud.diameter_m))
    return [Worked(wheel, "paint", "hub-face", found) for wheel in seen]


def tightened(refit: Refit, visit: Visit, tables: Tables) -> Tightened | None:
    """A wheel's final torque beside what is published for its studs; None where no torque can be read."""
    value = amount_si(refit.torque.value, "torque") if refit.torque else None
    if value is None:
        return None
    rows = published(visit, tables)
    outside = bool(rows) and all(not r.low_n_m - TIE_M <= value <= r.high_n_m + TIE_M for r in rows)
    differ = len({(r.low_n_m, r.high_n_m) for r in rows}) > 1
    return Tightened(value, rows, outside, differ, *_clamp(value, visit, tables))


def published(visit: Visit, tables: Tables) -> tuple[TorqueRow, ...]:
    """Every published final torque that could be meant for this trailer's wheels; none is picked."""
    unit = visit.unit
    return tuple(r for r in tables.torques if _meant(r, unit.studs, unit.nut, unit.wheel))


def _meant(row: TorqueRow, studs: str | None, nut: str | None, wheel: str | None) -> bool:
    """Could the row be meant for these studs, nuts and wheel? What is not known rules nothing out."""
    return row.studs == studs and nut in (None, row.nut) and (wheel is None or row.wheel in (wheel, "any"))


Range = tuple[float, float]


def _clamp(
    torque_n_m: float, visit: Visit, tables: Tables
) -> tuple[Range | None, Range | None, Range | None]:
    """Clamp for the nut factor's range, and its share of the stud's proof and tensile strength."""
    from wheeltapper.measure import clamp

    stud = tables.studs.get(visit.unit.studs or "")
    if stud is None:
        return None, None, None
    most, least = (float(clamp.preload_from_torque_n(torque_n_m, k, stud.diameter_m)) for k in NUT_FACTOR)
    grade = tables.grade(visit.unit.stud_grade or "", stud.diameter_m)
    if grade is None:
        return (least, most), None, None
    area = clamp.stress_area_m2(stud.diameter_m, stud.pitch_m)
    proof, tensile = (
        tuple(float(clamp.strength_share(p, area, strength)) for p in (least, most))
        for strength in (grade.proof_pa, grade.tensile_pa)
    )
    return (least, most), (proof[0], proof[1]), (tensile[0], tensile[1])


def _turned(visit: Visit, tables: Tables) -> list[Turned]:
    """Re-torques at which somebody wrote down how far a nut went."""
    stud = tables.studs.get(visit.unit.studs or "")
    out = []
    for item in visit.follow_up:
        angle = _angle(item)
        if stud is not None and angle is not None and angle > 0:
            lost = _lost(angle, stud.diameter_m, stud.pitch_m)
            far, made = _is_far(angle, visit, tables), _made(visit, tables, stud.diameter_m)
            gone = far and _all_gone(angle, visit, tables)
            out.append(Turned(angle, item.due, lost, made, far, gone, tables.number("nut_settles")))
    return out


def _made(visit: Visit, tables: Tables, diameter_m: float) -> tuple[float, float] | None:
    """Least and most clamp of the published torques that could be meant."""
    from wheeltapper.measure import clamp

    rows = published(visit, tables)
    if not rows:
        return None
    least, most = min(r.low_n_m for r in rows), max(r.high_n_m for r in rows)
    return (
        float(clamp.preload_from_torque_n(least, NUT_FACTOR[1], diameter_m)),
        float(clamp.preload_from_torque_n(most, NUT_FACTOR[0], diameter_m)),
    )


def _lost(angle_rad: float, diameter_m: float, pitch_m: float) -> tuple[float, float]:
    """Clamp lost for a turn, long grip to short."""
    from wheeltapper.measure import joint

    low, high = (
        float(joint.turned_preload_n(angle_rad, k, pitch_m)) for k in _stiffness(diameter_m, pitch_m)
    )
    return low, high


def _stiffness(diameter_m: float, pitch_m: float) -> tuple[float, float]:
    """Stiffness of stud and joint together [N/m], long grip to short: the joint taken as twice as stiff as its stud."""
    from wheeltapper.measure import clamp, joint

    area = clamp.stress_area_m2(diameter_m, pitch_m)
    rods = (joint.rod_n_per_m([area], [grip + diameter_m], STEEL_PA) for grip in reversed(GRIP_M))
    soft, stiff = (float(joint.series_n_per_m(rod, 2 * rod)) for rod in rods)
    return soft, stiff
