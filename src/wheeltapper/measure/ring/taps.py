"""Where the drum was struck, and which stretch after each stroke may be measured."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.sound import Sound

RISE_DB = 12.0  # a tap rises so far over the loudest of the 6 to 40 ms before (simulated)
BEFORE_S = (0.006, 0.040)
APART_S = 0.25  # strokes nearer than this are one tap that bounced
WEAKEST_DB = 30.0  # taps this far under the strongest are footsteps and echoes
AFTER_S = 0.008  # the hammer has left and the filters have settled
UNTIL_S = 0.010  # stop so long before the next stroke
LONGEST_S = 1.5
SILENT = 1e-9  # power, in parts of the loudest hop, that counts as digital silence
BOUNCE_S = 0.012  # a second rise from here to APART_S after a tap is a bounce


@dataclass(frozen=True)
class Tap:
    """One stroke of the hammer."""

    at_s: float
    start_s: float  # of the stretch that may be measured
    end_s: float
    level_db: float  # click over that of the strongest tap
    bounced: bool  # the hammer struck twice

    @property
    def length_s(self) -> float:
        """Length of the stretch."""
        return max(0.0, self.end_s - self.start_s)


def taps_of(sound: Sound) -> tuple[Tap, ...]:
    """Find the strokes by the sudden rise of the fast band.

    Args:
        sound: a recording in two bands.

    Returns:
        The taps in order of time; none where nothing rises.
    """
    power = sound.click
    loudest = float(power.max(initial=0.0))
    rises = _rises(power, sound.hop_s) if loudest > 0 else []
    if not rises:
        return ()
    strokes, again = _strokes(power, rises, sound.hop_s)
    level = np.array([power[i : i + 4].max() for i in strokes])
    keep = level > level.max() * 10 ** (-WEAKEST_DB / 10)
    strokes = [i for i, k in zip(strokes, keep, strict=True) if k]
    level = 10 * np.log10(level[keep] / level.max())
    ends = [i * sound.hop_s - UNTIL_S for i in strokes[1:]] + [sound.seconds_s]
    return tuple(
        _tap(i * sound.hop_s, end, float(db), i in again)
        for i, end, db in zip(strokes, ends, level, strict=True)
    )


def _tap(at_s: float, end_s: float, level_db: float, bounced: bool) -> Tap:
    start = at_s + AFTER_S
    return Tap(at_s, start, min(end_s, start + LONGEST_S), level_db, bounced)


def _rises(power: Floats, hop_s: float) -> list[int]:
    """Hops that stand far over those just before them."""
    near, far = (max(1, round(s / hop_s)) for s in BEFORE_S)
    floor = float(power.max()) * SILENT
    padded = np.concatenate([np.full(far, _quiet(power)), power])
    before = sliding_window_view(padded, far - near + 1)[: len(power)].max(axis=1)
    return [int(i) for i in np.flatnonzero(power > 10 ** (RISE_DB / 10) * np.maximum(before, floor))]


def _quiet(power: Floats) -> float:
    """What went before the recording: its own quiet, so that a file may start on a tap."""
    return float(np.quantile(power, 0.1))


def _strokes(power: Floats, rises: list[int], hop_s: float) -> tuple[list[int], set[int]]:
    """First hop of each tap, and which of the taps rose a second time."""
    strokes, again, last = [rises[0]], set[int](), rises[0]
    for i in rises[1:]:
        since = (i - strokes[-1]) * hop_s
        if since >= APART_S:
            strokes.append(i)
        elif (i - last) * hop_s >= BOUNCE_S and power[i] > 0.05 * power[strokes[-1] : strokes[-1] + 4].max():
            again.add(strokes[-1])
        last = i
    return strokes, again
