"""From rendered light to a picture: denoised, developed, labelled, outlined, packed. Draws nothing of its own invention."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import cv2
import mitsuba as mi
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from atlas.coat import Floats
from atlas.stage import HIGH, WIDE

STRIP = 44
LABEL = "rendered, not a photograph"
QUALITIES = (86, 80, 74, 68, 62, 56, 50, 44, 36, 28, 22, 16, 12)
MOST_EVER = 90_000
MOST_BYTES, MOST_OUTLINED = 50_000, 25_000  # so that all of them stay below 12 MB
Bytes = np.ndarray[Any, np.dtype[np.uint8]]


def render(scene: dict[str, Any], samples: int, seed: int) -> Bytes:
    """The developed picture (HIGH, WIDE, 3)."""
    path = {"type": "path", "max_depth": 3}
    found = mi.render(mi.load_dict({"type": "scene", "integrator": path} | scene), spp=samples, seed=seed)  # type: ignore[arg-type]  # each variant has its own whole number
    return developed(np.array(found, np.float32))


def developed(light: Floats) -> Bytes:
    """Sparks taken out, tones rolled off as a phone does, the grain of few samples smoothed where nothing is drawn."""
    light = np.clip(np.nan_to_num(light), 0, 60)
    calm = cv2.medianBlur(light, 3)
    spark = light.max(2) > 2.5 * calm.max(2) + 0.08
    light[spark] = calm[spark]
    tone = 1 - np.exp(-1.3 * light)
    tone = tone * (0.62 + 0.38 * np.sqrt(np.clip(tone, 0, 1)))
    grey = np.where(tone <= 0.0031308, 12.92 * tone, 1.055 * np.clip(tone, 1e-6, 1) ** (1 / 2.4) - 0.055)
    picture = np.round(np.clip(grey, 0, 1) * 255).astype(np.uint8)
    return np.asarray(cv2.bilateralFilter(picture, 5, 16, 1.2), np.uint8)


def labelled(picture: Bytes, said: str) -> Image.Image:
    """With its strip below: what it shows, and that it is no photograph."""
    out = Image.new("RGB", (WIDE, HIGH + STRIP), (24, 24, 26))
    out.paste(Image.fromarray(picture), (0, 0))
    ink = ImageDraw.Draw(out)
    font = ImageFont.load_default(22)
    ink.text((16, HIGH + STRIP / 2), said, (235, 235, 230), font, anchor="lm")
    ink.text((WIDE - 16, HIGH + STRIP / 2), LABEL, (255, 214, 92), font, anchor="rm")
    return out


def outlined(good: Bytes, bad: Bytes) -> Bytes:
    """The bad picture with a line round what differs from the good one; what is alike stands back, dim and soft."""
    gap = np.abs(cv2.GaussianBlur(good, (0, 0), 2).astype(np.float32) - cv2.GaussianBlur(bad, (0, 0), 2)).max(
        2
    )
    differs = (gap > max(8.5, 0.2 * float(np.percentile(gap, 99.8)))).astype(np.float32)
    found, _ = cv2.findContours(even_patch(differs), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    large = telling(found, gap * differs)
    inside = cv2.drawContours(np.zeros(bad.shape[:2], np.uint8), large, -1, 255, cv2.FILLED)
    share = cv2.GaussianBlur(inside, (0, 0), 6)[..., None] / 255
    back = 0.72 * cv2.GaussianBlur(bad, (0, 0), 2.2)
    out = np.round(share * bad + (1 - share) * back).astype(np.uint8)
    for colour, thick in (((20, 20, 20), 7), ((255, 214, 92), 3)):
        cv2.drawContours(out, large, -1, colour, thick, cv2.LINE_AA)
    return out


def even_patch(differs: Floats) -> Bytes:
    """Where differences lie close together, as patches with a calm edge; lone specks drop out, gaps between near ones close."""
    rim = 90  # the picture goes on beyond its edge, so that patches reach it
    dense = (cv2.GaussianBlur(differs, (0, 0), 8) > 0.12).astype(np.uint8)
    wide = cv2.copyMakeBorder(dense, rim, rim, rim, rim, cv2.BORDER_REPLICATE)
    wide = cv2.morphologyEx(cv2.morphologyEx(wide, cv2.MORPH_CLOSE, _disc(71)), cv2.MORPH_OPEN, _disc(9))
    soft = cv2.GaussianBlur(cv2.dilate(wide, _disc(17)).astype(np.float32), (0, 0), 9)
    return np.ascontiguousarray(soft[rim:-rim, rim:-rim] > 0.42, np.uint8)


def telling(found: Sequence[Any], gap: Floats) -> list[Any]:
    """Of the outlines those that hold a good share of all that differs: a shadow's edge far off is left out."""
    held = [
        float(gap[cv2.drawContours(np.zeros(gap.shape, np.uint8), [c], -1, 1, cv2.FILLED) > 0].sum())
        for c in found
    ]
    return [c for c, much in zip(found, held, strict=True) if much > 0.04 * max(held)]


def _disc(px: int) -> Bytes:
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (px, px)), np.uint8)


def packed(picture: Image.Image, most: int) -> bytes:
    """WebP, as good as fits into so many bytes; one too lively for that at the least quality may take up to MOST_EVER."""
    for quality in QUALITIES:
        file = io.BytesIO()
        picture.save(file, "WEBP", quality=quality, method=6)
        if file.tell() <= (MOST_EVER if quality == QUALITIES[-1] else most):
            return file.getvalue()
    raise ValueError("the picture does not fit; it is noisier than any of ours")


def put(path: Path, data: bytes) -> None:
    """Written whole or not at all."""
    beside = path.with_suffix(".part")
    beside.write_bytes(data)
    beside.replace(path)
