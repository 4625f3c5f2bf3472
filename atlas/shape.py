"""The shapes that parts are put together from, each a grid of places that wears a coat. Sizes in mm.

Row 0 of a coat lies at the start of a profile or path, its columns run round or along. What is visible lies on the side
of the cross product of the way along the columns with the way along the rows.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

import cv2
import numpy as np
from numpy.typing import NDArray

from atlas.coat import Floats

Array = NDArray[np.float64]
Profile = tuple[tuple[float, float], ...]
Place = tuple[float, float, float]


class Shape(Protocol):
    """What a coat can be laid on."""

    @property
    def cell_mm(self) -> float:
        """How fine its mesh is."""

    @property
    def closed(self) -> bool:
        """Whether its last column lies on its first."""

    @property
    def length_mm(self) -> float:
        """Over its rows."""

    @property
    def round_mm(self) -> float:
        """Over its columns, at the longest."""

    def pixels(self, px: float) -> tuple[int, int]:
        """Rows and columns of a coat of so many pixels to the mm."""

    def world(self, lift: Floats) -> Array:
        """Places (rows, cols, 3), each lifted so many mm off the surface."""


@dataclass(frozen=True)
class Zone:
    """One piece of a turned part: its profile of (radius, height), where its axis stands, how fine its mesh is.

    From the open rim of a drum down its wall, in over its floor, up the outside of its hub: so its inside is seen.
    """

    profile: Profile
    centre: tuple[float, float] = (0.0, 0.0)
    cell_mm: float = 0.5
    span_deg: float = 180.0  # to both sides; less than 180 is a piece with open ends

    @property
    def length_mm(self) -> float:
        """Along the profile."""
        p = np.array(self.profile)
        return float(np.hypot(*np.diff(p, axis=0).T).sum())

    @property
    def round_mm(self) -> float:
        """Along its span, at the widest radius."""
        return float(2 * np.radians(self.span_deg) * max(r for r, _ in self.profile))

    def pixels(self, px: float) -> tuple[int, int]:
        """Rows and columns of a coat of so many pixels to the mm."""
        return max(4, round(self.length_mm * px)), max(16, round(self.round_mm * px))

    @property
    def closed(self) -> bool:
        """Whether its ends meet."""
        return self.span_deg == 180

    def world(self, lift: Floats) -> Array:
        """Places (rows, cols, 3) of the profile turned round, lifted along its normals."""
        rows, cols = lift.shape
        p = np.array(self.profile, float)
        far = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
        at = np.linspace(0, far[-1], rows)
        r, z = np.interp(at, far, p[:, 0]), np.interp(at, far, p[:, 1])
        dr, dz = np.gradient(r), np.gradient(z)
        size = np.maximum(np.hypot(dr, dz), 1e-9)
        radius = r[:, None] + lift * (dz / size)[:, None]
        height = z[:, None] - lift * (dr / size)[:, None]
        span = np.radians(self.span_deg)
        turn = np.linspace(-span, span, cols)
        world = np.stack([radius * np.cos(turn), radius * np.sin(turn), height], -1)
        return np.asarray(world + np.array([*self.centre, 0.0]), float)


@dataclass(frozen=True)
class Rod:
    """Something round drawn along a path: a wire, a spring, a hose. Columns run round it, rows along it."""

    path: tuple[Place, ...]
    radius: float
    cell_mm: float = 0.5
    closed: bool = True

    @property
    def length_mm(self) -> float:
        """Along the path."""
        return float(np.linalg.norm(np.diff(np.array(self.path), axis=0), axis=1).sum())

    @property
    def round_mm(self) -> float:
        """Round the rod."""
        return 2 * np.pi * self.radius

    def pixels(self, px: float) -> tuple[int, int]:
        """Rows and columns of a coat of so many pixels to the mm."""
        return max(4, round(self.length_mm * px)), max(16, round(self.round_mm * px))

    def world(self, lift: Floats) -> Array:
        """Places; the frame is carried along the path without twist."""
        rows, cols = lift.shape
        middle = along(np.array(self.path, float), rows)
        ways = np.gradient(middle, axis=0)
        ways /= np.maximum(np.linalg.norm(ways, axis=1, keepdims=True), 1e-9)
        side = np.cross(ways[0], [0.0, 0.0, 1.0] if abs(ways[0, 2]) < 0.9 else [1.0, 0.0, 0.0])
        out = np.empty((rows, cols, 3))
        turn = np.linspace(0, 2 * np.pi, cols)
        for i, way in enumerate(ways):
            side = side - way * (side @ way)
            side /= np.linalg.norm(side)
            far = self.radius + lift[i][:, None]
            out[i] = middle[i] + far * (
                np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(side, way)
            )
        return out


@dataclass(frozen=True)
class Skin:
    """A curved sheet through a grid of places (rows of columns); flat, bent or swept, its edges open."""

    places: tuple[tuple[Place, ...], ...]
    cell_mm: float = 0.5
    closed: bool = False

    @property
    def length_mm(self) -> float:
        """Over its rows, at the longest."""
        return float(np.linalg.norm(np.diff(np.array(self.places), axis=0), axis=2).sum(0).max())

    @property
    def round_mm(self) -> float:
        """Over its columns, at the longest."""
        return float(np.linalg.norm(np.diff(np.array(self.places), axis=1), axis=2).sum(1).max())

    def pixels(self, px: float) -> tuple[int, int]:
        """Rows and columns of a coat of so many pixels to the mm."""
        return max(4, round(self.length_mm * px)), max(16, round(self.round_mm * px))

    def world(self, lift: Floats) -> Array:
        """Places, straight between the given ones."""
        rows, cols = lift.shape
        given = np.array(self.places, float)
        down = np.stack([along(given[:, i], rows) for i in range(given.shape[1])], 1)
        flat = np.stack([along(line, cols) for line in down])
        return np.asarray(flat + lift[..., None] * normals(flat), float)


@dataclass(frozen=True)
class Moved:
    """Another shape, turned and then set down elsewhere."""

    shape: Shape
    turn: tuple[Place, Place, Place] = ((1, 0, 0), (0, 1, 0), (0, 0, 1))  # rows of a rotation
    to: Place = (0.0, 0.0, 0.0)

    def __getattr__(self, name: str) -> Any:
        """Everything but its places is the shape's own."""
        return getattr(self.shape, name)

    def world(self, lift: Floats) -> Array:
        """Places."""
        return np.asarray(self.shape.world(lift) @ np.array(self.turn, float).T + np.array(self.to), float)


