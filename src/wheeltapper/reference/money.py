"""Money as it is written in a table, in whole cents."""

from __future__ import annotations

import re

AMOUNT = re.compile(r"(?:[0-9]{1,3}(?:,[0-9]{3})+|[0-9]{1,9})(?:\.[0-9]{1,2})?")


def cents_of(text: str) -> int | None:
    """'1,240.00' in cents, None for an empty cell.

    Raises:
        ValueError: it is no amount; "104,00" is none, since a comma parts thousands here and a guess would be off a hundredfold.
    """
    said = text.strip()
    if not said:
        return None
    if not AMOUNT.fullmatch(said):
        raise ValueError(f"'{text}' is not an amount of money: write 1240.00 or 1,240.00")
    whole, _, part = said.replace(",", "").partition(".")
    return int(whole) * 100 + int(part.ljust(2, "0") or "0")
