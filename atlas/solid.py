"""Makes a mesh with smooth normals, which wears a coat, of a shape. Knows nothing of parts."""

from __future__ import annotations

import os
from typing import Any

import cv2
import mitsuba as mi
import numpy as np

from atlas.coat import Coat, Floats
from atlas.shape import Array, Shape, normals

VARIANT = os.environ.get("ATLAS_VARIANT", "scalar_rgb")
mi.set_variant(VARIANT)


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
    shade = bitmap(np.clip(coat.colour, 0, 0.9))
    matt: dict[str, Any] = {"type": "diffuse", "reflectance": shade}
    if coat.wet:
        matt = {"type": "roughplastic", "diffuse_reflectance": shade, "alpha": coat.wet}
    mixed = {"type": "blendbsdf", "weight": bitmap(coat.dull), "1": metal, "2": matt}
    return {"type": "twosided", "b": {"type": "bumpmap", "arbitrary": bitmap(bump), "scale": 1.0, "b": mixed}}


def solid(name: str, zone: Shape, coat: Coat) -> Any:
    """The mesh of a shape: coarse height moves its vertices, the rest stays a bump."""
    rows = max(2, round(zone.length_mm / zone.cell_mm) + 1)
    cols = max(49, min(1441, round(zone.round_mm / zone.cell_mm) + 1))
    coarse = np.array(cv2.resize(coat.height, (cols, rows), interpolation=cv2.INTER_AREA), np.float32)
    if zone.closed:
        coarse[:, -1] = coarse[:, 0]
    fine = coat.height - cv2.resize(coarse, coat.shape[::-1], interpolation=cv2.INTER_LINEAR)
    world = zone.world(coarse)
    uv = np.stack(np.meshgrid(np.linspace(0, 1, cols), np.linspace(0, 1, rows)), -1).reshape(-1, 2)
    return mesh(name, world, uv, material(coat, fine))


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
        ("vertex_positions", grid), ("vertex_texcoords", uv), ("vertex_normals", normals(grid)), ("faces", faces),
    ):  # fmt: skip
        number = np.uint32 if key == "faces" else np.float32
        found[key] = type(found[key])(np.ascontiguousarray(value, number).ravel())
    found.update()
    return out
