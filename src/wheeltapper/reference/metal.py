"""Rows of sizes and strengths: materials, bearings, fits, studs, torques, heat colours. SI once read.

A material or a bearing is looked up by name; the maths of `measure/` only ever gets its numbers.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from wheeltapper.units import WORKOUT_UNITS, to_si

Row = Mapping[str, str]


@dataclass(frozen=True)
class Material:
    """Elastic and thermal values at room temperature."""

    name: str
    modulus_pa: float
    poisson_share: float
    expansion_per_k: float
    density_kg_m3: float
    specific_heat_j_kg_k: float
    conductivity_w_m_k: float
    source: str
    at: str


@dataclass(frozen=True)
class Bearing:
    """A cone in its cup. `thrust_factor` (Y) is None where it is not known."""

    cone: str
    cup: str
    bore_m: float
    cup_od_m: float
    width_m: float
    cone_width_m: float
    cup_width_m: float
    dynamic_n: float
    static_n: float
    thrust_factor: float | None
    source: str
    at: str

    @property
    def name(self) -> str:
        """Cone and cup as written: '25580/25520'."""
        return f"{self.cone}/{self.cup}"


@dataclass(frozen=True)
class FitRow:
    """Deviations from a nominal size over `over_m` and up to `to_m`."""

    what: str
    over_m: float
    to_m: float
    low_m: float
    high_m: float
    source: str
    at: str


@dataclass(frozen=True)
class Stud:
    """A wheel stud's thread."""

    name: str
    diameter_m: float
    pitch_m: float
    source: str


@dataclass(frozen=True)
class Grade:
    """Strength of a stud of threads from one outside diameter up to another."""

    name: str
    from_m: float
    to_m: float
    proof_pa: float
    tensile_pa: float
    yield_pa: float
    source: str
    at: str


@dataclass(frozen=True)
class TorqueRow:
    """A published final torque, with all that it is meant for."""

    studs: str
    nut: str
    wheel: str
    low_n_m: float
    high_n_m: float
    text: str  # as printed
    source: str
    at: str


@dataclass(frozen=True)
class StageRow:
    """A torque at which all nuts of a wheel are gone round before the final one."""

    stage: str
    low_n_m: float
    high_n_m: float
    text: str  # as printed
    source: str
    at: str


@dataclass(frozen=True)
class SettingRow:
    """A published way to set adjustable wheel bearings: words, as printed."""

    method: str
    seat: str  # torque at the spindle nut while the hub turns
    back_off: str
    source: str
    at: str


@dataclass(frozen=True)
class HeatColour:
    """An oxide colour and the temperatures that can leave it."""

    colour: str
    low_k: float
    high_k: float
    text: str  # as printed
    source: str
    at: str


@dataclass(frozen=True)
class DrumBody:
    """What of a drum takes up heat: the swept band and the iron that warms with it; both assumed."""

    nominal_m: float
    band_m: float
    warmed_kg: float


def drum_body(row: Row) -> DrumBody:
    """A row of drums.csv."""
    nominal = to_si(_more(row, "nominal"), row["unit"])
    return DrumBody(nominal, to_si(_more(row, "band_in"), "in"), to_si(_more(row, "warmed_lb"), "lb"))


def material(row: Row) -> Material:
    """A row of materials.csv."""
    return Material(
        row["material"], _more(row, "modulus_gpa", 1e9), _more(row, "poisson"), _more(row, "expansion_ppm_k", 1e-6),
        _more(row, "density_kg_m3"), _more(row, "specific_heat_j_kgk"), _more(row, "conductivity_w_mk"), row["source"], row["at"],
    )  # fmt: skip


def bearing(row: Row) -> Bearing:
    """A row of bearings.csv."""
    sizes = (
        to_si(_more(row, f"{name}_in"), "in")
        for name in ("bore", "cup_od", "width", "cone_width", "cup_width")
    )
    thrust = _more(row, "y") if row["y"] else None
    bore, cup_od, width, cone_width, cup_width = sizes
    dynamic, static = _more(row, "c_kn", 1e3), _more(row, "c0_kn", 1e3)
    return Bearing(
        row["cone"], row["cup"], bore, cup_od, width, cone_width, cup_width, dynamic, static, thrust, row["source"], row["at"]
    )  # fmt: skip


def fit(row: Row) -> FitRow:
    """A row of fits.csv."""
    over, to = (to_si(_amount(row, name), "in") for name in ("over_in", "to_in"))
    low, high = (to_si(_amount(row, name), "in") for name in ("low_in", "high_in"))
    if not low <= high:
        raise ValueError("the low deviation is over the high one")
    return FitRow(row["what"], over, to, low, high, row["source"], row["at"])


def stud(row: Row) -> Stud:
    """A row of studs.csv; an inch pitch is given as threads to the inch."""
    pitch = _more(row, "pitch")
    pitch_m = to_si(1, "in") / pitch if row["unit"] == "in" else to_si(pitch, row["unit"])
    return Stud(row["studs"], to_si(_more(row, "diameter"), row["unit"]), pitch_m, row["source"])


def grade(row: Row) -> Grade:
    """A row of grades.csv."""
    proof, tensile, yields = (to_si(_more(row, name), row["unit"]) for name in ("proof", "tensile", "yield"))
    least, most = (to_si(_more(row, name), row["size_unit"]) for name in ("from", "to"))
    if least >= most:
        raise ValueError("the sizes go from large to small")
    return Grade(row["grade"], least, most, proof, tensile, yields, row["source"], row["at"])


def torque(row: Row) -> TorqueRow:
    """A row of torques.csv."""
    low, high = _range(row, "torque")
    return TorqueRow(
        row["studs"], row["nut"], row["wheel"], low, high, _printed(row), row["source"], row["at"]
    )


def stage(row: Row) -> StageRow:
    """A row of stages.csv."""
    low, high = _range(row, "torque")
    return StageRow(row["stage"], low, high, _printed(row), row["source"], row["at"])


def setting(row: Row) -> SettingRow:
    """A row of settings.csv."""
    if not row["method"] or not row["back_off"]:
        raise ValueError("method and back_off must say something")
    return SettingRow(row["method"], row["seat"], row["back_off"], row["source"], row["at"])


def heat_colour(row: Row) -> HeatColour:
    """A row of heat_colours.csv."""
    low, high = _range(row, "temperature")
    return HeatColour(row["colour"], low, high, _printed(row), row["source"], row["at"])


READERS: Mapping[str, Callable[[Row], Any]] = {
    "materials": material, "bearings": bearing, "fits": fit, "studs": stud, "grades": grade, "torques": torque, "heat_colours": heat_colour,
    "stages": stage, "settings": setting,
}  # fmt: skip


def _range(row: Row, dimension: str) -> tuple[float, float]:
    if row["unit"] not in WORKOUT_UNITS or WORKOUT_UNITS[row["unit"]].dimension != dimension:
        raise ValueError(f"'{row['unit']}' is not a unit of {dimension}")
    low, high = (to_si(_more(row, name), row["unit"]) for name in ("low", "high"))
    if low > high:
        raise ValueError("low is over high")
    return low, high


def _printed(row: Row) -> str:
    return f"{row['low']} to {row['high']} {row['unit']}"


def _amount(row: Row, name: str) -> float:
    return float(row[name])


def _more(row: Row, name: str, times: float = 1.0) -> float:
    """A number that must be more than nothing."""
    value = float(row[name])
    if not 0 < value < float("inf"):
        raise ValueError(f"{name} is {row[name]}, not a number over zero")
    return value * times
