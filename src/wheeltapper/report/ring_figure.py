"""From what was heard to the picture of a ring test; none where there is nothing to hold it against.

What the picture needs is little, so a visit keeps it (`RingDrawn`) and the sheet draws it without the recording.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from wheeltapper.records import RingDrawn, RingHeard
from wheeltapper.report.drawing_ring import Ringing, Tail, Tone, ringing

if TYPE_CHECKING:  # a sheet draws what a visit keeps, and loads no ear for it
    from wheeltapper.measure.ring import Ring
    from wheeltapper.measure.ring.compare import Pair
    from wheeltapper.measure.ring.profile import Profile
    from wheeltapper.ringing import Good, Heard

REACH = 0.02  # a tone of the picture is the same within so much: the list of pairs holds the exact ones
HEARD_DB = 30.0  # a tail lasts until it has fallen by so much
KEPT_DB = -40.0  # fainter is not drawn
EVERY = 2  # points of the curve, of which one is kept
FOOT = "A good ring never clears a drum. Set on simulated drums."


def drawn(heard: Heard, goods: Sequence[Good]) -> str | None:
    """The picture as SVG text.

    Args:
        heard: the recording.
        goods: its references.

    Returns:
        The picture; None where one of the two has no sound to draw.
    """
    both = side_by_side(heard, goods)
    return None if both is None or heard.verdict is None else ringing(_figure(heard.verdict.verdict, *both))


def figure(entry: RingHeard) -> Ringing | None:
    """The picture of a ring that a visit keeps; None where it keeps only the verdict."""
    if entry.drawn is None or entry.good is None:
        return None
    return _figure(entry.verdict, entry.drawn, entry.good)


def side_by_side(heard: Heard, goods: Sequence[Good]) -> tuple[RingDrawn, RingDrawn] | None:
    """The drum and the reference that has most tones in common with it, for the picture; None where there is none."""
    from wheeltapper.measure.ring.profile import profile_of

    ring, v = heard.ring, heard.verdict
    if ring is None or v is None or v.compared is None:
        return None
    pairs = v.compared.pairs
    good = max(goods, key=lambda g: sum(_theirs(g.profile, pairs)), default=None)
    here = profile_of(ring)
    matched = {p.hz for p in pairs}
    one = _kept(ring, here, [x.hz in matched for x in here.voices])
    other = None if good is None else _kept(good.ring, good.profile, _theirs(good.profile, pairs))
    return None if one is None or other is None else (one, other)


def then_and_now(then: RingHeard, then_said: str, now: RingHeard, now_said: str) -> Ringing | None:
    """The same drum at two visits; None where one of the two keeps only its verdict. What is alike clears nothing."""
    if then.drawn is None or now.drawn is None:
        return None
    here, before = _alike(now.drawn, then.drawn), _alike(then.drawn, now.drawn)
    tails = _tail(now_said, now.drawn), _tail(then_said, then.drawn)
    return Ringing("Then and now", now.verdict, *tails, here, before, FOOT)


def _alike(one: RingDrawn, other: RingDrawn) -> tuple[Tone, ...]:
    return tuple(
        Tone(hz, share, any(abs(hz / theirs - 1) < REACH for theirs, _, _ in other.tones))
        for hz, share, _ in one.tones
    )


def _theirs(profile: Profile, pairs: Sequence[Pair]) -> list[bool]:
    return [any(abs(v.hz / p.good_hz - 1) < REACH for p in pairs) for v in profile.voices]


def _kept(ring: Ring, profile: Profile, both: Iterable[bool]) -> RingDrawn | None:
    """What the picture needs of a ring, rounded to what it can show."""
    if ring.curve is None:
        return None
    level = [round(float(db), 1) for db in ring.curve.level_db[::EVERY]]
    last = next((i for i, db in enumerate(level) if db <= KEPT_DB), len(level) - 1)
    most = max((v.share for v in profile.voices), default=1.0)
    tones = tuple(
        (round(v.hz, 1), round(v.share / most, 3), same) for v, same in zip(profile.voices, both, strict=True)
    )
    step = EVERY * float(ring.curve.at_s[1] - ring.curve.at_s[0])
    return RingDrawn(every_s=round(step, 4), level_db=tuple(level[: max(2, last + 1)]), tones=tones)


def _figure(verdict: str, here: RingDrawn, good: RingDrawn) -> Ringing:
    tails = _tail("This drum", here), _tail("A good drum", good)
    return Ringing("Ring test", verdict, *tails, _tones(here), _tones(good), FOOT)


def _tones(d: RingDrawn) -> tuple[Tone, ...]:
    return tuple(Tone(*t) for t in d.tones)


def _tail(said: str, d: RingDrawn) -> Tail:
    at = tuple(i * d.every_s for i in range(len(d.level_db)))
    under = next((t for t, db in zip(at, d.level_db, strict=True) if db <= -HEARD_DB), None)
    lasts = f"{under:.1f} s" if under is not None else f"more than {at[-1]:.1f} s"
    return Tail(said, at, d.level_db, lasts)
