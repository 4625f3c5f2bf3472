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
    cavities,
    clouds,
    over,
    raised,
    rings,
    soft,
    step,
)
from atlas.marks import film, lines, walk
from atlas.parts import Piece, Work
from atlas.studs import BRIGHT, NEAREST, face_places, stud_places, to_studs


def painted(work: Work, hard: int, dice: Dice) -> Work:
    """Paint where the wheel must sit on bare metal: thick, brushed, scraped here and there."""
    coat = work.coat("hub face")
    wear = clouds(dice, coat.shape, coat.px, [(0.6, 5, 9), (0.4, 1.2, 1.6), (0.2, 0.3, 0.3)])
    whole = step(wear, 1.35, 1.15)
    brush = clouds(dice, coat.shape, coat.px, [(0.02, 0.3, 9), (0.03, 1.5, 3)])
    black = np.array([0.022, 0.023, 0.026], np.float32)
    coat = replace(over(coat, whole, black, 0.75, 0.22), height=coat.height * (1 - 0.9 * whole))
    coat = raised(coat, 0.12 * soft(whole, 0.08, coat.px) + brush * whole)
    del hard
    return work.worn(hub_face=coat)


def near_side(coat: Coat, deg: float, lay: Floats | float = 0.0) -> Floats:
    """1 on the camera's side of a face that is turned round, 0 beyond so many degrees to both sides; ragged by a noise."""
    turn = (coat.along / coat.size_mm[1] * 360 + 90 + 180) % 360 - 180
    return step(np.abs(turn + 6) + 5 * lay, deg + 8, deg - 8)


def rounded(work: Work, hard: int, dice: Dice) -> Work:
    """A loose wheel has hammered the face, worst on one side: dished round the studs, outer corner rolled, red-brown."""
    del hard
    coat, away = work.coat("hub face"), to_studs(work)
    lay = clouds(dice, coat.shape, coat.px, [(0.8, 2.5, 3.5), (0.4, 0.9, 1.1)])
    slow = clouds(dice, coat.shape, coat.px, [(0.8, 9, 14), (0.4, 4, 6)])
    side = near_side(coat, 40, 0.5 * slow)
    broad = soft(side, 9.0, coat.px)  # comes and goes slowly round the edge
    dish = broad * np.exp(-(((away - 8) / (8.0 + 1.4 * slow)) ** 2))
    rub = side * step(clouds(dice, coat.shape, coat.px, [(0.6, 1.6, 18), (0.5, 4, 9)]) + 0.8 * dish, 0.3, 1.0)
    roll = broad * step(coat.across, 9.0, 0.0)
    coat = raised(coat, -2.6 * dish - 3.6 * roll**2 - 0.10 * rub)
    coat = over(coat, 0.8 * rub, np.array([0.42, 0.41, 0.39], np.float32), 0.2, 0.22)
    fret = step(0.9 * dish + 0.20 * lay, 0.38, 0.9)
    coat = over(coat, 0.9 * fret, OLD_RUST + 0.25 * (RUST - OLD_RUST), 0.85, 0.35)
    coat = over(coat, 0.55 * roll, np.array([0.5, 0.49, 0.47], np.float32), 0.12, 0.18)
    return work.worn(hub_face=cavities(coat, 1.5, 1.2))


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
    """Long gouges where a seal was pried out, tapering into the bore, and grooves where one has turned in it."""
    zone, bore, edge = work.pieces["seal bore"].zone, work.coat("seal bore"), work.coat("seal edge")
    far, long = bore.size_mm
    tracks, fines, nicks = [], [], []
    for x in dice.normal(long / 4 - 4, 30, 7 if hard == 1 else 12):
        length, slant = float(dice.uniform(0.5, 1.0) * far), float(dice.normal(0.0, 0.35))
        wide = float(dice.uniform(0.4, 1.3))
        path = np.array([[x, -0.3], [x + slant * length, length]], np.float32)
        tracks.append((np.linspace(path[0], path[1], 24), wide, 0.12))
        for beside in dice.normal(0, 1.3, 3):
            fine = path + np.array([[beside, 0.0], [1.3 * beside, -0.35 * length]], np.float32)
            fines.append((np.linspace(fine[0], fine[1], 24), 0.25, 0.1))
        nicks.append((np.linspace([x - 0.2, 0.25], [x, edge.size_mm[0]], 12), 0.2 * wide, 1.2 * wide))
    gashes = np.maximum(lines(bore, tracks), 0.45 * lines(bore, fines))
    return work.having(seal_bore=Piece(replace(zone, cell_mm=0.14), bore)).worn(
        seal_bore=gouged(bore, np.maximum(gashes, 0.7 * turned_in(bore, dice))),
        seal_edge=gouged(edge, lines(edge, nicks)),
    )


