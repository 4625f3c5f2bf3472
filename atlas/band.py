"""What the friction band and its edge look like when something is wrong. Each changes coats or profiles, nothing else."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from atlas.coat import (
    OLD_RUST,
    RUST,
    SOOT,
    Coat,
    Dice,
    Floats,
    cavities,
    clouds,
    over,
    raised,
    rusty,
    soft,
    step,
)
from atlas.marks import check_lines, film, pit_field
from atlas.parts import Work


def _swept(coat: Coat) -> Floats:
    """1 where shoes run."""
    far = coat.size_mm[0]
    return step(coat.across, 4.0, 4.6) * step(coat.across, far - 4.0, far - 4.6)


def _checked(coat: Coat, dark: Floats, heat: Floats) -> Coat:
    tint = film(heat) / film(np.zeros((1, 1), np.float32)) * np.array([0.95, 0.95, 0.95], np.float32)
    calm = 0.14  # heat and shoes have closed the fine grain
    coat = replace(
        coat,
        colour=soft(coat.colour, calm, coat.px) * tint,
        dull=coat.dull * 0.85,
        height=0.5 * soft(coat.height, calm, coat.px),
    )
    return raised(over(coat, np.clip(1.5 * dark, 0, 1), SOOT * 0.6), -0.15 * dark)


def checks_all_round(work: Work, hard: int, dice: Dice) -> Work:
    """Fine lines across the band, everywhere."""
    coat = work.coat("band")
    long, far = coat.size_mm[1] / 2, coat.size_mm[0]
    dark = check_lines(
        dice, coat, (-long, long), (5, far - 6), 7.0 if hard == 1 else 12.0, 9.0 if hard == 1 else 16.0, 0.65
    )
    heat = 0.025 * _swept(coat) * (1 + 0.4 * clouds(dice, coat.shape, coat.px, [(1, 12, 60)]))
    return work.worn(band=_checked(coat, dark, heat))


def checks_in_patch(work: Work, hard: int, dice: Dice) -> Work:
    """The same in one place, round a hot spot; clean iron beside it."""
    coat = work.coat("band")
    wide = 20 if hard == 1 else 27
    far = coat.size_mm[0]
    lay = clouds(dice, coat.shape, coat.px, [(0.5, 8, 14), (0.25, 2, 3)])
    away = np.hypot(coat.along / wide, (coat.across - far / 2) / 19) + 0.10 * lay
    spot = np.exp(-(away**3))
    heat = np.clip(spot * (0.22 + 0.09 * hard + 0.05 * lay), 0, 1)  # straw and brown: blue has its own word
    dark = check_lines(
        dice, coat, (-wide * 0.9, wide * 0.9), (far / 2 - 17, far / 2 + 15), 11.0 * hard, 13.0, 0.75
    )
    return work.worn(band=_checked(coat, dark * step(spot, 0.1, 0.5), heat))


def pits(work: Work, hard: int, dice: Dice) -> Work:
    """Holes eaten by rust that a scuff does not take out."""
    coat = work.coat("band")
    deep = pit_field(dice, coat, 0.30 if hard == 1 else 0.58)
    near = np.clip(soft(deep, 1.0, coat.px) * 1.6, 0, 0.7)
    coat = rusty(dice, over(coat, near, OLD_RUST), 0.30)
    coat = over(coat, deep * 0.95, OLD_RUST * 0.55)
    return work.worn(band=raised(coat, -deep * (0.35 if hard == 1 else 0.8)))


def shoe_print(work: Work, hard: int, dice: Dice) -> Work:
    """A brake stood wet: the shoe's outline in rust."""
    coat = work.coat("band")
    far, half = coat.size_mm[0], 62.0
    ragged = clouds(dice, coat.shape, coat.px, [(0.35, 1.2, 1.2), (0.3, 4, 4)])
    x, y = np.abs(coat.along + 6) - half + ragged, np.abs(coat.across - far / 2) - (far / 2 - 7) + ragged
    inside = step(np.maximum(x, y), 0.5, -0.5)
    rim = np.exp(-((np.maximum(x, y) / 2.2) ** 2)) * step(np.maximum(x, y), 1.5, -0.2)
    body = rusty(dice, coat, 0.56 if hard == 1 else 0.85, inside)
    tone = np.clip(0.75 + 0.3 * clouds(dice, coat.shape, coat.px, [(0.7, 2, 3), (0.5, 0.4, 0.4)]), 0.2, 1)
    return work.worn(band=over(body, rim * tone, OLD_RUST + 0.35 * (RUST - OLD_RUST)))


