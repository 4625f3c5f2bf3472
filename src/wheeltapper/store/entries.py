"""What is kept: entries, each a piece of a visit or a file, added by a named person and never changed.

An entry that puts something right names those it stands instead of; they stay in the record and count no more.
Knows no database.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, model_validator

from wheeltapper.records import (
    Answer,
    Braking,
    Corner,
    Done,
    Exit,
    Fitted,
    FollowUp,
    Gauge,
    Limit,
    Mileage,
    Past,
    PersonCall,
    Reading,
    Record,
    ReturnSheet,
    SecondLook,
    Texts,
    Unit,
)  # fmt: skip
from wheeltapper.words import Scope

Kind = Literal["piece", "photo", "sound", "withdraw"]
Id = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
Sha = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Moment = Annotated[str, StringConstraints(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$")]


class Piece(Record):
    """Any part of a visit: the same fields, all of them optional."""

    date: str | None = Field(None, pattern=r"^\d{4}-\d\d-\d\d$")
    technician: str | None = None
    shop: str | None = None
    scope: Scope | None = None
    booked: tuple[str, ...] | None = None
    unit: Unit | None = None
    mileage: Mileage | None = None
    complaint: str | None = None
    owner_said: Texts = ()
    braking: Braking | None = None
    gauge: tuple[Gauge, ...] = ()
    limit: tuple[Limit, ...] = ()
    limit_sought_by: str | None = None
    corner: tuple[Corner, ...] = ()
    reading: tuple[Reading, ...] = ()
    fitted: tuple[Fitted, ...] = ()
    history: tuple[Past, ...] = ()
    call: tuple[PersonCall, ...] = ()
    answer: tuple[Answer, ...] = ()
    done: tuple[Done, ...] = ()
    follow_up: tuple[FollowUp, ...] = ()
    second_look: tuple[SecondLook, ...] = ()
    learning: tuple[str, ...] = ()
    return_sheet: ReturnSheet | None = None
    exit: Exit | None = None


class File(Record):
    """A photo or sound of one place; the file itself is kept by its hash."""

    sha256: Sha
    position: str | None = None
    check: str | None = None
    name: str = ""
    said: str | None = Field(None, description="what the phone said of it: sample rate, filters off")


class Withdrawn(Record):
    """Takes entries back without putting others in their place."""

    why: str


BODIES: dict[str, type[Record]] = {"piece": Piece, "photo": File, "sound": File, "withdraw": Withdrawn}


class Entry(Record):
    """One entry as a client sends it."""

    id: Id
    at: Moment = Field(description="the client's clock, UTC")
    by: str = Field(min_length=1, max_length=8, description="whose answer it is: the person's short name")
    kind: Kind
    instead_of: tuple[Id, ...] = Field((), max_length=200)
    body: dict[str, Any]

    @model_validator(mode="after")
    def _body_is_of_its_kind(self) -> Entry:
        BODIES[self.kind].model_validate(self.body)
        if self.kind == "withdraw" and not self.instead_of:
            raise ValueError("a withdrawal names what it takes back")
        return self