def turned_in(bore: Coat, dice: Dice) -> Floats:
    """Grooves all round, where a seal has turned in its bore."""
    grooves = np.zeros((bore.shape[0], 1), np.float32)
    for at, wide in ((0.30, 0.35), (0.37, 0.22), (0.52, 0.5), (0.58, 0.25), (0.72, 0.3)):
        grooves += float(dice.uniform(0.5, 1.0)) * np.exp(
            -(((bore.across - at * bore.size_mm[0]) / wide) ** 2)
        )
    fade = 0.6 + 0.4 * clouds(dice, bore.shape, bore.px, [(1, 3, 30)])
    return np.asarray(np.clip(grooves * fade, 0, 1), np.float32)


def gouged(coat: Coat, cut: Floats) -> Coat:
    """Metal cut out, its sides bright, a lip thrown up along it, its bottom dark."""
    deep = soft(cut, 0.14, coat.px)
    lip = np.clip(soft(deep, 0.5, coat.px) - deep, 0, 1)
    coat = over(coat, np.clip(1.8 * np.maximum(lip, 0.45 * deep), 0, 0.9), BRIGHT * 1.15, 0.12, 0.2)
    coat = over(coat, 0.65 * step(deep, 0.6, 1.0), SOOT * 3, 0.5, 0.3)
    return raised(coat, -0.6 * deep + 0.35 * lip)


def rusted(work: Work, hard: int, dice: Dice) -> Work:
    """Rust grown under the wheel: raised scale on the near part of the face, the turned grain gone there."""
    del hard
    coat = work.coat("hub face")
    lay = clouds(dice, coat.shape, coat.px, [(0.6, 9, 14), (0.4, 2.5, 3.5), (0.15, 0.8, 0.9)])
    scale = step(lay + 1.4 * near_side(coat, 24) - 1.0, -0.4, 0.3)
    tone = step(clouds(dice, coat.shape, coat.px, [(0.8, 4, 6), (0.25, 1.5, 1.7)]), -1.0, 1.2)[..., None]
    coat = over(coat, 0.95 * scale, (OLD_RUST + tone * (RUST * 1.1 - OLD_RUST)).astype(np.float32))
    coat = replace(coat, height=(coat.height * (1 - scale)).astype(np.float32))
    blister = scale * (0.22 + 0.07 * clouds(dice, coat.shape, coat.px, [(0.7, 2.2, 2.6)]))
    return work.worn(hub_face=cavities(raised(coat, blister), 0.7, 2.0))


def cut(work: Work, hard: int, dice: Dice) -> Work:
    """The wheel has run loose and cut a step into the face on one side: a sharp ledge, worn tracks outside of it."""
    del hard
    coat, d = work.coat("hub face"), work.drum
    x, y = face_places(work)
    r = np.hypot(x, y)
    ledge = d.pilot + 8.5 + 0.25 * clouds(dice, coat.shape, coat.px, [(1, 8, 25)])
    side = near_side(coat, 55, clouds(dice, coat.shape, coat.px, [(0.6, 6, 9)]))
    low = step(r, ledge, ledge + 0.9) * side
    tracks = rings(dice, coat.px, coat.shape[0], [(0.10, 1.0), (0.05, 0.4), (0.20, 3.5)])
    smear = clouds(dice, coat.shape, coat.px, [(0.5, 0.9, 18), (0.5, 2.5, 9)])
    coat = raised(
        coat, low * (-1.7 + tracks + 0.05 * smear) + 0.3 * side * step(np.abs(r - ledge + 0.5), 0.7, 0.1)
    )
    coat = over(coat, 0.7 * low, BRIGHT * (0.8 + 0.18 * smear)[..., None], 0.2, 0.22)
    coat = over(coat, 0.75 * step(smear, 0.8, 1.5) * low, OLD_RUST)
    coat = over(coat, 0.8 * side * step(np.abs(r - ledge - 0.9), 1.1, 0.2), OLD_RUST * 0.7)
    return work.worn(hub_face=cavities(coat, 0.9, 1.5))


