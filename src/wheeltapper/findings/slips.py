"""Slips that belong to a visit as a whole: sizes, positions, dates and words that cannot be right."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from wheeltapper.measure.plausible import amount_si, quantity
from wheeltapper.problems import Problem, nearest
from wheeltapper.records import FollowUp, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import TRAILER, positions

AMOUNTS = (
    ("rotor_new", "length", "25.4 mm"),
    ("tire_radius", "length", "13.7 in"),
    ("magnet_amps", "current", "3.0 A"),
)
MAGNET_A = (1.0, 6.0)  # any magnet's rated current lies between: from memory
MOST_TURN_DEG = 1080  # a nut that went three turns was nearly off its stud: assumed
RETURNED = (("magnet_volts", "voltage", "11.9 V"), ("end_play", "length", "0.003 in"), ("hub_temperature", "temperature", "97 F"),
            ("seat_torque", "torque", "50 ft-lb"))  # fmt: skip
RETURNED_ONCE = (("plug_volts", "voltage", "12.4 V"), ("total_amps", "current", "15.2 A"))


def find(visit: Visit, tables: Tables) -> list[Problem]:
    """Every slip of the visit as a whole."""
    return [
        *_unit(visit, tables),
        *_electric(visit),
        *_stud(visit, tables),
        *_returned(visit),
        *_turned(visit),
        *_positions(visit),
        *_fitted(visit),
        *_words(visit, tables),
        *_gauges(visit),
        *_amperes(visit),
    ]


def _unit(visit: Visit, tables: Tables) -> Iterator[Problem]:
    unit = visit.unit
    if unit.brake != "hydraulic disc" and unit.drum not in tables.drums:
        said = f"'{unit.drum}' is not a drum size known here" if unit.drum else "the drum size is missing"
        yield Problem("unit, drum", said, nearest(unit.drum or "", tables.drums))
    for field, dimension, example in AMOUNTS:
        text = getattr(unit, field)
        if text is not None and (amount_si(text, dimension) or 0) <= 0:
            yield Problem(
                f"unit, {field}", f"'{text}' is not a {dimension}", f"write it with its unit, '{example}'."
            )
    for field, known in (
        ("stud_grade", set(tables.grades)), ("nut", {t.nut for t in tables.torques}), ("wheel", {t.wheel for t in tables.torques} - {"any"}),
    ):  # fmt: skip
        text = getattr(unit, field)
        if text is not None and text not in known:
            yield Problem(f"unit, {field}", f"'{text}' is not known here", nearest(text, known))


def _electric(visit: Visit) -> Iterator[Problem]:
    """The magnets' rating and the brake wire: what cannot be, and what cannot be used alone."""
    unit = visit.unit
    rated = amount_si(unit.magnet_amps, "current")
    if rated is not None and rated > 0 and not MAGNET_A[0] <= rated <= MAGNET_A[1]:
        do = "read the maker's figure for one magnet again; no magnet known is outside 1 to 6 A."
        yield Problem("unit, magnet_amps", f"{unit.magnet_amps} cannot be one magnet's rated current", do)
    wire = {"wire_awg": unit.wire_awg, "wire_feet": unit.wire_feet}
    for field, other in (("wire_awg", "wire_feet"), ("wire_feet", "wire_awg")):
        if wire[field] is not None and wire[other] is None:
            what, do = f"says nothing without {other}", "write gauge and length, out and back."
            yield Problem(f"unit, {field}", what, do)
    if unit.brake != "electric drum":
        for field in (f for f in ("magnet_amps", *wire) if getattr(unit, f) is not None):
            yield Problem(
                f"unit, {field}",
                f"{unit.brake} brakes have no magnet wire",
                "take it out, or mend unit.brake.",
            )


def _stud(visit: Visit, tables: Tables) -> Iterator[Problem]:
    unit = visit.unit
    stud = tables.studs.get(unit.studs or "")
    if unit.studs is not None and stud is None:
        yield Problem(
            "unit, studs", f"'{unit.studs}' is no stud thread known here", nearest(unit.studs, tables.studs)
        )
    known = unit.stud_grade in tables.grades and stud is not None
    if known and tables.grade(unit.stud_grade or "", stud.diameter_m if stud else 0.0) is None:
        what = f"the strength of '{unit.stud_grade}' is not known here for {unit.studs}"
        yield Problem("unit, stud_grade", what, "read the mark on the stud's end again.")


def _returned(visit: Visit) -> Iterator[Problem]:
    """Amounts of the return sheet that cannot be read: asked about, not taken as never measured."""
    sheet = visit.return_sheet
    if sheet is None:
        return
    rows = [("return_sheet", field, getattr(sheet, field), *form) for field, *form in RETURNED_ONCE]
    for refit in sheet.wheel:
        where = f"return_sheet, {refit.position}"
        rows += [(where, field, getattr(refit, field), *form) for field, *form in RETURNED]
        rows += [(where, "torque", refit.torque.value, "torque", "110 ft-lb")] if refit.torque else []
    for where, field, text, dimension, example in rows:
        si = amount_si(text, dimension)
        if text is not None and (si is None or si < 0 or (field == "torque" and si == 0)):
            yield Problem(
                f"{where}, {field}", f"'{text}' is not a {dimension}", f"write it with its unit, '{example}'."
            )


