"""The ring test from files to verdicts: hear the candidate, hear the good drums, hold one against the others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from wheeltapper.clip import clip_from_file
from wheeltapper.findings.ring import Verdict, judge
from wheeltapper.good_drums import LIST, GoodDrum, kept
from wheeltapper.measure.plausible import amount_si
from wheeltapper.measure.ring import Ring, listen
from wheeltapper.measure.ring.compare import spread_of
from wheeltapper.measure.ring.profile import Profile, profile_of
from wheeltapper.problems import NoAnswerError, Problem

SOUNDS = {
    ".wav", ".flac", ".m4a", ".aac", ".mp3", ".ogg", ".oga", ".opus", ".caf", ".mp4", ".mov", ".3gp", ".mkv", ".webm",
}  # fmt: skip


@dataclass(frozen=True)
class Good:
    """A reference as heard, with who vouches for it where the list says so."""

    name: str
    profile: Profile
    ring: Ring
    drum: GoodDrum | None = None


@dataclass(frozen=True)
class Heard:
    """A recording, what rang in it, what that says, and the Problems met."""

    clip: str
    ring: Ring | None
    verdict: Verdict | None
    problems: tuple[Problem, ...]


def hear(
    clips: Sequence[Path], goods: Sequence[Good], diameter_m: float | None = None, same_drum: bool = False
) -> tuple[Heard, ...]:
    """Judge recordings, each by itself or as takes of one drum.

    Args:
        clips: sound or video files.
        goods: good drums of the model.
        diameter_m: the candidate's inside diameter [m]; None: not measured.
        same_drum: the recordings are of one drum, in order: dull twice and retakes are counted.

    Returns:
        One answer for each recording, in order.
    """
    references = [g.profile for g in goods]
    spread = spread_of(_by_model(goods))
    out: list[Heard] = []
    for path in clips:
        ring, slips = _listened(path)
        before = [h.verdict for h in out if h.verdict is not None] if same_drum else []
        verdict = (
            None if ring is None else judge(ring, profile_of(ring, diameter_m), references, spread, before)
        )
        out.append(Heard(path.name, ring, verdict, slips))
    return tuple(out)


def good_drums(
    places: Sequence[Path], model: str | None = None, drum: str | None = None
) -> tuple[tuple[Good, ...], tuple[Problem, ...]]:
    """Hear the good drums in files and folders. In a folder with a list, only what the list has in use counts.

    Args:
        places: sound files, folders of them, or the shop's folder of good drums.
        model: of a list, only this model; None: all of it.
        drum: of a list, only earlier rings of this very drum; None: any drum.

    Returns:
        The references and the Problems met; a recording that is not good enough to measure is no reference.
    """
    goods: list[Good] = []
    slips: list[Problem] = []
    for place in places:
        found = list(_files(place, model, drum, slips))
        if not found and not any(p.where == str(place) for p in slips):
            slips.append(
                Problem(
                    str(place),
                    "holds no good drum to listen to",
                    "name a recording, or keep one there first.",
                )
            )
        for path, line in found:
            ring, more = _listened(path)
            slips += more
            if ring is not None and ring.reasons:
                what = f"is not good enough to be a reference: {', '.join(ring.reasons)}"
                slips.append(Problem(path.name, what, "record that good drum again."))
            elif ring is not None:
                size = None if line is None else amount_si(line.diameter, "length")
                goods.append(Good(path.name, profile_of(ring, size), ring, line))
    return tuple(goods), tuple(slips)


def _files(
    place: Path, model: str | None, drum: str | None, slips: list[Problem]
) -> Iterator[tuple[Path, GoodDrum | None]]:
    if place.is_dir() and (place / LIST).is_file():
        try:
            lines = kept(place)
        except NoAnswerError as slip:
            slips.append(Problem(str(place), slip.what, slip.do))
            return
        for line in lines:
            if not line.retired and model in (None, line.model) and drum in (None, line.drum):
                yield place / line.clip, line
    elif place.is_dir():
        yield from ((p, None) for p in sorted(place.iterdir()) if p.suffix.lower() in SOUNDS)
    else:
        yield place, None


def _listened(path: Path) -> tuple[Ring | None, tuple[Problem, ...]]:
    clip, slips = clip_from_file(path)
    if clip is None:
        return None, slips
    try:
        return listen(clip.samples, clip.rate_hz), slips
    except NoAnswerError as slip:
        return None, (*slips, Problem(path.name, slip.what, slip.do))


def _by_model(goods: Sequence[Good]) -> list[list[Profile]]:
    """The listed drums model by model, one ring of each drum: others say nothing of how drums differ."""
    models: dict[str, dict[str, Profile]] = {}
    for g in goods:
        if g.drum is not None:
            models.setdefault(g.drum.model, {})[g.drum.drum or g.name] = g.profile
    return [list(drums.values()) for drums in models.values()]
