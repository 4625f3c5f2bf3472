"""Tables of printed cards: ours, and a shop's own from a file. Every fault is named at once; a faulty one is never used.

Millimetres stand in the table and metres in the record. How a card is drawn, and where it lies, is not known here.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from itertools import combinations
from math import isfinite
from pathlib import Path
from typing import Any

from wheeltapper.problems import TablesError, nearest

OURS = ("wall", "face")
FAMILIES = {"36h11": 587}  # family: how many numbers it has, as in OpenCV's predefined dictionary
MOST_BYTES = 100_000
MOST_MM = 1000.0
FEWEST_TAGS = 6  # four must stay in view when a hand covers a corner
MM = 1e-3

Pair = tuple[float, float]
Box = tuple[float, float, float, float]  # left, bottom, right, top


@dataclass(frozen=True)
class CardRow:
    """A card as its table says, in metres; tags by number, corners top left, top right, bottom right, bottom left."""

    name: str
    family: str
    tags: Mapping[int, tuple[Pair, ...]]
    opening_m: Box
    size_m: Pair
    bendable: bool
    thickness_m: float
    bar_m: float


KEYS = ("name", "family", "width_mm", "height_mm", "opening_mm", "bendable", "thickness_mm", "bar_mm", "tag")
TAG_KEYS = ("id", "middle_mm", "side_mm", "corners_mm")


def ours(name: str) -> CardRow:
    """One of our own cards: 'wall' or 'face'. Raises TablesError where there is no such card or its table is broken."""
    if name not in OURS:
        raise TablesError([f"there is no card '{name}'; {nearest(name, OURS)}"])
    text = (files("wheeltapper.reference") / "cards" / f"{name}.toml").read_text("utf-8")
    return card_from(text, f"{name}.toml")


def theirs(path: Path) -> CardRow:
    """A shop's own card from a TOML file. Raises TablesError with every fault."""
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
        if len(data) > MOST_BYTES:
            raise TablesError([f"{path.name}: more than {MOST_BYTES} bytes are no table of a card"])
        return card_from(data.decode("utf-8"), path.name)
    except OSError as slip:
        raise TablesError([f"{path.name}: cannot be read: {(slip.strerror or 'unknown').lower()}"]) from None
    except UnicodeDecodeError:
        raise TablesError([f"{path.name}: is not text in UTF-8"]) from None


def card_from(text: str, where: str) -> CardRow:
    """A card from the text of its table. Raises TablesError with every fault, each sentence starting with `where`."""
    try:
        raw = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as slip:
        raise TablesError([f"{where}: is not TOML: {slip}"]) from None
    faults = _unknown_keys(raw)
    row = _row(raw, faults)
    if row is not None:
        faults += _places(row)
    if faults or row is None:
        raise TablesError(f"{where}: {fault}" for fault in faults)
    return row


def _unknown_keys(raw: Mapping[str, Any]) -> list[str]:
    return [f"'{key}' is not a field of a card; {nearest(key, KEYS)}" for key in raw if key not in KEYS]


def _row(raw: Mapping[str, Any], faults: list[str]) -> CardRow | None:
    """The card in metres, None where a field is no use."""
    before = len(faults)
    name = raw.get("name")
    if not isinstance(name, str) or not 0 < len(name) <= 40 or not name.isprintable():
        faults.append("'name' must be a word of up to 40 letters")
    family = raw.get("family")
    if family not in FAMILIES:
        faults.append(f"family '{family}' is not known; write one of: {', '.join(FAMILIES)}")
    if not isinstance(raw.get("bendable"), bool):
        faults.append("'bendable' must be true or false")
    sizes = {key: _size(raw, key, faults) for key in ("width_mm", "height_mm", "thickness_mm", "bar_mm")}
    opening = _numbers(raw.get("opening_mm"), 4)
    if opening is None:
        faults.append("'opening_mm' must be four numbers: left, bottom, right, top")
    elif not (opening[0] < opening[2] and opening[1] < opening[3]):
        faults.append("'opening_mm' must have left before right and bottom below top")
    tags = _tags(raw.get("tag"), faults)
    if len(faults) > before or opening is None:
        return None
    return CardRow(
        str(name),
        str(family),
        tags,
        (opening[0] * MM, opening[1] * MM, opening[2] * MM, opening[3] * MM),
        (sizes["width_mm"] * MM, sizes["height_mm"] * MM),
        bool(raw["bendable"]),
        sizes["thickness_mm"] * MM,
        sizes["bar_mm"] * MM,
    )


def _size(raw: Mapping[str, Any], key: str, faults: list[str]) -> float:
    value = _number(raw.get(key))
    if value is None or not 0 < value <= MOST_MM:
        faults.append(f"'{key}' must be a number above 0, at most {MOST_MM:g}")
        return 0.0
    return value


