"""What the counter changes in an estimate, as entered. A change of mind is a further one."""

from __future__ import annotations

from datetime import date as Date

from pydantic import Field

from wheeltapper.record import Record


class LineEdit(Record):
    """What somebody changed on a line of the estimate, and why. What the rules ask for stays beside it."""

    group: str = Field(description="'booked', 'must', or a choice and its path: 'axle 1 brake-assembly, now'")
    code: str = Field(description="the line's code; a new one for a line that is added")
    asked: int = Field(
        0, ge=0, description="how many the rules asked for when it was changed; 0 for a line that is added"
    )
    qty: int | None = Field(None, ge=0, le=999, description="0 strikes the line")
    each: str | None = Field(None, pattern=r"^[0-9]{1,7}\.[0-9]{2}$", description="price of one: '104.00'")
    hours: str | None = Field(
        None, pattern=r"^[0-9]{1,3}(\.[0-9]{1,2})?$", description="hours of one, where it is labour"
    )
    say: str | None = Field(None, max_length=200, description="what it is, in place of the book's words")
    why: str = Field(min_length=1, max_length=300)
    by: str


class Terms(Record):
    """Terms of the estimate that differ from the shop's own, and why; the last of each counts."""

    deposit: str | None = Field(None, pattern=r"^[0-9]{1,7}\.[0-9]{2}$", description="money: '150.00'")
    valid_until: Date | None = None
    why: str = Field(min_length=1, max_length=300)
    by: str
