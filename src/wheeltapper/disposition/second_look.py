"""A wheel that somebody still learning has answered waits for a second look (F19): another person, who is not, agrees.

Who agrees agrees with every answer of that wheel. A person's last look counts; one who disagrees keeps the wheel held.
"""

from __future__ import annotations

from collections.abc import Iterator

from wheeltapper.records import Corner, Visit
from wheeltapper.words import positions


def second_looks_due(visit: Visit) -> tuple[str, ...]:
    """What holds the trailer, wheel by wheel."""
    learning = {_plain(name) for name in visit.learning}
    last = {(s.position, _plain(s.by)): s.agrees for s in visit.second_look if _plain(s.by) not in learning}
    answered = {c.position for c in visit.corner if learning & {_plain(n) for n in _givers(c, visit)}}
    out = []
    for position in positions(visit.unit.axles):
        looks = [agrees for (at, _), agrees in last.items() if at == position]
        if not all(looks):
            out.append(f"{position}: second look disagrees")
        elif position in answered and not looks:
            out.append(f"{position}: second look due")
    return tuple(out)


def _plain(name: str) -> str:
    """'a1 ' is A1: a slip of the keys must not free a wheel."""
    return name.strip().casefold()


def _givers(corner: Corner, visit: Visit) -> Iterator[str]:
    """Whose word anything on a wheel is."""
    own = corner.by or visit.technician
    looks = (*corner.look, *corner.feel, *corner.hear)
    said = [*(x.by for x in looks), *(r.by for r in corner.reading), *(n.by for n in corner.not_checked)]
    yield from (name or own for name in said)
    vouching = [corner.rest_fine, *(r.looked_by for r in corner.ring)]
    vouching += [name for m in corner.mark for name in (m.felt_by, m.looked_by)]
    yield from (name for name in vouching if name)
