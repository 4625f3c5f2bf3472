"""The nuts of a wheel: the torque they were given against every published one, and what a turned nut has lost.

A torque is never looked up for a wheel: the rows that fit what is known of stud, nut and wheel are shown, all of
them, and a value outside every one is asked about. The wheel's or axle's own label comes first.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheeltapper.findings.facts import Fact, Key, Worked
from wheeltapper.measure.plausible import amount_si
from wheeltapper.records import Refit, Visit
from wheeltapper.reference.metal import TorqueRow
from wheeltapper.reference.tables import Tables
from wheeltapper.units import INCH_M, TIE_M
from wheeltapper.words import positions

NUT_FACTOR = (
    0.15,
    0.20,
)  # oiled to dry thread, a published pair; K = 0.20 cannot be used with every published torque
GRIP_M = (0.010, 0.025)  # wheel disc and hub flange under the nut, thin steel to aluminium: assumed
STEEL_PA = 206e9
COAT_M = (0.001 * INCH_M, 0.003 * INCH_M)  # a coat of paint to a powder coat: assumed
PAINT = ("hub_face.paint", "wheel.paint_at_seat")


@dataclass(frozen=True)
class Tightened:
    """A final torque, the published rows it could be meant for, and the clamp it makes in each stud."""

    torque_n_m: float
    rows: tuple[TorqueRow, ...]
    outside: bool  # of every row
    differ: bool  # two rows that fit do not overlap, or the nut is not known and they differ
    preload_n: tuple[float, float] | None  # for the nut factor's range; None where the stud is not known
    proof_share: tuple[float, float] | None  # of the stated grade


@dataclass(frozen=True)
class Turned:
    """A nut that moved at a re-torque, and the clamp that its stud had lost."""

    turned_rad: float
    due_mi: float
    lost_n: tuple[float, float]  # long grip to short
    made_n: (
        tuple[float, float] | None
    )  # clamp that the published torques make, dry to oiled; None where there are none


@dataclass(frozen=True)
class Painted:
    """Paint under the nuts or between wheel and hub: what it takes when it flows out, thin coat to thick [m, N]."""

    coat_m: tuple[float, float]
    lost_n: tuple[float, float]
    made_n: tuple[float, float] | None


def find(visit: Visit, tables: Tables, facts: dict[Key, Fact]) -> list[Worked]:
    """What the return sheet, the re-torques and the faces say about the clamp."""
    out = _painted(visit, tables, facts)
    for refit in visit.return_sheet.wheel if visit.return_sheet else ():
        found = tightened(refit, visit, tables)
        if found is not None:
            out.append(Worked(refit.position, "torque", "nuts", found))
    return out + [Worked("trailer", "nut turned", "nuts", turned) for turned in _turned(visit, tables)]


def _painted(visit: Visit, tables: Tables, facts: dict[Key, Fact]) -> list[Worked]:
    stud = tables.studs.get(visit.unit.studs or "")
    seen = [
        w
        for w in positions(visit.unit.axles)
        if any((f := facts.get((w, name))) and f.answer is True for name in PAINT)
    ]
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
    unit = visit.unit
    rows = tuple(r for r in tables.torques if _meant(r, unit.studs, unit.nut, unit.wheel))
    outside = bool(rows) and all(not r.low_n_m - TIE_M <= value <= r.high_n_m + TIE_M for r in rows)
    differ = len({(r.low_n_m, r.high_n_m) for r in rows}) > 1
    preload, share = _clamp(value, visit, tables)
    return Tightened(value, rows, outside, differ, preload, share)


def _meant(row: TorqueRow, studs: str | None, nut: str | None, wheel: str | None) -> bool:
    """Could the row be meant for these studs, nuts and wheel? What is not known rules nothing out."""
    return row.studs == studs and nut in (None, row.nut) and (wheel is None or row.wheel in (wheel, "any"))


def _clamp(
    torque_n_m: float, visit: Visit, tables: Tables
) -> tuple[tuple[float, float] | None, tuple[float, float] | None]:
    from wheeltapper.measure import clamp

    stud = tables.studs.get(visit.unit.studs or "")
    if stud is None:
        return None, None
    most, least = (float(clamp.preload_from_torque_n(torque_n_m, k, stud.diameter_m)) for k in NUT_FACTOR)
    grade = tables.grades.get(visit.unit.stud_grade or "")
    if grade is None:
        return (least, most), None
    area = clamp.stress_area_m2(stud.diameter_m, stud.pitch_m)
    low, high = (float(clamp.strength_share(p, area, grade.proof_pa)) for p in (least, most))
    return (least, most), (low, high)


def _turned(visit: Visit, tables: Tables) -> list[Turned]:
    """Re-torques at which somebody wrote down how far a nut went."""
    stud = tables.studs.get(visit.unit.studs or "")
    out = []
    for item in visit.follow_up:
        angle = amount_si(item.turned, "angle")
        if item.what == "retorque" and stud is not None and angle is not None and angle > 0:
            lost = _lost(angle, stud.diameter_m, stud.pitch_m)
            out.append(Turned(angle, item.due, lost, _made(visit, tables, stud.diameter_m)))
    return out


def _made(visit: Visit, tables: Tables, diameter_m: float) -> tuple[float, float] | None:
    """Least and most clamp of the published torques that could be meant."""
    from wheeltapper.measure import clamp

    unit = visit.unit
    rows = [r for r in tables.torques if _meant(r, unit.studs, unit.nut, unit.wheel)]
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
