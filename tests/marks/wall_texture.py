"""Paints surfaces as high-resolution pictures: turned iron with rust and grease, marks of true width, a printed card.

Shared with the product: the card's table (read with tomllib) and OpenCV's predefined bit patterns of tag family 36h11.
Colours and their chances are assumed by eye. Nothing here knows of a camera.

A texture has row 0 at the largest y: pixel (r, c) covers x from left + c / s to left + (c + 1) / s mm, s = px per mm.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from wall_marks import Mark

Floats = NDArray[np.float32]
Array = NDArray[np.float64]
Dice = np.random.Generator
CARDS = Path(__file__).resolve().parents[2] / "src" / "wheeltapper" / "reference" / "cards"
RUST = np.array([0.14, 0.075, 0.042], np.float32)
GREASE = np.array([0.035, 0.028, 0.02], np.float32)
CARD_PX_PER_MM = 16
FACE_MEAN_MM = 170.0  # at this distance from the middle of turning a face's strip keeps its length


@dataclass(frozen=True)
class Sheet:
    """What is painted on a piece of surface."""

    colour: Floats  # (rows, cols, 3) reflected share
    dull: Floats  # (rows, cols, 1) 0 shines like metal, 1 is matt
    left_mm: float
    top_mm: float
    px_per_mm: float


def cloud(dice: Dice, shape: tuple[int, int], cell: tuple[float, float]) -> Floats:
    """Smooth noise about 0 with spread about 1; `cell` is the size of its spots in pixels (down, across)."""
    small = [max(2, int(np.ceil(n / c)) + 1) for n, c in zip(shape, cell, strict=True)]
    grains = dice.standard_normal(small, np.float32)
    return np.asarray(cv2.resize(grains, shape[::-1], interpolation=cv2.INTER_CUBIC), np.float32) * 1.15


def iron(
    dice: Dice, left_mm: float, top_mm: float, size_mm: tuple[float, float], s: float, track: tuple[float, float]
) -> Sheet:
    """A turned and worn surface: grooves along x, polished between the y of `track`, rusty outside, stained."""
    shape = (round(size_mm[1] * s), round(size_mm[0] * s))
    y = top_mm - (np.arange(shape[0]) + 0.5) / s
    worn = np.clip((y - track[0]) / 1.5, 0, 1) * np.clip((track[1] - y) / 1.0, 0, 1)
    grey = (dice.uniform(0.14, 0.2) + dice.uniform(0.08, 0.16) * worn + 0.7 * _grooves(dice, y)).astype(np.float32)[:, None]
    grey = grey + 0.02 * cloud(dice, shape, (0.1 * s, 12 * s)) + 0.015 * cloud(dice, shape, (0.25 * s, 3 * s))
    grey += 0.02 * cloud(dice, shape, (5 * s, 22 * s)) + 0.015 * cloud(dice, shape, (0.8 * s, 1.2 * s))
    grey += 0.02 * dice.standard_normal(shape, np.float32)
    warm = 1 + 0.02 * cloud(dice, shape, (4 * s, 15 * s))[..., None] * np.array([1, 0, -1], np.float32)
    colour = np.clip(grey, 0.03, 0.6)[..., None] * warm * np.array([1.0, 0.98, 0.94], np.float32)
    rust = _rust(dice, shape, s, (1 - worn).astype(np.float32)[:, None])
    colour = colour + rust[..., None] * (RUST * dice.uniform(0.7, 1.3) - colour)
    grease = np.clip(cloud(dice, shape, (7 * s, 11 * s)) + 0.4 * cloud(dice, shape, (1.5 * s, 3 * s)) - 1.7, 0, 1)
    grease *= dice.uniform(0, 0.9)
    colour = colour + grease[..., None] * (GREASE - colour)
    dull = np.clip(0.5 + 0.12 * cloud(dice, shape, (2 * s, 9 * s)) + rust + 0.3 * (1 - worn)[:, None], 0.1, 1)
    dull = dull * (1 - 0.5 * grease)
    return Sheet(colour.astype(np.float32), dull[..., None].astype(np.float32), left_mm, top_mm, s)


def _grooves(dice: Dice, y: Array) -> Array:
    """Brightness over y that a tool's feed and grit leave."""
    pitch, phase = dice.uniform(0.15, 0.45), dice.uniform(0, 6)
    drift = np.interp(y, np.arange(-300, 300, 4.0), np.cumsum(dice.normal(0, 0.25, 150)))
    fine = 0.025 * np.sin(2 * np.pi * y / pitch + phase + drift)
    spread = [(0.1, 0.035), (0.35, 0.035), (1.6, 0.03)]
    rough = sum(a * np.interp(y, k := np.arange(y[-1] - c, y[0] + 2 * c, c), dice.normal(0, 1, len(k))) for c, a in spread)
    out = fine + rough
    for _ in range(int(dice.integers(2, 9))):  # deep single grooves
        out = out - dice.uniform(0.04, 0.2) * np.exp(-(((y - dice.uniform(y[-1], y[0])) / dice.uniform(0.05, 0.25)) ** 2))
    return np.asarray(out)


