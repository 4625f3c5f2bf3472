"""What a view and a shown condition are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from atlas.coat import Dice
from atlas.parts import Work
from atlas.stage import Camera

Condition = Callable[[Work, int, Dice], Work]


@dataclass(frozen=True)
class View:
    """A camera, and what it looks at in its good state; `fine` has px per mm of what is seen closely."""

    name: str
    title: str
    part: str
    camera: Camera
    good: Callable[[int, dict[str, float]], Work]
    fine: dict[str, float]
    seed: int


@dataclass(frozen=True)
class Shown:
    """A condition as a check of the sweep words it, and how it is drawn; each degree with its word."""

    view: str
    check: str
    word: str
    draw: Condition
    degrees: tuple[tuple[int, str], ...] = ((2, ""),)
