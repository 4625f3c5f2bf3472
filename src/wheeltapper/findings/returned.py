"""The volts and amperes of the return sheet as a visit of their own, so that the same sums explain them.

The readings on arrival say nothing of what was fitted since: only ohms of brakes that stayed are carried over. Whether the
trailer may roll is decided from the return sheet itself, in `disposition/return_sheet.py`.
"""

from __future__ import annotations

from wheeltapper.measure.plausible import quantity
from wheeltapper.records import Corner, Done, Gauge, Reading, Visit
from wheeltapper.words import axle_of, positions

# The meter of the return is not named: its doubts are assumed.
METER = Gauge(id="return sheet", kind="meter", u=("0.1 V", "0.2 A"))
COILS = {"brake-assembly", "magnet", "axle"}  # a new one of these has a new coil in it


def as_measured(visit: Visit) -> Visit | None:
    """The trailer as the return sheet's meter saw it; None without amperes and volts at the plug, or without magnets."""
    sheet = visit.return_sheet
    if sheet is None or visit.unit.brake != "electric drum" or not sheet.total_amps or not sheet.plug_volts:
        return None
    volts = {r.position: _reading("volts at magnet", r.magnet_volts, "full apply") for r in sheet.wheel}
    corners = [
        Corner(position=p, reading=(*volts.get(p, ()), *_ohms(visit, p))) for p in positions(visit.unit.axles)
    ]
    whole = (*_reading("volts at plug", sheet.plug_volts), *_reading("total amps", sheet.total_amps))
    return Visit(
        date=visit.date, technician=visit.technician, unit=visit.unit, gauge=(*visit.gauge, METER), corner=tuple(corners), reading=whole,
    )  # fmt: skip


def _reading(what: str, text: str | None, at: str | None = None) -> tuple[Reading, ...]:
    """What was typed as a reading; what is no amount is asked about elsewhere."""
    typed = quantity(text or "")
    if typed is None or text is None:
        return ()
    value = text.strip().removesuffix(typed[1]).strip()
    return (
        Reading(what=what, at=None if at is None else (at,), value=(value,), unit=typed[1], gauge=METER.id),
    )


def _ohms(visit: Visit, position: str) -> tuple[Reading, ...]:
    """Ohms measured on a coil that is still on."""
    new = any(_brings_coil(d, position) for d in visit.done)
    rows = (r for c in visit.corner if c.position == position for r in c.reading)
    return () if new else tuple(r for r in rows if r.what == "magnet resistance")


def _brings_coil(done: Done, position: str) -> bool:
    """A new brake or magnet here, or a new axle under this wheel."""
    here = done.position == position or (done.part == "axle" and axle_of(done.position) == axle_of(position))
    return here and done.part in COILS and done.action.strip().casefold() in {"replaced", "fitted", "new"}
