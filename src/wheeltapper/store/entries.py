"""What is kept: entries, each a piece of a visit or a file, added by a named person and never changed.

An entry that puts something right names those it stands instead of; they stay in the record and count no more (fold.py says
when). What an entry says is brought into one form before it is kept: numbers of gauges are text, lists are lists, dates are
days, so that reading it back gives the very same. Knows no database.
"""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    Field,
    StringConstraints,
    ValidationInfo,
    field_validator,
    model_validator,
)

from wheeltapper.changes import LineEdit, Terms
from wheeltapper.owner_said import Answer, Declined, Exit, GoAhead, Question, Reply
from wheeltapper.record import Record, Texts
from wheeltapper.records import (
    Braking,
    Corner,
    Done,
    Fitted,
    FollowUp,
    Gauge,
    Limit,
    Mileage,
    Past,
    PersonCall,
    Reading,
    ReturnSheet,
    SecondLook,
    Unit,
)  # fmt: skip
from wheeltapper.store.chain import canonical
from wheeltapper.words import Scope

MOST_BODY = 256_000  # bytes: a corner with a dozen recorded rings is under a fifth of it
MOST_INSTEAD = 200
CALLED = 16  # letters of a photo's hash that a visit's answers call it by
MOMENT = "%Y-%m-%dT%H:%M:%S.%fZ"


def _is_a_moment(text: str) -> str:
    datetime.strptime(text, MOMENT)
    return text


Kind = Literal["piece", "photo", "sound", "withdraw"]
Id = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
Sha = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Moment = Annotated[
    str,
    StringConstraints(pattern=r"^2[0-9]{3}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z$"),
    AfterValidator(_is_a_moment),
]
Short = Annotated[str, StringConstraints(pattern=r"^[^\p{C}\p{Z}](?:[^\p{C}]{0,6}[^\p{C}\p{Z}])?$")]


class Piece(Record):
    """Any part of a visit: the same fields, all of them optional."""

    date: str | None = Field(None, pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")
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
    estimate: tuple[LineEdit, ...] = ()
    terms: tuple[Terms, ...] = ()
    go_ahead: tuple[GoAhead, ...] = ()
    question: tuple[Question, ...] = ()
    reply: tuple[Reply, ...] = ()
    declined: tuple[Declined, ...] = ()
    done: tuple[Done, ...] = ()
    follow_up: tuple[FollowUp, ...] = ()
    second_look: tuple[SecondLook, ...] = ()
    learning: tuple[str, ...] = ()
    return_sheet: ReturnSheet | None = None
    exit: Exit | None = None

    @field_validator("date")
    @classmethod
    def _is_a_day(cls, text: str | None) -> str | None:
        if text is not None:
            datetime.strptime(text, "%Y-%m-%d")
        return text

    @model_validator(mode="after")
    def _says_something(self) -> Piece:
        """Else it could take other entries out without a word."""
        if not any(value not in (None, (), "") for value in self.__dict__.values()):
            raise ValueError("it says nothing")
        return self


class File(Record):
    """A photo or sound of one place; the file itself is kept by its hash."""

    sha256: Sha
    position: str | None = None
    check: str | None = None
    name: str = ""
    said: str | None = Field(None, description="what the phone said of it: sample rate, filters off")

    @property
    def called(self) -> str:
        """What the visit's answers call it."""
        return self.sha256[:CALLED]


class Withdrawn(Record):
    """Takes entries back without putting others in their place."""

    why: str = Field(min_length=1)


BODIES: dict[str, type[Record]] = {"piece": Piece, "photo": File, "sound": File, "withdraw": Withdrawn}


class Entry(Record):
    """One entry as a client sends it."""

    id: Id
    at: Moment = Field(description="the client's clock, UTC")
    by: Short = Field(description="whose answer it is: the person's short name")
    kind: Kind
    instead_of: tuple[Id, ...] = Field((), max_length=MOST_INSTEAD)
    body: dict[str, Any]
    received: Moment | None = Field(
        None, exclude=True, description="the server's clock; not sent by a client"
    )

    @field_validator("body")
    @classmethod
    def _in_one_form(cls, body: dict[str, Any], info: ValidationInfo) -> dict[str, Any]:
        kind = info.data.get("kind")
        if kind is None:  # that fault is told already
            return body
        said = BODIES[kind].model_validate(body).model_dump(mode="json", exclude_unset=True)
        if len(canonical(said).encode()) > MOST_BODY:
            raise ValueError(f"one entry may say no more than {MOST_BODY // 1000} kB")
        return said

    @model_validator(mode="after")
    def _holds_together(self) -> Entry:
        if self.kind == "withdraw" and not self.instead_of:
            raise ValueError("a withdrawal names what it takes back")
        if self.id in self.instead_of:
            raise ValueError("an entry cannot stand instead of itself")
        if any(look["by"] != self.by for look in self.body.get("second_look", ())):
            raise ValueError("a second look is entered by the person who looked")
        if any(row["by"] != self.by for name in ("estimate", "terms") for row in self.body.get(name, ())):
            raise ValueError("a change of the estimate is entered by the person who makes it")
        return self

    @property
    def when(self) -> str:
        """Its own clock, but not later than it came: a phone whose clock runs ahead must not win over every other."""
        return self.at if self.received is None else min(self.at, self.received)
