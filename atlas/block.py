"""Places for plates, bars, ovals, coils and bent wires: what is cut, cast or wound and not turned. Sizes in mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from atlas.shape import Array, Place, Skin, along

Flat = Sequence[tuple[float, float]]


def rows_of(*lines: Array) -> tuple[tuple[Place, ...], ...]:
    """Lines of places (n, 3), of one length, as a skin wants them."""
    return tuple(tuple((float(x), float(y), float(z)) for x, y, z in line) for line in lines)


def bow(points: Sequence[Place], many: int = 60) -> tuple[Place, ...]:
    """A smooth way through points, for wires and hoses."""
    p = np.array(points, float)
    p = np.concatenate([[2 * p[0] - p[1]], p, [2 * p[-1] - p[-2]]])
    out = []
    for a, b, c, d in zip(p[:-3], p[1:-2], p[2:-1], p[3:], strict=True):
        t = np.linspace(0, 1, max(3, many // (len(p) - 3)), endpoint=False)[:, None]
        out.append(
            0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)
        )
    return rows_of(np.concatenate([*out, p[-2:-1]]))[0]


def arc(radius: float, start_deg: float, end_deg: float, many: int = 60) -> Array:
    """Flat places (n, 2) round the origin."""
    turn = np.radians(np.linspace(start_deg, end_deg, many))
    return np.stack([radius * np.cos(turn), radius * np.sin(turn)], -1)


def high(flat: Array | Flat, z: float | Array) -> Array:
    """Flat places set at a height, or each at its own."""
    p = np.array(flat, float)
    return np.column_stack([p, np.broadcast_to(np.asarray(z, float), len(p))])


def plank(a: Array | Flat, b: Array | Flat, z: tuple[float | Array, float | Array], bevel: float = 0.5,
          cell_mm: float = 0.5, many: int = 80) -> Skin:  # fmt: skip
    """A flat bar between two edges, its lower side open; each height may change from end to end."""
    p, q = (along(high(line, 0), many)[:, :2] for line in (a, b))
    way, over = p[-1] - p[0], (q - p)[many // 2]
    if way[0] * over[1] < way[1] * over[0]:
        p, q = q, p
    low, top = (np.broadcast_to(np.asarray(h, float), many) for h in z)
    wide = np.maximum(np.linalg.norm(q - p, axis=1, keepdims=True), 1e-6)
    inner = np.minimum(bevel / wide, 0.4)
    edge_p, edge_q = p + inner * (q - p), q - inner * (q - p)
    lines = [
        high(p, low),
        high(p, top - bevel),
        high(edge_p, top),
        high(edge_q, top),
        high(q, top - bevel),
        high(q, low),
    ]
    return Skin(rows_of(*(_ended(line, low) for line in lines)), cell_mm)


def _ended(line: Array, low: Array) -> Array:
    """Its ends brought down, so that a bar is closed there."""
    first, last = line[0] * [1, 1, 0] + [0, 0, low[0]], line[-1] * [1, 1, 0] + [0, 0, low[-1]]
    return np.concatenate([[first], line, [last]])


def beside(path: Array | Flat, left: float | Array, right: float | Array) -> tuple[Array, Array]:
    """Both edges of a bar along a way, so far to its left and right."""
    p = np.array(path, float)
    way = np.gradient(p, axis=0)
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    side = np.column_stack([-way[:, 1], way[:, 0]])
    a, b = (np.broadcast_to(np.asarray(v, float), len(p))[:, None] for v in (left, right))
    return p + a * side, p - b * side


def oval(long: float, wide: float, many: int = 80) -> tuple[Array, Array]:
    """Lower and upper half of an oval with straight sides, both from left to right (n, 2)."""
    turn = np.linspace(np.pi, 0, many)
    half = long / 2 - wide / 2
    x, y = wide / 2 * np.cos(turn), wide / 2 * np.sin(turn)
    upper = along(np.column_stack([x + np.where(x < 0, -half, half), y, 0 * y]), many)[:, :2]
    return upper * [1, -1], upper


def ring_of(lower: Array, upper: Array) -> Array:
    """Both halves as one closed line."""
    return np.concatenate([lower, upper[::-1][1:]])


def hexagon(across: float) -> tuple[Array, Array]:
    """Lower and upper half of a nut."""
    turn = np.radians(np.arange(6) * 60.0)
    corners = across / np.sqrt(3) * np.column_stack([np.cos(turn), np.sin(turn)])
    upper = along(high(corners[[3, 2, 1, 0]], 0), 40)[:, :2]
    return upper * [1, -1], upper


def wall(halves: tuple[Array, Array], levels: Sequence[tuple[float, float]], cell_mm: float = 0.5) -> Skin:
    """The side of a block: levels of (how far inside its outline, height), going up."""
    line = ring_of(*halves)
    way = np.gradient(np.concatenate([line[-2:-1], line, line[1:2]]), axis=0)[1:-1]
    out = np.column_stack([way[:, 1], -way[:, 0]]) / np.maximum(
        np.linalg.norm(way, axis=1, keepdims=True), 1e-9
    )
    out[-1] = out[0]
    return Skin(rows_of(*(high(line - inset * out, z) for inset, z in levels)), cell_mm, closed=True)


def lid(halves: tuple[Array, Array], z: float, inset: float = 0.0, cell_mm: float = 0.5) -> Skin:
    """The top of a block."""
    lower, upper = halves
    size = np.abs(ring_of(lower, upper)).max(0)
    share = (size - inset) / size
    return Skin(rows_of(high(lower * share, z), high(upper * share, z)), cell_mm)


def coil(start: Place, end: Place, radius: float, turns: int, lead: float = 0.15) -> tuple[Place, ...]:
    """A tension spring's wire: straight at both ends, coils between; `lead` is the straight share at each."""
    a, b = np.array(start, float), np.array(end, float)
    way = (b - a) / np.linalg.norm(b - a)
    side = np.cross(way, [0.0, 0.0, 1.0] if abs(way[2]) < 0.9 else [1.0, 0.0, 0.0])
    side /= np.linalg.norm(side)
    over = np.cross(way, side)
    t = np.linspace(0, 1, turns * 18 + 40)
    wound = np.clip((t - lead) / (1 - 2 * lead), 0, 1)
    far = radius * np.clip(np.minimum(t, 1 - t) / lead * 2 - 1, 0, 1)
    turn = 2 * np.pi * turns * wound
    out = (
        a
        + t[:, None] * (b - a)
        + far[:, None] * (np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * over)
    )
    return rows_of(out)[0]
