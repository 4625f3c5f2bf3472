"""Stands a drum, a card, lights and a camera in a Mitsuba scene, and asks that scene where a place is seen.

Shapes are meshes fine enough to bend by less than a micrometre between vertices. Where a place on the wall or the card
appears is found by sending rays through Mitsuba's own camera until one hits that place, so no camera formula is shared
with anything. What happens behind the ideal lens is `wall_lens.py`'s work. World in mm; the drum's axis is z, its open
edge looks up, the card lies near x = radius and is seen from the axis: card x runs along -y of the world, card y along z.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from wall_texture import FACE_MEAN_MM, Sheet, card_picture, card_table

if TYPE_CHECKING:
    from wall_photo import Shot

mi.set_variant("scalar_rgb")

Array = NDArray[np.float64]
CHAMFER_MM, RIM_MM = 1.0, 7.0
FACE_EDGE_MM, FACE_RADIUS_MM = 114.0, 230.0  # height of the plate's edge over the card's lower left, and its bend

FACE_HALF_MM, FACE_LOW_MM = 110.0, -25.0  # of the part of the plate that is painted in its own millimetres


@dataclass(frozen=True)
class Bed:
    """The surface: a drum's wall, or a flat face when `flat`; surface mm are developed, y 0 at the closed end."""

    radius_mm: float
    edge_mm: float  # y of the open edge
    flat: bool

    def at(self, mm: Array, lift: Array | float = 0.0) -> Array:
        """World places (n, 3) of surface places (n, 2), lifted towards the axis."""
        deep = self.radius_mm - np.broadcast_to(lift, len(mm))
        if self.flat:
            return np.column_stack([deep, -mm[:, 0], mm[:, 1]])
        turn = mm[:, 0] / self.radius_mm
        return np.column_stack([deep * np.cos(turn), -deep * np.sin(turn), mm[:, 1]])


@dataclass(frozen=True)
class Lay:
    """How the card lies: its middle on the surface, turned against the clock; printed at a scale."""

    card: str
    middle_mm: Array  # (2,) surface mm
    turn_rad: float
    scale: float = 1.0
    thick_mm: float = 0.1
    bulge_mm: float = 0.0
    stiff: bool = False

    @property
    def size_mm(self) -> Array:
        """Of the card in its table."""
        table = card_table(self.card)
        return np.array([table["width_mm"], table["height_mm"]], float)

    def turned(self, mm: Array, by: float) -> Array:
        """Vectors turned."""
        c, s = np.cos(by), np.sin(by)
        return np.asarray(mm @ np.array([[c, s], [-s, c]]))

    def to_surface(self, card_mm: Array) -> Array:
        """Surface mm of true mm in the card's frame."""
        return self.middle_mm + self.turned(card_mm - self.size_mm / 2, self.turn_rad)

    def to_card(self, surface_mm: Array) -> Array:
        """True mm in the card's frame of surface mm."""
        return self.turned(surface_mm - self.middle_mm, -self.turn_rad) + self.size_mm / 2

    def at(self, bed: Bed, printed_mm: Array) -> Array:
        """World places of points of the print, given in the table's mm; a thick card's paper keeps its own length."""
        from_middle = (printed_mm - self.size_mm / 2) * self.scale
        half = self.size_mm[0] / 2 * self.scale
        flat = self.middle_mm + self.turned(from_middle, self.turn_rad)
        if self.stiff and not bed.flat:
            chord = np.sqrt((bed.radius_mm - self.thick_mm) ** 2 - half**2)
            out = np.column_stack([np.full(len(flat), chord), -flat[:, 0], flat[:, 1]])
            return np.asarray(out)
        lift = self.thick_mm + self.bulge_mm * np.clip(1 - (from_middle[:, 0] / half) ** 2, 0, None)
        if not bed.flat:  # paper lies inside the wall: the same length takes a larger angle
            flat = np.column_stack(
                [flat[:, 0] * bed.radius_mm / (bed.radius_mm - self.thick_mm), flat[:, 1]]
            )
        return bed.at(flat, lift)


