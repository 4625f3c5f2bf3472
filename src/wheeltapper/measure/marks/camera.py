"""A pinhole camera with one term of distortion, looking at a card on a round wall or on a flat face.

Ten numbers say all of it (`View`). The card bends without stretching, so a card point (x, y) keeps its distances along
the surface; turned by the small angle between card and drum, (u, v) are its distances round and along the axis:

    X = sin(k u) / k,    Y = v,    Z = (1 - cos(k u)) / k

with k the curvature, X to the right, Y up and Z out of the card towards the camera. The card's middle touches the
plane Z = 0. For a flat face k = 0. Lenses with more than one term of distortion, and a principal point that is not
in the middle of the picture (a cropped photo), are not modelled: they end in the fit's residuals.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.number import Floats

FLAT_PER_M = 1e-7  # less curvature than this is none: 10 km of radius
UNBEND_STEPS = 12


@dataclass(frozen=True)
class View:
    """Camera and card, as the fit moves them."""

    turn_rad: Floats  # (3,) rotation vector from the card's frame to the camera's (x right, y down, z ahead)
    at_m: Floats  # (3,) the card's middle in the camera's frame
    focal_px: float
    k1: float  # first term of radial distortion
    axis_angle_rad: float  # the drum's axis from the card's y, anticlockwise seen from the front
    curve_per_m: float  # one over the radius; 0 is flat


def rotation(turn_rad: Floats) -> Floats:
    """A rotation vector as a matrix, by the formula of Rodrigues.

    Args:
        turn_rad: axis times angle (3,) [rad].

    Returns:
        The matrix (3, 3).
    """
    angle = float(np.linalg.norm(turn_rad))
    if angle < 1e-12:
        return np.eye(3)
    x, y, z = turn_rad / angle
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross)


def bent(points_m: Floats, curve_per_m: float, axis_angle_rad: float) -> Floats:
    """Card points, from the card's middle, as they stand in space on the wall.

    Args:
        points_m: developed points (n, 2) counted from the card's middle [m].
        curve_per_m: one over the radius [1/m].
        axis_angle_rad: the drum's axis from the card's y [rad].

    Returns:
        Points in space (n, 3), in the frame that touches the card's middle.
    """
    c, s = np.cos(axis_angle_rad), np.sin(axis_angle_rad)
    u = points_m[:, 0] * c + points_m[:, 1] * s
    v = points_m[:, 1] * c - points_m[:, 0] * s
    if abs(curve_per_m) < FLAT_PER_M:
        across, out = u, np.zeros_like(u)
    else:
        across = np.sin(curve_per_m * u) / curve_per_m
        out = 2 * np.sin(curve_per_m * u / 2) ** 2 / curve_per_m
    return np.stack([across * c - v * s, across * s + v * c, out], axis=1)


def seen(points: Floats, view: View, size_px: tuple[int, int]) -> Floats:
    """Points in space as the picture shows them.

    Args:
        points: in the card's frame (n, 3).
        view: camera and card.
        size_px: width and height of the picture.

    Returns:
        Columns and rows (n, 2); not a number for a point behind the camera.
    """
    at = points @ rotation(view.turn_rad).T + view.at_m
    ahead = np.where(at[:, 2] > 1e-6, at[:, 2], np.nan)
    flat = at[:, :2] / ahead[:, None]
    far = 1 + view.k1 * (flat**2).sum(axis=1)
    return view.focal_px * flat * far[:, None] + principal(size_px)


def principal(size_px: tuple[int, int]) -> Floats:
    """Where the camera's axis meets the picture: the middle, pixel centres being whole numbers.

    Args:
        size_px: width and height of the picture.

    Returns:
        Column and row (2,).
    """
    return (np.array(size_px, float) - 1) / 2


def to_picture(points_m: Floats, view: View, size_px: tuple[int, int]) -> Floats:
    """Where card points, counted from the card's middle, fall in the picture.

    Args:
        points_m: developed points (n, 2) [m].
        view: camera and card.
        size_px: width and height of the picture.

    Returns:
        Columns and rows (n, 2).
    """
    return seen(bent(points_m, view.curve_per_m, view.axis_angle_rad), view, size_px)


def to_card(points_px: Floats, view: View, size_px: tuple[int, int]) -> Floats:
    """Which card point, counted from the card's middle, each pixel shows.

    The ray o + t d meets the wall where k (X^2 + Z^2) = 2 Z. Of the two crossings the one on the wall that
    is hollow towards the camera is wanted; written as t = -c / (b + sqrt(b^2 - a c)) it goes over into the plane's as k
    goes to zero.

    Args:
        points_px: columns and rows (n, 2).
        view: camera and card.
        size_px: width and height of the picture.

    Returns:
        Developed points (n, 2); not a number where the ray misses the wall.
    """
    flat = _undistorted((points_px - principal(size_px)) / view.focal_px, view.k1)
    turn = rotation(view.turn_rad)
    start = -view.at_m @ turn
    rays = np.column_stack([flat, np.ones(len(flat))]) @ turn
    c, s, k = np.cos(view.axis_angle_rad), np.sin(view.axis_angle_rad), view.curve_per_m
    round_0, along_0, out_0 = start[0] * c + start[1] * s, start[1] * c - start[0] * s, start[2]
    round_d, along_d, out_d = rays[:, 0] * c + rays[:, 1] * s, rays[:, 1] * c - rays[:, 0] * s, rays[:, 2]
    a = k * (round_d**2 + out_d**2)
    b = k * (round_0 * round_d + out_0 * out_d) - out_d
    const = k * (round_0**2 + out_0**2) - 2 * out_0
    with np.errstate(invalid="ignore", divide="ignore"):
        t = -const / (b + np.sqrt(b**2 - a * const))
        t = np.where(t > 0, t, np.nan)
    across, out = round_0 + t * round_d, out_0 + t * out_d
    u = across if abs(k) < FLAT_PER_M else np.arctan2(k * across, 1 - k * out) / k
    v = along_0 + t * along_d
    return np.stack([u * c - v * s, u * s + v * c], axis=1)


def _undistorted(bent_out: Floats, k1: float) -> Floats:
    """Newton's steps on r (1 + k1 r^2) = r_d, along each ray's own direction."""
    distorted = np.linalg.norm(bent_out, axis=1)
    r = distorted.copy()
    for _ in range(UNBEND_STEPS):
        slope = np.maximum(1 + 3 * k1 * r**2, 0.1)
        r = r - (r * (1 + k1 * r**2) - distorted) / slope
    share = np.divide(r, distorted, out=np.ones_like(r), where=distorted > 0)
    return bent_out * share[:, None]


def tilt_rad(point_m: Floats, view: View) -> float:
    """How far the line of sight leans from the surface's own upright at one card point.

    Args:
        point_m: the point (2,), counted from the card's middle [m].
        view: camera and card.

    Returns:
        The angle [rad], 0 when seen square on.
    """
    here = np.atleast_2d(point_m)
    at = bent(here, view.curve_per_m, view.axis_angle_rad)[0]
    c, s = np.cos(view.axis_angle_rad), np.sin(view.axis_angle_rad)
    turned = view.curve_per_m * float(here[0, 0] * c + here[0, 1] * s)
    upright = np.array([-np.sin(turned) * c, -np.sin(turned) * s, np.cos(turned)])
    sight = -view.at_m @ rotation(view.turn_rad) - at
    return float(np.arccos(np.clip(upright @ sight / np.linalg.norm(sight), -1, 1)))