def _rust(dice: Dice, shape: tuple[int, int], s: float, unworn: Floats) -> Floats:
    """Share of rust: all over where no shoe rubs, speckles and faint bands where one does."""
    speckle = cloud(dice, shape, (0.35 * s, 0.5 * s)) + 0.7 * cloud(dice, shape, (5 * s, 9 * s))
    fleck = np.clip(speckle - dice.uniform(1.9, 3.0), 0, 1)
    film = np.clip(0.25 * cloud(dice, shape, (8 * s, 20 * s)) - 0.15, 0, 0.4)
    spots = 0.25 * cloud(dice, shape, (0.4 * s, 0.5 * s)) + 0.2 * cloud(dice, shape, (2 * s, 5 * s))
    shed = np.clip(0.7 + spots, 0, 1) * unworn
    return np.asarray(np.clip(fleck * 1.2 + film + shed * dice.uniform(0.4, 1.0), 0, 1), np.float32)


def turned_face(
    strip: Sheet, middle_mm: tuple[float, float], shape: tuple[int, int], corner_mm: tuple[float, float]
) -> Sheet:
    """The strip's grooves bent round a middle, as a facing cut leaves them; `corner_mm` is the left top."""
    rows, cols = shape
    s = strip.px_per_mm
    x = corner_mm[0] + (np.arange(cols) + 0.5) / s - middle_mm[0]
    y = corner_mm[1] - (np.arange(rows) + 0.5) / s - middle_mm[1]
    radius = np.hypot(x[None, :], y[:, None])
    along = np.arctan2(x[None, :], y[:, None]) * FACE_MEAN_MM
    col = ((along - strip.left_mm) * s - 0.5).astype(np.float32)
    row = ((strip.top_mm - (radius + middle_mm[1])) * s - 0.5).astype(np.float32)
    bent = [cv2.remap(a, col, row, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT) for a in (strip.colour, strip.dull)]
    return Sheet(bent[0], bent[1].reshape(rows, cols, 1), *corner_mm, s)


def coverage(shape: tuple[int, int], line_px: Array, width_px: Array) -> Floats:
    """Share of each pixel that a line of changing width covers: exact for a straight piece through square pixels
    taken along its normal, so that a line thinner than a pixel keeps its true darkness times width."""
    out = np.zeros(shape, np.float32)
    for i in range(len(line_px) - 1):
        a, b, wide = line_px[i], line_px[i + 1], float(width_px[i : i + 2].mean())
        if wide < 1e-3:
            continue
        reach = wide / 2 + 1.5
        low = np.floor(np.minimum(a, b) - reach).astype(int)
        high = np.ceil(np.maximum(a, b) + reach).astype(int) + 1
        c0, r0 = np.maximum(low, 0)
        c1, r1 = np.minimum(high, shape[::-1])
        if c1 <= c0 or r1 <= r0:
            continue
        at = np.stack(np.meshgrid(np.arange(c0, c1), np.arange(r0, r1)), -1) - a
        part = np.clip(at @ (b - a) / max(float((b - a) @ (b - a)), 1e-9), 0, 1)
        away = np.hypot(*np.moveaxis(at - part[..., None] * (b - a), -1, 0))
        share = np.clip(np.minimum(wide / 2, away + 0.5) - np.maximum(-wide / 2, away - 0.5), 0, 1)
        patch = out[r0:r1, c0:c1]
        np.maximum(patch, share, out=patch)
    return out


