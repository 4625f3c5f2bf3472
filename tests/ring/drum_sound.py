"""The sound of a brake drum that never was: tap recordings with known truth, for tests, benchmarks and documents.

Frequencies come from a finite-element model (`fe_modes.csv`); damping, room, noise and recorder are assumed. What is
found on these sounds says how well the method works if the assumptions hold, and nothing about real drums.

Every sound follows from its seed. What is tuned is tuned on seeds of TUNING, what is reported comes from REPORTING.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Complexes = NDArray[np.complex128]

TUNING = range(0, 100_000)
REPORTING = range(500_000, 600_000)
RATE_HZ = 44_100
KINDS = ("good", "heat checks", "crack 25", "crack 50", "crack 100", "dull support")
CASE = {"heat checks": "heat40", "crack 25": "crack25", "crack 50": "crack50", "crack 100": "crack100"}
FULL_WEAR_M = 0.045 * 0.0254  # off the radius, as in the worn case of the table
SEES = 0.5  # a mode moved so far by a crack, in %, sees all of it (assumed)


@dataclass(frozen=True)
class Mode:
    """One row of the table."""

    order: int
    hz: float
    moved_pct: float  # against the good drum


@dataclass(frozen=True)
class Drum:
    """A drum as it rings, its truth."""

    inches: int
    kind: str
    wear_m: float
    hz: Array
    decay_per_s: Array
    order: NDArray[np.int64]  # waves round the rim
    turn_rad: Array  # where the pattern stands
    loud: Array  # how strongly the mode is heard
    seen: NDArray[np.bool_]  # in the table; the others only fill the treble


@dataclass(frozen=True)
class Setting:
    """How a recording is made."""

    taps: int = 5
    apart_s: float = 1.2
    quiet_s: float = 1.0
    snr_db: float = 35.0  # first 200 ms of ring over noise
    room_s: float = 0.5  # time in which the room's sound falls by 60 dB
    room_share: float = 0.1  # amplitude of the room's sound, of the direct
    gain_exponent: float = 0.0  # of an automatic gain: 0 off, 0.4 strong
    hum: float = 0.5  # mains and motor lines, of the noise's amplitude
    speech: float = 0.0  # of the noise's amplitude
    peak: float = 0.6  # of full scale; more than 1 clips


@dataclass(frozen=True)
class Clip:
    """A recording with its truth."""

    samples: Array
    rate_hz: int
    taps_s: Array
    drum: Drum
    setting: Setting


@cache
def table() -> dict[tuple[int, str], tuple[Mode, ...]]:
    """All modes of all cases, by size and case."""
    path = Path(__file__).with_name("fe_modes.csv")
    lines = [line for line in path.read_text("utf-8").splitlines() if not line.startswith("#")]
    out: dict[tuple[int, str], tuple[Mode, ...]] = {}
    for row in csv.DictReader(lines):
        key = int(row["drum_in"]), row["case"].rpartition("_")[0] or row["case"].rstrip("012")
        mode = Mode(int(row["circ_order"]), float(row["freq_hz"]), float(row["shift_vs_good_pct"]))
        out[key] = (*out.get(key, ()), mode)
    return out


def rows(inches: int, case: str) -> tuple[Mode, ...]:
    """The modes of one case."""
    return next(m for (size, name), m in table().items() if size == inches and name.startswith(case))


@cache
def wear_shift(inches: int) -> tuple[tuple[float, float], ...]:
    """For each good mode, its frequency and the share by which full wear moves it: same order, same place in that order."""
    good, worn = rows(inches, "good"), rows(inches, "worn45")
    out = []
    for i, mode in enumerate(good):
        nth = sum(m.order == mode.order for m in good[:i])
        same = [m for m in worn if m.order == mode.order]
        out.append((mode.hz, same[nth].hz / mode.hz - 1 if nth < len(same) else -0.02))
    return tuple(out)


def drum(seed: int, kind: str = "good", inches: int = 12, friction: bool = True) -> Drum:
    """A drum of a kind: a casting like others, worn somewhat, damped as assumed; `friction`: does the crack rub?"""
    dice = np.random.default_rng([seed, 1])
    modes = rows(inches, CASE.get(kind, "good"))
    wear = dice.uniform(0, FULL_WEAR_M)
    hz = _cast(np.array([m.hz for m in modes]), modes, inches, wear / FULL_WEAR_M, dice)
    zeta = np.exp(dice.normal(np.log(1e-3), 0.30)) * _by_family(hz, np.exp(dice.normal(0, 0.25, 64)))
    zeta = zeta * _added(kind, modes, friction, dice)
    high = np.sort(dice.uniform(5_200, 12_000, 14))
    every = np.concatenate([hz, high])
    order = np.concatenate([[m.order for m in modes], dice.integers(2, 9, 14)]).astype(int)
    decay = 2 * np.pi * every * np.concatenate([zeta, np.full(14, zeta.mean())])
    turn = dice.uniform(0, 2 * np.pi, len(every))
    for i in range(1, len(hz)):  # the two of a pair stand a quarter wave apart
        if order[i] == order[i - 1] and abs(hz[i] / hz[i - 1] - 1) < 0.15:
            turn[i] = turn[i - 1] + np.pi / 2 / max(order[i], 1)
    loud = np.exp(dice.normal(0, 0.5, len(every))) * dice.choice([-1, 1], len(every))
    return Drum(inches, kind, wear, every, decay, order, turn, loud, np.arange(len(every)) < len(hz))


def _cast(hz: Array, modes: tuple[Mode, ...], inches: int, worn: float, dice: np.random.Generator) -> Array:
    """Scale of the casting, wear, scatter between families, and the split that no casting is without."""
    shifts = wear_shift(inches)
    good = hz / (1 + np.array([m.moved_pct for m in modes]) / 100)
    nearest = [min(shifts, key=lambda s: abs(s[0] - g))[1] for g in good]
    hz = hz * (1 + dice.normal(0, 0.012)) * (1 + worn * np.array(nearest))
    hz = hz * _by_family(hz, 1 + dice.normal(0, 0.003, 64))
    split = np.abs(dice.normal(0, 0.0012, len(hz)))
    for i in range(1, len(hz)):
        if modes[i].order and modes[i].order == modes[i - 1].order and hz[i] / hz[i - 1] < 1.001:
            hz[i] *= 1 + split[i]
    return hz


def _by_family(hz: Array, each: Array) -> Array:
    """One number for all modes within 2 % of each other."""
    family = np.concatenate([[0], np.cumsum(np.diff(hz) / hz[:-1] > 0.02)]).astype(int)
    return np.asarray(each[family])


def _added(kind: str, modes: tuple[Mode, ...], friction: bool, dice: np.random.Generator) -> Array:
    """How many times more a fault damps each mode (assumed)."""
    times = float(np.exp(dice.uniform(np.log(5), np.log(20))))
    if kind.startswith("crack") and friction:
        sees = np.minimum(1.0, np.abs([m.moved_pct for m in modes]) / SEES)
        return np.asarray(1 + (times - 1) * sees)
    if kind == "dull support":
        return np.asarray(1 + (times - 1) * np.exp(dice.normal(-0.5, 0.4, len(modes))))
    return np.ones(len(modes))


def setting(seed: int) -> Setting:
    """A way of recording as chance has it, within what `docs` ask of the person."""
    dice = np.random.default_rng([seed, 2])
    return Setting(
        taps=int(dice.integers(3, 7)),
        apart_s=float(dice.uniform(0.9, 1.4)),
        quiet_s=float(dice.uniform(0.6, 1.2)),
        snr_db=float(dice.uniform(18, 45)),
        room_s=float(dice.uniform(0.3, 1.0)),
        room_share=float(dice.uniform(0.05, 0.20)),
        gain_exponent=float(dice.choice([0.0, 0.0, 0.2, 0.4])),
        hum=float(dice.uniform(0, 1)),
        speech=float(dice.choice([0.0, 0.0, 1.0])),
        peak=float(dice.uniform(0.3, 0.9)),
    )


def recording(of: Drum, seed: int, how: Setting | None = None) -> Clip:
    """Strike a drum and record it."""
    how = how or setting(seed)
    dice = np.random.default_rng([seed, 3])
    at = how.quiet_s + how.apart_s * np.arange(how.taps) + dice.uniform(0, 0.15, how.taps)
    count = int((at[-1] + how.apart_s + 0.3) * RATE_HZ)
    dry = np.zeros(count)
    for when in at:
        first = int(when * RATE_HZ)
        dry[first:] += strike(of, count - first, dice)
    ring = dry + how.room_share * _room(dry, how.room_s, dice)
    power = np.mean(np.concatenate([ring[(i := int(t * RATE_HZ)) : i + RATE_HZ // 5] for t in at]) ** 2)
    heard = ring + np.sqrt(power) * 10 ** (-how.snr_db / 20) * _noise(count, how, dice)
    heard = _levelled(heard, how.gain_exponent)
    heard = np.clip(heard / np.abs(heard).max() * how.peak, -1, 1)
    return Clip(np.round(heard * 32767) / 32767, RATE_HZ, at, of, how)


def strike(of: Drum, count: int, dice: np.random.Generator) -> Array:
    """The sound of one tap: place, force and contact time by chance, and the knock of the hammer itself."""
    where, force = dice.uniform(0, 2 * np.pi), float(np.exp(dice.normal(0, 0.35)))
    contact = dice.uniform(0.12e-3, 0.35e-3)
    pulse = np.cos(np.pi * of.hz * contact) / (1 - (2 * of.hz * contact) ** 2 + 1e-9)
    part = np.cos(of.order * (where - of.turn_rad))
    size = force * of.loud * pulse * np.where(of.order == 0, 1.0, part)
    knock = dice.normal(0, 1, min(count, 400)) * np.exp(-np.arange(min(count, 400)) / 40)
    sound = ringing(of.hz, of.decay_per_s, -1j * size, count)
    sound[: len(knock)] += 2.0 * force * knock
    return sound


def ringing(hz: Array, decay_per_s: Array, size: Complexes, count: int, rate_hz: float = RATE_HZ) -> Array:
    """Sum of decaying oscillations, block by block: powers of each pole factor into block and place in the block."""
    s = (-decay_per_s + 2j * np.pi * hz) / rate_hz
    block = int(np.ceil(np.sqrt(count)))
    inner = np.exp(np.outer(s, np.arange(block)))
    outer = np.exp(np.outer(np.arange(-(-count // block)) * block, s)) * size
    real = np.concatenate([outer.real, -outer.imag], axis=1) @ np.concatenate([inner.real, inner.imag])
    return np.asarray(real.ravel()[:count])


def _room(dry: Array, room_s: float, dice: np.random.Generator) -> Array:
    """The sound through the room: noise that dies away, of unit energy, after 3 ms of way."""
    tail = dice.normal(0, 1, int(1.2 * room_s * RATE_HZ))
    tail *= np.exp(-6.908 * np.arange(len(tail)) / room_s / RATE_HZ)
    tail = np.concatenate([np.zeros(132), tail / np.sqrt(np.sum(tail**2))])
    size = 1 << (len(dry) + len(tail)).bit_length()
    return np.asarray(np.fft.irfft(np.fft.rfft(dry, size) * np.fft.rfft(tail, size), size)[: len(dry)])


def _noise(count: int, how: Setting, dice: np.random.Generator) -> Array:
    """Pink noise, mains and motor lines, something like speech; the pink part has unit power."""
    shape = np.fft.rfft(dice.normal(0, 1, count))
    hz = np.fft.rfftfreq(count, 1 / RATE_HZ)
    pink = np.fft.irfft(shape / np.sqrt(np.maximum(hz, 40.0)), count)
    pink /= pink.std()
    lines = np.concatenate([60.0 * np.arange(1, 9), dice.uniform(200, 3000, 4)])
    sizes = dice.rayleigh(0.4, 12) / np.concatenate([np.arange(1, 9), np.full(4, 4.0)])
    hum = ringing(lines, np.zeros(12), sizes * np.exp(2j * np.pi * dice.uniform(0, 1, 12)), count)
    talk = _talk(count, dice) if how.speech else 0.0
    return np.asarray(pink + how.hum * hum + how.speech * talk)


def _talk(count: int, dice: np.random.Generator) -> Array:
    """Harmonics of a wandering voice in syllables."""
    slow = _wander(count, 8820, dice.uniform(0, 1, count // 8820 + 2))
    phase = 2 * np.pi * np.cumsum(110 + 60 * slow) / RATE_HZ
    voice = sum(np.sin(k * phase) / k for k in range(1, 12))
    gate = np.clip(_wander(count, 4410, dice.normal(0, 1, count // 4410 + 2)), 0, 1)
    return np.asarray(voice * gate)


def _wander(count: int, step: int, values: Array) -> Array:
    """Values a step apart, joined by straight lines."""
    return np.asarray(np.interp(np.arange(count), step * np.arange(len(values)), values))


def _levelled(heard: Array, exponent: float) -> Array:
    """An automatic gain: at once when it gets louder, in 1.5 s when it gets quieter (assumed)."""
    if not exponent:
        return heard
    hop = 220
    peaks = np.abs(heard[: len(heard) // hop * hop]).reshape(-1, hop).max(axis=1)
    level, now = np.empty(len(peaks)), 0.0
    for i, peak in enumerate(peaks):
        now = max(float(peak), now * np.exp(-hop / RATE_HZ / 1.5))
        level[i] = now
    smooth = np.interp(
        np.arange(len(heard)), np.arange(len(level)) * hop, np.maximum(level, 1e-3 * level.max())
    )
    return np.asarray(heard * smooth**-exponent)


def named(how: Setting, **changes: float) -> Setting:
    """A setting with some numbers changed."""
    return replace(how, **changes)  # type: ignore[arg-type]


def encoded(samples: Array, rate_hz: int, container: str, codec: str, bit_rate: int = 96_000) -> bytes:
    """A recording as a file of some kind, made in memory by PyAV."""
    buffer = io.BytesIO()
    with av.open(buffer, "w", format=container) as out:
        stream = out.add_stream(codec, rate=rate_hz, layout="mono" if samples.ndim == 1 else "stereo")
        if codec not in {"pcm_s16le", "flac"}:
            stream.bit_rate = bit_rate
        whole = np.ascontiguousarray(np.atleast_2d(samples).T * 32767).round().astype(np.int16).reshape(1, -1)
        frame = av.AudioFrame.from_ndarray(whole, format="s16", layout=stream.layout.name)
        frame.sample_rate = rate_hz
        resampler = av.AudioResampler(
            stream.format.name, stream.layout.name, rate_hz, stream.frame_size or None
        )
        for piece in [*resampler.resample(frame), *resampler.resample(None)]:
            out.mux(stream.encode(piece))
        out.mux(stream.encode(None))
    return buffer.getvalue()


def through_aac(clip: Clip, bit_rate: int = 96_000) -> Clip:
    """The same recording as a phone keeps it: coded and decoded, delayed by a little."""
    with av.open(io.BytesIO(encoded(clip.samples, clip.rate_hz, "adts", "aac", bit_rate))) as back:
        samples = np.concatenate([f.to_ndarray()[0] for f in back.decode(audio=0)])
    return replace(clip, samples=samples[: len(clip.samples)].astype(float))
