"""What is heard of the room: what the modes do not explain and the quiet before the taps did not hold.

A room lets go of sound at its own pace. A mode that dies faster than the room is soon covered by the room's tail, and
then a cracked drum sounds better than it is: the dangerous way round. So the share of the room is a reason to come
closer with the microphone and to do it again.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.family import Family
from wheeltapper.measure.ring.peaks import LOWEST_HZ
from wheeltapper.measure.ring.takes import Takes

FRAME = 512  # samples of the slow band: 46 ms, so that lines between the modes are seen
FRAMES = 9
BETWEEN = 0.35  # the quietest part of the lines lies between the modes (simulated)
CLEAR = 2.0  # times the noise: under that, the room is no longer heard


@dataclass(frozen=True)
class Room:
    """The room as far as it is heard."""

    share: (
        float | None
    )  # amplitude left over by the modes, beyond the noise; None: no quiet to tell the noise by
    fall_60_s: float | None  # time to fall by 60 dB; None: not heard long enough
    between_db: float | None  # power between the modes just after the tap, of all power then


def room_of(families: tuple[Family, ...], takes: Takes) -> Room:
    """Estimate the room, by what the fits leave over and by what lies between the modes.

    Args:
        families: what was measured.
        takes: the stretches after the taps.

    Returns:
        The estimate.
    """
    shares = [s for f in families if (s := _share(f)) is not None]
    fall_s, between_db = _between(takes)
    return Room(float(np.median(shares)) if shares else None, fall_s, between_db)


def _share(family: Family) -> float | None:
    if family.room_ratio is None:
        return None
    left = 10 ** (-family.snr_db / 10) * max(0.0, 1 - 1 / max(family.room_ratio, 1e-9))
    return float(np.sqrt(left))


def _between(takes: Takes) -> tuple[float | None, float | None]:
    """Fall and level of the power between the modes, frame by frame."""
    span = FRAME + (FRAMES - 1) * FRAME // 2
    rows = [takes.slow[s : s + span] for s, n in zip(takes.starts, takes.lengths, strict=True) if n >= span]
    if not rows or len(takes.quiet) < 2 * FRAME:
        return None, None
    noise = _power(takes.quiet)
    power = np.mean([_power(row) for row in rows], axis=0)
    hz = np.arange(FRAME // 2 + 1) * takes.rate_hz / FRAME
    heard = (hz > LOWEST_HZ + 50) & (hz < 0.38 * takes.rate_hz)
    low = np.sort((power - noise.mean(axis=0))[:, heard], axis=1)[:, : int(BETWEEN * heard.sum())].mean(
        axis=1
    )
    least = CLEAR * np.sort(noise[:, heard], axis=1)[:, : int(BETWEEN * heard.sum())].mean()
    return _fall_s(low, float(least), FRAME / 2 / takes.rate_hz), _level_db(low, power[:, heard])


def _power(stretch: Floats) -> Floats:
    """(frames, lines)"""
    frames = sliding_window_view(stretch, FRAME)[:: FRAME // 2]
    return np.asarray(np.abs(np.fft.rfft(frames * np.hanning(FRAME), axis=1)) ** 2)


def _fall_s(low: Floats, least: float, hop_s: float) -> float | None:
    under = np.flatnonzero(low[1:] <= least)
    count = int(under[0]) if len(under) else len(low) - 1
    if count < 3:
        return None
    level = 10 * np.log10(low[1 : count + 1])
    slope = float(np.polyfit(np.arange(count) * hop_s, level, 1)[0])
    return -60.0 / slope if slope < 0 else None


def _level_db(low: Floats, power: Floats) -> float | None:
    return float(10 * np.log10(low[1] / power[0].mean())) if low[1] > 0 and power[0].any() else None
