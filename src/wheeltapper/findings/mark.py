"""What photos of marks add to what was seen and felt: they may make a call stricter, never milder (F1).

A photo never says crack. A named person's fingernail does, and then it is the same fact as from the sweep; until that
answer is there the mark is open.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from wheeltapper.findings.facts import Fact, Key, Worked, said_yes
from wheeltapper.records import Corner, MarkSeen, Visit
from wheeltapper.words import positions

CHECK = "band under the fingernail"
FELT = {
    "friction band": "crack.felt",
    "magnet face": "crack.felt",
    "hub face": "hub.cracked",
    "rotor": "rotor.crack_felt",
}
PART = {"friction band": "hub-drum", "magnet face": "hub-drum", "hub face": "hub-face", "rotor": "rotor"}
OPEN = ("mark.not_felt", "mark.at_edge", "mark.network", "mark.grown")  # no answer of the check states these
NETWORKS = ("heat_checks.all_round", "heat_checks.in_patch", "rotor.heat_lines")


def find(visit: Visit, facts: Mapping[Key, Fact]) -> list[Fact]:
    """Facts of every wheel with photos of marks, and that there were none of the others."""
    marks = {c.position: c for c in visit.corner if c.mark}
    out = []
    for wheel in positions(visit.unit.axles):
        corner = marks.get(wheel)
        named = any(said_yes(facts, wheel, name) for name in NETWORKS)
        said = _said([_here(m, visit) for m in corner.mark], named) if corner else {}
        for name in (*said, *(n for n in OPEN if n not in said)):
            out.append(_fact(wheel, name, said.get(name, ()), visit.technician, corner))
    return out


def worked(visit: Visit) -> list[Worked]:
    """Every photo that was measured, for the sheet."""
    return [
        Worked(c.position, "mark", PART[m.on], m, m.on)
        for c in visit.corner
        for m in c.mark
        if m.verdict == "measured"
    ]


def _here(m: MarkSeen, visit: Visit) -> MarkSeen:
    """A drum has a friction band where a disc has a rotor: a slip of the word must not lose what was felt."""
    disc = visit.unit.brake == "hydraulic disc"
    other = {"friction band": "rotor", "magnet face": "rotor"} if disc else {"rotor": "friction band"}
    return m.model_copy(update={"on": other.get(m.on, m.on)})


def _said(marks: Sequence[MarkSeen], network_named: bool) -> dict[str, list[MarkSeen]]:
    """Each fact with the photos that state it."""
    out: dict[str, list[MarkSeen]] = {}
    for m in marks:
        felt = m.felt if (m.felt_by or "").strip() else None
        settled = bool((m.looked_by or "").strip())
        dark = m.end_to_end_mm is not None or m.pattern != "nothing dark"
        names = {
            FELT[m.on]: felt == "catches",
            OPEN[0]: dark and felt is None,
            OPEN[1]: m.reaches_edge is True and felt == "smooth" and not settled,
            OPEN[2]: m.pattern == "fine network" and felt == "smooth" and not (network_named or settled),
            OPEN[3]: m.grown is True and felt == "smooth" and not settled,
        }
        for name in (n for n, yes in names.items() if yes):
            out.setdefault(name, []).append(m)
    return out


def _fact(wheel: str, name: str, marks: Sequence[MarkSeen], technician: str, corner: Corner | None) -> Fact:
    if not marks or corner is None:
        no = None if corner is None else False
        return Fact(wheel, name, no, None if no is None else "seen", check=CHECK, optional=True)
    people = tuple(sorted({(m.felt_by or corner.by or technician).strip() for m in marks}))
    words = tuple(
        f"photo {m.photo}: {m.seen or m.verdict}" + (f", {m.felt}" if m.felt else "") for m in marks
    )
    felt = name not in OPEN
    return Fact(
        wheel,
        name,
        True,
        "felt" if felt else "seen",
        people,
        words,
        CHECK,
        photos=tuple(m.photo for m in marks),
    )
