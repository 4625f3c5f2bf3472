"""What a worker does with recordings and photos: just what `wheeltapper ring` and `mark` do with `--for-visit`."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated, Any, Literal

from django.conf import settings
from pydantic import BaseModel, ConfigDict, Field

from wheeltapper import marking, ringing
from wheeltapper.measure.marks.places import Growth
from wheeltapper.measure.plausible import amount_si
from wheeltapper.problems import NoAnswerError, Problem
from wheeltapper.reference.cards import ours
from wheeltapper.report import mark as mark_words
from wheeltapper.report import ring as ring_words
from wheeltapper.report.mark_figure import mark_figure
from wheeltapper.store.entries import Id, Sha, Short
from wheeltapper.store.files import kept_figure, path_of
from wheeltapper.store.models import Original

WALL_M = (0.1, 0.6)  # inside diameters that a drum may have
Pixel = Annotated[float, Field(ge=-1e5, le=1e5, allow_inf_nan=False)]
Ends = tuple[tuple[Pixel, Pixel], tuple[Pixel, Pixel]]
Step = Callable[[float], None]  # says how much of it is done


class Wanted(BaseModel):
    """What somebody wants of the worker."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    position: str = Field(pattern=r"^[1-4]-(road|curb)$")
    by: Short
    sha256: tuple[Sha, ...] = Field(
        min_length=1, max_length=12, description="recordings of one drum in order, or one photo"
    )
    earlier: tuple[Sha, ...] = Field(
        (), max_length=12, description="recordings of this drum that were listened to before"
    )
    check: str | None = None
    instead_of: tuple[Id, ...] = ()
    diameter: str | None = Field(None, max_length=40, description="of the drum, with its unit")
    hung: bool | None = Field(None, description="ring: was it clean, and hung free by one strap?")
    model: str | None = Field(None, max_length=80, description="ring: against good drums of this model only")
    on: Literal["friction band", "magnet face", "hub face", "rotor"] = "friction band"
    ends: Ends | None = Field(None, description="mark: both ends of the line, in pixels of the upright photo")
    bar_mm: float | None = Field(None, gt=0, le=1000)
    card: Literal["wall", "face"] | None = None
    as_tapped: bool = False
    along_grooves: bool = False
    before: Sha | None = Field(None, description="mark: last time's photo of the place")
    before_ends: Ends | None = None


@dataclass(frozen=True)
class Found:
    """The rows for the corner, and what is said there."""

    rows: Sequence[dict[str, Any]]
    said: str


def ring(asked: Wanted, step: Step) -> Found | Problem:
    """Listen to recordings of one drum and hold them against the shop's good drums."""
    clips = _originals((*asked.earlier, *asked.sha256))
    if isinstance(clips, Problem):
        return clips
    shelf = Path(settings.SHOP_FOLDER) / "good-drums"
    goods, _ = ringing.good_drums((shelf,) if shelf.is_dir() else (), asked.model)
    step(0.3)
    heard = ringing.hear([path_of(c) for c in clips], goods, _size(asked.diameter), same_drum=True)
    step(0.9)
    new = len(asked.earlier)
    rows = _rows(ring_words.entry(heard[new:], goods, bool(asked.hung)), "ring")
    for row, clip in zip(rows, clips[new:], strict=True):
        row["clip"] = _called(clip)
        if asked.hung is None:
            del row["hung"]
    last = heard[-1]
    if last.verdict is None:
        return Found(rows, "; ".join(f"{p.what}. To do: {p.do}" for p in last.problems))
    return Found(rows, f"{last.verdict.verdict}. {last.verdict.do}")


def mark(asked: Wanted, step: Step) -> Found | Problem:
    """Measure a dark line in a photo with a card beside it."""
    photos = _originals((asked.sha256[0], *([asked.before] if asked.before else [])))
    if isinstance(photos, Problem):
        return photos
    size = _size(asked.diameter)
    if asked.on == "friction band" and size is None:
        return Problem(
            "mark",
            "the drum's size is not known",
            "enter the drum's nominal size at the gate, then ask again.",
        )
    question = marking.Asked(
        asked.ends, size / 2 if size and asked.on == "friction band" else None,
        None if asked.bar_mm is None else asked.bar_mm / 1e3, None if asked.card is None else ours(asked.card),
        not asked.as_tapped, not asked.along_grooves,
    )  # fmt: skip
    seen = marking.look(path_of(photos[0]), question)
    step(0.6)
    grown = _grown(seen, photos[1:], asked)
    figure = _figure(seen, asked)
    step(0.9)
    (row,) = _rows(mark_words.entry(seen, grown, figure), "mark")
    said = mark_words.what_to_do(seen)
    return Found([row | {"photo": _called(photos[0]), "sha256": photos[0].sha256, "on": asked.on}], said)


def _originals(names: Sequence[str]) -> list[Original] | Problem:
    known = {o.sha256: o for o in Original.objects.filter(sha256__in=names)}
    missing = [n for n in names if n not in known or not path_of(known[n]).is_file()]
    if missing:
        return Problem(missing[0][:16], "the photo or recording is not on the server", "take it again.")
    return [known[n] for n in names]


def _size(text: str | None) -> float | None:
    size = amount_si(text, "length")
    return size if size is not None and WALL_M[0] < size < WALL_M[1] else None


def _called(original: Original) -> str:
    """A name that a person can read out and the store can find."""
    return f"{original.sha256[:16]}.{original.ending}"


def _rows(text: str, name: str) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = tomllib.loads(text)["corner"][name]
    return rows


def _grown(seen: marking.Looked, before: Sequence[Original], asked: Wanted) -> Growth | None:
    """Since last time's photo; None where the two cannot be laid over each other, which the photo says nothing against."""
    if not before:
        return None
    try:
        then = marking.look(path_of(before[0]), replace(seen.asked, ends=asked.before_ends))
        return marking.same(then, seen)[1]
    except NoAnswerError:
        return None


def _figure(seen: marking.Looked, asked: Wanted) -> str | None:
    """The name of the small picture for the sheet, kept like an original."""
    drawn = mark_words.drawn_mark(seen, (asked.position,))
    if drawn is None or seen.photo is None:
        return None
    kept = kept_figure(mark_figure(seen.photo.pixels, drawn))
    return None if isinstance(kept, Problem) else f"{kept.sha256}.svg"
