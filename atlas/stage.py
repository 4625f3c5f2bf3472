"""The dark bay round a part: bench, lamps, flashlight and camera. The same for the good and the bad picture of a view."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import mitsuba as mi
import numpy as np

from atlas.coat import clouds
from atlas.shape import Array, Place
from atlas.solid import bitmap, mesh

WIDE, HIGH = 1200, 800


@dataclass(frozen=True)
class Camera:
    """Where the picture is taken from, and where the flashlight is held."""

    eye: Place
    aim: Place
    view_deg: float  # across the picture
    torch: Place  # where the flashlight is
    torch_aim: Place | None = None
    torch_power: float = 1.0  # 1 lights a place well at its distance
    torch_deg: float = 30.0
    bench: float = -75.0  # height of the bench
    up: Place = (0.0, 0.0, 1.0)
    lamp: float = 1.0  # of the bay's lamp
    air: float = 0.03  # light from everywhere


def sensor(c: Camera, samples: int, seed: int, share: float = 1.0) -> dict[str, Any]:
    """The camera; its picture is so large a share of the full size."""
    return {
        "type": "perspective", "fov": c.view_deg, "fov_axis": "x", "near_clip": 1.0, "far_clip": 9000.0,
        "to_world": mi.ScalarTransform4f().look_at(list(c.eye), list(c.aim), list(c.up)),
        "film": {"type": "hdrfilm", "width": round(WIDE * share), "height": round(HIGH * share), "rfilter": {"type": "gaussian"},
                 "pixel_format": "rgb", "component_format": "float32"},
        "sampler": {"type": "multijitter", "sample_count": samples, "seed": seed},
    }  # fmt: skip


def bay(c: Camera) -> dict[str, Any]:
    """Flashlight, a long lamp far above, what little light comes from everywhere, and the bench."""
    aim = c.torch_aim or c.aim
    far = float(np.linalg.norm(np.subtract(c.torch, aim)))
    spot = mi.ScalarTransform4f().look_at(list(c.torch), list(aim), [0.1, 0.2, 1])
    bright = 2.6 * c.torch_power * far**2
    return {
        "torch": {"type": "spot", "to_world": spot, "cutoff_angle": c.torch_deg, "beam_width": c.torch_deg * 0.45,
                  "intensity": {"type": "rgb", "value": [bright, bright * 0.95, bright * 0.84]}},
        "lamp 1": _lamp((-400, 350, 1500), 10.0 * c.lamp, (330, 900)),
        "air": {"type": "constant", "radiance": {"type": "rgb", "value": [c.air, 1.1 * c.air, 3.8 * c.air / 3]}},
        "bench": _bench(c.bench),
    }  # fmt: skip


def _lamp(at: Place, bright: float, half: tuple[float, float]) -> dict[str, Any]:
    t = mi.ScalarTransform4f()
    turn = t.look_at(list(at), [0, 0, 0], [0, 1, 0.1]) @ t.scale([half[0], half[1], 1])
    return {"type": "rectangle", "to_world": turn,
            "emitter": {"type": "area", "radiance": {"type": "rgb", "value": [bright * 0.93, bright, bright * 1.04]}}}  # fmt: skip


def _bench(height: float) -> Any:
    """A steel-topped bench, oily and scratched."""
    dice = np.random.default_rng(77)
    tone = np.clip(
        0.07 + clouds(dice, (900, 900), 1.0, [(0.015, 60, 60), (0.01, 3, 40), (0.006, 1, 1)]), 0.01, 0.2
    )
    colour = tone[..., None] * np.array([1.0, 0.97, 0.92], np.float32)
    x = np.linspace(-900, 900, 3)
    grid: Array = np.stack([*np.meshgrid(x, x), np.full((3, 3), height)], -1)
    uv = np.stack(np.meshgrid([0, 0.5, 1.0], [0, 0.5, 1.0]), -1).reshape(-1, 2)
    rough = {"type": "roughplastic", "alpha": 0.35, "diffuse_reflectance": bitmap(colour)}
    return mesh("bench", grid, uv, {"type": "twosided", "b": rough})
