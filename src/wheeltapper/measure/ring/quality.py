"""Is the recording good enough to judge by? Plain numbers, and one word for each reason to record again.

Thresholds marked simulated were set on simulated drums so that sound ones are hardly ever sent back; assumed: by
judgement. None was set on recordings of real drums.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheeltapper.measure.number import Floats
from wheeltapper.measure.ring.family import Family
from wheeltapper.measure.ring.peaks import LOWEST_HZ, Spectrum
from wheeltapper.measure.ring.room import Room
from wheeltapper.measure.ring.sound import Sound
from wheeltapper.measure.ring.takes import Takes
from wheeltapper.measure.ring.taps import Tap

REASONS = (
    "silent",
    "too short",
    "no taps",
    "too few taps",
    "taps too close",
    "double taps",
    "clipped",
    "noisy",
    "steady background",
    "room too live",
    "narrow band",
    "too few modes",
)
FLAT_RUN = 3  # equal extreme samples in a row that a sound does not make
NEAR_PEAK = 0.93  # a lossy codec ripples a flat top, over full scale and under, but mostly stays over so much
QUIET_FRAME_S = 0.05


@dataclass(frozen=True)
class Gates:
    """Where a recording stops being good enough."""

    seconds_s: float = 1.5  # simulated
    taps: int = 3  # simulated
    flat_runs_per_tap: float = 3.0  # simulated
    near_peak_per_tap: float = 20.0  # simulated
    stretch_s: float = 0.25  # simulated
    stretches: int = 2  # simulated
    ring_to_noise_db: float = 12.0  # simulated
    families: int = 3  # simulated
    room_share: float = 0.25  # simulated
    between_db: float = -30.0  # simulated
    bounced_share: float = 0.5  # assumed
    steady_db: float = 2.0  # assumed
    silent: float = 1e-4  # of full scale, assumed
    top_hz: float = 3_650.0  # assumed: telephone sound (8 kHz) is coded for speech, and loses the rim


GATES = Gates()


@dataclass(frozen=True)
class Quality:
    """What the recording is like."""

    seconds_s: float
    peak: float  # of full scale
    taps: int
    bounced: int  # taps that struck twice
    flat_runs: int
    near_peak: int  # samples within a few per cent of the peak, or of full scale where the peak is over it
    stretches_s: tuple[float, ...]  # lengths that may be measured
    ring_to_noise_db: float | None  # None: no quiet before the first tap
    background_spread_db: float | None  # of the quiet from moment to moment; little: a machine runs
    background_line_db: float | None  # strongest tone in the quiet over what is around it
    room_s: float | None  # time in which the room falls by 60 dB, where it is heard
    room_share: float | None  # what the modes leave over beyond noise, of the modes (amplitude)
    between_db: float | None  # power between the modes just after a tap, of all power then
    families: int
    zeta_median: (
        float | None
    )  # damping of the families, share of critical; great: held, cracked or touching something
    top_hz: float


def quality_of(
    samples: Floats,
    sound: Sound,
    takes: Takes | None,
    taps: tuple[Tap, ...],
    seen: Spectrum | None,
    families: tuple[Family, ...],
    room: Room | None,
) -> Quality:
    """Put the numbers together.

    Args:
        samples: the recording, full scale one.
        sound: the same in two bands.
        takes: stretches after the taps; None without taps.
        taps: the strokes.
        seen: mean spectrum; None without taps.
        families: what was measured.
        room: what was heard of the room; None without taps.

    Returns:
        The numbers.
    """
    peak = float(np.abs(samples).max(initial=0.0))
    flat, near = _tops(samples, peak)
    spread, line = (None, None) if takes is None or seen is None else _background(takes, seen)
    return Quality(
        seconds_s=sound.seconds_s,
        peak=peak,
        taps=len(taps),
        bounced=sum(t.bounced for t in taps),
        flat_runs=flat,
        near_peak=near,
        stretches_s=tuple(t.length_s for t in taps),
        ring_to_noise_db=None if seen is None else _ring_to_noise_db(seen),
        background_spread_db=spread,
        background_line_db=line,
        room_s=room.fall_60_s if room else None,
        room_share=room.share if room else None,
        between_db=room.between_db if room else None,
        families=len(families),
        zeta_median=float(np.median([f.strongest.zeta for f in families])) if families else None,
        top_hz=sound.top_hz,
    )


def reasons_of(quality: Quality, gates: Gates = GATES) -> tuple[str, ...]:
    """Why the recording should be made again.

    Args:
        quality: its numbers.
        gates: the thresholds.

    Returns:
        Words of REASONS, in that order; none for a recording that is good enough.
    """
    q, g = quality, gates
    per_tap = max(1, q.taps)
    noisy = q.ring_to_noise_db is not None and q.ring_to_noise_db < g.ring_to_noise_db
    steady = q.background_spread_db is not None and q.background_spread_db < g.steady_db
    long_enough = sum(s >= g.stretch_s for s in q.stretches_s)
    live = (q.room_share or 0.0) > g.room_share or (q.between_db is not None and q.between_db > g.between_db)
    met = {
        "silent": q.peak < g.silent,
        "too short": q.seconds_s < g.seconds_s,
        "no taps": q.taps == 0,
        "too few taps": 0 < q.taps < g.taps,
        "taps too close": q.taps >= g.taps and long_enough < g.stretches,
        "double taps": q.taps > 0 and q.bounced > g.bounced_share * q.taps,
        "clipped": q.flat_runs >= g.flat_runs_per_tap * per_tap
        or q.near_peak >= g.near_peak_per_tap * per_tap,
        "noisy": noisy,
        "steady background": noisy and steady,
        "room too live": live,
        "narrow band": q.top_hz < g.top_hz,
        "too few modes": q.taps > 0 and q.families < g.families,
    }
    return tuple(word for word in REASONS if met[word])


def _tops(samples: Floats, peak: float) -> tuple[int, int]:
    """Runs of equal extreme samples, and samples close to the peak."""
    if peak <= 0:
        return 0, 0
    near = int(np.count_nonzero(np.abs(samples) > NEAR_PEAK * min(peak, 1.0)))
    runs = 0
    for top in (samples.max(), samples.min()):
        at = np.flatnonzero(samples == top)
        if len(at) >= FLAT_RUN and abs(top) > 0.5 * peak:
            breaks = np.flatnonzero(np.diff(at) > 1)
            lengths = np.diff(np.concatenate([[-1], breaks, [len(at) - 1]]))
            runs += int(np.count_nonzero(lengths >= FLAT_RUN))
    return runs, near


def _ring_to_noise_db(seen: Spectrum) -> float | None:
    heard = seen.hz >= LOWEST_HZ
    noise = float(seen.noise[heard].sum())
    ring = float(seen.power[heard].sum()) - noise
    return None if noise <= 0 else float(10 * np.log10(max(ring, 1e-9 * noise) / noise))


def _background(takes: Takes, seen: Spectrum) -> tuple[float | None, float | None]:
    """How much the quiet changes from moment to moment, and its strongest tone."""
    frame = int(QUIET_FRAME_S * takes.rate_hz)
    count = len(takes.quiet) // frame
    if count < 4 or not seen.noise.any():
        return None, None
    power = (takes.quiet[: count * frame].reshape(count, frame) ** 2).mean(axis=1)
    level = 10 * np.log10(np.maximum(power, 1e-300))
    heard = np.maximum(seen.noise[seen.hz >= 50.0], 1e-300)
    return float(level.std()), float(10 * np.log10(heard.max() / np.median(heard)))
