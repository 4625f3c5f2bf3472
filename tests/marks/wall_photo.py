"""Photos of drums that never were, with known truth: for tests, benchmarks and documents of the photo measurement.

Mitsuba renders the wall, the paper card and the marks; truth is asked of the same Mitsuba camera by rays. Shared with the
product: the card's table in `reference/cards/*.toml` (read here with tomllib) and OpenCV's predefined 36h11 patterns.
Nothing else: no camera, no curvature and no distortion formula, no path and no filter of the product is used here. Both
sides use OpenCV to resample and blur. Surfaces, lights, phones and marks are assumed, so results on these photos say how
well the method works if the assumptions hold, and nothing about real drums.

Every photo follows from its seed. What is tuned is tuned on seeds of TUNING, what is reported comes from REPORTING.
Pixel (0, 0) is the middle of the first pixel of the picture as shown (after its EXIF rotation). Card places are true mm
in the card's frame (lower left corner, x right, y up) along the developed wall, whatever scale the card was printed at.

    python tests/marks/wall_photo.py OUT_DIR [count] [first seed] [--kind KIND] [--fault FAULT] [--glare] [--spp 4]
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

import wall_lens as lens
from wall_marks import KINDS, Mark, Window, marks_of
from wall_scene import (
    FACE_EDGE_MM,
    FACE_HALF_MM,
    FACE_LOW_MM,
    FACE_RADIUS_MM,
    Bed,
    Lay,
    Seen,
    bitmap,
    card_parts,
    lights,
    mesh,
    metal,
    plate_mesh,
    sensor,
    surface_mesh,
)
from wall_texture import Sheet, card_table, cloud, iron, turned_face, with_marks

Array = NDArray[np.float64]
TUNING = range(0, 100_000)
REPORTING = range(500_000, 600_000)
BEDS = ("wall 12", "wall 10", "face")
FAULTS = ("none", "printed small", "stiff", "bulging", "upside down", "half hidden", "thick")
DEPTH_MM = 60.0


@dataclass(frozen=True)
class Shot:
    """Everything a photo follows from. The defaults make a plain good photo."""

    seed: int = 0
    kind: str = "crack in band"  # of KINDS
    bed: str = "wall 12"  # of BEDS
    size_px: tuple[int, int] = (2016, 1512)  # columns, rows as shown
    spp: int = 4  # rays a pixel
    paint_px_per_mm: float = 16.0
    away_mm: float = 200.0  # camera to the place it aims at
    tilt_deg: float = 25.0  # towards the open edge
    side_deg: float = 0.0  # towards the right
    roll_deg: float = 0.0
    aim_off_mm: tuple[float, float] = (0.0, 0.0)  # from the card's middle
    view_deg: float = 67.0  # across the long side
    distortion: float = 0.0  # see wall_lens.py
    middle_off_px: tuple[float, float] = (0.0, 0.0)  # of the distortion's middle
    gap_mm: float = 0.6  # of the card's open side under the open edge
    turn_deg: float = 0.0  # of the card, against the clock
    fault: str = "none"  # of the card, of FAULTS
    flash: float = 1.0
    flash_off_mm: float = 14.0
    lamp: float = 0.12
    lamp_at_deg: tuple[float, float] = (30.0, 50.0)  # aside, above
    glare: float = 0.0  # strength of a light mirrored over the mark
    rough_along: float = 0.22
    rough_across: float = 0.4
    exposure: float = 1.0
    vignette: float = 0.15
    soft_px: float = 0.7  # of the lens, as sigma
    defocus_px: float = 0.0  # radius
    motion_px: float = 0.0
    motion_deg: float = 0.0
    well: float = 6000.0  # counts at full light
    read_noise: float = 0.004
    tone: float = 0.8
    sharpen: float = 0.3
    jpeg_quality: int = 92
    exif: bool = True

    @property
    def margin_px(self) -> int:
        """Of the ideal picture round the photo."""
        return max(self.size_px) // 20


@dataclass(frozen=True)
class Truth:
    """What is true of a photo; `table_*` lists places all over the wall, so that others can interpolate."""

    marks: tuple[Mark, ...]  # in card mm
    lines_px: tuple[Array, ...]  # of each mark: where each vertex appears
    ends_px: tuple[Array, ...]  # of each mark: (2, 2) first and last
    table_mm: Array  # (n, 2) card mm on the wall, 2 mm apart
    table_px: Array  # (n, 2), nan outside the photo
    tags_px: dict[int, Array]  # (4, 2) from the top left of the print clockwise, hidden or not
    card_turn_deg: float
    print_scale: float

    def px(self, card_mm: Array) -> Array:
        """Where places on the wall appear, by cubic interpolation in the table (good to about a hundredth)."""
        from scipy.interpolate import CloughTocher2DInterpolator

        known = ~np.isnan(self.table_px[:, 0])
        return np.asarray(CloughTocher2DInterpolator(self.table_mm[known], self.table_px[known])(card_mm))


@dataclass(frozen=True)
class Photo:
    """A photo with its truth."""

    shot: Shot
    pixels: NDArray[np.uint8]  # (rows, cols, 3), as decoded from the file and shown
    jpeg: bytes
    truth: Truth


def laid(shot: Shot) -> tuple[Bed, Lay]:
    """The surface, and how the card lies on it."""
    flat = shot.bed == "face"
    card = "face" if flat else "wall"
    radius = 127.0 if shot.bed == "wall 10" else 152.4
    bed = Bed(radius, FACE_EDGE_MM if flat else DEPTH_MM, flat)
    high = card_table(card)["height_mm"]
    y = high / 2 if flat else DEPTH_MM - shot.gap_mm - high / 2
    scale = 0.97 if shot.fault == "printed small" else 1.0
    turn = np.radians(shot.turn_deg + (180 if shot.fault == "upside down" else 0))
    thick, bulge = (0.3 if shot.fault == "thick" else 0.1), (2.0 if shot.fault == "bulging" else 0.0)
    return bed, Lay(card, np.array([0.0, y]), float(turn), scale, thick, bulge, shot.fault == "stiff")


def painted(shot: Shot, bed: Bed, lay: Lay) -> tuple[Sheet, tuple[Mark, ...]]:
    """The surface with its marks, and the marks in surface mm."""
    dice = np.random.default_rng([shot.seed, 1])
    left, bottom, right, top = np.array(card_table(lay.card)["opening_mm"], float)
    middle_x = lay.size_mm[0] / 2
    if bed.flat:
        window = Window(left - middle_x, bottom, right - middle_x, top, False)
    else:
        low = bed.edge_mm - shot.gap_mm - lay.size_mm[1] + bottom
        window = Window(left - middle_x, low, right - middle_x, bed.edge_mm, True)
    marks = marks_of(shot.kind, window, np.random.default_rng([shot.seed, 2]))
    sheet = _face_sheet(shot, bed) if bed.flat else _wall_sheet(shot, bed, dice)
    return with_marks(sheet, marks + _over_the_edge(marks, dice), np.random.default_rng([shot.seed, 3])), marks


def _wall_sheet(shot: Shot, bed: Bed, dice: np.random.Generator) -> Sheet:
    """The wall with chamfer and rim, shoes having rubbed all but its margins."""
    track = (float(dice.uniform(3, 8)), bed.edge_mm - float(dice.uniform(1.5, 5)))
    return iron(dice, -150, bed.edge_mm + 12, (300, 73), shot.paint_px_per_mm, track)


def _face_strip(shot: Shot) -> Sheet:
    """What a flat face is bent from."""
    s = min(15.0, shot.paint_px_per_mm)
    return iron(np.random.default_rng([shot.seed, 5]), -150, FACE_EDGE_MM + 2, (300, 196), s, (5, FACE_EDGE_MM - 8))


def _face_sheet(shot: Shot, bed: Bed) -> Sheet:
    """The painted part of a flat face."""
    strip = _face_strip(shot)
    s = strip.px_per_mm
    size = round((bed.edge_mm + 1 - FACE_LOW_MM) * s), round(2 * FACE_HALF_MM * s)
    middle = (0.0, bed.edge_mm - FACE_RADIUS_MM)
    return turned_face(strip, middle, size, (-FACE_HALF_MM, bed.edge_mm + 1))


def _over_the_edge(marks: tuple[Mark, ...], dice: np.random.Generator) -> tuple[Mark, ...]:
    """Cracks at the edge run on over chamfer and rim, where the card's millimetres end."""
    out = []
    for mark in marks:
        if mark.reaches_edge:
            way = mark.line_mm[0] - mark.line_mm[4]
            end = mark.line_mm[0] + way / np.hypot(*way) * dice.uniform(2, 9)
            on = np.linspace(mark.line_mm[0], end, 30)
            out.append(replace(mark, line_mm=on, taper_mm=(0.0, 1.0), reaches_edge=False))
    return tuple(out)


