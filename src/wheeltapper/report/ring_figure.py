"""From what was heard to the picture of a ring test; none where there is nothing to hold it against."""

from __future__ import annotations

from collections.abc import Sequence

from wheeltapper.measure.ring import Ring
from wheeltapper.measure.ring.compare import Pair
from wheeltapper.measure.ring.profile import Profile, profile_of
from wheeltapper.report.drawing_ring import Ringing, Tail, Tone, ringing
from wheeltapper.ringing import Good, Heard

REACH = 0.02  # a tone of the picture is the same within so much: the list of pairs holds the exact ones
HEARD_DB = 30.0  # a tail lasts until it has fallen by so much


def drawn(heard: Heard, goods: Sequence[Good]) -> str | None:
    """The picture as SVG text: against the reference that has most tones in common.

    Args:
        heard: the recording.
        goods: its references.

    Returns:
        The picture; None where one of the two has no sound to draw.
    """
    ring, v = heard.ring, heard.verdict
    if ring is None or v is None or v.compared is None or ring.curve is None:
        return None
    pairs = v.compared.pairs
    heard_of = [g for g in goods if g.ring.curve is not None]
    good = max(heard_of, key=lambda g: sum(t.both for t in _theirs(g.profile, pairs)), default=None)
    if good is None:
        return None
    here = profile_of(ring)
    matched = {p.hz for p in pairs}
    tones = _tones(here, [x.hz in matched for x in here.voices])
    figure = Ringing(
        "Ring test", v.verdict, _tail("This drum", ring), _tail("A good drum", good.ring), tones, _theirs(good.profile, pairs),
        "A good ring never clears a drum. Set on simulated drums.",
    )  # fmt: skip
    return ringing(figure)


def _theirs(profile: Profile, pairs: Sequence[Pair]) -> tuple[Tone, ...]:
    return _tones(profile, [any(abs(v.hz / p.good_hz - 1) < REACH for p in pairs) for v in profile.voices])


def _tones(profile: Profile, both: Sequence[bool]) -> tuple[Tone, ...]:
    most = max((v.share for v in profile.voices), default=1.0)
    return tuple(Tone(v.hz, v.share / most, same) for v, same in zip(profile.voices, both, strict=True))


def _tail(said: str, ring: Ring) -> Tail:
    assert ring.curve is not None
    at, level = [float(x) for x in ring.curve.at_s], [float(x) for x in ring.curve.level_db]
    under = next((t for t, db in zip(at, level, strict=True) if db <= -HEARD_DB), None)
    lasts = f"{under:.1f} s" if under is not None else f"more than {at[-1]:.1f} s"
    return Tail(said, tuple(at), tuple(level), lasts)
