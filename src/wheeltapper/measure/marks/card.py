"""The printed card as the maths sees it: where each tag stands and what the card leaves open.

A record with sizes in metres. Tables are read and checked elsewhere (`wheeltapper.reference.cards`); nothing here
knows a file, a printer or a picture.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from wheeltapper.measure.number import Floats

Pair = tuple[float, float]
Box = tuple[float, float, float, float]  # left, bottom, right, top


class CardTable(Protocol):
    """What a table of a card must say; sizes in metres."""

    @property
    def name(self) -> str: ...
    @property
    def tags(self) -> Mapping[int, tuple[Pair, ...]]: ...
    @property
    def opening_m(self) -> Box: ...
    @property
    def size_m(self) -> Pair: ...
    @property
    def bendable(self) -> bool: ...
    @property
    def thickness_m(self) -> float: ...
    @property
    def bar_m(self) -> float: ...


@dataclass(frozen=True)
class Card:
    """A card in its own frame: origin lower left, x along the circumference, y towards the drum's open edge."""

    name: str
    tags: Mapping[int, Floats]  # corners (4, 2) m: top left, top right, bottom right, bottom left, seen upright
    opening_m: Box
    size_m: Pair
    bendable: bool
    thickness_m: float
    bar_m: float

    @property
    def middle_m(self) -> Floats:
        """The middle of the card (2,), where it is taken to touch the wall."""
        return np.array(self.size_m) / 2


def card_of(table: CardTable) -> Card:
    """A card from its table.

    Args:
        table: what `wheeltapper.reference.cards` read; every field already checked.

    Returns:
        The card, tags in the order of their numbers.
    """
    tags = {id: np.array(table.tags[id], float) for id in sorted(table.tags)}
    return Card(
        table.name, tags, table.opening_m, table.size_m, table.bendable, table.thickness_m, table.bar_m
    )


def grid_m(box: Box, step_m: float) -> Floats:
    """Points spread evenly over a box of the card.

    Args:
        box: left, bottom, right, top of the box.
        step_m: how far apart at most [m].

    Returns:
        Points (n, 2), edges included, row by row from the bottom.
    """
    left, bottom, right, top = box
    across = np.linspace(left, right, max(2, int(np.ceil((right - left) / step_m)) + 1))
    up = np.linspace(bottom, top, max(2, int(np.ceil((top - bottom) / step_m)) + 1))
    return np.stack(np.meshgrid(across, up), axis=-1).reshape(-1, 2)