def about(axis: Place, deg: float) -> tuple[Place, Place, Place]:
    """A rotation for `Moved`: by the right hand, about an axis through the origin."""
    turn = cv2.Rodrigues(np.radians(deg) * np.array(axis, float) / np.linalg.norm(axis))[0]
    return tuple(tuple(float(v) for v in row) for row in turn)  # type: ignore[return-value]  # 3 by 3


def along(path: Array, many: int) -> Array:
    """So many places (many, 3) evenly along a path (n, 3)."""
    far = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    at = np.linspace(0, far[-1], many)
    return np.stack([np.interp(at, far, path[:, i]) for i in range(3)], -1)


def normals(grid: Array) -> Array:
    """Unit normals (rows, cols, 3) of a grid of places, smooth."""
    closed = np.allclose(grid[:, 0], grid[:, -1])
    wide = np.concatenate([grid[:, -2:-1], grid, grid[:, 1:2]], 1) if closed else grid
    round_, way = np.gradient(wide, axis=1), np.gradient(wide, axis=0)
    normals = np.cross(round_, way)
    normals = normals[:, 1:-1] if closed else normals
    return np.asarray(normals / np.maximum(np.linalg.norm(normals, axis=2, keepdims=True), 1e-12))


@dataclass(frozen=True)
class Bent:
    """Another shape, every place of it pushed elsewhere: knocked, tilted, dished."""

    shape: Shape
    push: Callable[[Array], Array]  # of places (..., 3)

    def __getattr__(self, name: str) -> Any:
        """Everything but its places is the shape's own."""
        return getattr(self.shape, name)

    def world(self, lift: Floats) -> Array:
        """Places."""
        return self.push(self.shape.world(lift))
