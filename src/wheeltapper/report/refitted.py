"""The words beside the return sheet: published values with their sources, all of them, and how a hub ran against its mate."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheeltapper.disposition.return_sheet import Owed, owed
from wheeltapper.findings.clamp import published
from wheeltapper.flow import Examination
from wheeltapper.measure.plausible import amount_si
from wheeltapper.records import Refit, ReturnSheet
from wheeltapper.report.wording import Reader, apart, source
from wheeltapper.report.worked import Note, notes
from wheeltapper.words import TRAILER, other_end, positions

Said = tuple[str, str]  # what, and where it stands
RETURNED = {"torque", "end play", "hub heat"}  # computations that are of the return sheet alone


def torques(ex: Examination) -> tuple[Said, ...]:
    """Every published final torque that could be meant, with what it is written for and its source."""
    return tuple(
        (
            f"{r.text}: {r.nut} nuts, {r.wheel} wheel",
            ", ".join(filter(None, (source(r.source, ex.tables), r.at))),
        )
        for r in published(ex.visit, ex.tables)
    )


def end_plays(ex: Examination) -> tuple[Said, ...]:
    """The published ranges of end play; they differ."""
    low = ex.tables.limit("end_play_low")
    rows = (ex.tables.limit(f"end_play_{name}") for name in ("heavy", "most"))
    return tuple(
        (
            f"{low.value} to {row.value} {row.unit}",
            ", ".join(filter(None, (source(row.source, ex.tables), row.at))),
        )
        for row in rows
    )


def settings(ex: Examination) -> tuple[Said, ...]:
    """The published ways to set the bearings."""
    return tuple(
        (
            f"{r.method} ({r.seat})" if r.seat else r.method,
            ", ".join(filter(None, (source(r.source, ex.tables), r.at))),
        )
        for r in ex.tables.settings
    )


def owed_here(ex: Examination, position: str) -> tuple[Owed, ...]:
    """What a wheel's sheet still owes or where it failed, line by line, begun or not; of the trailer what belongs to no wheel."""
    wheels = positions(ex.visit.unit.axles)
    sheet = ex.visit.return_sheet or ReturnSheet()
    begun = {r.position for r in sheet.wheel}
    whole = (*sheet.wheel, *(Refit(position=w) for w in wheels if w not in begun))
    filled = sheet.model_copy(update={"wheel": whole})
    rows = owed(ex.visit.model_copy(update={"return_sheet": filled}), ex.tables)
    if position == TRAILER:
        return tuple(o for o in rows if not o.text.startswith(tuple(f"{w}:" for w in wheels)))
    return tuple(
        replace(o, text=o.text.removeprefix(f"{position}: "))
        for o in rows
        if o.text.startswith(f"{position}:")
    )


def failed(ex: Examination, about: str) -> tuple[str, ...]:
    """Lines of the return sheet that failed, of the feed or of the heat of hubs, of all wheels."""
    return tuple(o.text for o in owed(ex.visit, ex.tables) if o.failed and o.about == about)


def held_besides(ex: Examination) -> tuple[str, ...]:
    """What holds the trailer that is no line of the return sheet."""
    lines = {o.text for o in owed(ex.visit, ex.tables)}
    return tuple(b for b in ex.release.because if b not in lines)


def explained(ex: Examination, position: str, reader: Reader) -> dict[str, tuple[str, ...]]:
    """What the computations say of a wheel's numbers, or of the trailer's current, by kind."""
    out: dict[str, tuple[str, ...]] = {}
    for note in notes(ex, reader):
        kind = note.worked.kind
        if _returned(note) and position in _places(note):
            out[kind.replace(" ", "_")] = (*out.get(kind.replace(" ", "_"), ()), *note.lines)
    return out


def _returned(note: Note) -> bool:
    kind = note.worked.kind
    return kind in RETURNED or (kind in {"leg", "legs"} and note.worked.at == "on return")


def _places(note: Note) -> tuple[str, ...]:
    """A torque that several wheels share names them all."""
    shared = note.worked.kind == "torque" and note.worked.at
    return tuple(note.worked.at.split(", ")) if shared else (note.position,)


def beside_mates(ex: Examination, reader: Reader) -> dict[str, str]:
    """Each hub's temperature after the run against its axle mate's, where both were measured."""
    return dict(_mates(ex, reader))


def _mates(ex: Examination, reader: Reader) -> Iterator[tuple[str, str]]:
    sheet = ex.visit.return_sheet
    heat = {r.position: amount_si(r.hub_temperature, "temperature") for r in sheet.wheel} if sheet else {}
    for position, kelvin in heat.items():
        mate = heat.get(other_end(position))
        if kelvin is not None and mate is not None:
            over = kelvin - mate
            side = "over" if over > 0 else "under"
            yield (
                position,
                f"{apart(abs(over), reader)} {side} {other_end(position)}"
                if over
                else f"as {other_end(position)}",
            )
