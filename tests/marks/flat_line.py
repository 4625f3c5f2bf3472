"""Flat pictures of a turned surface with dark lines of known ends: quick truth for tests, without camera or card.

Everything here is assumed: grooves, rust, grain, light, blur and noise are our own guesses at a brake drum's wall, and
a line is a ribbon that tapers to nothing. What is found here says nothing about real drums.

Every picture follows from its seed. What is tuned is tuned on seeds of TUNING, what is reported comes from REPORTING.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.unrolled import Unrolled

Array = NDArray[np.float64]
TUNING = range(0, 100_000)
REPORTING = range(500_000, 600_000)
MM = 1e-3
FINE = 30.0  # px per mm while drawing


@dataclass(frozen=True)
class Line:
    """A dark ribbon: its middle in mm on the card, its width there, and how much light it swallows."""

    points_mm: Array  # (n, 2)
    width_mm: Array  # (n,)
    swallows: float = 0.8  # share of the light

    @property
    def end_to_end_mm(self) -> float:
        """The truth of the headline."""
        return float(np.linalg.norm(self.points_mm[-1] - self.points_mm[0]))

    @property
    def along_mm(self) -> float:
        """Length of the drawn polyline."""
        return float(np.linalg.norm(np.diff(self.points_mm, axis=0), axis=1).sum())


@dataclass(frozen=True)
class Surface:
    """What the lines lie on and how the picture is taken."""

    size_mm: tuple[float, float] = (40.0, 28.0)
    corner_mm: tuple[float, float] = (35.0, 20.0)  # lower left
    px_per_mm: float = 12.0
    blur_mm: float = 0.06  # standard deviation of the optics
    noise: float = 2.5  # of 255
    light: float = 130.0
    tilt: float = 0.25  # how much the light falls off from one side to the other
    grooves: float = 0.05  # of the light
    rust: float = 0.10
    grain: float = 0.04
    axis_rad: float = 0.0  # by which the grooves are turned from the card's x
    edge_mm: float | None = None  # height of the drum's open edge on the card
    beyond: float = 0.25  # light past that edge, of the wall's
    lines: tuple[Line, ...] = field(default=())


def straight(start: tuple[float, float], end: tuple[float, float], width_mm: float = 0.3) -> Line:
    """A straight line that tapers over its last millimetres to nothing."""
    points = np.linspace(start, end, 60)
    return Line(points, _taper(np.linspace(0, 1, 60), width_mm, float(np.hypot(*np.subtract(end, start)))))


def wandering(seed: int, start: tuple[float, float], toward_rad: float, long_mm: float) -> Line:
    """A crack: wanders about its direction, 0.2 to 0.5 mm wide, tapered at both ends; end to end exactly `long_mm`."""
    dice = np.random.default_rng([seed, 7])
    s = np.linspace(0, 1, max(40, int(6 * long_mm)))
    waves = sum(dice.normal(0, 0.25 / k**0.8) * np.sin(np.pi * k * s) for k in range(1, 14))
    points = np.stack([s * long_mm, np.asarray(waves) * min(1.0, long_mm / 12)], 1)
    turn = np.array([[np.cos(toward_rad), np.sin(toward_rad)], [-np.sin(toward_rad), np.cos(toward_rad)]])
    width = _taper(s, dice.uniform(0.2, 0.5), long_mm) * (1 + 0.2 * np.sin(7 * s + dice.uniform(0, 6)))
    return Line(points @ turn + np.asarray(start), width, dice.uniform(0.6, 0.85))


def _taper(s: Array, width_mm: float, long_mm: float) -> Array:
    """Full width in the middle, falling as a square root over the last 4 mm: a crack's opening by elasticity."""
    near = np.minimum(s, 1 - s) * long_mm
    return width_mm * np.sqrt(np.clip(near / min(4.0, long_mm / 2), 0.0, 1.0))


def taken(surface: Surface, seed: int) -> Unrolled:
    """The picture."""
    dice = np.random.default_rng([seed, 3])
    wide, high = (round(s * FINE) for s in surface.size_mm)
    light = _texture(surface, dice, wide, high)
    for line in surface.lines:
        light *= 1 - line.swallows * _cover(line, surface, wide, high)
    if surface.edge_mm is not None:
        light = _past_edge(light, surface)
    picture = cv2.GaussianBlur(light, (0, 0), surface.blur_mm * FINE)
    size = tuple(round(s * surface.px_per_mm) for s in surface.size_mm)
    small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
    small = surface.light * small + dice.normal(0, surface.noise, small.shape)
    half = 0.5 / surface.px_per_mm
    left, top = surface.corner_mm[0] + half, surface.corner_mm[1] + surface.size_mm[1] - half
    grey = np.clip(np.rint(small), 0, 255).astype(np.uint8)
    return Unrolled(grey, surface.px_per_mm / MM, left * MM, top * MM, np.ones(grey.shape, bool))


def _texture(surface: Surface, dice: np.random.Generator, wide: int, high: int) -> NDArray[np.float32]:
    """Grooves, rust, grain and light as one factor a pixel."""

    def noise(rows: float, cols: float) -> NDArray[np.float32]:
        """Noise of unit spread that hangs together over so many mm down and across."""
        shape = max(8, int(high / FINE / rows * 2)), max(8, int(wide / FINE / cols * 2))
        small = dice.normal(0, 1, shape).astype(np.float32)
        out = cv2.resize(small, (wide, high), interpolation=cv2.INTER_CUBIC)
        return np.asarray(out / out.std(), np.float32)

    grooves = noise(0.12, 60.0) + 0.6 * noise(0.3, 12.0)
    if surface.axis_rad:
        turn = cv2.getRotationMatrix2D((wide / 2, high / 2), np.degrees(surface.axis_rad), 1.0)
        grooves = cv2.warpAffine(grooves, turn, (wide, high), borderMode=cv2.BORDER_REFLECT)
    fall = 1 + surface.tilt * np.linspace(-0.5, 0.5, wide, dtype=np.float32)[None, :]
    of = surface.grooves * grooves + surface.rust * noise(2.5, 2.5) + surface.grain * noise(0.12, 0.12)
    return np.asarray(np.clip(1 + of, 0.1, 2.0) * fall, np.float32)


