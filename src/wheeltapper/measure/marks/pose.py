"""Where the camera stood, as something to measure with: picture to card, card to picture, and how sure that is.

All card points are true metres on the surface: a card printed small is counted as small. Three doubts are kept apart:
what the fit does not know, how true the print is, and that the paper has a thickness and never lies quite down. What a
person adds by pointing at the end of a mark is not in here.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from wheeltapper.measure.marks import camera
from wheeltapper.measure.marks.camera import View
from wheeltapper.measure.number import Floats

FIT_TIMES = 1.4  # the fit's own sigma is too small: 95 % of errors lay within 2.7 of it (simulated)
PRINT_SHARE = 0.002  # an unmeasured print at 100 %: 0.3 mm on 150 mm (assumed)
BAR_SHARE = 0.001  # the bar read with a rule in half millimetres, evenly spread over half a mark (reasoned)
LIFT_M = 0.0002  # thin paper held to a wall stands off it so far, on top of its thickness (assumed)
PIECE_M = 0.01  # the length on which the scale's doubt is told
UNKNOWNS = 10


@dataclass(frozen=True)
class Doubt:
    """Standard uncertainty of a distance, term by term; twice the total is meant to cover 95 %."""

    fit_m: float
    print_m: float
    thickness_m: float

    @property
    def total_m(self) -> float:
        """All three together, as independent."""
        return float(np.sqrt(self.fit_m**2 + self.print_m**2 + self.thickness_m**2))


@dataclass(frozen=True)
class Pose:
    """A fitted view with its doubt."""

    view: View
    size_px: tuple[int, int]  # width, height
    middle_m: Floats  # (2,) the card's middle, where the view's frame starts
    covariance: Floats  # (10, 10) of `numbers(view)`, already times 1.4 squared; 0 for what was held
    rms_px: float  # of the corners, along one axis
    print_scale: float
    print_share: float  # standard uncertainty of the print's scale
    lift_m: float  # how far the tags may stand off the surface

    @property
    def curve_per_m(self) -> float:
        """One over the radius, 0 for a flat face."""
        return self.view.curve_per_m

    @property
    def curve_sd_per_m(self) -> float:
        """Standard uncertainty of the curvature; 0 where it was held."""
        return float(np.sqrt(self.covariance[9, 9]))

    @property
    def axis_angle_rad(self) -> float:
        """The drum's axis in the card's frame, from y, anticlockwise."""
        return self.view.axis_angle_rad

    def to_picture(self, points_m: Floats) -> Floats:
        """Where card points fall in the picture.

        Args:
            points_m: card points (n, 2) [m].

        Returns:
            Columns and rows (n, 2), pixel centres being whole numbers.
        """
        return camera.to_picture(np.asarray(points_m, float) - self.middle_m, self.view, self.size_px)

    def to_card(self, points_px: Floats) -> Floats:
        """Which card points pixels show.

        Args:
            points_px: columns and rows (n, 2).

        Returns:
            Card points (n, 2) [m]; not a number where the line of sight misses the surface.
        """
        return camera.to_card(np.asarray(points_px, float), self.view, self.size_px) + self.middle_m

    def tilt_rad(self, point_m: Floats) -> float:
        """How far the line of sight leans from square on.

        Args:
            point_m: a card point (2,) [m].

        Returns:
            The angle [rad].
        """
        return camera.tilt_rad(np.asarray(point_m, float) - self.middle_m, self.view)

    def px_per_m(self, point_m: Floats) -> float:
        """How finely the picture shows the surface at one card point, in its coarsest direction.

        Args:
            point_m: a card point (2,) [m].

        Returns:
            Pixels to the metre [1/m].
        """
        step = 1e-4
        around = np.asarray(point_m, float) + step * np.array([[-1, 0], [1, 0], [0, -1], [0, 1]])
        at = self.to_picture(around)
        slopes = np.stack([at[1] - at[0], at[3] - at[2]], axis=1) / (2 * step)
        return float(np.linalg.svd(slopes, compute_uv=False)[-1]) if np.isfinite(slopes).all() else 0.0

    def doubt_of(self, a: Floats, b: Floats) -> Doubt:
        """How sure the distance between two card points is, their pixels taken as given.

        Args:
            a: a card point (2,) in metres.
            b: another (2,).

        Returns:
            The three terms, each a standard uncertainty in metres.
        """
        ends = np.array([a, b], float)
        pixels = self.to_picture(ends)
        length = float(np.linalg.norm(ends[1] - ends[0]))
        slope = np.zeros(UNKNOWNS)
        for i in np.flatnonzero(np.diag(self.covariance) > 0):
            step = 0.01 * np.sqrt(self.covariance[i, i])
            up, down = (_length(self._moved(int(i), way * step), pixels) for way in (1, -1))
            slope[i] = (up - down) / (2 * step)
        fit = float(np.sqrt(max(0.0, slope @ self.covariance @ slope)))
        nearest = float(np.linalg.norm(self.view.at_m))
        return Doubt(fit, self.print_share * length, self.lift_m / nearest * length)

    def scale_doubt_share(self, points_m: Floats) -> Floats:
        """How sure the scale is at card points: of a centimetre there, round or along, the worse of the two.

        Args:
            points_m: card points (n, 2) [m].

        Returns:
            Standard uncertainty as a share (n,).
        """
        shares = [
            max(self.doubt_of(p - way, p + way).total_m / PIECE_M for way in PIECE_M / 2 * np.eye(2))
            for p in np.asarray(points_m, float)
        ]
        return np.array(shares)

    def _moved(self, which: int, step: float) -> Pose:
        values = numbers(self.view)
        values[which] += step
        return replace(self, view=view_of(values))


def _length(pose: Pose, pixels: Floats) -> float:
    ends = pose.to_card(pixels)
    return float(np.linalg.norm(ends[1] - ends[0]))


def numbers(view: View) -> Floats:
    """The ten unknowns as the fit moves them; the focal length as its logarithm.

    Args:
        view: camera and card.

    Returns:
        Turn (3), place (3), log of the focal length, k1, axis, curvature (10,).
    """
    rest = [np.log(view.focal_px), view.k1, view.axis_angle_rad, view.curve_per_m]
    values = np.concatenate([view.turn_rad, view.at_m, rest])
    return values


def view_of(values: Floats) -> View:
    """The other way round.

    Args:
        values: the ten unknowns (10,).

    Returns:
        Camera and card.
    """
    focal, k1, axis, curve = (float(v) for v in values[6:])
    return View(values[:3].copy(), values[3:6].copy(), float(np.exp(focal)), k1, axis, curve)
