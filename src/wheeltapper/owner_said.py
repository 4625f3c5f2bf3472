"""What the owner of a trailer said, as it was said: answers, questions, how it left, and what was put off before.

Each names what the owner had in front of them (`Seen`). A change of mind is a further answer: the last one counts, and all of
them stay.
"""

from __future__ import annotations

from datetime import date as Date
from typing import Literal

from pydantic import Field

from wheeltapper.record import Record, Texts
from wheeltapper.words import Part

SHA256 = "^[0-9a-f]{64}$"


class Seen(Record):
    """The exact sheet that somebody had in front of them."""

    version: str = Field(pattern=SHA256, description="SHA-256 of everything that it showed")
    entries: int = Field(ge=0, description="it was made from so many first entries of the visit")
    tables: str = Field(description="fingerprint of the tables that it was made with")
    day: Date


class Answer(Record):
    """What the owner answered to a choice."""

    position: str
    part: Part
    answer: Literal["now", "not now"]
    by: str
    how: str | None = Field(None, description="on the page, phone read-back, in person")
    date: Date | None = None
    said: str | None = Field(None, max_length=600, description="in the owner's own words")
    cents: int | None = Field(None, ge=0, description="price of doing it now, as it was shown")
    seen: Seen | None = None


class GoAhead(Record):
    """What the owner said to the work that is nobody's choice: have it done here, leave the trailer here, or neither."""

    answer: Literal["do it", "it stays here", "not here"]
    items: Texts = Field((), description="the parts that could not go back, as they stood on the sheet")
    cents: int | None = Field(None, ge=0, description="price of all of it, as it was shown")
    by: str
    how: str | None = Field(None, description="on the page, phone read-back, in person")
    said: str | None = Field(None, max_length=600, description="in the owner's own words")
    date: Date | None = None
    seen: Seen | None = None


class Question(Record):
    """What the owner asked back."""

    text: str = Field(min_length=1, max_length=600)
    about: str | None = Field(None, description="which item of the sheet")
    by: str
    how: str | None = None
    date: Date | None = None
    seen: Seen | None = None


class Reply(Record):
    """What the shop replied to a question."""

    to: str = Field(description="the question's words")
    text: str = Field(min_length=1, max_length=600)
    by: str
    date: Date | None = None


class Declined(Record):
    """What the owner put off at an earlier visit."""

    position: str
    part: Part
    by: str
    said: str | None = None
    date: Date | None = None
    cents: int | None = Field(None, ge=0, description="price then")


class Exit(Record):
    """A trailer that left without being clear to roll."""

    how: Literal["on a hauler", "against advice"]
    by: str
    said: str | None = None
    owner: str | None = Field(None, description="who took it away")
    hauler: str | None = Field(None, description="who hauled it, or the hauler's plate")
    told: Texts = Field((), description="the sentences that were read out before it left")
    seen: Seen | None = None
