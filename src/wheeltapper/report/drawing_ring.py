"""Two drums by ear, drawn: how long each rings on, and which tones each has.

Above, the tail of each sound on one time axis: as tall as it is loud, as long as it lasts. Below, its tones upward and
those of the good drum downward, joined where they are the same. Numbers and words come ready.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheeltapper.report.drawing_ink import ACCENT, DEEP, INK, SHADE, SOFT, line, n, picture, stroke, words

WIDTH, HEIGHT = 620.0, 452.0
LEFT, RIGHT = 20.0, 600.0
TAILS = (94.0, 188.0)  # middle lines of the two tails
HALF = 36.0  # height of a tail at full loudness
TIME = 240.0
MIDDLE, TALL = 352.0, 62.0  # base line of the tones, and how tall the loudest is
FLOOR_DB = 36.0  # under it a tail is the room and the noise


@dataclass(frozen=True)
class Tail:
    """A sound that dies away: times [s] and levels [dB, 0 at first]."""

    said: str
    at_s: tuple[float, ...]
    level_db: tuple[float, ...]
    lasts: str  # '0.4 s', in the reader's words


@dataclass(frozen=True)
class Tone:
    """A tone: frequency [Hz], share of the loudest, and whether the other drum has it."""

    hz: float
    share: float
    both: bool


@dataclass(frozen=True)
class Ringing:
    """The whole figure."""

    title: str
    verdict: str
    here: Tail
    good: Tail
    tones: tuple[Tone, ...]
    good_tones: tuple[Tone, ...]
    foot: str


def ringing(r: Ringing) -> str:
    """A Ringing as SVG text."""
    body = [
        words(LEFT, 26, r.title, 18),
        words(RIGHT, 26, r.verdict, 18, "end", INK, 0.5),
        *_tails(r),
        *_tones(r),
        words(LEFT, HEIGHT - 8, r.foot, 13, colour=SOFT),
    ]
    return picture(WIDTH, HEIGHT, told(r), body)


def told(r: Ringing) -> str:
    """A Ringing for readers aloud."""
    return f"{r.title}: {r.verdict}. {r.here.said} rings for {r.here.lasts}, {r.good.said} for {r.good.lasts}. {r.foot}"


def _tails(r: Ringing) -> Iterator[str]:
    last = max(0.25, min(1.6, max(_end(r.here), _end(r.good))))
    for tail, middle, fill in ((r.here, TAILS[0], ACCENT), (r.good, TAILS[1], DEEP)):
        yield words(LEFT, middle - HALF - 6, f"{tail.said}: rings for {tail.lasts}", 15)
        yield stroke(line((LEFT, middle), (RIGHT, middle)), 0.5, SOFT)
        yield stroke(_outline(tail, middle, last), 1.0, INK, fill=fill)
    yield stroke(line((LEFT, TIME), (RIGHT, TIME)), 0.8)
    step = 0.1 if last <= 0.6 else 0.2
    for i in range(int(last / step + 1e-9) + 1):
        x = _time(i * step, last)
        yield stroke(line((x, TIME), (x, TIME + 5)), 0.8) + words(
            x, TIME + 19, f"{i * step:.1f} s", 13, "middle"
        )


def _end(tail: Tail) -> float:
    """When the sound has fallen to the floor of the picture."""
    under = [t for t, db in zip(tail.at_s, tail.level_db, strict=True) if db <= -FLOOR_DB]
    return under[0] if under else tail.at_s[-1]


def _outline(tail: Tail, middle: float, last: float) -> str:
    points = [
        (t, max(0.0, 1 + db / FLOOR_DB)) for t, db in zip(tail.at_s, tail.level_db, strict=True) if t <= last
    ]
    upper = [(_time(t, last), middle - HALF * up) for t, up in points]
    lower = [(x, 2 * middle - y) for x, y in reversed(upper)]
    return line(*upper, *lower, close=True)


def _time(at_s: float, last: float) -> float:
    return LEFT + at_s / last * (RIGHT - LEFT)


def _tones(r: Ringing) -> Iterator[str]:
    top = max((t.hz for t in (*r.tones, *r.good_tones)), default=4000.0) * 1.04
    yield stroke(line((LEFT, MIDDLE), (RIGHT, MIDDLE)), 0.8)
    yield words(LEFT, MIDDLE - TALL - 6, f"tones of {r.here.said.lower()}", 13) + words(
        LEFT, MIDDLE + TALL + 14, f"tones of {r.good.said.lower()}", 13
    )
    for tones, way in ((r.tones, -1), (r.good_tones, 1)):
        for t in tones:
            x, y = LEFT + t.hz / top * (RIGHT - LEFT), MIDDLE + way * (8 + (TALL - 8) * t.share)
            yield stroke(
                line((x, MIDDLE), (x, y)),
                2.4 if t.both else 1.2,
                INK if t.both else ACCENT,
                "" if t.both else "3 3",
            )
            yield f'<circle cx="{n(x)}" cy="{n(y)}" r="3.2" fill="{INK if t.both else SHADE}" stroke="{INK}" stroke-width="0.8"/>'
    for hz in range(500, int(top), 500):
        x = LEFT + hz / top * (RIGHT - LEFT)
        yield stroke(line((x, MIDDLE - 2), (x, MIDDLE + 2)), 0.6, SOFT)
        if hz % 1000 == 0:
            yield words(x, MIDDLE + 13, f"{hz} Hz", 11, "middle", SOFT)
