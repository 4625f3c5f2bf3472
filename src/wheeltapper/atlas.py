"""Finds the atlas's pictures: what a part looks like when it is good, and with one condition.

They are rendered, not photographs, and each says so. A shop's own photo of a good part, `atlas/<part>-<view>.jpg` in
its house folder, stands in for our good picture. Renders nothing: what renders them is not part of the product.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Literal

from wheeltapper.problems import Problem, nearest

FOLDER = "atlas_pictures"
GOOD = "good"
Shows = Literal["part", "difference"]


@dataclass(frozen=True)
class Picture:
    """A row of the manifest."""

    file: str
    part: str
    check: str  # of the sweep; '' for a good part
    condition: str  # the check's own word, or 'good'
    severity: str  # 'short', 'many', or '' where it has no degrees
    shows: Shows  # the part itself, or the difference from the good one outlined
    view: str
    good: str  # the file of the good part from the same view
    seed: int
    model: str
    renderer: str

    @property
    def said(self) -> str:
        """What it shows, for a person."""
        degree = f", {self.severity}" if self.severity else ""
        outlined = ", difference outlined" if self.shows == "difference" else ""
        return f"{self.part}, {self.view}: {self.condition}{degree}{outlined}"


@dataclass(frozen=True)
class Pair:
    """A good picture and the condition from the same view, with its outline; a shop's own photo may be the good one."""

    good: bytes
    good_is_photo: bool
    good_said: str
    bad: Picture
    outlined: Picture | None


@cache
def pictures() -> tuple[Picture, ...]:
    """Every picture there is, in the order of the sweep."""
    text = (files("wheeltapper") / FOLDER / "manifest.csv").read_text("utf-8")
    return tuple(_picture(row) for row in csv.DictReader(io.StringIO(text)))


def _picture(row: dict[str, str]) -> Picture:
    return Picture(
        row["file"], row["part"], row["check"], row["condition"], row["severity"],
        "difference" if row["shows"] == "difference" else "part",
        row["view"], row["good"], int(row["seed"]), row["model"], row["renderer"],
    )  # fmt: skip


def data_of(file: str) -> bytes:
    """The bytes of one of our pictures, WebP."""
    return (files("wheeltapper") / FOLDER / file).read_bytes()


def conditions() -> dict[str, tuple[str, ...]]:
    """The conditions that have a picture, by part."""
    out: dict[str, list[str]] = {}
    for p in pictures():
        if p.condition != GOOD and p.condition not in out.setdefault(p.part, []):
            out[p.part].append(p.condition)
    return {part: tuple(words) for part, words in out.items()}


def good_view_of(check: str) -> Picture | None:
    """The good part as this check sees it, or None; the view that shows most of its conditions."""
    views = [p.good for p in pictures() if p.check == check]
    good = max(views, key=views.count, default=None)
    return next((p for p in pictures() if p.file == good), None)


def pairs(
    part: str, condition: str, house: Path | None = None
) -> tuple[tuple[Pair, ...], tuple[Problem, ...]]:
    """The pairs of a condition, one for each severity; none where a word is not known.

    Args:
        part: as in the list, 'hub-drum'.
        condition: the check's own word, 'glaze'.
        house: the shop's folder.

    Returns:
        The pairs and the Problems: an unknown word, or an own photo that cannot be used (ours stands in).
    """
    known = conditions()
    if part not in known:
        return (), (Problem(part, "the atlas has no such part", nearest(part, known)),)
    if condition not in known[part]:
        return (), (
            Problem(f"{part}, {condition}", "there is no picture of it", nearest(condition, known[part])),
        )
    mine = [p for p in pictures() if (p.part, p.condition) == (part, condition)]
    outlines = {(p.view, p.severity): p for p in mine if p.shows == "difference"}
    views = {p.view: own_photo(house, part, p.view) for p in mine}
    found = tuple(
        _pair(p, views[p.view][0], outlines.get((p.view, p.severity))) for p in mine if p.shows == "part"
    )
    return found, tuple(slip for _, slips in views.values() for slip in slips)


def _pair(bad: Picture, own: bytes | None, outlined: Picture | None) -> Pair:
    if own is not None:
        return Pair(own, True, f"{bad.part}, {bad.view}: good, the shop's own photo", bad, outlined)
    return Pair(data_of(bad.good), False, f"{bad.part}, {bad.view}: good", bad, outlined)


def photo_name(part: str, view: str) -> str:
    """What a shop calls its own photo of a good part."""
    return f"{part}-{view.replace(' ', '_')}.jpg"


def own_photo(house: Path | None, part: str, view: str) -> tuple[bytes | None, tuple[Problem, ...]]:
    """The shop's own photo of a good part as a JPEG without metadata, upright; None where there is none to be had."""
    if house is None:
        return None, ()
    if not house.is_dir():
        return None, (Problem(str(house), "there is no such folder", "name the shop's house folder."),)
    path = house / "atlas" / photo_name(part, view)
    if not path.exists():
        return None, ()
    from PIL import Image

    from wheeltapper.photo import photo_from_file

    photo, slips = photo_from_file(path)
    if photo is None:
        return None, slips
    out = io.BytesIO()
    small = Image.fromarray(photo.pixels)
    small.thumbnail((1200, 1200))
    small.save(out, "JPEG", quality=85)
    return out.getvalue(), slips


def strangers(house: Path) -> tuple[Problem, ...]:
    """Files in a shop's atlas folder that stand in for nothing, most likely misnamed."""
    folder = house / "atlas"
    if not folder.is_dir():
        return ()
    known = sorted({photo_name(p.part, p.view) for p in pictures()})
    return tuple(
        Problem(f"atlas/{p.name}", "it stands in for no picture of the atlas", nearest(p.name, known))
        for p in sorted(folder.iterdir())
        if p.name not in known and not p.name.startswith(".")
    )