def pilot_places(work: Work) -> tuple[Coat, Floats]:
    """The pilot's coat, and how far each of its places lies round from the middle of two studs, mm."""
    coat = work.coat("pilot")
    return coat, np.asarray(coat.along + coat.size_mm[1] / 6, np.float32)


def burr(work: Work, hard: int, dice: Dice) -> Work:
    """Bruises in the pilot's edge with their metal pushed out past its side, where the wheel has to slide on."""
    del hard
    coat, along = pilot_places(work)
    edge = coat.size_mm[0] - 2.4  # where its lead-in begins
    ragged = clouds(dice, coat.shape, coat.px, [(0.6, 0.8, 1.1), (0.35, 0.3, 0.35)])
    rise, fall = np.zeros(coat.shape, np.float32), np.zeros(coat.shape, np.float32)
    for at, wide in ((-17.0, 1.5), (-3.0, 3.2), (9.0, 1.2), (14.5, 2.2), (27.0, 1.7)):
        u = (along - at - 0.25 * ragged) / wide
        bruise = np.exp(-(u**2)) * step(coat.across, edge - 0.9, edge + 1.2)
        pushed = np.exp(-((0.8 * u) ** 2)) * np.exp(
            -(((coat.across - edge + 1.2 + 0.3 * ragged) / 0.75) ** 2)
        )
        fall, rise = np.maximum(fall, bruise), np.maximum(rise, pushed)
    coat = raised(coat, -1.1 * fall + 0.75 * rise * (1 + 0.35 * ragged) + 0.05 * ragged * (rise + fall))
    fresh = np.clip(1.15 * np.maximum(rise, 0.8 * fall), 0, 1)
    coat = over(coat, 0.9 * step(fresh, 0.25, 0.6), BRIGHT * (1.0 + 0.15 * ragged)[..., None], 0.15, 0.22)
    return work.worn(pilot=cavities(coat, 0.5, 1.4))


def pilot_worn(work: Work, hard: int, dice: Dice) -> Work:
    """A loose wheel has worn a seat into the pilot: a low, polished and fretted track with a ledge above."""
    del hard
    coat, along = pilot_places(work)
    lay = clouds(dice, coat.shape, coat.px, [(0.7, 1.0, 6), (0.5, 0.4, 1.2)])
    reach = step(np.abs(along) + 3 * lay, 62, 44)
    track = step(coat.across + 0.15 * lay, 0.7, 2.4) * step(coat.across + 0.15 * lay, 6.6, 6.0) * reach
    tracks = rings(dice, coat.px, coat.shape[0], [(0.12, 0.5), (0.10, 0.25)])
    coat = raised(
        coat, track * (-2.0 + tracks + 0.08 * lay) + 0.4 * reach * step(np.abs(coat.across - 6.9), 0.6, 0.1)
    )
    coat = over(coat, 0.85 * track, BRIGHT * (0.85 + 0.2 * lay)[..., None], 0.12, 0.2)
    fret = track * step(lay, 0.35, 1.0)
    coat = over(coat, 0.85 * fret, OLD_RUST)
    return work.worn(pilot=cavities(coat, 0.8, 1.6))