def mesh(name: str, world: Array, uv: Array, shape: tuple[int, int], bsdf: dict[str, Any] | None) -> Any:
    """A grid of (rows, cols) vertices, row by row, with smooth normals."""
    rows, cols = shape
    at = np.arange(rows * cols).reshape(shape)
    a, b, c, d = at[:-1, :-1].ravel(), at[:-1, 1:].ravel(), at[1:, 1:].ravel(), at[1:, :-1].ravel()
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    grid = world.reshape(rows, cols, 3)
    normals = np.cross(np.gradient(grid, axis=1), np.gradient(grid, axis=0))
    normals /= np.maximum(np.linalg.norm(normals, axis=2, keepdims=True), 1e-12)
    props = mi.Properties()
    if bsdf is not None:
        props["bsdf"] = mi.load_dict(bsdf)
    out = mi.Mesh(name, rows * cols, len(faces), has_vertex_normals=True, has_vertex_texcoords=True, props=props)
    found = mi.traverse(out)
    for key, value in (
        ("vertex_positions", world),
        ("vertex_texcoords", uv),
        ("vertex_normals", normals),
        ("faces", faces),
    ):
        found[key] = type(found[key])(np.ascontiguousarray(value, np.uint32 if key == "faces" else np.float32).ravel())
    found.update()
    return out


def bitmap(picture: NDArray[np.float32], wrap: str = "mirror") -> dict[str, Any]:
    """A texture of linear numbers."""
    return {
        "type": "bitmap",
        "bitmap": mi.Bitmap(np.ascontiguousarray(picture, np.float32)),
        "raw": True,
        "wrap_mode": wrap,
        "filter_type": "bilinear",
    }


def metal(sheet: Sheet, shot: Shot) -> dict[str, Any]:
    """Part shining along and across the grooves, part matt."""
    shine = {
        "type": "roughconductor",
        "distribution": "ggx",
        "alpha_u": shot.rough_along,
        "alpha_v": shot.rough_across,
        "specular_reflectance": bitmap(sheet.colour),
    }
    matt = {"type": "diffuse", "reflectance": bitmap(sheet.colour)}
    return {"type": "twosided", "b": {"type": "blendbsdf", "weight": bitmap(sheet.dull), "1": shine, "2": matt}}


def surface_grid(bed: Bed) -> tuple[Array, Array, tuple[int, int]]:
    """World places, painted mm and grid shape of the whole surface with its chamfer and rim."""
    if bed.flat:
        x, part = np.linspace(-FACE_HALF_MM, FACE_HALF_MM, 221), np.linspace(0, 1, 101)
        top = bed.edge_mm - FACE_RADIUS_MM + np.sqrt(FACE_RADIUS_MM**2 - x**2)
        y = FACE_LOW_MM + part[:, None] * (top - FACE_LOW_MM)
        mm = np.column_stack([np.tile(x, 101), y.ravel()])
        return bed.at(mm), mm, (101, 221)
    x = np.arange(-200, 200.01, 0.5)
    slant = CHAMFER_MM * np.sqrt(2)
    steps = [(y, 0.0, y) for y in np.linspace(0, bed.edge_mm, 31)]
    steps += [(bed.edge_mm + 1e-3, 0.0, bed.edge_mm + 1e-3)]  # keeps the wall's normals from leaning over the edge
    steps += [(bed.edge_mm + slant, CHAMFER_MM, bed.edge_mm + CHAMFER_MM)]
    steps += [(bed.edge_mm + slant + RIM_MM, CHAMFER_MM + RIM_MM, bed.edge_mm + CHAMFER_MM)]
    steps += [(bed.edge_mm + slant + RIM_MM + 12, CHAMFER_MM + RIM_MM, bed.edge_mm - 11)]
    painted = np.array([s[0] for s in steps])
    mm = np.column_stack([np.tile(x, len(steps)), np.repeat(painted, len(x))])
    up = np.repeat([s[2] for s in steps], len(x))
    out = np.repeat([s[1] for s in steps], len(x))
    return bed.at(np.column_stack([mm[:, 0], up]), -out), mm, (len(steps), len(x))


def surface_mesh(bed: Bed, sheet: Sheet, bsdf: dict[str, Any] | None) -> Any:
    """The surface as a mesh that wears the sheet."""
    world, mm, shape = surface_grid(bed)
    rows, cols = sheet.colour.shape[:2]
    s = sheet.px_per_mm
    uv = np.column_stack([(mm[:, 0] - sheet.left_mm) * s / cols, (sheet.top_mm - mm[:, 1]) * s / rows])
    return mesh("surface", world, uv, shape, bsdf)


