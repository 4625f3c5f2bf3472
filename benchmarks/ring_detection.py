"""How often the ring test flags drums of each kind, on simulated drums: python benchmarks/ring_detection.py [GOOD] [EACH]

Seeds come from the simulator's reporting range, which nothing was tuned on. Every candidate is held against four random draws of
1, 3 and 5 good drums, so the rows are not independent. Half of the recordings went through AAC at 64 to 128 kb/s, as
phones keep them. Recordings that are sent back are counted apart.
"""

from __future__ import annotations

import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from ring.drum_sound import KINDS, REPORTING, drum, recording, through_aac
from wheeltapper.findings.ring import DULL_P, MISSING_SHARE, SPLIT_SHARE, SPLIT_SHARE_ALONE
from wheeltapper.measure.ring import listen
from wheeltapper.measure.ring.compare import Compared, compare
from wheeltapper.measure.ring.profile import Profile, profile_of

Job = tuple[str, int, int, bool]
Drum = tuple[str, int, Profile | None]
QUIET = ("crack 25", "crack 50")  # kinds that are also made without friction in the crack
DRAWS = 4
BIT_RATES = (0, 0, 0, 64_000, 96_000, 128_000)  # of AAC; 0: kept as it was recorded


def one(job: Job) -> Drum:
    """Make, record and hear one drum; None where the recording is sent back."""
    kind, seed, inches, friction = job
    made = drum(seed, kind, inches, friction)
    clip = recording(made, seed)
    rate = int(np.random.default_rng([seed, 4]).choice(BIT_RATES))
    clip = through_aac(clip, rate) if rate else clip
    ring = listen(clip.samples, clip.rate_hz)
    name = kind if friction else f"{kind}, no friction"
    return name, inches, None if ring.reasons else profile_of(ring, inches * 0.0254 + 2 * made.wear_m)


def jobs(good: int, each: int, first: int = REPORTING.start + 30_000) -> list[Job]:
    """All drums, half of them of each size."""
    made = [
        (k, first + 2000 * i + 2 * n, 10 + 2 * (n % 2), True)
        for i, k in enumerate(KINDS)
        for n in range(good if k == "good" else each)
    ]
    quiet = [
        (k, first + 2000 * i + 2 * n + 1, 10 + 2 * (n % 2), False)
        for i, k in enumerate(QUIET)
        for n in range(each)
    ]
    return made + quiet


def flagged(c: Compared) -> bool:
    """Would it be called anything but 'rings like its references'?"""
    split = SPLIT_SHARE if c.references > 1 else SPLIT_SHARE_ALONE
    return c.p < DULL_P or c.split_share > split or c.missing_share > MISSING_SHARE


def table(drums: list[Drum], count: int, sized: bool) -> None:
    """One line for each kind: sent back, flagged, and how often p is under 0.05 and 0.01."""
    dice = np.random.default_rng(count)
    goods = {i: [p for k, size, p in drums if k == "good" and size == i and p] for i in (10, 12)}
    for kind in dict.fromkeys(k for k, _, _ in drums):
        rows = [(size, p) for k, size, p in drums if k == kind]
        found = []
        for size, p in ((s, p) for s, p in rows if p):
            rest = [g for g in goods[size] if g is not p]
            for _ in range(DRAWS):
                picked = [rest[i] for i in dice.choice(len(rest), count, replace=False)]
                found.append(
                    compare(p, picked)
                    if sized
                    else compare(Profile(p.voices), [Profile(g.voices) for g in picked])
                )
        flags, ps = [flagged(c) for c in found], np.array([c.p for c in found])
        back = sum(p is None for _, p in rows)
        print(
            f"{count} | {'yes' if sized else 'no'} | {kind} | {back} of {len(rows)} | {np.mean(flags):.2f} | {np.mean(ps < 0.05):.3f} | {np.mean(ps < 0.01):.3f}"
        )


def main() -> None:
    """Print the table."""
    good, each = (int(a) for a in (sys.argv[1:] + ["240", "50"][len(sys.argv) - 1 :]))
    with ProcessPoolExecutor() as crew:
        drums = list(crew.map(one, jobs(good, each), chunksize=8))
    print("references | diameters known | kind | sent back | flagged | p < 0.05 | p < 0.01")
    for count in (1, 3, 5):
        for sized in (False, True):
            table(drums, count, sized)


if __name__ == "__main__":
    main()
