"""Turns a profile round an axis into a mesh with smooth normals that wears a coat. Knows nothing of parts.

A profile is a list of (radius, height) in mm. Walked in the order given, the visible side lies to the right of the way
(e_round x e_way): from the open rim of a drum down its wall, in over its floor, up the outside of its hub.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import Any

import cv2
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from atlas.coat import Coat, Floats

VARIANT = os.environ.get("ATLAS_VARIANT", "scalar_rgb")
mi.set_variant(VARIANT)
Array = NDArray[np.float64]
Profile = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Zone:
    """One piece of a turned part: its profile, where its axis stands, how fine its mesh is."""

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


def bitmap(picture: Floats) -> dict[str, Any]:
    """A texture of linear numbers; closes on itself along."""
    deep = picture if picture.ndim == 3 else picture[..., None]
    return {
        "type": "bitmap", "bitmap": mi.Bitmap(np.ascontiguousarray(deep, np.float32)), "raw": True,
        "wrap_mode": "repeat", "filter_type": "bilinear",
    }  # fmt: skip


def material(coat: Coat, bump: Floats) -> dict[str, Any]:
    """Part metal that shines along its grooves, part matt, with the fine height as a bump."""
    metal = {
        "type": "roughconductor", "distribution": "ggx", "alpha_u": bitmap(coat.rough * 0.75), "alpha_v": bitmap(coat.rough),
        "specular_reflectance": bitmap(np.clip(coat.colour * 1.25, 0, 0.95)),
    }  # fmt: skip
    matt = {"type": "diffuse", "reflectance": bitmap(np.clip(coat.colour, 0, 0.9))}
    mixed = {"type": "blendbsdf", "weight": bitmap(coat.dull), "1": metal, "2": matt}
    return {"type": "twosided", "b": {"type": "bumpmap", "arbitrary": bitmap(bump), "scale": 1.0, "b": mixed}}


def solid(name: str, zone: Zone, coat: Coat) -> Any:
    """The mesh of a zone: coarse height moves its vertices, the rest stays a bump."""
    rows = max(2, round(zone.length_mm / zone.cell_mm) + 1)
    cols = max(49, min(1441, round(zone.round_mm / zone.cell_mm) + 1))
    coarse = np.array(cv2.resize(coat.height, (cols, rows), interpolation=cv2.INTER_AREA), np.float32)
    if zone.span_deg == 180:
        coarse[:, -1] = coarse[:, 0]
    fine = coat.height - cv2.resize(coarse, coat.shape[::-1], interpolation=cv2.INTER_LINEAR)
    world = _turned(zone, coarse)
    uv = np.stack(np.meshgrid(np.linspace(0, 1, cols), np.linspace(0, 1, rows)), -1).reshape(-1, 2)
    return mesh(name, world, uv, material(coat, fine))


def _turned(zone: Zone, lift: Floats) -> Array:
    """World places (rows, cols, 3) of the profile turned round, lifted along its normals."""
    rows, cols = lift.shape
    p = np.array(zone.profile, float)
    far = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    at = np.linspace(0, far[-1], rows)
    r, z = np.interp(at, far, p[:, 0]), np.interp(at, far, p[:, 1])
    dr, dz = np.gradient(r), np.gradient(z)
    size = np.maximum(np.hypot(dr, dz), 1e-9)
    radius = r[:, None] + lift * (dz / size)[:, None]
    height = z[:, None] - lift * (dr / size)[:, None]
    span = np.radians(zone.span_deg)
    turn = np.linspace(-span, span, cols)
    world = np.stack([radius * np.cos(turn), radius * np.sin(turn), height], -1)
    return np.asarray(world + np.array([*zone.centre, 0.0]), float)


def mesh(name: str, grid: Array, uv: Array, bsdf: dict[str, Any]) -> Any:
    """A grid of vertices with smooth normals; its first and last column may lie on each other."""
    rows, cols = grid.shape[:2]
    at = np.arange(rows * cols).reshape(rows, cols)
    a, b, c, d = at[:-1, :-1].ravel(), at[:-1, 1:].ravel(), at[1:, 1:].ravel(), at[1:, :-1].ravel()
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    props = mi.Properties()
    props["bsdf"] = mi.load_dict(bsdf)
    out = mi.Mesh(
        name, rows * cols, len(faces), has_vertex_normals=True, has_vertex_texcoords=True, props=props
    )
    found = mi.traverse(out)
    for key, value in (
        ("vertex_positions", grid), ("vertex_texcoords", uv), ("vertex_normals", _normals(grid)), ("faces", faces),
    ):  # fmt: skip
        number = np.uint32 if key == "faces" else np.float32
        found[key] = type(found[key])(np.ascontiguousarray(value, number).ravel())
    found.update()
    return out


def _normals(grid: Array) -> Array:
    closed = np.allclose(grid[:, 0], grid[:, -1])
    wide = np.concatenate([grid[:, -2:-1], grid, grid[:, 1:2]], 1) if closed else grid
    round_, way = np.gradient(wide, axis=1), np.gradient(wide, axis=0)
    normals = np.cross(round_, way)
    normals = normals[:, 1:-1] if closed else normals
    return np.asarray(normals / np.maximum(np.linalg.norm(normals, axis=2, keepdims=True), 1e-12))