def _number(value: Any) -> float | None:
    """A finite number that is no switch, or None."""
    good = isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) <= 1e6
    return float(value) if good and isfinite(value) else None


def _numbers(value: Any, count: int) -> tuple[float, ...] | None:
    if not isinstance(value, list) or len(value) != count:
        return None
    found = tuple(n for v in value if (n := _number(v)) is not None)
    return found if len(found) == count else None


def _tags(rows: Any, faults: list[str]) -> dict[int, tuple[Pair, ...]]:
    if not isinstance(rows, list) or not all(isinstance(r, dict) for r in rows):
        faults.append("a card needs rows of [[tag]]")
        return {}
    if len(rows) < FEWEST_TAGS:
        faults.append(f"{len(rows)} tags are too few; a card needs at least {FEWEST_TAGS}")
    counted = Counter(str(r.get("id")) for r in rows)
    faults.extend(f"tag {id}: stands {n} times" for id, n in counted.items() if n > 1)
    tags = {}
    for number, row in enumerate(rows, 1):
        id = row.get("id")
        said = f"tag {id}" if "id" in row else f"tag in row {number}"
        faults.extend(f"{said}: '{k}' is not a field; {nearest(k, TAG_KEYS)}" for k in row if k not in TAG_KEYS)
        most = max(FAMILIES.values()) - 1
        if not isinstance(id, int) or isinstance(id, bool) or not 0 <= id <= most:
            faults.append(f"{said}: 'id' must be a whole number from 0 to {most}")
            continue
        corners = _corners(row, said, faults)
        if corners:
            tags[id] = tuple((x * MM, y * MM) for x, y in corners)
    return tags


def _corners(row: Mapping[str, Any], said: str, faults: list[str]) -> tuple[Pair, ...] | None:
    """Four corners in mm: as given, or from the middle and the side."""
    given = row.get("corners_mm")
    if given is not None:
        if "middle_mm" in row or "side_mm" in row:
            faults.append(f"{said}: give 'corners_mm', or 'middle_mm' and 'side_mm', not both")
            return None
        pairs = [_numbers(p, 2) for p in given] if isinstance(given, list) and len(given) == 4 else [None]
        if any(p is None for p in pairs):
            faults.append(f"{said}: 'corners_mm' must be four pairs of numbers")
            return None
        corners = tuple((p[0], p[1]) for p in pairs if p is not None)
        return corners if _square(corners, said, faults) else None
    middle, side = _numbers(row.get("middle_mm"), 2), _number(row.get("side_mm"))
    if middle is None or side is None or side <= 0:
        faults.append(f"{said}: 'middle_mm' must be two numbers and 'side_mm' a number above 0")
        return None
    (x, y), half = middle, side / 2
    return ((x - half, y + half), (x + half, y + half), (x + half, y - half), (x - half, y - half))


def _square(corners: tuple[Pair, ...], said: str, faults: list[str]) -> bool:
    """Top left, top right, bottom right, bottom left of an upright square."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = corners
    side, slack = bx - ax, 0.02 * abs(bx - ax)
    edges = (side, by - ay, cx - bx, by - cy, dx - ax, ay - dy)
    right = (side, 0.0, 0.0, side, 0.0, side)
    if side > 0 and all(abs(e - r) <= slack for e, r in zip(edges, right, strict=True)):
        return True
    faults.append(f"{said}: 'corners_mm' is no upright square from top left by way of top right to bottom left")
    return False


def _places(row: CardRow) -> list[str]:
    """What lies where it cannot: outside the card, on another tag, in the opening."""
    boxes = {id: _box(corners) for id, corners in row.tags.items()}
    card = (0.0, 0.0, *row.size_m)
    faults = [f"tag {id}: lies outside the card" for id, box in boxes.items() if not _inside(box, card)]
    faults += [f"tags {a} and {b} overlap" for a, b in combinations(boxes, 2) if _overlap(boxes[a], boxes[b])]
    faults += [f"tag {id}: lies in the opening" for id, box in boxes.items() if _overlap(box, row.opening_m)]
    if not _inside(row.opening_m, card):
        faults.append("the opening lies outside the card")
    ids = [id for id in row.tags if id >= FAMILIES[row.family]]
    return faults + [f"tag {id}: family {row.family} has no such number" for id in ids]


def _box(corners: tuple[Pair, ...]) -> Box:
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return (min(xs), min(ys), max(xs), max(ys))


def _inside(box: Box, card: Box) -> bool:
    slack = 1e-9
    low = box[0] >= card[0] - slack and box[1] >= card[1] - slack
    return low and box[2] <= card[2] + slack and box[3] <= card[3] + slack


def _overlap(a: Box, b: Box) -> bool:
    slack = 1e-9
    return (
        a[0] < b[2] - slack and b[0] < a[2] - slack and a[1] < b[3] - slack and b[1] < a[3] - slack
    )
