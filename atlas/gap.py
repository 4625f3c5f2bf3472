"""A shoe inside its drum, seen at the open edge with the plate taken away: how far its lining stands from the drum."""

from __future__ import annotations

from dataclasses import replace

from atlas.coat import Dice
from atlas.lining import lining
from atlas.parts import Work, drum_inside
from atlas.shape import Moved, Place

LIFT = 8.0  # height of the shoe's lower edge over the drum's floor, mm
SHOE = ("lining", "side", "under", "ledge", "table edge", "table", "web")


def gap(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: hardly a hair's breadth between them."""
    work = drum_inside(seed, fine)
    shoe = {
        n: replace(p, zone=Moved(p.zone, to=(0.0, 0.0, LIFT))) for n, p in lining(seed, fine).pieces.items()
    }
    return replace(work, pieces=work.pieces | shoe)


def clear(work: Work, hard: int, dice: Dice) -> Work:
    """The adjuster has not followed the wear: the shoe stands well back from the drum."""
    del dice
    back = -2.4 * hard
    moved = {n: replace(work.pieces[n], zone=shift(work, n, (back, 0.0, LIFT))) for n in SHOE}
    return replace(work, pieces=work.pieces | moved)


def shift(work: Work, name: str, to: Place) -> Moved:
    """One of the shoe's shapes set elsewhere."""
    was = work.pieces[name].zone
    assert isinstance(was, Moved)
    return replace(was, to=to)