def grooves(work: Work, hard: int, dice: Dice) -> Work:
    """Grit has cut tracks all round."""
    coat = work.coat("band")
    depth = np.zeros((coat.shape[0], 1), np.float32)
    for _ in range(7 if hard == 1 else 17):
        at, wide = dice.uniform(7, coat.size_mm[0] - 8), dice.uniform(0.15, 0.35 if hard == 1 else 0.9)
        depth = np.maximum(
            depth, dice.uniform(0.15, 0.4) * hard * np.exp(-(np.abs((coat.across - at) / wide) ** 3))
        )
    waver = np.clip(1 + 0.25 * clouds(dice, coat.shape, coat.px, [(1, 4, 60)]), 0.3, 1.4)
    cut = step(depth, 0.04, 0.2) * np.ones(coat.shape, np.float32)
    coat = replace(coat, colour=coat.colour * (1 - (0.3 + 0.12 * hard) * cut)[..., None])
    return work.worn(band=cavities(raised(coat, -depth * waver), 0.9, 5.0))


def hard_spots(work: Work, hard: int, dice: Dice) -> Work:
    """Islands of hardened iron that wore less: glassy, darker, proud of the band."""
    coat = work.coat("band")
    far, px = coat.size_mm[0], coat.px
    ragged = clouds(dice, coat.shape, px, [(0.16, 2.5, 7), (0.05, 0.6, 3)])
    proud = np.zeros(coat.shape, np.float32)
    for i in range(-14, 15):
        x, y = 26.0 * i + float(dice.normal(0, 3.5)), far / 2 + float(dice.normal(0, 7))
        long, high = float(dice.uniform(8, 13)), float(dice.uniform(4, 6.5))
        away = np.hypot((coat.along - x) / long, (coat.across - y) / high) + ragged
        proud = np.maximum(proud, step(away, 1.08, 0.90))
    tone = (
        np.array([0.135, 0.135, 0.145], np.float32)
        * (1 + 0.25 * clouds(dice, coat.shape, px, [(0.7, 1.5, 5), (0.5, 0.4, 2)]))[..., None]
    )
    rim = np.clip(1.6 * (proud - soft(proud, 0.7, px)), 0, 1)
    halo = np.clip(np.roll(soft(proud, 1.8, px), round(1.5 * px), axis=1) - proud, 0, 1)  # dust behind it
    coat = replace(
        coat, height=coat.height * (1 - 0.9 * proud), colour=coat.colour * (1 - 0.55 * halo)[..., None]
    )
    coat = over(coat, proud, tone, 0.12, 0.13)
    coat = over(
        coat, 0.7 * rim, np.array([0.62, 0.61, 0.58], np.float32), 0.15, 0.25
    )  # rubbed bright where the shoes strike
    return work.worn(band=raised(coat, 0.42 * soft(proud, 0.28, px)))


def _flakes(dice: Dice, coat: Coat, where: Floats, each_cm2: float) -> Floats:
    """Bits of metal: 1 on a bit; `where` is how likely one lies there."""
    rows, cols = coat.shape
    out = np.zeros(coat.shape, np.uint8)
    for _ in range(int(each_cm2 * coat.size_mm[0] * coat.size_mm[1] / 100)):
        x, y = int(dice.integers(0, cols)), int(dice.integers(0, rows))
        if where[y, x] > dice.random():
            size = 16 * float(dice.gamma(1.5, 0.11)) * coat.px  # in sixteenths of a pixel
            half = max(4, round(size)), max(4, round(size * float(dice.uniform(0.15, 0.7))))
            shade = int(40 + 215 * dice.beta(0.9, 1.8))
            turn = float(dice.uniform(0, 180))
            cv2.ellipse(out, (16 * x, 16 * y), half, turn, 0, 360, shade, -1, cv2.LINE_AA, 4)
    return np.asarray(out, np.float32) / 255


