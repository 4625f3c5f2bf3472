"""The road side of the hub with its studs, and what is wrong with hub face, studs and bores."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from atlas.coat import (
    OLD_RUST,
    RUST,
    SOOT,
    Coat,
    Dice,
    Floats,
    cast,
    cavities,
    clouds,
    over,
    raised,
    rings,
    rusty,
    soft,
    step,
    turned,
)
from atlas.drum import Drum
from atlas.marks import film, lines, walk
from atlas.parts import Piece, Work, dice_of, drum_outside
from atlas.shape import Zone

PITCH, LONG = 1.27, 40.0  # 20 threads to the inch; how far a stud stands out is assumed
NEAREST = 4  # the stud that something happens to: it stands nearest the camera


def stud_places(d: Drum) -> list[tuple[float, float]]:
    """Where the studs stand; one at the camera's side."""
    turns = -np.pi / 2 + 2 * np.pi * (np.arange(d.studs) - NEAREST + 0.0) / d.studs
    return [(float(d.circle * np.cos(t)), float(d.circle * np.sin(t))) for t in turns]


def stud(d: Drum, at: tuple[float, float], dice: Dice, neck: float = 0.0) -> Piece:
    """A threaded stud; `neck` is how much thinner it has been pulled in the middle of its thread."""
    r, foot = d.stud, 5.0
    waist = [(r * (1 - neck * np.exp(-(((z - 19) / 4.5) ** 2))), z) for z in np.linspace(foot, LONG - 3, 30)]
    path = (
        (r + 0.4, -2.0),
        (r + 0.4, foot - 1.5),
        *waist,
        (r * 0.86, LONG - 1.2),
        (r * 0.78, LONG),
        (0.4, LONG),
    )
    zone = Zone(tuple((float(a), float(b)) for a, b in path), at, cell_mm=0.16)
    px = 9.0
    coat = turned(dice, zone.pixels(px), px, grey=0.30)
    pull = 1 + 1.0 * neck * np.exp(-(((coat.across - 21) / 4.5) ** 2))  # pulled thread is stretched
    turn = coat.along / coat.size_mm[1]
    phase = (np.cumsum(1 / (PITCH * pull), axis=0) / px - turn) % 1.0
    cut = step(coat.across, foot + 1.5, foot + 3) * step(coat.across, LONG + 1.2, LONG + 0.4)
    thread = (0.62 * np.abs(2 * phase - 1) - 0.62) * cut
    coat = cavities(raised(coat, soft(thread.astype(np.float32), 0.05, px)), 0.5, 2.2)
    return Piece(zone, rusty(dice, coat, 0.03))


def studded(seed: int, fine: dict[str, float]) -> Work:
    """The road side with all its studs."""
    work = drum_outside(seed, fine)
    places = stud_places(work.drum)
    studs = {f"stud {i}": stud(work.drum, at, dice_of(seed, f"stud {i}")) for i, at in enumerate(places)}
    return replace(work, pieces=work.pieces | studs)


def to_studs(work: Work) -> Floats:
    """Distance of each place of the hub face from the nearest stud's middle, mm."""
    coat, outer = work.coat("hub face"), work.pieces["hub face"].zone.profile[0][0]
    r, turn = outer - coat.across, coat.along / coat.size_mm[1] * 2 * np.pi
    x, y = r * np.cos(turn), r * np.sin(turn)
    return np.asarray(np.min([np.hypot(x - a, y - b) for a, b in stud_places(work.drum)], axis=0), np.float32)


def painted(work: Work, hard: int, dice: Dice) -> Work:
    """Paint where the wheel must sit on bare metal: thick, brushed, scraped here and there."""
    coat = work.coat("hub face")
    wear = clouds(dice, coat.shape, coat.px, [(0.6, 5, 9), (0.4, 1.2, 1.6), (0.2, 0.3, 0.3)])
    whole = step(wear, 1.35, 1.15)
    brush = clouds(dice, coat.shape, coat.px, [(0.02, 0.3, 9), (0.03, 1.5, 3)])
    black = np.array([0.022, 0.023, 0.026], np.float32)
    coat = replace(over(coat, whole, black, 0.75, 0.22), height=coat.height * (1 - 0.9 * whole))
    coat = raised(coat, 0.12 * soft(whole, 0.08, coat.px) + brush * whole)
    back = over(work.coat("back"), np.ones(work.coat("back").shape, np.float32), black, 0.8, 0.25)
    del hard, back
    return work.worn(hub_face=coat)