def plate_mesh(bed: Bed, strip: Sheet, bsdf: dict[str, Any]) -> Any:
    """The rest of a flat face, a hair behind its painted part: a ring that wears the strip the painted part came from."""
    rows, cols = strip.colour.shape[:2]
    s = strip.px_per_mm
    turn, far = np.linspace(-1.5, 1.5, 301), np.linspace(70, FACE_RADIUS_MM, 81)
    mm = np.array([[r * np.sin(t), bed.edge_mm - FACE_RADIUS_MM + r * np.cos(t)] for r in far for t in turn])
    along, up = np.tile(turn * FACE_MEAN_MM, 81), np.repeat(far, 301) + bed.edge_mm - FACE_RADIUS_MM
    uv = np.column_stack([(along - strip.left_mm) * s / cols, (strip.top_mm - up) * s / rows])
    return mesh("plate", bed.at(mm, -0.05), uv, (81, 301), bsdf)


def card_mesh(bed: Bed, lay: Lay, box: tuple[float, float, float, float], bsdf: dict[str, Any] | None) -> Any:
    """A rectangle (left, bottom, right, top) of the card's print."""
    x = np.linspace(box[0], box[2], max(2, int(2 * (box[2] - box[0]))))
    y = np.linspace(box[3], box[1], max(2, int((box[3] - box[1]) / 2)))
    mm = np.stack(np.meshgrid(x, y), -1).reshape(-1, 2)
    uv = np.column_stack([mm[:, 0] / lay.size_mm[0], 1 - mm[:, 1] / lay.size_mm[1]])
    return mesh("card", lay.at(bed, mm), uv, (len(y), len(x)), bsdf)


def whole(lay: Lay) -> tuple[float, float, float, float]:
    """The card as one rectangle."""
    return 0.0, 0.0, float(lay.size_mm[0]), float(lay.size_mm[1])


def card_parts(bed: Bed, lay: Lay) -> dict[str, Any]:
    """The U: a foot and two legs of paper."""
    left, bottom, right, top = card_table(lay.card)["opening_mm"]
    _, _, wide, high = whole(lay)
    paper = {
        "type": "twosided",
        "b": {"type": "roughplastic", "alpha": 0.35, "diffuse_reflectance": bitmap(card_picture(lay.card), "clamp")},
    }
    boxes = {"foot": (0.0, 0.0, wide, bottom), "leg1": (0.0, bottom, left, high), "leg2": (right, bottom, wide, high)}
    return {name: card_mesh(bed, lay, box, paper) for name, box in boxes.items()}


def sensor(shot: Shot, bed: Bed, lay: Lay) -> dict[str, Any]:
    """The ideal camera, a margin wider on each side than the picture (see `wall_lens.py`)."""
    eye, aim, up = stand(shot, bed, lay)
    cols, rows = shot.size_px
    long = max(cols, rows)
    wide = np.tan(np.radians(shot.view_deg) / 2) * (long + 2 * shot.margin_px) / long
    return {
        "type": "perspective",
        "fov": float(2 * np.degrees(np.arctan(wide))),
        "fov_axis": "x" if cols >= rows else "y",
        "near_clip": 1.0,
        "far_clip": 5000.0,
        "to_world": mi.ScalarTransform4f().look_at(eye.tolist(), aim.tolist(), up.tolist()),
        "film": {
            "type": "hdrfilm",
            "width": cols + 2 * shot.margin_px,
            "height": rows + 2 * shot.margin_px,
            "rfilter": {"type": "box"},
            "pixel_format": "rgb",
            "component_format": "float32",
        },
        "sampler": {"type": "independent", "sample_count": shot.spp},
    }


def stand(shot: Shot, bed: Bed, lay: Lay) -> tuple[Array, Array, Array]:
    """Where the camera is, what it aims at and what is up in the picture."""
    aim_mm = lay.middle_mm + np.array(shot.aim_off_mm)
    aim = bed.at(aim_mm[None])[0]
    tilt, side, roll = np.radians([shot.tilt_deg, shot.side_deg, shot.roll_deg])
    normal, up, right = np.array([-1.0, 0, 0]), np.array([0, 0, 1.0]), np.array([0, -1.0, 0])
    eye = aim + shot.away_mm * (
        np.cos(tilt) * np.cos(side) * normal + np.sin(tilt) * up + np.cos(tilt) * np.sin(side) * right
    )
    return eye, aim, np.cos(roll) * up + np.sin(roll) * right


