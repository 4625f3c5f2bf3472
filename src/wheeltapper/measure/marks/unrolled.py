"""A piece of the surface as if peeled off and laid flat: a grey picture in the card's own coordinates.

It holds the picture and says where a pixel lies on the card. It does not know how the picture was made.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.number import Floats


@dataclass(frozen=True)
class Unrolled:
    """A grey picture of the developed surface; pixel (row r, column c) is card point (left_m + c / px_per_m, top_m - r / px_per_m)."""

    grey: NDArray[np.uint8]  # (rows, cols)
    px_per_m: float
    left_m: float
    top_m: float
    known: NDArray[np.bool_]  # (rows, cols): where the photo covers it

    def to_pixels(self, points_m: Floats) -> Floats:
        """Column and row of card points.

        Args:
            points_m: card points (n, 2) [m].

        Returns:
            Columns and rows (n, 2), not rounded.
        """
        points = np.asarray(points_m, float)
        return (points - [self.left_m, self.top_m]) * [self.px_per_m, -self.px_per_m]

    def to_card(self, points_px: Floats) -> Floats:
        """Card points of columns and rows.

        Args:
            points_px: columns and rows (n, 2) [px].

        Returns:
            Card points (n, 2) [m].
        """
        points = np.asarray(points_px, float)
        return points / [self.px_per_m, -self.px_per_m] + [self.left_m, self.top_m]
