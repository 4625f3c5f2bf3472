"""The hub-drum: its profile in zones, and its studs. Sizes in mm; the open edge of the drum lies highest.

Nominal drums, their bands and the cups come from the reference tables. Everything marked assumed is drawn to look like
the usual part of its size and is nobody's drawing: never measure anything from a picture of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from atlas.shape import Profile, Zone
from wheeltapper.reference.house import load

INNER_CUP = {"10 in": "L68111", "12 in": "25520"}
OUTER_CUP = {"10 in": "L44610", "12 in": "14276"}
CIRCLE_MM = {5: 114.3, 6: 139.7, 8: 165.1}  # the usual wheel: 5 on 4 1/2, 6 on 5 1/2, 8 on 6 1/2 in
STUD_MM = {5: 12.7, 6: 12.7, 8: 14.29}  # 1/2 in, 9/16 in


@dataclass(frozen=True)
class Drum:
    """The sizes that tell one hub-drum from another."""

    size: str
    studs: int
    radius: float
    depth: float  # of the band and the unswept strip behind it
    circle: float  # radius of the studs' circle
    stud: float  # radius
    inner_cup: float  # radius of its bore
    outer_cup: float

    @property
    def pilot(self) -> float:
        """Radius the wheel centres on; assumed."""
        return self.circle - 17.0

    @property
    def hub(self) -> float:
        """Radius of the hub barrel towards the axle; assumed."""
        return self.inner_cup + 10.0

    @property
    def face(self) -> tuple[float, float]:
        """Inner and outer radius of the magnet face; assumed."""
        return self.radius * 0.575, self.radius * 0.83


@cache
def drum(size: str, studs: int) -> Drum:
    """A hub-drum of the tables."""
    tables = load()
    body = tables.drum_bodies[size]
    cups = {b.cup: b.cup_od_m * 500 for b in tables.bearings.values()}
    return Drum(
        size, studs, body.nominal_m * 500, body.band_m * 1000 + 10, CIRCLE_MM[studs] / 2, STUD_MM[studs] / 2,
        cups[INNER_CUP[size]], cups[OUTER_CUP[size]],
    )  # fmt: skip


def inside(d: Drum) -> dict[str, Zone]:
    """The zones seen from the axle: rim, chamfer, band, magnet face, hub barrel with its bores."""
    r, h = d.radius, d.depth
    low, high = d.face
    paths: dict[str, tuple[Profile, float]] = {
        "outer": (((r + 9, -12), (r + 9, h - 1), (r + 8, h)), 1.0),
        "rim": (((r + 8, h), (r + 2.2, h)), 0.5),
        "chamfer": (((r + 2.2, h), (r, h - 2.2)), 0.2),
        "band": (((r, h - 2.2), (r, 6)), 0.4),
        "root": (((r, 6), (r - 1, 3), (r - 3, 1), (r - 6, 0)), 0.5),
        "web": (((r - 6, 0), (high + 1.5, 0)), 0.7),
        "face edge": (((high + 1.5, 0), (high, 6)), 0.7),
        "magnet face": (((high, 6), (low, 6)), 0.4),
        "face inner edge": (((low, 6), (low - 1.5, 1)), 0.7),
        "floor": (((low - 1.5, 1), (d.hub + 5, 1), (d.hub + 1.5, 2.5), (d.hub, 6)), 0.7),
        "barrel": (((d.hub, 6), (d.hub - 1, 38), (d.hub - 2, 39)), 0.7),
        "barrel end": (((d.hub - 2, 39), (d.inner_cup + 3.2, 39)), 0.5),
        "seal edge": (((d.inner_cup + 3.2, 39), (d.inner_cup + 2.2, 38)), 0.3),
        "seal bore": (((d.inner_cup + 2.2, 38), (d.inner_cup + 2.2, 26)), 0.3),
        "seal floor": (((d.inner_cup + 2.2, 26), (d.inner_cup, 26)), 0.3),
        "cup bore": (((d.inner_cup, 26), (d.inner_cup, 4)), 0.3),
        "cup shoulder": (((d.inner_cup, 4), (d.inner_cup - 6, 4)), 0.3),
        "cavity": (((d.inner_cup - 6, 4), (d.inner_cup - 6, -40)), 1.0),
    }
    return {name: Zone(path, cell_mm=cell) for name, (path, cell) in paths.items()}


def outside(d: Drum) -> dict[str, Zone]:
    """The zones seen from the road, turned up: hub face, pilot with cap bore and outer cup bore. Hub face at height 0."""
    paths: dict[str, tuple[Profile, float]] = {
        "drum wall": (((d.radius + 9, -70), (d.radius + 9, -8), (d.radius + 5, -5)), 1.0),
        "back": (((d.radius + 5, -5), (d.circle + 25, -5)), 1.0),
        "flange edge": (((d.circle + 25, -5), (d.circle + 24, 0)), 0.5),
        "hub face": (((d.circle + 24, 0), (d.pilot, 0)), 0.4),
        "pilot": (((d.pilot, 0), (d.pilot, 9), (d.pilot - 2, 11)), 0.4),
        "shoulder": (((d.pilot - 2, 11), (d.outer_cup + 10, 13), (d.outer_cup + 8, 15)), 0.6),
        "nose": (((d.outer_cup + 8, 15), (d.outer_cup + 7, 38)), 0.6),
        "nose end": (((d.outer_cup + 7, 38), (d.outer_cup + 2.6, 38)), 0.4),
        "cap edge": (((d.outer_cup + 2.6, 38), (d.outer_cup + 1.8, 37.2)), 0.3),
        "cap bore": (((d.outer_cup + 1.8, 37.2), (d.outer_cup + 1.8, 26)), 0.3),
        "cap floor": (((d.outer_cup + 1.8, 26), (d.outer_cup, 26)), 0.3),
        "cup bore": (((d.outer_cup, 26), (d.outer_cup, 7)), 0.3),
        "cup shoulder": (((d.outer_cup, 7), (d.outer_cup - 6, 7)), 0.3),
        "cavity": (((d.outer_cup - 6, 7), (d.outer_cup - 6, -30)), 1.0),
    }
    return {name: Zone(path, cell_mm=cell) for name, (path, cell) in paths.items()}
