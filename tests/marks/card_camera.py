"""A camera of our own for tests: rays from each pixel to a round wall or a flat face that wears the card.

It shares no code with the product: the wall is met by the quadratic formula in space, the card is looked up in a
texture, and a pixel is the mean of rays in it. Light is even unless a test says otherwise. Linear light comes
out through a phone-like gamma. What is found here says how well the maths works, and nothing about real photos.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
TUNING = range(0, 100_000)
REPORTING = range(500_000, 600_000)
TEXTURE_PX_PER_MM = 20
AROUND_MM = 30  # wall round the card


@dataclass(frozen=True)
class Shot:
    """How a picture is taken; millimetres and degrees."""

    radius_mm: float | None = 152.4  # None: flat
    lies_mm: float | None = -1.0  # radius that the card lies at; -1: the wall's own
    away_mm: float = 190.0
    tilt_deg: float = 0.0  # about the card's x
    pan_deg: float = 0.0  # about the card's y
    roll_deg: float = 0.0
    axis_deg: float = 0.0  # the drum's axis from the card's y, anticlockwise
    size_px: tuple[int, int] = (2016, 1512)
    focal_px: float = 1500.0
    k1: float = 0.0
    scale: float = 1.0  # the print's
    blur_px: tuple[float, float] = (0.6, 0.6)
    noise: float = 1.5
    light: float = 1.0
    seed: int = 0


def texture(row, wall: Array | None = None, covered: tuple[int, ...] = ()) -> Array:  # type: ignore[no-untyped-def]
    """The card in reflectance, row 0 at the top, with wall around it and in its opening."""
    n, m = TEXTURE_PX_PER_MM, AROUND_MM
    w, h = (round(s * 1e3) for s in row.size_m)
    rng = np.random.default_rng(5)
    high, wide = (h + 2 * m) * n, (w + 2 * m) * n
    if wall is None:
        wall = cv2.resize(rng.normal(0, 1, (high // 6, wide // 4)), (wide, high)) * 0.05 + 0.28
    sheet = wall.copy()
    sheet[m * n : (m + h) * n, m * n : (m + w) * n] = 0.85
    left, bottom, right, top = (round(v * 1e3 * n) for v in row.opening_m)
    rows, columns = slice((m + h) * n - top, (m + h) * n - bottom), slice(m * n + left, m * n + right)
    sheet[rows, columns] = wall[rows, columns]
    book = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    for id, corners in row.tags.items():
        if id in covered:
            continue
        (x, y), side = corners[0], corners[1][0] - corners[0][0]
        px = round(side * 1e3 * n)
        mark = cv2.resize(cv2.aruco.generateImageMarker(book, id, 8), (px, px), interpolation=cv2.INTER_NEAREST)
        r, c = round((m + h - y * 1e3) * n), round((m + x * 1e3) * n)
        sheet[r : r + px, c : c + px] = np.where(mark > 0, 0.85, 0.04)
    return sheet


def turned(shot: Shot) -> Array:
    """Rows: the camera's right, down and ahead in the card's frame."""
    t, p, r = np.radians([shot.tilt_deg, shot.pan_deg, shot.roll_deg])
    about_x = np.array([[1, 0, 0], [0, np.cos(t), -np.sin(t)], [0, np.sin(t), np.cos(t)]])
    about_y = np.array([[np.cos(p), 0, np.sin(p)], [0, 1, 0], [-np.sin(p), 0, np.cos(p)]])
    about_z = np.array([[np.cos(r), -np.sin(r), 0], [np.sin(r), np.cos(r), 0], [0, 0, 1]])
    return about_z @ np.diag([1.0, -1.0, -1.0]) @ (about_x @ about_y).T


def met(shot: Shot, pixels: Array) -> Array:
    """Card millimetres from the card's middle that pixels show."""
    axes, f = turned(shot), shot.focal_px
    d = (pixels - (np.array(shot.size_px) - 1) / 2) / f
    flat = d.copy()
    for _ in range(30):
        flat = d / (1 + shot.k1 * (flat**2).sum(axis=-1, keepdims=True))
    rays = flat[..., :1] * axes[0] + flat[..., 1:] * axes[1] + axes[2]
    eye = -shot.away_mm * axes[2]
    a = np.radians(shot.axis_deg)
    ex, ey = np.array([np.cos(a), np.sin(a), 0]), np.array([-np.sin(a), np.cos(a), 0])
    radius = shot.radius_mm if shot.lies_mm == -1.0 else shot.lies_mm
    if radius is None:
        t = -eye[2] / rays[..., 2]
        hit = eye + t[..., None] * rays
        return hit[..., :2] / shot.scale
    ou, oz = eye @ ex, eye[2] - radius
    du, dz = rays @ ex, rays[..., 2]
    aa, bb, cc = du**2 + dz**2, ou * du + oz * dz, ou**2 + oz**2 - radius**2
    t = (-bb + np.sqrt(np.maximum(bb**2 - aa * cc, 0))) / aa
    u = radius * np.arctan2(ou + t * du, -(oz + t * dz))
    v = eye @ ey + t * (rays @ ey)
    return (u[..., None] * ex[:2] + v[..., None] * ey[:2]) / shot.scale


def truth_mm(shot: Shot, a: Array, b: Array) -> float:
    """Distance along the surface between what two pixels show."""
    return float(np.linalg.norm(met(shot, a) - met(shot, b))) * shot.scale


def photo(shot: Shot, sheet: Array, veil: Array | None = None) -> NDArray[np.uint8]:
    """The grey picture; `veil` is light laid over it, 1 being paper white."""
    w, h = shot.size_px
    at = np.stack(np.meshgrid(np.arange(w), np.arange(h)), axis=-1).astype(float)
    high, wide = sheet.shape
    n = TEXTURE_PX_PER_MM
    where = met(shot, at)
    x = (where[..., 0] * n + wide / 2 - 0.5).astype(np.float32)
    y = (high / 2 - where[..., 1] * n - 0.5).astype(np.float32)
    per_px = np.hypot(x[h // 2, w // 2 + 1] - x[h // 2, w // 2], y[h // 2, w // 2 + 1] - y[h // 2, w // 2])
    smooth = cv2.GaussianBlur(sheet, (0, 0), max(0.3, 0.35 * float(per_px)))
    seen = cv2.remap(smooth.astype(np.float32), x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    seen = cv2.GaussianBlur(seen, (0, 0), sigmaX=shot.blur_px[0], sigmaY=shot.blur_px[1]) * shot.light
    if veil is not None:
        seen = seen + veil
    rng = np.random.default_rng(shot.seed)
    grey = 255 * np.clip(seen, 0, 1) ** (1 / 2.2) + rng.normal(0, shot.noise, seen.shape)
    return np.clip(np.round(grey), 0, 255).astype(np.uint8)
