"""What the recorded rings of a drum add to what was seen and felt: they may make a call stricter, never milder (F2)."""

from __future__ import annotations

from collections.abc import Sequence

from wheeltapper.findings.facts import Fact, Worked
from wheeltapper.records import Corner, RingHeard, Visit
from wheeltapper.words import positions

CHECK = "ring"
TELLING = ("dull", "looks split", "inspect")
OPEN = ("drum.ring_look_closer", "drum.ring_not_done")  # no answer of the check states these


def find(visit: Visit) -> list[Fact]:
    """Facts of every wheel whose drum was recorded, and that nobody recorded the others; a good ring adds none."""
    rings = {c.position: c for c in visit.corner if c.ring}
    out = []
    for wheel in positions(visit.unit.axles):
        said = _said(rings[wheel].ring) if wheel in rings else {}
        for name in (*(n for n, yes in said.items() if yes), *(n for n in OPEN if not said.get(n))):
            out.append(_fact(wheel, name, said.get(name), rings.get(wheel), visit.technician))
    return out


def worked(visit: Visit) -> list[Worked]:
    """The recording of each drum that tells most: the last that is not like its references, else the last."""
    out = []
    for c in visit.corner:
        telling = [r for r in c.ring if r.verdict in TELLING] or list(c.ring)
        out += [Worked(c.position, "ring", "hub-drum", r) for r in telling[-1:]]
    return out


def _fact(wheel: str, name: str, answer: bool | None, corner: Corner | None, technician: str) -> Fact:
    if corner is None or not answer:
        return Fact(wheel, name, answer, None if answer is None else "heard", check=CHECK, optional=True)
    words = tuple(f"{r.clip}: {r.verdict}" for r in corner.ring)
    return Fact(wheel, name, True, "heard", (corner.by or technician,), words, CHECK)


def _said(rings: Sequence[RingHeard]) -> dict[str, bool]:
    dull = [r for r in rings if r.verdict == "dull"]
    twice = sum(1 for r in dull if r.hung) > 1
    return {
        "drum.ring_dull_repeated": twice,
        "drum.ring_dull_once": any(r.hung for r in dull) and not twice,
        "drum.ring_proves_nothing": bool(dull) and not any(r.hung for r in dull),
        OPEN[0]: _open(rings, TELLING[1:]),
        OPEN[1]: rings[-1].verdict == "retake" and not rings[-1].looked_by,
    }


def _open(rings: Sequence[RingHeard], verdicts: tuple[str, ...]) -> bool:
    """Did one of these come, with nobody looking closely then or later?"""
    last = max((i for i, r in enumerate(rings) if r.verdict in verdicts), default=None)
    return last is not None and not any(r.looked_by for r in rings[last:])
