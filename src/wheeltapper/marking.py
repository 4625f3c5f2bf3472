"""A photo of a mark, from the file to sizes: read it, find the card, judge the photo, measure between the ends tapped.

It says what a photo shows, and never what a mark is: that takes a named person's fingernail.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from wheeltapper.measure.marks.card import Card, card_of
from wheeltapper.measure.marks.edge import below, open_edge
from wheeltapper.measure.marks.laid import laid_over
from wheeltapper.measure.marks.placed import Placed, marked, place
from wheeltapper.measure.marks.places import Growth, SamePlace, growth, same_place
from wheeltapper.measure.marks.size import Mark, measure_mark
from wheeltapper.measure.marks.suggest import Suggestion, suggest
from wheeltapper.measure.marks.unrolled import Unrolled
from wheeltapper.measure.number import Floats
from wheeltapper.photo import Photo, photo_from_file
from wheeltapper.problems import NoAnswerError, Problem
from wheeltapper.reference.cards import CardRow, ours

Place = tuple[float, float]
BAR_M = (0.5, 1.5)  # times its length, that a measured check bar may be


@dataclass(frozen=True)
class Asked:
    """What a person said of a photo."""

    ends: tuple[Place, Place] | None = None  # columns and rows of the upright photo
    radius_m: float | None = None  # of the drum's inner wall; None: a flat face
    bar_m: float | None = None  # the check bar as measured; None: not measured
    card: CardRow | None = None  # None: ours, whichever of them lies there
    snap: bool = True  # look for the line's ends near the taps
    grooves: bool = True  # damp lines along the turned grooves


@dataclass(frozen=True)
class Looked:
    """What a photo shows."""

    name: str
    asked: Asked
    problems: tuple[Problem, ...]
    photo: Photo | None = None
    card: Card | None = None
    placed: Placed | None = None
    mark: Mark | None = None
    suggested: Suggestion | None = None

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why the photo should be taken again; none where it is good enough."""
        if self.placed is not None:
            return self.placed.reasons
        return ("unreadable",) if self.photo is None else ("check bar",)


def look(path: Path, asked: Asked) -> Looked:
    """Read a photo, judge it and measure what was asked."""
    photo, slips = photo_from_file(path)
    if photo is None:
        return Looked(path.name, asked, slips)
    grey = np.asarray(cv2.cvtColor(photo.pixels, cv2.COLOR_RGB2GRAY), np.uint8)  # weights of ITU-R BT.601
    try:
        card, placed = _placed(grey, photo, asked)
    except NoAnswerError as slip:
        return Looked(path.name, asked, (*slips, Problem(path.name, slip.what, slip.do)), photo)
    ends = None
    if asked.ends is not None and placed.pose is not None:
        ends = placed.pose.to_card(np.array(asked.ends, float) / photo.reduced)
        placed = marked(placed, card, ends) if _in_view(placed, ends) else placed
    seen = Looked(path.name, asked, slips, photo, card, placed)
    return seen if placed.reasons or placed.flat is None else _measured(seen, ends)


def _in_view(placed: Placed, ends_m: Floats) -> bool:
    """Do both ends lie on what was laid flat? Others are a slip of the taps, not of the photo."""
    flat = placed.flat
    if flat is None or not np.isfinite(ends_m).all():
        return False
    at = flat.to_pixels(ends_m)
    return bool(((at > 0) & (at < [flat.grey.shape[1] - 1, flat.grey.shape[0] - 1])).all())


def _placed(grey: NDArray[np.uint8], photo: Photo, asked: Asked) -> tuple[Card, Placed]:
    """The card that lies there: the one named, else of ours the one with more tags in the photo."""
    names = ("face", "wall") if asked.radius_m is None else ("wall", "face")
    rows = [asked.card] if asked.card else [ours(name) for name in names]
    tries = []
    for row in rows:
        card = card_of(row)
        scale = 1.0 if asked.bar_m is None else asked.bar_m / card.bar_m
        if not BAR_M[0] < scale < BAR_M[1]:
            raise NoAnswerError(
                f"the check bar cannot measure {asked.bar_m or 0:.3f} m", f"it is {card.bar_m * 1e3:.0f} mm at 100 %: measure it again."
            )  # fmt: skip
        tries.append(
            (card, place(grey, card, photo.focal_px, asked.radius_m, scale, asked.bar_m is not None))
        )
        if tries[-1][1].pose is not None:
            break
    return max(tries, key=lambda t: len(t[1].tags.ids))


def _measured(seen: Looked, ends: Floats | None) -> Looked:
    """The line between the ends, and every line as a suggestion."""
    placed, card, asked = seen.placed, seen.card, seen.asked
    assert placed is not None
    assert placed.flat is not None
    assert placed.pose is not None
    assert card is not None
    pose, flat = placed.pose, placed.flat
    axis = _axis_rad(seen)
    edge = None if asked.radius_m is None else open_edge(flat, card.opening_m[3] * pose.print_scale, axis)
    mark, slips = None, list(seen.problems)
    if ends is not None:
        try:
            length = float(np.linalg.norm(ends[1] - ends[0]))
            share = pose.doubt_of(ends[0], ends[1]).total_m / max(length, 1e-9)
            mark = measure_mark(
                flat, ends, share, snap=asked.snap, axis_rad=axis, grooves=asked.grooves, edge=edge, spread_m=max(placed.quality.spread_m)
            )  # fmt: skip
        except NoAnswerError as slip:
            slips.append(Problem(seen.name, slip.what, slip.do))
    try:
        suggested = suggest(below(flat, edge), axis, asked.grooves and asked.radius_m is not None)
    except NoAnswerError:
        suggested = None  # too little of the surface is in view to point at anything
    return replace(seen, mark=mark, suggested=suggested, problems=tuple(slips))


def same(before: Looked, after: Looked) -> tuple[SamePlace, Growth | None]:
    """Lay last time's photo of a place over this one, and say by how much its mark has grown.

    Raises NoAnswerError where one of them cannot be measured in, or they do not show one place.
    """
    flats = [_flat(x) for x in (before, after)]
    axes = _axis_rad(before), _axis_rad(after)
    where = same_place(flats[0], flats[1], None if after.mark is None else after.mark.path_m, axes)
    if before.mark is None or after.mark is None:
        return where, None
    return where, growth(before.mark, after.mark, where)


def _axis_rad(seen: Looked) -> float:
    """The drum's axis in the card's frame; nothing turned on a flat face."""
    placed = seen.placed
    if placed is None or placed.pose is None or placed.radius_m is None:
        return 0.0
    return placed.pose.axis_angle_rad


def side_by_side(
    before: Looked, after: Looked, where: SamePlace
) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """Both surfaces unrolled, the earlier one brought onto the later one: red, green and blue."""
    new = _flat(after)
    old = laid_over(_flat(before), new, where)
    return np.repeat(old[..., None], 3, axis=2), np.repeat(new.grey[..., None], 3, axis=2)


def _flat(seen: Looked) -> Unrolled:
    if seen.reasons or seen.placed is None or seen.placed.flat is None:
        raise NoAnswerError(f"{seen.name} cannot be measured in", "take it again, card and all.")
    return seen.placed.flat