def _cover(line: Line, surface: Surface, wide: int, high: int) -> NDArray[np.float32]:
    """Share of each fine pixel that the ribbon covers."""
    to = (line.points_mm - surface.corner_mm) * [FINE, -FINE] + [0, high] - 0.5
    along = np.gradient(to, axis=0)
    across = np.stack([-along[:, 1], along[:, 0]], 1) / np.linalg.norm(along, axis=1)[:, None]
    half = np.maximum(
        0.5 * FINE * line.width_mm[:, None] - 0.5, 0.05
    )  # the drawing adds half a pixel on either side
    out = np.zeros((high, wide), np.uint8)
    for a, b, c, d in zip(to[:-1], to[1:], (across * half)[:-1], (across * half)[1:], strict=True):
        ring = np.rint(np.stack([a - c, b - d, b + d, a + c]) * 256).astype(np.int32)
        cv2.fillConvexPoly(out, ring, 255, cv2.LINE_AA, 8)
    return np.asarray(out / np.float32(255))


def _past_edge(light: NDArray[np.float32], surface: Surface) -> NDArray[np.float32]:
    """Nothing of the wall past the drum's open edge, which runs along the grooves."""
    high, wide = light.shape
    x = surface.corner_mm[0] + (np.arange(wide) + 0.5) / FINE
    y = surface.corner_mm[1] + surface.size_mm[1] - (np.arange(high) + 0.5) / FINE
    edge = (surface.edge_mm or 0) + np.tan(surface.axis_rad) * (
        x - surface.corner_mm[0] - surface.size_mm[0] / 2
    )
    return np.where(y[:, None] > edge[None, :], np.float32(surface.beyond), light)


def crack_scene(seed: int, **changes: float) -> Surface:
    """One wandering crack, 6 to 25 mm, steep to the grooves, on a surface of its own."""
    dice = np.random.default_rng([seed, 1])
    long_mm = dice.uniform(6, 24)
    toward = np.pi / 2 + dice.uniform(-0.6, 0.6)
    start = (55 + dice.uniform(-6, 6), 22.0 + dice.uniform(0, 24.0 - long_mm * 0.95))
    base = Surface(
        px_per_mm=dice.uniform(9, 18), blur_mm=dice.uniform(0.05, 0.09), noise=dice.uniform(1.5, 4),
        grooves=dice.uniform(0.02, 0.08), rust=dice.uniform(0.04, 0.14), grain=dice.uniform(0.02, 0.06),
        light=dice.uniform(90, 170), lines=(wandering(seed, start, toward, long_mm),),
    )  # fmt: skip
    return replace(base, **changes)  # type: ignore[arg-type]


def network(
    seed: int, count: int = 14, within_mm: tuple[float, float, float, float] = (38, 22, 72, 46)
) -> tuple[Line, ...]:
    """Heat checks: short fine lines, mostly along the axis."""
    dice = np.random.default_rng([seed, 9])
    out = []
    for i in range(count):
        long_mm = dice.uniform(3, 8)
        at = dice.uniform(within_mm[0], within_mm[2]), dice.uniform(within_mm[1], within_mm[3] - long_mm)
        line = wandering(seed * 97 + i, at, np.pi / 2 + dice.normal(0, 0.3), long_mm)
        out.append(replace(line, width_mm=line.width_mm * (0.09 / max(line.width_mm.max(), 1e-9))))
    return tuple(out)


def seen_again(
    picture: Unrolled,
    seed: int,
    turn_rad: float = 0.0,
    shift_mm: tuple[float, float] = (0.0, 0.0),
    rust: float = 0.03,
) -> Unrolled:
    """The same surface with the card laid otherwise: turned about its origin, then shifted; new noise, a little new rust."""
    dice = np.random.default_rng([seed, 11])
    rows, cols = picture.grey.shape
    grid = np.stack(np.meshgrid(np.arange(cols), np.arange(rows)), -1).reshape(-1, 2).astype(float)
    now = picture.to_card(grid) - np.multiply(shift_mm, MM)
    c, s = np.cos(turn_rad), np.sin(turn_rad)
    then = picture.to_pixels(now @ np.array([[c, -s], [s, c]])).astype(np.float32).reshape(rows, cols, 2)
    grey = cv2.remap(
        picture.grey.astype(np.float32), then, None, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT
    )
    known = cv2.remap(picture.known.astype(np.uint8), then, None, cv2.INTER_NEAREST, borderValue=0) > 0
    cell = max(4, int(rows / 30)), max(4, int(cols / 30))
    fresh = cv2.resize(
        dice.normal(0, rust, cell).astype(np.float32), (cols, rows), interpolation=cv2.INTER_CUBIC
    )
    grey = grey * (1 + fresh) * dice.uniform(0.8, 1.2) + dice.normal(0, 2, grey.shape)
    return replace(picture, grey=np.clip(np.rint(grey), 0, 255).astype(np.uint8), known=known)