def lights(shot: Shot, bed: Bed, lay: Lay, glare_mm: Array | None) -> dict[str, Any]:
    """The phone's own light beside its lens, a lamp from the open side, and one whose mirror image lies on a mark."""
    eye, aim, _ = stand(shot, bed, lay)
    out: dict[str, Any] = {}
    if shot.flash:
        place = eye + np.array([0.0, shot.flash_off_mm, 4.0])
        out["flash"] = _point(place, shot.flash * shot.away_mm**2)
    if shot.lamp:
        turn, high = np.radians(shot.lamp_at_deg)
        way = np.array([-np.cos(high) * np.cos(turn), -np.cos(high) * np.sin(turn), np.sin(high)])
        out["lamp"] = _point(aim + 420 * way, shot.lamp * 420**2)
    if glare_mm is not None:
        spot = bed.at(glare_mm[None])[0]
        normal = np.array([-1.0, 0, 0]) if bed.flat else -spot / np.hypot(*spot[:2]) * [1, 1, 0]
        view = (eye - spot) / np.linalg.norm(eye - spot)
        out["glare"] = _point(spot + 120 * (2 * (normal @ view) * normal - view), shot.glare * 120**2)
    return out


def _point(place: Array, strong: float) -> dict[str, Any]:
    return {"type": "point", "position": place.tolist(), "intensity": {"type": "rgb", "value": [float(strong)] * 3}}


class Seen:
    """Answers where places appear in the ideal picture, by rays through Mitsuba's camera. Holds a scene, nothing else."""

    def __init__(self, shot: Shot, bed: Bed, lay: Lay, sheet: Sheet, on: str) -> None:
        """`on` is "wall" (places in surface mm) or "card" (places in the print's mm); nothing hides anything."""
        only = surface_mesh(bed, sheet, None) if on == "wall" else card_mesh(bed, lay, whole(lay), None)
        self.scene = mi.load_dict({"type": "scene", "shape": only, "sensor": sensor(shot, bed, lay)})
        self.camera = self.scene.sensors()[0]
        self.size = self.camera.film().size()
        rows, cols = sheet.colour.shape[:2]
        s = sheet.px_per_mm
        self.span = np.array([cols / s, -rows / s]) if on == "wall" else lay.size_mm * [1, -1]
        self.zero = np.array([sheet.left_mm, sheet.top_mm]) if on == "wall" else np.array([0.0, lay.size_mm[1]])

    def hit(self, px: Array) -> Array:
        """The place (2,) seen at a pixel place (pixel middles are whole numbers), nan where there is none."""
        where = [(px[0] + 0.5) / self.size[0], (px[1] + 0.5) / self.size[1]]
        ray, _ = self.camera.sample_ray(0.0, 0.5, mi.Point2f(*where), mi.Point2f(0.5, 0.5))
        found = self.scene.ray_intersect(ray)
        return self.zero + self.span * [found.uv.x, found.uv.y] if found.is_valid() else np.full(2, np.nan)

    def px(self, mm: Array) -> Array:
        """Pixel places (n, 2) of places (n, 2), nan where the camera does not see them (turned away or outside)."""
        step = max(self.size) / 24
        cols, rows = np.arange(0, self.size[0] + step, step), np.arange(0, self.size[1] + step, step)
        nodes = np.stack(np.meshgrid(cols, rows), -1).reshape(-1, 2)
        known = np.array([self.hit(p) for p in nodes])
        nodes, known = nodes[~np.isnan(known[:, 0])], known[~np.isnan(known[:, 0])]
        return np.array([self._search(p, nodes[np.hypot(*(known - p).T).argmin()]) for p in mm])

    def _search(self, mm: Array, px: Array) -> Array:
        """Newton's way with slopes from rays half a pixel apart."""
        now = self.hit(px)
        for _ in range(25):
            beside = np.column_stack([self.hit(px + d) - now for d in ([0.5, 0.0], [0.0, 0.5])]) / 0.5
            if np.isnan(beside).any() or abs(np.linalg.det(beside)) < 1e-9:
                return np.full(2, np.nan)
            move = np.linalg.solve(beside, mm - now)
            move *= min(1.0, max(self.size) / 10 / max(float(np.hypot(*move)), 1e-9))
            after = self.hit(px + move)
            for _ in range(8):  # shorter steps rather than over the edge
                if not np.isnan(after).any():
                    break
                move /= 2
                after = self.hit(px + move)
            px, now = px + move, after
            if np.isnan(now).any():
                break
            if np.hypot(*(now - mm)) < 1e-3:
                return px
        return np.full(2, np.nan)
