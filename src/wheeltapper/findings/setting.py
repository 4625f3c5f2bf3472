"""How the bearings were set, and how warm each hub ran against its mate: what a number on the return sheet means."""

from __future__ import annotations

from dataclasses import dataclass

from wheeltapper.findings.facts import Fact, Sized, Worked
from wheeltapper.findings.reading import Readings
from wheeltapper.measure.plausible import amount_si
from wheeltapper.records import Visit
from wheeltapper.reference.tables import Tables
from wheeltapper.units import above, at_most, to_si
from wheeltapper.words import Evidence, other_end, positions

FILM_W_M2_K = (20.0, 60.0)  # a hub in the air behind a wheel: assumed
HUB_M2 = (0.10, 0.20)  # its outside: assumed
KELVIN_TIE = 1e-6  # a difference of two temperatures as typed, in floats
RUN_M_S = to_si(50, "mph")  # the run: assumed


@dataclass(frozen=True)
class Played:
    """End play inside the widest published range and past the narrower one [m]."""

    play_m: float
    least_m: float
    heavy_m: float
    most_m: float


@dataclass(frozen=True)
class Warmer:
    """A hub over its mate [K], the heat that takes [W], and the drag at road speed that makes it [N]."""

    over_k: float
    heat_w: tuple[float, float]
    drag_n: tuple[float, float]


def hot(visit: Visit, tables: Tables, readings: Readings) -> list[Fact]:
    """Hubs past the temperature at which to stop, and hubs clearly over their mates, on arrival and after the run.

    A hub that came in hot stays open until a run has shown it cool: no finding talks it away.
    """
    out = []
    for wheel in positions(visit.unit.axles):
        came, ran = (_compared(tables, readings, wheel, at) for at in ("on arrival", "after run"))
        still = any(came) and _hottest(readings, wheel, "after run") is None
        names = (
            "hub.hot_on_arrival",
            "hub.stop_on_arrival",
            "hub.hot_after_run",
            "hub.stop_after_run",
            "hub.hot_no_run",
        )
        out += [_heat_fact(wheel, n, answer) for n, answer in zip(names, (*came, *ran, still), strict=True)]
    return out


def _compared(tables: Tables, readings: Readings, wheel: str, at: str) -> tuple[bool | None, bool | None]:
    """Over its mate, and at the stop; the thermometer's doubt counts against the hub.

    Two readings of one thermometer are compared as they are, unless it could not see such a difference.
    """
    mine, mate = (_hottest(readings, w, at) for w in (wheel, other_end(wheel)))
    if mine is None:
        return None, None
    stop = mine.size + mine.doubt >= tables.number("hub_heat_stop") - KELVIN_TIE
    if mate is None:
        return None, stop
    most, doubt = tables.limit("hub_heat_difference").difference_si, mine.doubt + mate.doubt
    return mine.size - mate.size + (doubt if doubt > most else 0.0) > most + KELVIN_TIE, stop


def _heat_fact(wheel: str, name: str, answer: bool | None) -> Fact:
    evidence: Evidence | None = None if answer is None else "measured"
    return Fact(wheel, name, answer, evidence, check="hub temperature", optional=True)


def _hottest(readings: Readings, wheel: str, at: str) -> Sized | None:
    return max(
        (s for s in readings.of(wheel, "hub temperature") if s.at == at), key=lambda s: s.size, default=None
    )


def find(visit: Visit, tables: Tables, readings: Readings) -> list[Worked]:
    """End play between the published ranges, and hubs clearly warmer than their mates."""
    return [*_played(visit, tables), *_warmer(visit, tables, readings)]


def _played(visit: Visit, tables: Tables) -> list[Worked]:
    low, heavy, most = (tables.number(f"end_play_{name}") for name in ("low", "heavy", "most"))
    out = []
    for refit in visit.return_sheet.wheel if visit.return_sheet else ():
        play = amount_si(refit.end_play, "length")
        if play is not None and above(play, heavy) and at_most(play, most):
            out.append(Worked(refit.position, "end play", "bearing-set", Played(play, low, heavy, most)))
    return out


def _warmer(visit: Visit, tables: Tables, readings: Readings) -> list[Worked]:
    heat = _temperatures(visit, readings)
    most = tables.limit("hub_heat_difference").difference_si
    out = []
    for wheel, kelvin in heat.items():
        mate = heat.get(other_end(wheel))
        if mate is not None and kelvin - mate > most:
            out.append(Worked(wheel, "hub heat", "hub-drum", _heat(kelvin - mate)))
    return out


def _temperatures(visit: Visit, readings: Readings) -> dict[str, float]:
    """The last temperature of each hub: after the run where it was taken, else on arrival."""
    wheels = positions(visit.unit.axles)
    heat = {w: max(s.size for s in taken) for w in wheels if (taken := readings.of(w, "hub temperature"))}
    for refit in visit.return_sheet.wheel if visit.return_sheet else ():
        after = amount_si(refit.hub_temperature, "temperature")
        if after is not None and refit.position in wheels:
            heat[refit.position] = after
    return heat


def _heat(over_k: float) -> Warmer:
    from wheeltapper.measure import wheel_load

    low, high = (
        float(wheel_load.extra_heat_w(film, area, over_k))
        for film, area in zip(FILM_W_M2_K, HUB_M2, strict=True)
    )
    drag = (float(wheel_load.drag_n(low, RUN_M_S)), float(wheel_load.drag_n(high, RUN_M_S)))
    return Warmer(over_k, (low, high), drag)
