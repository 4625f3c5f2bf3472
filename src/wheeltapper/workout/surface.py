"""How hot the rubbed skin gets in one stop, and the half space of the textbooks."""

from __future__ import annotations

from typing import Any

import numpy as np

from wheeltapper.measure import half_space, heat, number
from wheeltapper.measure.number import Floats
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.workout.formula import Answer, Ask, Formula, Given, Result
from wheeltapper.workout.inputs import not_negative, one_way, over_zero
from wheeltapper.workout.metal import DIFFUSIVITY_ASK, METAL_ASKS, conductivity, diffusivity
from wheeltapper.workout.text import fahrenheit, warmer

HALF_SPACE_MOST = 0.01  # one per cent too low at the surface is as much as a half space is let off with
THIN = "A thin wall gets hotter than that: give wall, its thickness."
CASES = ("surface held", "steady flux", "moving fluid")


def _surface(g: Given, tables: Tables) -> Answer:
    k, alpha, stop_s = conductivity(g, tables), diffusivity(g, tables), g.number("stop_time")
    flux, share = _first_flux(g, k, alpha)
    e = half_space.effusivity(k, alpha)
    peak = half_space.stop_peak_k(flux, stop_s, e)
    rows = [
        Result("drum_share", share, "%", "part of the heat that goes into the drum"),
        Result("first_flux", flux, "W/m2", "into the rubbed face when the stop begins; it falls evenly to nothing"),
        Result("diffusivity", alpha, "m2/s", "k / (rho c)"),
        Result("effusivity", e, "", "square root of k rho c, W s^0.5/(m2 K)"),
        Result("peak_rise", peak, "K", "highest rise of the skin, thick metal"),
        Result("peak_time", stop_s / 2, "s", "when it is reached"),
        Result("stop_rise", peak * half_space.AT_STOP / half_space.PEAK, "K", "rise of the skin when it stands, thick metal"),
        Result("peak", g.number("start") + peak, "F", "highest temperature of the skin, thick metal"),
    ]  # fmt: skip
    says = [
        f"The skin of thick metal gets {warmer(peak)} warmer, to {fahrenheit(g.number('start') + peak)}, half way through the stop.",
        "Heat is never spread evenly: a patch that carries more gets hotter in proportion.",
    ]
    more, said = _in_wall(g, flux, k, alpha) if g.has("wall") else ((), (THIN,))
    rows += [*more, *_at_depth(g, flux, k, alpha)]
    return Answer(tuple(rows), (*says, *said))


def _first_flux(g: Given, k: float, alpha: float) -> tuple[float, float]:
    """The first heat flow into the drum's face [W/m2], and the part of the whole that it is."""
    share = g.number("drum_share")
    if g.has("lining"):
        share = heat.rubbed_share(half_space.effusivity(k, alpha), g.number("lining"), g.number("covered"))
    number.part_of_one("the drum's part of the heat", share)
    way = one_way(g, "write energy='50 kJ'.", energy="the energy of the stop", flux="the first flux")
    not_negative(g, way)
    if way == "flux":
        return g.number("flux") * share, share
    if not g.has("area"):
        raise NoAnswerError("an energy needs the face that it goes into", "give area, the rubbed face.")
    over_zero(g, "area", "stop_time")
    return 2 * g.number("energy") / g.number("stop_time") / g.number("area") * share, share


def _in_wall(g: Given, flux: float, k: float, alpha: float) -> tuple[tuple[Result, ...], tuple[str, ...]]:
    """The same in a wall of the thickness given, that loses nothing through its back."""
    stop_s, wall = g.number("stop_time"), g.number("wall")
    fourier = half_space.fourier(stop_s, alpha, wall)
    error = half_space.wall_error_share(fourier)
    times: Floats = np.linspace(0.0, stop_s, 401)[1:]
    skin = half_space.wall_rise_k(0.0 * times, times, flux + 0 * times, stop_s + 0 * times, k + 0 * times, alpha + 0 * times, wall)  # fmt: skip
    back = half_space.wall_rise_k(wall, stop_s, flux, stop_s, k, alpha, wall)
    rows = (
        Result("fourier", fourier, "", "alpha t / wall^2"),
        Result("half_space_error", error, "%", "how much too low the half space is for this wall, under a steady flow"),
        Result("wall_peak_rise", float(np.max(skin)), "K", "highest rise of the skin of this wall"),
        Result("wall_peak_time", float(times[np.argmax(skin)]), "s", "when it is reached, to a four-hundredth of the stop"),
        Result("wall_stop_rise", float(skin[-1]), "K", "rise of its skin when it stands"),
        Result("wall_back_rise", back, "K", "rise of its back when it stands"),
        Result("wall_peak", g.number("start") + float(np.max(skin)), "F", "highest temperature of its skin"),
    )  # fmt: skip
    if error <= HALF_SPACE_MOST:
        return rows, ("The wall is thick enough to be taken as a half space for this stop.",)
    most = fahrenheit(g.number("start") + float(np.max(skin)))
    return rows, (f"The heat reaches the back of this wall before it stands: its skin gets to {most}.",)


