"""A whole electric drum brake on its plate, as it is seen with the drum off: the axle points at the camera."""

from __future__ import annotations

from atlas.adjuster import adjuster, cable, hooks, top
from atlas.drum import drum
from atlas.magnet import magnet
from atlas.parts import Work
from atlas.plate import plate
from atlas.shoes import shoes


def brake(seed: int, fine: dict[str, float]) -> Work:
    """In its good state: dry, whole, a little dusty."""
    rooms = (plate, shoes, adjuster, top, cable, magnet)
    pieces = {name: piece for room in rooms for name, piece in room(seed, fine).items()}
    return Work(drum("12 in", 6), pieces | hooks(seed))
