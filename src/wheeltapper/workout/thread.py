"""A thread as it is marked: a row of the studs table, else outside diameter and pitch read from the name itself."""

from __future__ import annotations

import re
from dataclasses import dataclass

from wheeltapper.measure import clamp
from wheeltapper.problems import NoAnswerError
from wheeltapper.reference.tables import Tables
from wheeltapper.units import INCH_M
from wheeltapper.workout.amounts import number

METRIC = re.compile(r"M ?(\d+(?:[.,]\d+)?) ?[xX\u00d7*] ?(\d+(?:[.,]\d+)?)")
INCH = re.compile(
    r"((?:\d+[ -])?\d+/\d+|\d*\.?\d+) ?(?:in|\")? ?- ?(\d+(?:\.\d+)?)(?: ?UN[CFR]?)?", re.IGNORECASE
)
DIAMETERS_M = (0.001, 0.15)  # of threads that any table of strengths knows
PITCHES = (0.02, 0.3)  # pitch over diameter: finer strips, coarser leaves no core


@dataclass(frozen=True)
class Thread:
    """A thread [m]; `inch` where it is counted in threads to the inch."""

    diameter: float
    pitch: float
    inch: bool

    @property
    def area(self) -> float:
        """Tensile stress area [m2]."""
        depth = clamp.INCH_DEPTH_SHARE if self.inch else clamp.ISO_DEPTH_SHARE
        return clamp.stress_area_m2(self.diameter, self.pitch, depth)


def thread_named(name: str, tables: Tables) -> Thread:
    """The thread of a stud as marked."""
    if row := tables.studs.get(name):
        return Thread(row.diameter_m, row.pitch_m, not row.name.startswith("M"))
    found = _read(name.strip())
    if found is None:
        raise NoAnswerError(
            f"'{name}' is not a thread", "write diameter and threads to the inch, 1/2-20, or diameter and pitch, M12x1.5."
        )  # fmt: skip
    low, high = DIAMETERS_M
    if not (low <= found.diameter <= high and PITCHES[0] <= found.pitch / found.diameter <= PITCHES[1]):
        raise NoAnswerError(
            f"no thread is {name}: its pitch does not go with its diameter", "read the mark again, 1/2-20 or M12x1.5."
        )  # fmt: skip
    return found


def _read(name: str) -> Thread | None:
    if match := METRIC.fullmatch(name):
        across, pitch = (float(part.replace(",", ".")) for part in match.groups())
        return Thread(across / 1e3, pitch / 1e3, inch=False)
    if match := INCH.fullmatch(name):
        size, count = number(match[1]), number(match[2])
        return Thread(size * INCH_M, INCH_M / count, inch=True) if size and count else None
    return None