def _at_depth(g: Given, flux: float, k: float, alpha: float) -> tuple[Result, ...]:
    if not g.has("depth"):
        return ()
    depth, stop_s = g.number("depth"), g.number("stop_time")
    time = g.number("time") if g.has("time") else stop_s
    if g.has("wall"):
        rise = half_space.wall_rise_k(depth, time, flux, stop_s, k, alpha, g.number("wall"))
    else:
        rise = half_space.stop_rise_k(depth, time, flux, stop_s, k, alpha)
    return (
        Result("depth_rise", rise, "K", "rise at that depth and time"),
        Result("depth_temperature", g.number("start") + rise, "F", "temperature there"),
    )


def _half_space(g: Given, tables: Tables) -> Answer:
    alpha, start = diffusivity(g, tables), g.number("start")
    share_at, whole = _followed(g, tables, alpha)
    depths = np.asarray(g.many("depth"), dtype=np.float64)
    rows: list[Result] = [Result("diffusivity", alpha, "m2/s", "alpha")]
    if g.has("time"):
        time = g.number("time")
        over_zero(g, "time")
        eta = depths / (2 * np.sqrt(alpha * time))
        temperature = start + whole * share_at(depths, time)
        rows += [
            Result("eta", _list(eta), "", "depth / (2 sqrt(alpha t))"),
            Result("erfc", _list(half_space.erfc(eta)), "", "erfc of it"),
            Result("temperature", _list(temperature), "C", "at each depth"),
            Result("rise", _list(temperature - start), "K", "change since the start at each depth"),
            *_at_surface(g, tables, alpha, time, start + whole * float(share_at(np.zeros(1), time)[0])),
        ]
    if g.has("target"):
        rows.append(_target_time(g, share_at, whole))
    if not (g.has("time") or g.has("target")):
        raise NoAnswerError(
            "neither a time nor a target is given", "give time, or target to learn when it is reached."
        )
    return Answer(tuple(rows))


def _target_time(g: Given, share_at: Any, whole: float) -> Result:
    """When one depth reaches the target."""
    depths = np.asarray(g.many("depth"), dtype=np.float64)
    if len(depths) != 1:
        raise NoAnswerError("a time to a temperature needs one depth", "give one depth.")
    wanted = (g.number("target") - g.number("start")) / whole if whole else -1.0
    found = half_space.time_to_s(lambda t: float(share_at(depths, t)[0]), wanted)
    return Result("target_time", found, "s", "when that depth reaches the target")


def _list(values: Any) -> float | tuple[float, ...]:
    flat = tuple(float(v) for v in np.atleast_1d(values))
    return flat[0] if len(flat) == 1 else flat


def _need(g: Given, *names: str) -> tuple[float, ...]:
    missing = [name for name in names if not g.has(name)]
    if missing:
        raise NoAnswerError(
            f"the case '{g['case']}' needs {' and '.join(missing)}", f"give {' and '.join(missing)}."
        )
    return tuple(g.number(name) for name in names)


def _followed(g: Given, tables: Tables, alpha: float) -> tuple[Any, float]:
    """How far the metal has followed at depth and time, and what the whole way is [K]."""
    if g["case"] == "surface held":
        (surface,) = _need(g, "surface")
        return lambda x, t: half_space.held_surface_share(x, t, alpha), surface - g.number("start")
    k = conductivity(g, tables)
    if g["case"] == "moving fluid":
        fluid, film = _need(g, "fluid", "film")
        return lambda x, t: half_space.moving_air_share(x, t, alpha, k, film), fluid - g.number("start")
    (flux,) = _need(g, "flux")
    return lambda x, t: half_space.steady_flux_k(x, t, abs(flux), k, alpha), float(np.sign(flux))


