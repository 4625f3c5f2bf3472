"""From the bytes a phone sends to plain data: every number of a gauge stays the text it was, and nothing is half read."""

from __future__ import annotations

import json
from typing import Any

MOST_DIGITS = 30


def plain(data: bytes) -> Any:
    """JSON, strictly.

    Raises:
        ValueError: it is no JSON that a browser writes: not UTF-8, NaN, a name twice, half a letter, a number without end.
        RecursionError: it is nested too deep.
    """
    found = json.loads(
        data.decode("utf-8"), parse_float=str, parse_int=_whole, parse_constant=_none, object_pairs_hook=_once
    )
    json.dumps(found, ensure_ascii=False).encode()  # half a pair of letters, which JSON can write, is no text
    return found


def _whole(digits: str) -> int:
    if len(digits) > MOST_DIGITS:
        raise ValueError(f"a number of {len(digits)} digits")
    return int(digits)


def _none(name: str) -> Any:
    raise ValueError(f"{name} is not a number")


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out = dict(pairs)
    if len(out) != len(pairs):
        raise ValueError("a name stands twice in one block")
    return out
