"""Closed vocabularies: the words the product uses, each in one sense only (docs/words.md).

Words that a shop's engineer may add to (checks, readings, rules) are rows in `reference/`, not here.
"""

from __future__ import annotations

from typing import Literal, get_args

BrakeKind = Literal["electric drum", "hydraulic drum", "hydraulic disc"]
Part = Literal[
    "hub-drum", "brake-assembly", "lining", "magnet", "bearing-set", "seal", "cap", "studs",
    "nuts", "wheel", "hub-face", "spindle", "axle", "rotor", "pads", "supply",
]  # fmt: skip
CallWord = Literal["keep", "dress", "owner decides", "recheck", "replace"]
LimitGrade = Literal["on the part", "maker sheet", "house", "assumed"]
Evidence = Literal["seen", "felt", "heard", "measured", "told", "stated fine", "worked out"]
Use = Literal["private", "fleet", "rental", "salt water", "stored", "no history"]
MileageQuality = Literal["hubometer", "owner's figure", "trips", "guess", "unknown"]
Scope = Literal["hub service", "adjust"]
Release = Literal[
    "in work", "held", "ready for check", "clear to roll", "out, re-torque due", "settled",
    "left on a hauler", "left against advice",
]  # fmt: skip

CALLS: tuple[CallWord, ...] = get_args(CallWord)  # mild to severe: the order is the severity
PARTS: tuple[Part, ...] = get_args(Part)
GRADES: tuple[LimitGrade, ...] = get_args(LimitGrade)  # strongest first
TRAILER = "trailer"  # the position word for what belongs to no single wheel


def severity(call: CallWord) -> int:
    """0 for keep up to 4 for replace: replace > recheck > owner decides > dress > keep."""
    return CALLS.index(call)


def positions(axles: int) -> tuple[str, ...]:
    """All wheel positions of a trailer, axle 1 in front, road side before curb side."""
    return tuple(f"{n}-{side}" for n in range(1, axles + 1) for side in ("road", "curb"))


def axle_of(position: str) -> str:
    """The axle number of a wheel position, as text: '2-curb' -> '2'."""
    return position.partition("-")[0]


def side_of(position: str) -> str:
    """The side of a wheel position: '2-curb' -> 'curb'."""
    return position.partition("-")[2]


def hand_of(position: str, traffic: str) -> str:
    """'left' or 'right' as seen facing forward, of a wheel where traffic keeps 'right' or 'left'; '' where neither is known."""
    side = side_of(position)
    if side not in {"road", "curb"} or traffic not in {"right", "left"}:
        return ""
    return "left" if (side == "road") == (traffic == "right") else "right"


def other_end(position: str) -> str:
    """The wheel at the other end of the same axle: '2-curb' -> '2-road'."""
    return f"{axle_of(position)}-{'road' if side_of(position) == 'curb' else 'curb'}"