def _at_surface(g: Given, tables: Tables, alpha: float, time: float, surface: float) -> tuple[Result, ...]:
    """The surface and the heat that goes in there."""
    rows = [Result("surface_temperature", surface, "C", "at the surface")]
    if g["case"] == "surface held" and not (g.has("conductivity") or not g.has("diffusivity")):
        return tuple(rows)  # a diffusivity alone does not tell how much heat goes in
    k = conductivity(g, tables)
    if g["case"] == "surface held":
        flux = k * (surface - g.number("start")) / float(np.sqrt(np.pi * alpha * time))
        rows.append(Result("heat_in", 2 * flux * time, "", "heat through the surface until then, J/m2"))
    else:
        flux = (
            g.number("flux")
            if g["case"] == "steady flux"
            else g.number("film") * (g.number("fluid") - surface)
        )
    rows.append(Result("surface_flux", flux, "W/m2", "heat flow into the surface at that time"))
    return tuple(rows)


FORMULAS = (
    Formula(
        name="surface-heat",
        say="how hot the rubbed skin gets in one stop, whose heat flow falls evenly to nothing",
        asks=(
            Ask("energy", "energy", "energy of the stop that one brake takes; or give the first flux", "E", default=""),
            Ask("flux", "heat flux", "heat flow for each area when the stop begins, lining's part included", "q0", default=""),
            Ask("stop_time", "time", "time of the stop", "ts"),
            Ask("area", "area", "rubbed face of the drum, all round", "A", default=""),
            Ask("drum_share", "share", "part of the heat that goes into the drum", "", default="100 %"),
            Ask("lining", "number", "lining's effusivity, W s^0.5/(m2 K), to reckon the drum's part", "el", default="", within=(1.0, 1e5)),
            Ask("covered", "share", "part of the face that linings cover", "", default="65 %"),
            *METAL_ASKS,
            DIFFUSIVITY_ASK,
            Ask("wall", "length", "thickness of the drum's wall", "L", default=""),
            Ask("start", "temperature", "the drum before", "T0", default="70 F"),
            Ask("depth", "length", "a depth to tell the temperature at", "x", default=""),
            Ask("time", "time", "the time to tell it at, since braking began; the stop's own if left out", "t", default=""),
        ),
        work=_surface,
        formula="q = q0 (1 - t/ts), q0 = 2 E share/(ts A); thick metal: peak 4/(3 sqrt(2 pi)) q0 sqrt(ts)/e at ts/2, at the stop "
        "2/(3 sqrt(pi)) q0 sqrt(ts)/e, e = sqrt(k rho c); a wall by images",
        source="Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed., 2.9, by superposition; drum's part of the heat after Limpert, Brake "
        "Design and Safety (from memory)",
        holds="even deceleration, heat spread evenly over the face, constant metal; no cooling meanwhile. Hot spots get hotter. The short form "
        "sqrt(5/18) in brake texts is 0.9 % lower",
        guard="tests/measure/test_heat.py: explicit finite differences of a slab",
    ),
    Formula(
        name="half-space",
        say="temperature in thick metal whose surface is suddenly held, heated by a steady flow, or washed by a fluid",
        asks=(
            Ask("case", "word", "what happens at the surface", default="surface held", words=CASES),
            Ask("start", "temperature", "the metal before", "Ti"),
            Ask("surface", "temperature", "temperature the surface is held at", "Ts", default=""),
            Ask("flux", "heat flux", "steady heat flow into the surface, negative out of it", "q", default=""),
            Ask("fluid", "temperature", "temperature of the fluid", "Tf", default=""),
            Ask("film", "heat transfer", "film coefficient", "h", default=""),
            Ask("depth", "length", "one depth or several", "x", default="0 mm", many=True),
            Ask("time", "time", "time since it began", "t", default=""),
            Ask("target", "temperature", "a temperature, to learn when one depth reaches it", "T", default=""),
            *METAL_ASKS,
            DIFFUSIVITY_ASK,
        ),
        work=_half_space,
        formula="held: (T - Ti)/(Ts - Ti) = erfc(eta); flow: T - Ti = 2 q sqrt(alpha t/pi)/k exp(-eta^2) - q x/k erfc(eta); fluid: "
        "(T - Ti)/(Tf - Ti) = erfc(eta) - exp(h x/k + h^2 alpha t/k^2) erfc(eta + h sqrt(alpha t)/k); eta = x/(2 sqrt(alpha t))",
        source="Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed., 2.4, 2.7, 2.9; Holman, Heat Transfer, chapter 4, Example 4-2",
        holds="one dimension, constant metal, nothing reached at the back: alpha t / thickness^2 under about 0.3",
        guard="tests/published/test_heat.py: Holman Example 4-2; tests/measure/test_heat.py: finite differences",
    ),
)  # fmt: skip
