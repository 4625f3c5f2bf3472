"""How a unit's tag or plate is compared: blanks, dashes and case do not matter, nor whether an O was a 0 or an I a 1."""

from __future__ import annotations

import re

TOLD_APART = str.maketrans({"O": "0", "Q": "0", "I": "1", "L": "1"})  # how plates are misread


def plain(name: str) -> str:
    """A tag as it is compared."""
    return re.sub(r"[\W_]", "", name.upper()).translate(TOLD_APART)