def with_marks(sheet: Sheet, marks: tuple[Mark, ...], dice: Dice) -> Sheet:
    """The sheet with the marks painted on it; the sheet handed in stays as it was."""
    colour, dull = sheet.colour.copy(), sheet.dull.copy()
    floor = dice.uniform(0.03, 0.12)
    for mark in marks:
        px = to_px(sheet, mark.line_mm)
        wide = widths_mm(mark) * sheet.px_per_mm
        low = np.maximum(np.floor(px.min(axis=0) - 40).astype(int), 0)
        high = np.ceil(px.max(axis=0) + 40).astype(int)
        view = slice(low[1], high[1]), slice(low[0], high[0])
        if not colour[view].size:
            continue
        cover = coverage(colour[view].shape[:2], px - low, wide)[..., None]
        _paint(mark, colour[view], dull[view], cover, floor, sheet.px_per_mm, dice)
    return Sheet(colour, dull, sheet.left_mm, sheet.top_mm, sheet.px_per_mm)


def _paint(mark: Mark, colour: Floats, dull: Floats, cover: Floats, floor: float, s: float, dice: Dice) -> None:
    """One mark into a view of the sheet."""
    blur = cv2.GaussianBlur(cover, (0, 0), 0.5 * s)[..., None]
    if mark.kind == "thread":
        shadow = np.roll(cv2.GaussianBlur(cover, (0, 0), 0.12 * s), (int(0.15 * s), int(0.1 * s)), (0, 1))
        colour *= 1 - 0.5 * shadow[..., None]
        dye = np.array([[0.03, 0.035, 0.06], [0.05, 0.045, 0.04], [0.10, 0.03, 0.03]], np.float32)[dice.integers(3)]
        colour += np.clip(cover, 0, 1) * (dye - colour)
        dull += cover * (1 - dull)
        return
    if mark.kind == "scratch":
        colour *= 1 - 0.55 * np.clip(2 * cv2.GaussianBlur(cover, (0, 0), 0.08 * s)[..., None] - cover, 0, 1)
        colour += 0.5 * cover * (0.55 - colour)
        return
    if mark.kind == "pencil":
        grain = np.clip(0.75 + 0.3 * cloud(dice, (cover.shape[0], cover.shape[1]), (2.0, 2.0)), 0, 1)[..., None]
        colour += 0.85 * cover * grain * (0.09 - colour)
        return
    dark = 0.25 if mark.kind in {"check", "network"} else floor
    halo = 0.35 if mark.kind == "network" else 0.15
    colour += np.clip(halo * blur * 2, 0, 0.5) * (np.array([0.2, 0.14, 0.1], np.float32) - colour)
    colour *= 1 - cover * (1 - dark)
    dull += cover * (1 - dull)


def widths_mm(mark: Mark) -> Array:
    """Width at each vertex: full in the middle, as the root of the way left at a thinning end."""
    way = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(mark.line_mm, axis=0).T))])
    wide = np.ones(len(way))
    for left, taper in ((way, mark.taper_mm[0]), (way[-1] - way, mark.taper_mm[1])):
        if taper:
            wide *= np.clip(left / taper, 0, 1) ** 0.6
    return np.asarray(mark.width_mm * wide)


def to_px(sheet: Sheet, mm: Array) -> Array:
    """Places on a sheet as (column, row) with pixel middles at whole numbers."""
    return np.asarray(np.column_stack([mm[:, 0] - sheet.left_mm, sheet.top_mm - mm[:, 1]]) * sheet.px_per_mm - 0.5)


@cache
def card_table(name: str) -> dict[str, Any]:
    """The card's table as it stands in its file."""
    return tomllib.loads((CARDS / f"{name}.toml").read_text("utf-8"))


@cache
def card_picture(name: str) -> Floats:
    """The card as printed, (rows, cols, 3): paper and toner."""
    table, s = card_table(name), CARD_PX_PER_MM
    grey = np.full((table["height_mm"] * s, table["width_mm"] * s), 0.80, np.float32)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    for tag in table["tag"]:
        side = round(tag["side_mm"] * s)
        left = round((tag["middle_mm"][0] - tag["side_mm"] / 2) * s)
        top = round((table["height_mm"] - tag["middle_mm"][1] - tag["side_mm"] / 2) * s)
        bits = cv2.aruco.generateImageMarker(dictionary, tag["id"], side)
        grey[top : top + side, left : left + side] = np.where(bits > 127, 0.80, 0.045)
    return np.asarray(grey[..., None] * np.array([1.0, 0.995, 0.97], np.float32))
