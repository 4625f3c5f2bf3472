"""How shoes and drum meet: new shoes in a worn drum, worn shoes in a new one. The reason behind P1 and P4."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees

from wheeltapper.findings.facts import Gauged, Worked
from wheeltapper.reference.tables import Tables


@dataclass(frozen=True)
class Arc:
    """A drum over its nominal size: what new shoes touch of it at first, and how old shoes would sit in a new one."""

    drum_m: float
    nominal_m: float
    touch_m: float  # a gap still taken as contact
    arc_deg: float  # the whole arc of a shoe
    new_touches_share: float  # of that arc, a new shoe in this drum
    new_wears_m: float  # lining to wear before it touches all over
    old_crown_gap_m: float  # a shoe worn to this drum, in a new one
    old_touches_share: float


def find(tables: Tables, gauged: list[Gauged]) -> list[Worked]:
    """The contact at every wheel whose drum was measured well over its new size."""
    over = tables.number("pair_size")
    worn = {
        g.position: (size, g.nominal)
        for g in gauged
        if g.nominal is not None and (size := _surface_m(g)) - g.nominal > over
    }
    return [Worked(p, "arc", "brake-assembly", _arc(*sizes, tables)) for p, sizes in worn.items()]


def _surface_m(g: Gauged) -> float:
    """Largest friction diameter as read, grooves left out: shoes ride on the surface. 0 where it is no drum."""
    return max(
        (s.size for s in g.readings if s.what == "friction diameter" and s.at != "repeat"), default=0.0
    )


def _arc(drum_m: float, nominal_m: float, tables: Tables) -> Arc:
    from wheeltapper.measure import lining

    half, touch = tables.number("shoe_half_arc"), tables.number("arc_touch")
    worn, new = drum_m / 2, nominal_m / 2
    crown = lining.gap_m(new, worn, lining.touching_offset_m(new, worn, half), 0.0)
    return Arc(
        drum_m, nominal_m, touch, 2 * degrees(half), float(lining.touching_share(worn, new, half, touch)),
        float(lining.wear_in_depth_m(worn, new, half)), float(crown), float(lining.touching_share(new, worn, half, touch)),
    )  # fmt: skip
