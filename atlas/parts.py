"""A part in its good state: which zones it has and what covers each. Conditions change these, never the camera."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from atlas.coat import Coat, Dice, cast, clouds, rusty, step, turned
from atlas.drum import Drum, drum, inside, outside
from atlas.shape import Shape, Zone

MACHINED = {"band", "chamfer", "rim", "magnet face", "barrel end", "seal bore", "seal floor", "seal edge", "cup bore",
            "cup shoulder", "hub face", "pilot", "nose end", "cap bore", "cap floor", "cap edge"}  # fmt: skip


@dataclass(frozen=True)
class Piece:
    """A shape and its coat."""

    zone: Shape
    coat: Coat


@dataclass(frozen=True)
class Work:
    """What lies on the bench."""

    drum: Drum
    pieces: dict[str, Piece] = field(default_factory=dict)

    def coat(self, name: str) -> Coat:
        """Of a zone."""
        return self.pieces[name].coat

    def worn(self, **coats: Coat) -> Work:
        """With other coats; blanks in names written as underscores."""
        named = {k.replace("_", " "): v for k, v in coats.items()}
        return replace(
            self, pieces={k: replace(p, coat=named.get(k, p.coat)) for k, p in self.pieces.items()}
        )

    def without(self, *names: str) -> Work:
        """With pieces taken away."""
        return replace(self, pieces={k: p for k, p in self.pieces.items() if k not in names})

    def having(self, **pieces: Piece) -> Work:
        """With pieces added or changed."""
        return replace(self, pieces=self.pieces | {k.replace("_", " "): p for k, p in pieces.items()})


def dice_of(seed: int, name: str) -> Dice:
    """Its own dice for each name, so that nothing shifts when a piece is added."""
    return np.random.default_rng([seed, *name.encode()])


def coated(zones: dict[str, Zone], fine: dict[str, float], seed: int) -> dict[str, Piece]:
    """Every zone in its good state; `fine` has px per mm of those that are seen closely."""
    out = {}
    for name, zone in zones.items():
        px = fine.get(name, 2.0)
        dice = dice_of(seed, name)
        shape = zone.pixels(px)
        coat = turned(dice, shape, px) if name in MACHINED else cast(dice, shape, px)
        out[name] = Piece(zone, DRESSED.get(name, _plain)(dice, coat))
    return out


def _plain(dice: Dice, coat: Coat) -> Coat:
    return coat


def _swept(dice: Dice, coat: Coat) -> Coat:
    """A band in use: rubbed bright where the shoes run, a little rust behind them and at the lip, a few light tracks."""
    px, shape = coat.px, coat.shape
    far = coat.size_mm[0]
    edge = 0.7 * clouds(dice, shape, px, [(0.5, 2, 30)])
    swept = step(coat.across + edge, 1.2, 2.6) * step(coat.across + edge, far - 3.5, far - 6)
    coat = replace(coat, dull=coat.dull - 0.12 * swept, colour=coat.colour * (0.72 + 0.28 * swept)[..., None])
    return rusty(dice, coat, 0.42, 1 - swept)


def _rim(dice: Dice, coat: Coat) -> Coat:
    return rusty(dice, replace(coat, colour=coat.colour * 0.5, dull=np.clip(coat.dull + 0.3, 0, 1)), 0.68)


def _light(dice: Dice, coat: Coat) -> Coat:
    return rusty(dice, coat, 0.12)


def _edge(dice: Dice, coat: Coat) -> Coat:
    """A narrow bevel: cut once, never rubbed, nearly free of rust."""
    return rusty(dice, replace(coat, colour=coat.colour * 0.8), 0.25)


DRESSED = {"band": _swept, "rim": _rim, "chamfer": _edge, "pilot": _light}


def drum_inside(seed: int, fine: dict[str, float], size: str = "12 in", studs: int = 6) -> Work:
    """A 12 in hub-drum as it lies open on the bench."""
    d = drum(size, studs)
    return Work(d, coated(inside(d), fine, seed))


def drum_outside(seed: int, fine: dict[str, float], size: str = "12 in", studs: int = 6) -> Work:
    """The same from the road side."""
    d = drum(size, studs)
    return Work(d, coated(outside(d), fine, seed))
