"""Slips that belong to a visit as a whole: sizes, positions, dates and words that cannot be right."""

from __future__ import annotations

from collections.abc import Iterator

from wheeltapper.measure.plausible import amount_si, quantity
from wheeltapper.problems import Problem, nearest
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.words import TRAILER, positions

AMOUNTS = (
    ("rotor_new", "length", "25.4 mm"),
    ("tire_radius", "length", "13.7 in"),
    ("magnet_amps", "current", "3.0 A"),
)


def find(visit: Visit, tables: Tables) -> list[Problem]:
    """Every slip of the visit as a whole."""
    return [
        *_unit(visit, tables),
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


def _turned(visit: Visit) -> Iterator[Problem]:
    for item in visit.follow_up:
        if item.turned is not None and amount_si(item.turned, "angle") is None:
            where = f"follow_up, {item.what} {item.due:g}"
            yield Problem(
                where, f"'{item.turned}' is not an angle", "write how far the nut turned, '20 deg'."
            )


def _positions(visit: Visit) -> Iterator[Problem]:
    wheels = positions(visit.unit.axles)
    refits = visit.return_sheet.wheel if visit.return_sheet else ()
    for name, rows in (
        ("fitted", visit.fitted), ("call", visit.call), ("answer", visit.answer), ("done", visit.done),
        ("limit", visit.limit), ("return_sheet, wheel", refits),
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
