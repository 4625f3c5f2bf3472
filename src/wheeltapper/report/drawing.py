"""The drawn wheel end and the small mark of a call, as SVG text of our own making.

Pure: a Corner in, the same text out on every run. Parts run along the axis from outside to inside, in the order
in which a wheel end is taken down. It decides nothing: every call comes with the Corner.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from wheeltapper.report import drawing_brake as brakes
from wheeltapper.report import drawing_parts as parts
from wheeltapper.report.drawing_ink import (
    INK,
    SOFT,
    Call,
    Shape,
    drawn,
    line,
    mark,
    picture,
    stroke,
    words,
)
from wheeltapper.report.sheet import Corner

WIDTH, HEIGHT = 1000.0, 264.0
TOP, BOTTOM = 15.0, 257.0  # base lines of the two rows of labels
UNCALLED = frozenset({"seal", "axle"})  # drawn plain where nobody called them: fitted new, or not opened
UNFED = UNCALLED | {"supply"}  # and no supply is called where the brake is hydraulic
INSIDE = frozenset({"lining", "magnet"})  # come with a new brake assembly
Point = tuple[float, float]
Label = tuple[str, float, float, Point]  # part, left edge, base line, where the leader ends on the part
Step = tuple[str, Callable[[], Shape]]  # part word and what draws it, back to front

LABELS: tuple[Label, ...] = (
    ("nuts", 2, BOTTOM, (24, 170)), ("wheel", 172, TOP, (152, 46)), ("cap", 232, TOP, (222, 116)),
    ("bearing-set", 226, BOTTOM, (305, 146)), ("hub-face", 318, BOTTOM, (364, 172)), ("spindle", 632, TOP, (668, 124)),
    ("axle", 728, TOP, (750, 116)), ("supply", 652, BOTTOM, (672, 225)),
)  # fmt: skip
DRUM: tuple[Label, ...] = (
    ("studs", 296, TOP, (342, 106)), ("hub-drum", 358, TOP, (400, 56)), ("bearing-set", 448, TOP, (484, 117)),
    ("seal", 540, TOP, (521, 115)), ("brake-assembly", 516, BOTTOM, (590, 201)), ("lining", 926, TOP, (950, 85)),
)  # fmt: skip
DISC: tuple[Label, ...] = (
    ("studs", 296, TOP, (342, 106)), ("rotor", 358, TOP, (404, 60)), ("bearing-set", 448, TOP, (484, 117)),
    ("seal", 540, TOP, (521, 115)), ("brake-assembly", 516, BOTTOM, (600, 159)), ("pads", 940, TOP, (960, 116)),
)  # fmt: skip


def wheel_end(corner: Corner, brake: str, lettered: bool = True) -> str:
    """The exploded wheel end of one corner as SVG text, each part drawn with its call; brake as in Sheet.brake."""
    calls: dict[str, Call] = dict(corner.calls)
    told = "; ".join(f"{part}: {call}" for part, call in corner.calls) or "nothing looked at yet"
    body = [
        _axis(),
        *_bodies(corner.position, calls, brake),
    ]
    if lettered:
        body += [*_notes(brake), *_labels(corner.position, calls, brake)]
        body.append(words(0, 30, corner.position, 30, "start", INK, 1.0))
    return picture(WIDTH, HEIGHT, f"Wheel end {corner.position}, {brake}. {told}.", body)


def call_mark(call: Call) -> str:
    """The small mark of a call as SVG text, for beside its word."""
    return picture(24, 15, f"mark: {call or 'not looked at'}", [mark(call, "mark", 1.5, 1.5, 21, 12)])


def shown(brake: str) -> frozenset[str]:
    """The part words that the drawing of this kind of brake carries."""
    return frozenset(label[0] for label in _all_labels(brake))


def _axis() -> str:
    return stroke(line((2, parts.Y), (790, parts.Y)), 0.7, INK, "14 3 2 3")


def _bodies(position: str, calls: dict[str, Call], brake: str) -> Iterator[str]:
    one_bar = calls.get("brake-assembly") == "replace" and brake != "hydraulic disc"
    for i, (part, draw) in enumerate(_steps(brake)):
        call: Call = _call(part, calls, brake) if part else "keep"
        shape = draw()
        if one_bar and part in INSIDE and call == "replace":  # one bar stands for the whole assembly
            shape = replace(shape, marked=False)
        yield drawn(shape, call, f"w{_key(position)}-{i}")
        if draw is parts.hub_drum:
            yield _bands()
        if draw is brakes.shoe_webs:
            yield stroke(brakes.springs(), 0.8)
        if draw is brakes.face_plate and brake == "electric drum":
            yield stroke(brakes.magnet_wires(), 0.9)


def _key(position: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in position)


def _call(part: str, calls: dict[str, Call], brake: str) -> Call:
    return calls.get(part, "keep" if part in _plain(brake) else None)


def _plain(brake: str) -> frozenset[str]:
    return UNCALLED if brake == "electric drum" else UNFED


def _steps(brake: str) -> tuple[Step, ...]:
    """What is drawn, part by part, back to front; '' for what has no call of its own."""
    outside: tuple[Step, ...] = (
        ("supply", lambda: brakes.cable(brake == "electric drum", brake != "hydraulic disc")), ("axle", parts.axle),
        ("spindle", parts.spindle),
    )  # fmt: skip
    inside: tuple[Step, ...] = (
        ("bearing-set", parts.inner_bearing), ("seal", parts.seal), ("bearing-set", parts.outer_bearing), ("", parts.locks),
        ("cap", parts.cap), ("wheel", parts.wheel), ("nuts", parts.nuts),
    )  # fmt: skip
    return (*outside, *(_disc() if brake == "hydraulic disc" else _drum(brake)), *inside)


def _drum(brake: str) -> tuple[Step, ...]:
    electric = brake == "electric drum"
    whole = "brake-assembly"
    magnet: tuple[Step, ...] = (("magnet", brakes.magnet),) if electric else ()
    top: tuple[Step, ...] = (
        ((whole, brakes.lever), (whole, brakes.anchor)) if electric else ((whole, brakes.cylinder),)
    )
    on_axis: tuple[Step, ...] = (("magnet", brakes.axis_magnet),) if electric else ()
    return (
        (whole, brakes.plate), (whole, brakes.axis_tables), *on_axis, ("lining", brakes.axis_shoes), (whole, brakes.axis_whole),
        ("hub-drum", parts.hub_drum), ("hub-face", parts.hub_face), ("studs", parts.studs), (whole, brakes.face_plate),
        (whole, brakes.shoe_webs), (whole, brakes.adjuster), *top, ("lining", brakes.linings), *magnet, (whole, brakes.face_whole),
    )  # fmt: skip


def _disc() -> tuple[Step, ...]:
    return (
        ("brake-assembly", brakes.caliper_on_axis), ("pads", brakes.axis_pads), ("rotor", parts.rotor),
        ("rotor", parts.disc_hub), ("hub-face", parts.disc_face), ("studs", parts.studs), ("rotor", brakes.face_rotor),
        ("brake-assembly", brakes.face_caliper), ("pads", brakes.face_pads),
    )  # fmt: skip


def _bands() -> str:
    """The two faces that are measured, drawn heavy where the drum is cut open."""
    band = line((385, parts.Y + 67), (417, parts.Y + 67))
    return stroke(band + line((385, parts.Y + 36), (385, parts.Y + 52)), 2.4)


def _notes(brake: str) -> Iterator[str]:
    """Small lettering without a call: what a face is, and what the round view shows."""
    if brake != "hydraulic disc":
        yield _pointer((410, 199), (430, 222)) + words(433, 226, "friction band", 11.5)
        yield _pointer((386, 177), (430, 189)) + words(
            433, 193, "magnet face" if brake == "electric drum" else "web", 11.5
        )
    yield _pointer((262, 103), (262, 88)) + words(240, 84, "nut, washer, pin", 11.5)
    yield words(798, 30, "seen from", 11.5) + words(798, 42, "the wheel", 11.5)


def _pointer(start: Point, end: Point) -> str:
    return stroke(line(start, end), 0.5) + f'<circle cx="{start[0]}" cy="{start[1]}" r="1.3" fill="{INK}"/>'


def _all_labels(brake: str) -> tuple[Label, ...]:
    if brake == "hydraulic disc":
        return (*LABELS, *DISC)
    magnet: tuple[Label, ...] = (("magnet", 790, BOTTOM, (882, 168)),) if brake == "electric drum" else ()
    return (*LABELS, *DRUM, *magnet)


def _labels(position: str, calls: dict[str, Call], brake: str) -> Iterator[str]:
    for i, (part, x, y, end) in enumerate(_all_labels(brake)):
        called = part in calls or part not in _plain(brake)
        start = (x + 9, y + 4) if y == TOP else (x + 9, y - 14)
        yield _pointer(end, start)
        if called:
            yield mark(_call(part, calls, brake), f"l{_key(position)}-{i}", x, y - 10)
        yield words(x + (22 if called else 4), y, part, 14.5, "start", INK if called else SOFT)
