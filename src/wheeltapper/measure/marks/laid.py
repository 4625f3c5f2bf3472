"""Two unrolled pictures of one place, the earlier one brought onto the later one's pixels, to look from one to the other."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.places import SamePlace
from wheeltapper.measure.marks.unrolled import Unrolled


def laid_over(before: Unrolled, after: Unrolled, place: SamePlace) -> NDArray[np.uint8]:
    """The earlier picture as it would look in the later one's pixels.

    Args:
        before: the earlier picture.
        after: the later one.
        place: how the earlier lies on the later.

    Returns:
        Grey levels of the later picture's shape (rows, columns); black where the earlier photo shows nothing.
    """
    three = np.array([[0.0, 0.0], [100.0, 0.0], [0.0, 100.0]])
    there = after.to_pixels(place.moved(before.to_card(three)))
    to = cv2.getAffineTransform(three.astype(np.float32), there.astype(np.float32))
    rows, columns = after.grey.shape
    known = np.where(before.known, before.grey, 0).astype(np.uint8)
    return np.asarray(cv2.warpAffine(known, to, (columns, rows), flags=cv2.INTER_LINEAR), np.uint8)
