"""What the return sheet still owes before a trailer may roll (F16), and which of its checks failed.

A check that was not recorded keeps the trailer ready for check; one that failed keeps it held.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheeltapper.findings.clamp import tightened
from wheeltapper.findings.electric import expected_a
from wheeltapper.measure.plausible import amount_si
from wheeltapper.records import Refit, ReturnSheet, Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import above, below
from wheeltapper.words import other_end, positions

APART_V = 0.5  # plug and magnet read one after the other, the battery moving between: assumed


@dataclass(frozen=True)
class Owed:
    """Something the return sheet lacks, or a check on it that failed."""

    text: str
    failed: bool = False
    about: str = ""  # "feed" or "heat": measured on all wheels one after the other, when they are on again


def owed(visit: Visit, tables: Tables) -> tuple[Owed, ...]:
    """Everything between a finished repair and the road, wheel by wheel, then for the trailer."""
    sheet = visit.return_sheet
    if sheet is None:
        return (Owed("return sheet: not filled in"),)
    if visit.scope == "adjust":
        return tuple(_yes_no(sheet.adjusted, "brakes: adjust"))
    out: list[Owed] = []
    for position in positions(visit.unit.axles):
        here = [
            r for r in sheet.wheel if r.position == position
        ]  # a wheel written down twice has to be right both times
        out += [o for r in here for o in (*_wheel(r, tables), *_published(r, visit, tables))]
        out += [] if here else [Owed(f"{position}: return sheet not filled in")]
    out += _trailer(sheet, visit)
    if visit.unit.brake == "electric drum":
        out += [*_electric(sheet, tables), *_amperes(sheet, visit, tables)]
    return (*out, *_heat(sheet, tables))


def _yes_no(said: bool | None, what: str) -> Iterator[Owed]:
    if not said:
        yield Owed(f"{what} not recorded" if said is None else f"{what} failed", said is False)


def _wheel(refit: Refit, tables: Tables) -> Iterator[Owed]:
    name = refit.position
    yield from _end_play(refit, tables)
    yield from _yes_no(refit.new_seal, f"{name}: new seal")
    yield from _yes_no(refit.new_pin, f"{name}: new pin")
    yield from _yes_no(refit.faces_clean, f"{name}: bare and clean faces")
    yield from _yes_no(refit.seats_match, f"{name}: nut seats matching the wheel")
    torque = refit.torque
    if torque is None or amount_si(torque.value, "torque") is None:
        yield Owed(f"{name}: final torque not recorded")
        return
    if not torque.source:
        yield Owed(f"{name}: the torque value has no source")
    if not torque.wrench or not torque.by:
        yield Owed(f"{name}: wrench or person of the final torque not recorded")
    if torque.second and torque.second == torque.by:
        yield Owed(f"{name}: the second initial is {torque.by}'s own, another person reads it")
    elif tables.house["second_initial"] and not torque.second:
        yield Owed(f"{name}: second initial missing")


def _published(refit: Refit, visit: Visit, tables: Tables) -> Iterator[Owed]:
    """A torque outside every published one for its stud needs a second pair of eyes on the label (F16)."""
    found = tightened(refit, visit, tables)
    if found is not None and found.outside and refit.torque is not None and not refit.torque.second:
        listed = ", ".join(row.text for row in found.rows)
        yield Owed(
            f"{refit.position}: torque {refit.torque.value} is outside what is published for {visit.unit.studs} ({listed});"
            " a second person reads the label and initials it"
        )


def _end_play(refit: Refit, tables: Tables) -> Iterator[Owed]:
    play = amount_si(refit.end_play, "length")
    low, most = tables.limit("end_play_low"), tables.limit("end_play_most")
    if play is None:
        yield Owed(f"{refit.position}: end play not measured")
    elif below(play, low.si) or above(play, most.si):
        yield Owed(
            f"{refit.position}: end play {refit.end_play} is outside {low.value} to {most.value} {most.unit}",
            True,
        )


def _trailer(sheet: ReturnSheet, visit: Visit) -> Iterator[Owed]:
    if visit.unit.brake != "hydraulic disc":
        yield from _yes_no(sheet.adjusted, "brakes: adjust")
    yield from _yes_no(sheet.breakaway_locks, "brakes: breakaway test")
    yield from _yes_no(
        None if sheet.bedding_stops is None else sheet.bedding_stops > 0, "brakes: bedding stops"
    )
    yield from _yes_no(None if sheet.run_miles is None else sheet.run_miles > 0, "brakes: road test")


def _electric(sheet: ReturnSheet, tables: Tables) -> Iterator[Owed]:
    plug = amount_si(sheet.plug_volts, "voltage")
    if amount_si(sheet.total_amps, "current") is None:
        yield Owed("brakes: total amps not measured", about="feed")
    if plug is None:
        yield Owed("brakes: volts at the plug not measured", about="feed")
    elif plug < tables.number("plug_volts") - 1e-9:
        yield Owed(
            f"brakes: only {sheet.plug_volts} at the plug, so nothing behind it can be judged", True, "feed"
        )
    for refit in sheet.wheel:
        volts = amount_si(refit.magnet_volts, "voltage")
        if volts is None:
            yield Owed(f"{refit.position}: volts at the magnet not measured", about="feed")
        elif volts < tables.number("magnet_volts") or _lost(plug, volts, tables):
            yield Owed(f"{refit.position}: only {refit.magnet_volts} reach the magnet", True, "feed")
        elif plug is not None and volts > plug + APART_V:
            yield Owed(
                f"{refit.position}: {refit.magnet_volts} at the magnet and {sheet.plug_volts} at the plug contradict",
                True,
                "feed",
            )


def _amperes(sheet: ReturnSheet, visit: Visit, tables: Tables) -> Iterator[Owed]:
    """Total amperes against what sound magnets would draw: half the current is half the magnets (C10)."""
    amps, plug = amount_si(sheet.total_amps, "current"), amount_si(sheet.plug_volts, "voltage")
    if amps is None or plug is None:
        return
    low, high = (tables.number(f"magnet_ohm_{end}", visit.unit.drum) for end in ("low", "high"))
    slack, magnets = tables.number("amps_share"), len(positions(visit.unit.axles))
    least = expected_a(visit, plug, [high] * magnets) * (1 - slack)
    most = expected_a(visit, plug, [low] * magnets) * (1 + slack)
    if not least <= amps <= most:
        yield Owed(
            f"brakes: {sheet.total_amps} is not what {magnets} magnets draw ({least:.1f} to {most:.1f} A)",
            True,
            "feed",
        )


def _lost(plug: float | None, volts: float, tables: Tables) -> bool:
    return plug is not None and plug - volts > tables.number("volt_drop") + 1e-9


def _heat(sheet: ReturnSheet, tables: Tables) -> Iterator[Owed]:
    heat = {r.position: amount_si(r.hub_temperature, "temperature") for r in sheet.wheel}
    most, stop = tables.limit("hub_heat_difference"), tables.limit("hub_heat_stop")
    for position, kelvin in heat.items():
        if kelvin is None:
            yield Owed(f"{position}: hub temperature after the run not measured", about="heat")
            continue
        mate = heat.get(other_end(position)) if "-" in position else None
        if mate is not None and kelvin - mate > most.difference_si + 1e-9:
            yield Owed(f"{position}: hub more than {most.value} F over its axle mate", True, "heat")
        if kelvin > stop.si:
            yield Owed(f"{position}: hub over {stop.value} F", True, "heat")
