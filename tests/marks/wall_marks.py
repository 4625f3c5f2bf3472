"""Marks on a drum's surface by chance: cracks, heat checks and what only looks like them, with their true lines.

Everything here is plane geometry in developed millimetres: x along the circumference, y along the axis towards the
open edge. Nothing here paints or photographs, and nothing is taken from the product. How real cracks wander, how
wide they are and how they thin is assumed: what is measured on these marks says nothing about real drums.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import Voronoi

Array = NDArray[np.float64]
Dice = np.random.Generator
STEP_MM = 0.25
KINDS = (
    "crack at edge", "crack in band", "checks", "network", "crack and checks", "thread", "scratch", "pencil", "clean",
)  # fmt: skip


@dataclass(frozen=True)
class Mark:
    """One line and its truth; coordinates in mm of the surface or of the card, as whoever hands it over says."""

    kind: str  # crack, check, network, thread, scratch, pencil
    line_mm: Array  # (n, 2) from end to end; a line at the edge starts there
    width_mm: float  # in the middle
    taper_mm: tuple[float, float]  # over which it thins to nothing at its first and last end; 0 does not thin
    reaches_edge: bool = False

    @property
    def end_to_end_mm(self) -> float:
        """Straight from end to end."""
        return float(np.hypot(*(self.line_mm[-1] - self.line_mm[0])))

    @property
    def along_mm(self) -> float:
        """Along every vertex, a quarter of a millimetre apart, unsmoothed."""
        return float(np.hypot(*np.diff(self.line_mm, axis=0).T).sum())

    @property
    def angle_deg(self) -> float:
        """Between the straight line and y, 0 to 90."""
        across, up = np.abs(self.line_mm[-1] - self.line_mm[0])
        return float(np.degrees(np.arctan2(across, up)))


@dataclass(frozen=True)
class Window:
    """Where marks may lie: the card's opening on the surface, in surface mm; `top` is the open edge if there is one."""

    left: float
    bottom: float
    right: float
    top: float
    has_edge: bool

    def inside(self, dice: Dice, margin: float) -> Array:
        """A place by chance, so far from every side."""
        return np.array(
            [
                dice.uniform(self.left + margin, self.right - margin),
                dice.uniform(self.bottom + margin, self.top - margin),
            ]
        )


def marks_of(kind: str, window: Window, dice: Dice) -> tuple[Mark, ...]:
    """The marks of one scene."""
    makers: dict[str, Callable[[Window, Dice], tuple[Mark, ...]]] = {
        "crack at edge": lambda w, d: (_crack_at_edge(w, d),) if w.has_edge else (_crack_in_band(w, d),),
        "crack in band": lambda w, d: (_crack_in_band(w, d),),
        "checks": _checks,
        "network": _network,
        "crack and checks": lambda w, d: (_crack_in_band(w, d), *_checks(w, d, 10)),
        "thread": _thread,
        "scratch": _scratch,
        "pencil": _pencil,
        "clean": lambda w, d: (),
    }
    return makers[kind](window, dice)


def wander(start: Array, heading_rad: float, length_mm: float, dice: Dice, bend: float, jag_mm: float) -> Array:
    """A line that keeps its heading roughly (0 is up, + right), bends slowly and jags by small steps."""
    count = max(4, round(length_mm / STEP_MM))
    slow, quick = (_unsteady(count, every, spread, dice) for every, spread in ((24, bend), (4, jag_mm)))
    heading = heading_rad + slow - slow.mean()
    steps = STEP_MM * np.column_stack([np.sin(heading), np.cos(heading)])
    line = start + np.vstack([np.zeros(2), np.cumsum(steps, axis=0)])
    aside = np.array([np.cos(heading_rad), -np.sin(heading_rad)])
    return np.asarray(line + np.concatenate([[0.0], quick - quick[0]])[:, None] * aside)


def _unsteady(count: int, every: int, spread: float, dice: Dice) -> Array:
    """Chance numbers, one in `every` steps, and straight in between."""
    knots = np.arange(0, count + every, every)
    return np.interp(np.arange(count), knots, dice.normal(0, spread, len(knots)))


def _crack_at_edge(window: Window, dice: Dice) -> Mark:
    room = min(40.0, window.top - window.bottom - 2)
    start = np.array([dice.uniform(window.left + 10, window.right - 10), window.top])
    line = wander(start, np.pi + dice.normal(0, 0.12), dice.uniform(8, room), dice, 0.25, 0.08)
    return Mark("crack", line, dice.uniform(0.2, 0.5), (0.0, dice.uniform(2, 6)), True)


def _crack_in_band(window: Window, dice: Dice) -> Mark:
    room = min(40.0, window.top - window.bottom - 4)
    length = dice.uniform(8, room)
    heading = dice.normal(0, 0.2)
    line = wander(np.zeros(2), heading, length, dice, 0.25, 0.08)
    low, high = line.min(axis=0), line.max(axis=0)
    x = dice.uniform(window.left + 6 - low[0], window.right - 6 - high[0])
    y = dice.uniform(window.bottom + 1 - low[1], max(window.bottom + 1.1, window.top - 2 - high[1]) - low[1] * 0)
    taper = (float(dice.uniform(2, 5)), float(dice.uniform(2, 5)))
    return Mark("crack", line + [x, y], dice.uniform(0.2, 0.5), taper)


