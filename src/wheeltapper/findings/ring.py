"""What a ring test says, and what to do next. A good ring never clears a drum (F2), whatever the numbers.

The limits here were set on simulated drums; no cracked drum has been heard. Everything between "dull" and "rings like
its references" sends a person back to the drum, and no drum is sent back to the hammer for ever.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from wheeltapper.measure.ring import Ring
from wheeltapper.measure.ring.compare import Compared, compare
from wheeltapper.measure.ring.profile import Profile

Said = Literal["rings like its references", "dull", "looks split", "inspect", "retake", "no call"]

DULL_P = 0.03  # fewer good drums than this are so dull (simulated)
SPLIT_SHARE = 0.006  # from which a split counts (simulated)
SPLIT_SHARE_ALONE = 0.010  # and against one reference, which may itself lack the split of a good drum
MISSING_SHARE = 0.80
RETAKES = 2
REMEDY = {
    "silent": "nothing was recorded: see that the phone's microphone is free and record again",
    "too short": "record one second of quiet and four to six taps, each left to die away",
    "no taps": "no tap was found: hold the phone a hand's length from the rim and tap harder",
    "too few taps": "give four to six single taps on the outer rim, a sixth of a turn apart",
    "taps too close": "let each tap die away, more than a second, before the next",
    "double taps": "let the hammer bounce off: one touch for each tap, a small steel hammer",
    "clipped": "too loud: tap lighter or hold the phone farther away, up to half a metre",
    "noisy": "the ring hardly stands over the noise: closer with the phone, doors shut, nobody talking",
    "steady background": "a machine runs: switch the compressor off and record again",
    "room too live": "the room is heard more than the drum: closer with the phone, away from walls and tanks",
    "narrow band": "the recording is as narrow as a telephone's: use the phone's own recorder, enhancement off",
    "too few modes": "hardly anything rings: hang the drum by one thin strap, clean, dry, touching nothing, and tap again",
}
CLOSE = "look the drum over: clean and dry, light along rim, flange and bolt circle, fingernail across every line, dye if you have it"
DO: dict[Said, str] = {
    "rings like its references": "not a clearance: a crack may ring like this. The sweep decides, and a line that is felt condemns.",
    "dull": "hang it again: a quarter turn on, one thin strap, clean, dry, nothing touching, and tap again.",
    "looks split": f"two tones lie where a good drum has one: {CLOSE}.",
    "inspect": f"{CLOSE[0].upper()}{CLOSE[1:]}.",
    "retake": "record again.",
    "no call": "there is no good drum of this model to hold it against: record one that was checked, and keep its ring.",
}
DULL_TWICE = "dull again after it was hung anew: clean and freely hung, it is replaced by F2 though no crack is seen; if either is in doubt, clean, hang and tap once more."
GIVE_UP = f"it cannot be judged by its ring after {RETAKES} retakes: {CLOSE}."


@dataclass(frozen=True)
class Verdict:
    """What one recording says."""

    verdict: Said
    do: str
    reasons: tuple[str, ...] = ()
    compared: Compared | None = None
    dull_twice: bool = False

    @property
    def p(self) -> float | None:
        """Chance of so dull a ring from a good drum; None where it was not compared."""
        return None if self.compared is None else self.compared.p


def judge(
    ring: Ring,
    candidate: Profile,
    references: Sequence[Profile],
    spread: tuple[float, float] | None = None,
    before: Sequence[Verdict] = (),
) -> Verdict:
    """Judge one recording of a drum.

    Args:
        ring: what was heard.
        candidate: the same, in short.
        references: good drums of its model.
        spread: between good drums; None: as simulated.
        before: earlier recordings of the same drum today, in order.

    Returns:
        The verdict and what to do.
    """
    if ring.reasons:
        return _again(ring.reasons, before)
    if not any(r.voices for r in references):
        return Verdict("no call", DO["no call"])
    found = compare(candidate, references, spread)
    if found.split_share > (SPLIT_SHARE if found.references > 1 else SPLIT_SHARE_ALONE):
        return Verdict("looks split", DO["looks split"], (), found)
    if found.p < DULL_P:
        twice = any(v.verdict == "dull" for v in before)
        return Verdict("dull", DULL_TWICE if twice else DO["dull"], (), found, twice)
    if found.missing_share > MISSING_SHARE:
        return Verdict("inspect", f"most of what a good drum rings with is gone: {CLOSE}.", (), found)
    return Verdict("rings like its references", DO["rings like its references"], (), found)


def _again(reasons: tuple[str, ...], before: Sequence[Verdict]) -> Verdict:
    """Another recording, but not for ever: a drum that hardly rings is looked at closely."""
    if sum(v.verdict == "retake" for v in before) >= RETAKES:
        return Verdict("inspect", GIVE_UP, reasons)
    return Verdict("retake", "; ".join(REMEDY[r] for r in reasons) + ".", reasons)