def _gritty(dice: Dice, coat: Coat, where: Floats, each_cm2: float) -> Coat:
    """Grey brake dust with bright chips of metal lying in it."""
    dust = np.clip(
        where * (0.75 + 0.3 * clouds(dice, coat.shape, coat.px, [(0.7, 1.5, 2), (0.6, 0.25, 0.25)])), 0, 0.96
    )
    coat = over(coat, dust, np.array([0.045, 0.043, 0.041], np.float32))
    coat = raised(
        coat, 0.12 * dust * np.abs(clouds(dice, coat.shape, coat.px, [(1, 0.4, 0.4), (0.8, 1.5, 1.5)]))
    )
    bits = _flakes(dice, coat, where, each_cm2)
    coat = over(
        coat,
        np.clip(4 * bits, 0, 1),
        (0.06 + 0.6 * bits)[..., None] * np.array([1, 0.98, 0.94], np.float32),
        0.35,
        0.25,
    )
    return raised(coat, 0.35 * bits)


def grit(work: Work, hard: int, dice: Dice) -> Work:
    """Chips and dust of metal: caked in streaks on the band, heaped in the corner below it."""
    band, root, web = (work.coat(n) for n in ("band", "root", "web"))
    far = band.size_mm[0]
    up = clouds(dice, band.shape, band.px, [(0.6, 8, 22), (0.35, 2, 9), (0.3, 0.6, 3)])
    lay = step(band.across + 9 * up, far - 24, far) + 0.9 * step(up, 0.6, 1.5) * step(band.across, 4, 9)
    clumps = clouds(dice, web.shape, web.px, [(0.7, 5, 9), (0.6, 2, 3), (0.4, 1, 1)])
    heap = step(clumps - 0.10 * web.across, -1.5, 0.4)
    return work.worn(
        band=_gritty(dice, band, np.clip(lay, 0, 1), 150),
        root=_gritty(dice, root, np.full(root.shape, 0.97, np.float32), 110),
        web=_gritty(dice, web, heap, 110),
    )


def grease(work: Work, hard: int, dice: Dice) -> Work:
    """Grease flung past the seal: a wet brown-black film with thick smears and runs."""
    coat = work.coat("band")
    far, px = coat.size_mm[0], coat.px
    smear = clouds(dice, coat.shape, px, [(0.6, 1.1, 34), (0.4, 0.4, 22), (0.5, 3.5, 20)])
    flung = clouds(dice, coat.shape, px, [(0.7, 16, 26), (0.45, 5, 9), (0.3, 1.8, 4.5), (0.16, 0.5, 1.6)])
    lay = flung + 0.45 * smear + 0.05 * (coat.across - far * 0.36)  # it comes from the closed end
    film = step(lay, -0.9, 0.5)
    gobs = clouds(dice, coat.shape, px, [(0.8, 2.2, 4.5), (0.5, 0.8, 1.4)])
    body = step(lay + 0.25 * smear + 0.45 * gobs, 0.5, 2.2)
    thin, fat = np.array([0.090, 0.064, 0.040], np.float32), np.array([0.036, 0.030, 0.024], np.float32)
    tone = thin + (fat - thin) * body[..., None]
    coat = replace(coat, height=coat.height * (1 - 0.9 * film))
    coat = over(coat, np.clip(film * (0.75 + 0.25 * body), 0, 0.985), tone, 0.35, 0.15)
    return work.worn(
        band=raised(
            coat, 0.45 * soft(body * (1 + 0.3 * gobs), 0.35, px) + 0.08 * film * soft(smear, 0.25, px)
        )
    )
