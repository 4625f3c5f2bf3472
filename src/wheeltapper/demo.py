"""An invented visit with several findings, and an invented price book: something to look at and to change."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

HOUSE_FILES = ("house.toml", "prices.csv", "labour.csv", "taxes.csv", "fees.csv")


def write(folder: Path) -> tuple[Path, Path]:
    """Write the demo visit and its house folder.

    Args:
        folder: where to; made if it is not there. Files of the same name are written over.

    Returns:
        The visit file and the house folder.
    """
    room = files(__package__) / "examples"
    house = folder / "house"
    house.mkdir(parents=True, exist_ok=True)
    visit = folder / "visit.toml"
    visit.write_bytes((room / "visit.toml").read_bytes())
    for name in HOUSE_FILES:
        (house / name).write_bytes((room / "house" / name).read_bytes())
    return visit, house
