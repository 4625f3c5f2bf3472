"""Lines, pits and tints that conditions are made of, drawn into pictures of shares between 0 and 1."""

from __future__ import annotations

import cv2
import numpy as np

from atlas.coat import Coat, Dice, Floats, clouds, soft, step

FINE = 3  # lines are drawn so much larger and brought down
# Oxide film on iron from cool to hot, as linear light; order and look by eye after reference/heat_colours.csv.
FILM = np.array([
    [0.36, 0.35, 0.33], [0.36, 0.31, 0.20], [0.27, 0.19, 0.11], [0.17, 0.11, 0.10], [0.11, 0.10, 0.16], [0.08, 0.11, 0.22],
    [0.12, 0.17, 0.25], [0.16, 0.175, 0.19],
], np.float32)  # fmt: skip


def walk(dice: Dice, start: tuple[float, float], length: float, turn: float, wild: float) -> Floats:
    """A line (n, 2) of (along, across) mm that wanders; `turn` 0 runs across."""
    steps = max(4, int(length / 0.35))
    lean = np.zeros(steps)
    for i in range(1, steps):  # comes back to its way, with a kink now and then
        lean[i] = (
            0.72 * lean[i - 1]
            + dice.normal(0, 0.26 * wild)
            + (dice.normal(0, 0.6 * wild) if dice.random() < 0.08 else 0)
        )
    way = turn + lean
    moves = np.column_stack([np.sin(way), np.cos(way)]) * length / steps
    return np.asarray(np.array(start) + np.cumsum(moves, 0), np.float32)


def lines(coat: Coat, paths: list[tuple[Floats, float, float]]) -> Floats:
    """Dark lines: each path (along, across) mm with its width at the start and at the end, mm."""
    rows, cols = coat.shape
    fine = np.zeros((rows * FINE, cols * FINE), np.uint8)
    px = coat.px * FINE
    for path, first, last in paths:
        at = (
            np.round(np.column_stack([path[:, 0] * px + cols * FINE / 2, path[:, 1] * px]))
            .astype(int)
            .tolist()
        )
        width = np.linspace(first, last, len(at)) * px
        for i in range(len(at) - 1):
            cv2.line(fine, at[i], at[i + 1], 255, max(1, round(float(width[i]))))
    out = cv2.resize(fine, (cols, rows), interpolation=cv2.INTER_AREA)
    return np.asarray(out, np.float32) / 255


def check_lines(dice: Dice, coat: Coat, along: tuple[float, float], across: tuple[float, float], each_cm2: float,
                longest: float, bold: float = 1.0) -> Floats:  # fmt: skip
    """Many short fine lines, most of them across, as heat leaves them."""
    many = int((along[1] - along[0]) * (across[1] - across[0]) / 100 * each_cm2)
    paths = []
    for _ in range(many):
        start = float(dice.uniform(*along)), float(dice.uniform(*across))
        length = float(longest * dice.beta(1.6, 3.5) + 0.8)
        length = min(length, max(0.5, across[1] - start[1]))
        paths.append(
            (
                walk(dice, start, length, float(dice.normal(0, 0.2)), 0.75),
                bold * float(dice.uniform(0.08, 0.16)),
                bold * 0.08,
            )
        )
    return lines(coat, paths)


def film(heat: Floats) -> Floats:
    """The colour (rows, cols, 3) of iron that was so hot: 0 never, 1 past blue."""
    at = np.clip(heat, 0, 1) * (len(FILM) - 1)
    low = np.floor(np.clip(at, 0, len(FILM) - 1.001)).astype(int)
    part = (at - low)[..., None]
    return np.asarray(FILM[low] * (1 - part) + FILM[low + 1] * part, np.float32)


def pit_field(dice: Dice, coat: Coat, share: float) -> Floats:
    """How deep the pits are, 0 to 1: clusters of ragged holes."""
    px, shape = coat.px, coat.shape
    field = clouds(dice, shape, px, [(0.9, 1.1, 1.4), (0.5, 0.45, 0.5), (0.7, 9, 14)])
    return soft(step(field, 2.4 - 2 * share, 3.0 - 2 * share), 0.08, px)