def rounded(work: Work, hard: int, dice: Dice) -> Work:
    """A loose wheel has hammered the face: dished round the studs, outer corner rolled, fretted red-brown."""
    coat, away = work.coat("hub face"), to_studs(work)
    s = 0.55 if hard == 1 else 1.0
    lay = clouds(dice, coat.shape, coat.px, [(1.0, 2, 3), (0.6, 0.6, 0.8)])
    dish = np.exp(-(((away - 8) / (8.0 + 1.5 * lay)) ** 2))
    rub = step(clouds(dice, coat.shape, coat.px, [(0.8, 1.0, 16), (0.5, 3, 9)]) + 0.8 * dish, 0.3, 1.0)
    roll = step(coat.across, 8.0, 0.0)
    coat = raised(coat, -1.8 * s * dish - 3.0 * s * roll**2 - 0.12 * s * rub)
    fret = step(0.9 * dish + 0.22 * lay, 0.45, 0.95)
    coat = over(coat, 0.85 * rub * s, np.array([0.42, 0.41, 0.39], np.float32), 0.12, 0.2)
    coat = over(coat, 0.9 * fret * s, np.array([0.055, 0.024, 0.013], np.float32), 0.85, 0.35)
    coat = over(coat, 0.5 * step(lay, 0.9, 1.6) * step(dish, 0.05, 0.3), RUST)
    coat = over(coat, 0.55 * roll * s, np.array([0.5, 0.49, 0.47], np.float32), 0.1, 0.18)
    return work.worn(hub_face=cavities(coat, 1.5, 1.5))


def broken(work: Work, hard: int, dice: Dice) -> Work:
    """One stud snapped near the face: a stub with a grainy break."""
    del hard
    name, d = f"stud {NEAREST}", work.drum
    at = stud_places(d)[NEAREST]
    zone = Zone(((d.stud + 0.4, -2.0), (d.stud + 0.2, 3.0), (d.stud - 0.4, 4.0), (0.3, 4.0)), at, cell_mm=0.2)
    px = 12.0
    shape = zone.pixels(px)
    coat = cast(dice, shape, px, 0.1)
    grain = clouds(dice, shape, px, [(0.5, 1.2, 2.5), (0.22, 0.35, 0.6)])
    coat = replace(
        coat, colour=coat.colour * 3.0, dull=coat.dull * 0.7, height=grain * step(coat.across, 4.5, 6.0)
    )
    old = step(clouds(dice, shape, px, [(1, 3, 9)]), 0.2, 0.9)
    return replace(
        work, pieces=work.pieces | {name: Piece(zone, over(cavities(coat, 0.4, 2.0), 0.7 * old, OLD_RUST))}
    )


def necked(work: Work, hard: int, dice: Dice) -> Work:
    """One stud pulled thin in the middle, its thread stretched."""
    name = f"stud {NEAREST}"
    thin = stud(work.drum, stud_places(work.drum)[NEAREST], dice, 0.10 if hard == 1 else 0.19)
    return replace(work, pieces=work.pieces | {name: thin})


def punched(work: Work, hard: int, dice: Dice) -> Work:
    """Rows of punch marks in the bore, to make a loose cup feel tight."""
    del hard
    coat = work.coat("cup bore")
    far, long = coat.size_mm
    depth = np.zeros(coat.shape, np.float32)
    for row in (0.25, 0.5, 0.75):
        for x in np.arange(-long / 2 + 4, long / 2, 7.5):
            u, v = (
                coat.along - x - dice.normal(0, 0.9) - 3 * row,
                coat.across - row * far - dice.normal(0, 0.7),
            )
            away = np.hypot(u, v)
            size = dice.uniform(1.0, 1.4)
            depth += 0.35 * np.exp(-(((away - 1.35 * size) / 0.45) ** 2)) - 1.3 * np.clip(
                1 - away / size, 0, None
            )
    coat = replace(
        coat,
        colour=coat.colour * (1 + 0.5 * step(depth, 0.1, 0.3) - 0.7 * step(depth, -0.1, -0.8))[..., None],
    )
    return work.worn(cup_bore=raised(coat, depth))