def shimmed(work: Work, hard: int, dice: Dice) -> Work:
    """Somebody packed the bore: a strip of brass shim that ends short, hard green glue squeezed out beside it."""
    del hard
    coat = work.coat("cup bore")
    far, long = coat.size_mm
    lay = clouds(dice, coat.shape, coat.px, [(0.8, 3, 5), (0.6, 0.8, 1.2), (0.3, 0.3, 0.3)])
    middle, half = 0.1975 * long, 0.1375 * long  # the strip's, on the side away from the camera
    x, y = coat.along + 0.12 * (coat.across - far / 2) - middle, coat.across - far / 2 + 0.4
    hand = clouds(dice, (1, coat.shape[1]), coat.px, [(0.45, 1, 9), (0.2, 1, 2.5)])  # cut by hand
    near = np.maximum(np.abs(x + 0.25 * y) - half, np.abs(y + hand) - far / 2 + 3.0)
    strip = step(near, 0.2, -0.1)
    bead = clouds(dice, coat.shape, coat.px, [(0.8, 2.5, 4), (0.5, 1.0, 1.4)])
    out = np.clip(near, 0, None)  # thickest where it was pressed out at the strip's edge
    glue = step(0.9 * bead + 1.3 - 0.55 * out, -0.1, 0.35) * (1 - strip) * step(near, 17, 12)
    coat = raised(coat, glue * (0.45 + 0.2 * np.clip(bead, -1, 1)) * step(out, 6.0, 0.5))
    green = np.array([0.045, 0.120, 0.075], np.float32) * (0.95 + 0.2 * lay)[..., None]
    coat = over(coat, 0.93 * glue, green, 0.75, 0.15)
    crease = clouds(dice, coat.shape, coat.px, [(0.5, 8, 1.6), (0.4, 1.5, 1.0)])
    brass = np.array([0.42, 0.325, 0.165], np.float32) * (0.9 + 0.10 * crease)[..., None]
    buckle = 0.14 * clouds(dice, coat.shape, coat.px, [(0.7, 7, 4), (0.4, 2, 2)])
    coat = raised(over(coat, strip, brass, 0.30, 0.30), strip * (0.5 + 0.05 * crease + buckle))
    tarnish = strip * step(lay + 0.6 * step(near, -2.2, 0.0), 0.1, 1.3)
    coat = over(coat, 0.7 * tarnish, np.array([0.070, 0.045, 0.024], np.float32), 0.8, 0.35)
    return work.worn(cup_bore=cavities(coat, 0.8, 2.0))


def cracked(work: Work, hard: int, dice: Dice) -> Work:
    """A crack out of a stud's root across the flange and down over its edge, with a branch; rust bleeds from it."""
    del hard
    face, edge, at = work.coat("hub face"), work.coat("flange edge"), stud_places(work.drum)[NEAREST]
    turn = float(np.arctan2(at[1], at[0])) / (2 * np.pi)
    middle, row = turn * face.size_mm[1], 24.0  # the stud's circle lies so far in from the flange's edge
    main = walk(dice, (middle + 3.0, row - 5.5), 23.0, np.pi - 0.55, 0.5)
    main = main[main[:, 1] > -0.3]
    fork = main[len(main) * 2 // 5]
    branch = walk(dice, (float(fork[0]), float(fork[1])), 10.0, np.pi - 1.6, 0.6)
    end = float(main[-1, 0]) / face.size_mm[1] * edge.size_mm[1]
    down = walk(dice, (end, -0.2), edge.size_mm[0] + 0.6, 0.1, 0.4)
    return work.worn(
        hub_face=open_crack(face, lines(face, [(main, 0.6, 0.55), (branch, 0.35, 0.1)]), dice),
        flange_edge=open_crack(edge, lines(edge, [(down, 0.55, 0.5)]), dice),
    )


def open_crack(coat: Coat, line: Floats, dice: Dice) -> Coat:
    """A dark open line with rust bleeding out of it."""
    stain = soft(line, 1.3, coat.px)
    stain = step(
        stain * (1 + 0.4 * clouds(dice, coat.shape, coat.px, [(0.7, 1.5, 1.5), (0.5, 0.4, 0.4)])), 0.03, 0.30
    )
    coat = over(coat, 0.8 * stain, RUST * 0.9)
    coat = over(coat, np.clip(1.4 * line, 0, 1), SOOT * 0.25, 1.0, 0.6)
    return raised(coat, -0.6 * line)
