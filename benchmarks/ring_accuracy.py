"""Holds frequency and decay of ringing modes against the Cramer-Rao bound, ours and general libraries on the same signals in one run.

Run: python benchmarks/ring_accuracy.py [trials]. Prints, for each signal and noise, root-mean-square error over the bound, the
share of modes missed, and computing time; then the time for whole recordings. Ours searches by itself; the others are told
where to look. Each other is used with one setting, by a program, not by a person who looks: they can do better.

librosa, pyOMA-2 (extra `bench`) and the command harminv are used where they are installed, else left out. Never part of the
tests: times depend on the machine; quote ratios of one run. Signals come from seeds of REPORTING; nothing was tuned on them.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # one core, before numpy starts its own
os.environ.setdefault("TQDM_DISABLE", "1")  # no bars from the others

import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "ring"))
from bound import RATE_HZ, Tones, found, noisy, one_tone, pairs, six_tones
from drum_sound import KINDS, REPORTING, drum, recording, setting

from wheeltapper.measure.ring import listen
from wheeltapper.measure.ring.sound import sound_of

Array = NDArray[np.float64]
Method = Callable[[Array, Tones], tuple[Array, Array]]
SIGNALS = (("one mode", one_tone), ("six modes", six_tones), ("three pairs", pairs))
FAINT = 0.05  # of a unit mode: what a person would not take for one
REACH_HZ = 5.0  # nearer to a true mode than this, or missed


def nearest(hz: Array, decay_per_s: Array, tones: Tones) -> tuple[Array, Array]:
    """The value nearest to each true mode, not a number where none is near."""
    out = np.full((2, len(tones.hz)), np.nan)
    for i, true in enumerate(tones.hz):
        if len(hz) and np.abs(hz - true).min() < REACH_HZ:
            at = int(np.abs(hz - true).argmin())
            out[:, i] = hz[at], decay_per_s[at]
    return out[0], out[1]


def reaches_hz(tones: Tones) -> Array:
    """How far about each hint to look: not as far as the other of the pair."""
    gaps = np.diff(tones.hz, prepend=-np.inf, append=np.inf)
    return np.minimum(REACH_HZ, np.minimum(gaps[:-1], gaps[1:]) / 2)


def half_power(samples: Array, tones: Tones) -> tuple[Array, Array]:
    """Peak of the padded spectrum near each hint, and its width at half the power."""
    size = 1 << 19
    power = np.abs(np.fft.rfft(samples, size)) ** 2
    step = RATE_HZ / size
    hz, decay = [], []
    for true, reach in zip(tones.hz, reaches_hz(tones), strict=True):
        low, high = int((true - reach) / step), int((true + reach) / step) + 1
        top = low + int(np.argmax(power[low:high]))
        a, b, c = np.log(power[top - 1 : top + 2])
        hz.append((top + 0.5 * (a - c) / (a - 2 * b + c)) * step)
        half = np.exp(b) / 2
        sides = [_crossing(power[top::way], half) for way in (1, -1)]
        decay.append(np.pi * sum(sides) * step)
    return nearest(np.array(hz), np.array(decay), tones)


def _crossing(power: Array, half: float) -> float:
    """Lines from the top to where the power is half, between two lines."""
    at = int(np.argmax(power < half))
    return at - float((half - power[at]) / (power[at - 1] - power[at]))


def by_librosa(samples: Array, tones: Tones) -> tuple[Array, Array]:
    """Short-time spectra: peak line nearest to each hint, slope of its logarithm."""
    import librosa

    lines = np.abs(librosa.stft(samples, n_fft=16384, hop_length=1024, center=False))
    at_s = np.arange(lines.shape[1]) * 1024 / RATE_HZ
    step = RATE_HZ / 16384
    hz, decay = [], []
    for true, reach in zip(tones.hz, reaches_hz(tones), strict=True):
        near = slice(int((true - reach) / step), int((true + reach) / step) + 2)
        top = near.start + int(np.argmax(lines[near, 0]))
        a, b, c = np.log(lines[top - 1 : top + 2, 0])
        hz.append((top + 0.5 * (a - c) / (a - 2 * b + c)) * step)
        decay.append(-np.polyfit(at_s, np.log(lines[top] + 1e-12), 1)[0])
    return nearest(np.array(hz), np.array(decay), tones)


def by_pyoma(samples: Array, tones: Tones) -> tuple[Array, Array]:
    """Stochastic subspace identification at one order, after our own lowering of the rate to 11 kHz."""
    import logging

    logging.disable(logging.CRITICAL)
    from pyoma2.algorithms import SSI
    from pyoma2.setup import SingleSetup

    slow = sound_of(samples, RATE_HZ)
    setup = SingleSetup(np.column_stack([slow.slow, slow.slow]), fs=slow.rate_hz)
    run = SSI(name="ssi", method="cov", br=80, ordmax=40, ordmin=40, step=2)
    setup.add_algorithms(run)
    setup.run_by_name("ssi")
    hz, zeta = run.result.Fn_poles[:, -1], run.result.Xi_poles[:, -1]
    good = np.isfinite(hz) & np.isfinite(zeta)
    return nearest(hz[good], 2 * np.pi * hz[good] * zeta[good], tones)


def by_harminv(samples: Array, tones: Tones) -> tuple[Array, Array]:
    """Filter diagonalisation in a band 50 Hz to either side of each group of hints, after our own lowering of the rate."""
    slow = sound_of(samples, RATE_HZ)
    text = "\n".join(f"{v:.9g}" for v in slow.slow)
    groups = np.split(tones.hz, np.flatnonzero(np.diff(tones.hz) > 20) + 1)
    bands = [f"{g[0] - 50:.3f}-{g[-1] + 50:.3f}" for g in groups]
    command = ["harminv", "-t", repr(1 / slow.rate_hz), *bands]
    out = subprocess.run(command, input=text, capture_output=True, text=True, check=False).stdout
    rows = [[float(v) for v in line.split(",")] for line in out.splitlines() if line[:1].isdigit()]
    table = np.array(rows).reshape(-1, 6)
    table = table[table[:, 3] > FAINT]  # the fourth column is the amplitude
    return nearest(table[:, 0], table[:, 1], tones)


def methods() -> dict[str, Method]:
    """Ours first, then what is installed."""
    out: dict[str, Method] = {"ours, no hints": found, "FFT peak, half power": half_power}
    if find_spec("librosa"):
        out["librosa STFT, slope"] = by_librosa
    if find_spec("pyoma2"):
        out["pyOMA-2 SSI-cov, order 40"] = by_pyoma
    if shutil.which("harminv"):
        out["harminv"] = by_harminv
    return out


def accuracy(trials: int) -> None:
    """Errors of each method over the bound."""
    for (title, make), snr_db in ((s, n) for s in SIGNALS for n in (20.0, 30.0)):
        print(
            f"\n{title}, {snr_db:.0f} dB, {trials} trials    frequency x bound   decay x bound   missed   ms"
        )
        for name, method in methods().items():
            off, spent = [], 0.0
            method(
                noisy(one_tone(np.random.default_rng(0)), 40, np.random.default_rng(0)),
                one_tone(np.random.default_rng(0)),
            )
            for trial in range(trials):
                dice = np.random.default_rng([REPORTING[trial], int(snr_db)])
                tones = make(dice)
                samples = noisy(tones, snr_db, dice)
                start = spending()
                hz, decay = method(samples, tones)
                spent += spending() - start
                bound = tones.bound(snr_db)
                off.append([(hz - tones.hz) / bound[0], (decay - tones.decay_per_s) / bound[1]])
            size = np.sqrt(np.nanmean(np.square(off), axis=(0, 2)))
            missed = float(np.isnan(off).mean())
            print(f"  {name:32} {size[0]:12.2f} {size[1]:16.2f} {missed:11.1%} {1e3 * spent / trials:7.1f}")


def spending() -> float:
    """Computing time of this process and those it started [s]."""
    used = os.times()
    return used.user + used.system + used.children_user + used.children_system


def speed(each: int) -> None:
    """Computing time for recordings of five seconds, without decoding."""
    print("\nwhole recordings, ms of computing for 5 s, least of three     median    9 in 10    most")
    for kind in KINDS:
        took = []
        for seed in REPORTING[:each]:
            how = replace(setting(seed), taps=4, quiet_s=0.7, apart_s=1.0)
            clip = recording(drum(seed, kind), seed, how)
            spent = min(_listening(clip.samples) for _ in range(3))  # what else runs only adds
            took.append(spent * 5e3 * RATE_HZ / len(clip.samples))
        print(f"  {kind:40} {np.median(took):8.1f} {np.quantile(took, 0.9):10.1f} {max(took):8.1f}")


def _listening(samples: Array) -> float:
    start = time.process_time()
    listen(samples, RATE_HZ)
    return time.process_time() - start


if __name__ == "__main__":
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    accuracy(count)
    speed(max(4, count // 5))
