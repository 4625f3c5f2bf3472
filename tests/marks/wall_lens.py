"""What a phone does to an ideal picture: bends, blurs, exposes, adds noise, sharpens, packs into a JPEG file.

Models are our own and kept apart from the product's. Distortion is stated the way back: what is seen at distance r from
the picture's middle (in half long sides) comes from r (1 + k r^2) of the ideal picture, so k > 0 is a barrel. Sizes of
blur, noise and tone are assumed.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps

if TYPE_CHECKING:
    from wall_photo import Shot

Array = NDArray[np.float64]
Floats = NDArray[np.float32]
Picture = NDArray[np.uint8]
DIAGONAL_35_MM = 43.27  # of the film that "focal length in 35 mm film" speaks of


def ideal_of(shot: Shot, px: Array) -> Array:
    """Where in the ideal picture (with its margin) the photo's places (..., 2) come from."""
    middle = (np.array(shot.size_px) - 1) / 2 + np.array(shot.middle_off_px)
    half = max(shot.size_px) / 2
    out = px - middle
    r2 = (out**2).sum(axis=-1, keepdims=True) / half**2
    return np.asarray(middle + out * (1 + shot.distortion * r2) + shot.margin_px)


def photo_of(shot: Shot, ideal_px: Array) -> Array:
    """The other way, by walking until `ideal_of` agrees."""
    px = ideal_px - shot.margin_px
    for _ in range(30):
        px = px + (ideal_px - ideal_of(shot, px))
    return px


def exposed(shot: Shot, ideal: Floats, paper: float) -> Picture:
    """The photo's pixels from linear light; `paper` is the light of white paper, from which exposure follows."""
    cols, rows = shot.size_px
    dice = np.random.default_rng([shot.seed, 9])
    at = ideal_of(shot, np.stack(np.meshgrid(np.arange(cols), np.arange(rows)), -1).astype(float))
    light = cv2.remap(ideal, *np.moveaxis(at, -1, 0).astype(np.float32), cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)
    r2 = ((at - np.array(ideal.shape[1::-1]) / 2) ** 2).sum(-1) / (max(shot.size_px) / 2) ** 2
    light *= (shot.exposure * 0.62 / paper * (1 - shot.vignette * r2))[..., None].astype(np.float32)
    light = cv2.filter2D(np.clip(light, 0, 40), -1, _spread(shot), borderType=cv2.BORDER_REFLECT)
    grain = np.sqrt(np.clip(light, 0, None) / shot.well + shot.read_noise**2)
    light = np.clip(light + grain * dice.standard_normal(light.shape, np.float32), 0, 1)
    shown = _tone(light, shot.tone)
    if shot.sharpen:
        shown += shot.sharpen * (shown - cv2.GaussianBlur(shown, (0, 0), 1.1))
    return np.clip(np.round(shown * 255), 0, 255).astype(np.uint8)


def _spread(shot: Shot) -> Floats:
    """Lens and defocus (a disc with a soft rim) and movement (a straight smear) as one kernel."""
    reach = int(np.ceil(shot.defocus_px + shot.motion_px / 2 + 3 * shot.soft_px)) + 1
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1].astype(float)
    disc = np.clip(shot.defocus_px + 0.5 - np.hypot(x, y), 0, 1) if shot.defocus_px > 0.1 else (x == 0) & (y == 0)
    out = cv2.GaussianBlur(np.asarray(disc, float), (0, 0), shot.soft_px)
    if shot.motion_px > 0.1:
        turn = np.radians(shot.motion_deg)
        along, aside = x * np.cos(turn) + y * np.sin(turn), -x * np.sin(turn) + y * np.cos(turn)
        smear = np.clip(shot.motion_px / 2 + 0.5 - abs(along), 0, 1) * np.clip(1 - abs(aside), 0, 1)
        out = cv2.filter2D(out, -1, smear, borderType=cv2.BORDER_CONSTANT)
    return np.asarray(out / out.sum(), np.float32)


def _tone(light: Floats, bend: float) -> Floats:
    """A shoulder, then the usual gamma of screens."""
    soft = (1 - np.exp(-bend * light)) / (1 - np.exp(-bend))
    return np.asarray(np.where(soft <= 0.0031308, 12.92 * soft, 1.055 * np.maximum(soft, 1e-6) ** (1 / 2.4) - 0.055), np.float32)


def packed(shot: Shot, pixels: Picture) -> bytes:
    """A JPEG as a phone writes it: a picture held upright is kept lying, with EXIF orientation 6."""
    exif = Image.Exif()
    held_up = pixels.shape[0] > pixels.shape[1]
    exif[0x0112] = 6 if held_up else 1
    if shot.exif:
        deg = np.radians(shot.view_deg) / 2
        exif.get_ifd(0x8769)[0xA405] = round(DIAGONAL_35_MM / 2 * 0.8 / np.tan(deg))  # 4:3: the long side is 0.8
        exif[0x010F], exif[0x0110] = "none", "rendered drum wall"
    kept = np.rot90(pixels) if held_up else pixels
    out = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(kept)).save(out, "JPEG", quality=shot.jpeg_quality, exif=exif)
    return out.getvalue()


def as_shown(jpeg: bytes) -> Picture:
    """The pixels of a JPEG turned as its EXIF says."""
    with Image.open(io.BytesIO(jpeg)) as picture:
        return np.asarray(ImageOps.exif_transpose(picture).convert("RGB"))