def spun(work: Work, hard: int, dice: Dice) -> Work:
    """The cup has turned in its bore: smeared tracks all round, dark, heat colour, a step at the shoulder."""
    coat = work.coat("cup bore")
    tracks = rings(dice, coat.px, coat.shape[0], [(0.10, 0.9), (0.08, 0.3), (0.12, 2.5)]) * hard
    smear = clouds(dice, coat.shape, coat.px, [(0.5, 0.5, 14), (0.5, 2.5, 9)])
    inner = step(coat.across, 0.8, 1.6) * step(coat.across, coat.size_mm[0] - 0.4, coat.size_mm[0] - 1.2)
    heat = np.clip((0.10 + 0.14 * hard + 0.16 * smear) * inner, 0, 1)
    tint = film(heat) * (0.75 + 0.5 * coat.colour)
    coat = replace(
        coat,
        colour=coat.colour + inner[..., None] * (tint - coat.colour),
        rough=coat.rough * (1 - 0.5 * inner),
        dull=coat.dull * (1 - 0.5 * inner),
    )
    galled = step(smear, 0.9, 1.5) * inner
    coat = over(coat, 0.75 * galled, SOOT, 0.6, 0.4)
    return work.worn(
        cup_bore=cavities(raised(coat, (tracks - 0.35 * hard) * inner - 0.12 * galled), 0.7, 3.0)
    )


def scored(work: Work, hard: int, dice: Dice) -> Work:
    """Gouges where a seal was pried out: across the bore and over its edge."""
    bore, edge, end = (work.coat(n) for n in ("seal bore", "seal edge", "barrel end"))
    far, long = bore.size_mm
    tracks, nicks = [], []
    for x in dice.normal(long / 4, 13 if hard == 1 else 22, 9 if hard == 1 else 22):
        length = float(dice.uniform(0.4, 1.0) * far)
        tracks.append(
            (
                walk(dice, (float(x), 0.0), length, float(dice.normal(0.1, 0.25)), 0.3),
                float(dice.uniform(0.5, 1.3)),
                0.15,
            )
        )
        nicks.append((float(x), float(dice.uniform(0.8, 2.0))))

    def cut(coat: Coat, paths: list[tuple[Floats, float, float]]) -> Coat:
        deep = soft(lines(coat, paths), 0.1, coat.px)
        lip = np.clip(soft(deep, 0.5, coat.px) - deep, 0, 1)
        coat = replace(
            coat,
            colour=coat.colour * (1 - 0.55 * deep + 0.8 * lip)[..., None],
            dull=np.clip(coat.dull - 0.3 * lip, 0, 1),
        )
        return raised(coat, -0.7 * deep + 0.3 * lip)

    def across(coat: Coat) -> list[tuple[Floats, float, float]]:
        k = coat.size_mm[1] / long
        return [
            (
                np.array(
                    [[x * k, -0.2], [x * k + 0.2, coat.size_mm[0] / 2], [x * k, coat.size_mm[0] * 0.999]],
                    np.float32,
                ),
                w,
                w,
            )
            for x, w in nicks
        ]

    short = [
        (np.array([[p[0, 0], end.size_mm[0] - w * 1.2], [p[1, 0], end.size_mm[0]]], np.float32), w * 0.6, w)
        for p, w in zip(across_first(across(end)), (n[1] for n in nicks), strict=True)
    ]
    return work.worn(
        seal_bore=cut(bore, tracks), seal_edge=cut(edge, across(edge)), barrel_end=cut(end, short)
    )


def across_first(paths: list[tuple[Floats, float, float]]) -> list[Floats]:
    """The lines alone."""
    return [p for p, _, _ in paths]