def _turned(visit: Visit) -> Iterator[Problem]:
    for item in visit.follow_up:
        said = _turn(item)
        if said:
            yield Problem(f"follow_up, {item.what} {item.due:g}", *said)


def _turn(item: FollowUp) -> tuple[str, str] | None:
    """What to ask about a nut's turn, and what to do."""
    angle, text = amount_si(item.turned, "angle"), item.turned
    if item.what != "retorque" and (text is not None or item.moved is not None):
        return "only a retorque has nuts that moved", "write it on the retorque item."
    if text is None:
        return None
    if angle is None:
        return f"'{text}' is not an angle", "write how far the nut turned, '20 deg' or '0.25 turn'."
    asked = (
        (angle < 0, f"a nut cannot turn '{text}' as it is tightened",
         "write how far it went until it had its torque, without a sign."),
        (angle > 0 and item.moved is False, f"it says that no nut moved, and that one turned '{text}'",
         "ask who did it and mend one of the two; until then it counts as moved."),
        (angle == 0 and item.moved is True, "it says that a nut moved, and that it turned by nothing",
         "write how far it turned, or leave 'turned' out."),
        (degrees(angle) > MOST_TURN_DEG, f"'{text}' is more than three turns: that nut was nearly off",
         "ask who did it whether that is right."),
    )  # fmt: skip
    return next(((what, do) for so, what, do in asked if so), None)


def _positions(visit: Visit) -> Iterator[Problem]:
    wheels = positions(visit.unit.axles)
    refits = visit.return_sheet.wheel if visit.return_sheet else ()
    for name, rows in (
        ("fitted", visit.fitted), ("call", visit.call), ("answer", visit.answer), ("done", visit.done),
        ("limit", visit.limit), ("second_look", visit.second_look), ("return_sheet, wheel", refits),
    ):  # fmt: skip
        for row in rows:
            position = row.position
            if position is not None and position not in wheels:
                yield Problem(name, f"'{position}' is not a wheel of this trailer", nearest(position, wheels))


def _fitted(visit: Visit) -> Iterator[Problem]:
    for f in visit.fitted:
        where = f"fitted, {f.position}, {f.part}"
        if f.date and f.date > visit.date:
            yield Problem(where, f"fitted on {f.date}, after this visit", "mend the date.")
        if f.miles is not None and visit.mileage.now is None and f.miles_ago is None:
            yield Problem(
                where, "its miles count from an unknown reading", "write mileage.now, or miles_ago."
            )
        if f.miles is not None and visit.mileage.now is not None and f.miles > visit.mileage.now:
            yield Problem(
                where,
                f"fitted at {f.miles:g} miles, but the trailer now shows {visit.mileage.now:g}",
                "mend one of the two.",
            )


def _words(visit: Visit, tables: Tables) -> Iterator[Problem]:
    known = tables.work["booked"]
    for word in visit.booked or ():
        if word not in known:
            yield Problem("booked", f"'{word}' is not a service known here", nearest(word, known))
    measured = [c.check for c in tables.checks.values() if c.dimension]
    for row in visit.limit:
        if row.what not in measured and row.what != "?":
            yield Problem(f"limit, {row.what}", f"'{row.what}' is not a reading", nearest(row.what, measured))
        elif row.what == "cup bore" and (amount_si(f"{row.value} {row.unit}", "length") or 0) <= 0:
            said = f"{row.value} {row.unit} cannot be the limit of a bore"
            yield Problem(f"limit, {row.what}", said, "read the number and its unit again.")


def _gauges(visit: Visit) -> Iterator[Problem]:
    for gauge in visit.gauge:
        if any(gauge.id == other.id and gauge != other for other in visit.gauge):
            yield Problem(
                f"gauge {gauge.id}", "is on the visit twice and differently", "give each gauge its own name."
            )
        for text in gauge.u:
            if not _is_doubt(text):
                yield Problem(
                    f"gauge {gauge.id}",
                    f"its uncertainty '{text}' cannot be used",
                    "write it as '0.003 in', more than zero, with a unit.",
                )


def _is_doubt(text: str) -> bool:
    stated = quantity(text)
    return stated is not None and 0 < stated[0] < float("inf")


def _amperes(visit: Visit) -> Iterator[Problem]:
    taken = {r.what for r in visit.reading}
    if "total amps" in taken and "volts at plug" not in taken:
        yield Problem(
            f"{TRAILER}, total amps",
            "without the volts at the plug the amperes say nothing",
            "measure the volts at the plug at full apply.",
        )