def _checks(window: Window, dice: Dice, most: int = 34) -> tuple[Mark, ...]:
    out: list[Mark] = []
    middles: list[Array] = []
    wide = Window(window.left - 30, window.bottom, window.right + 30, window.top, window.has_edge)
    for _ in range(int(dice.integers(most // 2, most + 1))):
        at = wide.inside(dice, 5)
        if any(np.hypot(*((at - m) / [1, 2])) < 2.5 for m in middles):
            continue  # checks lie side by side, not on top of each other
        middles.append(at)
        length, heading = dice.uniform(3, 8), dice.normal(0, 0.15)
        line = wander(at, heading, length, dice, 0.12, 0.03)
        taper = length / 4
        out.append(Mark("check", line - (line[-1] - line[0]) / 2, dice.uniform(0.05, 0.12), (taper, taper)))
    return tuple(out)


def _network(window: Window, dice: Dice) -> tuple[Mark, ...]:
    """Edges of cells round jittered middles: a patch crazed by heat."""
    cell = dice.uniform(3.5, 6)
    wide, high = dice.uniform(22, 45), min(dice.uniform(14, 28), window.top - window.bottom - 3)
    x = dice.uniform(window.left + 2, max(window.left + 2.1, window.right - wide - 2))
    y = dice.uniform(window.bottom + 1, window.top - high - 1)
    grid = np.stack(np.meshgrid(np.arange(-2, wide / cell + 2), np.arange(-2, high / cell + 2)), -1).reshape(-1, 2)
    cells = Voronoi((grid + dice.uniform(-0.4, 0.4, grid.shape)) * cell + [x, y])
    out = []
    for a, b in cells.ridge_vertices:
        if a < 0 or b < 0 or dice.random() > 0.88:
            continue
        ends = cells.vertices[[a, b]]
        if np.any(ends < [x, y]) or np.any(ends > [x + wide, y + high]) or np.hypot(*(ends[1] - ends[0])) < 0.6:
            continue
        out.append(Mark("network", _jagged(ends, dice), dice.uniform(0.06, 0.18), (0.0, 0.0)))
    return tuple(out)


def _jagged(ends: Array, dice: Dice) -> Array:
    """From end to end exactly, a little aside in between."""
    along = ends[1] - ends[0]
    size = float(np.hypot(*along))
    part = np.linspace(0, 1, max(4, round(size / STEP_MM)))
    aside = np.array([-along[1], along[0]]) / size
    bump = np.cumsum(dice.normal(0, 0.06, len(part)))
    bump -= bump[0] + part * (bump[-1] - bump[0])
    return np.asarray(ends[0] + part[:, None] * along + bump[:, None] * aside)


def _thread(window: Window, dice: Dice) -> tuple[Mark, ...]:
    """From a rag: bends far more smoothly than a crack, of one width to its ends."""
    length = dice.uniform(18, 45)
    count = round(length / STEP_MM)
    knots = np.arange(0, count + 40, 20)
    turn = np.interp(np.arange(count), knots, np.cumsum(dice.normal(0, 0.35, len(knots))))
    turn = np.convolve(np.pad(turn, 10, "edge"), np.full(21, 1 / 21), "valid") + dice.normal(0, 0.6)
    line = np.cumsum(STEP_MM * np.column_stack([np.sin(turn), np.cos(turn)]), axis=0)
    line += window.inside(dice, 10) - line.mean(axis=0)
    line[:, 1] = np.clip(line[:, 1], window.bottom - 4, window.top - 0.5)
    return (Mark("thread", line, dice.uniform(0.22, 0.4), (0.0, 0.0)),)


def _scratch(window: Window, dice: Dice) -> tuple[Mark, ...]:
    """Along the grooves, as grit under a shoe leaves it."""
    length = dice.uniform(15, 40)
    line = wander(np.zeros(2), np.pi / 2 + dice.normal(0, 0.05), length, dice, 0.01, 0.005)
    middle = window.inside(dice, 8)
    return (Mark("scratch", line - line.mean(axis=0) + middle, dice.uniform(0.12, 0.35), (4.0, 4.0)),)


def _pencil(window: Window, dice: Dice) -> tuple[Mark, ...]:
    length = dice.uniform(12, 28)
    line = wander(np.zeros(2), dice.normal(0, 0.4), length, dice, 0.02, 0.01)
    low, high = line.min(axis=0), line.max(axis=0)
    x = dice.uniform(window.left + 5 - low[0], window.right - 5 - high[0])
    y = dice.uniform(window.bottom + 1 - low[1], window.top - 1 - high[1])
    return (Mark("pencil", line + [x, y], dice.uniform(0.35, 0.6), (0.0, 0.0)),)
