"""What a shop's records foretold of one visit's parts, as it is handed to `examine`. Made by fleet/foretell.py; never clears a part."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from datetime import date as Date
from hashlib import sha256
from typing import Literal, get_args

Prediction = Literal[
    "pooled over the shop's records", "this part's own records (C7, C8)", "none: the service rhythm"
]
POOLED, OWN, RHYTHM = get_args(Prediction)


@dataclass(frozen=True)
class Foreseen:
    """One part that is on: miles from this visit on, the near and far end with 90 % between them."""

    position: str
    what: str  # the size that wears, 'friction diameter'
    prediction: Prediction
    records: int
    near_mi: int
    middle_mi: int
    far_mi: int
    check_mi: int
    check_date: Date | None


@dataclass(frozen=True)
class Foresight:
    """Everything that was foretold, and from what."""

    parts: tuple[Foreseen, ...]
    kinds: tuple[
        tuple[str, bool, str], ...
    ]  # each kind of size: whether the pool is used, and why or why not
    on: Date  # the day the shop's records were pooled
    visits: int  # that were pooled
    pool: str  # fingerprint of the pool

    @property
    def text(self) -> str:
        """All of it as JSON."""
        return json.dumps(asdict(self), default=Date.isoformat, sort_keys=True, indent=1) + "\n"

    @property
    def fingerprint(self) -> str:
        """Of all that is in it: the same one gives the same sheet."""
        return sha256(self.text.encode()).hexdigest()[:12]

    def of(self, position: str, what: str) -> Foreseen | None:
        """The row of one part."""
        return next((p for p in self.parts if (p.position, p.what) == (position, what)), None)