def render(shot: Shot) -> Photo:
    """Paint, place, light, shoot, and ask for the truth."""
    bed, lay = laid(shot)
    sheet, marks = painted(shot, bed, lay)
    spot = _glare_spot(shot, marks, lay)
    things = {
        "surface": surface_mesh(bed, sheet, metal(sheet, shot)),
        **card_parts(bed, lay),
        **_room(shot, bed),
        **_thumb(shot, bed, lay),
    }
    light = _lit(shot, things, sensor(shot, bed, lay), lights(shot, bed, lay, spot))
    pixels = lens.exposed(shot, light, _paper(shot, bed, lay, sheet, light))
    jpeg = lens.packed(shot, pixels)
    return Photo(shot, lens.as_shown(jpeg), jpeg, true_of(shot, bed, lay, sheet, marks))


def _lit(shot: Shot, things: dict[str, Any], camera: dict[str, Any], lamps: dict[str, Any]) -> NDArray[np.float32]:
    """The ideal picture in linear light: one pass for each lamp, so that no chance decides which one a ray asks."""
    loaded = {name: thing if hasattr(thing, "bbox") else mi.load_dict(thing) for name, thing in things.items()}
    direct = {"type": "direct", "emitter_samples": 1, "bsdf_samples": 0}
    out = 0.0
    for i, lamp in enumerate(lamps.values()):
        scene = mi.load_dict({"type": "scene", "by": direct, **loaded, "lamp": lamp, "sensor": camera})
        spp = shot.spp if i == 0 else max(1, shot.spp // 2)
        out = out + np.array(mi.render(scene, spp=spp, seed=2 * shot.seed + i), np.float32)[..., :3]
    return np.ascontiguousarray(out, np.float32)


def _paper(shot: Shot, bed: Bed, lay: Lay, sheet: Sheet, light: NDArray[np.float32]) -> float:
    """The light of white paper: along the card's lower margin, which carries no print."""
    x = np.linspace(2, lay.size_mm[0] - 2, 12)
    px = Seen(shot, bed, lay, sheet, "card").px(np.column_stack([x, np.full(12, 1.0)]))
    px = np.round(px[~np.isnan(px[:, 0])]).astype(int)
    rows, cols = np.clip(px[:, 1], 0, light.shape[0] - 1), np.clip(px[:, 0], 0, light.shape[1] - 1)
    return float(np.median(light[rows, cols])) if len(px) else float(np.percentile(light, 90))


def true_of(shot: Shot, bed: Bed, lay: Lay, sheet: Sheet, marks: tuple[Mark, ...]) -> Truth:
    """The truth of a photo, all of it by rays."""
    wall, print_ = Seen(shot, bed, lay, sheet, "wall"), Seen(shot, bed, lay, sheet, "card")
    wide, high = lay.size_mm
    x, y = np.arange(-10, wide + 11, 2.0), np.arange(-8, high + 9, 2.0)
    table = lay.to_surface(np.stack(np.meshgrid(x, y), -1).reshape(-1, 2))
    table = table[table[:, 1] < bed.edge_mm]
    count = [len(m.line_mm) for m in marks]
    lines = np.concatenate([m.line_mm for m in marks]) if marks else np.empty((0, 2))
    lines = np.column_stack([lines[:, 0], np.minimum(lines[:, 1], bed.edge_mm - 1e-3)])
    places = np.concatenate([table, lines])
    px = _in_photo(shot, lens.photo_of(shot, wall.px(places)))
    lines_px = np.split(px[len(table) :], np.cumsum(count)[:-1]) if marks else []
    tags = card_table(lay.card)["tag"]
    corners = np.array([[-1, 1], [1, 1], [1, -1], [-1, -1]]) / 2
    tag_mm = np.concatenate([np.array(t["middle_mm"]) + t["side_mm"] * corners for t in tags])
    tag_px = _in_photo(shot, lens.photo_of(shot, print_.px(tag_mm)))
    return Truth(
        tuple(replace(m, line_mm=lay.to_card(m.line_mm)) for m in marks),
        tuple(lines_px),
        tuple(line[[0, -1]] for line in lines_px),
        lay.to_card(table),
        px[: len(table)],
        {t["id"]: tag_px[4 * i : 4 * i + 4] for i, t in enumerate(tags)},
        float(np.degrees(lay.turn_rad)),
        lay.scale,
    )


def _in_photo(shot: Shot, px: Array) -> Array:
    """The same with nan outside the photo."""
    out = np.any((px < -0.5) | (px > np.array(shot.size_px) - 0.5), axis=1)
    return np.where(out[:, None], np.nan, px)


def _glare_spot(shot: Shot, marks: tuple[Mark, ...], lay: Lay) -> Array | None:
    """Where glare is wanted, in surface mm: the middle of the first mark."""
    if not shot.glare:
        return None
    return marks[0].line_mm[len(marks[0].line_mm) // 2] if marks else lay.middle_mm


def _room(shot: Shot, bed: Bed) -> dict[str, Any]:
    """What stands behind: a dark workshop, and the drum's closed end with its rusty web."""
    dice = np.random.default_rng([shot.seed, 4])
    shade = np.clip(0.05 + 0.03 * cloud(dice, (96, 96), (18, 18)), 0.01, 0.3)[..., None] * np.array([1, 0.95, 0.85], np.float32)
    far = np.array([[bed.radius_mm + 260, -y, z] for z in (900, -900) for y in (-900.0, 900.0)])
    uv = np.array([[0, 0], [1, 0], [0, 1], [1, 1.0]])
    out = {"behind": mesh("behind", far, uv, (2, 2), _matt(shade))}
    if bed.flat:
        strip = _face_strip(shot)
        return out | {"plate": plate_mesh(bed, strip, metal(strip, shot))}
    rust = iron(dice, 0, 120, (240, 120), 6, (300, 400))
    turn, deep = np.linspace(-2.4, 2.4, 161), np.linspace(bed.radius_mm, 55, 20)
    world = np.array([[r * np.cos(t), -r * np.sin(t), 0.0] for r in deep for t in turn])
    uv = np.array([[0.5 + t / 4.8, (bed.radius_mm - r) / 120] for r in deep for t in turn])
    out["web"] = mesh("web", world, uv, (20, 161), _matt(rust.colour * 0.7))
    return out


def _matt(picture: NDArray[np.float32]) -> dict[str, Any]:
    return {"type": "twosided", "b": {"type": "diffuse", "reflectance": bitmap(picture)}}


def _thumb(shot: Shot, bed: Bed, lay: Lay) -> dict[str, Any]:
    """A thumb that holds the card down and hides part of its right leg and foot."""
    if shot.fault != "half hidden":
        return {}
    spot = bed.at(lay.to_surface(lay.size_mm * [[0.86, 0.12]]), 5.0)[0]
    place = mi.ScalarTransform4f().translate(spot.tolist()).rotate([1, 0, 0], -35).scale([7, 9.5, 24])
    skin = {"type": "roughplastic", "alpha": 0.3, "diffuse_reflectance": {"type": "rgb", "value": [0.5, 0.3, 0.22]}}
    return {"thumb": {"type": "sphere", "to_world": place, "bsdf": skin}}


def shot_of(seed: int, kind: str, **changes: Any) -> Shot:
    """A photo as a technician may take it: most settings by chance from the seed, some changed."""
    dice = np.random.default_rng([seed, 7])
    bed = changes.get("bed", str(dice.choice(BEDS, p=[0.45, 0.3, 0.25])))
    radius = 127.0 if bed == "wall 10" else 152.4
    while True:  # the phone keeps out of the opposite wall, and of the hub in the middle
        tilt, away = float(dice.uniform(0, 60)), float(140 + 140 * dice.beta(1, 1.8))
        if bed == "face" and away > 190:
            break
        x, z = radius - away * np.cos(np.radians(tilt)), 35 + away * np.sin(np.radians(tilt))
        if bed != "face" and (z > DEPTH_MM + 15 or x > 30):
            break
    lit = str(dice.choice(["flash", "lamp", "both"], p=[0.4, 0.3, 0.3]))
    upright = bool(dice.random() < 0.15)
    drawn: dict[str, Any] = {
        "away_mm": away,
        "tilt_deg": tilt,
        "side_deg": float(dice.normal(0, 8)),
        "roll_deg": float(dice.normal(0, 6)),
        "aim_off_mm": tuple(dice.normal(0, 6, 2).tolist()),
        "view_deg": float(dice.uniform(65, 70)),
        "distortion": float(dice.uniform(-0.02, 0.03)),
        "middle_off_px": tuple(dice.normal(0, 6, 2).tolist()),
        "gap_mm": float(dice.uniform(0, 1.2)),
        "turn_deg": float(dice.normal(0, 1.2)),
        "flash": float(dice.uniform(0.08, 0.4)) if lit == "lamp" else 1.0,
        "flash_off_mm": float(dice.uniform(10, 20)),
        "lamp": float(dice.uniform(0.05, 0.4)) if lit == "flash" else 1.0,
        "lamp_at_deg": (float(dice.uniform(-50, 50)), float(dice.uniform(15, 65))),
        "rough_along": float(dice.uniform(0.15, 0.3)),
        "rough_across": float(dice.uniform(0.3, 0.5)),
        "exposure": float(dice.uniform(0.8, 1.2)),
        "vignette": float(dice.uniform(0.05, 0.25)),
        "soft_px": float(dice.uniform(0.55, 0.9)),
        "defocus_px": float(dice.uniform(0, 1.2)),
        "motion_px": float(dice.uniform(0, 1.5)),
        "motion_deg": float(dice.uniform(0, 180)),
        "well": float(np.exp(dice.uniform(np.log(1500), np.log(12000)))),
        "read_noise": float(dice.uniform(0.002, 0.008)),
        "tone": float(dice.uniform(0.3, 1.6)),
        "sharpen": float(dice.uniform(0, 0.6)),
        "jpeg_quality": int(dice.integers(85, 96)),
        "exif": bool(dice.random() < 0.85),
    }
    if upright and "size_px" not in changes:
        drawn |= {"size_px": (1512, 2016), "away_mm": min(280.0, away * 1.25)}
    return replace(Shot(seed, kind, bed), **(drawn | changes))


def glaring(seed: int, kind: str, **changes: Any) -> Shot:
    """The same with a lamp whose mirror image lies on the first mark; seen from nearly square, where it shows."""
    tilt = float(np.random.default_rng([seed, 8]).uniform(4, 14))
    return shot_of(seed, kind, **({"glare": 2.0, "tilt_deg": tilt, "rough_along": 0.16, "away_mm": 170.0} | changes))


def as_json(photo: Photo) -> str:
    """The truth in words any program reads."""

    def plain(a: Array) -> list[Any]:
        return [[None if np.isnan(v) else round(float(v), 4) for v in p] for p in a]

    t = photo.truth
    marks = [
        {
            "kind": m.kind,
            "line_mm": plain(m.line_mm),
            "line_px": plain(px),
            "ends_mm": plain(m.line_mm[[0, -1]]),
            "ends_px": plain(ends),
            "end_to_end_mm": round(m.end_to_end_mm, 4),
            "along_mm": round(m.along_mm, 4),
            "width_mm": round(m.width_mm, 4),
            "angle_deg": round(m.angle_deg, 3),
            "reaches_edge": m.reaches_edge,
        }
        for m, px, ends in zip(t.marks, t.lines_px, t.ends_px, strict=True)
    ]
    whole = {
        "simulated": True,
        "shot": asdict(photo.shot),
        "marks": marks,
        "card_turn_deg": t.card_turn_deg,
        "print_scale": t.print_scale,
        "tags_px": {str(k): plain(v) for k, v in t.tags_px.items()},
        "table": {"mm": plain(t.table_mm), "px": plain(t.table_px)},
    }
    return json.dumps(whole, separators=(",", ":"))


def write(folder: Path, shot: Shot) -> bool:
    """JPEG and truth, the truth last; False if both are there already."""
    words = [f"{shot.seed:06d}", shot.kind, shot.bed, *([shot.fault] if shot.fault != "none" else [])]
    name = "-".join(w.replace(" ", "-") for w in [*words, *(["glare"] if shot.glare else [])])
    if (folder / f"{name}.json").exists():
        return False
    folder.mkdir(parents=True, exist_ok=True)
    began = time.perf_counter()
    photo = render(shot)
    (folder / f"{name}.jpg").write_bytes(photo.jpeg)
    (folder / f"{name}.json").write_text(as_json(photo), "utf-8")
    print(f"{name}: {time.perf_counter() - began:.1f} s", flush=True)
    return True


def main(words: list[str]) -> int:
    """Write a set."""
    read = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    read.add_argument("folder", type=Path)
    read.add_argument("count", type=int, nargs="?", default=len(KINDS))
    read.add_argument("first_seed", type=int, nargs="?", default=TUNING.start)
    read.add_argument("--kind", choices=KINDS, action="append", help="only these kinds; else all in turn")
    read.add_argument("--fault", choices=FAULTS, default="none", help="of the card")
    read.add_argument("--glare", action="store_true", help="over the first mark")
    read.add_argument("--bed", choices=BEDS, help="else by chance")
    read.add_argument("--size", default="", help="columns x rows, as 2016x1512")
    read.add_argument("--spp", type=int, default=4)
    asked = read.parse_args(words)
    kinds = asked.kind or KINDS
    changes: dict[str, Any] = {"spp": asked.spp, "fault": asked.fault} | ({"bed": asked.bed} if asked.bed else {})
    if asked.size:
        changes["size_px"] = tuple(int(n) for n in asked.size.split("x"))
    for i in range(asked.count):
        seed = asked.first_seed + i
        taken = glaring if asked.glare else shot_of
        write(asked.folder, taken(seed, kinds[i % len(kinds)], **changes))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
