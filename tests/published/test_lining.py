"""Circle geometry against a printed table."""

from __future__ import annotations

from math import radians

import pytest

from wheeltapper.measure.lining import segment_area_m2, segment_chord_m, segment_height_m

pytestmark = pytest.mark.published("handbook-circular-segments")


def test_segment_of_sixty_degrees() -> None:
    """Handbook tables of circular segments for a radius of 1: 60 degrees has h 0.13397, chord 1.0000, area 0.09059.

    Recalled from such tables; the publication itself was not seen.
    """
    arc = radians(60)

    assert segment_height_m(1.0, arc) == pytest.approx(0.13397, abs=5e-6)
    assert segment_chord_m(1.0, arc) == pytest.approx(1.0, abs=5e-6)
    assert segment_area_m2(1.0, arc) == pytest.approx(0.09059, abs=5e-6)
