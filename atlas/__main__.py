"""Renders every picture of the atlas that is not there yet: `python -m atlas` from the repository's root.

Same seeds, same renderer, same pictures. Stop it at any time; it goes on where it was. `--again WORD` renders those
whose file name holds the word once more. `--sketch WORD` draws half as large into the drafts and leaves the atlas alone. ATLAS_VARIANT picks Mitsuba's variant (scalar_rgb works anywhere).
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import click
import numpy as np
from PIL import Image

from atlas import MODEL
from atlas.develop import MOST_BYTES, MOST_OUTLINED, Bytes, labelled, outlined, packed, put, render
from atlas.parts import Work, dice_of
from atlas.solid import VARIANT, solid
from atlas.stage import bay, sensor
from atlas.view import Shown, View
from atlas.views import SHOWN, VIEWS

OUT = Path(__file__).resolve().parents[1] / "src" / "wheeltapper" / "atlas_pictures"
SAMPLES = 8
HEAD = "file,part,check,condition,severity,shows,view,good,seed,model,renderer"


@dataclass(frozen=True)
class Picture:
    """One picture to be made; `shown` is None for the good part."""

    view: View
    shown: Shown | None = None
    hard: int = 0
    severity: str = ""  # '' where it has no degrees

    @property
    def name(self) -> str:
        """Its file's name without ending."""
        words = [self.view.name, self.shown.word if self.shown else "good"]
        return "-".join(w.replace(",", "").replace(" ", "_") for w in (*words, self.severity) if w)

    @property
    def said(self) -> str:
        """What the strip below it says."""
        if self.shown is None:
            return f"{self.view.title}: good"
        degree = f", {self.severity}" if self.severity else ""
        return f"{self.view.title}: {self.shown.word}{degree}"


def pictures() -> Iterator[Picture]:
    """All of them, each view's good part first."""
    for view in VIEWS.values():
        mine = [s for s in SHOWN if s.view == view.name]
        if mine:
            yield Picture(view)
        yield from (Picture(view, s, hard, degree) for s in mine for hard, degree in s.degrees)


def rows() -> Iterator[str]:
    """The manifest: one row for every picture that is there."""
    yield HEAD
    for p in pictures():
        check, word = (p.shown.check, p.shown.word) if p.shown else ("", "good")
        good = f"{Picture(p.view).name}.webp"
        for shows, ending in (("part", ""), ("difference", "-difference")):
            name = f"{p.name}{ending}.webp"
            if (OUT / name).is_file() and (p.shown or not ending):
                quoted = f'"{word}"' if "," in word else word
                yield f"{name},{p.view.part},{check},{quoted},{p.severity},{shows},{p.view.name},{good},{p.view.seed},{MODEL},{VARIANT}"


def seen(picture: Picture, good: Work, share: float = 1.0) -> Bytes:
    """The rendered picture, so large a share of its full width."""
    view, work = picture.view, good
    if picture.shown:
        work = picture.shown.draw(good, picture.hard, dice_of(view.seed, picture.shown.word))
    scene = {name: solid(name, p.zone, p.coat) for name, p in work.pieces.items()} | bay(view.camera)
    return render(scene | {"sensor": sensor(view.camera, SAMPLES, view.seed, share)}, SAMPLES, view.seed)


def make(picture: Picture, good: Work, drafts: Path) -> None:
    """Render one, and with it the outline of what differs."""
    found = seen(picture, good)
    if picture.shown:
        plain = np.asarray(Image.open(drafts / f"{Picture(picture.view).name}.png"))
        difference = labelled(outlined(plain, found), f"{picture.said}, outlined")
        put(OUT / f"{picture.name}-difference.webp", packed(difference, MOST_OUTLINED))
    else:
        Image.fromarray(found).save(drafts / f"{picture.name}.png")
    put(OUT / f"{picture.name}.webp", packed(labelled(found, picture.said), MOST_BYTES))


def sketch(words: tuple[str, ...], drafts: Path) -> None:
    """Draw those whose name holds a word, small, into the drafts."""
    for p in pictures():
        if any(word in p.name for word in words):
            start = time.monotonic()
            Image.fromarray(seen(p, p.view.good(p.view.seed, p.view.fine), 0.5)).save(
                drafts / f"sketch-{p.name}.png"
            )
            click.echo(f"sketch-{p.name}.png  {time.monotonic() - start:.0f} s")


@click.command()
@click.option("--again", multiple=True, help="Render those whose file name holds this once more.")
@click.option(
    "--sketch",
    "sketched",
    multiple=True,
    help="Draw those whose file name holds this, small, as drafts only.",
)
@click.option(
    "--drafts",
    type=click.Path(path_type=Path),
    default=Path("build/atlas"),
    help="Where lossless good pictures are kept.",
)
def main(again: tuple[str, ...], sketched: tuple[str, ...], drafts: Path) -> None:
    """Render what is missing, then write the manifest."""
    os.nice(15)
    OUT.mkdir(exist_ok=True)
    drafts.mkdir(parents=True, exist_ok=True)
    if sketched:
        return sketch(sketched, drafts)
    good: dict[str, Work] = {}
    with click.progressbar(
        list(pictures()), show_pos=True, item_show_func=lambda p: p.name if p else ""
    ) as bar:
        for p in bar:
            kept = (OUT / f"{p.name}.webp").is_file() and (p.shown or (drafts / f"{p.name}.png").is_file())
            if kept and not any(word in p.name for word in again):
                continue
            if p.view.name not in good:
                good = {p.view.name: p.view.good(p.view.seed, p.view.fine)}
            make(p, good[p.view.name], drafts)
            put(OUT / "manifest.csv", ("\n".join(rows()) + "\n").encode())
    put(OUT / "manifest.csv", ("\n".join(rows()) + "\n").encode())


if __name__ == "__main__":
    main()
